package correlation_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// printed compares a value with a published figure to half a unit of the figure's last
// printed digit.
func printed(t *testing.T, what string, got float64, figure string) {
	t.Helper()
	want, half := parsePrinted(t, figure)
	if !(math.Abs(got-want) <= half*(1+1e-9)) {
		t.Errorf("%s = %.10g, want %s within %.1g", what, got, figure, half)
	}
}

// parsePrinted returns a decimal figure and half a unit of its last printed digit.
func parsePrinted(t *testing.T, figure string) (value, half float64) {
	t.Helper()
	value, err := strconv.ParseFloat(figure, 64)
	if err != nil {
		t.Fatalf("figure %q of a test table: %v", figure, err)
	}
	mantissa, exponent, _ := strings.Cut(figure, "e")
	power := 0
	if exponent != "" {
		if power, err = strconv.Atoi(exponent); err != nil {
			t.Fatalf("figure %q of a test table: %v", figure, err)
		}
	}
	_, decimals, _ := strings.Cut(mantissa, ".")
	return value, 0.5 * math.Pow(10, float64(power-len(decimals)))
}

func TestPrintedFigures(t *testing.T) {
	for _, c := range []struct {
		figure      string
		value, half float64
	}{
		{"0.19854", 0.19854, 5e-6},
		{"-.0800", -0.08, 5e-5},
		{"33", 33, 0.5},
		{"1.8125e9", 1.8125e9, 5e4},
	} {
		value, half := parsePrinted(t, c.figure)
		if value != c.value || math.Abs(half/c.half-1) > 1e-12 {
			t.Errorf("%s read as %g ± %g, want %g ± %g", c.figure, value, half, c.value, c.half)
		}
	}
}

// near compares to a relative tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s = %.15g, want %.15g within %.1g of it", what, got, want, tolerance)
	}
}

// slopeJump returns the largest change of slope between neighbouring intervals of a
// uniform grid, in units of the mean slope size. Where the slope is continuous it falls
// with the grid's width; at a kink it stays.
func slopeJump(f func(float64) float64, low, high float64, intervals int) float64 {
	step := (high - low) / float64(intervals)
	a, b := f(low), f(low+step)
	jump, total := 0.0, math.Abs(b-a)
	for i := 2; i <= intervals; i++ {
		c := f(low + float64(i)*step)
		jump = math.Max(jump, math.Abs(c-2*b+a))
		total += math.Abs(c - b)
		a, b = b, c
	}
	return jump / (total / float64(intervals))
}

// smooth reports whether the slope of f is continuous over an interval: the largest
// change of slope must fall by nearly the factor by which the grid is refined.
func smooth(f func(float64) float64, low, high float64) bool {
	const coarse, refined = 4000, 8
	return slopeJump(f, low, high, coarse*refined) < slopeJump(f, low, high, coarse)*2/refined
}

func TestSmoothFindsKinks(t *testing.T) {
	if !smooth(math.Sin, 0.3, 9) {
		t.Error("the sine is said to have a kink")
	}
	if smooth(func(x float64) float64 { return x + 0.01*math.Abs(x-1.2345) }, 0, 3) {
		t.Error("a kink of one per cent of the slope is not found")
	}
	if smooth(func(x float64) float64 { return x + 1e-3*math.Floor(x) }, 0.1, 2.9) {
		t.Error("a jump is not found")
	}
}

// positive draws a positive number over many decades.
func positive(t *rapid.T, name string, lowDecade, highDecade float64) float64 {
	return math.Pow(10, rapid.Float64Range(lowDecade, highDecade).Draw(t, name))
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
