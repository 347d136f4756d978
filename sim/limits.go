package sim

import (
	"fmt"
	"math"

	"soakledger/sim/assemble"
	"soakledger/sim/ode"
	"soakledger/sim/record"
)

const zeroCelsius = 273.15 // K

// Limits of the model.
const (
	hottestCoolant = 95 + zeroCelsius // K, end of the property tables; the model knows no boiling
	aboveShutdown  = 20.0             // K above a chip's own cut-out, where the ladder means nothing any more
	lookAhead      = 5.0              // K below a limit within which a step's inside is searched for it
)

// limit is a temperature that a state must not pass.
type limit struct {
	state int
	at    float64 // K
	above bool    // passing upward is leaving
	what  string
}

// modelLimits lists the ends of the model's valid range.
func modelLimits(p *assemble.Plan) []limit {
	var all []limit
	for _, n := range p.Nodes {
		if n.Kind != assemble.CoolantCell {
			continue
		}
		all = append(all,
			limit{int(n.Lump), hottestCoolant, true, fmt.Sprintf("%s passed %.0f degC, the end of the coolant's valid range", n.Path, hottestCoolant-zeroCelsius)},
			limit{int(n.Lump), p.Coolant.FreezingPoint(), false, fmt.Sprintf("%s fell below the coolant's freezing point of %.1f degC", n.Path, p.Coolant.FreezingPoint()-zeroCelsius)})
	}
	for _, c := range p.Chips {
		at := c.Shutdown + aboveShutdown
		all = append(all, limit{int(c.Die), at, true, fmt.Sprintf("%s.die passed %.0f degC, %g K above its shutdown", c.Name, at-zeroCelsius, aboveShutdown)})
	}
	return all
}

// checkStart refuses a run that begins outside the valid range.
func (s *Simulation) checkStart() error {
	for _, l := range s.limits {
		if v := s.y0[l.state]; l.above == (v > l.at) && v != l.at {
			return assemble.Problems{{Path: "start", Text: fmt.Sprintf("at the start, %.1f degC, %s", v-zeroCelsius, l.what)}}
		}
	}
	return nil
}

// checkLimits looks for the first limit passed within the step. If there is
// one, the run is cut there and the reason returned.
func (s *Simulation) checkLimits(seg *ode.Segment) string {
	first, reason := math.Inf(1), ""
	y := s.it.State()
	for i := range s.limits {
		l := &s.limits[i]
		before := seg.At(l.state, seg.Start())
		if l.clear(before) && l.clear(y[l.state]) {
			continue
		}
		if t, ok := l.passed(seg); ok && t < first {
			first, reason = t, l.what
		}
	}
	if reason == "" {
		return ""
	}
	s.it.TruncateTo(first)
	s.events = append(s.events, Event{Time: first, Kind: "left_range", Text: reason})
	return reason
}

// clear reports whether a temperature is so far inside the limit that a step
// between two such temperatures need not be searched.
func (l *limit) clear(t float64) bool {
	if l.above {
		return t < l.at-lookAhead
	}
	return t > l.at+lookAhead
}

// passed returns the first time at which the state leaves through the limit.
func (l *limit) passed(seg *ode.Segment) (float64, bool) {
	p := record.Polynomial(seg.Poly(l.state))
	var roots [4]float64
	for _, theta := range p.Crossings(l.at, roots[:0]) {
		outward := p.At(math.Max(0, theta-1e-6)) < l.at
		if outward == l.above {
			return seg.Start() + theta*(seg.End()-seg.Start()), true
		}
	}
	return 0, false
}
