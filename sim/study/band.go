package study

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"soakledger/sim"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
)

// Settings says which level a band is for. The zero value is the level of the
// phase with the largest warming.
type Settings struct {
	// At is a time (s, from 0 on) in the phase whose load is meant. If it is
	// unset, the scenario is run once, without a trace, to find the phase with
	// the largest warming; whoever has run it already states the phase's start.
	At spec.Number

	// Workers is how many variations are computed side by side, 1 or more; 0 is
	// as many as there are processors to use. The band does not depend on it.
	Workers int
}

// Band is how sure the levels under one load are.
type Band struct {
	At      float64       // s, a time in the phase whose load is meant
	Ambient float64       // K, the room at the start, over which rises are counted
	Subject Interval      // what the scenario's figures are of: coolant, if nothing else is asked for
	Nodes   []Interval    // the other watched nodes: dies, outlets of further loops
	Cores   []Conductance // of radiators that are computed from their geometry
	Terms   []Term        // one an assumed figure that was varied, the largest effect on the subject first
	Failed  int           // how many of the terms miss a change of the subject; the band is then at least as wide as it says
}

// Interval is a node's level and how far the true one may lie from it.
type Interval struct {
	Path  string
	Level metric.Figure // K
	Rise  metric.Figure // K, the level over Band.Ambient
	Below float64       // K, zero or more: how far the true level, or rise, may lie below
	Above float64       // K, zero or more: how far above
}

// Conductance is that of a computed radiator and how far the true one may lie from
// it, at the fans' speed as it is: what was assumed of that does not count.
type Conductance struct {
	Radiator     string
	Value        float64 // W/K, coolant inlet over entering air
	Below, Above float64 // W/K, zero or more
}

// Term is what one assumed figure does to the levels.
type Term struct {
	spec.Assumed
	Change          // of the subject
	Nodes  []Change // of the other watched nodes, in the order of Band.Nodes
	Cores  []Change // W/K, in the order of Band.Cores
	Share  float64  // 0..1: this figure's part of the squares that make the subject's band; they sum to 1 unless no figure does anything
}

// Change is how far a level moves when a figure takes either end of its range,
// K. It is missing, with the reason, where that end leads to no level, or
// outside the model's valid range.
type Change struct {
	AtLow, AtHigh metric.Figure
}

// OK reports whether the changes at both ends are known.
func (c Change) OK() bool { return c.AtLow.OK() && c.AtHigh.OK() }

// reach returns how far the changes reach below and above zero, K. Where both
// ends move the level the same way, the larger counts.
func (c Change) reach() (below, above float64) {
	for _, f := range [...]metric.Figure{c.AtLow, c.AtHigh} {
		if f.OK() {
			below, above = max(below, -f.Value), max(above, f.Value)
		}
	}
	return below, above
}

// size returns the square of what a figure does, K2.
func (c Change) size() float64 {
	below, above := c.reach()
	return below*below + above*above
}

// ErrNoWarming is wrapped by the error of a scenario in which nothing warms, so
// that there is no phase whose level a band could be for.
var ErrNoWarming = errors.New("nothing warms in this run")

// BandOf returns how sure the levels of a scenario are, given the ranges of the
// figures that it leaves to defaults; see the package's documentation for what
// the band means. The scenario must be one that spec.Check finds sound and all
// of whose things are named (Scenario.Named); it is not changed.
//
// Every assumed number with a range, the room's temperature apart, is set to
// both ends of it in the scenario as stated, so that what is derived from it
// follows: a thicker radiator also holds more. Left out are figures that cannot
// move a level, by their dimension: heat capacities, masses, times and prices.
// Volumes are varied, since a larger reservoir loses more heat.
//
// The error says why there is no level, or that ctx was done. A variation that
// fails is no error: it is a term that says why, counted in Band.Failed.
func BandOf(ctx context.Context, s *spec.Scenario, set Settings) (*Band, error) {
	at, err := moment(ctx, s, set.At)
	if err != nil {
		return nil, err
	}
	v, err := newVariations(s, at)
	if err != nil {
		return nil, err
	}
	if err := v.compute(ctx, set.Workers); err != nil {
		return nil, err
	}
	b := &Band{At: at, Ambient: v.base.Plan.Scenario.Ambient.Temperature.Value, Terms: v.terms()}
	b.Subject = b.interval(v.paths[0], v.levels[0], func(t *Term) Change { return t.Change })
	for i, path := range v.paths[1:] {
		b.Nodes = append(b.Nodes, b.interval(path, v.levels[i+1], func(t *Term) Change { return t.Nodes[i] }))
	}
	for i, name := range v.cores {
		b.Cores = append(b.Cores, b.conductance(name, v.levels[len(v.paths)+i].Value, i))
	}
	b.rank()
	return b, nil
}

// conductance combines the changes of core i.
func (b *Band) conductance(name string, value float64, i int) Conductance {
	c := Conductance{Radiator: name, Value: value}
	for k := range b.Terms {
		if strings.HasSuffix(b.Terms[k].Path, ".speed") {
			continue
		}
		below, above := b.Terms[k].Cores[i].reach()
		c.Below, c.Above = math.Hypot(c.Below, below), math.Hypot(c.Above, above)
	}
	return c
}

// moment returns the start of the phase that is meant, s.
func moment(ctx context.Context, s *spec.Scenario, at spec.Number) (float64, error) {
	if at.Set {
		return at.Value, nil
	}
	run, err := sim.New(s, sim.Settings{NoTrace: true})
	if err != nil {
		return 0, fmt.Errorf("study: preparing the run: %w", err)
	}
	r, err := run.Run(ctx)
	if err != nil {
		return 0, fmt.Errorf("study: looking for the largest warming: %w", err)
	}
	if r.Heating < 0 {
		return 0, fmt.Errorf("study: there is no level to be sure of: %w", ErrNoWarming)
	}
	phase := &r.Phases[r.Heating]
	if !phase.Level.OK() {
		return 0, fmt.Errorf("study: the phase from %g s has no level: %s", phase.From, phase.Level.Why)
	}
	return phase.From, nil
}

// interval combines the changes of one node.
func (b *Band) interval(path string, level metric.Figure, of func(*Term) Change) Interval {
	i := Interval{Path: path, Level: level, Rise: level.Minus(b.Ambient)}
	for k := range b.Terms {
		below, above := of(&b.Terms[k]).reach()
		i.Below, i.Above = math.Hypot(i.Below, below), math.Hypot(i.Above, above)
	}
	return i
}

// rank gives every term its share and sorts by it. Terms of one size stay in
// the order in which the figures were filled in.
func (b *Band) rank() {
	sum := 0.0
	for i := range b.Terms {
		sum += b.Terms[i].size()
		if !b.Terms[i].OK() {
			b.Failed++
		}
	}
	for i := range b.Terms {
		if sum > 0 {
			b.Terms[i].Share = b.Terms[i].size() / sum
		}
	}
	slices.SortStableFunc(b.Terms, func(x, y Term) int { return cmp.Compare(y.size(), x.size()) })
}
