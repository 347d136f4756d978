package record

import (
	"slices"
	"testing"
)

func TestAppendRows(t *testing.T) {
	table := Table{Name: "events", Columns: []Column{
		{Name: "run_id", Kind: Int}, {Name: "at_s", Unit: "s", Nullable: true}, {Name: "text", Kind: Text}, {Name: "first", Kind: Flag},
	}}
	from := NewFrame(table)
	from.AppendInts(0, []int64{4, 5, 6})
	from.AppendFloats(1, []float64{1.5})
	from.AppendNulls(1, 1)
	from.AppendFloats(1, []float64{2.5})
	from.AppendTexts(2, []string{"a", "b", "c"})
	from.AppendFlags(3, []bool{true, false, true})
	f := NewFrame(table)
	f.AppendInts(0, []int64{1})
	f.AppendNulls(1, 1)
	f.AppendTexts(2, []string{"z"})
	f.AppendFlags(3, []bool{false})
	if err := f.AppendRows(from, 2, 1); err != nil {
		t.Fatal(err)
	}
	if err := f.Check(); err != nil {
		t.Fatal(err)
	}
	if got := f.Ints(0); !slices.Equal(got, []int64{1, 6, 5}) {
		t.Errorf("ints %v", got)
	}
	if got, nulls := f.Floats(1), f.Nulls(1); !slices.Equal(got, []float64{0, 2.5, 0}) || !slices.Equal(nulls, []bool{true, false, true}) {
		t.Errorf("floats %v, nulls %v", got, nulls)
	}
	if got := f.Texts(2); !slices.Equal(got, []string{"z", "c", "b"}) {
		t.Errorf("texts %v", got)
	}
	if got := f.Flags(3); !slices.Equal(got, []bool{false, true, false}) {
		t.Errorf("flags %v", got)
	}
	other := NewFrame(Table{Name: "events", Columns: table.Columns[:2]})
	if err := f.AppendRows(other); err == nil || f.Rows() != 3 {
		t.Errorf("rows of another table: error %v, %d rows", err, f.Rows())
	}
}
