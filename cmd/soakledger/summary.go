package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"soakledger/output"
	"soakledger/sim"
	"soakledger/sim/record"
)

// summary is what a finished study has found: read from its table of runs row group by
// row group, so that it needs no memory for runs.
type summary struct {
	dir     string
	data    *output.Dataset
	designs int // of the plan, dropped ones too
	axes    []string
	by      map[sim.Status]int
	rows    int
	spreads []*spread
	reasons reasons
	within  string // column of the time to soak; empty if there is none
	phases  extent // numbers of the heating phases
	powers  extent // W, of their loads
}

// extent is how far some values reach.
type extent struct {
	known    bool
	low, top float64
}

func (e *extent) add(v float64) {
	if !e.known {
		*e = extent{true, v, v}
	}
	e.low, e.top = min(e.low, v), max(e.top, v)
}

// summaryOf reads the dataset of a study.
func summaryOf(dir string) (*summary, error) {
	d, err := openDataset(dir)
	if err != nil {
		return nil, err
	}
	recipe, study := d.Study()
	if !study {
		return nil, usage("%s holds a single run, not a study; soakledger show %s prints its card", dir, dir)
	}
	s := &summary{dir: dir, data: d, designs: recipe.Runs, by: map[sim.Status]int{}}
	table := tableOf(d, "runs")
	s.axes = axisNames(table)
	s.spreads, s.within = spreadsOf(table)
	columns := append([]string{"run_id", "status", "reason", heatingPhase, heatingPower}, s.axes...)
	for _, one := range s.spreads {
		if !slices.Contains(columns, one.column) { // it may be an axis itself
			columns = append(columns, one.column)
		}
	}
	if err := d.Each("runs", columns, s.add); err != nil {
		return nil, err
	}
	return s, nil
}

// The columns of the phase to which the figures of a run belong, and of its load.
const (
	heatingPhase = "heating_phase"
	heatingPower = "power_w"
)

// tableOf describes a table of a dataset.
func tableOf(d *output.Dataset, name string) record.Table {
	for _, t := range d.Tables() {
		if t.Name == name {
			return t
		}
	}
	return record.Table{Name: name}
}

// axisNames are the columns of what varies: those between the number of a run and its
// status.
func axisNames(t record.Table) []string {
	var names []string
	for _, c := range t.Columns[1:] {
		if c.Name == "status" {
			break
		}
		names = append(names, c.Name)
	}
	return names
}

// add takes rows of the table of runs. Figures of a run that did not go to its end are
// not compared with those of others.
func (s *summary) add(f *record.Frame) error {
	ids, statuses := f.Ints(f.Col("run_id")), f.Texts(f.Col("status"))
	reason := f.Col("reason")
	for row, id := range ids {
		status := sim.Status(statuses[row])
		s.by[status]++
		s.rows++
		if status != sim.Done {
			s.reasons.add(status, f.Texts(reason)[row], id, func() string { return s.where(f, row) })
			continue
		}
		for _, one := range s.spreads {
			one.add(f, row, id, s.where)
		}
		if phase, power := f.Col(heatingPhase), f.Col(heatingPower); !f.IsNull(phase, row) && !f.IsNull(power, row) {
			s.phases.add(float64(f.Ints(phase)[row]))
			s.powers.add(f.Floats(power)[row])
		}
	}
	return nil
}

// where names a run by the values of its axes.
func (s *summary) where(f *record.Frame, row int) string {
	words := make([]string, len(s.axes))
	for i, name := range s.axes {
		words[i] = cell(f, f.Col(name), row)
	}
	return strings.Join(words, "\t")
}

// ended returns errPartly if a run did not go to its end.
func (s *summary) ended() error {
	if s.by[sim.Done] < s.rows {
		return errPartly
	}
	return nil
}

// write prints the summary for people.
func (s *summary) write(w io.Writer) {
	if title := s.data.Meta().Title; title != "" {
		fmt.Fprintf(w, "%s\n\n", title)
	}
	fmt.Fprintf(w, "%s\n", s.counted())
	s.reasons.write(w, s.axes)
	if s.by[sim.Done] > 0 {
		s.writeFigures(w)
	}
	if s.phases.low < s.phases.top {
		fmt.Fprintf(w, "\nrise, level and times are of the phase with the largest warming, which is not the same in all\nruns (heating_phase %.0f to %.0f, %s to %s W): part of what differs is its load\n",
			s.phases.low, s.phases.top, digits(s.powers.low), digits(s.powers.top))
	}
	fmt.Fprintln(w)
	for _, t := range s.data.Tables() {
		fmt.Fprintf(w, "%-9s%d rows in %s/%s/*.parquet\n", t.Name, s.data.Rows(t.Name), s.dir, t.Name)
	}
	s.writeQuery(w)
	fmt.Fprint(w, closing(hasFaults(s.data.Meta())))
	fmt.Fprintf(w, "\ndataset  %s\n", s.dir)
}

// counted says how many designs became what.
func (s *summary) counted() string {
	text := fmt.Sprintf("%s: %d done", several(s.designs, "design"), s.by[sim.Done])
	for _, one := range []struct {
		n     int
		words string
	}{
		{s.by[sim.LeftRange], "left the model's range"}, {s.by[sim.Failed], "failed"}, {s.designs - s.rows, "dropped by the study's conditions"},
	} {
		if one.n > 0 {
			text += fmt.Sprintf(", %d %s", one.n, one.words)
		}
	}
	return text
}

// writeQuery prints the first query to try, of columns that are there and runs whose
// figures can be compared.
func (s *summary) writeQuery(w io.Writer) {
	table := tableOf(s.data, "runs")
	columns := []string{"run_id"}
	for _, name := range s.axes {
		if slices.Contains(sqlWords, name) {
			name = `\"` + name + `\"`
		}
		columns = append(columns, name)
	}
	order := ""
	if table.Index("rise_k") >= 0 {
		columns = append(columns, "rise_k")
		order = " ORDER BY rise_k"
	}
	if slices.ContainsFunc(s.spreads, func(one *spread) bool { return one.column == s.within && one.known > 0 }) {
		columns = append(columns, s.within+" / 60 AS soak_min")
	}
	fmt.Fprintf(w, "\nto begin with (or soakledger export %s > runs.csv):\n  duckdb -c \"SELECT %s FROM '%s/runs/*.parquet' WHERE status = 'done'%s LIMIT 20\"\n", s.dir, strings.Join(columns, ", "), s.dir, order)
}

// sqlWords are reserved words of SQL (ISO/IEC 9075-2:2016, 5.2) that could be the name of
// a column: they stand in quotes.
var sqlWords = []string{
	"all", "and", "any", "as", "at", "between", "both", "by", "case", "cast", "check", "column", "condition", "constraint",
	"create", "cross", "cube", "current", "date", "default", "distinct", "do", "else", "end", "except", "exists", "for",
	"foreign", "from", "full", "group", "having", "in", "inner", "interval", "into", "is", "join", "lateral", "leading", "left",
	"like", "limit", "natural", "not", "null", "offset", "on", "only", "or", "order", "outer", "partition", "range", "references",
	"right", "row", "rows", "select", "set", "some", "sum", "table", "then", "time", "to", "trailing", "true", "union", "unique",
	"user", "using", "value", "values", "when", "where", "window", "with",
}
