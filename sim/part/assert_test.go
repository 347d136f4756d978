package part_test

import (
	"math"
	"testing"

	"soakledger/sim/part"
)

const (
	litre   = 1e-3 / 60 // 1 L/min in m3/s
	celsius = 273.15
)

// reporter is a test or a rapid check.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// near reports a figure further than the relative tolerance from what it
// should be.
func near(t reporter, name string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, tolerance)
	}
}

// inside reports a figure outside a range.
func inside(t reporter, name string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Errorf("%s: %g is outside %g to %g", name, got, low, high)
	}
}

// slopeAt is the central difference of f over ±h, of fourth order.
func slopeAt(f func(float64) float64, x, h float64) float64 {
	return (8*(f(x+h)-f(x-h)) - (f(x+2*h) - f(x-2*h))) / (12 * h)
}

// panics reports whether f panics.
func panics(f func()) (yes bool) {
	defer func() { yes = recover() != nil }()
	f()
	return false
}

// polynomial is a resistance b q + k q |q|, for closed forms.
type polynomial struct{ b, k float64 }

func (p polynomial) Drop(q float64, _ part.Liquid) (dp, slope float64) {
	return p.b*q + p.k*q*math.Abs(q), p.b + 2*p.k*math.Abs(q)
}

// must returns x and fails the test on an error.
func must[T any](t *testing.T) func(x T, err error) T {
	return func(x T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}
