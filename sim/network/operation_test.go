package network_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
	"soakledger/sim/part"
)

// function is an operation given by one function of the temperature, and counts
// how often it is asked.
type function struct {
	count int
	at    func(t float64, dst []float64) error
	calls *int
}

func (f function) Values() int { return f.count }

func (f function) At(t float64, dst []float64) error {
	if f.calls != nil {
		*f.calls++
	}
	return f.at(t, dst)
}

// bath is a network of one lump of coolant whose circuit has an operation.
func bath(t testing.TB, op network.Operation, low, high float64) *network.Network {
	t.Helper()
	b := network.NewBuilder(fluid.Water().Fast())
	b.Operate(b.Circuit("ring"), b.CoolantLump("bath", 1), op, low, high)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func quantity(t testing.TB, n *network.Network, value int, at float64) float64 {
	t.Helper()
	q, ok := n.Quantity(0, value, at)
	if !ok {
		t.Fatalf("quantity %d is unknown", value)
	}
	return q
}

// pumped is the flow that a pump of 3.6 m and 900 L/h at a share of its speed
// drives through a ring, with a film of a block, as an assembled loop has them.
type pumped struct {
	coolant *fluid.Coolant
	ring    []part.Resistance
	pump    part.PumpCurve
	speed   float64
	film    part.Film
	calls   *int
}

func (p pumped) Values() int { return 2 }

func (p pumped) At(t float64, dst []float64) error {
	*p.calls++
	liquid := part.LiquidAt(p.coolant, t)
	q, _, err := part.OperatingPoint([]part.PumpCurve{p.pump}, []float64{p.speed}, p.ring, liquid)
	if err != nil {
		return err
	}
	dst[0] = q * liquid.Density
	dst[1], _, _ = p.film.Conductance(p.coolant.Fast(), q, t)
	return nil
}

// rings are what a pump may drive coolant through: wide and short, narrow and
// long tubes, and a block by a measured point, which between water at 95 degC
// and cold glycol flow turbulent, laminar and through the transition.
func rings(t *testing.T) [][]part.Resistance {
	block, err := part.NewPoints([]float64{4e-3 / 60}, []float64{12e3})
	if err != nil {
		t.Fatal(err)
	}
	tube := func(bore, length float64) part.Tube {
		return part.Tube{Bore: bore, Length: length, Roughness: 1.5e-6, Loss: 3}
	}
	return [][]part.Resistance{
		{tube(0.010, 2), part.Loss{K: 6, Bore: 0.009}},
		{tube(0.006, 4)},
		{tube(0.013, 2), block},
	}
}

// The table is within 1e-4 of the flow and of the film that it tabulates, over
// the whole range of water and of 60 % glycol, laminar, turbulent and between,
// and it takes no more than so many computed temperatures.
func TestTableOfPumpedFlow(t *testing.T) {
	ethylene, err := fluid.New(fluid.KindEthyleneGlycol, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	propylene, err := fluid.New(fluid.KindPropyleneGlycol, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	pump, err := part.NewPumpCurve(36e3, 0.9/3600)
	if err != nil {
		t.Fatal(err)
	}
	film, err := part.NewFilm(60, 4e-3/60, 0.7, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		coolant *fluid.Coolant
		most    int
	}{{fluid.Water(), 65}, {ethylene, 100}, {propylene, 100}} {
		for k, ring := range rings(t) {
			for _, speed := range []float64{0.25, 0.4, 0.7, 1} {
				calls := 0
				op := pumped{c.coolant, ring, pump, speed, film, &calls}
				low, high := c.coolant.Range()
				n := bath(t, op, low, high)
				if calls > c.most {
					t.Errorf("%s, ring %d, speed %g: %d temperatures, more than %d", c.coolant.Name(), k, speed, calls, c.most)
				}
				worst, where, want := 0.0, 0.0, make([]float64, 2)
				for at := low; at <= high; at += 0.0637 {
					if err := op.At(at, want); err != nil {
						t.Fatal(err)
					}
					for v, w := range want {
						if off := math.Abs(quantity(t, n, v, at)/w - 1); !(off <= worst) {
							worst, where = off, at
						}
					}
				}
				if worst > 1e-4 {
					t.Errorf("%s, ring %d, speed %g: off by %.1e at %.1f K", c.coolant.Name(), k, speed, worst, where)
				}
			}
		}
	}
}

// A cubic is held without error.
func TestTableOfACubic(t *testing.T) {
	p := networktest.Polynomials{{3, -1, 0.5, 0.2}}
	calls := 0
	n := bath(t, function{1, func(at float64, dst []float64) error { return p.At(at, dst) }, &calls}, 255, 385)
	for at := 255.0; at <= 385; at += 0.37 {
		want, _ := p.Quantity(0, at)
		if got := quantity(t, n, 0, at); math.Abs(got-want) > 1e-14*want {
			t.Errorf("%.17g at %g K, want %.17g", got, at, want)
		}
	}
	if calls != 17 {
		t.Errorf("computed at %d temperatures, want 9 and the 8 in between", calls)
	}
}

// The flows of a fork add up to the total between all knots and beyond them, even
// where one branch takes over from the other within little more than a cell.
func TestForksAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		middle, width := rapid.Float64Range(240, 380).Draw(rt, "middle"), rapid.Float64Range(0.2, 50).Draw(rt, "width")
		least, grows := rapid.Float64Range(0, 0.3).Draw(rt, "least"), rapid.Float64Range(-0.05, 0.05).Draw(rt, "grows")
		n := bath(t, function{3, func(at float64, dst []float64) error {
			dst[0] = 0.05 * math.Exp(grows*(at-300))
			dst[1] = dst[0] * (least + (1-2*least)*(0.5+0.5*math.Tanh((at-middle)/width)))
			dst[2] = dst[0] - dst[1]
			return nil
		}, nil}, 233.15, 368.15)
		for at := 200.0; at < 400; at += 0.173 {
			total, one, other := quantity(t, n, 0, at), quantity(t, n, 1, at), quantity(t, n, 2, at)
			if !(math.Abs(one+other-total) <= 1e-12*total) || !(one >= -1e-18 && other >= -1e-18) {
				rt.Fatalf("%g and %g of %g kg/s at %g K", one, other, total, at)
			}
		}
	})
}

