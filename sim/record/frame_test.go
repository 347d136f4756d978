package record

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// fill sets every column of a mixed row: values from i, or nulls where allowed.
func fill(r *Row, i int, null bool) {
	r.SetFloat("level_c", float64(i))
	r.SetInt("run_id", int64(i))
	r.SetText("status", fmt.Sprint("s", i))
	r.SetFlag("settled", i%2 == 0)
	if null {
		for _, name := range []string{"peak_c", "steps", "reason", "throttled"} {
			r.SetNull(name)
		}
		return
	}
	r.SetFloat("peak_c", float64(i)+0.5)
	r.SetInt("steps", int64(i)*10)
	r.SetText("reason", "hot")
	r.SetFlag("throttled", true)
}

func TestRowsKeepValuesAndNulls(t *testing.T) {
	f := NewFrame(mixedTable())
	for i := range 4 {
		r := f.Begin()
		fill(r, i, i%2 == 1)
		if err := r.End(); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Check(); err != nil {
		t.Fatal(err)
	}
	if f.Rows() != 4 {
		t.Fatalf("%d rows", f.Rows())
	}
	if got := f.Floats(f.Col("peak_c")); !slices.Equal(got, []float64{0.5, 0, 2.5, 0}) {
		t.Errorf("peak_c %v", got)
	}
	if got := f.Ints(f.Col("steps")); !slices.Equal(got, []int64{0, 0, 20, 0}) {
		t.Errorf("steps %v", got)
	}
	if got := f.Texts(f.Col("status")); !slices.Equal(got, []string{"s0", "s1", "s2", "s3"}) {
		t.Errorf("status %v", got)
	}
	if got := f.Flags(f.Col("settled")); !slices.Equal(got, []bool{true, false, true, false}) {
		t.Errorf("settled %v", got)
	}
	for _, c := range f.Table().Columns {
		for row := range 4 {
			if want := c.Nullable && row%2 == 1; f.IsNull(f.Col(c.Name), row) != want {
				t.Errorf("%s row %d: null is not %t", c.Name, row, want)
			}
		}
	}
	if f.Nulls(f.Col("status")) != nil {
		t.Error("a required column has a list of nulls")
	}
}

func TestRowMistakes(t *testing.T) {
	tests := []struct {
		name    string
		mistake func(r *Row)
		want    string
	}{
		{"left out", func(r *Row) {}, "column level_c is not set"},
		{"twice", func(r *Row) { fill(r, 0, false); r.SetInt("run_id", 1) }, "column run_id is set twice"},
		{"value and null", func(r *Row) { fill(r, 0, false); r.SetNull("peak_c") }, "column peak_c is set twice"},
		{"unknown", func(r *Row) { fill(r, 0, false); r.SetFloat("peak", 1) }, `there is no column "peak"`},
		{"unknown null", func(r *Row) { fill(r, 0, false); r.SetNull("peak") }, `there is no column "peak"`},
		{"other kind", func(r *Row) { r.SetInt("level_c", 1) }, "column level_c holds float values, not int"},
		{"null in a required column", func(r *Row) { r.SetNull("level_c") }, "not nullable"},
		{"NaN", func(r *Row) { r.SetFloat("peak_c", math.NaN()) }, "set a null instead"},
		{"infinity", func(r *Row) { r.SetFloat("level_c", math.Inf(-1)) }, "-Inf cannot be stored"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			f := NewFrame(mixedTable())
			r := f.Begin()
			fill(r, 7, false)
			if err := r.End(); err != nil {
				t.Fatal(err)
			}
			r = f.Begin()
			test.mistake(r)
			err := r.End()
			if err == nil || !strings.Contains(err.Error(), test.want) || !strings.Contains(err.Error(), "row 1 of table runs") {
				t.Errorf("got %v, want %q", err, test.want)
			}
			if err := f.Check(); err != nil || f.Rows() != 1 {
				t.Errorf("the frame has %d rows, %v: the bad row is not dropped whole", f.Rows(), err)
			}
			r = f.Begin()
			fill(r, 8, true)
			if err := r.End(); err != nil || f.Rows() != 2 {
				t.Errorf("the row after it: %v, %d rows", err, f.Rows())
			}
		})
	}
}

func TestBeginDropsAnUnendedRow(t *testing.T) {
	f := NewFrame(mixedTable())
	f.Begin().SetFloat("level_c", 1)
	r := f.Begin()
	fill(r, 2, false)
	if err := r.End(); err != nil {
		t.Fatal(err)
	}
	if got := f.Floats(0); !slices.Equal(got, []float64{2}) {
		t.Errorf("level_c %v", got)
	}
}

