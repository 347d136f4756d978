package ode_test

import (
	"math"
	"testing"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

// The observed order on a nonlinear, non-autonomous problem is that of the method, for states and quadratures.
func TestOrderOfConvergence(t *testing.T) {
	for _, m := range methods {
		e, err := odetest.Convergence(odetest.Mixed(), m, 40, 80, 160)
		if err != nil {
			t.Fatal(err)
		}
		for i := 1; i < len(e); i++ {
			state := odetest.Order(e[i-1].State, e[i].State, 2)
			quad := odetest.Order(e[i-1].Quad, e[i].Quad, 2)
			t.Logf("%s: %d steps: states %.2f, quadratures %.2f", m.Name(), e[i].Steps, state, quad)
			want := float64(m.Order())
			if math.Abs(state-want) > 0.35 {
				t.Errorf("%s: order of the states %.2f at %d steps, want %g", m.Name(), state, e[i].Steps, want)
			}
			if math.Abs(quad-want) > 0.6 && e[i].Quad > 1e-13 {
				t.Errorf("%s: order of the quadratures %.2f at %d steps, want %g", m.Name(), quad, e[i].Steps, want)
			}
		}
	}
}

// Within a single step from exact values the interpolant errs by the power of the step size that is one
// more than its order, 3 for Rodas4 and 4 for Rodas5P.
func TestOrderOfInterpolant(t *testing.T) {
	for _, m := range methods {
		want := float64(m.Order() - 1)
		e, err := odetest.Local(odetest.Mixed(), m, 0.1, 0.05, 0.025)
		if err != nil {
			t.Fatal(err)
		}
		for i := 1; i < len(e); i++ {
			order := odetest.Order(e[i-1].Inside, e[i].Inside, 2) - 1
			t.Logf("%s: interpolant %.2f", m.Name(), order)
			if order < want-0.2 {
				t.Errorf("%s: order of the interpolant %.2f, want %g", m.Name(), order, want)
			}
		}
	}
	e, err := odetest.Convergence(odetest.Mixed(), ode.Rodas4{}, 40, 80)
	if err != nil {
		t.Fatal(err)
	}
	if order := odetest.Order(e[0].Inside, e[1].Inside, 2); math.Abs(order-4) > 0.2 {
		t.Errorf("Rodas4: errors between the steps fall with power %.2f of the step size, want 4", order)
	}
}

// On the problem of Prothero and Robinson with lambda h << -1 the order falls, as theory says
// (Prothero & Robinson 1974; Hairer & Wanner, Solving ODEs II, sec. IV.15): stiffly accurate methods keep
// an error proportional to h^p/lambda with p below the classical order. The values of p were measured here:
// about 2 for Rodas4 and 3.5 for Rodas5P.
func TestOrderReduction(t *testing.T) {
	for k, least := range []float64{1.8, 3.2} {
		m := methods[k]
		var size [2]float64
		for j, lambda := range []float64{-1e5, -1e6} {
			e, err := odetest.Convergence(odetest.ProtheroRobinson(lambda), m, 5, 10)
			if err != nil {
				t.Fatal(err)
			}
			size[j] = e[1].State
			order := odetest.Order(e[0].State, e[1].State, 2)
			t.Logf("%s, lambda %g: errors %.2g %.2g, order %.2f", m.Name(), lambda, e[0].State, e[1].State, order)
			if order < least || order > least+0.7 {
				t.Errorf("%s, lambda %g: order %.2f, want %g to %g", m.Name(), lambda, order, least, least+0.7)
			}
		}
		if ratio := size[0] / size[1]; math.Abs(ratio-10) > 1 {
			t.Errorf("%s: error falls by %g for ten times lambda, want 10", m.Name(), ratio)
		}
	}
}
