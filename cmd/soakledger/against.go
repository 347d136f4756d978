package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"soakledger/scenarios/log"
	"soakledger/scenarios/quantity"
	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/fit"
	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// againstFlags ask for a measured log beside a run.
type againstFlags struct {
	log                     string
	maps                    []string
	start, time, form, unit string
}

// register adds the flags to a command.
func (f *againstFlags) register(flags *pflag.FlagSet) {
	flags.StringVar(&f.log, "against", "", "a measured log (csv, Parquet) to lay beside the run; nothing is fitted")
	flags.StringArrayVar(&f.maps, "map", nil, "which column of it measures what: NODE=COLUMN, repeatable")
	flags.StringVar(&f.start, "log-start", "", "how long after the log's first stamp the run begins, e.g. \"12 min\" (default 0 s)")
	flags.StringVar(&f.time, "log-time", "", "heading of the log's time (default its first column)")
	flags.StringVar(&f.form, "log-form", "", "what its stamps are where it does not say: s, ms, hh:mm:ss, dd/mm/yyyy, ...")
	flags.StringVar(&f.unit, "log-unit", "", "unit of its temperatures where it does not say")
}

// check refuses flags that miss each other.
func (f *againstFlags) check() error {
	switch {
	case f.log == "" && len(f.maps) > 0:
		return usage("--map %s says what a log measures: name the log with --against LOG", f.maps[0])
	case f.log == "" && f.start+f.time+f.form+f.unit != "":
		return usage("--log-start, --log-time, --log-form and --log-unit say how to read a log: name it with --against LOG")
	case f.log != "" && len(f.maps) == 0:
		return usage("--against %s: which of its columns measures what? Say so with --map NODE=COLUMN, for example --map coolant=\"Coolant [degC]\"", f.log)
	}
	return nil
}

// against is a measured log as it was read; nil where there is none, which all of
// its methods that a run calls allow for.
type against struct {
	name     string // of the file, without folders, since a dataset holds no path
	start    float64
	nodes    []string // one a reading
	readings []log.Reading
	notes    []string // what the reader found
}

// read reads the columns of the log that are asked for. It returns nil if there is
// no log.
func (f *againstFlags) read() (*against, error) {
	if err := f.check(); err != nil || f.log == "" {
		return nil, err
	}
	a := &against{name: filepath.Base(f.log)}
	want := log.Request{Time: f.request()}
	for _, text := range f.maps {
		node, heading, err := splitMap(text)
		if err != nil {
			return nil, err
		}
		if slices.Contains(a.nodes, node) {
			return nil, usage("--map %s: %s is mapped twice; each node has one column", text, node)
		}
		a.nodes = append(a.nodes, node)
		want.Columns = append(want.Columns, log.Column{Heading: heading, Dimension: spec.Temperature, Unit: f.unit})
	}
	if f.start != "" {
		var err error
		if a.start, err = quantity.Parse(f.start, spec.Time); err != nil {
			return nil, usage("--log-start: %w", err)
		}
	}
	read, err := log.Read(os.DirFS(filepath.Dir(f.log)), a.name, want)
	if err != nil {
		return nil, f.unreadable(err)
	}
	a.readings = read.Readings
	if f.time == "" {
		a.notes = append(a.notes, "its first column is read as the time; --log-time names another")
	}
	a.notes = append(a.notes, read.Findings...)
	return a, nil
}

// request says how the log tells the time.
func (f *againstFlags) request() log.Time {
	t := log.Time{Column: f.time, Form: f.form}
	if f.time == "" {
		t.Column = "#1"
	}
	if f.form == "dd/mm/yyyy" || f.form == "mm/dd/yyyy" {
		t.Form, t.DateForm = "", f.form
	}
	return t
}

// splitMap reads one NODE=COLUMN. A heading may contain any mark.
func splitMap(text string) (node, heading string, err error) {
	node, heading, found := strings.Cut(text, "=")
	node, heading = strings.TrimSpace(node), strings.TrimSpace(heading)
	if !found || node == "" || heading == "" {
		return "", "", usage("--map %q: want NODE=COLUMN, for example --map coolant=\"Coolant [degC]\"", text)
	}
	return node, heading, nil
}

