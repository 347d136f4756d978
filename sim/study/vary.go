package study

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
)

// variations is one scenario with each of its assumed figures at both ends.
type variations struct {
	source
	base   *sim.Levels
	at     float64 // s
	varied []figure
	paths  []string        // of the subject and the other watched nodes
	cores  []string        // radiators whose conductance is computed
	levels []metric.Figure // K, of the paths; behind them W/K, of the cores

	// changes are the results, two a varied figure, low end first; each has one
	// change a path and a core.
	changes [][]metric.Figure
}

// source is where assumed figures are set: the scenario as stated, and completed.
type source struct{ stated, completed *spec.Scenario }

// newSource leaves study and variants out: they are no part of the machine, and what a
// variant states may not go with a figure that the machine leaves open.
func newSource(stated, completed *spec.Scenario) source { return source{stated.Alone(), completed} }

// figure is an assumed one that is varied.
type figure struct {
	spec.Assumed
	field spec.Field
	in    *spec.Scenario // where it is set
}

// The ends of a range.
const (
	low = iota
	high
	ends
)

// roomPath leads to the figure that is no part of a band.
const roomPath = "ambient.temperature"

// newVariations finds the level to be sure of and the figures to vary.
func newVariations(s *spec.Scenario, at float64) (*variations, error) {
	base, err := sim.LevelsOf(s, at)
	if err != nil {
		return nil, fmt.Errorf("study: there is no level to be sure of: %w", err)
	}
	if beyond := base.Beyond(); beyond != "" {
		return nil, fmt.Errorf("study: the level is none to be sure of: %s", beyond)
	}
	v := &variations{source: newSource(s, base.Plan.Scenario), base: base, at: at, levels: levelsOf(base)}
	for _, n := range watched(base.Plan) {
		v.paths = append(v.paths, n.Path)
	}
	for _, a := range base.Plan.Air {
		if a.Core {
			v.cores = append(v.cores, a.Name)
		}
	}
	if subject := v.levels[0]; !subject.OK() {
		return nil, fmt.Errorf("study: %s has no level to be sure of: %s", v.paths[0], subject.Why)
	}
	if v.varied, err = v.figures(base.Plan.Assumed, counts); err != nil {
		return nil, err
	}
	v.changes = make([][]metric.Figure, ends*len(v.varied))
	return v, nil
}

// figures places the assumed figures that count.
func (v source) figures(assumed []spec.Assumed, counts func(spec.Assumed) bool) ([]figure, error) {
	var all []figure
	for _, a := range assumed {
		if !counts(a) {
			continue
		}
		f, err := v.place(a)
		if err != nil {
			return nil, fmt.Errorf("study: looking for an assumed figure: %w", err)
		}
		all = append(all, f)
	}
	return all, nil
}

// watched returns the subject and the other watched nodes.
func watched(p *assemble.Plan) []assemble.Node {
	return append([]assemble.Node{p.Subject}, p.Watched()...)
}

// levelsOf returns the levels of the watched nodes, K, and behind them the
// conductances of radiators that are computed, W/K.
func levelsOf(l *sim.Levels) []metric.Figure {
	var all []metric.Figure
	for _, n := range watched(l.Plan) {
		all = append(all, l.Of(n))
	}
	for _, a := range l.Plan.Air {
		if a.Core {
			all = append(all, metric.Known(a.Conductance))
		}
	}
	return all
}

// ranges reports whether an assumed figure has a range that is varied.
func ranges(a spec.Assumed) bool { return a.Text == "" && a.Low < a.High && a.Path != roomPath }

// counts reports whether an assumed figure has a range that may move a level.
func counts(a spec.Assumed) bool {
	if !ranges(a) {
		return false
	}
	switch a.Dimension {
	case spec.HeatCapacity, spec.Mass, spec.Time, spec.Price:
		return false // what is stored, and how fast, settles nothing
	}
	return true
}

// compute finds the changes, on several workers. Each result has a place of its
// own, so that their order does not matter.
func (v *variations) compute(ctx context.Context, workers int) error {
	return each(ctx, len(v.changes), workers, func(i int) { v.changes[i] = v.change(i/ends, i%ends) })
}

// each does n things on several workers, 0 for as many as there are processors.
func each(ctx context.Context, n, workers int, do func(i int)) error {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(workers, n) {
		all.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				do(i)
			}
		})
	}
	all.Wait()
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("study: varying the assumed figures: %w", err)
	}
	return nil
}

// change returns how the levels move with figure i at an end of its range.
func (v *variations) change(i, end int) []metric.Figure {
	changes := make([]metric.Figure, len(v.levels))
	levels, err := v.variation(v.varied[i], end)
	for k := range changes {
		if err != nil {
			changes[k] = metric.Missing(err.Error())
			continue
		}
		changes[k] = levels[k].Minus(v.levels[k].Value)
	}
	return changes
}

// variation returns the levels with one figure at an end of its range.
func (v *variations) variation(f figure, end int) ([]metric.Figure, error) {
	s, err := v.with(f, [ends]float64{f.Low, f.High}[end])
	if err != nil {
		return nil, fmt.Errorf("setting the end of the range: %w", err)
	}
	l, err := sim.LevelsOf(s, v.at)
	if err != nil {
		return nil, err
	}
	if beyond := l.Beyond(); beyond != "" {
		return nil, errors.New(beyond)
	}
	return levelsOf(l), nil
}

// place finds where an assumed figure is set: in the scenario as stated, so that
// what is derived from it follows. An element of a list that is not stated
// exists only in the completed scenario; nothing else is derived from those.
func (v source) place(a spec.Assumed) (figure, error) {
	f := figure{Assumed: a, in: v.stated}
	var err error
	if f.field, err = f.in.FieldAt(a.Path); err == nil {
		return f, nil
	}
	f.in = v.completed
	f.field, err = f.in.FieldAt(a.Path)
	return f, err
}

// with returns the scenario with a figure set to x. The completed scenario is
// not checked: it states beside its source what follows from it.
func (v source) with(f figure, x float64) (*spec.Scenario, error) {
	s, err := f.in.With(f.Path, value(f.field, f.Dimension, x))
	if err != nil {
		return nil, err
	}
	if f.in == v.stated {
		if problems := spec.Check(s); len(problems) > 0 {
			return nil, problems[0]
		}
	}
	return s, nil
}

// value writes a number as what a field holds. A speed is assumed as a rate or
// as a share of the rated one.
func value(f spec.Field, d spec.Dimension, x float64) spec.Value {
	if f.Type == spec.TypeSpeed && d == spec.Ratio {
		return spec.SpeedValue(spec.Speed{Share: spec.Some(x)})
	}
	return spec.NumberValue(x)
}

// terms returns the varied figures with their changes.
func (v *variations) terms() []Term {
	all := make([]Term, len(v.varied))
	for i, f := range v.varied {
		at := func(k int) Change {
			return Change{AtLow: v.changes[ends*i+low][k], AtHigh: v.changes[ends*i+high][k]}
		}
		all[i] = Term{Assumed: f.Assumed, Change: at(0)}
		for k := range v.paths[1:] {
			all[i].Nodes = append(all[i].Nodes, at(k+1))
		}
		for k := range v.cores {
			all[i].Cores = append(all[i].Cores, at(len(v.paths)+k))
		}
	}
	return all
}
