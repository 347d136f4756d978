package ode

import "math"

// Event is a condition watched by Solve: a sign change of G along the solution.
type Event struct {
	Name string
	// G is the watched function of t and the n+m values y; it must not keep or change y.
	G func(t float64, y []float64) float64
	// Direction selects crossings: +1 only from negative to positive, -1 only from positive to negative, 0 both.
	Direction int
	// Terminal ends the integration at the first crossing.
	Terminal bool
}

// scanParts is the number of parts of a step in which FirstCrossing looks for a sign change, so that a short
// excursion within a long step is seen unless it lasts less than about an eighth of it.
const scanParts = 8

// FirstCrossing returns the first time after from, in the segment, at which g crosses zero in the given direction (as
// Event.Direction), and whether there is one. g is a function of time that reads the segment.
//
// The time returned lies after the crossing by at most about 1e-12 of the step (and never less than
// rounding of t allows): g there is zero or has its new sign. A search that starts again from that time, or
// an integration truncated there, therefore does not meet the same crossing twice. A g that starts at exactly
// zero has not crossed. Two crossings closer than an eighth of the step may be missed together.
func FirstCrossing(seg *Segment, from float64, g func(t float64) float64, direction int) (t float64, found bool) {
	from = max(from, seg.start)
	span := seg.end - from
	if !(span > 0) {
		return 0, false
	}
	a, ga := from, g(from)
	for k := 1; k <= scanParts; k++ {
		b := from + span*float64(k)/scanParts
		if k == scanParts {
			b = seg.end
		}
		gb := g(b)
		if crosses(ga, gb, direction) {
			return locate(g, a, b, ga, gb, seg.end-seg.start), true
		}
		a, ga = b, gb
	}
	return 0, false
}

// crosses reports whether g goes from ga strictly on one side to zero or the other side.
func crosses(ga, gb float64, direction int) bool {
	rising := ga < 0 && gb >= 0
	falling := ga > 0 && gb <= 0
	return rising && direction >= 0 || falling && direction <= 0
}

// locate shrinks the bracket [a, b] of a sign change of g by the ITP method (Oliveira & Takahashi, An enhancement of
// the bisection method average performance preserving minmax optimality, ACM TOMS 47 (2020) 5,
// with kappa2 = 2, n0 = 1) and returns its right end. step scales the tolerance.
func locate(g func(float64) float64, a, b, ga, gb, step float64) float64 {
	eps := max(0.5e-12*step, 2*0x1p-52*max(math.Abs(a), math.Abs(b)))
	kappa1 := 0.2 / (b - a)
	bisections := math.Ceil(math.Log2(max(1, (b-a)/(2*eps)))) + 1
	for j := 0.0; b-a > 2*eps; j++ {
		half := a + (b-a)/2
		chord := (gb*a - ga*b) / (gb - ga)
		toHalf := half - chord
		move := kappa1 * (b - a) * (b - a)
		t := half
		if move <= math.Abs(toHalf) {
			t = chord + math.Copysign(move, toHalf)
		}
		if r := eps*math.Exp2(bisections-j) - (b-a)/2; math.Abs(t-half) > r {
			t = half - math.Copysign(max(r, 0), toHalf)
		}
		if !(t > a && t < b) {
			t = half
		}
		if !(t > a && t < b) {
			break
		}
		gt := g(t)
		if gt == 0 || (gt > 0) != (ga > 0) {
			b, gb = t, gt
		} else {
			a, ga = t, gt
		}
	}
	return b
}
