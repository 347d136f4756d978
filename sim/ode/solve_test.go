package ode_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

// No step crosses a jump; each is met exactly, once, whatever the order and repetition in the list.
func TestSolveJumps(t *testing.T) {
	sys := &heater{100}
	jumps := []float64{30, 10, 10 + 1e-12, 1e-9, 30, -5, 0, 100, 200}
	want := []float64{1e-9, 10, 10 + 1e-12, 30}
	var met []float64
	prev := 0.0
	res, err := ode.Solve(ode.Problem{
		System: sys, T1: 100, Y0: []float64{0, 0, 0}, Jumps: jumps,
		AtJump: func(t float64, y []float64) {
			met = append(met, t)
			sys.power = 100 - sys.power
			y[2] += 1000 // a quadrature may be given, too
		},
		Observe: func(seg *ode.Segment) {
			for _, j := range want {
				if seg.Start() < j && seg.End() > j {
					t.Errorf("step from %v to %v crosses %v", seg.Start(), seg.End(), j)
				}
			}
			if seg.Start() != prev {
				t.Errorf("step starts at %v, the one before ended at %v", seg.Start(), prev)
			}
			prev = seg.End()
		},
	}, nil, heaterTol)
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(met) != fmt.Sprint(want) || res.Stats.Restarts != 4 || res.T != 100 {
		t.Errorf("met %v, want %v; %+v", met, want, res)
	}
	// Energy: 100 W from 1e-9..: off between 1e-9 and 10, on for 1e-12, off to 30, on to 100.
	stored := res.Y[0] + 50*res.Y[1]
	if in := 100 * (1e-9 + 1e-12 + 70); math.Abs(stored+res.Y[2]-4000-in) > 1e-7 {
		t.Errorf("balance: stored %g, lost %g, given %g", stored, res.Y[2]-4000, in)
	}
}

// A forcing that is discontinuous in time is integrated exactly between declared jumps, and worse and
// with more work across undeclared ones.
func TestJumpsDeclaredOrNot(t *testing.T) {
	square := scalar(func(t, y float64) float64 {
		return math.Mod(math.Floor(t), 2) - y
	}, constant(-1), constant(0))
	exact := 0.0
	for k := range 10 {
		exact = float64(k%2) + (exact-float64(k%2))*math.Exp(-1)
	}
	s := ode.Settings{AbsTol: []float64{1e-7}}
	p := ode.Problem{System: square, T1: 10, Y0: []float64{0, 0}}
	without, err := ode.Solve(p, nil, s)
	if err != nil {
		t.Fatal(err)
	}
	for k := 1; k < 10; k++ {
		p.Jumps = append(p.Jumps, float64(k))
	}
	// The right-hand side must keep its left limit up to the jump.
	phase := 0.0
	p.System = scalar(func(_, y float64) float64 { return phase - y }, constant(-1), constant(0))
	p.AtJump = func(t float64, _ []float64) { phase = math.Mod(t, 2) }
	with, err := ode.Solve(p, nil, s)
	if err != nil {
		t.Fatal(err)
	}
	if e := math.Abs(with.Y[0] - exact); e > 3e-7 {
		t.Errorf("error with declared jumps %g", e)
	}
	if with.Stats.Rejected > 9 || without.Stats.Rejected < 20 {
		t.Errorf("rejected steps: %d with declared jumps, %d without", with.Stats.Rejected, without.Stats.Rejected)
	}
}

func TestSolveRefusesBadProblems(t *testing.T) {
	p := odetest.HIRES()
	for name, c := range map[string]ode.Problem{
		"backwards":    {System: p.System, T0: 1, T1: 0, Y0: p.Y0},
		"end infinite": {System: p.System, T1: math.Inf(1), Y0: p.Y0},
		"start NaN":    {System: p.System, T0: math.NaN(), T1: 1, Y0: p.Y0},
		"short y":      {System: p.System, T1: 1, Y0: p.Y0[:3]},
		"no system":    {T1: 1, Y0: p.Y0},
		"jump NaN":     {System: p.System, T1: 1, Y0: p.Y0, Jumps: []float64{0.5, math.NaN()}},
	} {
		if res, err := ode.Solve(c, nil, p.Settings(1e-6)); err == nil || res != nil {
			t.Errorf("%s: result %v, error %v", name, res, err)
		}
	}
}

// After a failure the result says how far the run came and why it ended.
func TestSolveFailure(t *testing.T) {
	res, err := ode.Solve(ode.Problem{
		System: scalar(until(1, 1), constant(0), constant(1)), T1: 2, Y0: []float64{0, 0},
	}, nil, ode.Settings{AbsTol: []float64{1e-6}})
	if err == nil || res == nil || res.Status != ode.NonFinite || math.Abs(res.Y[0]-1) > 1e-9 || math.Abs(res.T-1) > 1e-9 {
		t.Errorf("result %+v, error %v", res, err)
	}
}
