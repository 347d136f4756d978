package record

import "fmt"

// AppendRows appends the given rows of g, a frame of an equal table, in the order
// given. Another table is an error and leaves f as it was. It panics if g has no such
// row.
func (f *Frame) AppendRows(g *Frame, rows ...int) error {
	if !f.table.Equal(g.table) {
		return fmt.Errorf("appending to table %s: the rows have other columns (%s instead of %s)",
			f.table.Name, g.table.columnNames(), f.table.columnNames())
	}
	f.appendRows(g, rows)
	return nil
}
