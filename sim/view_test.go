package sim

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/record"
)

// coolantNetwork is one litre of a coolant, to convert its states.
func coolantNetwork(tb rapid.TB, c *fluid.Coolant) *network.Network {
	b := network.NewBuilder(c.Fast())
	b.CoolantLump("tank", 1)
	n, err := b.Build()
	if err != nil {
		tb.Fatal(err)
	}
	return n
}

// Property: the temperature over a step is that of the state to 1.2e-4 K, at the
// ends to rounding, for cubics (the integrator's interpolant) whose terms reach
// 2 K, in water and in the glycol whose specific heat changes most. The error
// goes with the square of the terms; the worst of 40,000 was 1.03e-4 K.
func TestViewShowsTemperatures(t *testing.T) {
	glycol, err := fluid.New(fluid.KindPropyleneGlycol, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]*fluid.Coolant{"water": fluid.Water(), "glycol": glycol} {
		rapid.Check(t, func(t *rapid.T) {
			n := coolantNetwork(t, c)
			p := record.Polynomial{rapid.Float64Range(285, 350).Draw(t, "begin")}
			for k := range 3 {
				p[k+1] = rapid.Float64Range(-2, 2).Draw(t, "coefficient")
			}
			v := newView(n, nil)
			v.convert(0, &p, p.At(1))
			for k := range 101 {
				theta := float64(k) / 100
				want, bound := n.Temperature(0, p.At(theta)), 1.2e-4
				if k == 0 || k == 100 {
					bound = 1e-12 * want
				}
				if got := v.poly[0].At(theta); math.Abs(got-want) > bound {
					t.Fatalf("%s: at %g the view shows %.9f K, the state is %.9f K", name, theta, got, want)
				}
			}
		})
	}
}

// Property: what the conversion leaves is below the margin that lets a step pass
// without it, for cubics of any size up to terms of 2 K. The bounds are made as
// the integrator makes them.
func TestMarginCoversTheConversion(t *testing.T) {
	glycol, err := fluid.New(fluid.KindPropyleneGlycol, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	n := coolantNetwork(t, glycol)
	v := newView(n, nil)
	rapid.Check(t, func(t *rapid.T) {
		p := record.Polynomial{rapid.Float64Range(285, 350).Draw(t, "begin")}
		size := math.Pow(10, rapid.Float64Range(-3, 0.3).Draw(t, "size"))
		for k := range 3 {
			p[k+1] = size * rapid.Float64Range(-1, 1).Draw(t, "coefficient")
		}
		last := p.At(1)
		a := p[1] - (last - p[0])
		off := (math.Abs(a) + math.Abs(p[2]+a)) / 4
		left := mostLeft(min(p[0], last)-off, max(p[0], last)+off)
		v.convert(0, &p, last)
		for k := range 101 {
			theta := float64(k) / 100
			if got, want := v.poly[0].At(theta), n.Temperature(0, p.At(theta)); math.Abs(got-want) > left/4+1e-12*want {
				t.Fatalf("at %g the view shows %.12g K, the state is %.12g K, the margin %g K", theta, got, want, left)
			}
		}
	})
}

// A conversion does not depend on what was converted before, and one whose step
// begins where the last ended finds the same there to the last bit.
func TestConversionsFollowEachOther(t *testing.T) {
	n := coolantNetwork(t, fluid.Water())
	first, second := record.Polynomial{300, 2, -0.5, 0.25}, record.Polynomial{301.75, 1, 0.5}
	after, alone := newView(n, nil), newView(n, nil)
	after.convert(0, &first, 301.75)
	joint := after.poly[0].At(1)
	after.convert(0, &second, 303.25)
	alone.convert(0, &second, 303.25)
	if after.poly[0] != alone.poly[0] {
		t.Errorf("after another step %v, alone %v", after.poly[0], alone.poly[0])
	}
	if begin := after.poly[0][0]; math.Abs(begin-joint) > 1e-12*joint {
		t.Errorf("one step ends at %.15g K, the next begins at %.15g K", joint, begin)
	}
	after.convert(0, &first, 301.75) // back again: nothing there is the end of the last step
	alone = newView(n, nil)
	alone.convert(0, &first, 301.75)
	if after.poly[0] != alone.poly[0] {
		t.Errorf("after a later step %v, alone %v", after.poly[0], alone.poly[0])
	}
}

// A limit is left where the component first goes beyond either end, at once if
// it begins there, and never by touching it.
func TestLimitIsLeft(t *testing.T) {
	l := limit{low: 270, high: 300, why: "the end"}
	for _, c := range []struct {
		name  string
		p     record.Polynomial
		theta float64
		why   string
	}{
		{"upward", record.Polynomial{290, 20}, 0.5, "above 26.9 degC, the end"},
		{"downward", record.Polynomial{280, -40}, 0.25, "below -3.1 degC, the coolant's freezing point"},
		{"out and in again", record.Polynomial{299, 8, -8}, 0.5 - math.Sqrt(0.125), "above 26.9 degC, the end"},
		{"down and up through both ends", record.Polynomial{271, -20, 60}, (20 - math.Sqrt(400-240)) / 120, "below -3.1 degC, the coolant's freezing point"},
		{"begins at the end and goes out", record.Polynomial{300, 5}, 0, "above 26.9 degC, the end"},
		{"begins at the end and goes in", record.Polynomial{300, -5}, 0, ""},
		{"begins at the end, goes in and out", record.Polynomial{300, -5, 10}, 0.5, "above 26.9 degC, the end"},
		{"touches", record.Polynomial{299, 4, -4}, 0, ""},
		{"ends at the end", record.Polynomial{299, 1}, 0, ""},
	} {
		theta, why := l.left(&c.p)
		if why != c.why || why != "" && math.Abs(theta-c.theta) > 1e-9 {
			t.Errorf("%s: left at %g, %q; want %g, %q", c.name, theta, why, c.theta, c.why)
		}
	}
}
