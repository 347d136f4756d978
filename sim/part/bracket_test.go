package part

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// count solves f, which falls, and returns the root and the number of steps.
func count(f func(float64) (y, dy float64), low, high, x float64) (root float64, steps int) {
	left := newBracket(low, high)
	for steps < mostSteps {
		steps++
		y, dy := f(x)
		next, done := left.next(x, x-y/dy, y > 0)
		if done {
			return next, steps
		}
		x = next
	}
	return math.NaN(), steps
}

// Newton's method alone goes round in a circle, or leaves, on a function that is
// flat on both sides of a steep middle; guarded it arrives.
func TestBracketOnASteepMiddle(t *testing.T) {
	for _, c := range []struct{ root, width float64 }{{0.3, 1e-2}, {0.7, 1e-4}, {1e-6, 1e-7}, {0.5, 1}} {
		f := func(x float64) (float64, float64) {
			u := (c.root - x) / c.width
			return math.Atan(u), -1 / (c.width * (1 + u*u))
		}
		got, steps := count(f, 0, 1, 1)
		if !(math.Abs(got-c.root) <= 1e-15) || steps > 100 {
			t.Errorf("root %g: got %.17g in %d steps", c.root, got, steps)
		}
	}
}

// Where Newton's method works it is not held up.
func TestBracketOfPowers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, root := rapid.Float64Range(1, 2).Draw(t, "power"), rapid.Float64Range(0.1, 1).Draw(t, "root")
		got, steps := count(func(x float64) (float64, float64) {
			return math.Pow(root, m) - math.Pow(x, m), -m * math.Pow(x, m-1)
		}, 0, 1, 1)
		if !(math.Abs(got-root) <= 4e-16) || steps > 14 {
			t.Fatalf("root %g: got %.17g in %d steps", root, got, steps)
		}
	})
}

// A root at either end, or an interval without width, is found as well.
func TestBracketAtItsEnds(t *testing.T) {
	for _, root := range []float64{0, 1} {
		got, _ := count(func(x float64) (float64, float64) { return root - x, -1 }, 0, 1, 0.25)
		if !(math.Abs(got-root) <= 1e-15) {
			t.Errorf("root %g: got %g", root, got)
		}
	}
	if got, steps := count(func(x float64) (float64, float64) { return 0, -1 }, 2, 2, 2); got != 2 || steps != 1 {
		t.Errorf("without width: %g in %d steps", got, steps)
	}
}
