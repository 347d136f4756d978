package network_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

// offKinks moves lumps away from where a linear leak becomes zero, which has no
// derivative, and where a curve becomes straight.
func offKinks(c *networktest.Case) {
	ref := newReference(c, 3)
	for range len(c.Leaks) + len(c.Curves) { // moving off one kink may move onto another
		for _, l := range c.Curves {
			lump := max(l.A, l.B)
			if d := ref.temperature(l.A) - ref.temperature(l.B); math.Abs(math.Abs(d)-80) < 0.1 {
				c.Temperatures[lump] += 0.3
			}
		}
		for _, l := range c.Leaks {
			if kink := l.At - 1/l.Growth; l.Linear && math.Abs(c.Temperatures[l.Lump]-kink) < 0.1 {
				c.Temperatures[l.Lump] = kink + 0.3
			}
		}
	}
}

// The Jacobian is that of differences of fourth order, over 0.02 and 0.04 K.
// Their own error is the fifth derivative's: 4e-9 times the fourth power of a
// growth of at most 0.02/K of a leak's slope, nothing; jumps in the second
// derivative of coolant (below 3e-7/K between 275 and 365 K) make up to 1e-8 of
// a conductance. To it comes the rounding of F. What is not in the pattern does
// not change F by a single bit.
func TestJacobian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const step = 0.02
		c := networktest.Draw(t, everything)
		offKinks(c)
		n, y := c.BuildWithState()
		p, jac := n.Pattern(), make([]float64, len(n.Pattern().Col))
		n.Jacobian(3, y, jac)
		ref := newReference(c, 3)
		for col := range c.States() {
			at := y[col]
			moved := func(by float64) []float64 {
				y[col] = at + by
				defer func() { y[col] = at }()
				return rates(n, 3, y)
			}
			above, below, far, deep := moved(step), moved(-step), moved(2*step), moved(-2*step)
			for row := range above {
				values := jac[p.RowStart[row]:p.RowStart[row+1]]
				k, ok := slices.BinarySearch(p.Col[p.RowStart[row]:p.RowStart[row+1]], col)
				if !ok {
					if above[row] != below[row] {
						t.Fatalf("row %d depends on lump %d, which is not in the pattern", row, col)
					}
					continue
				}
				_, rounding := ref.rate(row)
				want := (8*(above[row]-below[row]) - (far[row] - deep[row])) / (12 * step)
				if tol := 4e-8*ref.tie(row) + 1e-12*sizeOf(values) + 2*rounding/step; !(math.Abs(values[k]-want) <= tol) {
					t.Fatalf("row %d, lump %d: %.12g, differences give %.12g within %g", row, col, values[k], want, tol)
				}
			}
		}
	})
}

func sizeOf(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += math.Abs(v)
	}
	return sum
}

// The pattern is ascending, without repetition and has every diagonal; a
// thousand cells have it in proportion.
func TestPattern(t *testing.T) {
	check := func(fail func(string, ...any), c *networktest.Case) int {
		n, y := c.BuildWithState()
		p := n.Pattern()
		if len(p.RowStart) != len(y)+1 || p.RowStart[len(p.RowStart)-1] != len(p.Col) {
			fail("%d row starts up to %d, %d columns", len(p.RowStart), p.RowStart[len(p.RowStart)-1], len(p.Col))
		}
		for row := range y {
			cols := p.Col[p.RowStart[row]:p.RowStart[row+1]]
			if !slices.IsSorted(cols) || len(slices.Compact(slices.Clone(cols))) != len(cols) {
				fail("row %d: columns %v", row, cols)
			}
			if row < len(c.Temperatures) && !slices.Contains(cols, row) {
				fail("row %d has no diagonal", row)
			}
		}
		return len(p.Col)
	}
	rapid.Check(t, func(t *rapid.T) { check(t.Fatalf, networktest.Draw(t, everything)) })
	// A cell of a ring: itself, the one before it, and the path.
	if got := check(t.Errorf, networktest.Ring(1000)); got != 3*1000 {
		t.Errorf("%d entries for a ring of 1000 cells", got)
	}
}