func TestBlocks(t *testing.T) {
	f := NewFrame(traceTable())
	f.AppendRepeated(0, 3, 2)
	f.AppendFloats(1, []float64{0, 1})
	copy(f.ExtendFloats(2, 2), []float64{30, 31})
	f.AppendInts(0, []int64{4})
	f.AppendFloatRow(1, []float64{5, 32})
	if err := f.Check(); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(f.Ints(0), []int64{3, 3, 4}) || !slices.Equal(f.Floats(1), []float64{0, 1, 5}) || !slices.Equal(f.Floats(2), []float64{30, 31, 32}) {
		t.Errorf("got %v %v %v", f.Ints(0), f.Floats(1), f.Floats(2))
	}
}

func TestBlocksOfNullableColumns(t *testing.T) {
	f := NewFrame(mixedTable())
	f.AppendFloats(f.Col("peak_c"), []float64{1, 2})
	f.AppendNulls(f.Col("peak_c"), 2)
	copy(f.ExtendFloats(f.Col("peak_c"), 1), []float64{5})
	f.AppendTexts(f.Col("reason"), []string{"a"})
	f.AppendNulls(f.Col("reason"), 1)
	f.AppendFlags(f.Col("throttled"), []bool{true})
	f.AppendNulls(f.Col("throttled"), 1)
	if !slices.Equal(f.Floats(1), []float64{1, 2, 0, 0, 5}) || !slices.Equal(f.Nulls(1), []bool{false, false, true, true, false}) {
		t.Errorf("peak_c %v %v", f.Floats(1), f.Nulls(1))
	}
	if !slices.Equal(f.Texts(5), []string{"a", ""}) || !f.IsNull(5, 1) || !f.IsNull(7, 1) || f.IsNull(7, 0) {
		t.Errorf("reason %v, throttled %v", f.Texts(5), f.Nulls(7))
	}
}

// TestExtendAfterNulls guards against a null of an earlier filling that comes
// back when the frame's memory is used again.
func TestExtendAfterNulls(t *testing.T) {
	f := NewFrame(mixedTable())
	f.AppendNulls(1, 3)
	f.Reset()
	f.ExtendFloats(1, 3)
	if slices.Contains(f.Nulls(1), true) {
		t.Error("values are null after a reset")
	}
}

func TestCheckFindsRaggedColumns(t *testing.T) {
	f := NewFrame(traceTable())
	f.AppendRepeated(0, 0, 3)
	f.AppendFloats(1, []float64{0, 1, 2})
	f.AppendFloats(2, []float64{30, 31})
	err := f.Check()
	if err == nil || !strings.Contains(err.Error(), "coolant_c has 2 values, not 3") {
		t.Errorf("got %v", err)
	}
}

func TestCheckFindsValuesThatAreNotFinite(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		f := NewFrame(traceTable())
		f.AppendRepeated(0, 0, 3)
		f.AppendFloats(1, []float64{0, 1, 2})
		f.AppendFloats(2, []float64{30, 31, bad})
		err := f.Check()
		if err == nil || !strings.Contains(err.Error(), "column coolant_c, row 2") {
			t.Errorf("%g: got %v", bad, err)
		}
		if err := f.CheckFrom(3); err != nil {
			t.Errorf("from row 3 on: %v", err)
		}
		if err := f.CheckFrom(1); err == nil || !strings.Contains(err.Error(), "row 2") {
			t.Errorf("from row 1 on: %v", err)
		}
	}
}

func TestCheckTellsToSetANull(t *testing.T) {
	f := NewFrame(Table{Name: "runs", Columns: []Column{{Name: "peak_c", Nullable: true}}})
	f.AppendFloats(0, []float64{math.NaN()})
	if err := f.Check(); err == nil || !strings.Contains(err.Error(), "set a null instead") {
		t.Errorf("got %v", err)
	}
}

func TestWrongKindPanics(t *testing.T) {
	calls := map[string]func(f *Frame){
		"AppendFloats":   func(f *Frame) { f.AppendFloats(2, nil) },
		"ExtendFloats":   func(f *Frame) { f.ExtendFloats(4, 1) },
		"AppendFloatRow": func(f *Frame) { f.AppendFloatRow(1, []float64{0, 0}) },
		"AppendInts":     func(f *Frame) { f.AppendInts(0, nil) },
		"AppendRepeated": func(f *Frame) { f.AppendRepeated(0, 1, 1) },
		"AppendTexts":    func(f *Frame) { f.AppendTexts(0, nil) },
		"AppendFlags":    func(f *Frame) { f.AppendFlags(0, nil) },
		"AppendNulls":    func(f *Frame) { f.AppendNulls(0, 1) },
	}
	for name, call := range calls {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if message := fmt.Sprint(recover()); !strings.HasPrefix(message, "record: column ") {
					t.Errorf("got %q", message)
				}
			}()
			call(NewFrame(mixedTable()))
		})
	}
}

