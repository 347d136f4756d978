package network_test

import (
	"slices"
	"testing"

	"soakledger/sim/network/networktest"
	"soakledger/sim/sparse"
)

// The 16-lump loop is that of networktest.Loop16: water, 7 coolant lumps, two
// leaks. The state alternates, as the stages of a step do, so that nothing
// remembered from the evaluation before helps.
func BenchmarkRHS16(b *testing.B) {
	c := networktest.Loop16()
	n, y := c.BuildWithState()
	z, dydt := slices.Clone(y), make([]float64, len(y))
	for i := range c.Temperatures {
		z[i] += 0.25
	}
	b.ReportAllocs()
	for b.Loop() {
		n.F(0, y, dydt)
		y, z = z, y
	}
}

// BenchmarkOperatedRHS16 is the same with flow, films and walls by laws: 8
// streams, 6 conductances and 4 curves, 7 quantities.
func BenchmarkOperatedRHS16(b *testing.B) {
	c := networktest.Operated16()
	n, y := c.BuildWithState()
	z, dydt := slices.Clone(y), make([]float64, len(y))
	for i := range c.Temperatures {
		z[i] += 0.25
	}
	b.ReportAllocs()
	for b.Loop() {
		n.F(0, y, dydt)
		y, z = z, y
	}
}

// BenchmarkOperatedJacobian16 is BenchmarkJacobian16 of that loop.
func BenchmarkOperatedJacobian16(b *testing.B) {
	c := networktest.Operated16()
	n, y := c.BuildWithState()
	z, dydt := slices.Clone(y), make([]float64, len(y))
	for i := range c.Temperatures {
		z[i] += 0.25
	}
	jac := make([]float64, len(n.Pattern().Col))
	b.ReportAllocs()
	for b.Loop() {
		n.F(0, y, dydt)
		n.Jacobian(0, y, jac)
		y, z = z, y
	}
}

// BenchmarkJacobian16 asks for the Jacobian where the right-hand side has just
// been evaluated, as an integrator does; the cost is that of both, so take
// BenchmarkRHS16 off.
func BenchmarkJacobian16(b *testing.B) {
	c := networktest.Loop16()
	n, y := c.BuildWithState()
	z, dydt := slices.Clone(y), make([]float64, len(y))
	for i := range c.Temperatures {
		z[i] += 0.25
	}
	jac := make([]float64, len(n.Pattern().Col))
	b.ReportAllocs()
	for b.Loop() {
		n.F(0, y, dydt)
		n.Jacobian(0, y, jac)
		y, z = z, y
	}
}

// factors returns the Jacobian of the 16-lump loop and its factorisation.
func factors() (*sparse.LU, []float64) {
	c := networktest.Loop16()
	n, y := c.BuildWithState()
	p := n.Pattern()
	jac := make([]float64, len(p.Col))
	n.Jacobian(0, y, jac)
	f := sparse.New(len(c.Temperatures), p, nil)
	f.Factor(jac, 4, 1e3)
	return f, jac
}

func BenchmarkFactor16(b *testing.B) {
	f, jac := factors()
	b.ReportAllocs()
	for b.Loop() {
		if f.Factor(jac, 4, 1e3) >= 0 {
			b.Fatal("broke down")
		}
	}
}

func BenchmarkSolve16(b *testing.B) {
	f, _ := factors()
	x, rhs, zero := make([]float64, 16), make([]float64, 16), make([]float64, 16)
	for i := range rhs {
		rhs[i] = float64(i)
	}
	b.ReportAllocs()
	for b.Loop() {
		f.Solve(x, rhs, zero)
	}
}
