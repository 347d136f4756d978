package control_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

// drawCurve draws points of rising input, some of them closer than the
// smoothing; rising says that outputs rise too.
func drawCurve(t *rapid.T, rising bool) ([]control.Point, float64) {
	n := rapid.IntRange(1, 7).Draw(t, "points")
	x, y := rapid.Float64Range(280, 310).Draw(t, "in"), rapid.Float64Range(0, 1).Draw(t, "out")
	var points []control.Point
	for range n {
		points = append(points, control.Point{In: x, Out: y})
		x += rapid.Float64Range(0.05, 8).Draw(t, "step in")
		low := -1.0
		if rising {
			low = 0
		}
		y += rapid.Float64Range(low, 1).Draw(t, "step out")
	}
	return points, rapid.SampledFrom([]float64{0.1, 0.5, 2}).Draw(t, "smoothing")
}

// At the point itself a rounded kink is off by smoothing/8 times the change of
// slope; half a smoothing away it is the line again. By hand from the parabola.
func TestCurveTable(t *testing.T) {
	c := newCurve(t, 0.5, control.Point{In: 300, Out: 0.25}, control.Point{In: 308, Out: 0.75}, control.Point{In: 310, Out: 0.25})
	for _, x := range []struct{ x, exact, smooth, slope float64 }{
		{250, 0.25, 0.25, 0},
		{299.75, 0.25, 0.25, 0},
		{300, 0.25, 0.25 + 0.5/8*0.0625, 0.03125},
		{300.25, 0.265625, 0.265625, 0.0625},
		{304, 0.5, 0.5, 0.0625},
		{307.75, 0.734375, 0.734375, 0.0625},
		{308, 0.75, 0.75 - 0.5/8*0.3125, 0.0625 - 0.15625},
		{308.25, 0.6875, 0.6875, -0.25},
		{310, 0.25, 0.25 + 0.5/8*0.25, -0.125},
		{310.25, 0.25, 0.25, 0},
		{math.Inf(1), 0.25, 0.25, 0},
		{math.Inf(-1), 0.25, 0.25, 0},
	} {
		if got := c.Exact(x.x); got != x.exact {
			t.Errorf("Exact(%g) = %v, want %v", x.x, got, x.exact)
		}
		y, slope := c.At(x.x)
		near(t, "smoothed value", y, x.smooth, 1e-15)
		near(t, "slope", slope, x.slope, 1e-15)
	}
}

// Two points closer than the smoothing share the way between them: the two
// parabolas meet half way on the line.
func TestCurveSharesNarrowGaps(t *testing.T) {
	c := newCurve(t, 0.5, control.Point{In: 0, Out: 0}, control.Point{In: 0.25, Out: 1}, control.Point{In: 9, Out: 1})
	y, slope := c.At(0.125)
	near(t, "value half way", y, 0.5, 1e-15)
	near(t, "slope half way", slope, 4, 1e-13)
	if y, _ := c.At(0.375); y != 1 {
		t.Errorf("an eighth past the upper point the curve is %v, not yet 1", y)
	}
}

// Property: the slope is the central difference of the value, everywhere; the
// rounded curve is the exact one to the bit outside the kinks and within an
// eighth of the smoothing times the turn inside them.
func TestCurveSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points, smoothing := drawCurve(t, false)
		c := newCurve(t, smoothing, points...)
		x := drawNear(t, points, 2*smoothing)
		y, slope := c.At(x)
		const h = 1e-5
		from, to := x-h, x+h
		a, before := c.At(from)
		b, after := c.At(to)
		// Within h of the edge of a blend the slope bends by less than this.
		bend := math.Abs(after-before) + 1e-8
		near(t, "slope", slope, (b-a)/(to-from), bend)
		near(t, "continuity of the slope", after, before, 2*h*maxTurn(points, smoothing)+1e-9)
		inKink, turn := false, 0.0
		for i, p := range points {
			if math.Abs(x-p.In) < smoothing/2 {
				inKink, turn = true, turn+turnAt(points, i)
			}
		}
		if exact := c.Exact(x); !inKink && exact != y {
			t.Fatalf("at %v the rounded curve is %v, the exact one %v", x, y, exact)
		} else if math.Abs(exact-y) > smoothing/8*turn+1e-12 {
			t.Fatalf("at %v the rounded curve is %v off %v", x, y-exact, exact)
		}
	})
}

