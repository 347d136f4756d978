package fluid

import (
	"math"
	"testing"
)

// within fails if got is further than tol from want; a NaN fails.
func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g (off by %.3g)", what, got, want, tol, got-want)
	}
}

// relative is the same with a tolerance as a fraction of want.
func relative(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	within(t, what, got, want, tol*math.Abs(want))
}

// mustGlycol is a mixture that the test knows to be allowed.
func mustGlycol(t testing.TB, kind Kind, share float64) *Coolant {
	t.Helper()
	c, err := New(kind, share)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// celsius turns a test's degrees into kelvin.
func celsius(c float64) float64 { return c + zeroCelsius }
