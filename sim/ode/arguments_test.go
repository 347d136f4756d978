package ode_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

func TestBadArguments(t *testing.T) {
	good := func() *odetest.Functions {
		return odetest.ROBER().System.(*odetest.Functions)
	}
	tol := ode.Settings{AbsTol: []float64{1}}
	nan, inf := math.NaN(), math.Inf(1)
	for name, c := range map[string]struct {
		change func(f *odetest.Functions)
		s      ode.Settings
		want   string
	}{
		"no states":         {func(f *odetest.Functions) { f.States = 0 }, tol, "at least one state"},
		"negative q":        {func(f *odetest.Functions) { f.Quadratures = -1 }, tol, "at least one state"},
		"short pattern":     {func(f *odetest.Functions) { f.Nonzeros = odetest.Dense(2, 3) }, tol, "RowStart has length 3"},
		"wide pattern":      {func(f *odetest.Functions) { f.Nonzeros = odetest.Dense(3, 4) }, tol, "not below 3"},
		"bad start":         {func(f *odetest.Functions) { f.Nonzeros.RowStart[0] = 1 }, tol, "RowStart runs from 1"},
		"descending rows":   {func(f *odetest.Functions) { f.Nonzeros.RowStart[2] = 2 }, tol, "does not ascend"},
		"row past the end":  {func(f *odetest.Functions) { f.Nonzeros.RowStart[1] = 70 }, tol, "does not ascend"},
		"repeated column":   {func(f *odetest.Functions) { f.Nonzeros.Col[1] = 0 }, tol, "out of order"},
		"no AbsTol":         {nil, ode.Settings{}, "AbsTol has 0 values"},
		"two AbsTol":        {nil, ode.Settings{AbsTol: []float64{1, 1}}, "AbsTol has 2 values"},
		"AbsTol 0":          {nil, ode.Settings{AbsTol: []float64{1, 0, 1}}, "AbsTol[1] = 0"},
		"AbsTol NaN":        {nil, ode.Settings{AbsTol: []float64{nan}}, "AbsTol[0] = NaN"},
		"two RelTol":        {nil, ode.Settings{AbsTol: []float64{1}, RelTol: []float64{1, 1}}, "RelTol has 2 values"},
		"RelTol -1":         {nil, ode.Settings{AbsTol: []float64{1}, RelTol: []float64{-1}}, "RelTol[0] = -1"},
		"FirstStep":         {nil, ode.Settings{AbsTol: []float64{1}, FirstStep: -2}, "FirstStep = -2"},
		"MaxStep":           {nil, ode.Settings{AbsTol: []float64{1}, MaxStep: nan}, "MaxStep = NaN"},
		"MaxStepRate":       {nil, ode.Settings{AbsTol: []float64{1}, MaxStepRate: inf}, "MaxStepRate = +Inf"},
		"Fixed":             {nil, ode.Settings{AbsTol: []float64{1}, Fixed: -1}, "Fixed = -1"},
		"MaxSteps":          {nil, ode.Settings{AbsTol: []float64{1}, MaxSteps: -1}, "MaxSteps = -1"},
		"Order short":       {nil, ode.Settings{AbsTol: []float64{1}, Order: []int{0, 1}}, "2 entries for 3"},
		"Order repeats":     {nil, ode.Settings{AbsTol: []float64{1}, Order: []int{0, 1, 1}}, "permutation"},
		"Order not in 0..2": {nil, ode.Settings{AbsTol: []float64{1}, Order: []int{0, 1, 3}}, "permutation"},
	} {
		f := good()
		if c.change != nil {
			c.change(f)
		}
		if _, err := ode.New(f, nil, c.s); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
	}
	if _, err := ode.New(nil, nil, tol); err == nil {
		t.Error("New accepted a nil System")
	}
}

func TestBadStart(t *testing.T) {
	it, err := ode.New(&heater{}, nil, heaterTol)
	if err != nil {
		t.Fatal(err)
	}
	if err := it.Step(1); err == nil {
		t.Error("Step before Start was accepted")
	}
	for _, c := range []struct {
		t float64
		y []float64
	}{{0, []float64{1, 2}}, {math.NaN(), []float64{1, 2, 3}}, {math.Inf(1), []float64{1, 2, 3}}, {0, []float64{1, math.NaN(), 3}}, {0, []float64{1, 2, math.Inf(-1)}}} {
		if err := it.Start(c.t, c.y); err == nil {
			t.Errorf("Start(%g, %v) was accepted", c.t, c.y)
		}
	}
	if err := it.Start(5, []float64{0, 0, 0}); err != nil {
		t.Fatal(err)
	}
	for _, end := range []float64{4, math.NaN(), math.Inf(-1)} {
		var step *ode.StepError
		if err := it.Step(end); err == nil || errors.As(err, &step) {
			t.Errorf("Step(%g) from 5 gives %v", end, err)
		}
	}
	if err := it.Step(math.Inf(1)); err != nil {
		t.Errorf("a step without an end time: %v", err)
	}
}
