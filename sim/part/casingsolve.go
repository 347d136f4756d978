package part

import (
	"fmt"
	"math"
)

// fewDucts is the number of ducts up to which all flows are found at once.
const fewDucts = 12

// branch is one duct in the search for all flows at once.
type branch struct {
	q      float64 // flow
	excess float64 // pressure from near to far end that it would bear at q
	ease   float64 // flow per pascal of difference, above zero
}

// together finds the flows of all ducts and x at once by Newton's method: every
// duct is taken as a straight line at its flow, which leaves one linear
// equation for x, so that the flows balance after every step. It reports false
// where that does not settle within a few steps.
func (n *node) together(ducts []float64) (x float64, ok bool) {
	var room [fewDucts]branch
	if len(ducts) > len(room) {
		return 0, false
	}
	b := room[:len(ducts)]
	n.guess(b)
	low, high := n.at(n.low), n.at(n.high)
	for range 30 {
		if !n.line(b) {
			return 0, false
		}
		p, rise := n.pressure(x)
		driven, wide := 0.0, 0.0
		for i := range b {
			_, way := n.duct(i)
			driven += way * (b[i].q + b[i].ease*b[i].excess)
			wide += b[i].ease
		}
		next := (driven - wide*(p-rise*x)) / (n.vents + wide*rise)
		if !(next >= low) {
			next = low
		}
		next = math.Min(next, high)
		p += rise * (next - x)
		x = next
		if n.move(b, p) {
			for i := range b {
				ducts[i] = b[i].q
			}
			return x, n.balanced(b, x)
		}
	}
	return 0, false
}

// guess sets flows to start from, half of what the fans can move.
func (n *node) guess(b []branch) {
	row := 0
	for i := range b {
		d, _ := n.duct(i)
		b[i].q = d.reach(n.rows(&row, d)) / 2
	}
}

// line sets pressure and ease of every duct at its flow, which is none in a
// closed one. It reports false where there is no straight line: at rest in a
// quadratic way, or beyond numbers.
func (n *node) line(b []branch) bool {
	row := 0
	for i := range b {
		d, _ := n.duct(i)
		p, s := d.excess(b[i].q, n.rows(&row, d), n.air)
		if math.IsInf(s, -1) {
			b[i] = branch{}
			continue
		}
		b[i].excess, b[i].ease = p, -1/s
		if !(b[i].ease > 0) || math.IsInf(b[i].ease, 0) || math.IsNaN(p) || math.IsInf(p, 0) {
			return false
		}
	}
	return true
}

// move brings the ducts to their flows at a casing's pressure p, and reports
// whether that was no way any more.
func (n *node) move(b []branch, p float64) (done bool) {
	most := 0.0
	for i := range b {
		most = math.Max(most, math.Abs(b[i].q))
	}
	done = true
	for i := range b {
		_, way := n.duct(i)
		step := b[i].ease * (b[i].excess - way*p)
		b[i].q += step
		if !(math.Abs(step) <= settled*math.Abs(b[i].q)+1e-13*most) {
			done = false
		}
	}
	return done
}

// balanced reports whether what flows in, flows out: not so where x was held at
// an end of its range.
func (n *node) balanced(b []branch, x float64) bool {
	left, most := -n.vents*x, 0.0
	for i := range b {
		_, way := n.duct(i)
		left += way * b[i].q
		most = math.Max(most, math.Abs(b[i].q))
	}
	return math.Abs(left) <= 1e-13*most
}

// nested finds x by a bracketed search in which every duct's flow is solved for
// every pressure. It is slower than together but always arrives.
func (n *node) nested(ducts []float64) (x float64, err error) {
	low, high := n.at(n.low), n.at(n.high)
	x, _, ok := falling(low, high, low+(high-low)/2, func(x float64) (float64, float64) {
		var left, wide float64
		left, wide, err = n.inflow(x, ducts)
		return left, -wide
	})
	if !ok && err == nil {
		err = fmt.Errorf("part: casing: no pressure found between %.4g and %.4g Pa", n.low, n.high)
	}
	if err != nil {
		return 0, err
	}
	if _, _, err = n.inflow(x, ducts); err != nil {
		return 0, err
	}
	if n.vents == 0 {
		err = n.even(x, ducts)
	}
	return x, err
}

// inflow writes the ducts' flows at x and returns what more flows in than out,
// and by how much less for a rise of x. It is NaN after an error.
func (n *node) inflow(x float64, ducts []float64) (left, wide float64, err error) {
	p, rise := n.pressure(x)
	left, wide = -n.vents*x, n.vents
	row := 0
	for i := range ducts {
		d, way := n.duct(i)
		q, slope, err := d.Flow(way*p, n.rows(&row, d), n.air)
		if err != nil {
			return math.NaN(), 0, fmt.Errorf("part: casing: duct %d: %w", i+1, err)
		}
		ducts[i] = q
		left += way * q
		wide -= slope * rise
	}
	return left, wide, nil
}

// balance returns how much more ducts bring in than out.
func (n *node) balance(ducts []float64) float64 {
	sum := 0.0
	for i, q := range ducts {
		_, way := n.duct(i)
		sum += way * q
	}
	return sum
}

// even takes the rest of the balance, which the rounding of the pressure leaves
// where a flow changes steeply with it, out of the duct that changes most.
func (n *node) even(p float64, ducts []float64) error {
	widest, ease, row := 0, -1.0, 0
	for i := range ducts {
		d, way := n.duct(i)
		_, slope, err := d.Flow(way*p, n.rows(&row, d), n.air)
		if err != nil {
			return fmt.Errorf("part: casing: duct %d: %w", i+1, err)
		}
		if -slope > ease {
			widest, ease = i, -slope
		}
	}
	ducts[widest] = 0
	_, way := n.duct(widest)
	ducts[widest] -= way * n.balance(ducts)
	return nil
}
