package equilibrium

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

// modes returns the modes at the case's state, failing the test if there are
// none to be had.
func modes(t *testing.T, c *networktest.Case) []Mode {
	t.Helper()
	m, err := Modes(c.Build(), 0, c.Temperatures)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// One node: tau = C/G.
func TestModesOfOneNode(t *testing.T) {
	m, err := Modes(oneNode(t, 0.1, 250, networktest.Leak{}), 0, []float64{300})
	if err != nil || len(m) != 1 {
		t.Fatalf("%v, %v", m, err)
	}
	within(t, "time constant", m[0].Tau, 1000*0.1, 1e-10)
	within(t, "share", m[0].Shares[0], 1, 1e-15)
	within(t, "period", m[0].Period, 0, 0)
}

// One mass of coolant, far from its level: tau = m cp/G at its temperature,
// within the 1e-4 of the fast form of cp.
func TestModesOfCoolant(t *testing.T) {
	for _, coolant := range networktest.Coolants() {
		c := bath(coolant)
		c.Temperatures[0] = 350
		m := modes(t, c)
		want := coolant.SpecificHeat(350) / 2
		within(t, coolant.Name(), m[0].Tau, want, 1e-4*want)
		within(t, "share", m[0].Shares[0], 1, 1e-15)
	}
}

// A linear leak stretches the time constant to tau/(1 - R L b), from the closed
// form of its first-order equation.
func TestModesWithLeakage(t *testing.T) {
	m, err := Modes(oneNode(t, 0.15, 250, linear), 0, []float64{67 + celsius})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "time constant", m[0].Tau, 150/(1-0.15*30*0.015), 1e-9)
}

// Two nodes: the rates are the roots of l^2 - (a+b+c) l + a c with
// a = 1/(R12 C1), b = 1/(R12 C2), c = 1/(R2 C2), computed independently in
// double precision; node 1 has the share C1/(C1 + C2 |1 - l/a|).
func TestModesOfTwoNodes(t *testing.T) {
	m := modes(t, twoNodes())
	if len(m) != 2 {
		t.Fatalf("%d modes", len(m))
	}
	for k, tau := range []float64{295.740765458, 18.259234542} {
		within(t, "time constant", m[k].Tau, tau, 5e-10)
		ratio := 4500. / 400 * math.Abs(1-0.05*400/tau)
		within(t, "share of the die", m[k].Shares[0], 1/(1+ratio), 1e-9)
	}
}

// Two nodes of which the second is coolant: the same shares with its capacity at
// its temperature, though its state is not its temperature.
func TestSharesOfCoolant(t *testing.T) {
	for _, coolant := range networktest.Coolants() {
		c := twoNodes()
		c.Coolant, c.Lumps[1], c.Temperatures[1] = coolant.Fast(), networktest.Lump{Mass: 1.1}, 350
		n := c.Build()
		for _, mode := range modes(t, c) {
			ratio := n.Capacity(1, 350) / 400 * math.Abs(1-0.05*400/mode.Tau)
			within(t, coolant.Name(), mode.Shares[0], 1/(1+ratio), 1e-9)
		}
	}
}

// At any temperatures the shares of every mode are positive or zero and sum to
// one; time constants fall; and with every rate of a pair counted twice, the
// rates sum to the trace of the Jacobian.
func TestModesOfAnyNetwork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Leaks: true, Tied: true})
		n, y := c.BuildWithState()
		m, err := Modes(n, 0, c.Temperatures)
		if err != nil {
			t.Fatal(err)
		}
		sum, count := 0.0, 0
		for _, mode := range m {
			rates := 1
			if mode.Period > 0 {
				rates = 2
			}
			count += rates
			sum -= float64(rates) / mode.Tau
			shares := 0.0
			for _, s := range mode.Shares {
				if !(s >= 0) {
					t.Fatalf("shares %v", mode.Shares)
				}
				shares += s
			}
			if !(math.Abs(shares-1) <= 1e-14) {
				t.Fatalf("shares sum to %.17g", shares)
			}
		}
		if count != len(c.Temperatures) {
			t.Fatalf("%d rates of %d lumps", count, len(c.Temperatures))
		}
		if !slices.IsSortedFunc(m, func(a, b Mode) int { return cmp.Compare(b.Tau, a.Tau) }) {
			t.Fatal("not slowest first")
		}
		p, jac := n.Pattern(), make([]float64, len(n.Pattern().Col))
		n.Jacobian(0, y, jac)
		trace := 0.0
		for i := range c.Temperatures {
			k, _ := slices.BinarySearch(p.Col[p.RowStart[i]:p.RowStart[i+1]], i)
			trace += jac[p.RowStart[i]+k]
		}
		if !(math.Abs(sum-trace) <= 1e-12*float64(count)*math.Abs(trace)) {
			t.Fatalf("rates sum to %.15g, trace %.15g", sum, trace)
		}
	})
}

