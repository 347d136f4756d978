package record

import (
	"errors"
	"fmt"
	"slices"
)

// Frame is a columnar buffer of rows of one table. Its memory is kept by Reset,
// so that a frame that is filled again and again allocates only while it grows.
// A frame is not safe for concurrent use.
//
// Rows are appended one at a time with Begin, or column by column with the
// Append and Extend methods; Check tells whether the columns then fit together.
type Frame struct {
	table   Table
	index   map[string]int
	columns []column
	row     Row
}

// column holds the values of one column: one of the four slices is in use.
// A nullable column has nulls of the same length, and a zero value at a null.
type column struct {
	floats []float64
	ints   []int64
	texts  []string
	flags  []bool
	nulls  []bool
}

// NewFrame returns an empty frame of table t, which must be valid (see
// Table.Validate). The frame keeps its own copy of the column list.
func NewFrame(t Table) *Frame {
	t.Columns = slices.Clone(t.Columns)
	f := &Frame{table: t, index: make(map[string]int, len(t.Columns)), columns: make([]column, len(t.Columns))}
	for i, c := range t.Columns {
		f.index[c.Name] = i
	}
	f.row = Row{frame: f, set: make([]bool, len(t.Columns))}
	return f
}

// Table returns the description of the frame's columns. The caller must not
// change it.
func (f *Frame) Table() Table { return f.table }

// Col returns the position of the column called name, or -1.
func (f *Frame) Col(name string) int {
	if i, ok := f.index[name]; ok {
		return i
	}
	return -1
}

// Rows returns the number of rows. While columns are appended block by block it
// is the length of the first column.
func (f *Frame) Rows() int {
	if len(f.columns) == 0 {
		return 0
	}
	return f.length(0)
}

// Reset empties the frame and keeps its memory.
func (f *Frame) Reset() { f.Truncate(0) }

// Truncate drops every row from row n on. Columns that are shorter stay as they
// are.
func (f *Frame) Truncate(n int) {
	for i := range f.columns {
		c := &f.columns[i]
		c.floats = c.floats[:min(n, len(c.floats))]
		c.ints = c.ints[:min(n, len(c.ints))]
		clear(c.texts[min(n, len(c.texts)):]) // lets the garbage collector have the strings
		c.texts = c.texts[:min(n, len(c.texts))]
		c.flags = c.flags[:min(n, len(c.flags))]
		c.nulls = c.nulls[:min(n, len(c.nulls))]
	}
}

// Floats returns the values of Float column col, one a row; 0 at a null. The
// slice is the frame's own memory: valid until the next append or reset.
func (f *Frame) Floats(col int) []float64 { return f.columns[col].floats }

// Ints returns the values of Int column col, as Floats does.
func (f *Frame) Ints(col int) []int64 { return f.columns[col].ints }

// Texts returns the values of Text column col, as Floats does; "" at a null.
func (f *Frame) Texts(col int) []string { return f.columns[col].texts }

// Flags returns the values of Flag column col, as Floats does.
func (f *Frame) Flags(col int) []bool { return f.columns[col].flags }

// Nulls returns for each row whether column col is null, or nil where the
// column is not nullable.
func (f *Frame) Nulls(col int) []bool { return f.columns[col].nulls }

// IsNull reports whether column col has no value in the given row.
func (f *Frame) IsNull(col, row int) bool {
	nulls := f.columns[col].nulls
	return nulls != nil && nulls[row]
}

// AppendFloats appends a block of values to Float column col. It panics if the
// column is of another kind.
func (f *Frame) AppendFloats(col int, values []float64) {
	c := f.block(col, Float, len(values))
	c.floats = append(c.floats, values...)
}

// ExtendFloats appends n values to Float column col and returns them for the
// caller to fill in: each holds whatever was there before. It panics if the
// column is of another kind. The slice is valid until the next append.
func (f *Frame) ExtendFloats(col, n int) []float64 {
	c := f.block(col, Float, n)
	old := len(c.floats)
	c.floats = slices.Grow(c.floats, n)[:old+n]
	return c.floats[old:]
}

// AppendFloatRow appends one value to each of the Float columns first,
// first+1, ...: the row of a trace whose leading columns are appended apart.
// It panics if one of these columns is of another kind.
func (f *Frame) AppendFloatRow(first int, values []float64) {
	for i, v := range values {
		c := f.block(first+i, Float, 1)
		c.floats = append(c.floats, v)
	}
}

// AppendInts appends a block of values to Int column col. It panics if the
// column is of another kind.
func (f *Frame) AppendInts(col int, values []int64) {
	c := f.block(col, Int, len(values))
	c.ints = append(c.ints, values...)
}