func TestAppendFrame(t *testing.T) {
	f, g := NewFrame(mixedTable()), NewFrame(mixedTable())
	for i := range 3 {
		r := g.Begin()
		fill(r, i, i == 1)
		if err := r.End(); err != nil {
			t.Fatal(err)
		}
	}
	for range 2 {
		if err := f.AppendFrame(g); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Check(); err != nil || f.Rows() != 6 || !f.IsNull(1, 4) || f.IsNull(1, 5) || f.Texts(4)[5] != "s2" {
		t.Errorf("%d rows, nulls %v, %v", f.Rows(), f.Nulls(1), err)
	}
	if err := f.AppendFrame(NewFrame(traceTable())); err == nil || f.Rows() != 6 {
		t.Errorf("another table: %v, %d rows", err, f.Rows())
	}
}

func TestFrameKeepsItsOwnColumns(t *testing.T) {
	table := traceTable()
	f := NewFrame(table)
	table.Columns[1].Name = "changed"
	if f.Table().Columns[1].Name != "time_s" || f.Col("changed") != -1 {
		t.Error("the frame shares the column list of its maker")
	}
}

// TestRefillingDoesNotAllocate is the promise of Reset: rows and blocks alike.
func TestRefillingDoesNotAllocate(t *testing.T) {
	trace, mixed := NewFrame(traceTable()), NewFrame(mixedTable())
	values := make([]float64, 100)
	row := []float64{1, 2}
	refill := func() {
		trace.Reset()
		trace.AppendRepeated(0, 1, len(values))
		trace.AppendFloats(1, values)
		clear(trace.ExtendFloats(2, len(values)))
		trace.AppendFloatRow(1, row)
		mixed.Reset()
		for i := range 20 {
			r := mixed.Begin()
			r.SetFloatAt(0, 1)
			r.SetNullAt(1)
			r.SetInt("run_id", int64(i))
			r.SetIntAt(3, 2)
			r.SetText("status", "ok")
			r.SetTextAt(5, "x")
			r.SetFlag("settled", true)
			r.SetFlagAt(7, false)
			if err := r.End(); err != nil {
				t.Fatal(err)
			}
		}
	}
	refill()
	if n := testing.AllocsPerRun(20, refill); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

// TestFrameAgainstModel compares a frame with a plain list of rows under any
// sequence of good rows, bad rows, truncations and resets.
func TestFrameAgainstModel(t *testing.T) {
	type modelRow struct {
		i    int
		null bool
	}
	rapid.Check(t, func(t *rapid.T) {
		f := NewFrame(mixedTable())
		var model []modelRow
		t.Repeat(map[string]func(*rapid.T){
			"row": func(t *rapid.T) {
				m := modelRow{rapid.IntRange(-5, 5).Draw(t, "i"), rapid.Bool().Draw(t, "null")}
				r := f.Begin()
				fill(r, m.i, m.null)
				if err := r.End(); err != nil {
					t.Fatal(err)
				}
				model = append(model, m)
			},
			"bad row": func(t *rapid.T) {
				r := f.Begin()
				fill(r, 1, false)
				r.SetFlag("settled", true)
				if r.End() == nil {
					t.Fatal("a column set twice is accepted")
				}
			},
			"truncate": func(t *rapid.T) {
				n := rapid.IntRange(0, len(model)+1).Draw(t, "n")
				f.Truncate(n)
				model = model[:min(n, len(model))]
			},
			"reset": func(*rapid.T) { f.Reset(); model = nil },
			"": func(t *rapid.T) {
				if err := f.Check(); err != nil || f.Rows() != len(model) {
					t.Fatalf("%d rows instead of %d, %v", f.Rows(), len(model), err)
				}
				for row, m := range model {
					if f.Floats(0)[row] != float64(m.i) || f.IsNull(1, row) != m.null || f.IsNull(7, row) != m.null || f.Ints(2)[row] != int64(m.i) {
						t.Fatalf("row %d is not %+v", row, m)
					}
				}
			},
		})
	})
}

func ExampleFrame() {
	f := NewFrame(Table{Name: "runs", Columns: []Column{
		{Name: "run_id", Kind: Int, Meaning: "number of the run"},
		{Name: "rise_k", Unit: "K", Meaning: "coolant above room", Nullable: true},
	}})
	r := f.Begin()
	r.SetInt("run_id", 0)
	r.SetFloat("rise_k", 11.5)
	fmt.Println(r.End())
	r = f.Begin()
	r.SetInt("run_id", 1)
	fmt.Println(r.End())
	fmt.Println(f.Rows(), f.Floats(f.Col("rise_k")))
	// Output:
	// <nil>
	// row 1 of table runs: column rise_k is not set
	// 1 [11.5]
}
