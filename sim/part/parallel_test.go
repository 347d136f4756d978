package part_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// Property: all branches have the common drop, the flows add up, and the drop
// is below that of each branch alone.
func TestParallelSplit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLiquid(t)
		n := rapid.IntRange(2, 4).Draw(t, "branches")
		branches := make([]part.Resistance, n)
		for i := range branches {
			branches[i] = drawResistance(t)
		}
		p, err := part.NewParallel(branches...)
		if err != nil {
			t.Fatal(err)
		}
		q := rapid.Float64Range(1e-6, 20).Draw(t, "flow") * litre * rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
		flows := make([]float64, p.Branches())
		dp, _ := p.Split(q, l, flows)
		sum := 0.0
		for i, b := range branches {
			sum += flows[i]
			own, _ := b.Drop(flows[i], l)
			near(t, "drop of a branch", own, dp, 1e-11)
			if alone, _ := b.Drop(q, l); math.Abs(alone) < math.Abs(dp)*(1-1e-12) {
				t.Fatalf("together %g Pa, a branch alone %g", dp, alone)
			}
		}
		near(t, "sum of the flows", sum, q, 1e-14)
	})
}

// Closed forms: n equal branches take a share each; two quadratic ones share as
// the roots of their coefficients; two linear ones as their conductances.
func TestParallelClosedForms(t *testing.T) {
	l, q := part.TestWater(), 6*litre
	one := part.Tube{Bore: 0.008, Length: 1, Loss: 2}
	three := must[part.Parallel](t)(part.NewParallel(one, one, one))
	got, slope := three.Drop(q, l)
	want, single := one.Drop(q/3, l)
	near(t, "three tubes", got, want, 1e-13)
	near(t, "their slope", slope, single/3, 1e-12)

	flows := make([]float64, 2)
	squares := must[part.Parallel](t)(part.NewParallel(polynomial{1e-3, 1e12}, polynomial{1e-3, 4e12}))
	squares.Split(q, l, flows)
	near(t, "ratio of quadratic branches", flows[0]/flows[1], 2, 1e-10)
	lines := must[part.Parallel](t)(part.NewParallel(polynomial{b: 1e8}, polynomial{b: 3e8}))
	dp, slope := lines.Split(-q, l, flows)
	near(t, "linear branches", dp, -q*0.75e8, 1e-13)
	near(t, "their slope", slope, 0.75e8, 1e-13)
	near(t, "the easier one's flow", flows[0], -0.75*q, 1e-13)
}

// At rest nothing flows, and shares of a flow too small to matter are those of
// the linear end.
func TestParallelAtRest(t *testing.T) {
	l, flows := part.TestWater(), make([]float64, 2)
	p := must[part.Parallel](t)(part.NewParallel(polynomial{1e8, 1e12}, polynomial{3e8, 1e12}))
	for _, q := range []float64{0, 1e-20, 1e-100} {
		dp, _ := p.Split(q, l, flows)
		near(t, "drop", dp, q*0.75e8, 1e-14)
		near(t, "flow", flows[0], 0.75*q, 1e-14)
	}
}

func TestParallelRefusals(t *testing.T) {
	if _, err := part.NewParallel(polynomial{b: 1}); err == nil {
		t.Error("one branch is parallel")
	}
	p := must[part.Parallel](t)(part.NewParallel(polynomial{b: 1}, polynomial{b: 1}))
	if !panics(func() { p.Split(1, part.TestWater(), make([]float64, 3)) }) {
		t.Error("three flows for two branches do not panic")
	}
}
