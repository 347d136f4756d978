package record

import "math"

// Polynomial is a component of a Segment in theta = 0..1, constant term first.
type Polynomial [5]float64

// At returns the value at theta.
func (p Polynomial) At(theta float64) float64 {
	return p[0] + theta*(p[1]+theta*(p[2]+theta*(p[3]+theta*p[4])))
}

// Bounds returns an interval that contains all values for theta in 0..1. It
// is cheap and may be wide.
func (p Polynomial) Bounds() (low, high float64) {
	low, high = p[0], p[0]
	for _, c := range p[1:] {
		low += math.Min(c, 0)
		high += math.Max(c, 0)
	}
	return low, high
}

// Crossings appends to dst, ascending, every theta in 0 < theta <= 1 at which
// the polynomial passes through level, and returns it. A touch without passing
// counts only at theta = 1.
func (p Polynomial) Crossings(level float64, dst []float64) []float64 {
	if low, high := p.Bounds(); level < low || level > high {
		return dst
	}
	p[0] -= level
	var turns [3]float64
	from := 0.0
	for _, to := range append(p.turnings(turns[:0]), 1) {
		if theta, ok := p.root(from, to); ok {
			dst = append(dst, theta)
		}
		from = to
	}
	return dst
}

// Extremes returns the smallest and the largest value for theta in 0..1 and
// where they are.
func (p Polynomial) Extremes() (low, lowAt, high, highAt float64) {
	low, high = p[0], p[0]
	var turns [3]float64
	for _, theta := range append(p.turnings(turns[:0]), 1) {
		v := p.At(theta)
		if v < low {
			low, lowAt = v, theta
		}
		if v > high {
			high, highAt = v, theta
		}
	}
	return low, lowAt, high, highAt
}

// turnings appends the theta in (0,1) at which the slope changes sign,
// ascending: between two of them the polynomial is monotone.
func (p Polynomial) turnings(dst []float64) []float64 {
	d := Polynomial{p[1], 2 * p[2], 3 * p[3], 4 * p[4]}
	if d[1] == 0 && d[2] == 0 && d[3] == 0 {
		return dst
	}
	var inner [3]float64
	from := 0.0
	for _, to := range append(d.turnings(inner[:0]), 1) {
		if theta, ok := d.root(from, to); ok && theta < 1 {
			dst = append(dst, theta)
		}
		from = to
	}
	return dst
}

// root returns the root in (from, to] of a polynomial that is monotone there,
// by bisection with secant steps, and whether there is one.
func (p Polynomial) root(from, to float64) (float64, bool) {
	a, b := p.At(from), p.At(to)
	if b == 0 {
		return to, a != 0
	}
	if a == 0 || (a < 0) == (b < 0) {
		return 0, false
	}
	for range 200 {
		theta := to - b*(to-from)/(b-a)
		if middle := (from + to) / 2; !(theta > from && theta < to) || math.Abs(theta-middle) > 0.49*(to-from) {
			theta = middle
		}
		v := p.At(theta)
		if v == 0 || to-from < 1e-15 {
			return theta, true
		}
		if (v < 0) == (a < 0) {
			from, a = theta, v
		} else {
			to, b = theta, v
		}
	}
	return (from + to) / 2, true
}
