package ode_test

import (
	"math"
	"testing"

	"soakledger/sim/ode"
)

// stepAfterJump takes the heater from rest through a first load, then a second one, and returns the size
// of the first step under each and how often that of the second was rejected.
func stepAfterJump(t *testing.T, first, second float64) (a, b float64, rejected int) {
	t.Helper()
	sys := &heater{first}
	it := started(t, sys, nil, heaterTol, 0, 0, 0)
	mustStep(t, it, 1e6)
	a = it.Time()
	// A long time later only the second load's own change is left.
	for it.Time() < 1e6 {
		mustStep(t, it, 1e6)
	}
	sys.power = first + second
	it.Jump()
	before := it.Stats().Rejected
	mustStep(t, it, 2e6)
	return a, it.Time() - 1e6, it.Stats().Rejected - before
}

// The error of a first step goes with the size of the jump and with the fourth power of its length. So a jump
// sixteen times as large begins with half the step, none rejected, and one a sixteenth as large with twice
// the step.
func TestFirstStepGoesWithTheJump(t *testing.T) {
	_, same, _ := stepAfterJump(t, 10, 10)
	for _, c := range []struct{ power, want float64 }{{160, 0.5}, {10.0 / 16, 2}, {810, 1.0 / 3}} {
		_, h, rejected := stepAfterJump(t, 10, c.power)
		if ratio := h / same; math.Abs(ratio/c.want-1) > 0.02 || rejected != 0 {
			t.Errorf("a jump of %g W after one of 10 W begins with %g times the step, want %g; %d rejected", c.power, ratio, c.want, rejected)
		}
	}
}

// After a long rest, or a jump that tells nothing of this one, the first step is estimated afresh instead of
// being found by one rejection after the other.
func TestFirstStepAfterRest(t *testing.T) {
	sys := &heater{0}
	it := started(t, sys, nil, heaterTol, 0, 0, 0)
	for it.Time() < 1e5 {
		mustStep(t, it, 1e5)
	}
	if it.Stats().Steps > 20 {
		t.Errorf("rest took %+v", it.Stats())
	}
	for k, power := range []float64{1e-9, 100, 1e-9, 1000} {
		end := it.Time() + 1e5
		sys.power += power
		it.Jump()
		before := it.Stats().Rejected
		mustStep(t, it, end)
		if rejected := it.Stats().Rejected - before; k > 0 && rejected > 3 {
			t.Errorf("jump %d, by %g W: %d rejections", k, power, rejected)
		}
		for it.Time() < end {
			mustStep(t, it, end)
		}
	}
}

// A given first step holds for the first step alone, and after the jump it is no measure of it.
func TestGivenFirstStepIsNotScaled(t *testing.T) {
	s := heaterTol
	s.FirstStep = 1e-3
	it := started(t, &heater{1e4}, nil, s, 0, 0, 0)
	it.Jump() // nothing was learnt: the given size still stands
	mustStep(t, it, 1e6)
	if it.Time() != 1e-3 {
		t.Errorf("first step %g, want 1e-3", it.Time())
	}
}

// Restarted, an integration with another history of steps but the same remembered first step goes on the same:
// Start forgets what an earlier integration has learnt.
func TestStartForgetsTheRestart(t *testing.T) {
	fresh := started(t, &heater{100}, nil, heaterTol, 0, 0, 0)
	used := started(t, &heater{100}, nil, heaterTol, 50, 3, 0)
	mustStep(t, used, 10)
	used.Jump()
	mustStep(t, used, 20)
	if err := used.Start(0, make([]float64, 3)); err != nil {
		t.Fatal(err)
	}
	for _, it := range []*ode.Integrator{fresh, used} {
		mustStep(t, it, 1e6)
	}
	if fresh.Time() != used.Time() {
		t.Errorf("first step %g, in a used integrator %g", fresh.Time(), used.Time())
	}
}