// unreadable says what keeps a log from being read, and with what flags its reader
// can be helped.
func (f *againstFlags) unreadable(err error) error {
	var missing *fs.PathError
	var content *log.Error
	switch {
	case errors.As(err, &content):
		text := strings.Replace(content.Error(), ", or ask for its rows to be put in order", "", 1)
		if strings.Contains(text, "state") {
			text += " (with --log-form for the time, --log-unit for temperatures)"
		}
		return usage("--against: %s", text)
	case errors.Is(err, fs.ErrNotExist):
		return usage("--against %s: there is no such log", f.log)
	case errors.As(err, &missing):
		return usage("--against %s: the log cannot be read: %w", f.log, missing.Err)
	}
	return usage("--against %s: %w", f.log, err)
}

// identity names the log and the map in a dataset: all of it that decides rows.
func (a *against) identity() string {
	var b strings.Builder
	fmt.Fprintf(&b, "log %s\nstart %s\n", a.name, quantity.Exact(a.start, spec.Time))
	for i, r := range a.readings {
		fmt.Fprintf(&b, "%s = %s, sha256 of its series %s\n", a.nodes[i], r.Heading, r.Series.Digest())
	}
	return b.String()
}

// hash covers all that a log adds to a dataset.
func (a *against) hash() string {
	h := sha256.New()
	fmt.Fprintf(h, "%s%q\n", a.identity(), a.notes)
	return hex.EncodeToString(h.Sum(nil))
}

// measured finds the nodes of the map in a plan.
func (a *against) measured(p *assemble.Plan) ([]fit.Measured, error) {
	if a == nil {
		return nil, nil
	}
	all := sim.Temperatures(p)
	measured := make([]fit.Measured, len(a.nodes))
	for i, node := range a.nodes {
		found, err := findTemperature(all, node)
		if err != nil {
			return nil, usage("--map %s: %w", node, err)
		}
		r := a.readings[i]
		measured[i] = fit.Measured{Path: found.Path, Column: found.Column, Series: r.Series, Gap: r.Gap()}
	}
	return measured, nil
}

// findTemperature returns what a path names.
func findTemperature(all []sim.Temperature, path string) (sim.Temperature, error) {
	var cells []string
	for _, t := range all {
		if t.Path == path {
			return t, nil
		}
		if strings.HasPrefix(t.Path, path+"[") {
			cells = append(cells, t.Path)
		}
	}
	if len(cells) > 0 {
		return sim.Temperature{}, fmt.Errorf("it has %d cells: name one of %s", len(cells), strings.Join(cells, ", "))
	}
	var paths []string
	for _, t := range all {
		paths = append(paths, t.Path)
	}
	if near := spec.Nearest(path, paths); near != "" {
		return sim.Temperature{}, fmt.Errorf("there is no such node; did you mean %s? There are %s", near, strings.Join(paths, ", "))
	}
	return sim.Temperature{}, fmt.Errorf("there is no such node; there are %s", strings.Join(paths, ", "))
}

// compare lays the log beside a run. The tail is as long as the scenario states or,
// if it does not, a tenth of what is compared.
func (a *against) compare(r *sim.Result, measured []fit.Measured, tail spec.Number) (*fit.Comparison, error) {
	if a == nil {
		return nil, nil
	}
	c, err := fit.Compare(r.Trace, measured, fit.Settings{Start: a.start, Tail: tail})
	var apart *fit.NoOverlapError
	if errors.As(err, &apart) {
		text := fmt.Sprintf("--against %s: the log says nothing of %s while the run lasts: it covers %s, the run %s; --log-start says how long after the log's first stamp the run begins",
			a.name, apart.Path, spanText(apart.Log), spanText(fit.Span{To: apart.RunTo}))
		if r.Reason != "" {
			text += fmt.Sprintf(" (the run ended early: %s)", r.Reason)
		}
		return nil, usageError{errors.New(text)}
	}
	return c, err
}

// coarse says where the trace has fewer rows than the log has samples, so that the
// model is read off between them.
func (a *against) coarse(every float64) string {
	finest := math.Inf(1)
	for _, r := range a.readings {
		if len(r.Series.Times) > 1 {
			finest = math.Min(finest, r.Step)
		}
	}
	if every <= finest*(1+1e-9) { // stamps are rounded to 1 ns
		return ""
	}
	return fmt.Sprintf("the trace has a row every %s, the log a sample every %s: between rows the model is taken along straight lines; record.every: %[2]s avoids that",
		quantity.Format(every, spec.Time), quantity.Format(finest, spec.Time))
}

// frames returns the rows of a result, wider by a comparison if there is one.
func frames(r *sim.Result, c *fit.Comparison) ([]*record.Frame, error) {
	all, err := r.Frames()
	if err != nil || c == nil {
		return all, err
	}
	return c.Wider(all)
}
