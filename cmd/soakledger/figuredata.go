package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"soakledger/output"
	fig "soakledger/output/figure"
	"soakledger/sim/record"
)

// tracesTable is the table that is drawn.
const tracesTable = "traces"

// openDataset opens the dataset in a folder.
func openDataset(dir string) (*output.Dataset, error) {
	if _, err := os.Stat(dir); errors.Is(err, os.ErrNotExist) {
		return nil, usage("%s: there is no such folder", dir)
	}
	d, err := output.Open(dir)
	if err != nil {
		return nil, usageError{err}
	}
	return d, nil
}

// pictured is a dataset of which some runs are drawn.
type pictured struct {
	*output.Dataset
	name string // that tells it from the others; empty if there are none
	runs []int64
}

// many reports whether it holds a study, or several runs.
func (p *pictured) many() bool {
	_, study := p.Study()
	return study || p.Rows(runsTable) > 1
}

// figureOf reads what a figure of some datasets shows: the given runs of each, or all
// of them if none is given.
func figureOf(dirs []string, runs []span, columns []string) (*fig.Figure, error) {
	var all []pictured
	total := 0
	for _, dir := range dirs {
		d, err := openDataset(dir)
		if err != nil {
			return nil, err
		}
		p := pictured{Dataset: d}
		if p.runs, err = chooseRuns(d, runs); err != nil {
			return nil, err
		}
		if total += len(p.runs); total > fig.MaxRuns {
			return nil, tooManyRuns(dirs, p.runs)
		}
		all = append(all, p)
	}
	panels, err := panelsOf(all, columns)
	if err != nil {
		return nil, err
	}
	f := &fig.Figure{Title: titleOf(all), Panels: panels}
	f.Note = strings.Join(append(chosen(all), engines(all)), "; ")
	for i := range all {
		more, err := all[i].read(columns)
		if err != nil {
			return nil, err
		}
		f.Runs = append(f.Runs, more...)
	}
	if f.Key, err = nameRuns(all, f.Runs); err != nil {
		return nil, err
	}
	return f, nil
}

// chosen says which runs of studies are drawn, so that they are found again.
func chosen(all []pictured) []string {
	var says []string
	for i := range all {
		if p := &all[i]; p.many() {
			word := "run "
			if len(p.runs) > 1 {
				word = "runs "
			}
			text := word + ranges(slices.Sorted(slices.Values(p.runs)))
			if p.name != "" {
				text += " of " + p.name
			}
			says = append(says, text)
		}
	}
	return says
}

// tooManyRuns says how to draw fewer.
func tooManyRuns(dirs []string, last []int64) error {
	if len(dirs) > 1 {
		return usage("the datasets hold more than %d runs together, the most that a figure shows: name fewer of them, or choose runs with --runs", fig.MaxRuns)
	}
	return usage("%s: %d runs are more than the %d that a figure shows: choose some, for example --runs %d,%d or --runs %d-%d", dirs[0], len(last), fig.MaxRuns, last[0], last[2], last[0], last[3])
}

// chooseRuns returns which runs of a dataset are drawn: a number stands for a run that
// must be there, a range for those within it that have a trace.
func chooseRuns(d *output.Dataset, wanted []span) ([]int64, error) {
	traced, err := tracedRuns(d)
	if err != nil {
		return nil, err
	}
	if len(wanted) == 0 {
		return traced, nil
	}
	var runs []int64
	for _, s := range wanted {
		found := false
		for _, run := range traced {
			if !s.holds(run) {
				continue
			}
			if found = true; slices.Contains(runs, run) {
				return nil, usage("--runs: run %d is asked for twice", run)
			}
			runs = append(runs, run)
		}
		if !found {
			return nil, usage("--runs: %s holds no trace of %s; the runs with one are %s", d.Dir(), s, ranges(traced))
		}
	}
	return runs, nil
}

