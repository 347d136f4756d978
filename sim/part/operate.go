package part

import (
	"fmt"
	"math"
)

// OperatingPoint returns the flow (m3/s, not below zero) at which pumps in
// series, at the given speeds over their rated ones, meet the pressure drops of
// a ring, and the head (Pa) there. In a closed ring heights cancel. Head and
// drop agree to 1e-13, or where the head is all but used up to rounding of the
// head at rest; pumps that all stand give zero.
//
// The error tells that there is no pump or nothing to flow through, that a
// figure is not a number, or that a drop is no [Resistance] as its comment asks.
func OperatingPoint(pumps []PumpCurve, speeds []float64, ring []Resistance, l Liquid) (q, head float64, err error) {
	if len(pumps) == 0 || len(pumps) != len(speeds) {
		return 0, 0, fmt.Errorf("part: operating point: %d speeds for %d pumps", len(speeds), len(pumps))
	}
	if len(ring) == 0 {
		return 0, 0, fmt.Errorf("part: operating point: nothing resists the flow")
	}
	high := 0.0
	for i, p := range pumps {
		high = math.Max(high, p.free*math.Max(0, speeds[i]))
	}
	if q, err = balance(pumps, speeds, ring, l, high); err != nil {
		return 0, 0, err
	}
	head, _ = seriesHead(pumps, speeds, q)
	return q, head, nil
}

// seriesHead returns the head of pumps one after the other and its slope.
func seriesHead(pumps []PumpCurve, speeds []float64, q float64) (head, slope float64) {
	for i, p := range pumps {
		h, s := p.Head(q, speeds[i])
		head += h
		slope += s
	}
	return head, slope
}

// balance finds the flow between zero and high where head minus drop, which
// falls with flow, is zero.
func balance(pumps []PumpCurve, speeds []float64, ring []Resistance, l Liquid, high float64) (float64, error) {
	q, left := high, newBracket(0, high)
	for range mostSteps {
		excess, slope := seriesHead(pumps, speeds, q)
		drop, rise := Series(ring).Drop(q, l)
		excess -= drop
		if math.IsNaN(excess) || math.IsNaN(slope+rise) {
			return 0, fmt.Errorf("part: operating point: head or pressure drop at %.4g L/min is not a number", q*6e4)
		}
		if math.Abs(excess) <= 1e-13*drop {
			return q, nil
		}
		next, done := left.next(q, q-excess/(slope-rise), excess > 0)
		if done {
			return next, nil
		}
		q = next
	}
	return 0, fmt.Errorf("part: operating point: no flow found up to %.4g L/min; a pressure drop does not rise with flow", high*6e4)
}