// drawNear draws an input within reach of a point, or between two.
func drawNear(t *rapid.T, points []control.Point, reach float64) float64 {
	p := rapid.SampledFrom(points).Draw(t, "near")
	return p.In + rapid.Float64Range(-reach, reach).Draw(t, "beside")
}

// slopeBefore is the exact curve's slope left of point i.
func slopeBefore(points []control.Point, i int) float64 {
	if i == 0 || i == len(points) {
		return 0
	}
	return (points[i].Out - points[i-1].Out) / (points[i].In - points[i-1].In)
}

func turnAt(points []control.Point, i int) float64 {
	return math.Abs(slopeBefore(points, i+1) - slopeBefore(points, i))
}

// maxTurn is the steepest second derivative that the blends have.
func maxTurn(points []control.Point, smoothing float64) float64 {
	steepest := 0.0
	for i := range points {
		width := smoothing
		if i > 0 {
			width = min(width, points[i].In-points[i-1].In)
		}
		if i < len(points)-1 {
			width = min(width, points[i+1].In-points[i].In)
		}
		steepest = max(steepest, turnAt(points, i)/width)
	}
	return steepest
}

// Property: a curve through rising points rises, and stays between their ends.
func TestCurveIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points, smoothing := drawCurve(t, true)
		c := newCurve(t, smoothing, points...)
		first, last := points[0], points[len(points)-1]
		a := drawNear(t, points, 3)
		b := a + rapid.Float64Range(0, 1).Draw(t, "further")
		ya, slope := c.At(a)
		yb, _ := c.At(b)
		if yb < ya-1e-14 || slope < -1e-14 {
			t.Fatalf("it falls from %v at %v to %v at %v, slope %v", ya, a, yb, b, slope)
		}
		if ya < first.Out-1e-14 || ya > last.Out+1e-14 {
			t.Fatalf("%v at %v lies outside %v to %v", ya, a, first.Out, last.Out)
		}
	})
}

// Property: the range holds every value of the curve, and both ends are met.
func TestCurveRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points, _ := drawCurve(t, false)
		c := newCurve(t, 0, points...)
		from := drawNear(t, points, 3)
		to := from + rapid.Float64Range(0, 20).Draw(t, "width")
		low, high := c.Range(from, to)
		least, most := math.Inf(1), math.Inf(-1)
		probe := func(x float64) { least, most = min(least, c.Exact(x)), max(most, c.Exact(x)) }
		for i := range 101 {
			probe(from + (to-from)*float64(i)/100)
		}
		for _, p := range points {
			if p.In >= from && p.In <= to {
				probe(p.In)
			}
		}
		near(t, "low", low, least, 1e-12)
		near(t, "high", high, most, 1e-12)
	})
}

func TestNewCurveRefuses(t *testing.T) {
	type points = []control.Point
	for _, c := range []struct {
		points    points
		smoothing float64
		say       string
	}{
		{nil, 0, "at least one point"},
		{points{{1, 1}, {3, 2}, {2, 3}}, 0, "point 3 of the curve is at 2, but point 2 before it is at 3"},
		{points{{1, 1}, {1, 2}}, 0, "inputs must rise"},
		{points{{1, 1}, {math.NaN(), 2}}, 0, "point 2 of the curve, (NaN, 2), is not finite"},
		{points{{1, math.Inf(1)}}, 0, "point 1"},
		{points{{1, -1e308}, {2, 1e308}}, 0, "point 2"},
		{points{{1, 1}}, -1, "smoothed over -1"},
		{points{{1, 1}}, math.NaN(), "smoothed over NaN"},
	} {
		if _, err := control.NewCurve(c.points, c.smoothing); err == nil || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%v over %g: error %v, want one with %q", c.points, c.smoothing, err, c.say)
		}
	}
}

// The curve keeps a copy of its points.
func TestCurveOwnsItsPoints(t *testing.T) {
	points := []control.Point{{In: 0, Out: 0}, {In: 1, Out: 1}}
	c := newCurve(t, 0, points...)
	points[1].Out = 7
	if got := c.Exact(1); got != 1 {
		t.Errorf("the curve became %v with the caller's points", got)
	}
}
