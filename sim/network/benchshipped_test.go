package network_test

import (
	"slices"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim/assemble"
	"soakledger/sim/network"
)

// shippedNetwork returns the network of a shipped scenario at the power of its first
// second, and a state at which all of it carries heat: 15 K over the room and
// falling by 0.1 K from lump to lump.
func shippedNetwork(tb testing.TB, name string) (*network.Network, []float64) {
	tb.Helper()
	doc, err := scenarios.Load(name)
	if err != nil {
		tb.Fatal(err)
	}
	plan, err := assemble.Build(doc.Scenario)
	if err != nil {
		tb.Fatal(err)
	}
	n, in := plan.Network, plan.Inputs
	plan.Timeline.Power(1, in.Power)
	n.SetInputs(in)
	states, quadratures := n.Dim()
	y := make([]float64, states+quadratures)
	for i := range n.Lumps() {
		y[i] = plan.Start[i] + 15 - 0.1*float64(i)
	}
	n.States(y[:states], y[:states])
	n.Settle(1, y)
	return n, y
}

// benchmarkShipped measures F, or the Jacobian too, of a shipped scenario, and
// reports it per 16 lumps. The state alternates, as in benchmarkRHS.
func benchmarkShipped(b *testing.B, name string, jacobian bool) {
	n, y := shippedNetwork(b, name)
	z, dydt, jac := slices.Clone(y), make([]float64, len(y)), make([]float64, len(n.Pattern().Col))
	for i := range n.Lumps() {
		z[i] += 0.25
	}
	b.ReportAllocs()
	for b.Loop() {
		n.F(1, y, dydt)
		if jacobian {
			n.Jacobian(1, y, jac)
		}
		y, z = z, y
	}
	perOp := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	b.ReportMetric(perOp*16/float64(len(n.Lumps())), "ns/16lumps")
	b.ReportMetric(float64(len(n.Lumps())), "lumps")
}

// BenchmarkRHSWorkstation is the right-hand side of the two-chip workstation: three
// radiators breathing and heating a fixed room, seven tubes with their walls, two
// blocks, all flows and films by their operations.
func BenchmarkRHSWorkstation(b *testing.B) { benchmarkShipped(b, "workstation", false) }

// BenchmarkJacobianWorkstation measures both, so take the right-hand side off.
func BenchmarkJacobianWorkstation(b *testing.B) { benchmarkShipped(b, "workstation", true) }
