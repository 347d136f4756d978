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
// The error tells that there is no pump or nothing to flow through, or that a
// figure is not a number.
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
// falls with flow, is zero: Newton's method, and bisection where it would leave
// what is left of the interval.
func balance(pumps []PumpCurve, speeds []float64, ring []Resistance, l Liquid, high float64) (float64, error) {
	low, q := 0.0, high
	for range 200 {
		excess, slope := seriesHead(pumps, speeds, q)
		drop, rise := Series(ring).Drop(q, l)
		excess -= drop
		slope -= rise
		if math.IsNaN(excess) || math.IsNaN(slope) {
			return 0, fmt.Errorf("part: operating point: head or pressure drop at %.4g L/min is not a number", q*6e4)
		}
		if math.Abs(excess) <= 1e-13*drop {
			return q, nil
		}
		if excess > 0 {
			low = q
		} else {
			high = q
		}
		next := q - excess/slope
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-q) <= 2e-16*q {
			return next, nil
		}
		q = next
	}
	return q, nil
}
