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
	"soakledger/sim/study"
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

// storedRows reads the rows of all runs.
func storedRows(sets []*output.Dataset, names []string) (*comparison, error) {
	c := &comparison{Title: sets[0].Meta().Title}
	for i, d := range sets {
		f, err := readRuns(d)
		if err != nil {
			return nil, err
		}
		for row := range f.Rows() {
			one := storedRow(f, row)
			one.Design, one.Subject = names[i], storedSubject(d)
			if ids := f.Col("run_id"); f.Rows() > 1 && ids >= 0 {
				one.Design = fmt.Sprintf("run %d", f.Ints(ids)[row])
				if len(sets) > 1 {
					one.Design += " of " + names[i]
				}
			}
			c.Designs = append(c.Designs, one)
		}
		if d.Meta().Title != c.Title {
			c.Title = ""
		}
	}
	c.subject()
	return c, nil
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
	d := designRow{Missing: map[string]string{}}
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
	first := &c.Designs[0]
	for i := range c.Designs {
		d := &c.Designs[i]
		if i > 0 {
			d.Difference = newDesignDifference(storedDifference(first, d))
		}
		if d.Reason != "" {
			c.Notes = append(c.Notes, d.Design+": "+d.ending())
		}
	}
	c.Notes = append(c.Notes, "no bands: "+why)
}

// storedDifference returns that of two rows.
func storedDifference(first, d *designRow) *study.Difference {
	x := &study.Difference{Unknown: "stored figures do not tell"}
	switch done := string(sim.Done); {
	case first.Status != done || d.Status != done:
		x.Value = metric.Missing("one of the two did not end as planned")
	case first.Subject != d.Subject:
		x.Value = metric.Missing("its figures are of " + d.Subject + ", those of the first design of " + first.Subject)
	case first.RiseK != nil && d.RiseK != nil:
		x.Of, x.Value = study.Levels, metric.Known(*d.RiseK-*first.RiseK)
	case first.PeakC != nil && d.PeakC != nil && first.AmbientC != nil && d.AmbientC != nil:
		x.Of, x.Value = study.Peaks, metric.Known(*d.PeakC-*d.AmbientC-(*first.PeakC-*first.AmbientC))
	default:
		x.Value = metric.Missing("one of the two has no figures of a warming phase")
	}
	return x
}

// computedAgain compares the scenarios that datasets hold, if each is one run and comes
// out as it is stored; else it says why not.
func computedAgain(ctx context.Context, sets []*output.Dataset, stored *comparison) (c *comparison, why string, err error) {
	if len(stored.Designs) != len(sets) {
		return nil, "a study's runs are compared by their stored figures, which do not tell how sure a difference is; soakledger compare FILE --with PATH=VALUE does", nil
	}
	var docs []*scenarios.Document
	var names []string
	for i, d := range sets {
		doc, err := storedScenario(d.Meta())
		if err != nil {
			return nil, fmt.Sprintf("the scenario in %s cannot be read again: %s", stored.Designs[i].Design, firstLine(err)), nil
		}
		docs, names = append(docs, doc), append(names, stored.Designs[i].Design)
	}
	c, err = compareDocuments(ctx, docs, names)
	var mendable usageError
	if errors.As(err, &mendable) {
		return nil, fmt.Sprintf("the scenario in %s cannot be assembled again: %s", names[0], firstLine(err)), nil
	}
	if err != nil {
		return nil, "", err
	}
	for i := range c.Designs {
		if !c.Designs[i].agrees(&stored.Designs[i]) {
			return nil, fmt.Sprintf("%s comes out otherwise now than it is stored (by engine %s; this is %s)", names[i], sets[i].Meta().EngineVersion, version), nil
		}
	}
	return c, "", nil
}

// storedScenario reads the scenario of a single run again, with what --set changed. A
// dataset does not hold the logs that a scenario names.
func storedScenario(m output.Meta) (*scenarios.Document, error) {
	doc, err := scenarios.Read("scenario", []byte(m.ScenarioText))
	if set := m.Notes["set"]; err == nil && set != "" {
		return doc.Set(strings.Split(set, "\n")...)
	}
	return doc, err
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
