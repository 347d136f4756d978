package output

import (
	"fmt"
	"path/filepath"
	"slices"

	"soakledger/sim/record"
)

// ReadRuns returns those rows of a table that belong to the given runs, in the order
// of the table: the named columns, run_id among them, or every column if none is
// named. Of a study only the parts that hold such runs are read.
func (d *Dataset) ReadRuns(table string, runs []int64, columns ...string) (*record.Frame, error) {
	selected, err := d.selected(table, columns)
	if err != nil {
		return nil, err
	}
	id := selected.Index(runID)
	if id < 0 || selected.Columns[id].Kind != record.Int {
		return nil, fmt.Errorf("reading the dataset %s: table %s: without run_id nothing says which run a row belongs to", d.dir, table)
	}
	all := record.NewFrame(selected)
	var rows []int
	err = d.read(d.filesOf(table, runs), columns, func(f *record.Frame) error {
		rows = rows[:0]
		for row, run := range f.Ints(id) {
			if slices.Contains(runs, run) {
				rows = append(rows, row)
			}
		}
		return all.AppendRows(f, rows...)
	})
	if err != nil {
		return nil, err
	}
	return all, nil
}

// filesOf returns the parts of a table that may hold rows of the given runs.
func (d *Dataset) filesOf(table string, runs []int64) []string {
	files := d.Files(table)
	recipe, study := d.Study()
	if !study {
		return files
	}
	return slices.DeleteFunc(files, func(name string) bool {
		from, to := recipe.Slice(partNumber(filepath.Base(name)))
		return !slices.ContainsFunc(runs, func(run int64) bool { return int64(from) <= run && run < int64(to) })
	})
}
