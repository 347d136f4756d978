package network

import (
	"fmt"
	"math"
)

// curve is a heat flow that depends on the difference of two temperatures,
// such as a wall's loss to still air: cubics between knots that lie closest
// around zero, where natural convection bends most, and straight lines beyond.
type curve struct {
	cubic []cubic                // by interval of curveGrid
	piece [curvePieces + 2]piece // a line, the same over the difference itself, and another line: for F
}

// piece is a cubic over the distance from where it begins.
type piece struct{ begin, c0, c1, c2, c3 float64 }

const (
	curveCell   = 0.25 // K, of curveGrid
	curveCells  = 640  // of them
	curvePieces = 20   // intervals
	curveEnd    = curveCell * curveCells / 2
)

// curveGrid is that of all curves. Its widths, from a difference of zero on
// either way, make the heat of a tube's wall good to 2e-4, but for the innermost
// quarter of a kelvin, where natural convection sets in and it is good to 1 % of
// what it is at 1 K (tested).
var curveGrid = func() grid {
	var widths []int
	for _, w := range [...]int{1, 1, 2, 4, 8, 16, 28, 48, 80, 132} {
		widths = append(append([]int{w}, widths...), w)
	}
	return newGrid(-curveEnd, curveCell, widths)
}()

// curvePiece is the piece of every cell of curveGrid, and of one more at either end, for
// what lies beyond.
var curvePiece = func() (all [curveCells + 2]uint8) {
	for cell, k := range curveGrid.index {
		all[cell+1] = uint8(k + 1)
	}
	all[curveCells+1] = curvePieces + 1
	return all
}()

// newCurve tabulates heat (W) and its slope (W/K) against a difference (K). The
// error tells that it cannot be a heat flow.
func newCurve(heat func(difference float64) (q, slope float64)) (*curve, error) {
	if q, _ := heat(0); q != 0 {
		return nil, fmt.Errorf("%g W flow without a difference of temperatures", q)
	}
	c := new(curve)
	begin := curveGrid.knot(0)
	q0, d0 := heat(begin)
	c.piece[0] = piece{begin: begin, c0: q0, c1: d0}
	for k := range curveGrid.intervals() {
		end := curveGrid.knot(k + 1)
		q1, d1 := heat(end)
		if sum := math.Abs(q0) + math.Abs(q1) + math.Abs(d0) + math.Abs(d1); math.IsNaN(sum) || math.IsInf(sum, 1) {
			return nil, fmt.Errorf("heat or its slope at a difference of %g or %g K is not finite", begin, end)
		}
		p := hermite(q0, q1, d0*(end-begin), d1*(end-begin))
		if p.falls() {
			return nil, fmt.Errorf("heat falls between differences of %g and %g K", begin, end)
		}
		c.cubic = append(c.cubic, p)
		r := 1 / (end - begin)
		c.piece[k+1] = piece{begin, p[0], p[1] * r, p[2] * r * r, p[3] * r * r * r}
		begin, q0, d0 = end, q1, d1
	}
	c.piece[curvePieces+1] = piece{begin: begin, c0: q0, c1: d0}
	return c, nil
}

// heat returns the heat at a difference (K), below 1e15 in size, W. It is small enough to be
// compiled into its caller.
func (c *curve) heat(difference float64) float64 {
	cell := int((difference + (curveEnd + curveCell)) * (1 / curveCell))
	p := &c.piece[curvePiece[min(max(cell, 0), curveCells+1)]]
	x := difference - p.begin
	return p.c0 + x*(p.c1+x*(p.c2+x*p.c3))
}

// slope returns its slope, W/K.
func (c *curve) slope(difference float64) float64 {
	k, u := curveGrid.locate(difference)
	return c.cubic[k].slope(u) * curveGrid.perPlace(k)
}

// carries reports whether any heat ever flows.
func (c *curve) carries() bool { return c.cubic[0][0] < 0 }
