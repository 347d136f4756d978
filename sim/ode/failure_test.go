package ode_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

// scalar is y' = f(t,y) with derivative j, and a quadrature of g.
func scalar(f, j, g func(t, y float64) float64) *odetest.Functions {
	return &odetest.Functions{
		States: 1, Quadratures: 1,
		Nonzeros: odetest.Rows([]int{0}, nil),
		RHS:      func(t float64, y, dydt []float64) { dydt[0], dydt[1] = f(t, y[0]), g(t, y[0]) },
		Jac:      func(t float64, y, jac []float64) { jac[0] = j(t, y[0]) },
	}
}

func constant(v float64) func(t, y float64) float64 { return func(_, _ float64) float64 { return v } }

// until returns v up to time end and NaN after it.
func until(end, v float64) func(t, y float64) float64 {
	return func(t, _ float64) float64 {
		if t > end {
			return math.NaN()
		}
		return v
	}
}

// exploding has a Jacobian that overflows the factorisation from t = 1 on.
func exploding() *odetest.Functions {
	return &odetest.Functions{
		States: 2, Nonzeros: odetest.Dense(2, 2),
		RHS: func(_ float64, _, f []float64) { f[0], f[1] = 1, 1 },
		Jac: func(t float64, _, jac []float64) {
			clear(jac)
			if t > 1 {
				jac[1], jac[2] = 1e200, 1e200
			}
		},
	}
}

// second has a state at rest and one that runs away at t = 1.
func second() *odetest.Functions {
	return &odetest.Functions{
		States: 2, Nonzeros: odetest.Rows(nil, []int{1}),
		RHS: func(_ float64, y, f []float64) { f[0], f[1] = 0, (y[1]+1)*(y[1]+1) },
		Jac: func(_ float64, y, jac []float64) { jac[0] = 2 * (y[1] + 1) },
	}
}

func TestFailuresAreNamed(t *testing.T) {
	nan, one := constant(math.NaN()), constant(1)
	withDt := scalar(one, constant(0), one)
	withDt.Dt = func(_ float64, _, d []float64) { d[0], d[1] = 0, math.Inf(1) }
	tol := ode.Settings{AbsTol: []float64{1e-6}}
	few := ode.Settings{AbsTol: []float64{1e-6}, MaxSteps: 200}
	for name, c := range map[string]struct {
		sys      ode.System
		s        ode.Settings
		status   ode.Status
		worst    int
		tMin     float64
		tMax     float64
		attempts int // at most
	}{
		"f NaN at the start":           {scalar(nan, one, one), tol, ode.NonFinite, 0, 0, 0, 1},
		"g NaN at the start":           {scalar(one, constant(0), nan), tol, ode.NonFinite, 1, 0, 0, 1},
		"Jacobian NaN at the start":    {scalar(one, nan, one), tol, ode.NonFinite, 0, 0, 0, 1},
		"df/dt infinite":               {withDt, tol, ode.NonFinite, 1, 0, 0, 1},
		"f NaN later":                  {scalar(until(1, 1), constant(0), one), tol, ode.NonFinite, 0, 1 - 1e-12, 1, 200},
		"g NaN later":                  {scalar(one, constant(0), until(1, 1)), tol, ode.NonFinite, 1, 1 - 1e-12, 1, 200},
		"square root of the negative":  {scalar(func(_, y float64) float64 { return -math.Sqrt(y) - 1 }, constant(0), one), tol, ode.NonFinite, 0, 0.5, 1, 20000},
		"runaway":                      {scalar(func(_, y float64) float64 { return y * y }, func(_, y float64) float64 { return 2 * y }, one), tol, ode.StepTooSmall, 0, 0.999, 1.001, 40000},
		"runaway of the second":        {second(), tol, ode.StepTooSmall, 1, 0.999, 1.001, 40000},
		"the same, relative tolerance": {second(), ode.Settings{AbsTol: []float64{1e-6}, RelTol: []float64{1e-6}}, ode.StepTooSmall, 1, 0.999, 1.001, 40000},
		"chattering":                   {scalar(func(_, y float64) float64 { return math.Copysign(1, 1-y) }, constant(0), one), few, ode.StepLimit, -1, 0, 1, 200},
		"enormous Jacobian":            {exploding(), tol, ode.Singular, 1, 1, 50, 200},
		"eigenvalue hit, fixed steps":  {scalar(one, constant(4), one), ode.Settings{Fixed: 1}, ode.Singular, 0, 0, 0, 1},
		"overflow with fixed steps":    {scalar(func(_, y float64) float64 { return y * y * 1e300 }, constant(0), one), ode.Settings{Fixed: 1}, ode.NonFinite, 0, 0, 10, 20},
		"discontinuity hidden in time": {scalar(func(t, _ float64) float64 { return math.Floor(t*1e3) * 1e9 }, constant(0), one), few, ode.StepLimit, -1, 0, 1, 200},
	} {
		t.Run(name, func(t *testing.T) {
			it := started(t, c.sys, nil, c.s, 1, 0)
			var err error
			for err == nil && it.Time() < 50 {
				err = it.Step(50)
			}
			var step *ode.StepError
			if !errors.As(err, &step) {
				t.Fatalf("error %v at t = %g, want a StepError", err, it.Time())
			}
			if step.Status != c.status || step.Worst != c.worst || step.T < c.tMin || step.T > c.tMax || step.Steps > c.attempts {
				t.Errorf("got %+v (%v), want %v in component %d between %g and %g within %d attempts", *step, err, c.status, c.worst, c.tMin, c.tMax, c.attempts)
			}
			if step.T != it.Time() || !step.Status.Failed() {
				t.Errorf("error at %g, integrator at %g", step.T, it.Time())
			}
			if text := err.Error(); !strings.Contains(text, step.Status.String()) || !strings.Contains(text, step.Status.Hint()) {
				t.Errorf("message %q lacks the status or the hint", text)
			}
			for i, v := range it.State() {
				if v-v != 0 || it.Segment().At(i, it.Time()) != v {
					t.Errorf("component %d after the failure: %g, segment %g", i, v, it.Segment().At(i, it.Time()))
				}
			}
			if err2 := it.Step(50); err2 == nil {
				t.Error("a failed integrator stepped on without change")
			}
		})
	}
}

