package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"

	"soakledger/output"
	"soakledger/scenarios"
	"soakledger/sim/record"
	"soakledger/sim/spec"
	"soakledger/sim/sweep"
)

// studySweep is a study made ready to run.
type studySweep struct {
	plan   *sweep.Plan
	tables *sweep.Tables
	traces record.TraceChoice
	name   string // of the file
	dir    string
	size   int   // of a part
	all    int   // parts
	parts  []int // of this shard
	shard  shard
}

// newSweep plans the study of a document and decides what of it this process runs.
func newSweep(ctx context.Context, doc *scenarios.Document, file string, f sweepFlags) (*studySweep, error) {
	if f.workers < 1 || f.partRuns < 0 {
		return nil, usage("--workers and --part-runs take whole numbers from 1, e.g. --workers 4")
	}
	st, err := planSweep(doc, file, f)
	if err != nil {
		return nil, err
	}
	if st.shard, err = shardOf(f.shard); err != nil {
		return nil, err
	}
	if st.dir = f.out; st.dir == "" {
		st.dir = st.name + "-" + st.hash()[:8]
	}
	if st.size, err = st.partRuns(ctx, f); err != nil {
		return nil, err
	}
	parts, err := st.plan.Parts(st.size)
	if err != nil {
		return nil, err
	}
	own, err := parts.Shard(st.shard.index, st.shard.count)
	if err != nil {
		return nil, usage("--shard: %w", err)
	}
	st.parts, st.all = slices.Collect(own), parts.Count()
	return st, nil
}

// mostParts a dataset may have.
const mostParts = 100_000

// partRuns returns how many runs lie in a part: what is asked for, else what the study in
// the folder has, else what follows from the cost of runs. Asking for another size than
// that of the same study in the folder is an error.
func (st *studySweep) partRuns(ctx context.Context, f sweepFlags) (int, error) {
	there, finished, found := output.StudyIn(st.dir)
	now := st.recipe()
	now.PartRuns = there.PartRuns
	same := found && there == now
	switch begun := same && !finished; {
	case f.partRuns == 0 && found && (begun || !f.replace) && now.Parts() <= mostParts:
		return there.PartRuns, nil
	case f.partRuns == 0:
		cost, err := st.cost(ctx)
		return partSize(st.plan.Count(), cost), err
	case same && f.partRuns != there.PartRuns && !f.replace:
		return 0, usage("%s holds this very study in parts of %s, and --part-runs asks for %d: leave it out, or give --part-runs %d, to go on; choose another folder, or --replace computes it anew", st.dir, several(there.PartRuns, "run"), f.partRuns, there.PartRuns)
	}
	return f.partRuns, nil
}

// planSweep plans the study of a document, without a dataset.
func planSweep(doc *scenarios.Document, file string, f sweepFlags) (*studySweep, error) {
	if len(doc.Scenario.Study.Vary) == 0 {
		return nil, usage("%s has no study, so there is nothing to sweep; add one, for example:\n  study:\n    vary:\n      - {path: ambient.temperature, values: [20 degC, 25 degC, 30 degC]}", file)
	}
	choice := f.traces
	if f.noTraces && f.traces != thinned && f.traces != "none" {
		return nil, usage("--no-traces and --traces %s exclude each other: keep one", f.traces)
	}
	if f.noTraces {
		choice = "none"
	}
	traces, err := record.ParseTraceChoice(choice)
	if err != nil {
		return nil, usage("--traces: %w", err)
	}
	s, err := recorded(doc.Scenario, traces)
	if err != nil {
		return nil, usage("--traces: %w", err)
	}
	st := &studySweep{traces: traces, name: baseName(file)}
	if st.plan, err = sweep.New(s); err != nil {
		return nil, planned(doc, err)
	}
	var wrong *sweep.ChoiceError
	if st.tables, err = st.plan.Tables(traces); errors.As(err, &wrong) {
		return nil, usage("--traces: %w", wrong.Err)
	} else if err != nil {
		return nil, planned(doc, err)
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

// What runs are estimated to take, s, for the size of parts alone: orders of magnitude,
// measured on a shared two-core x86-64 machine.
const (
	costOfDesign = 1e-3 // to make and assemble it
	costOfStep   = 5e-6
	costOfRow    = 3e-6 // of a trace
)

// cost estimates what a run takes, in seconds of no particular machine, from the steps
// and rows of a few. It is the same wherever the study is run: the size of parts
// follows from it.
func (st *studySweep) cost(ctx context.Context) (float64, error) {
	const designs, enough = 3, 20_000 // steps
	meter, err := st.plan.NewMeter(st.tables, st.traces)
	if err != nil {
		return 0, err
	}
	steps, rows, runs := int64(0), int64(0), 0
	for _, i := range st.plan.Spread(designs) {
		took, err := meter.Run(ctx, i)
		if err != nil {
			return 0, err
		}
		steps, rows, runs = steps+took.Steps, rows+took.Traced, runs+1
		if steps > enough {
			break
		}
	}
	n := float64(max(runs, 1))
	return costOfDesign + costOfStep*float64(steps)/n + costOfRow*float64(rows)/n/float64(max(st.traces.Every, 1)), nil
}

// partSize returns how many runs lie in a part if one takes cost seconds: so many that
// a part takes up to some seconds, which is what is lost when a process dies and what
// Ctrl-C waits for, and so few that there are many more parts than workers, unless they
// would be tiny. It is a power of two, so that a little more or less of a cost leaves it
// as it is, or all runs.
func partSize(runs int, cost float64) int {
	const (
		parts = 64
		least = 0.5  // s
		most  = 10.0 // s
		many  = 2000 // runs
	)
	size := max(float64(runs)/parts, least/cost)
	size = max(1, min(size, most/cost, many))
	whole := 1 << (bits.Len(uint(size)) - 1)
	return min(runs, max(whole, int(math.Ceil(float64(runs)/mostParts))))
}

// build is what a study's bytes depend on beside the engine's version: the state of the
// source, where it is known, compiler and architecture.
func build() string {
	words := []string{version, runtime.Version(), runtime.GOARCH}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision":
				words = append(words, s.Value)
			case s.Key == "vcs.modified" && s.Value == "true":
				words = append(words, "with changes")
			}
		}
	}
	return strings.Join(words, " ")
}

// recipe is all that decides the rows.
func (st *studySweep) recipe() output.Recipe {
	return output.Recipe{Plan: st.plan.Text(), Traces: st.traces.String(), Build: build(), Runs: st.plan.Count(), PartRuns: st.size}
}

// hash names the default folder. The size of parts is left out: it changes no row, and
// the folder says what it is.
func (st *studySweep) hash() string {
	h, rows := sha256.New(), st.recipe()
	rows.PartRuns = 0
	fmt.Fprintf(h, "%+v", rows)
	return hex.EncodeToString(h.Sum(nil))
}

// manifest describes the dataset.
func (st *studySweep) manifest(doc *scenarios.Document, f sweepFlags) output.StudyManifest {
	m := output.Meta{SchemaVersion: schemaVersion, EngineVersion: version, Title: doc.Scenario.Title, ScenarioText: string(doc.Source), Notes: map[string]string{}}
	if len(f.set) > 0 {
		m.Notes["set"] = strings.Join(f.set, "\n")
	}
	noteFaults(doc.Scenario, &m)
	return output.StudyManifest{Meta: m, Recipe: st.recipe()}
}

// runsIn counts the numbers of the plan in parts.
func (st *studySweep) runsIn(parts []int) int {
	n, recipe := 0, st.recipe()
	for _, k := range parts {
		from, to := recipe.Slice(k)
		n += to - from
	}
	return n
}
