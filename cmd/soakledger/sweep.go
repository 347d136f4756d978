package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"soakledger/output"
	"soakledger/scenarios"
	"soakledger/sim/record"
	"soakledger/sim/spec"
	"soakledger/sim/sweep"
)

// sweepFlags are the settings of the sweep command.
type sweepFlags struct {
	set                    []string
	out, shard, traces     string
	workers, partRuns      int
	resume, replace, quiet bool
	noTraces               bool
}

// sweepCommand runs the study of a scenario.
func (a *app) sweepCommand() *cobra.Command {
	var f sweepFlags
	cmd := &cobra.Command{
		Use:   "sweep FILE",
		Short: "Run every design of the study in a scenario",
		Long: "sweep runs every design of the study in a scenario file, several at once, and\nwrites one dataset: a row a run, its phases, its events and, unless left out, its trace.\n" +
			"The dataset has the same bytes with any number of workers and shards. Ctrl-C finishes\nthe parts in hand; --resume goes on from there.",
		Example: "  soakledger sweep my.yaml\n  soakledger sweep my.yaml --workers 8 --no-traces\n  soakledger sweep my.yaml --out shared/study --shard 2/16",
		Args:    oneArg("scenario file", "my.yaml"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.sweep(cmd.Context(), args[0], f) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&f.set, "set", nil, "change one value of the scenario: PATH=VALUE, repeatable")
	flags.StringVar(&f.out, "out", "", "dataset folder (default NAME-HASH)")
	flags.IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), "how many runs at once")
	flags.StringVar(&f.shard, "shard", "", "write the parts of one shard only: I/N, I from 0 (default: what a Slurm array task or a Kubernetes indexed job says, else all)")
	flags.BoolVar(&f.resume, "resume", false, "go on with a dataset that is not finished")
	flags.BoolVar(&f.replace, "replace", false, "replace a dataset that is already there")
	flags.StringVar(&f.traces, "traces", "thinned", "which traces to keep: none, all, thinned, or in words, e.g. \"every 10, columns coolant_c *_die_c, interval 5 s, within 0.05 K\"")
	flags.BoolVar(&f.noTraces, "no-traces", false, "keep no traces, the same as --traces none")
	flags.IntVar(&f.partRuns, "part-runs", 0, "runs in a part (default: by the number of runs); what a process was writing when it died is computed again")
	flags.BoolVar(&f.quiet, "quiet", false, "print nothing but errors")
	return cmd
}

// sweep is the whole path: file, plan, runs, dataset, summary.
func (a *app) sweep(ctx context.Context, file string, f sweepFlags) error {
	doc, err := load(file, f.set)
	if err != nil {
		return err
	}
	st, err := newSweep(doc, file, f)
	if err != nil {
		return err
	}
	study, err := output.CreateStudy(st.dir, st.manifest(doc, f), st.tables.All(), output.StudyOptions{Resume: f.resume || st.sharded, Replace: f.replace})
	if there := (*output.StudyExistsError)(nil); errors.As(err, &there) && there.Same && there.Complete {
		return a.sweptAlready(st.dir, f)
	}
	if err != nil {
		return cannotSweep(st.dir, err)
	}
	missing, err := study.Missing(st.parts...)
	if err != nil {
		return err
	}
	for _, repair := range study.Repairs() {
		fmt.Fprintln(a.stderr, repair)
	}
	p := a.newProgress(st.runsIn(missing), f.quiet)
	err = sweep.Run(ctx, st.plan, st.tables, study, sweep.Settings{Workers: f.workers, Traces: st.traces, Parts: missing, Done: p.done})
	p.end()
	if err != nil {
		if ctx.Err() != nil && !f.quiet {
			fmt.Fprintf(a.stderr, "stopped after %d runs; what is finished is in %s, and the same command with --resume goes on\n", p.count(), st.dir)
		}
		return err
	}
	err = study.Finish()
	if left := (*output.MissingError)(nil); errors.As(err, &left) {
		if !f.quiet {
			fmt.Fprintf(a.stdout, "%d parts written, %d of other shards are still to come; whichever writes the last completes %s\n", len(missing), len(left.Parts), st.dir)
		}
		return p.partly()
	}
	if err != nil {
		return err
	}
	if !f.quiet {
		if err := a.summary(st.dir); err != nil {
			return err
		}
	}
	return p.partly()
}

// sweptAlready prints the summary of a finished dataset of the same study.
func (a *app) sweptAlready(dir string, f sweepFlags) error {
	if f.quiet {
		return nil
	}
	fmt.Fprintf(a.stderr, "%s already holds this very study; shown from there (--replace computes it again)\n", dir)
	return a.summary(dir)
}

