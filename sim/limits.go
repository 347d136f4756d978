package sim

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/record"
)

const zeroCelsius = 273.15 // K

// Limits of the model.
const (
	hottestCoolant = 95 + zeroCelsius // K, end of the property tables; the model knows no boiling
	aboveShutdown  = 20.0             // K above a chip's own cut-out, where the ladder means nothing any more
)

// limit is the range that a state must not leave.
type limit struct {
	low, high float64 // K
	path      string
	why       string // what lies beyond the high end
}

// modelLimits lists the valid range of every state.
func modelLimits(p *assemble.Plan) []limit {
	all := make([]limit, len(p.Nodes))
	for i, n := range p.Nodes {
		all[i] = limit{low: 0, high: math.Inf(1), path: n.Path}
		if n.Kind == assemble.CoolantCell {
			all[i].low, all[i].high, all[i].why = p.Coolant.FreezingPoint(), hottestCoolant, "the end of the coolant's valid range"
		}
	}
	for _, c := range p.Chips {
		all[c.Die].high, all[c.Die].why = c.Shutdown+aboveShutdown, fmt.Sprintf("%g K above its shutdown", aboveShutdown)
	}
	return all
}

// beyond says in a clause which end of the range a temperature lies beyond, or
// nothing if it lies inside.
func (l *limit) beyond(t float64) string {
	switch {
	case t > l.high:
		return fmt.Sprintf("above %.1f degC, %s", l.high-zeroCelsius, l.why)
	case t < l.low:
		return fmt.Sprintf("below %.1f degC, the coolant's freezing point", l.low-zeroCelsius)
	}
	return ""
}

// checkStart refuses a run that begins outside the valid range.
func (s *Simulation) checkStart() error {
	var problems assemble.Problems
	for i, l := range s.limits {
		if t := s.initial[i]; l.beyond(t) != "" {
			problems = append(problems, assemble.Problem{Path: "start", Text: fmt.Sprintf("%s begins at %.1f degC, which is %s", l.path, t-zeroCelsius, l.beyond(t))})
		}
	}
	if len(problems) > 0 {
		return problems
	}
	return nil
}

// watch widens the range that every lump has passed through, peaks inside the
// step included. Where one leaves the model's range, the run is cut there and
// the reason returned; else nothing.
func (s *Simulation) watch() (reason string) {
	s.widened = s.view.astray(s.low, s.high, s.widened[:0])
	reason = s.cut()
	for _, i := range s.widened {
		low, lowAt, high, highAt := s.view.of(i).Extremes()
		if low < s.lowest[i] {
			s.lowest[i], s.low[i] = low, s.view.state(i, lowAt, low)
		}
		if high > s.highest[i] {
			s.highest[i], s.high[i] = high, s.view.state(i, highAt, high)
		}
	}
	return reason
}

// cut ends the step where a state first leaves its range and returns why. Only
// those that go where they have not been can do so.
func (s *Simulation) cut() string {
	first, reason := math.Inf(1), ""
	for _, i := range s.widened {
		l := &s.limits[i]
		p := s.view.of(i)
		if p.Within(l.low, l.high) {
			continue
		}
		theta, why := l.left(p)
		if t := s.view.Start() + theta*(s.view.End()-s.view.Start()); why != "" && t < first {
			first, reason = t, l.path+" went "+why
		}
	}
	if reason == "" {
		return ""
	}
	s.it.TruncateTo(first)
	s.view.read(s.it.Segment())
	s.events = append(s.events, Event{Time: first, Kind: string(LeftRange), Text: reason})
	return reason
}

// left returns the theta at which a component leaves the range, and through
// which end. One that begins at an end and moves outward leaves at once.
func (l *limit) left(p *record.Polynomial) (theta float64, why string) {
	var store [8]float64
	ends := p.Crossings(l.high, p.Crossings(l.low, store[:0]))
	slices.Sort(ends)
	from := 0.0
	for _, to := range append(ends, 1) {
		if to > from {
			if why := l.beyond(p.At((from + to) / 2)); why != "" {
				return from, why
			}
		}
		from = to
	}
	return 0, ""
}
