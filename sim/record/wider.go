package record

import "slices"

// Wider returns a frame with the columns of f and more behind them, which
// together must make a valid table. It has the rows of f and shares their memory:
// f must not be changed from then on. The columns that were added are empty; the
// caller fills them until Check passes.
func (f *Frame) Wider(more ...Column) *Frame {
	w := NewFrame(Table{Name: f.table.Name, Columns: slices.Concat(f.table.Columns, more)})
	copy(w.columns, f.columns)
	return w
}