// The derivative with time is that of central differences over 2 s, in which
// boundaries move by less than 0.04 K; F is linear in time but for the specific
// heat of coolant that flows in. Differences suffer from the rounding of F and
// of the boundaries themselves, less than 1e-13 K.
func TestTimeDerivative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, everything)
		n, y := c.BuildWithState()
		at := rapid.Float64Range(-50, 50).Draw(t, "time")
		got := slices.Repeat([]float64{math.NaN()}, len(y)) // it must set all
		moving := sizeOf(c.Inputs.Slope)+sizeOf(c.Inputs.PowerSlope) > 0
		if n.TimeDerivative(at, y, got) != moving {
			t.Fatalf("says %v of slopes %v and %v", !moving, c.Inputs.Slope, c.Inputs.PowerSlope)
		}
		if !moving {
			return
		}
		after, before := rates(n, at+1, y), rates(n, at-1, y)
		drift := driftOfEach(c, n, at, y)
		ref := newReference(c, at)
		for row := range got {
			_, rounding := ref.rate(row)
			rounding += 1e-13 * ref.tie(row)
			want := (after[row] - before[row]) / 2
			if tol := 1e-6*drift[row] + 2*rounding; !(math.Abs(got[row]-want) <= tol) {
				t.Fatalf("row %d: %.12g, differences give %.12g within %g", row, got[row], want, tol)
			}
		}
	})
}

// driftOfEach returns the derivatives with time that each boundary alone makes,
// added up without sign: together they may cancel. The network gets the case's
// inputs back.
func driftOfEach(c *networktest.Case, n *network.Network, at float64, y []float64) []float64 {
	sum, one := make([]float64, len(y)), make([]float64, len(y))
	for k, slope := range c.Inputs.Slope {
		in := c.Inputs
		in.Slope, in.PowerSlope = make([]float64, len(c.Inputs.Slope)), nil
		in.Slope[k] = slope
		n.SetInputs(in)
		clear(one)
		n.TimeDerivative(at, y, one)
		for row, v := range one {
			sum[row] += math.Abs(v)
		}
	}
	n.SetInputs(c.Inputs)
	return sum
}

// Both forms of leak, their derivatives, and the floor of the linear one; by
// hand.
func TestLeaks(t *testing.T) {
	for _, c := range []struct {
		linear            bool
		growth, at, p, dp float64
	}{
		{false, 0.02, 333, 30, 0.6},
		{false, 0.02, 283, 30 / math.E, 0.6 / math.E},
		{false, -0.01, 433, 30 / math.E, -0.3 / math.E},
		{true, 0.02, 333, 30, 0.6},
		{true, 0.02, 308, 15, 0.6},
		{true, 0.02, 282, 0, 0},
		{true, -0.01, 383, 15, -0.3},
		{true, -0.01, 440, 0, 0},
		{true, 0, 440, 30, 0},
	} {
		b := network.NewBuilder(nil)
		b.Leak("leak", b.Lump("die", 10), 30, 333, c.growth, c.linear)
		n, err := b.Build()
		if err != nil {
			t.Fatal(err)
		}
		y, jac := []float64{c.at, 0}, make([]float64, 2)
		got := rates(n, 0, y)
		n.Jacobian(0, y, jac)
		for k, want := range []float64{c.p / 10, c.p, c.dp / 10, c.dp} {
			if v := append(got, jac...)[k]; math.Abs(v-want) > 1e-14*math.Abs(want) {
				t.Errorf("%+v: %v and %v", c, got, jac)
			}
		}
	}
}

func TestTimeDerivativeOfFixedBoundaries(t *testing.T) {
	c := networktest.Loop16()
	n, y := c.BuildWithState()
	got := []float64{7}
	if n.TimeDerivative(0, y, got) || got[0] != 7 {
		t.Errorf("reports a derivative %v where nothing moves", got)
	}
}

