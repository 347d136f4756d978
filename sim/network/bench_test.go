package network_test

import (
	"slices"
	"testing"

	"soakledger/sim/network/networktest"
	"soakledger/sim/sparse"
)

// benchmarkRHS measures F, and jacobian asks for the Jacobian there, too, as an
// integrator does where the right-hand side has just been evaluated. The state
// alternates, as the stages of a step do, so that nothing remembered from the
// evaluation before helps.
func benchmarkRHS(b *testing.B, c *networktest.Case, jacobian bool) {
	n, y := c.BuildWithState()
	z, dydt, jac := slices.Clone(y), make([]float64, len(y)), make([]float64, len(n.Pattern().Col))
	for i := range c.Temperatures {
		z[i] += 0.25
	}
	b.ReportAllocs()
	for b.Loop() {
		n.F(0, y, dydt)
		if jacobian {
			n.Jacobian(0, y, jac)
		}
		y, z = z, y
	}
}

// The 16-lump loop is that of networktest.Loop16: water, 7 coolant lumps, two
// leaks.
func BenchmarkRHS16(b *testing.B) { benchmarkRHS(b, networktest.Loop16(), false) }

// BenchmarkOperatedRHS16 is the same with flow, films and walls by laws: 8
// streams, 6 conductances and 4 curves, 7 quantities.
func BenchmarkOperatedRHS16(b *testing.B) { benchmarkRHS(b, networktest.Operated16(), false) }

// BenchmarkAiredRHS16 is that with air: two passes, one behind the other, in
// place of the radiator's two conductances to ambient, and a vent.
func BenchmarkAiredRHS16(b *testing.B) { benchmarkRHS(b, networktest.Aired16(), false) }

// BenchmarkPlainRHS16 is BenchmarkOperatedRHS16 with the radiator's two
// conductances by a pass from ambient and back to it.
func BenchmarkPlainRHS16(b *testing.B) {
	c := networktest.Aired16()
	c.Passes, c.Inputs.Air = c.Passes[:1], c.Inputs.Air[:1]
	c.Passes[0].To = c.Passes[0].From
	c.Fans, c.Inputs.Power, c.Inputs.PowerSlope = nil, c.Inputs.Power[:3], nil
	c.AirStreams, c.Inputs.Stream = nil, nil
	benchmarkRHS(b, c, false)
}

// BenchmarkJacobian16 and those that follow measure both, so take the
// right-hand side off.
func BenchmarkJacobian16(b *testing.B) { benchmarkRHS(b, networktest.Loop16(), true) }

func BenchmarkOperatedJacobian16(b *testing.B) { benchmarkRHS(b, networktest.Operated16(), true) }

func BenchmarkAiredJacobian16(b *testing.B) { benchmarkRHS(b, networktest.Aired16(), true) }

// benchmarkDrive measures F, or the Jacobian too, of the plant of two radiators: 8 lumps, 2
// auxiliary states, three operations of which two blend over two settings. Held, the drive stays.
func benchmarkDrive(b *testing.B, held, jacobian bool) {
	p := newPlant()
	d := p.one()
	n, in := p.build(b)
	in.Setting[p.pump], in.Slope[0] = 1, 0
	n.SetInputs(in)
	y, z := p.state(n, 1), p.state(n, 1.25)
	n.Bring(0, y)
	if held {
		in.Speed[d] = n.Speed(d)
		n.SetInputs(in)
	}
	dydt, jac := make([]float64, len(y)), make([]float64, len(n.Pattern().Col))
	b.ReportAllocs()
	for b.Loop() {
		n.F(0, y, dydt)
		if jacobian {
			n.Jacobian(0, y, jac)
		}
		y, z = z, y
	}
}

func BenchmarkDrivenRHS(b *testing.B)      { benchmarkDrive(b, false, false) }
func BenchmarkHeldRHS(b *testing.B)        { benchmarkDrive(b, true, false) }
func BenchmarkDrivenJacobian(b *testing.B) { benchmarkDrive(b, false, true) }
func BenchmarkHeldJacobian(b *testing.B)   { benchmarkDrive(b, true, true) }

// BenchmarkSetSpeed is a new speed of a held drive, as at a sample of a controller.
func BenchmarkSetSpeed(b *testing.B) {
	p := newPlant()
	d := p.one()
	n, in := p.build(b)
	in.Setting[p.pump] = 1
	for k := range 200 { // all tables that are needed
		in.Speed[d] = 0.3 + 0.0025*float64(k)
		n.SetInputs(in)
	}
	k := 0
	b.ReportAllocs()
	for b.Loop() {
		k = (k + 37) % 200
		in.Speed[d] = 0.3 + 0.0025*float64(k)
		n.SetInputs(in)
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
