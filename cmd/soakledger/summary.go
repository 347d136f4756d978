package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"soakledger/output"
	"soakledger/sim"
	"soakledger/sim/record"
)

// spread is a column of the runs that a summary speaks of.
type spread struct {
	column, label, unit string
	scale               float64
	less                bool // less of it is better
}

// spreads are those that every study has, if they are there.
var spreads = []spread{
	{"rise_k", "rise over the room", "K", 1, true},
	{"to_within_0_5_k_s", "soaked within 0.5 K", "min", 1. / 60, true},
	{"cool_to_within_1_k_s", "cooled within 1 K", "min", 1. / 60, true},
	{"noise_dba", "noise", "dBA", 1, true},
	{"coolant_volume_ml", "coolant", "mL", 1, true},
	{"price", "price", "", 1, true},
}

// summary says what a finished study has found, from its dataset.
func (a *app) summary(dir string) error {
	d, err := output.Open(dir)
	if err != nil {
		return err
	}
	runs, err := d.Read("runs")
	if err != nil {
		return err
	}
	w := a.stdout
	recipe, _ := d.Study()
	fmt.Fprintf(w, "%s\n\n", d.Meta().Title)
	fmt.Fprintf(w, "%s\n\n", counted(runs, recipe.Runs))
	writeFigures(w, runs)
	writeReasons(w, runs)
	for _, t := range d.Tables() {
		fmt.Fprintf(w, "%-8s %9d rows  %s/%s/*.parquet\n", t.Name, d.Rows(t.Name), dir, t.Name)
	}
	fmt.Fprintf(w, "\nfirst query: duckdb -c \"SELECT %s, rise_k, to_within_0_5_k_s / 60 AS soak_min FROM '%s/runs/*.parquet' ORDER BY rise_k\"\n", strings.Join(axisNames(runs.Table()), ", "), dir)
	fmt.Fprintln(w, "\nA calculation, not a safety case: makers' instructions, local codes and\nlicensed practice come first.")
	return nil
}

// counted says how many designs became what.
func counted(runs *record.Frame, numbers int) string {
	by := map[string]int{}
	for _, status := range runs.Texts(runs.Col("status")) {
		by[status]++
	}
	text := fmt.Sprintf("%d designs: %d done", numbers, by[string(sim.Done)])
	for _, one := range []struct {
		status sim.Status
		words  string
	}{{sim.LeftRange, "left the model's range"}, {sim.Failed, "failed"}} {
		if n := by[string(one.status)]; n > 0 {
			text += fmt.Sprintf(", %d %s", n, one.words)
		}
	}
	if dropped := numbers - runs.Rows(); dropped > 0 {
		text += fmt.Sprintf(", %d dropped by the study's conditions", dropped)
	}
	return text
}

// axisNames are the columns of what varies: those behind the number of the run.
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

// writeFigures prints the best, the middle and the worst of every figure.
func writeFigures(w io.Writer, runs *record.Frame) {
	axes := axisNames(runs.Table())
	for _, f := range spreads {
		col := runs.Col(f.column)
		if col < 0 {
			continue
		}
		rows := known(runs, col)
		if len(rows) == 0 {
			continue
		}
		values := runs.Floats(col)
		slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
		least, most, middle := rows[0], rows[len(rows)-1], rows[len(rows)/2]
		if values[least] == values[most] {
			continue
		}
		fmt.Fprintf(w, "%-20s %8.4g to %.4g %s, middle %.4g (%d runs)\n", f.label, f.scale*values[least], f.scale*values[most], f.unit, f.scale*values[middle], len(rows))
		fmt.Fprintf(w, "%-20s least at %s\n", "", where(runs, axes, least))
		fmt.Fprintf(w, "%-20s most at %s\n", "", where(runs, axes, most))
	}
	fmt.Fprintln(w)
}

// known lists the rows in which a column has a value.
func known(f *record.Frame, col int) []int {
	var rows []int
	for row := range f.Rows() {
		if !f.IsNull(col, row) {
			rows = append(rows, row)
		}
	}
	return rows
}

// where names a run by the values of its axes.
func where(runs *record.Frame, axes []string, row int) string {
	words := []string{"run " + strconv.FormatInt(runs.Ints(0)[row], 10)}
	for _, name := range axes {
		words = append(words, name+" "+cell(runs, runs.Col(name), row))
	}
	return strings.Join(words, ", ")
}

// cell writes a value.
func cell(f *record.Frame, col, row int) string {
	if f.IsNull(col, row) {
		return "-"
	}
	switch f.Table().Columns[col].Kind {
	case record.Int:
		return strconv.FormatInt(f.Ints(col)[row], 10)
	case record.Text:
		return f.Texts(col)[row]
	case record.Flag:
		return strconv.FormatBool(f.Flags(col)[row])
	}
	return strconv.FormatFloat(f.Floats(col)[row], 'g', 6, 64)
}

// writeReasons prints why runs failed or left the range, the most frequent first.
func writeReasons(w io.Writer, runs *record.Frame) {
	type reason struct {
		text  string
		times int
		first int64
	}
	var all []reason
	col := runs.Col("reason")
	for _, row := range known(runs, col) {
		text := runs.Texts(col)[row]
		i := slices.IndexFunc(all, func(r reason) bool { return r.text == text })
		if i < 0 {
			i = len(all)
			all = append(all, reason{text: text, first: runs.Ints(0)[row]})
		}
		all[i].times++
	}
	slices.SortStableFunc(all, func(a, b reason) int { return cmp.Compare(b.times, a.times) })
	const most = 5
	for _, r := range all[:min(most, len(all))] {
		fmt.Fprintf(w, "%d runs, run %d the first: %s\n", r.times, r.first, r.text)
	}
	if more := len(all) - most; more > 0 {
		fmt.Fprintf(w, "and %d more reasons, in the column reason\n", more)
	}
	if len(all) > 0 {
		fmt.Fprintln(w)
	}
}
