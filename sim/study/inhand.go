package study

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// InHand is how long a machine has after its first fault until it comes to a
// temperature that it should not come to. It is a range, never a single time: Shortest
// comes first, and counts.
type InHand struct {
	Shortest float64 // s
	Expected float64 // s, with every figure as assumed; +Inf where the run ends before it
	Longest  float64 // s, likewise
	Name     string  // of what comes first in the shortest case that one figure makes; empty where none does
	Terms    []Delay // one an assumed figure that was varied, the largest effect first
	Failed   int     // how many of the variations could not run; the range is then at least as wide as it says
}

// Delay is what one assumed figure does to the time in hand.
type Delay struct {
	spec.Assumed
	AtLow, AtHigh float64 // s; +Inf where the run ends before it, NaN where it could not run
}

// InHandOf returns the time in hand after the first fault of a scenario, given the
// result of its run and the ranges of the figures that it leaves to defaults. Every
// assumed number with a range, the room's temperature apart, is set to both ends of it,
// and the whole run repeated. Figures are taken as independent: the logarithms of what
// each does to the time add up as squares.
//
// The error says that ctx was done.
func InHandOf(ctx context.Context, s *spec.Scenario, base *sim.Result, workers int) (*InHand, error) {
	from := newSource(s, base.Plan.Scenario)
	varied, err := from.figures(base.Plan.Assumed, delays)
	if err != nil {
		return nil, err
	}
	found := make([]sim.InHand, ends*len(varied))
	err = each(ctx, len(found), workers, func(i int) { found[i] = from.inHand(ctx, varied[i/ends], i%ends) })
	if err != nil {
		return nil, err
	}
	h := newInHand(base.InHand(), found)
	for i, f := range varied {
		h.Terms = append(h.Terms, Delay{f.Assumed, found[ends*i+low].After, found[ends*i+high].After})
	}
	slices.SortStableFunc(h.Terms, func(a, b Delay) int { return cmp.Compare(b.size(h.Expected), a.size(h.Expected)) })
	return h, nil
}

// delays reports whether an assumed figure may change a time.
func delays(a spec.Assumed) bool { return ranges(a) && a.Dimension != spec.Price }

// inHand runs the scenario with a figure at an end of its range.
func (v source) inHand(ctx context.Context, f figure, end int) sim.InHand {
	failed := sim.InHand{After: math.NaN()}
	s, err := v.with(f, [ends]float64{f.Low, f.High}[end])
	if err != nil {
		return failed
	}
	run, err := sim.New(s, sim.Settings{NoTrace: true})
	if err != nil {
		return failed
	}
	r, err := run.Run(ctx)
	if err != nil {
		return failed
	}
	return r.InHand()
}

// newInHand combines what variations found, two a figure.
func newInHand(base sim.InHand, found []sim.InHand) *InHand {
	h := &InHand{Expected: base.After, Name: base.Name, Longest: base.After}
	sooner, later, least := 0.0, 0.0, base
	for i := 0; i < len(found); i += ends {
		below, above := 0.0, 0.0
		for _, one := range found[i : i+ends] {
			switch {
			case math.IsNaN(one.After):
				h.Failed++
				continue
			case one.After < least.After:
				least = one
			}
			if by := logarithm(one.After, base.After); by < 0 {
				below = math.Max(below, -by)
			} else {
				above = math.Max(above, by)
			}
		}
		sooner, later = math.Hypot(sooner, below), math.Hypot(later, above)
	}
	h.Shortest = least.After // of one figure alone, where the expected time is none
	if h.Name = least.Name; !math.IsInf(base.After, 1) {
		h.Shortest, h.Longest = base.After*math.Exp(-sooner), base.After*math.Exp(later)
	}
	return h
}

// logarithm returns how much longer a time is than another, as a logarithm: 0 where
// both are zero or beyond the end of the run.
func logarithm(time, than float64) float64 {
	if time == than || than == 0 {
		return 0
	}
	return math.Log(time / than)
}

// size is how much a figure does to the expected time.
func (d *Delay) size(expected float64) float64 {
	most := 0.0
	for _, t := range [...]float64{d.AtLow, d.AtHigh} {
		if by := math.Abs(logarithm(t, expected)); by > most {
			most = by
		}
	}
	return most
}

// String says the range in words, the shortest time first.
func (h *InHand) String() string {
	switch {
	case math.IsInf(h.Shortest, 1):
		return "nothing is reached while the run lasts"
	case math.IsInf(h.Longest, 1):
		return fmt.Sprintf("from %.3g s on, or not while the run lasts", h.Shortest)
	}
	return fmt.Sprintf("%.3g s to %.3g s", h.Shortest, h.Longest)
}