// A coolant lump of one ring, a source in it and a link: all that a coolant row
// can hold, worked out by hand. States flow, so streams have entries that do not
// depend on temperature; the link to air has the slope c0/cp.
func TestJacobianByHand(t *testing.T) {
	c := networktest.Loop16()
	n, y := c.BuildWithState()
	jac := make([]float64, len(n.Pattern().Col))
	n.Jacobian(0, y, jac)
	const reservoir, before, air = 13, 10, 14 // lumps of Loop16
	flow, mass, c0 := c.Inputs.MassFlow[0], c.Lumps[reservoir].Mass, newReference(c, 0).c0
	_, cp, _ := c.Coolant.Enthalpy(c.Temperatures[reservoir])
	p := n.Pattern()
	for k := p.RowStart[reservoir]; k < p.RowStart[reservoir+1]; k++ {
		want := map[int]float64{
			reservoir: -flow/mass - 0.4/(mass*cp),
			before:    flow / mass,
			air:       0.4 / (mass * c0),
		}[p.Col[k]]
		// The specific heat of the table of enthalpies is within 1e-5 of that
		// of temperatures; it makes up 1/500 of the first entry.
		tol := 1e-14
		if p.Col[k] == reservoir {
			tol = 2e-8
		}
		if math.Abs(jac[k]-want) > tol*math.Abs(want) {
			t.Errorf("column %d: %.15g, want %.15g", p.Col[k], jac[k], want)
		}
	}
}

// The Jacobian is the same, to the bit, whether F was evaluated at its state
// before, elsewhere or never, and follows inputs and reference set in between.
func TestJacobianRemembersNothingStale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, everything)
		fresh, y := c.BuildWithState()
		elsewhere := slices.Clone(y)
		elsewhere[rapid.IntRange(0, len(c.Temperatures)-1).Draw(t, "lump")] += 3
		want, got := make([]float64, len(fresh.Pattern().Col)), make([]float64, len(fresh.Pattern().Col))
		fresh.SetReference(301)
		fresh.Jacobian(0, y, want)

		n := c.Build()
		in := n.Inputs()
		clear(in.MassFlow)
		clear(in.Air)
		n.SetInputs(in)
		rates(n, 0, y)
		n.Jacobian(0, elsewhere, got)
		n.Jacobian(0, y, got)
		n.SetInputs(c.Inputs)
		n.SetReference(301)
		for _, before := range []func(){
			func() {}, func() { rates(n, 0, y) }, func() { rates(n, 0, elsewhere) }, func() { n.Jacobian(0, elsewhere, got) },
			func() { n.F(50, y, make([]float64, len(y))) },
			func() { n.TimeDerivative(50, y, make([]float64, len(y))) },
			func() { n.Bring(50, y) },
			func() { _ = n.CheckAir(n.NewInputs()) },
			func() {
				rates(n, 0, y)
				for circuit := range c.Inputs.MassFlow { // a question about a quantity changes nothing
					n.Quantity(network.Circuit(circuit), 0, 299)
				}
			},
		} {
			before()
			n.Jacobian(0, y, got)
			if !slices.Equal(got, want) {
				t.Fatalf("got %v, want %v", got, want)
			}
		}
	})
}

// A reference set after the evaluation moves coolant by a rounding, now and then,
// and leaks follow: so does the Jacobian, at the same state.
func TestJacobianFollowsTheReference(t *testing.T) {
	differ := 0
	for _, coolant := range networktest.Coolants() {
		b := network.NewBuilder(coolant.Fast())
		b.Leak("leak", b.CoolantLump("bath", 1), 30, 333, 0.5, false)
		n, err := b.Build()
		if err != nil {
			t.Fatal(err)
		}
		y, jac := []float64{320, 0}, make([]float64, 2)
		for k := range 200 {
			n.SetReference(260 + 0.37*float64(k))
			p := rates(n, 0, y)[1]
			n.SetReference(293.15)
			n.Jacobian(0, y, jac)
			want := rates(n, 0, y)[1]
			if jac[1] != 0.5*want*n.Slope(0, y[0]) {
				t.Fatalf("derivative %.17g of a power of %.17g W", jac[1], want)
			}
			if p != want {
				differ++
			}
		}
	}
	if differ == 0 {
		t.Error("no reference moves the coolant, so nothing is tested")
	}
}

// A new network has evaluated nothing, not even a state of zeros.
func TestJacobianOfANewNetwork(t *testing.T) {
	b := network.NewBuilder(nil)
	b.Leak("leak", b.Lump("die", 10), 30, 10, 0.02, false)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	jac := make([]float64, 2)
	n.Jacobian(0, []float64{0, 0}, jac)
	if want := 0.6 * math.Exp(-0.2); !(math.Abs(jac[1]-want) <= 1e-15) {
		t.Errorf("derivative %.17g W/K at 0 K, want %.17g", jac[1], want)
	}
}
