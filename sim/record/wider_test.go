package record

import (
	"slices"
	"strings"
	"testing"
)

// A wider frame has the rows of the one it is made of, and fits together once the
// new columns are filled.
func TestWider(t *testing.T) {
	f := NewFrame(mixedTable())
	for i := range 3 {
		r := f.Begin()
		fill(r, i, i == 1)
		if err := r.End(); err != nil {
			t.Fatal(err)
		}
	}
	before := len(f.Table().Columns)
	w := f.Wider(Column{Name: "residual_k", Unit: "K", Nullable: true}, Column{Name: "extra", Kind: Int})
	if err := w.Check(); err == nil || !strings.Contains(err.Error(), "residual_k has 0 values, not 3") {
		t.Errorf("columns that are not filled: %v", err)
	}
	w.AppendNulls(w.Col("residual_k"), 2)
	w.AppendFloats(w.Col("residual_k"), []float64{0.5})
	w.AppendInts(w.Col("extra"), []int64{4, 5, 6})
	if err := w.Check(); err != nil {
		t.Fatal(err)
	}
	if w.Rows() != 3 || len(w.Table().Columns) != before+2 || len(f.Table().Columns) != before {
		t.Errorf("%d rows, %d and %d columns", w.Rows(), len(w.Table().Columns), len(f.Table().Columns))
	}
	for i, c := range f.Table().Columns {
		if w.Table().Columns[i] != c || !slices.Equal(w.Nulls(i), f.Nulls(i)) || !slices.Equal(w.Floats(i), f.Floats(i)) ||
			!slices.Equal(w.Ints(i), f.Ints(i)) || !slices.Equal(w.Texts(i), f.Texts(i)) || !slices.Equal(w.Flags(i), f.Flags(i)) {
			t.Errorf("column %s differs", c.Name)
		}
	}
	if got := w.Nulls(before); !slices.Equal(got, []bool{true, true, false}) {
		t.Errorf("nulls %v", got)
	}
}