// A ring of equal cells is a circulant matrix: its eigenvalues are
// -g/C - f (1 - exp(2 pi i k/n)), f = flow over mass, for k = 0 ... n-1
// (Davis 1979, Circulant Matrices); those of k and n-k are a pair.
func TestModesOfARing(t *testing.T) {
	const n = 9
	c := networktest.Ring(n)
	m := modes(t, c)
	if len(m) != n/2+1 {
		t.Fatalf("%d modes of a ring of %d cells, want each pair once", len(m), n)
	}
	_, slope := c.Coolant.Temperature(c.Coolant.EnthalpyOf(298.15)) // 1/cp
	f, g := 0.05/0.02, 0.5*slope/0.02
	for k, mode := range m {
		angle := 2 * math.Pi * float64(k) / n
		within(t, "rate", 1/mode.Tau, g+f*(1-math.Cos(angle)), 1e-12)
		if k == 0 {
			within(t, "period of the slowest", mode.Period, 0, 0)
			continue
		}
		within(t, "period", 2*math.Pi/mode.Period, f*math.Sin(angle), 1e-12)
	}
}

// A pure chain of equal cells is defective: one time constant, all the cells
// its multiplicity, one eigenvector. The matrix is triangular, so rounding does
// not split the time constant either.
func TestModesOfADefectiveChain(t *testing.T) {
	const n = 12
	c := networktest.Chain(n)
	m := modes(t, c)
	if len(m) != n {
		t.Fatalf("%d modes, want %d", len(m), n)
	}
	for _, mode := range m {
		within(t, "time constant", mode.Tau, 0.02/0.05, 1e-9)
		within(t, "period", mode.Period, 0, 0)
		for _, s := range mode.Shares {
			if math.IsNaN(s) {
				t.Fatalf("shares %v", mode.Shares)
			}
		}
		within(t, "share of the last cell", mode.Shares[n-1], 1, 1e-9)
	}
}

// Loose lumps have modes that never decay, and a state beyond the unstable root
// one that grows: neither is listed.
func TestModesThatDoNotDecay(t *testing.T) {
	c := twoNodes()
	c.Conducts = c.Conducts[:1]
	if m := modes(t, c); len(m) != 1 || math.Abs(m[0].Tau-1/(20./400+20./4500)) > 1e-9 {
		t.Errorf("two loose lumps: %v", m)
	}
	hot := upperRoot(0.2) + 1 + celsius
	if m, err := Modes(oneNode(t, 0.2, 250, exponential), 0, []float64{hot}); err != nil || len(m) != 0 {
		t.Errorf("above the unstable root: %v, %v", m, err)
	}
}

func TestModesErrors(t *testing.T) {
	c := networktest.Ring(MaxModeLumps + 1)
	if _, err := Modes(c.Build(), 0, c.Temperatures); err == nil || err.Error() != "equilibrium: 201 lumps are too many for all modes, at most 200" {
		t.Errorf("got %v", err)
	}
	c = networktest.Loop16()
	c.Temperatures[3] = math.NaN()
	if _, err := Modes(c.Build(), 0, c.Temperatures); err == nil || err.Error() != "equilibrium: modes of a temperature that is not finite" {
		t.Errorf("got %v", err)
	}
}

// The loop of 16 lumps: the chassis is the slowest mass, coolant in a block the
// fastest, and what goes round swings.
func TestModesOfTheLoop(t *testing.T) {
	c := networktest.Loop16()
	m := modes(t, c)
	slowest, fastest := m[0], m[len(m)-1]
	const chassis = 15
	if i := largest(slowest.Shares); i != chassis || slowest.Tau < 300 || slowest.Tau > 2000 {
		t.Errorf("slowest: %g s, lump %d", slowest.Tau, i)
	}
	if fastest.Tau > 0.5 || fastest.Tau < 0.01 {
		t.Errorf("fastest: %g s", fastest.Tau)
	}
	if !slices.ContainsFunc(m, func(mode Mode) bool { return mode.Period > 0 }) {
		t.Error("nothing swings")
	}
	if !c.Build().HoldsCoolant(network.Node(largest(fastest.Shares))) {
		t.Errorf("the fastest mass is lump %d", largest(fastest.Shares))
	}
}

// largest returns the index of the largest value.
func largest(v []float64) int {
	return slices.Index(v, slices.Max(v))
}
