package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"soakledger/output"
	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/record"
	"soakledger/sim/spec"
	"soakledger/sim/study"
)

// schemaVersion of the dataset's tables.
const schemaVersion = 1

// runFlags are the settings of the run command.
type runFlags struct {
	set                  []string
	out                  string
	replace, quiet, json bool
	quick                bool
	against              againstFlags
}

// runCommand simulates one scenario.
func (a *app) runCommand() *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:     "run FILE",
		Short:   "Simulate one scenario: trace, soak figures, ledger",
		Long:    "run simulates one scenario, prints its card and writes a dataset folder with\nthe run, its phases, its trace and its events as Parquet.\n\nWith --against LOG a measured log is laid beside the run: each --map names a node\n(coolant, ambient, cpu.die, front.air_in) and the column of the log that measures\nit. The card then says how far measured and modelled lie apart, measured minus\nmodelled, and the trace has a column of measured values and one of residuals for\neach. Nothing is fitted.",
		Example: "  soakledger run example:office_render\n  soakledger run my.yaml --set ambient.temperature=\"30 degC\" --out hot\n  soakledger run my.yaml --against bench.csv --map coolant=\"Sump [degC]\" --map cpu.die=Die --log-start \"12 min\"",
		Args:    oneArg("scenario file", "my.yaml"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runScenario(cmd.Context(), args[0], f) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&f.set, "set", nil, "change one value: PATH=VALUE, repeatable")
	flags.StringVar(&f.out, "out", "", "dataset folder (default NAME-HASH)")
	flags.BoolVar(&f.replace, "replace", false, "replace a dataset that is already there")
	flags.BoolVar(&f.quiet, "quiet", false, "print nothing but errors")
	flags.BoolVar(&f.json, "json", false, "print the card as JSON")
	flags.BoolVar(&f.quick, "quick", false, "leave out how sure the level is, which takes longer than the run, and the swing of repeating work")
	f.against.register(flags)
	return cmd
}

// runScenario is the whole path: file, scenario, simulation, dataset, card.
func (a *app) runScenario(ctx context.Context, file string, f runFlags) error {
	doc, err := load(file, f.set)
	if err != nil {
		return err
	}
	beside, err := f.against.read()
	if err != nil {
		return err
	}
	hash := datasetHash(doc.Scenario, f.quick, beside)
	dir := f.out
	if dir == "" {
		dir = baseName(file) + "-" + hash[:8]
	}
	if finished(dir, hash) && !f.replace {
		return a.alreadyThere(doc, file, dir, f)
	}
	c, all, err := simulate(ctx, doc, beside, f.quick)
	if err != nil {
		return err
	}
	if err := write(dir, meta(doc, hash, f.set, beside, c), all, f.replace); err != nil {
		return cannotWrite(dir, err)
	}
	if err := a.print(c, dir, f); err != nil {
		return err
	}
	a.studyLeft(doc, file, f)
	return c.ended()
}

// studyLeft says that a file has a study, which run leaves alone.
func (a *app) studyLeft(doc *scenarios.Document, file string, f runFlags) {
	if len(doc.Scenario.Study.Vary) == 0 || f.quiet {
		return
	}
	w := a.stdout
	if f.json {
		w = a.stderr
	}
	fmt.Fprintf(w, "\nThis was the scenario as it is stated. Its study of %s is run by\n  soakledger sweep %s\n", several(doc.Scenario.Designs(), "design"), file)
}

// simulate runs a scenario, lays a log beside it unless that is nil, and returns
// the card and the rows of the dataset.
func simulate(ctx context.Context, doc *scenarios.Document, beside *against, quick bool) (*card, []*record.Frame, error) {
	s, err := sim.New(doc.Scenario, sim.Settings{})
	if err != nil {
		return nil, nil, placed(doc, err)
	}
	measured, err := beside.measured(s.Plan)
	if err != nil {
		return nil, nil, err
	}
	r, err := s.Run(ctx)
	if err != nil {
		return nil, nil, err
	}
	tail := doc.Scenario.Figures.Tail // as stated: its default is not meant for logs
	compared, err := beside.compare(r, measured, tail)
	if err != nil {
		return nil, nil, err
	}
	c, err := cardOf(ctx, doc.Scenario, r, quick)
	if err != nil {
		return nil, nil, err
	}
	c.against(beside, r, compared, tail)
	all, err := frames(r, compared)
	return c, all, err
}

// cardOf returns the card of a result, with how sure it is and where repeating work
// leads unless that is left out.
func cardOf(ctx context.Context, s *spec.Scenario, r *sim.Result, quick bool) (*card, error) {
	if quick {
		return newCard(r, nil, ""), nil
	}
	band, why, err := bandOf(ctx, s, r)
	if err != nil {
		return nil, err
	}
	c := newCard(r, band, why)
	if len(r.Plan.Faults) > 0 {
		h, err := study.InHandOf(ctx, s, r, 0)
		if err != nil {
			return nil, fmt.Errorf("finding the time in hand: %w", err)
		}
		c.InHand = newInHand(h)
		c.Sentence = c.sentence()
	}
	return c, c.swing(ctx, s, r)
}

