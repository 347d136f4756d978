package main

import (
	"slices"
	"strings"

	"soakledger/output"
	"soakledger/sim/record"
)

// varied is what a study varied, and which of its runs are looked at.
type varied struct {
	frame *record.Frame // the table of runs
	rows  []int         // of it, those that are told apart
	axes  []axis        // those in which these rows differ
	write writer        // of values
	base  int           // the row of the design as stated, where one axis moves at a time; -1 otherwise
}

// writer writes the value of a column in a row; nothing for a null.
type writer func(f *record.Frame, column, row int) string

// axis is one column of what was varied.
type axis struct {
	column     int
	path, unit string // as a scenario states them; no unit where the path says it or there is none
	name       string // in words, as the study calls it
}

// setting is an axis with its value in one run, without a unit.
type setting struct {
	axis  axis
	value string
}

// stated writes a setting as for --set.
func (s setting) stated() string {
	return s.axis.path + "=" + strings.TrimSpace(s.value+" "+s.axis.unit)
}

// newVaried looks at some rows of a dataset's table of runs. For a study of one axis at a
// time the frame should hold run 0 too, whether or not that is among the rows.
func newVaried(d *output.Dataset, f *record.Frame, rows []int, write writer) *varied {
	v := &varied{frame: f, rows: rows, write: write, base: -1}
	id := f.Col("run_id")
	if id < 0 {
		return v
	}
	for column := id + 1; column < f.Col("status"); column++ {
		if v.differs(column) {
			v.axes = append(v.axes, newAxis(f.Table().Columns[column], column))
		}
	}
	// Its first design is the scenario as stated, unless conditions drop it.
	if r, ok := d.Study(); ok && strings.Contains(r.Plan, "\nstudy.combine = \"one at a time\"\n") {
		v.base = slices.Index(f.Ints(id), 0)
	}
	return v
}

// newAxis reads a column that sim/sweep made. A name that its study states is kept; one
// that was made of path and unit becomes words again.
func newAxis(c record.Column, column int) axis {
	a := axis{column: column, path: c.Name, unit: statedUnit(c.Unit)}
	for _, means := range []string{"varied: ", "variant of "} {
		if path, ok := strings.CutPrefix(c.Meaning, means); ok {
			a.path = path
		}
	}
	made := strings.NewReplacer(".", "_", "[", "_", "]", "").Replace(a.path)
	a.name = withoutUnit(c.Name, a.unit)
	if strings.HasSuffix(a.name, "varied_"+made) {
		a.name = made
	}
	a.name = strings.ReplaceAll(a.name, "_", " ")
	return a
}

// withoutUnit takes the unit from the end of a column's name.
func withoutUnit(name, unit string) string {
	if unit == "" {
		return name
	}
	suffix := strings.NewReplacer("/", "_", "%", "percent", "degc", "c").Replace(strings.ToLower(unit))
	return strings.TrimSuffix(name, "_"+suffix)
}

// statedUnit writes the unit of a column as files state it: rpm, W/K.
func statedUnit(unit string) string {
	switch unit {
	case "1", "in-1": // of fins per inch, whose name says it
		return ""
	case "min-1":
		return "rpm"
	case "min-1 s-1":
		return "rpm/s"
	case "degree":
		return "deg"
	case "dB(A)":
		return "dBA"
	case "J kg-1 K-1":
		return "J/(kg K)"
	}
	return strings.NewReplacer(" ", "/", "-1", "", "-3", "3").Replace(unit)
}

// differs reports whether a column has several values among the rows.
func (v *varied) differs(column int) bool {
	return slices.ContainsFunc(v.rows, func(row int) bool {
		return v.write(v.frame, column, row) != v.write(v.frame, column, v.rows[0])
	})
}

// of returns what tells a row from the others: the values of all axes in which the rows
// differ, or, where one moves at a time, of the one that moved. A null is no value.
func (v *varied) of(row int) []setting {
	var all []setting
	for _, a := range v.axes {
		text := v.write(v.frame, a.column, row)
		if text == "" || v.base >= 0 && text == v.write(v.frame, a.column, v.base) {
			continue
		}
		all = append(all, setting{a, text})
	}
	return all
}

// asStated reports whether a row is the design from which the others move.
func (v *varied) asStated(row int) bool {
	return v.base >= 0 && len(v.axes) > 0 && len(v.of(row)) == 0
}
