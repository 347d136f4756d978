package network_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

var everything = networktest.Kinds{Leaks: true, Moving: true, Laws: true, Air: true, Aux: true}

// rates evaluates F of a case.
func rates(n *network.Network, t float64, y []float64) []float64 {
	dydt := make([]float64, len(y))
	for i := range dydt {
		dydt[i] = math.NaN() // F must set all
	}
	n.F(t, y, dydt)
	return dydt
}

// F agrees with the definitions of links, streams and leaks.
func TestRates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, everything)
		at := rapid.Float64Range(-50, 50).Draw(t, "time")
		want := newReference(c, at)
		got := rates(c.Build(), at, want.state())
		for row, v := range got {
			if rate, rounding := want.rate(row); !(math.Abs(v-rate) <= rounding) {
				t.Fatalf("row %d: %.17g, want %.17g within %g", row, v, rate, rounding)
			}
		}
	})
}

// The ledger in algebraic form: at any state what is stored, plus what leaves,
// is what is released. Quadratures in the state change nothing.
func TestEnergyBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, everything)
		n, y := c.BuildWithState()
		for k := c.States(); k < len(y); k++ {
			y[k] = rapid.Float64Range(-1e6, 1e6).Draw(t, "quadrature")
		}
		n.SetReference(rapid.Float64Range(260, 320).Draw(t, "reference"))
		dydt := rates(n, 0, y)
		ref := newReference(c, 0)
		balance, size := 0.0, 0.0
		for k := range c.Inputs.Power {
			balance -= ref.power(k)
		}
		for i := range c.Temperatures {
			balance += ref.capacity(i) * dydt[i]
		}
		for k, q := range dydt[c.States():] {
			if k >= c.AllPaths() {
				q = -q // a leak releases
			}
			balance += q
		}
		for _, s := range ref.sizes {
			size += s
		}
		if !(math.Abs(balance) <= 100*0x1p-53*size+1e-300) {
			t.Fatalf("%g W too much of %g W in all terms", balance, size)
		}
	})
}

// Where nothing is switched on and all is at ambient, nothing changes: exactly,
// though the state of coolant is only close to its temperature.
func TestAtRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Laws: true, Air: true})
		ambient := rapid.Float64Range(260, 330).Draw(t, "ambient")
		for i := range c.Temperatures {
			c.Temperatures[i] = ambient
		}
		for k := range c.Inputs.Temperature {
			c.Inputs.Temperature[k] = ambient
		}
		clear(c.Inputs.Power)
		n, y := c.BuildWithState()
		n.SetReference(ambient)
		for row, v := range rates(n, 1e4, y) {
			if v != 0 {
				t.Fatalf("row %d: %g, want exactly 0", row, v)
			}
		}
	})
}

// At rest the loop stays at rest at any ambient, whatever fills it: some
// temperatures come back from the state of their coolant as their neighbour.
func TestLoopAtRest(t *testing.T) {
	for _, coolant := range networktest.Coolants() {
		c := networktest.Loop16()
		c.Coolant, c.Leaks = coolant.Fast(), nil
		clear(c.Inputs.Power)
		n := c.Build()
		y := make([]float64, 16+c.Paths)
		for k := range 200 {
			ambient := 260 + 0.37*float64(k)
			for i := range c.Temperatures {
				c.Temperatures[i] = ambient
			}
			c.Inputs.Temperature[0] = ambient
			n.SetInputs(c.Inputs)
			n.SetReference(ambient)
			n.States(c.Temperatures, y[:16])
			for row, v := range rates(n, 0, y) {
				if v != 0 {
					t.Fatalf("%s at %g K, row %d: %g, want exactly 0", coolant.Name(), ambient, row, v)
				}
			}
		}
	}
}

// The maximum principle: a lump that nothing heats does not grow hotter than
// all others, nor any lump colder than all others.
func TestMaximumPrinciple(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Laws: true, Air: true})
		extreme := rapid.IntRange(0, len(c.Temperatures)-1).Draw(t, "extreme")
		for k, lumps := range c.Sources {
			for _, n := range lumps {
				if int(n) == extreme {
					c.Inputs.Power[k] = 0
				}
			}
		}
		clear(c.Inputs.Power[len(c.Sources):]) // air may be heated on its way to the lump
		for _, end := range []struct{ temperature, sign float64 }{{366, 1}, {274, -1}} {
			c.Temperatures[extreme] = end.temperature
			_, rounding := newReference(c, 0).rate(extreme)
			n, y := c.BuildWithState()
			if rate := end.sign * rates(n, 0, y)[extreme]; !(rate <= rounding) {
				t.Fatalf("lump %d at %g K drifts outward at %g K/s", extreme, end.temperature, rate)
			}
		}
	})
}

// The reference of the enthalpy shifts energy between paths but nothing else.
func TestReferenceMovesOnlyTheSplit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Laws: true, Air: true})
		n, y := c.BuildWithState()
		before := rates(n, 0, y)
		n.SetReference(rapid.Float64Range(260, 330).Draw(t, "reference"))
		after := rates(n, 0, y)
		want := newReference(c, 0)
		out, size := 0.0, 0.0
		for row := range after {
			_, rounding := want.rate(row)
			if row >= len(c.Temperatures) {
				out += after[row] - before[row]
				size += rounding
				continue
			}
			if !(math.Abs(after[row]-before[row]) <= rounding) {
				t.Fatalf("lump %d: %g K/s, was %g", row, after[row], before[row])
			}
		}
		for _, m := range c.Moves() { // a lump's balance of air is good to rounding, and so much carries the shift of the reference
			size += 2e-15 * m.Rate * 40
		}
		if !(math.Abs(out) <= size) {
			t.Fatalf("%g W more leave than before", out)
		}
	})
}

// A stopped circuit carries nothing, not even in the Jacobian.
func TestStoppedCircuit(t *testing.T) {
	c := networktest.Loop16()
	c.Inputs.MassFlow[0] = 0
	n, y := c.BuildWithState()
	with := rates(n, 0, y)
	c.Streams = nil
	without := rates(c.Build(), 0, y)
	for row := range with {
		if with[row] != without[row] {
			t.Errorf("row %d: %g with a stopped stream, %g without any", row, with[row], without[row])
		}
	}
}

func TestRightHandSideDoesNotAllocate(t *testing.T) {
	c := networktest.Aired16()
	c.Inputs.Slope[0], c.Inputs.PowerSlope[0] = 1e-3, 1e-3
	n, y := c.BuildWithState()
	dydt, jac := make([]float64, len(y)), make([]float64, len(n.Pattern().Col))
	nodes := make([]network.Node, 0, len(c.Temperatures))
	for _, f := range []struct {
		name string
		call func()
	}{
		{"F", func() { n.F(1, y, dydt) }},
		{"Jacobian", func() { n.Jacobian(1, y, jac) }},
		{"TimeDerivative", func() { n.TimeDerivative(1, y, dydt) }},
		{"SetInputs", func() { n.SetInputs(c.Inputs) }},
		{"SetReference", func() { n.SetReference(300) }},
		{"CheckAir", func() {
			if err := n.CheckAir(c.Inputs); err != nil {
				t.Fatal(err)
			}
		}},
		{"Air", func() { n.Bring(1, y); n.Air(1) }},
		{"AppendUndetermined", func() { n.AppendUndetermined(nodes) }},
	} {
		if got := testing.AllocsPerRun(20, f.call); got != 0 {
			t.Errorf("%s allocates %g times", f.name, got)
		}
	}
}
