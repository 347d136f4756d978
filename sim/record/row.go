package record

import (
	"fmt"
	"math"
)

// Row builds one row of a frame: every column must be set exactly once, by name
// or by position. The first mistake is kept and returned by End, which then
// leaves the frame without the row. A frame has one Row at a time.
type Row struct {
	frame *Frame
	start int
	set   []bool
	err   error
}

// Begin starts a row. A row begun before and not ended is dropped.
func (f *Frame) Begin() *Row {
	r := &f.row
	r.start = f.shortest()
	f.Truncate(r.start)
	clear(r.set)
	r.err = nil
	return r
}

// shortest returns the number of rows that every column has.
func (f *Frame) shortest() int {
	n := math.MaxInt
	for i := range f.columns {
		n = min(n, f.length(i))
	}
	return n
}

// SetFloat sets the Float column called name. NaN and infinities are errors.
func (r *Row) SetFloat(name string, v float64) { r.SetFloatAt(r.col(name), v) }

// SetInt sets the Int column called name.
func (r *Row) SetInt(name string, v int64) { r.SetIntAt(r.col(name), v) }

// SetText sets the Text column called name.
func (r *Row) SetText(name, v string) { r.SetTextAt(r.col(name), v) }

// SetFlag sets the Flag column called name.
func (r *Row) SetFlag(name string, v bool) { r.SetFlagAt(r.col(name), v) }

// SetNull leaves the column called name without a value. It must be nullable.
func (r *Row) SetNull(name string) { r.SetNullAt(r.col(name)) }

// SetFloatAt sets the Float column at position col.
func (r *Row) SetFloatAt(col int, v float64) {
	if v-v != 0 && col >= 0 {
		r.fail(fmt.Errorf("column %s: %g cannot be stored: set a null instead", r.frame.table.Columns[col].Name, v))
		return
	}
	if c := r.take(col, Float, false); c != nil {
		c.floats = append(c.floats, v)
	}
}

// SetIntAt sets the Int column at position col.
func (r *Row) SetIntAt(col int, v int64) {
	if c := r.take(col, Int, false); c != nil {
		c.ints = append(c.ints, v)
	}
}

// SetTextAt sets the Text column at position col.
func (r *Row) SetTextAt(col int, v string) {
	if c := r.take(col, Text, false); c != nil {
		c.texts = append(c.texts, v)
	}
}

// SetFlagAt sets the Flag column at position col.
func (r *Row) SetFlagAt(col int, v bool) {
	if c := r.take(col, Flag, false); c != nil {
		c.flags = append(c.flags, v)
	}
}

// SetNullAt leaves the column at position col without a value.
func (r *Row) SetNullAt(col int) {
	if col < 0 {
		return
	}
	described := r.frame.table.Columns[col]
	if !described.Nullable {
		r.fail(fmt.Errorf("column %s is not nullable and is set to null", described.Name))
		return
	}
	if c := r.take(col, described.Kind, true); c != nil {
		c.appendZero(described.Kind)
	}
}

// End completes the row. If a column was left out, set twice, unknown, of
// another kind or given a value that cannot be stored, it returns the first
// such error and the frame is as before Begin.
func (r *Row) End() error {
	for i := 0; i < len(r.set) && r.err == nil; i++ {
		if !r.set[i] {
			r.fail(fmt.Errorf("column %s is not set", r.frame.table.Columns[i].Name))
		}
	}
	if r.err == nil {
		return nil
	}
	r.frame.Truncate(r.start)
	return fmt.Errorf("row %d of table %s: %w", r.start, r.frame.table.Name, r.err)
}

func (r *Row) fail(err error) {
	if r.err == nil {
		r.err = err
	}
}

func (r *Row) col(name string) int {
	col := r.frame.Col(name)
	if col < 0 {
		r.fail(fmt.Errorf("there is no column %q", name))
	}
	return col
}

// take marks the column as set and returns it, or nil after an error.
func (r *Row) take(col int, kind Kind, null bool) *column {
	if col < 0 {
		return nil
	}
	described := &r.frame.table.Columns[col]
	switch {
	case described.Kind != kind:
		r.fail(fmt.Errorf("column %s holds %s values, not %s", described.Name, described.Kind, kind))
		return nil
	case r.set[col]:
		r.fail(fmt.Errorf("column %s is set twice", described.Name))
		return nil
	}
	r.set[col] = true
	c := &r.frame.columns[col]
	if described.Nullable {
		c.nulls = append(c.nulls, null)
	}
	return c
}
