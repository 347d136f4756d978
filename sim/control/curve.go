package control

import (
	"errors"
	"fmt"
)

// Smoothing is the width over which a kink of a continuous curve on a
// temperature is rounded, K. It is far below what a sensor resolves, and wide
// enough for a step of the integrator. Own choice.
const Smoothing = 0.5

// Point is one point of a curve.
type Point struct {
	In  float64 // what is observed: a temperature (K), a difference (K), a share
	Out float64 // what is asked for: a share of full speed, or 1/s
}

// Curve is piecewise linear through its points and held at its ends. It does
// not change once built and may be shared.
type Curve struct {
	points []Point
	slope  []float64 // slope[i] leads up to point i; the first and the last are 0
	half   []float64 // half the width over which the kink at point i is rounded
}

// NewCurve returns the curve through points, whose inputs must rise. smoothing
// is the width over which At rounds a kink, in the unit of the input and at
// least 0; where two points are closer than that, it is their distance. One
// point gives a constant. An error names the point.
func NewCurve(points []Point, smoothing float64) (*Curve, error) {
	if len(points) == 0 {
		return nil, errors.New("control: a curve needs at least one point")
	}
	if !(smoothing >= 0) || !finite(smoothing) {
		return nil, fmt.Errorf("control: a curve cannot be smoothed over %g", smoothing)
	}
	n := len(points)
	c := &Curve{points: append([]Point(nil), points...), slope: make([]float64, n+1), half: make([]float64, n)}
	for i, p := range points {
		if !finite(p.In) || !finite(p.Out) {
			return nil, fmt.Errorf("control: point %d of the curve, (%g, %g), is not finite", i+1, p.In, p.Out)
		}
		if i == 0 {
			continue
		}
		before := points[i-1]
		c.slope[i] = (p.Out - before.Out) / (p.In - before.In)
		if !(p.In > before.In) || !finite(c.slope[i]) {
			return nil, fmt.Errorf("control: point %d of the curve is at %g, but point %d before it is at %g: inputs must rise, as in (303.15, 0.3), (313.15, 0.8)",
				i+1, p.In, i, before.In)
		}
	}
	c.round(smoothing / 2)
	return c, nil
}

// round sets the half widths: half, or half the way to the nearer neighbour, so
// that no two kinks are rounded in one place.
func (c *Curve) round(half float64) {
	for i := range c.points {
		c.half[i] = half
		if i > 0 {
			c.half[i] = min(c.half[i], (c.points[i].In-c.points[i-1].In)/2)
		}
		if i < len(c.points)-1 {
			c.half[i] = min(c.half[i], (c.points[i+1].In-c.points[i].In)/2)
		}
	}
}

// next returns the index of the first point above x.
func (c *Curve) next(x float64) int {
	low, high := 0, len(c.points)
	for low < high {
		mid := int(uint(low+high) / 2)
		if c.points[mid].In > x {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low
}

// Exact returns the curve with its kinks, as a sampled controller reads it.
func (c *Curve) Exact(x float64) float64 { return c.line(c.next(x), x) }

// line returns the value at x on the line that ends at point i.
func (c *Curve) line(i int, x float64) float64 {
	switch {
	case i == 0:
		return c.points[0].Out
	case i == len(c.points):
		return c.points[i-1].Out
	}
	p := c.points[i-1]
	return p.Out + c.slope[i]*(x-p.In)
}

// At returns the curve at x with its kinks rounded, and its slope: both are
// continuous. Around each point lies a parabola that leaves and meets the lines
// without a kink, so the value lies between the points that surround it, rises
// where they rise, and differs from Exact by at most an eighth of the smoothing
// times the change of slope, at the point itself. Elsewhere it is Exact to the
// bit. Without smoothing, the slope at a point is that behind it.
func (c *Curve) At(x float64) (y, slope float64) {
	i := c.next(x)
	if i < len(c.points) {
		if d := x - c.points[i].In; d > -c.half[i] {
			return c.blend(i, d)
		}
	}
	if i > 0 {
		if d := x - c.points[i-1].In; d < c.half[i-1] {
			return c.blend(i-1, d)
		}
	}
	return c.line(i, x), c.slope[i]
}

// blend returns value and slope at distance d, at most half a width, from point i.
func (c *Curve) blend(i int, d float64) (y, slope float64) {
	before, turn, w := c.slope[i], c.slope[i+1]-c.slope[i], c.half[i]
	u := d + w
	return c.points[i].Out + before*d + turn*u*u/(4*w), before + turn*u/(2*w)
}

// Range returns the least and the greatest output between the inputs from and
// to, from not above to.
func (c *Curve) Range(from, to float64) (low, high float64) {
	a, b := c.Exact(from), c.Exact(to)
	low, high = min(a, b), max(a, b)
	for i := c.next(from); i < len(c.points) && c.points[i].In < to; i++ {
		low, high = min(low, c.points[i].Out), max(high, c.points[i].Out)
	}
	return low, high
}