// studySweep is a sweep made ready.
type studySweep struct {
	plan    *sweep.Plan
	tables  *sweep.Tables
	traces  record.TraceChoice
	dir     string
	size    int   // of a part
	parts   []int // of this shard
	sharded bool
}

// newSweep plans the study of a document.
func newSweep(doc *scenarios.Document, file string, f sweepFlags) (*studySweep, error) {
	if len(doc.Scenario.Study.Vary) == 0 {
		return nil, usage("%s has no study, so there is nothing to sweep; add one, for example:\n  study:\n    vary:\n      - {path: ambient.temperature, values: [20 degC, 25 degC, 30 degC]}", file)
	}
	choice := f.traces
	if f.noTraces {
		choice = "none"
	}
	traces, err := record.ParseTraceChoice(choice)
	if err != nil {
		return nil, usage("--traces: %w", err)
	}
	if f.workers < 1 || f.partRuns < 0 {
		return nil, usage("--workers and --part-runs take whole numbers from 1, e.g. --workers 4")
	}
	s, err := recorded(doc.Scenario, traces)
	if err != nil {
		return nil, usage("--traces: %w", err)
	}
	st := &studySweep{traces: traces}
	if st.plan, err = sweep.New(s); err != nil {
		return nil, planned(doc, err)
	}
	if st.tables, err = st.plan.Tables(traces); err != nil {
		return nil, planned(doc, err)
	}
	st.size = f.partRuns
	if st.size == 0 {
		st.size = partSize(st.plan.Count(), traces)
	}
	parts, err := st.plan.Parts(st.size)
	if err != nil {
		return nil, err
	}
	shard, err := shardOf(f.shard)
	if err != nil {
		return nil, err
	}
	own, err := parts.Shard(shard.index, shard.count)
	if err != nil {
		return nil, usage("--shard: %w", err)
	}
	st.parts, st.sharded = slices.Collect(own), shard.count > 1
	if st.dir = f.out; st.dir == "" {
		st.dir = baseName(file) + "-" + st.hash()[:8]
	}
	return st, nil
}

// recorded returns the scenario whose traces have the interval of a choice.
func recorded(s *spec.Scenario, traces record.TraceChoice) (*spec.Scenario, error) {
	if traces.Interval > 0 {
		return s.With("record.every", spec.NumberValue(traces.Interval))
	}
	return s, nil
}

// partSize returns how many runs lie in a part: few enough that a part takes some
// seconds and that there are many more parts than workers, as the plan alone decides.
func partSize(runs int, traces record.TraceChoice) int {
	const parts, most, mostTraced = 64, 2000, 100
	size := (runs + parts - 1) / parts
	if traces.Every > 0 {
		return max(1, min(size, mostTraced))
	}
	return max(1, min(size, most))
}

// build is what a study's bytes depend on beside the engine's version.
func build() string { return version + " " + runtime.Version() + " " + runtime.GOARCH }

// recipe is all that decides the rows.
func (st *studySweep) recipe() output.Recipe {
	return output.Recipe{Plan: st.plan.Text(), Traces: st.traces.String(), Build: build(), Runs: st.plan.Count(), PartRuns: st.size}
}

// hash names the default folder.
func (st *studySweep) hash() string {
	h := sha256.New()
	fmt.Fprintf(h, "%+v", st.recipe())
	return hex.EncodeToString(h.Sum(nil))
}

// manifest describes the dataset.
func (st *studySweep) manifest(doc *scenarios.Document, f sweepFlags) output.StudyManifest {
	m := output.Meta{SchemaVersion: schemaVersion, EngineVersion: version, Title: doc.Scenario.Title, ScenarioText: string(doc.Source), Notes: map[string]string{}}
	if len(f.set) > 0 {
		m.Notes["set"] = strings.Join(f.set, "\n")
	}
	return output.StudyManifest{Meta: m, Recipe: st.recipe()}
}

// runsIn counts the runs of parts.
func (st *studySweep) runsIn(parts []int) int {
	n := 0
	for _, k := range parts {
		from, to := st.recipe().Slice(k)
		n += to - from
	}
	return n
}

// planned turns the problems of a study into errors with their place in the file.
func planned(doc *scenarios.Document, err error) error {
	var problems sweep.Problems
	if !errors.As(err, &problems) {
		return placed(doc, err)
	}
	var all scenarios.Errors
	for _, p := range problems {
		all = append(all, doc.ErrorAt(p.Path, p.Text))
	}
	return usageError{all}
}

// cannotSweep tells what the caller can mend.
func cannotSweep(dir string, err error) error {
	var exists *output.StudyExistsError
	var changed *output.ChangedError
	switch {
	case errors.As(err, &exists), errors.As(err, &changed), errors.Is(err, output.ErrForeign):
		return usageError{err}
	}
	return cannotWrite(dir, err)
}
