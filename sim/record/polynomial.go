package record

import "math"

// Polynomial is a component of a Segment in theta = 0..1, constant term first.
type Polynomial [5]float64

// At returns the value at theta.
func (p *Polynomial) At(theta float64) float64 {
	return p[0] + theta*(p[1]+theta*(p[2]+theta*(p[3]+theta*p[4])))
}

// Fill writes the values at thetas to dst, which must be as long.
func (p *Polynomial) Fill(thetas, dst []float64) { p.FillShifted(0, thetas, dst) }

// FillShifted writes the values at thetas, with shift added, to dst, which must
// be as long.
func (p *Polynomial) FillShifted(shift float64, thetas, dst []float64) {
	c0, c1, c2, c3, c4 := p[0]+shift, p[1], p[2], p[3], p[4]
	dst = dst[:len(thetas)]
	for k, theta := range thetas {
		dst[k] = c0 + theta*(c1+theta*(c2+theta*(c3+theta*c4)))
	}
}

// bezier returns the control points of the polynomial in Bernstein form. Its
// graph over 0..1 stays within their range, begins at the first and ends at the
// last (Farouki & Rajan 1987, On the numerical condition of polynomials in
// Bernstein form, Comput. Aided Geom. Des. 4:191).
func (p *Polynomial) bezier() (b0, b1, b2, b3, b4 float64) {
	b0 = p[0]
	b1 = b0 + p[1]/4
	b2 = b0 + p[1]/2 + p[2]/6
	b3 = b0 + p[1]*0.75 + p[2]/2 + p[3]/4
	b4 = b0 + (p[1] + (p[2] + (p[3] + p[4]))) // as At(1) adds up
	return b0, b1, b2, b3, b4
}

// Bounds returns an interval that contains all values for theta in 0..1. It
// is cheap, and exact where the control points ascend or descend, as those of
// a component that settles do.
func (p *Polynomial) Bounds() (low, high float64) {
	b0, b1, b2, b3, b4 := p.bezier()
	low, high = b0, b4
	if low > high {
		low, high = high, low
	}
	for _, b := range [...]float64{b1, b2, b3} { // branches that are mostly foretold cost less than min and max
		if b < low {
			low = b
		} else if b > high {
			high = b
		}
	}
	return low, high
}

// Within reports whether all values for theta in 0..1 are known to lie between
// low and high, by the bounds or by cheaper ones that often suffice.
func (p *Polynomial) Within(low, high float64) bool {
	reach := (math.Abs(p[1]) + math.Abs(p[2])) + (math.Abs(p[3]) + math.Abs(p[4]))
	if p[0]-reach >= low && p[0]+reach <= high {
		return true
	}
	a, b := p.Bounds()
	return a >= low && b <= high
}

// monotone reports whether the control points ascend or descend, and with them
// the polynomial. If not, it may still be monotone.
func (p *Polynomial) monotone() bool {
	b0, b1, b2, b3, b4 := p.bezier()
	return b0 <= b1 && b1 <= b2 && b2 <= b3 && b3 <= b4 ||
		b0 >= b1 && b1 >= b2 && b2 >= b3 && b3 >= b4
}

// Crossings appends to dst, ascending, every theta in 0 < theta <= 1 at which
// the polynomial passes through level, and returns it. A touch without passing
// counts only at theta = 1.
func (p Polynomial) Crossings(level float64, dst []float64) []float64 {
	if low, high := p.Bounds(); level < low || level > high {
		return dst
	}
	p[0] -= level
	var turns [4]float64
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
	var turns [4]float64
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
func (p *Polynomial) turnings(dst []float64) []float64 {
	if p.monotone() {
		return dst
	}
	slope := Polynomial{p[1], 2 * p[2], 3 * p[3], 4 * p[4]}
	var turns [4]float64
	from := 0.0
	for _, to := range append(slope.turnings(turns[:0]), 1) {
		if theta, ok := slope.root(from, to); ok && theta < 1 {
			dst = append(dst, theta)
		}
		from = to
	}
	return dst
}

// root returns the root in (from, to] of a polynomial that is monotone there,
// by bisection with secant steps, and whether there is one.
func (p *Polynomial) root(from, to float64) (float64, bool) {
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
