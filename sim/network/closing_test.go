package network_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
	"soakledger/sim/ode"
)

// account runs a case for 600 s at a tolerance of 0.01 K, halfway through at
// other powers and flows, and returns the network, its ledger and the number of
// steps taken.
func account(t interface{ Fatal(...any) }, c *networktest.Case, m ode.Method, factor float64) (*network.Network, network.Ledger, int) {
	const half = 300.0
	n, y0 := c.BuildWithState()
	requested := make([]float64, len(c.Inputs.Power))
	for k := range c.Inputs.Power {
		requested[k] = half*n.PowerAt(k, half/2) + half*(n.PowerAt(k, half)*factor)
	}
	result, err := ode.Solve(ode.Problem{
		System: n, T1: 2 * half, Y0: y0, Jumps: []float64{half},
		AtJump: func(at float64, _ []float64) {
			in := n.Inputs()
			for k := range in.Power { // ramps end
				in.Power[k], in.PowerSlope[k] = n.PowerAt(k, at), 0
			}
			for _, values := range [][]float64{in.Power, in.MassFlow} {
				for k := range values {
					values[k] *= factor
				}
			}
			for k := range in.Air { // never less than metal can warm, or heat would run in circles
				in.Air[k].Rate *= 1 + factor
			}
			for k := range in.Stream {
				in.Stream[k] *= 1 + factor
			}
			for k := range in.Slope { // boundaries stop
				in.Temperature[k], in.Slope[k] = n.BoundaryTemperature(k, at), 0
			}
			n.SetInputs(in)
		},
	}, m, ode.Settings{AbsTol: []float64{1e-2}})
	if err != nil {
		t.Fatal(err)
	}
	return n, n.Ledger(y0, result.Y, requested), result.Stats.Steps
}

// rounding bounds what a run of 600 s loses to the last place of the numbers it
// is made of: every step rounds every lump's state and every energy of the
// ledger, and every link and stream what it moves between lumps at most 100 K
// apart, which the ledger does not show.
func rounding(c *networktest.Case, n *network.Network, l network.Ledger, steps int) float64 {
	sum, moved := 0.0, 0.0
	for i, temp := range c.Temperatures {
		sum += ulp * n.Capacity(network.Node(i), temp)
	}
	for _, e := range slices.Concat(l.In, l.Out) {
		sum += 0x1p-53 * math.Abs(e.Energy)
	}
	for _, link := range c.Conducts {
		moved += link.G
	}
	for _, s := range c.Streams {
		moved += s.Share * c.Inputs.MassFlow[s.Circuit] * 4200 // J/(kg K)
	}
	for _, l := range c.Laws {
		moved += l.Share * 100 // W/K, more than any quantity
	}
	for _, m := range c.Moves() {
		moved += m.Rate
	}
	for range c.Flows {
		moved += 0.5 * 4200
	}
	for _, l := range c.Curves {
		moved += 2 * l.G
	}
	return float64(steps)*sum + 0x1p-53*moved*600*100
}

// The ledger of a run closes to 1e-12, or to the rounding of its numbers where
// little has moved, whatever the fluid and however coarse the steps: what a lump
// stores is linear in its state, and a Rosenbrock method conserves what is
// linear.
func TestLedgerCloses(t *testing.T) {
	for _, coolant := range networktest.Coolants() {
		for _, m := range []ode.Method{ode.Rodas4{}, ode.Rodas5P{}} {
			rapid.Check(t, func(t *rapid.T) {
				c := networktest.Draw(t, networktest.Kinds{Leaks: true, Moving: true, Laws: true, Air: true, Aux: true, Tied: true})
				c.Coolant = coolant.Fast()
				n, l, steps := account(t, c, m, rapid.Float64Range(0, 2).Draw(t, "factor"))
				if off := math.Abs(l.Residual()); !(l.Relative() <= 1e-12) && !(off <= rounding(c, n, l, steps)) {
					t.Fatalf("%s, %s: %g J, %g of all, are missing after %d steps", coolant.Name(), m.Name(), off, l.Relative(), steps)
				}
			})
		}
	}
}

// The loop of water, chips at work, tubes and radiator: a run as it is made, of
// which the ledger closes to 1e-13, whether its flow is an input or follows its
// temperature, and with air through case and radiator.
func TestLedgerOfTheLoopCloses(t *testing.T) {
	for name, loop := range map[string]func() *networktest.Case{"stated flow": networktest.Loop16, "pumped": networktest.Operated16, "aired": networktest.Aired16} {
		for _, coolant := range networktest.Coolants() {
			c := loop()
			c.Coolant = coolant.Fast()
			_, l, steps := account(t, c, ode.Rodas4{}, 0.3)
			if !(l.Relative() <= 1e-13) || steps < 10 {
				t.Errorf("%s, %s: ledger open by %g after %d steps", coolant.Name(), name, l.Relative(), steps)
			}
		}
	}
}