// Value and slope are continuous at every knot and at both ends of the table: a
// second difference goes with the square of its step. Far beyond the ends
// nothing changes any more.
func TestTableIsSmooth(t *testing.T) {
	const step, low, high = 0.01, 255.0, 385.0
	const bend, out = 2. / 49, 2. / 7 // 1/K2: of the sine, and where a slope of 1/7 runs out within half a kelvin or more
	n := bath(t, function{1, func(at float64, dst []float64) error {
		dst[0] = 3 + math.Sin(at/7)
		return nil
	}, nil}, low, high)
	a, b := quantity(t, n, 0, low-60), quantity(t, n, 0, low-60+step)
	for k := 2; low-60+float64(k)*step < high+60; k++ {
		at := low - 60 + float64(k)*step
		c := quantity(t, n, 0, at)
		most := bend
		if at-2*step < low || at > high {
			most = out
		}
		if !(math.Abs(a-2*b+c) <= most*step*step) {
			t.Fatalf("jumps at %g K: %.17g, %.17g, %.17g", at, a, b, c)
		}
		a, b = b, c
	}
	for _, end := range []struct{ at, beyond float64 }{{low, -1}, {high, 1}} {
		if x, y := quantity(t, n, 0, end.at+20*end.beyond), quantity(t, n, 0, end.at+500*end.beyond); x != y {
			t.Errorf("still changes beyond %g K: %g, %g", end.at, x, y)
		}
		if want := 3 + math.Sin(end.at/7); quantity(t, n, 0, end.at) != want {
			t.Errorf("%.17g at the end %g K, want %.17g", quantity(t, n, 0, end.at), end.at, want)
		}
	}
}

// No quantity falls below zero, however steeply it falls or rises: not between
// the knots, and not where the table runs out.
func TestTableStaysAboveZero(t *testing.T) {
	for name, f := range map[string]func(at float64) float64{
		"dies away": func(at float64) float64 { return math.Exp(-(at - 255) / 1.5) },
		"grows":     func(at float64) float64 { return math.Exp((at - 385) / 1.5) },
		"begins":    func(at float64) float64 { return math.Max(0, at-301.3) },
		"ends":      func(at float64) float64 { return math.Max(0, 255.7-at) },
		"steps":     func(at float64) float64 { return math.Floor(at / 40) },
		"jumps at the lower end": func(at float64) float64 {
			if at < 255.1 {
				return 1
			}
			return 4
		},
		"jumps at the upper end": func(at float64) float64 {
			if at > 384.9 {
				return 1
			}
			return 4
		},
		"needle": func(at float64) float64 { return 1e-9 + math.Exp(-(at-320)*(at-320)) },
	} {
		n := bath(t, function{1, func(at float64, dst []float64) error { dst[0] = f(at); return nil }, nil}, 255, 385)
		for at := 200.0; at < 420; at += 0.0137 {
			if got := quantity(t, n, 0, at); !(got >= 0) {
				t.Errorf("%s: %g at %g K", name, got, at)
				break
			}
		}
	}
}