// An integrator goes on after a failure whose cause the caller has removed.
func TestRecoveryAfterFailure(t *testing.T) {
	limit, slope := 1.0, 1.0
	sys := scalar(func(t, _ float64) float64 {
		if t > limit {
			return math.NaN()
		}
		return slope
	}, constant(0), constant(1))
	it := started(t, sys, nil, ode.Settings{AbsTol: []float64{1e-6}}, 0, 0)
	var err error
	for err == nil {
		err = it.Step(2)
	}
	limit, slope = 10, 3
	it.Jump()
	for it.Time() < 2 {
		mustStep(t, it, 2)
	}
	if got := it.State()[0]; math.Abs(got-4) > 1e-9 {
		t.Errorf("y(2) = %g, want 1 + 3", got)
	}
}

// The allowance of steps grows with the time passed, so a long run is not stopped and a chattering one is,
// however often it is restarted.
func TestStepAllowance(t *testing.T) {
	s := ode.Settings{AbsTol: []float64{1e-6}, MaxSteps: 50, MaxStepRate: 10, MaxStep: 0.2}
	it := started(t, scalar(constant(1), constant(0), constant(1)), nil, s, 0, 0)
	for it.Time() < 100 {
		mustStep(t, it, 100)
	}
	if it.Stats().Steps < 500 {
		t.Errorf("only %d steps", it.Stats().Steps)
	}
	var err error
	for k := 0; err == nil && k < 10000; k++ {
		it.TruncateTo(it.Segment().Start() + 1e-7)
		err = it.Step(200)
	}
	var step *ode.StepError
	if !errors.As(err, &step) || step.Status != ode.StepLimit {
		t.Fatalf("truncating again and again ends with %v", err)
	}
	if !strings.Contains(err.Error(), "MaxStepRate") {
		t.Errorf("message %q does not name the setting", err)
	}
}

// A matrix that is singular at one step size only is avoided by taking another.
func TestSingularAtOneStepSize(t *testing.T) {
	s := ode.Settings{AbsTol: []float64{1e-3}, FirstStep: 1}
	sys := scalar(func(_, y float64) float64 { return 4 * y }, constant(4), constant(0))
	it := started(t, sys, nil, s, 1e-3, 0)
	mustStep(t, it, 10)
	if it.Time() != 0.25 || it.Stats().Rejected != 1 {
		t.Errorf("first step to %g after %d rejections, want 0.25 after 1", it.Time(), it.Stats().Rejected)
	}
}

func TestStatusText(t *testing.T) {
	for s := ode.Running; s <= ode.Singular; s++ {
		if s.String() == "" || strings.HasPrefix(s.String(), "unknown") || s.Failed() != (s.Hint() != "") {
			t.Errorf("status %d: %q, hint %q, failed %v", s, s, s.Hint(), s.Failed())
		}
	}
	if got := ode.Status(99).String(); got != "unknown status 99" || ode.Status(99).Hint() != "" {
		t.Errorf("status 99 is %q", got)
	}
}
