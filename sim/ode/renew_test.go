package ode_test

import (
	"slices"
	"testing"

	"soakledger/sim/ode"
)

// path steps through a heating with a jump in it and returns all that was reached.
func path(t *testing.T, it *ode.Integrator, h *heater) []float64 {
	t.Helper()
	if err := it.Start(0, []float64{0, 0, 0}); err != nil {
		t.Fatal(err)
	}
	var all []float64
	for _, end := range []float64{40, 300} {
		for it.Time() < end {
			mustStep(t, it, end)
			all = append(append(all, it.Time()), it.State()...)
			c := it.Segment().Poly(0)
			all = append(all, c[:]...)
		}
		h.power *= 2
		it.Jump()
	}
	return all
}

// An integrator in the memory of another takes its steps bit by bit as a new one does,
// whatever that one was and wherever it stopped.
func TestRenew(t *testing.T) {
	fine := ode.Settings{AbsTol: []float64{1e-7}, RelTol: []float64{1e-6}, FirstStep: 1, MaxStep: 7}
	old := started(t, &heater{3000}, nil, fine, 5, 4, 3)
	for range 3 {
		mustStep(t, old, 100)
	}
	other := &heater{100}
	renewed, err := ode.Renew(old, other, nil, heaterTol)
	if err != nil {
		t.Fatal(err)
	}
	if renewed != old {
		t.Error("a system of the same pattern gets new memory")
	}
	if err := renewed.Step(1); err == nil {
		t.Error("it steps before it is started")
	}
	got := path(t, renewed, other)
	fresh := &heater{100}
	it, err := ode.New(fresh, nil, heaterTol)
	if err != nil {
		t.Fatal(err)
	}
	if want := path(t, it, fresh); !slices.Equal(got, want) || renewed.Stats() != it.Stats() {
		t.Errorf("renewed %v %+v\nnew %v %+v", got, renewed.Stats(), want, it.Stats())
	}
}

// Where the memory does not suit, there is a new integrator; where the settings are not
// sound, an error.
func TestRenewOfAnother(t *testing.T) {
	old := started(t, &heater{3000}, nil, heaterTol, 5, 4, 3)
	for _, c := range []struct {
		name string
		sys  ode.System
		m    ode.Method
		s    ode.Settings
	}{
		{"size", scalar(constant(1), constant(0), constant(0)), nil, heaterTol},
		{"method", &heater{1}, ode.Rodas5P{}, heaterTol},
		{"order", &heater{1}, nil, ode.Settings{AbsTol: heaterTol.AbsTol, Order: []int{1, 0}}},
	} {
		it, err := ode.Renew(old, c.sys, c.m, c.s)
		if err != nil || it == nil || it == old {
			t.Errorf("another %s: %p of %p, %v", c.name, it, old, err)
		}
	}
	if it, err := ode.Renew(nil, &heater{1}, nil, heaterTol); err != nil || it == nil {
		t.Errorf("in no memory: %v", err)
	}
	for name, s := range map[string]ode.Settings{"no tolerance": {}, "a size below zero": {AbsTol: heaterTol.AbsTol, MaxStep: -1}} {
		if _, err := ode.Renew(old, &heater{1}, nil, s); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	if _, err := ode.Renew(old, nil, nil, heaterTol); err == nil {
		t.Error("no system is taken")
	}
}
