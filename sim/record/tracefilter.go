package record

import "fmt"

// TraceFilter applies a TraceChoice to traces of one table. It keeps scratch
// memory and is not safe for concurrent use.
type TraceFilter struct {
	full, kept Table
	from       []int    // column of full for each of kept
	thin       *thinner // nil keeps all rows
	selected   *Frame   // the kept columns of all rows; only to thin
}

// NewTraceFilter returns the filter for traces of table full. An unfit choice is
// an error, see TraceChoice.Table.
func NewTraceFilter(c TraceChoice, full Table) (*TraceFilter, error) {
	kept, err := c.Table(full)
	if err != nil {
		return nil, err
	}
	f := &TraceFilter{full: full, kept: kept}
	for _, column := range kept.Columns {
		f.from = append(f.from, full.Index(column.Name))
	}
	if c.Thin != nil {
		f.thin, f.selected = newThinner(kept, *c.Thin), NewFrame(kept)
	}
	return f, nil
}

// Table returns the columns that are kept.
func (f *TraceFilter) Table() Table { return f.kept }

// Append appends to dst, a frame of the kept columns, the rows of src that are
// kept: src has the full columns and holds whole runs, whose times rise. After
// an error dst is as it was.
func (f *TraceFilter) Append(dst, src *Frame) error {
	if !src.Table().Equal(f.full) {
		return fmt.Errorf("choosing from table %s: the rows have other columns than the filter", src.Table().Name)
	}
	if !dst.Table().Equal(f.kept) {
		return fmt.Errorf("choosing from table %s: the chosen rows have other columns than the filter", src.Table().Name)
	}
	if err := src.Check(); err != nil {
		return err
	}
	if f.thin == nil {
		dst.appendColumns(src, f.from)
		return nil
	}
	if err := risingTimes(src); err != nil {
		return err
	}
	f.selected.Reset()
	f.selected.appendColumns(src, f.from)
	dst.appendRows(f.selected, f.thin.rows(f.selected))
	return nil
}

// risingTimes reports a time that stands still or runs back within a run.
func risingTimes(f *Frame) error {
	runs, times := f.Ints(f.Col(runName)), f.Floats(f.Col(timeName))
	for i := 1; i < len(times); i++ {
		if runs[i] == runs[i-1] && times[i] <= times[i-1] {
			return fmt.Errorf("table %s, row %d: time %g s of run %d comes after %g s", f.Table().Name, i, times[i], runs[i], times[i-1])
		}
	}
	return nil
}

// appendColumns appends every row of g: column i of f from column from[i] of g,
// which is like it.
func (f *Frame) appendColumns(g *Frame, from []int) {
	for i, at := range from {
		c, d := &f.columns[i], &g.columns[at]
		c.floats = append(c.floats, d.floats...)
		c.ints = append(c.ints, d.ints...)
		c.texts = append(c.texts, d.texts...)
		c.flags = append(c.flags, d.flags...)
		c.nulls = append(c.nulls, d.nulls...)
	}
}

// appendRows appends the given rows of g, a frame of an equal table.
func (f *Frame) appendRows(g *Frame, rows []int) {
	for i := range f.columns {
		c, d := &f.columns[i], &g.columns[i]
		c.floats = gather(c.floats, d.floats, rows)
		c.ints = gather(c.ints, d.ints, rows)
		c.texts = gather(c.texts, d.texts, rows)
		c.flags = gather(c.flags, d.flags, rows)
		c.nulls = gather(c.nulls, d.nulls, rows)
	}
}

// gather appends the values of src at the given rows; an empty src is a slice
// that the column's kind does not use.
func gather[T any](dst, src []T, rows []int) []T {
	if len(src) == 0 {
		return dst
	}
	for _, row := range rows {
		dst = append(dst, src[row])
	}
	return dst
}
