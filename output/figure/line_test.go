package figure

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"
)

// track draws points whose x never falls.
func track(t *rapid.T) []vg.Point {
	steps := rapid.SliceOfN(rapid.Float64Range(0, 1.5), 1, 60).Draw(t, "steps")
	points, x := make([]vg.Point, len(steps)), 0.0
	for i, s := range steps {
		if s > 0.2 { // many points one above the other
			x += s - 0.2
		}
		points[i] = vg.Point{X: vg.Length(x), Y: vg.Length(rapid.OneOf(rapid.Float64Range(-1, 1), rapid.Float64Range(-100, 100)).Draw(t, "y"))}
	}
	return points
}

// above returns the lowest and highest that a line reaches at x.
func above(line []vg.Point, x vg.Length) (low, high vg.Length) {
	low, high = vg.Length(math.Inf(1)), vg.Length(math.Inf(-1))
	add := func(y vg.Length) { low, high = min(low, y), max(high, y) }
	for i, p := range line {
		if p.X == x {
			add(p.Y)
		}
		if i > 0 && line[i-1].X < x && x < p.X {
			add(line[i-1].Y + (x-line[i-1].X)/(p.X-line[i-1].X)*(p.Y-line[i-1].Y))
		}
	}
	return low, high
}

// A straightened line passes every point within the bound, through points of its own,
// from the first to the last.
func TestStraightenProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := track(t)
		eps := vg.Length(rapid.Float64Range(0.01, 3).Draw(t, "eps"))
		line := straighten(slices.Clone(points), eps)
		if line[0] != points[0] || line[len(line)-1] != points[len(points)-1] {
			t.Fatalf("ends %v and %v, not %v and %v", line[0], line[len(line)-1], points[0], points[len(points)-1])
		}
		for _, p := range line {
			if !slices.Contains(points, p) {
				t.Fatalf("%v is no point of the data", p)
			}
		}
		for _, p := range points {
			if low, high := above(line, p.X); p.Y < low-eps-1e-9 || p.Y > high+eps+1e-9 {
				t.Fatalf("%v is %g to %g off the line %v", p, p.Y-high, low-p.Y, line)
			}
		}
	})
}

func TestStraightenLeavesOut(t *testing.T) {
	var ramp []vg.Point
	for i := range 1000 {
		ramp = append(ramp, vg.Point{X: vg.Length(i) / 10, Y: vg.Length(i) / 20})
	}
	if n := len(straighten(ramp, 0.01)); n != 2 {
		t.Errorf("a ramp keeps %d points, want 2", n)
	}
	corner := append(slices.Clone(ramp), vg.Point{X: 200, Y: 0})
	if n := len(straighten(corner, 0.01)); n != 3 {
		t.Errorf("a corner keeps %d points, want 3", n)
	}
}

// In each column of the paper a thinned line has the first, last, lowest and highest of
// all its points, and no more than four.
func TestThinColumnsProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := track(t)
		line := thinColumns(slices.Clone(points))
		number := func(p vg.Point) float64 { return math.Floor(float64(p.X) / column) }
		of := func(all []vg.Point, n float64) (out []vg.Point) {
			for _, p := range all {
				if number(p) == n {
					out = append(out, p)
				}
			}
			return out
		}
		up := func(a, b vg.Point) int { return int(math.Copysign(1, float64(a.Y-b.Y))) }
		for _, p := range points {
			n := number(p)
			a, b := of(points, n), of(line, n)
			if len(b) > 4 || a[0] != b[0] || a[len(a)-1] != b[len(b)-1] ||
				slices.MinFunc(a, up).Y != slices.MinFunc(b, up).Y || slices.MaxFunc(a, up).Y != slices.MaxFunc(b, up).Y {
				t.Fatalf("column %g: %v of %v", n, b, a)
			}
		}
		for i := 1; i < len(line); i++ {
			if line[i].X < line[i-1].X {
				t.Fatalf("the line runs back: %v", line)
			}
		}
	})
}

// A gap ends a stretch, and a value between two gaps is a stretch of its own.
func TestLinesHaveGaps(t *testing.T) {
	nan := math.NaN()
	f := frame{Rectangle: vg.Rectangle{Max: vg.Point{X: 100, Y: 100}}, value: scale{low: 0, high: 10}}
	f.time, f.unit = timeScale(0, 8, 4)
	got := f.lines([]float64{0, 1, 2, 3, 4, 5, 6, 7, 8}, []float64{nan, 1, 3, nan, 5, nan, nan, 7, 2})
	want := [][]vg.Point{{{X: 12.5, Y: 10}, {X: 25, Y: 30}}, {{X: 50, Y: 50}}, {{X: 87.5, Y: 70}, {X: 100, Y: 20}}}
	if len(got) != len(want) {
		t.Fatalf("stretches %v", got)
	}
	for i := range want {
		if !slices.Equal(got[i], want[i]) {
			t.Errorf("stretch %d: %v, want %v", i, got[i], want[i])
		}
	}
	points := f.sparse([]float64{0, 1, 2, 3, 4, 5}, []float64{nan, 1, 2, nan, 4, 5}, 20)
	if want := []vg.Point{{X: 12.5, Y: 10}, {X: 50, Y: 40}}; !slices.Equal(points, want) {
		t.Errorf("points %v, want %v", points, want)
	}
}
