package ode_test

import (
	"math"
	"testing"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

var methods = []ode.Method{ode.Rodas4{}, ode.Rodas5P{}}

func published() []odetest.Problem {
	return []odetest.Problem{odetest.HIRES(), odetest.ROBER(), odetest.OREGO(), odetest.VDPOL(), odetest.POLLU()}
}

// endError solves p and returns the largest relative error at the end.
func endError(t *testing.T, p odetest.Problem, m ode.Method, rtol float64) (float64, ode.Stats) {
	t.Helper()
	res, err := ode.Solve(ode.Problem{System: p.System, T0: p.T0, T1: p.T1, Y0: p.Y0}, m, p.Settings(rtol))
	if err != nil {
		t.Fatalf("%s, %s, rtol %g: %v", p.Name, m.Name(), rtol, err)
	}
	worst := 0.0
	for i, want := range p.End {
		worst = math.Max(worst, math.Abs(res.Y[i]-want)/math.Abs(want))
	}
	return worst, res.Stats
}

// The published end values are met, and better so with tighter tolerance.
func TestPublishedProblems(t *testing.T) {
	for _, m := range methods {
		for _, p := range published() {
			t.Run(m.Name()+"/"+p.Name, func(t *testing.T) {
				loose, _ := endError(t, p, m, 1e-5)
				normal, stats := endError(t, p, m, 1e-7)
				tight, _ := endError(t, p, m, 1e-8)
				t.Logf("errors %.2g %.2g %.2g, at 1e-7: %+v", loose, normal, tight, stats)
				if !(normal < 1e-6) {
					t.Errorf("relative error %g at rtol 1e-7, want below 1e-6", normal)
				}
				if !(loose > normal && normal > tight) {
					t.Errorf("errors %g, %g, %g do not fall with the tolerance", loose, normal, tight)
				}
			})
		}
	}
}

// The number of steps is part of what is promised: a wrong Jacobian entry or a bad controller shows here first.
// The bounds are the counts measured when the methods were written plus about a tenth.
func TestPublishedProblemsWork(t *testing.T) {
	bounds := map[string][2]int{ // attempted steps at rtol 1e-5 with Rodas4, Rodas5P
		"HIRES": {255, 165}, "ROBER": {310, 225}, "OREGO": {810, 560}, "VDPOL": {680, 435}, "POLLU": {210, 130},
	}
	for k, m := range methods {
		for _, p := range published() {
			_, s := endError(t, p, m, 1e-5)
			if got, bound := s.Steps+s.Rejected, bounds[p.Name][k]; got > bound {
				t.Errorf("%s, %s: %d attempted steps, want at most %d", p.Name, m.Name(), got, bound)
			}
		}
	}
}

// Every kind of work is counted: f at the start of a step is kept for its repetition.
func TestWorkCounts(t *testing.T) {
	for k, stages := range []int{6, 8} {
		_, s := endError(t, odetest.OREGO(), methods[k], 1e-5)
		attempts := s.Steps + s.Rejected
		if s.Rejected == 0 {
			t.Fatal("the problem no longer exercises rejections")
		}
		want := ode.Stats{Steps: s.Steps, Rejected: s.Rejected, FEvals: s.Steps + (stages-1)*attempts,
			JEvals: s.Steps, Factorisations: attempts, Solves: stages * attempts}
		if s != want {
			t.Errorf("%s: counted %+v, want %+v", methods[k].Name(), s, want)
		}
	}
}

// The default method is Rodas4.
func TestNilMethod(t *testing.T) {
	p := odetest.HIRES()
	a, _ := endError(t, p, ode.Rodas4{}, 1e-6)
	res, err := ode.Solve(ode.Problem{System: p.System, T1: p.T1, Y0: p.Y0}, nil, p.Settings(1e-6))
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for i, want := range p.End {
		worst = math.Max(worst, math.Abs(res.Y[i]-want)/math.Abs(want))
	}
	if worst != a {
		t.Errorf("nil method gives error %g, Rodas4 %g", worst, a)
	}
}

// Linear networks with a closed form, among them one whose matrix has no full set of eigenvectors.
func TestNetworksAgainstClosedForm(t *testing.T) {
	for _, m := range methods {
		for _, p := range []odetest.Problem{
			odetest.Cascade(12), odetest.Ring(20, 0.3, 5, 0.01), odetest.Ring(3, 1e4, 1, 0.5), odetest.Mixed(),
		} {
			s := p.Settings(1e-8)
			s.RelTol = nil
			exact := make([]float64, len(p.Y0))
			var worst float64
			_, err := ode.Solve(ode.Problem{
				System: p.System, T0: p.T0, T1: p.T1, Y0: p.Y0,
				Observe: func(seg *ode.Segment) {
					p.Exact(seg.End(), exact)
					for i, want := range exact {
						worst = math.Max(worst, math.Abs(seg.At(i, seg.End())-want)/math.Max(1, math.Abs(want)))
					}
				},
			}, m, s)
			if err != nil {
				t.Fatalf("%s: %v", p.Name, err)
			}
			if !(worst < 1e-7) {
				t.Errorf("%s, %s: error %g at tolerance 1e-8", p.Name, m.Name(), worst)
			}
		}
	}
}
