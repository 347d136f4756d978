package fluid

import "math"

const (
	// knotSpacing (K) is an upper bound. The steepest property, the viscosity
	// of a 60 % glycol at its freezing point, keeps its error near 1e-5 with it.
	knotSpacing = 2.5
	// tailCells is the length of the tail on either side of the range, in
	// cells: 20 K over which the slope falls to zero.
	tailCells = 8
)

// grid is a set of uniform knots: the range low to high, at either end a tail,
// and one cell more that stands for everything beyond.
type grid struct {
	origin, step float64 // first knot and spacing, K
	first, last  int     // knots at low and high
	cells        int
}

func newGrid(low, high float64) grid {
	inner := int(math.Ceil((high - low) / knotSpacing))
	step := (high - low) / float64(inner)
	first := tailCells + 1
	return grid{
		origin: low - float64(first)*step, step: step,
		first: first, last: first + inner, cells: inner + 2*first,
	}
}

func (g grid) knot(i int) float64 { return g.origin + float64(i)*g.step }

// slopes are the derivatives of f at the knots. Beyond the range they fall
// linearly to zero over the tail and stay there, so that a quantity continues
// smoothly and monotonically to a constant.
func (g grid) slopes(f func(float64) float64) []float64 {
	s := make([]float64, g.cells+1)
	for i := g.first; i <= g.last; i++ {
		s[i] = derivative(f, g.knot(i))
	}
	for j := 1; j < tailCells; j++ {
		fade := 1 - float64(j)/tailCells
		s[g.first-j] = fade * s[g.first]
		s[g.last+j] = fade * s[g.last]
	}
	return s
}

// derivative is the fourth-order central difference, good to about 1e-10 of
// f/K for the smooth forms of this package.
func derivative(f func(float64) float64, t float64) float64 {
	const d = 0.05
	return (8*(f(t+d)-f(t-d)) - (f(t+2*d) - f(t-2*d))) / (12 * d)
}

// integrate fills y outward from knot from, where y is set, up to and including
// knot to, as the exact integral of the piecewise linear slope.
func (g grid) integrate(y, slope []float64, from, to int) {
	for i := from; i < to; i++ {
		y[i+1] = y[i] + 0.5*g.step*(slope[i]+slope[i+1])
	}
	for i := from; i > to; i-- {
		y[i-1] = y[i] - 0.5*g.step*(slope[i]+slope[i-1])
	}
}

// cell is a cubic in the distance from its left knot: c0 + d(c1 + d(c2 + d c3)).
type cell struct{ at, c0, c1, c2, c3 float64 }

// spline is a piecewise cubic over a grid. The cells at both ends are constants
// (of a property) or straight lines (of an enthalpy) and so reach as far as one
// likes: an index outside is moved to them.
type spline struct {
	origin, perStep float64
	cells           []cell
}

// find is the cell that holds temperature t (K).
func (s *spline) find(t float64) *cell {
	i := int((t - s.origin) * s.perStep)
	if uint(i) >= uint(len(s.cells)) {
		i = len(s.cells) - 1
		if t < s.origin {
			i = 0
		}
	}
	return &s.cells[i]
}

// eval is the cubic and its exact derivative.
func (s *spline) eval(t float64) (y, dy float64) {
	c := s.find(t)
	d := t - c.at
	return c.c0 + d*(c.c1+d*(c.c2+d*c.c3)), c.c1 + d*(2*c.c2+3*d*c.c3)
}

// newSpline is the cubic Hermite interpolant of f over the range: continuous
// with its first derivative, error step⁴/384 times the fourth derivative.
func newSpline(f func(float64) float64, g grid) spline {
	slope := g.slopes(f)
	y := make([]float64, g.cells+1)
	for i := g.first; i <= g.last; i++ {
		y[i] = f(g.knot(i))
	}
	g.integrate(y, slope, g.first, 0)
	g.integrate(y, slope, g.last, g.cells)
	s := spline{origin: g.origin, perStep: 1 / g.step, cells: make([]cell, g.cells)}
	for i := range s.cells {
		rise := (y[i+1] - y[i]) / g.step
		s.cells[i] = cell{
			at: g.knot(i), c0: y[i], c1: slope[i],
			c2: (3*rise - 2*slope[i] - slope[i+1]) / g.step,
			c3: (slope[i] + slope[i+1] - 2*rise) / (g.step * g.step),
		}
	}
	return s
}

// newEnthalpy is the integral of a specific heat cp. The heat itself is a
// quadratic spline, continuous with its first derivative: its slope is
// piecewise linear through the exact slopes at the knots, and its value is
// anchored in the middle of the range. Enthalpy is the exact integral of that,
// zero at 0 °C, so that differences of it and the heat agree to rounding.
func newEnthalpy(cp func(float64) float64, g grid) spline {
	slope := g.slopes(cp)
	heat := make([]float64, g.cells+1)
	middle := (g.first + g.last) / 2
	heat[middle] = cp(g.knot(middle))
	g.integrate(heat, slope, middle, g.cells)
	g.integrate(heat, slope, middle, 0)
	s := spline{origin: g.origin, perStep: 1 / g.step, cells: make([]cell, g.cells)}
	sum := 0.0
	for i := range s.cells {
		s.cells[i] = cell{
			at: g.knot(i), c0: sum, c1: heat[i],
			c2: slope[i] / 2, c3: (slope[i+1] - slope[i]) / (6 * g.step),
		}
		sum += g.step * (heat[i] + g.step*(2*slope[i]+slope[i+1])/6)
	}
	zero, _ := s.eval(zeroCelsius)
	for i := range s.cells {
		s.cells[i].c0 -= zero
	}
	return s
}
