package ode

import (
	"math"
	"testing"
)

// Steps of one size whose error falls by a factor foretell a longer one than the elementary rule does, but it is
// followed by a quarter at most; a rising error is followed all the way. Sizes by hand from eq. IV.8.14.
func TestProposedSizes(t *testing.T) {
	for _, c := range []struct {
		name          string
		before, after float64 // errors of two steps of size 1
		want          float64 // the next size
	}{
		{"steady", 0.6561, 0.6561, 1},                     // 0.9 / 0.6561^(1/4)
		{"falls a little", 0.6561, 0.6561 / 1.4641, 1.21}, // 1.1 by the elementary rule, 1.21 by the predictive one
		{"falls much", 0.6561, 0.6561 / 16, 2.5},          // 2, and 4 if followed all the way
		{"rises", 0.6561 / 16, 0.6561, 0.5},               // 1, and half of it
		{"falls to nothing", 1, 0, maxGrow},
		{"rises from nothing", 0, 1, 0.9 * math.Pow(0.01, 0.25)}, // the error before counts as 0.01
	} {
		k := controller{exponent: 4}
		k.accept(1, c.before)
		if got := k.accept(1, c.after); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}

// The first step after a restart has no trend.
func TestProposedSizeAfterRestart(t *testing.T) {
	k := controller{exponent: 5}
	k.accept(1, 1e-3)
	k.forget()
	if got, want := k.accept(2, 0.59049), 2.0; math.Abs(got-want) > 1e-12 { // 0.9^5
		t.Errorf("%g, want %g", got, want)
	}
}

// From a slope of next to nothing the first step is what the bend allows, not of the
// size of rounding.
func TestFirstStepFromNextToNothing(t *testing.T) {
	it := &Integrator{tab: Rodas4{}.tableau()}
	if h := it.firstSize(1e-27, 1, 10); !(h >= 1e-4 && h <= 1) {
		t.Errorf("first step %g s", h)
	}
	if h := it.firstSize(1, 1, 10); !(h > 0.1 && h < 10) {
		t.Errorf("first step %g s", h)
	}
}
