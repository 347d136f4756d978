package sweep

import (
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
// that not every design has, and any figure of a run that may fail, may be null.
func (p *Plan) Tables(traces record.TraceChoice) (*Tables, error) {
	designs, err := p.Alternatives()
	if err != nil {
		return nil, err
	}
	var t Tables
	assembled := 0
	var failure error
	for _, d := range designs {
		plan, err := assemble.Build(d.Scenario)
		if err != nil { // it becomes a row that says so
			failure = err
			continue
		}
		assembled++
		for _, one := range sim.Tables(plan) {
			t.join(one, assembled == 1)
		}
	}
	if assembled == 0 {
		if failure == nil {
			return nil, Problems{{Path: "study.keep", Text: "no alternative of the study meets its conditions"}}
		}
		return nil, fmt.Errorf("sweep: no alternative of the study can be built: %w", failure)
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
		return nil, fmt.Errorf("sweep: choosing traces: %w", err)
	}
	return &t, nil
}

// runID is the column that every table begins with.
const runID = "run_id"

// join adds the columns of one alternative's table.
func (t *Tables) join(one record.Table, first bool) {
	all := map[string]*record.Table{"runs": &t.Runs, "phases": &t.Phases, "events": &t.Events, "traces": &t.Whole}[one.Name]
	if all == nil {
		return
	}
	if first {
		*all = record.Table{Name: one.Name, Columns: slices.Clone(one.Columns)}
		return
	}
	at := 0
	for i := range all.Columns { // those that this alternative lacks
		if one.Index(all.Columns[i].Name) < 0 {
			all.Columns[i].Nullable = true
		}
	}
	for _, c := range one.Columns {
		if i := all.Index(c.Name); i >= 0 {
			all.Columns[i].Nullable = all.Columns[i].Nullable || c.Nullable
			at = i + 1
			continue
		}
		c.Nullable = true
		all.Columns = slices.Insert(all.Columns, at, c)
		at++
	}
}

// conform writes the rows of a frame into another of a table that holds its columns
// and perhaps more, which are null.
func conform(dst, src *record.Frame) {
	rows := src.Rows()
	for k, c := range dst.Table().Columns {
		i := src.Col(c.Name)
		if i < 0 {
			dst.AppendNulls(k, rows)
			continue
		}
		copyColumn(dst, k, src, i, c.Kind)
	}
}

// copyColumn appends column i of a frame to column k of another.
func copyColumn(dst *record.Frame, k int, src *record.Frame, i int, kind record.Kind) {
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
		case kind == record.Float:
			dst.AppendFloats(k, src.Floats(i)[from:to])
		case kind == record.Int:
			dst.AppendInts(k, src.Ints(i)[from:to])
		case kind == record.Text:
			dst.AppendTexts(k, src.Texts(i)[from:to])
		default:
			dst.AppendFlags(k, src.Flags(i)[from:to])
		}
		from = to
	}
}