// An operation is computed while the network is built only, and what it fails
// by, or gives that cannot be, is the error of Build.
func TestOperationErrors(t *testing.T) {
	broken := errors.New("no head")
	for _, c := range []struct {
		want string
		at   func(at float64, dst []float64) error
	}{
		{"network: circuit ring: finding the flow at 300 K: no head", func(at float64, dst []float64) error {
			if at == 300 {
				return broken
			}
			return nil
		}},
		{"network: circuit ring: quantity 1 at 280 K is -1, not zero or above and finite", func(at float64, dst []float64) error { dst[1] = -1; return nil }},
		{"network: circuit ring: quantity 0 at 280 K is NaN, not zero or above and finite", func(at float64, dst []float64) error { dst[0] = math.NaN(); return nil }},
		{"network: circuit ring: quantity 0 at 360 K is +Inf, not zero or above and finite", func(at float64, dst []float64) error {
			if at == 360 {
				dst[0] = math.Inf(1)
			}
			return nil
		}},
	} {
		b := network.NewBuilder(fluid.Water().Fast())
		b.Operate(b.Circuit("ring"), b.CoolantLump("bath", 1), function{2, c.at, nil}, 280, 360)
		n, err := b.Build()
		if n != nil || err == nil || err.Error() != c.want {
			t.Errorf("%v, want %q", err, c.want)
		}
		if strings.Contains(c.want, "head") && !errors.Is(err, broken) {
			t.Error("the operation's own error is lost")
		}
	}
	calls := 0
	n := bath(t, function{1, func(at float64, dst []float64) error { dst[0] = 1; return nil }, &calls}, 280, 360)
	before := calls
	n.F(0, []float64{300}, make([]float64, 1))
	n.Jacobian(0, []float64{310}, make([]float64, 1))
	n.SetInputs(n.Inputs())
	if calls != before {
		t.Error("computed again after Build")
	}
}

// A stopped pump leaves lumps loose that hang on its stream alone, and what it
// conducts by holds others.
func TestUndeterminedWithAStoppedPump(t *testing.T) {
	for _, c := range []struct {
		flow, film float64
		want       []network.Node
	}{{0, 0, []network.Node{0, 1}}, {0, 5, []network.Node{1}}, {0.01, 0, []network.Node{0}}, {0.01, 5, nil}} {
		b := network.NewBuilder(fluid.Water().Fast())
		plate, hot, cold := b.Lump("plate", 100), b.CoolantLump("hot", 0.1), b.CoolantLump("cold", 0.1)
		ambient, ring, out := b.Boundary("ambient"), b.Circuit("ring"), b.Path("out")
		b.Conduct(cold, ambient, 5, out)
		b.Operate(ring, hot, function{2, func(at float64, dst []float64) error { dst[0], dst[1] = c.flow, c.film; return nil }, nil}, 280, 360)
		b.StreamOf(hot, cold, ring, 0)
		b.StreamOf(cold, hot, ring, 0)
		b.ConductOf(plate, cold, ring, 1, 0.5, 0)
		n, err := b.Build()
		if err != nil {
			t.Fatal(err)
		}
		if got := n.Undetermined(); !slices.Equal(got, c.want) {
			t.Errorf("%g kg/s and %g W/K: %v, want %v", c.flow, c.film, got, c.want)
		}
	}
}

// A curve that carries no heat ties nothing.
func TestUndeterminedByACurveOfNothing(t *testing.T) {
	for _, c := range []struct {
		g    float64
		want []network.Node
	}{{0, []network.Node{0}}, {1e-3, nil}} {
		b := network.NewBuilder(nil)
		b.Curve(b.Lump("wall", 1), b.Boundary("ambient"), b.Path("out"), func(d float64) (q, slope float64) { return c.g * d, c.g })
		n, err := b.Build()
		if err != nil {
			t.Fatal(err)
		}
		if got := n.Undetermined(); !slices.Equal(got, c.want) {
			t.Errorf("%g W/K: %v, want %v", c.g, got, c.want)
		}
	}
}

// A step that fails may ask for the rates at a state that is no number, and gets
// rates that are none.
func TestNoNumber(t *testing.T) {
	c := networktest.Operated16()
	n, y := c.BuildWithState()
	for i := range y {
		y[i] = math.NaN()
	}
	for lump, rate := range rates(n, 0, y)[:16] {
		if !math.IsNaN(rate) {
			t.Errorf("lump %d changes by %g", lump, rate)
		}
	}
	n.Jacobian(0, y, make([]float64, len(n.Pattern().Col)))
	for _, at := range []float64{math.Inf(-1), -1e300, 0, 1e300, math.Inf(1)} {
		if q := quantity(t, n, 0, at); !(q > 0.01 && q < 0.1) {
			t.Errorf("%g kg/s at %g K", q, at)
		}
	}
}

func TestUnknownQuantity(t *testing.T) {
	p := newParts()
	driven, _, _ := fork(p)
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	if q, ok := n.Quantity(driven, 2, 300); !ok || q != 0.03 {
		t.Errorf("%g, %v", q, ok)
	}
	for _, c := range []struct {
		circuit network.Circuit
		value   int
	}{{p.ring, 0}, {driven, 4}, {driven, -1}, {-1, 0}, {9, 0}} {
		if q, ok := n.Quantity(c.circuit, c.value, 300); ok || q != 0 {
			t.Errorf("circuit %d, quantity %d: %g", c.circuit, c.value, q)
		}
	}
}
