package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"soakledger/output"
	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/metric"
	"soakledger/sim/record"
	"soakledger/sim/spec"
	"soakledger/sim/study"
	"soakledger/sim/sweep"
)

// compareFolders compares finished runs: by their scenarios, so that differences have
// a band, or else by what is stored.
func compareFolders(ctx context.Context, dirs []string) (*comparison, error) {
	var sets []*output.Dataset
	for _, dir := range dirs {
		d, err := output.Open(dir)
		if err != nil {
			return nil, usageError{err}
		}
		sets = append(sets, d)
	}
	stored, err := storedRows(sets, folderNames(dirs))
	if err != nil {
		return nil, err
	}
	if len(stored.Designs) < 2 {
		return nil, usage("%s holds one run, which has nothing to be compared with: name a second folder, or soakledger compare FILE --with PATH=VALUE", dirs[0])
	}
	again, why, err := computedAgain(ctx, sets, stored)
	if err != nil || why == "" {
		return again, err
	}
	stored.compareStored(why)
	return stored, nil
}

// folderNames returns what folders are called: their last names, unless two have the
// same.
func folderNames(dirs []string) []string {
	var names []string
	for _, dir := range dirs {
		names = append(names, filepath.Base(filepath.Clean(dir)))
	}
	if sorted := slices.Sorted(slices.Values(names)); len(slices.Compact(sorted)) < len(dirs) {
		return dirs
	}
	return names
}

// mostStored is the largest number of runs that is laid side by side.
const mostStored = 10_000

// storedRows reads the rows of all runs.
func storedRows(sets []*output.Dataset, names []string) (*comparison, error) {
	c := &comparison{Title: sets[0].Meta().Title}
	for i, d := range sets {
		if n := d.Rows(runsTable) + int64(len(c.Designs)); n > mostStored {
			return nil, usage("%s: %d runs are more than can be laid side by side; query %s/%s/*.parquet", d.Dir(), n, d.Dir(), runsTable)
		}
		f, err := readRuns(d)
		if err != nil {
			return nil, err
		}
		axes, told := axisNames(f.Table()), toldApart(d, f)
		for row := range f.Rows() {
			one := storedRow(f, row)
			one.Design, one.Subject = names[i], storedSubject(d)
			if _, study := d.Study(); study {
				one.Design = fmt.Sprintf("run %d", one.run)
				if len(sets) > 1 {
					one.Design += " of " + names[i]
				}
			}
			for _, name := range axes {
				one.Varied = append(one.Varied, name+" "+cell(f, f.Col(name), row))
			}
			one.told = told[row]
			c.Designs = append(c.Designs, one)
		}
		c.Faults = c.Faults || hasFaults(d.Meta())
		if d.Meta().Title != c.Title {
			c.Title = ""
		}
	}
	c.subject()
	return c, nil
}

// toldApart returns for each row what tells it from the others: PATH=VALUE of the axes
// that differ, or of the one that moves.
func toldApart(d *output.Dataset, f *record.Frame) [][]string {
	all := make([][]string, f.Rows())
	rows := make([]int, f.Rows())
	for i := range rows {
		rows[i] = i
	}
	v := newVaried(d, f, rows, func(f *record.Frame, column, row int) string {
		if f.IsNull(column, row) {
			return ""
		}
		return cell(f, column, row)
	})
	for row := range all {
		if v.asStated(row) {
			all[row] = []string{asStated}
		}
		for _, s := range v.of(row) {
			all[row] = append(all[row], s.stated())
		}
	}
	return all
}

// runsTable is the table with a row a run.
const runsTable = "runs"

// stackColumn ends the names of the columns of radiators' depths.
const stackColumn = "_stack_mm"

// readRuns reads those columns of the runs that a comparison shows.
func readRuns(d *output.Dataset) (*record.Frame, error) {
	i := slices.IndexFunc(d.Tables(), func(t record.Table) bool { return t.Name == runsTable })
	if i < 0 {
		return nil, usage("%s has no table of runs to compare", d.Dir())
	}
	wanted := []string{"run_id", "status", "reason", "heating_phase", "level_kind", "missing"}
	for name := range storedFigures(new(designRow)) {
		wanted = append(wanted, name)
	}
	wanted = append(wanted, axisNames(d.Tables()[i])...)
	var columns []string
	for _, c := range d.Tables()[i].Columns {
		if slices.Contains(wanted, c.Name) || strings.HasSuffix(c.Name, stackColumn) {
			columns = append(columns, c.Name)
		}
	}
	f, err := d.Read(runsTable, columns...)
	if err != nil {
		return nil, fmt.Errorf("reading what is to be compared: %w", err)
	}
	return f, nil
}

