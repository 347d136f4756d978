package parquet

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/record"
)

var testMetadata = Metadata{SchemaVersion: 3, EngineVersion: "1.2.3", Scenario: "title: küche\nambient: 21 degC\n", ScenarioHash: "ab12"}

// traces returns the table of a trace with n float columns after the time, in
// an order that is not the alphabet's.
func traces(n int, grid float64) record.Table {
	t := record.Table{Name: "traces", Columns: []record.Column{
		{Name: "run_id", Meaning: "number of the run", Kind: record.Int},
		{Name: "time_s", Unit: "s", Meaning: "time from start"},
	}}
	for i := range n {
		t.Columns = append(t.Columns, record.Column{
			Name: fmt.Sprintf("%c%02d_c", 'z'-rune(i%26), i), Unit: "degC", Meaning: fmt.Sprint("lump ", i), Grid: grid,
		})
	}
	return t
}

// fillTraces appends runs of rowsPerRun seconds each: lumps with different time
// constants behind a load that goes on and off every few minutes, so that none
// comes to rest, and the load itself in every fourth column. No two runs are
// alike.
func fillTraces(f *record.Frame, firstRun, runs, rowsPerRun int) {
	for run := firstRun; run < firstRun+runs; run++ {
		f.AppendRepeated(0, int64(run), rowsPerRun)
		times := f.ExtendFloats(1, rowsPerRun)
		for i := range times {
			times[i] = float64(i)
		}
		for col := 2; col < len(f.Table().Columns); col++ {
			_, fraction := math.Modf(float64(run) * math.Phi)
			level, tau, y := 18+9*fraction+float64(col)/3, 20*float64(col), 22.0
			half := 140 + int(100*fraction)
			values := f.ExtendFloats(col, rowsPerRun)
			for i := range values {
				load := 22 + level*float64(i/half%2)
				y += (load - y) / tau
				values[i] = y
				if col%4 == 0 {
					values[i] = load
				}
			}
		}
	}
}

// mixed has a required and a nullable column of every kind, and a run_id.
func mixed() record.Table {
	return record.Table{Name: "runs", Columns: []record.Column{
		{Name: "run_id", Meaning: "number", Kind: record.Int},
		{Name: "parent", Kind: record.Int, Nullable: true},
		{Name: "steps", Unit: "1", Kind: record.Int},
		{Name: "level_c", Unit: "degC", Meaning: "level of the \"coolant\" <°C>", Grid: 0.25},
		{Name: "peak_c", Unit: "degC", Nullable: true, Grid: 0x1p-14},
		{Name: "energy_j", Unit: "J"},
		{Name: "status", Kind: record.Text},
		{Name: "reason", Kind: record.Text, Nullable: true},
		{Name: "settled", Kind: record.Flag},
		{Name: "hot", Kind: record.Flag, Nullable: true},
	}}
}

func fillMixed(t testing.TB, f *record.Frame, rows int) {
	t.Helper()
	for i := range rows {
		r := f.Begin()
		r.SetInt("run_id", int64(i))
		r.SetInt("steps", int64(i)<<33)
		r.SetFloat("level_c", 30+float64(i)*0.1)
		r.SetFloat("energy_j", 1e6/float64(i+1))
		r.SetText("status", []string{"ok", "failed"}[i%2])
		r.SetFlag("settled", i%3 == 0)
		if i%4 == 1 {
			for _, name := range []string{"parent", "peak_c", "reason", "hot"} {
				r.SetNull(name)
			}
		} else {
			r.SetInt("parent", int64(-i))
			r.SetFloat("peak_c", 60-float64(i)/7)
			r.SetText("reason", fmt.Sprint("grund ", i))
			r.SetFlag("hot", i%2 == 0)
		}
		if err := r.End(); err != nil {
			t.Fatal(err)
		}
	}
}

func mixedFrame(t testing.TB, rows int) *record.Frame {
	f := record.NewFrame(mixed())
	fillMixed(t, f, rows)
	return f
}

func tracesFrame(columns int, grid float64, firstRun, runs, rowsPerRun int) *record.Frame {
	f := record.NewFrame(traces(columns, grid))
	fillTraces(f, firstRun, runs, rowsPerRun)
	return f
}

func mustEncode(t testing.TB, frames ...*record.Frame) []byte {
	t.Helper()
	data, err := Encode(testMetadata, frames...)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func mustRead(t testing.TB, data []byte) *Reader {
	t.Helper()
	r, err := NewReader("part.parquet", bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// raw opens the bytes with the library itself: what another program sees.
func raw(t testing.TB, data []byte) *pq.File {
	t.Helper()
	f, err := pq.OpenFile(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// fataler is what *testing.T and *rapid.T have in common here.
type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// sameFrame compares got with want rounded to the grids of its columns.
func sameFrame(t fataler, got, want *record.Frame) {
	t.Helper()
	if !got.Table().Equal(want.Table()) || got.Rows() != want.Rows() {
		t.Fatalf("got %d rows of %v, want %d of %v", got.Rows(), got.Table(), want.Rows(), want.Table())
	}
	for col, c := range want.Table().Columns {
		for row := range want.Rows() {
			if a, b := cell(got, col, row), cell(want, col, row); a != b {
				t.Fatalf("%s row %d: got %v, want %v", c.Name, row, a, b)
			}
		}
	}
}

// cell returns a value as stored, nil for a null.
func cell(f *record.Frame, col, row int) any {
	c := f.Table().Columns[col]
	switch {
	case f.IsNull(col, row):
		return nil
	case c.Kind == record.Float && c.Grid != 0:
		return math.RoundToEven(f.Floats(col)[row]/c.Grid) * c.Grid
	case c.Kind == record.Float:
		return f.Floats(col)[row]
	case c.Kind == record.Int:
		return f.Ints(col)[row]
	case c.Kind == record.Text:
		return f.Texts(col)[row]
	}
	return f.Flags(col)[row]
}

func wantError(t testing.TB, err error, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("got %v, want an error with %q", err, part)
			return
		}
	}
}
