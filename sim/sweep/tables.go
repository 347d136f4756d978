package sweep

import (
	"errors"
	"fmt"
	"slices"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/record"
)

// Tables are those of a study's dataset: what every design gives has its place in them.
type Tables struct {
	Runs, Phases, Events record.Table
	Traces               record.Table    // without columns where no traces are kept
	Whole                record.Table    // traces before columns are chosen
	Axes                 []record.Column // of the table of runs
}

// All returns the tables in the order in which a part holds them.
func (t *Tables) All() []record.Table {
	all := []record.Table{t.Runs, t.Phases, t.Events}
	if len(t.Traces.Columns) > 0 {
		all = append(all, t.Traces)
	}
	return all
}

// Tables returns the tables of the plan's dataset: the columns of all alternatives
// together, in file order, with those of the axes behind the number of the run. A column
// that not every design has, and any figure of a run that may fail, may be null. The
// error is of type Problems where conditions drop every design, a *ChoiceError where
// traces cannot be chosen so, and tells what is wrong with a design where none can be
// built.
func (p *Plan) Tables(traces record.TraceChoice) (*Tables, error) {
	var t Tables
	assembled := 0
	failure, err := p.Alternatives(func(d *Design) error {
		plan, err := assemble.Build(d.Scenario)
		if err != nil {
			return err // it becomes a row that says so
		}
		assembled++
		for _, one := range sim.Tables(plan) {
			if err := t.join(one, assembled == 1); err != nil {
				return err
			}
		}
		return nil
	})
	switch {
	case err != nil:
		return nil, err
	case assembled == 0 && failure == nil:
		return nil, Problems{{Path: "study.keep", Text: p.noneKept()}}
	case assembled == 0:
		return nil, fmt.Errorf("sweep: none of the designs that were tried can be built: %w", failure)
	}
	if t.Axes, err = p.Columns(t.Runs.Columns); err != nil {
		return nil, err
	}
	t.Runs.Columns = slices.Insert(t.Runs.Columns, 1, t.Axes...)
	for i := range t.Runs.Columns {
		c := &t.Runs.Columns[i]
		c.Nullable = c.Nullable || c.Name != runID && c.Name != "status" && (i == 0 || i > len(t.Axes))
	}
	if traces.Every == 0 {
		return &t, nil
	}
	if t.Traces, err = traces.Table(t.Whole); err != nil {
		return nil, &ChoiceError{err}
	}
	return &t, nil
}

// noneKept says that conditions drop every design that was looked at.
func (p *Plan) noneKept() string {
	if p.count > mostSearched {
		return fmt.Sprintf("none of the first %d of the study's %d designs meets its conditions, and no more are looked at: narrow what is varied instead", mostSearched, p.count)
	}
	return "no design of the study meets its conditions"
}

// ChoiceError says that the traces of a study cannot be chosen so.
type ChoiceError struct{ Err error }

func (e *ChoiceError) Error() string { return "sweep: choosing traces: " + e.Err.Error() }

// Unwrap returns what is wrong.
func (e *ChoiceError) Unwrap() error { return e.Err }

// runID is the column that every table begins with.
const runID = "run_id"

// join adds the columns of one alternative's table.
func (t *Tables) join(one record.Table, first bool) error {
	all := map[string]*record.Table{"runs": &t.Runs, "phases": &t.Phases, "events": &t.Events, "traces": &t.Whole}[one.Name]
	if all == nil {
		return fmt.Errorf("a study keeps no table %s", one.Name)
	}
	if first {
		*all = record.Table{Name: one.Name, Columns: slices.Clone(one.Columns)}
		return nil
	}
	at := 0
	for i := range all.Columns { // those that this alternative lacks
		if one.Index(all.Columns[i].Name) < 0 {
			all.Columns[i].Nullable = true
		}
	}
	for _, c := range one.Columns {
		i := all.Index(c.Name)
		if i < 0 {
			c.Nullable = true
			all.Columns = slices.Insert(all.Columns, at, c)
			at++
			continue
		}
		old := &all.Columns[i]
		if old.Kind != c.Kind || old.Unit != c.Unit || old.Grid != c.Grid {
			return fmt.Errorf("column %s of table %s is %s in %q on a grid of %g with one design and %s in %q on one of %g with another", c.Name, one.Name, old.Kind, old.Unit, old.Grid, c.Kind, c.Unit, c.Grid)
		}
		old.Nullable = old.Nullable || c.Nullable
		at = i + 1
	}
	return nil
}

// conform writes the rows of a frame into another of a table that holds its columns
// and perhaps more, which are null. A table that does not is an error: nothing may be
// left out.
func conform(dst, src *record.Frame) error {
	if err := holds(dst.Table(), src); err != nil {
		return err
	}
	rows := src.Rows()
	for k, c := range dst.Table().Columns {
		i := src.Col(c.Name)
		if i < 0 {
			dst.AppendNulls(k, rows)
			continue
		}
		copyColumn(dst, k, src, i)
	}
	return nil
}

// holds reports what keeps the rows of a frame out of a table.
func holds(t record.Table, src *record.Frame) error {
	found := 0
	for _, c := range t.Columns {
		i := src.Col(c.Name)
		switch {
		case i < 0 && !c.Nullable:
			return fmt.Errorf("table %s: the design has no column %s, which all designs that were tried have", t.Name, c.Name)
		case i < 0:
			continue
		case src.Table().Columns[i].Kind != c.Kind || src.Table().Columns[i].Grid != c.Grid:
			return fmt.Errorf("table %s: column %s of the design is of another kind or on another grid than that of others", t.Name, c.Name)
		case !c.Nullable && slices.Contains(src.Nulls(i), true):
			return fmt.Errorf("table %s: column %s of the design lacks a value, which those that were tried have", t.Name, c.Name)
		}
		found++
	}
	if found == len(src.Table().Columns) {
		return nil
	}
	for _, c := range src.Table().Columns {
		if t.Index(c.Name) < 0 {
			return fmt.Errorf("table %s: the design has a column %s, which none of those that were tried has", t.Name, c.Name)
		}
	}
	return errors.New("two columns have one name")
}

// copyColumn appends column i of a frame to column k of another, of the same kind.
func copyColumn(dst *record.Frame, k int, src *record.Frame, i int) {
	c := dst.Table().Columns[k]
	nulls := src.Nulls(i)
	from := 0
	for from < src.Rows() {
		to, null := from+1, nulls != nil && nulls[from]
		for to < src.Rows() && (nulls != nil && nulls[to]) == null {
			to++
		}
		switch {
		case null:
			dst.AppendNulls(k, to-from)
		case c.Kind == record.Float:
			dst.AppendFloats(k, src.Floats(i)[from:to])
		case c.Kind == record.Int:
			dst.AppendInts(k, src.Ints(i)[from:to])
		case c.Kind == record.Text:
			dst.AppendTexts(k, src.Texts(i)[from:to])
		default:
			dst.AppendFlags(k, src.Flags(i)[from:to])
		}
		from = to
	}
}
