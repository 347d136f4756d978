package control_test

import (
	"math"
	"testing"

	"soakledger/sim/control"
)

// reporter is a test or a rapid check.
type reporter interface {
	Helper()
	Fatal(args ...any)
	Errorf(format string, args ...any)
}

// near reports a figure further than an absolute tolerance from what it should be.
func near(t reporter, name string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) && got != want {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, tolerance)
	}
}

func newCurve(t reporter, smoothing float64, points ...control.Point) *control.Curve {
	t.Helper()
	c, err := control.NewCurve(points, smoothing)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func newSampled(t reporter, spec control.SampledSpec) *control.Sampled {
	t.Helper()
	c, err := control.NewSampled(spec)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// percent is the curve whose output is a hundredth of the input, from 0 to 100.
func percent(t reporter) *control.Curve {
	t.Helper()
	return newCurve(t, 0, control.Point{In: 0, Out: 0}, control.Point{In: 100, Out: 1})
}

var _ reporter = (*testing.T)(nil)