// storedFigures says where the columns of the runs go.
func storedFigures(d *designRow) map[string]**float64 {
	return map[string]**float64{
		"power_w": &d.PowerW, "ambient_c": &d.AmbientC, "level_c": &d.LevelC, "rise_k": &d.RiseK, "peak_c": &d.PeakC,
		"to_within_0_5_k_s": &d.SoakedS, "cool_to_within_0_5_k_s": &d.CooledS,
		"noise_dba": &d.NoiseDBA, "coolant_volume_ml": &d.VolumeML, "price": &d.Price,
	}
}

// storedRow reads one row of the runs.
func storedRow(f *record.Frame, row int) designRow {
	d := designRow{Missing: whyMissing{}}
	if column := f.Col("run_id"); column >= 0 {
		d.run = int(f.Ints(column)[row])
	}
	number := func(column int) *float64 {
		if f.IsNull(column, row) {
			return nil
		}
		x := f.Floats(column)[row]
		return &x
	}
	for name, to := range storedFigures(&d) {
		if column := f.Col(name); column >= 0 {
			*to = number(column)
		}
	}
	if d.VolumeML != nil && *d.VolumeML == 0 {
		d.VolumeML = nil
	}
	for column, c := range f.Table().Columns {
		if !strings.HasSuffix(c.Name, stackColumn) {
			continue
		}
		if x := number(column); x != nil && (d.StackMM == nil || *x > *d.StackMM) {
			d.StackMM = x
		}
	}
	text := func(name string) string {
		if column := f.Col(name); column >= 0 {
			return f.Texts(column)[row]
		}
		return ""
	}
	d.Status, d.Reason, d.Kind = text("status"), text("reason"), text("level_kind")
	if column := f.Col("heating_phase"); column >= 0 {
		d.Phase = int(f.Ints(column)[row])
	}
	d.readMissing(text("missing"))
	d.unsettle()
	return d
}

// readMissing reads the reasons that a row of the runs keeps of what it has no figure
// of: COLUMN: REASON, with semicolons between.
func (d *designRow) readMissing(text string) {
	figures := storedFigures(d)
	for one := range strings.SplitSeq(text, "; ") {
		name, why, _ := strings.Cut(one, ": ")
		if at, known := figures[name]; known && *at == nil {
			d.Missing[name] = why
		}
	}
	if d.PeakC == nil && d.LevelC == nil && d.Missing["level_c"] == "" {
		d.Missing["level_c"] = "nothing warms"
	}
}

// storedSubject says what the figures of a dataset are of: a single run's card has it,
// of a study what the column of the level means.
func storedSubject(d *output.Dataset) string {
	var c card
	if err := json.Unmarshal([]byte(d.Meta().Notes[cardNote]), &c); err == nil && c.Subject != "" {
		return c.Subject
	}
	for _, t := range d.Tables() {
		if k := t.Index("level_c"); t.Name == runsTable && k >= 0 {
			of, _, _ := strings.Cut(t.Columns[k].Meaning, " at equilibrium")
			return of
		}
	}
	return "coolant"
}

// compareStored compares rows by their figures alone. why says why there is no more.
func (c *comparison) compareStored(why string) {
	c.refer(max(0, slices.IndexFunc(c.Designs, func(d designRow) bool { return d.Status == string(sim.Done) && d.PeakC != nil })))
	first := &c.Designs[c.reference]
	for i := range c.Designs {
		d := &c.Designs[i]
		if i != c.reference {
			d.Difference = newDesignDifference(storedDifference(first, d, c.referred()))
		}
		if d.Reason != "" {
			c.Notes = append(c.Notes, d.Design+": "+d.ending())
		}
	}
	c.Notes = append(c.Notes, "no bands: "+why)
}

