package network_test

import (
	"testing"

	"soakledger/sim/network/networktest"
)

// The 16-lump loop is that of networktest.Loop16: water, 7 coolant lumps, two
// leaks. The state alternates, as the stages of a step do, so that nothing
// remembered from the evaluation before helps.
func BenchmarkRHS16(b *testing.B) {
	c := networktest.Loop16()
	n, y := c.Build(), c.FullState()
	z, dydt := c.FullState(), make([]float64, len(c.FullState()))
	for i := range c.State {
		z[i] += 0.25
	}
	b.ReportAllocs()
	for b.Loop() {
		n.F(0, y, dydt)
		y, z = z, y
	}
}

// BenchmarkJacobian16 asks for the Jacobian where the right-hand side has just
// been evaluated, as an integrator does; the cost is that of both, so take
// BenchmarkRHS16 off.
func BenchmarkJacobian16(b *testing.B) {
	c := networktest.Loop16()
	n, y := c.Build(), c.FullState()
	z, dydt := c.FullState(), make([]float64, len(c.FullState()))
	for i := range c.State {
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