// bandOf returns how sure the level of a run's heating phase is, or why that is not
// known.
func bandOf(ctx context.Context, s *spec.Scenario, r *sim.Result) (b *study.Band, why string, err error) {
	if r.Heating < 0 || r.Status != sim.Done || !r.Phases[r.Heating].Level.OK() {
		return nil, "", nil // the card says what there is instead of a level
	}
	b, err = study.BandOf(ctx, s, study.Settings{At: spec.Some(r.Phases[r.Heating].From)})
	switch {
	case ctx.Err() != nil:
		return nil, "", fmt.Errorf("finding how sure the level is: %w", err)
	case err != nil:
		return nil, strings.TrimPrefix(err.Error(), "study: "), nil
	}
	return b, "", nil
}

// swing finds where work that repeats itself leads, or why that is not known. Of a run
// that did not end as planned the card says that instead.
func (c *card) swing(ctx context.Context, s *spec.Scenario, r *sim.Result) error {
	if r.Status != sim.Done {
		return nil
	}
	w, err := sim.SwingOf(ctx, s)
	switch {
	case err == nil:
		c.Swing = newSwing(r.Plan, c.Subject, w, r.LastCycle)
	case errors.Is(err, sim.ErrNoSwing):
		c.SwingMissing = strings.TrimPrefix(err.Error(), "finding the swing: ")
	case !errors.Is(err, sim.ErrNoCycle):
		return err
	}
	return nil
}

// faultsNote is the key of a note in the dataset of machines in which something goes wrong.
const faultsNote = "faults"

// noteFaults leaves that note, for whoever reads the dataset without its card.
func noteFaults(s *spec.Scenario, m *output.Meta) {
	if len(s.Faults) > 0 {
		m.Notes[faultsNote] = "a calculation: do not try this on a machine, and keep the makers' cut-outs working"
	}
}

// hasFaults reports whether it was left.
func hasFaults(m output.Meta) bool {
	_, noted := m.Notes[faultsNote]
	return noted
}

// meta describes the dataset of one run.
func meta(doc *scenarios.Document, hash string, set []string, beside *against, c *card) output.Meta {
	m := output.Meta{
		SchemaVersion: schemaVersion, EngineVersion: version, Title: doc.Scenario.Title,
		ScenarioHash: hash, ScenarioText: string(doc.Source), Notes: map[string]string{cardNote: c.encode()},
	}
	if len(set) > 0 {
		m.Notes["set"] = strings.Join(set, "\n")
	}
	noteFaults(doc.Scenario, &m)
	if beside != nil {
		m.Notes["against"] = beside.identity()
	}
	return m
}

// write writes the dataset of one run, whole or not at all.
func write(dir string, m output.Meta, frames []*record.Frame, replace bool) (err error) {
	parts := map[string]int{}
	var tables []record.Table
	for _, f := range frames {
		parts[f.Table().Name] = 1
		tables = append(tables, f.Table())
	}
	w, err := output.Create(dir, m, tables, output.Settings{Replace: replace, Parts: parts})
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, w.Abort())
		}
	}()
	for _, f := range frames {
		if err := w.WritePart(f.Table().Name, 0, f); err != nil {
			return err
		}
	}
	return w.Finish()
}

// finished reports whether dir holds the complete dataset of this very run.
func finished(dir, hash string) bool {
	d, err := output.Open(dir)
	return err == nil && d.Meta().ScenarioHash == hash
}

// alreadyThere prints the card of a finished dataset of the same run.
func (a *app) alreadyThere(doc *scenarios.Document, file, dir string, f runFlags) error {
	c, err := savedCard(dir)
	if err != nil {
		return err
	}
	if !f.quiet {
		fmt.Fprintf(a.stderr, "%s already holds this very run; shown from there (--replace computes it again)\n", dir)
	}
	if err := a.print(c, dir, f); err != nil {
		return err
	}
	a.studyLeft(doc, file, f)
	return c.ended()
}

// cannotWrite tells what the caller can mend from what went wrong: a folder
// that holds something else, or an --out that is no folder or lies below a file.
func cannotWrite(dir string, err error) error {
	var exists *output.ExistsError
	switch file := fileAmong(dir); {
	case errors.As(err, &exists):
		return usage("%w (--replace, or --out FOLDER)", exists)
	case errors.Is(err, output.ErrForeign):
		return usageError{err}
	case file == dir:
		return usage("%s is a file: name a folder with --out", dir)
	case file != "":
		return usage("%s is a file, so there is no folder %s: name another with --out", file, dir)
	}
	return err
}

// fileAmong returns what of a folder and those around it is a file; empty if nothing is.
func fileAmong(dir string) string {
	for {
		info, err := os.Stat(dir)
		if err == nil && !info.IsDir() {
			return dir
		}
		up := filepath.Dir(dir)
		if err == nil || up == dir {
			return ""
		}
		dir = up
	}
}

// datasetHash covers all that decides a run's bytes: a quick one keeps another card,
// one beside a log has more columns.
func datasetHash(s *spec.Scenario, quick bool, beside *against) string {
	h := sha256.New()
	fmt.Fprintf(h, "run\n%s\nengine %s\nschema %d\n", spec.Hash(s), version, schemaVersion)
	if quick {
		fmt.Fprintln(h, "quick")
	}
	if beside != nil {
		fmt.Fprintln(h, "against", beside.hash())
	}
	return hex.EncodeToString(h.Sum(nil))
}