// storedDifference returns that of a row to the reference.
func storedDifference(first, d *designRow, called string) *study.Difference {
	x := &study.Difference{Unknown: "stored figures do not tell"}
	switch done := string(sim.Done); {
	case first.Status != done || d.Status != done:
		x.Value = metric.Missing("one of the two did not end as planned")
	case first.Subject != d.Subject:
		x.Value = metric.Missing("its figures are of " + d.Subject + ", those of " + called + " of " + first.Subject)
	case first.RiseK != nil && d.RiseK != nil:
		x.Of, x.Value = study.Levels, metric.Known(*d.RiseK-*first.RiseK)
	case first.PeakC != nil && d.PeakC != nil && first.AmbientC != nil && d.AmbientC != nil:
		x.Of, x.Value = study.Peaks, metric.Known(*d.PeakC-*d.AmbientC-(*first.PeakC-*first.AmbientC))
	default:
		x.Value = metric.Missing("one of the two has no figures of a warming phase")
	}
	return x
}

// mostAgain is the largest number of designs that are computed again: each takes a
// second or so.
const mostAgain = 50

// computedAgain compares the scenarios that datasets hold, if they come out as they are
// stored; else it says why not.
func computedAgain(ctx context.Context, sets []*output.Dataset, stored *comparison) (c *comparison, why string, err error) {
	if n := len(stored.Designs); n > mostAgain {
		return nil, fmt.Sprintf("%d designs are compared by their stored figures, which do not tell how sure a difference is; soakledger compare FILE --with PATH=VALUE does", n), nil
	}
	var designs []study.Design
	for _, d := range sets {
		rows := stored.Designs[len(designs):][:d.Rows(runsTable)]
		of, err := storedDesigns(d, rows)
		if err != nil {
			return nil, fmt.Sprintf("what is in %s cannot be read again: %s", d.Dir(), firstLine(err)), nil
		}
		designs = append(designs, of...)
	}
	found, err := study.Compare(ctx, designs, study.Settings{})
	if err != nil {
		return nil, "", err
	}
	c = newComparison(stored.Title, found)
	for i := range c.Designs {
		c.Designs[i].Varied, c.Designs[i].told = stored.Designs[i].Varied, stored.Designs[i].told
		if !c.Designs[i].agrees(&stored.Designs[i]) {
			return nil, c.Designs[i].Design + " comes out otherwise now than it is stored", nil
		}
	}
	return c, "", nil
}

// storedDesigns reads the scenarios of a dataset's runs again, those of a study from its
// plan. A dataset does not hold the logs that a scenario names.
func storedDesigns(d *output.Dataset, rows []designRow) ([]study.Design, error) {
	m := d.Meta()
	doc, err := scenarios.Read("scenario", []byte(m.ScenarioText))
	if set := m.Notes["set"]; err == nil && set != "" {
		doc, err = doc.Set(strings.Split(set, "\n")...)
	}
	if err != nil {
		return nil, err
	}
	recipe, many := d.Study()
	if !many {
		return []study.Design{{Name: rows[0].Design, Scenario: doc.Scenario}}, nil
	}
	plan, err := storedPlan(doc.Scenario, recipe)
	if err != nil {
		return nil, err
	}
	var all []study.Design
	for _, row := range rows {
		one, err := plan.Design(row.run)
		all = append(all, study.Design{Name: row.Design, Scenario: one.Scenario, Err: err})
	}
	return all, nil
}

// storedPlan makes the plan of a study again.
func storedPlan(s *spec.Scenario, recipe output.Recipe) (*sweep.Plan, error) {
	traces, err := record.ParseTraceChoice(recipe.Traces)
	if err != nil {
		return nil, err
	}
	if s, err = recorded(s, traces); err != nil {
		return nil, err
	}
	plan, err := sweep.New(s)
	if err == nil && plan.Text() != recipe.Plan {
		err = errors.New("it has another plan now")
	}
	return plan, err
}

// firstLine returns that of an error.
func firstLine(err error) string {
	line, _, _ := strings.Cut(err.Error(), "\n")
	return line
}

// agrees reports whether a row is, but for rounding, the one that is stored.
func (d *designRow) agrees(stored *designRow) bool {
	const most = 0.005 // of each figure's unit
	if d.Status != stored.Status {
		return false
	}
	now, then := storedFigures(d), storedFigures(stored)
	for _, name := range []string{"level_c", "peak_c", "ambient_c", "coolant_volume_ml"} {
		x, y := *now[name], *then[name]
		if (x == nil) != (y == nil) || x != nil && !(math.Abs(*x-*y) <= most) {
			return false
		}
	}
	return true
}