// tracedRuns returns the runs of a dataset that have a trace, at least one.
func tracedRuns(d *output.Dataset) ([]int64, error) {
	if d.Rows(tracesTable) == 0 {
		return nil, usage("%s holds no trace: there is nothing to draw", d.Dir())
	}
	var runs []int64
	err := d.Each(tracesTable, []string{"run_id"}, func(f *record.Frame) error {
		for _, run := range f.Ints(0) {
			if len(runs) == 0 || runs[len(runs)-1] != run {
				runs = append(runs, run)
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("finding the runs with a trace: %w", err)
	}
	return runs, nil
}

// ranges writes rising numbers as 0 to 3, 5, 7.
func ranges(runs []int64) string {
	var parts []string
	for i := 0; i < len(runs); {
		end := i + 1
		for end < len(runs) && runs[end] == runs[end-1]+1 {
			end++
		}
		part := strconv.FormatInt(runs[i], 10)
		if end > i+1 {
			part += " to " + strconv.FormatInt(runs[end-1], 10)
		}
		parts = append(parts, part)
		i = end
		if len(parts) == 12 && i < len(runs) {
			return strings.Join(append(parts, "..."), ", ")
		}
	}
	return strings.Join(parts, ", ")
}

// titleOf returns the title over some datasets, and gives each a name if there are
// several: its own title where those differ, its folder otherwise.
func titleOf(all []pictured) string {
	title := all[0].Meta().Title
	if len(all) == 1 {
		if title == "" {
			title = baseFolder(all[0].Dir())
		}
		return title
	}
	titles := map[string]bool{}
	for i := range all {
		titles[all[i].Meta().Title] = true
	}
	for i := range all {
		all[i].name = baseFolder(all[i].Dir())
		if len(titles) == len(all) && !titles[""] {
			all[i].name = all[i].Meta().Title
		}
	}
	if len(titles) > 1 || title == "" {
		title = fmt.Sprintf("%d datasets compared", len(all))
	}
	return title
}

// baseFolder returns the last element of a folder's name, of "." too.
func baseFolder(dir string) string {
	if full, err := filepath.Abs(dir); err == nil {
		dir = full
	}
	return filepath.Base(dir)
}

// engines names the versions of the engine that computed some datasets.
func engines(all []pictured) string {
	var versions []string
	for i := range all {
		if v := all[i].Meta().EngineVersion; !slices.Contains(versions, v) {
			versions = append(versions, v)
		}
	}
	return "soakledger " + strings.Join(versions, ", ")
}

// panelsOf describes the columns to be drawn. Every dataset must have all of them.
func panelsOf(all []pictured, columns []string) ([]fig.Panel, error) {
	if n := len(columns); n < 1 || n > fig.MaxPanels {
		return nil, usage("--columns: %d columns; a figure has 1 to %d panels", n, fig.MaxPanels)
	}
	var panels []fig.Panel
	for i := range all {
		t := table(all[i].Dataset, tracesTable)
		panels = panels[:0]
		for k, name := range columns {
			at := t.Index(name)
			if at < 0 || !drawable(t.Columns[at]) {
				return nil, noSuchColumn(all[i].Dir(), t, name)
			}
			if slices.Contains(columns[:k], name) {
				return nil, usage("--columns: %s is asked for twice", name)
			}
			panels = append(panels, panelOf(t.Columns[at]))
		}
	}
	return panels, nil
}

// table returns the description of a table; an empty one if the dataset has none.
func table(d *output.Dataset, name string) record.Table {
	tables := d.Tables()
	if i := slices.IndexFunc(tables, func(t record.Table) bool { return t.Name == name }); i >= 0 {
		return tables[i]
	}
	return record.Table{}
}

// drawable reports whether a column of the trace can be a panel.
func drawable(c record.Column) bool { return c.Kind == record.Float && c.Name != "time_s" }

func noSuchColumn(dir string, t record.Table, name string) error {
	var names []string
	for _, c := range t.Columns {
		if drawable(c) {
			names = append(names, c.Name)
		}
	}
	return usage("--columns: the trace of %s has no column %s to draw; it has %s", dir, name, strings.Join(names, ", "))
}

// panelOf names the panel of a column: "cpu die", °C.
func panelOf(c record.Column) fig.Panel {
	unit := statedUnit(c.Unit)
	return fig.Panel{Name: strings.ReplaceAll(withoutUnit(c.Name, unit), "_", " "), Unit: printedUnit(unit)}
}

// printedUnit writes a unit as print does.
func printedUnit(unit string) string {
	if unit == "deg" {
		return "°"
	}
	return strings.NewReplacer("degC", "°C", "m3", "m³", "m2", "m²").Replace(unit)
}

// number writes a value of a label with four significant digits, and all before the
// point.
func number(v float64) string {
	if v == 0 {
		return "0"
	}
	decimals := max(0, 3-int(math.Floor(math.Log10(math.Abs(v)))))
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if decimals > 0 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}
