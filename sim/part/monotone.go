package part

import (
	"fmt"
	"math"
	"sort"
)

// monotone is a curve through points with rising x and a y that only rises or
// only falls: a cubic between neighbours, continuous in its first derivative,
// without a turn of its own. It is not defined outside its points; every user
// continues it in his own way from the end slopes.
//
// Source: F.N. Fritsch & J. Butland, SIAM J. Sci. Stat. Comput. 5:300, 1984,
// with the weighted harmonic mean of the secants as slope.
type monotone struct {
	x, y, slope []float64
}

// newMonotone copies its arguments, which are of one length, at least one.
func newMonotone(x, y []float64) monotone {
	n := len(x)
	m := monotone{append([]float64(nil), x...), append([]float64(nil), y...), make([]float64, n)}
	if n < 2 {
		return m
	}
	for i := 1; i < n-1; i++ {
		m.slope[i] = harmonic(x[i]-x[i-1], x[i+1]-x[i], m.secant(i-1), m.secant(i))
	}
	if n == 2 {
		m.slope[0], m.slope[1] = m.secant(0), m.secant(0)
		return m
	}
	m.slope[0] = endSlope(x[1]-x[0], x[2]-x[1], m.secant(0), m.secant(1))
	m.slope[n-1] = endSlope(x[n-1]-x[n-2], x[n-2]-x[n-3], m.secant(n-2), m.secant(n-3))
	return m
}

func (m monotone) secant(i int) float64 { return (m.y[i+1] - m.y[i]) / (m.x[i+1] - m.x[i]) }

// harmonic returns the slope at an inner point from the two widths and secants
// beside it.
func harmonic(h0, h1, d0, d1 float64) float64 {
	if d0*d1 <= 0 {
		return 0
	}
	w0, w1 := 2*h1+h0, h1+2*h0
	return (w0 + w1) / (w0/d0 + w1/d1)
}

// endSlope returns the slope of the parabola through the three outermost
// points, held above a quarter of the outermost secant, so that the curve stays
// strictly monotone; above twice the secant, which would be safe up to three
// times, it never is.
func endSlope(near, far, dNear, dFar float64) float64 {
	if dNear == 0 {
		return 0
	}
	ratio := ((2*near+far)*dNear - near*dFar) / (near + far) / dNear
	return dNear * math.Max(0.25, ratio)
}

// limitEnds holds the end slopes within low to high as far as the curve stays
// monotone. The curve rises.
func (m monotone) limitEnds(low, high float64) {
	n := len(m.x)
	for _, end := range [2][2]int{{0, 0}, {n - 1, n - 2}} {
		d := m.secant(end[1])
		s := math.Max(low, math.Min(m.slope[end[0]], high))
		m.slope[end[0]] = math.Max(0.25*d, math.Min(s, 2.5*d))
	}
}

// at returns value and slope at x within the points.
func (m monotone) at(x float64) (y, dy float64) {
	i := sort.SearchFloat64s(m.x, x) - 1
	i = max(0, min(i, len(m.x)-2))
	h := m.x[i+1] - m.x[i]
	t := (x - m.x[i]) / h
	d0, d1, s := m.slope[i], m.slope[i+1], m.secant(i)
	c2, c3 := 3*s-2*d0-d1, d0+d1-2*s
	y = m.y[i] + h*t*(d0+t*(c2+t*c3))
	return y, d0 + t*(2*c2+t*3*c3)
}

// first and last return the ends of the curve.
func (m monotone) first() (x, y, slope float64) { return m.x[0], m.y[0], m.slope[0] }

func (m monotone) last() (x, y, slope float64) {
	n := len(m.x) - 1
	return m.x[n], m.y[n], m.slope[n]
}

// checkPairs reports the first pair that keeps two lists from being a curve:
// finite numbers, x rising from at least low, y strictly rising (or falling).
func checkPairs(xName string, x []float64, yName string, y []float64, low float64, rising bool) error {
	if len(x) == 0 || len(x) != len(y) {
		return fmt.Errorf("%d figures of %s for %d of %s", len(y), yName, len(x), xName)
	}
	for i := range x {
		if !(x[i] >= low) || math.IsInf(x[i], 0) || math.IsNaN(y[i]) || math.IsInf(y[i], 0) {
			return fmt.Errorf("point %d (%s %g, %s %g) cannot be", i+1, xName, x[i], yName, y[i])
		}
		if i == 0 {
			continue
		}
		if !(x[i] > x[i-1]) {
			return fmt.Errorf("%s must rise from point to point, but %g follows %g", xName, x[i], x[i-1])
		}
		if rising && !(y[i] > y[i-1]) || !rising && !(y[i] < y[i-1]) {
			word := map[bool]string{true: "rise", false: "fall"}[rising]
			return fmt.Errorf("%s must %s with %s, but %g follows %g", yName, word, xName, y[i], y[i-1])
		}
	}
	return nil
}