// AppendRepeated appends n times the same value to Int column col: a run_id.
// It panics if the column is of another kind.
func (f *Frame) AppendRepeated(col int, value int64, n int) {
	c := f.block(col, Int, n)
	old := len(c.ints)
	c.ints = slices.Grow(c.ints, n)[:old+n]
	for i := old; i < len(c.ints); i++ {
		c.ints[i] = value
	}
}

// AppendTexts appends a block of values to Text column col. It panics if the
// column is of another kind.
func (f *Frame) AppendTexts(col int, values []string) {
	c := f.block(col, Text, len(values))
	c.texts = append(c.texts, values...)
}

// AppendFlags appends a block of values to Flag column col. It panics if the
// column is of another kind.
func (f *Frame) AppendFlags(col int, values []bool) {
	c := f.block(col, Flag, len(values))
	c.flags = append(c.flags, values...)
}

// AppendNulls appends n nulls to column col. It panics if the column is not
// nullable.
func (f *Frame) AppendNulls(col, n int) {
	if !f.table.Columns[col].Nullable {
		panic(fmt.Sprintf("record: column %s of table %s is not nullable", f.table.Columns[col].Name, f.table.Name))
	}
	c := f.block(col, f.table.Columns[col].Kind, n)
	for i := len(c.nulls) - n; i < len(c.nulls); i++ {
		c.nulls[i] = true
	}
	for range n {
		c.appendZero(f.table.Columns[col].Kind)
	}
}

// AppendFrame appends every row of g, a frame of an equal table. Another table
// is an error and leaves f as it was.
func (f *Frame) AppendFrame(g *Frame) error {
	if !f.table.Equal(g.table) {
		return fmt.Errorf("appending to table %s: the rows have other columns (%s instead of %s)",
			f.table.Name, g.table.columnNames(), f.table.columnNames())
	}
	for i := range f.columns {
		c, d := &f.columns[i], &g.columns[i]
		c.floats = append(c.floats, d.floats...)
		c.ints = append(c.ints, d.ints...)
		c.texts = append(c.texts, d.texts...)
		c.flags = append(c.flags, d.flags...)
		c.nulls = append(c.nulls, d.nulls...)
	}
	return nil
}

// Check reports what would make the frame unfit for storing: columns of
// different length, or a float that is NaN or infinite, with its column and
// row. It reads every float once.
func (f *Frame) Check() error { return f.CheckFrom(0) }

// CheckFrom is Check for a frame whose rows before first, at most Rows, are
// known to be fit.
func (f *Frame) CheckFrom(first int) error {
	if err := f.checkLengths(f.Rows()); err != nil {
		return err
	}
	for i, c := range f.table.Columns {
		if c.Kind != Float {
			continue
		}
		if row := firstNotFinite(f.columns[i].floats[first:]); row >= 0 {
			return f.valueError(i, first+row)
		}
	}
	return nil
}

func (f *Frame) valueError(col, row int) error {
	c := f.table.Columns[col]
	hint := "the column is not nullable"
	if c.Nullable {
		hint = "set a null instead"
	}
	return fmt.Errorf("table %s, column %s, row %d: %g cannot be stored: %s",
		f.table.Name, c.Name, row, f.columns[col].floats[row], hint)
}

func (f *Frame) checkLengths(want int) error {
	var errs []error
	for i, c := range f.table.Columns {
		if n := f.length(i); n != want {
			errs = append(errs, fmt.Errorf("table %s, column %s has %d values, not %d as the first column", f.table.Name, c.Name, n, want))
		}
	}
	return errors.Join(errs...)
}

// firstNotFinite returns the place of the first NaN or infinity, or -1.
func firstNotFinite(values []float64) int {
	for i, v := range values {
		if v-v != 0 {
			return i
		}
	}
	return -1
}

func (f *Frame) length(col int) int {
	c := &f.columns[col]
	switch f.table.Columns[col].Kind {
	case Float:
		return len(c.floats)
	case Int:
		return len(c.ints)
	case Text:
		return len(c.texts)
	default:
		return len(c.flags)
	}
}

// block prepares column col for n more values of the given kind.
func (f *Frame) block(col int, kind Kind, n int) *column {
	described := &f.table.Columns[col]
	if described.Kind != kind {
		panic(fmt.Sprintf("record: column %s of table %s holds %s values, not %s", described.Name, f.table.Name, described.Kind, kind))
	}
	c := &f.columns[col]
	if described.Nullable {
		old := len(c.nulls)
		c.nulls = slices.Grow(c.nulls, n)[:old+n]
		clear(c.nulls[old:])
	}
	return c
}

func (c *column) appendZero(kind Kind) {
	switch kind {
	case Float:
		c.floats = append(c.floats, 0)
	case Int:
		c.ints = append(c.ints, 0)
	case Text:
		c.texts = append(c.texts, "")
	case Flag:
		c.flags = append(c.flags, false)
	}
}
