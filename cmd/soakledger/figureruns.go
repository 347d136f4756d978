package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	fig "soakledger/output/figure"
	"soakledger/sim/record"
)

// read returns the runs of a dataset as they are drawn, without labels.
func (p *pictured) read(columns []string) ([]fig.Run, error) {
	levels, err := p.levels(columns)
	if err != nil {
		return nil, err
	}
	t := table(p.Dataset, tracesTable)
	loads := p.loadColumns(t)
	wanted := slices.Concat([]string{"run_id", "time_s"}, columns, loads)
	measured := map[string]string{}
	for _, c := range columns {
		if name := strings.TrimSuffix(c, "_c") + "_measured_c"; name != c && t.Index(name) >= 0 {
			measured[c] = name
			wanted = append(wanted, name)
		}
	}
	slices.Sort(wanted)
	trace, err := p.ReadRuns(tracesTable, p.runs, slices.Compact(wanted)...)
	if err != nil {
		return nil, fmt.Errorf("reading the traces: %w", err)
	}
	runs := make([]fig.Run, len(p.runs))
	for i, id := range p.runs {
		rows := rowsOfRun(trace, id)
		r := fig.Run{Times: rows.of("time_s"), Load: rows.sum(loads)}
		for k, c := range columns {
			curve := fig.Curve{Values: rows.of(c), Level: levels[i][k]}
			if name, ok := measured[c]; ok {
				curve.Measured = rows.of(name)
			}
			r.Curves = append(r.Curves, curve)
		}
		runs[i] = r
	}
	return runs, nil
}

// loadColumns returns the columns whose sum is the power that is requested: what a
// source draws, or what it is asked for where that can be more. Where a study keeps only
// chosen columns some may be missing, so that the sum is not known.
func (p *pictured) loadColumns(t record.Table) []string {
	if recipe, ok := p.Study(); ok {
		if choice, err := record.ParseTraceChoice(recipe.Traces); err != nil || len(choice.Columns) > 0 {
			return nil
		}
	}
	const drawn, asked = "_power_w", "_requested_w"
	var loads []string
	for _, c := range t.Columns {
		source, ok := strings.CutSuffix(c.Name, drawn)
		switch {
		case ok && t.Index(source+asked) < 0, strings.HasSuffix(c.Name, asked):
			loads = append(loads, c.Name)
		}
	}
	return loads
}

// runRows is the rows of one run in a frame.
type runRows struct {
	frame *record.Frame
	rows  []int
}

func rowsOfRun(f *record.Frame, id int64) runRows {
	r := runRows{frame: f}
	for row, run := range f.Ints(f.Col("run_id")) {
		if run == id {
			r.rows = append(r.rows, row)
		}
	}
	return r
}

// of returns the values of a column, NaN where there is none.
func (r runRows) of(column string) []float64 {
	col := r.frame.Col(column)
	values := make([]float64, len(r.rows))
	for i, row := range r.rows {
		values[i] = r.frame.Floats(col)[row]
		if r.frame.IsNull(col, row) {
			values[i] = math.NaN()
		}
	}
	return values
}

// sum returns the sums of columns, nil without columns. A null is a source that the
// run does not have.
func (r runRows) sum(columns []string) []float64 {
	if len(columns) == 0 {
		return nil
	}
	sums := make([]float64, len(r.rows))
	for _, c := range columns {
		values := r.frame.Floats(r.frame.Col(c)) // 0 at a null
		for i, row := range r.rows {
			sums[i] += values[row]
		}
	}
	return sums
}

// levels returns for each run and column the level of the heating phase; nil where
// there is none.
func (p *pictured) levels(columns []string) ([][]*fig.Level, error) {
	all := make([][]*fig.Level, len(p.runs))
	for i := range all {
		all[i] = make([]*fig.Level, len(columns))
	}
	runs, phases := table(p.Dataset, "runs"), table(p.Dataset, "phases")
	if runs.Index("heating_phase") < 0 || phases.Index("phase") < 0 {
		return all, nil
	}
	heating, err := p.ReadRuns("runs", p.runs, "run_id", "heating_phase")
	if err != nil {
		return nil, fmt.Errorf("reading the heating phases: %w", err)
	}
	rows, err := p.ReadRuns("phases", p.runs)
	if err != nil {
		return nil, fmt.Errorf("reading the levels: %w", err)
	}
	phase := map[int64]int64{}
	for row, run := range heating.Ints(0) {
		if !heating.IsNull(1, row) {
			phase[run] = heating.Ints(1)[row]
		}
	}
	for row, run := range rows.Ints(rows.Col("run_id")) {
		if number, ok := phase[run]; ok && rows.Ints(rows.Col("phase"))[row] == number {
			all[slices.Index(p.runs, run)] = levelsIn(rows, row, columns)
		}
	}
	return all, nil
}

// levelsIn returns the levels of columns in a row of the phases.
func levelsIn(f *record.Frame, row int, columns []string) []*fig.Level {
	levels := make([]*fig.Level, len(columns))
	from, to := f.Floats(f.Col("from_s"))[row], f.Floats(f.Col("to_s"))[row]
	for k, c := range columns {
		name := strings.TrimSuffix(c, "_c") + "_level_c"
		if c == "coolant_c" {
			name = "level_c"
		}
		if col := f.Col(name); col >= 0 && !f.IsNull(col, row) && from < to {
			levels[k] = &fig.Level{Value: f.Floats(col)[row], From: from, To: to}
		}
	}
	return levels
}

// valueText prints a value; nothing for a null.
func valueText(f *record.Frame, col, row int) string {
	if f.IsNull(col, row) {
		return ""
	}
	switch f.Table().Columns[col].Kind {
	case record.Float:
		return number(f.Floats(col)[row])
	case record.Int:
		return strconv.FormatInt(f.Ints(col)[row], 10)
	case record.Flag:
		return strconv.FormatBool(f.Flags(col)[row])
	}
	return cmp.Or(f.Texts(col)[row], "none")
}
