package odetest

import (
	"math"

	"soakledger/sim/ode"
)

// Mismatch is the worst disagreement between a derivative and its finite difference.
type Mismatch struct {
	// Relative is |given - difference| over the row's scale: the sum of the row's |entry| * (size of its column's
	// variable), divided by the size of that variable, so that entries of no consequence for the row do not alarm.
	Relative   float64
	Row, Col   int // Col is -1 for the time derivative
	Given      float64
	Difference float64
}

// CheckJacobian compares the Jacobian and the time derivative of sys at (t, y) with central differences in all n
// columns, entries outside the pattern included (given: 0), and returns the worst mismatch. For smooth right-hand sides
// an exact Jacobian gives about 1e-9 to 1e-6. Choose y of typical size (not all but zero, where differences drown
// in rounding) and away from kinks.
func CheckJacobian(sys ode.System, t float64, y []float64) Mismatch {
	n, m := sys.Dim()
	c := jacobianCheck{sys: sys, t: t, y: append([]float64(nil), y...), n: n, all: n + m,
		up: make([]float64, n+m), down: make([]float64, n+m), size: make([]float64, n)}
	worst := Mismatch{Row: -1, Col: -1}
	given := c.dense()
	differences := make([][]float64, n)
	for j := range n {
		differences[j] = c.column(j)
	}
	scales := make([]float64, c.all)
	for i := range c.all {
		scale := 0.0
		for j := range n {
			scale += math.Max(math.Abs(given[i][j]), math.Abs(differences[j][i])) * c.size[j]
		}
		for j := range n {
			worst.keepWorse(i, j, given[i][j], differences[j][i], scale/c.size[j])
		}
		scales[i] = scale
	}
	c.compareTime(&worst, scales)
	return worst
}

type jacobianCheck struct {
	sys      ode.System
	t        float64
	y        []float64
	n, all   int
	up, down []float64
	size     []float64 // of each state: its magnitude, at least a thousandth of the largest
}

// dense returns the given Jacobian as rows.
func (c *jacobianCheck) dense() [][]float64 {
	p := c.sys.Pattern()
	jac := make([]float64, len(p.Col))
	c.sys.Jacobian(c.t, c.y, jac)
	rows := make([][]float64, c.all)
	for i := range rows {
		rows[i] = make([]float64, c.n)
		for e := p.RowStart[i]; e < p.RowStart[i+1]; e++ {
			rows[i][p.Col[e]] = jac[e]
		}
	}
	return rows
}

// column returns the difference quotients with respect to state j, by a five-point formula.
func (c *jacobianCheck) column(j int) []float64 {
	largest := 0.0
	for _, v := range c.y[:c.n] {
		largest = math.Max(largest, math.Abs(v))
	}
	c.size[j] = math.Max(math.Abs(c.y[j]), 1e-3*largest)
	if c.size[j] == 0 {
		c.size[j] = 1
	}
	h := 1e-3 * c.size[j]
	at := func(k float64, out []float64) {
		keep := c.y[j]
		c.y[j] = keep + k*h
		c.sys.F(c.t, c.y, out)
		c.y[j] = keep
	}
	return c.difference(h, at)
}

// compareTime compares the time derivative; terms is, for each row, the size of the terms of f.
func (c *jacobianCheck) compareTime(worst *Mismatch, terms []float64) {
	given := make([]float64, c.all)
	if !c.sys.TimeDerivative(c.t, c.y, given) {
		clear(given)
	}
	h := 1e-3 * math.Max(1, math.Abs(c.t))
	d := c.difference(h, func(k float64, out []float64) { c.sys.F(c.t+k*h, c.y, out) })
	c.sys.F(c.t, c.y, c.up)
	for i := range c.all {
		// What f and its terms amount to bounds the rounding in the difference.
		scale := math.Max(math.Max(math.Abs(given[i]), math.Abs(d[i])), 1e-6*(math.Abs(c.up[i])+terms[i]))
		worst.keepWorse(i, -1, given[i], d[i], scale)
	}
}

// difference returns the five-point central difference of the function at, whose argument counts steps of h.
func (c *jacobianCheck) difference(h float64, at func(k float64, out []float64)) []float64 {
	out := make([]float64, c.all)
	for _, term := range []struct{ k, weight float64 }{{1, 8}, {2, -1}} {
		at(term.k, c.up)
		at(-term.k, c.down)
		for i := range out {
			out[i] += term.weight * (c.up[i] - c.down[i]) / (12 * h)
		}
	}
	return out
}

func (w *Mismatch) keepWorse(row, col int, given, difference, scale float64) {
	d := math.Abs(given - difference)
	if d == 0 || scale == 0 || math.IsNaN(w.Relative) {
		return // nothing wrong, or something worse known
	}
	if r := d / scale; r > w.Relative || math.IsNaN(r) {
		*w = Mismatch{r, row, col, given, difference}
	}
}
