package part

import "math"

// mostSteps is far more than a bracketed search takes: two steps at most halve
// the interval or the step.
const mostSteps = 400

// bracket is what is left of an interval in which a root lies, for Newton's
// method guarded by bisection: a proposed step is taken if it stays inside and
// is less than half as long as the step before the last, so that the search can
// neither leave the interval nor go round in it.
type bracket struct {
	low, high    float64
	step, before float64 // lengths of the last step and of the one before
}

func newBracket(low, high float64) bracket { return bracket{low, high, high - low, high - low} }

// next returns where to go from x, with the root above or below it, if Newton's
// method proposes to go to proposed; and whether that is no step any more.
func (b *bracket) next(x, proposed float64, above bool) (next float64, done bool) {
	if above {
		b.low = x
	} else {
		b.high = x
	}
	next = proposed
	if !(next >= b.low && next <= b.high) || math.Abs(next-x) > b.before/2 {
		next = b.low + (b.high-b.low)/2
	}
	b.before, b.step = b.step, math.Abs(next-x)
	return next, b.step <= 2e-16*math.Abs(x)
}
