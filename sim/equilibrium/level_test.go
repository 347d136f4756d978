package equilibrium

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

const celsius = 273.15

// oneNode is a lump of 1000 J/K behind a resistance (K/W) to a boundary at 25
// degC, heated by a requested power (W), with one leak.
func oneNode(t *testing.T, resistance, power float64, l networktest.Leak) *network.Network {
	t.Helper()
	c := &networktest.Case{
		Lumps: []networktest.Lump{{Capacity: 1000}}, Temperatures: []float64{25 + celsius}, Paths: 1,
		Conducts: []networktest.Conduct{{A: 0, B: networktest.Ambient, G: 1 / resistance}},
		Sources:  [][]network.Node{{0}},
		Inputs:   network.Inputs{Power: []float64{power}, Temperature: []float64{25 + celsius}, Slope: []float64{0}},
	}
	if l.Power > 0 {
		c.Leaks = []networktest.Leak{l}
	}
	return c.Build()
}

// twoNodes is a die of 400 J/K behind 0.05 K/W on a coolant of 4500 J/K that is
// 0.06 K/W from ambient, 300 W in the die; ambient at 25 degC.
func twoNodes() *networktest.Case {
	return &networktest.Case{
		Lumps: []networktest.Lump{{Capacity: 400}, {Capacity: 4500}}, Temperatures: []float64{25 + celsius, 25 + celsius}, Paths: 1,
		Conducts: []networktest.Conduct{{A: 0, B: 1, G: 1 / 0.05}, {A: 1, B: networktest.Ambient, G: 1 / 0.06}},
		Sources:  [][]network.Node{{0}},
		Inputs:   network.Inputs{Power: []float64{300}, Temperature: []float64{25 + celsius}, Slope: []float64{0}},
	}
}

// level returns the level from a start, failing the test if there is none.
func level(t *testing.T, n *network.Network, start []float64) []float64 {
	t.Helper()
	dst := make([]float64, len(start))
	if loose, err := NewSolver(n).Level(0, start, dst); err != nil || len(loose) > 0 {
		t.Fatalf("no level of %v: %v", loose, err)
	}
	return dst
}

// within reports a value that is not what is wanted.
func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, want %.12g within %g", what, got, want, tol)
	}
}

// Closed forms: a rise of R P, and in a row of resistances their sum.
func TestLevelClosedForm(t *testing.T) {
	got := level(t, oneNode(t, 0.1, 250, networktest.Leak{}), []float64{300})
	within(t, "one node", got[0]-celsius-25, 25, 1e-9)
	c := twoNodes()
	got = level(t, c.Build(), c.Temperatures)
	within(t, "die", got[0]-celsius-25, 33, 1e-9)
	within(t, "coolant", got[1]-celsius-25, 18, 1e-9)
}

// A bath of a kilogram of any coolant behind 0.5 K/W: the level is a temperature,
// and the same for all.
func TestLevelOfCoolant(t *testing.T) {
	for _, coolant := range networktest.Coolants() {
		c := bath(coolant)
		got := level(t, c.Build(), c.Temperatures)
		within(t, coolant.Name(), got[0]-celsius-25, 50, 1e-9)
	}
}

// bath is a kilogram of coolant at 25 degC behind 0.5 K/W to a boundary as warm,
// heated by 100 W.
func bath(coolant *fluid.Coolant) *networktest.Case {
	return &networktest.Case{
		Coolant: coolant.Fast(),
		Lumps:   []networktest.Lump{{Mass: 1}}, Temperatures: []float64{25 + celsius}, Paths: 1,
		Conducts: []networktest.Conduct{{A: 0, B: networktest.Ambient, G: 2}},
		Sources:  [][]network.Node{{0}},
		Inputs:   network.Inputs{Power: []float64{100}, Temperature: []float64{25 + celsius}, Slope: []float64{0}},
	}
}

// The leakage of the tests below: 30 W at 60 degC, growing by 2 %/K, or 1.5 %/K
// where linear, beside 250 W. Levels computed independently in double precision
// from T = Ta + R P - W(-R L a exp(a (Ta + R P - T0)))/a with Lambert's W
// (Corless et al. 1996, On the Lambert W function, Adv. Comput. Math. 5:329),
// and from the linear form, T = (Ta + R (P + L (1 - b T0)))/(1 - R L b); that
// the linear one is adequate over tens of kelvin: Liu, Dick, Shang & Yang 2007,
// Accurate temperature-dependent integrated circuit leakage power estimation is
// easy, DATE 2007.
var (
	exponential = networktest.Leak{Lump: 0, Power: 30, At: 60 + celsius, Growth: 0.02}
	linear      = networktest.Leak{Lump: 0, Power: 30, At: 60 + celsius, Growth: 0.015, Linear: true}
)

func TestLeakageFixedPoints(t *testing.T) {
	for _, c := range []struct {
		resistance, want float64 // K/W, degC
		leak             networktest.Leak
	}{
		{0.10, 52.586600, exponential},
		{0.15, 67.754985, exponential},
		{0.20, 84.865815, exponential},
		{0.25, 106.514229, exponential},
		{0.15, 67.506702, linear},
	} {
		n := oneNode(t, c.resistance, 250, c.leak)
		for _, start := range []float64{0, 25, 60, c.want, c.want + 5} {
			got := level(t, n, []float64{start + celsius})[0] - celsius
			within(t, "level", got, c.want, 5e-7)
		}
	}
	n := oneNode(t, 0.3, 250, exponential)
	for _, start := range []float64{25, 110, 300} {
		if _, err := NewSolver(n).Level(0, []float64{start + celsius}, []float64{0}); !errors.Is(err, ErrNoLevel) {
			t.Errorf("R 0.3 K/W from %g degC: %v, want a runaway", start, err)
		}
	}
}

// upperRoot returns the unstable equilibrium (degC) of the exponential leakage
// behind r (K/W), by bisection between the hottest stable temperature, where
// R dP/dT = 1, and 1000 degC.
func upperRoot(r float64) float64 {
	balance := func(temp float64) float64 { return 25 + r*(250+30*math.Exp(0.02*(temp-60))) - temp }
	low, high := 60+math.Log(1/(r*30*0.02))/0.02, 1000.0
	for range 200 {
		if mid := (low + high) / 2; balance(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// On either side of the unstable root, to a tenth of a kelvin, the network goes
// its own way: down to the level, or away.
func TestUnstableRootParts(t *testing.T) {
	for _, c := range []struct{ resistance, want float64 }{{0.1, 52.586600}, {0.15, 67.754985}, {0.2, 84.865815}, {0.25, 106.514229}} {
		n, root := oneNode(t, c.resistance, 250, exponential), upperRoot(c.resistance)
		if root < c.want+20 {
			t.Fatalf("R %g: no second root, %g", c.resistance, root)
		}
		for _, below := range []float64{0.1, 1, 10} {
			within(t, "level", level(t, n, []float64{root - below + celsius})[0]-celsius, c.want, 5e-7)
		}
		for _, above := range []float64{0.1, 1, 10, 100} {
			dst := []float64{7}
			if _, err := NewSolver(n).Level(0, []float64{root + above + celsius}, dst); !errors.Is(err, ErrNoLevel) || dst[0] != 7 {
				t.Errorf("R %g from %g degC: level %g, %v", c.resistance, root+above, dst[0], err)
			}
		}
	}
}

// A bath of coolant with the same leak has the same level and the same unstable
// root, whatever state its temperatures have.
func TestUnstableRootOfCoolant(t *testing.T) {
	for _, coolant := range networktest.Coolants() {
		c := bath(coolant)
		c.Conducts[0].G, c.Inputs.Power[0], c.Leaks = 1/0.2, 250, []networktest.Leak{exponential}
		n, root := c.Build(), upperRoot(0.2)+celsius
		within(t, coolant.Name(), level(t, n, []float64{root - 1})[0]-celsius, 84.865815, 5e-7)
		if _, err := NewSolver(n).Level(0, []float64{root + 1}, []float64{0}); !errors.Is(err, ErrNoLevel) {
			t.Errorf("%s from above the unstable root: %v", coolant.Name(), err)
		}
	}
}

// settle integrates F by the classical Runge-Kutta method until nothing moves,
// and reports whether it came to rest below 1500 K.
func settle(n *network.Network, y []float64) bool {
	k := [4][]float64{}
	for i := range k {
		k[i] = make([]float64, len(y))
	}
	trial := make([]float64, len(y))
	jac := make([]float64, len(n.Pattern().Col))
	for {
		n.Jacobian(0, y, jac)
		bound := slices.Max(jac) - slices.Min(jac)
		step := 0.5 / bound // s
		for s, part := range []float64{0, 0.5, 0.5, 1} {
			for i := range y {
				trial[i] = y[i]
				if s > 0 {
					trial[i] += part * step * k[s-1][i]
				}
			}
			n.F(0, trial, k[s])
		}
		fastest := 0.0
		states, _ := n.Dim()
		for i := range states {
			y[i] += step / 6 * (k[0][i] + 2*k[1][i] + 2*k[2][i] + k[3][i])
			fastest = math.Max(fastest, math.Abs(k[0][i]))
			if y[i] > 1500 {
				return false
			}
		}
		if fastest < 1e-7 {
			return true
		}
	}
}

// nearRunaway makes a network of two to four lumps with one or two strong
// leaks, and a start anywhere up to 440 K: a third of them run away.
func nearRunaway(r *rand.Rand) *networktest.Case {
	between := func(low, high float64) float64 { return math.Exp(math.Log(low) + r.Float64()*math.Log(high/low)) }
	c := &networktest.Case{Paths: 1}
	lumps := 2 + r.IntN(3)
	for i := range lumps {
		c.Lumps = append(c.Lumps, networktest.Lump{Capacity: between(50, 2000)})
		c.Temperatures = append(c.Temperatures, 290+150*r.Float64())
		if i > 0 {
			c.Conducts = append(c.Conducts, networktest.Conduct{A: network.Node(i), B: network.Node(r.IntN(i)), G: between(1, 30)})
		}
	}
	c.Conducts = append(c.Conducts, networktest.Conduct{A: network.Node(lumps - 1), B: networktest.Ambient, G: between(2, 12)})
	for range 1 + r.IntN(2) {
		c.Leaks = append(c.Leaks, networktest.Leak{Lump: network.Node(r.IntN(lumps)), Power: between(5, 60), At: 333, Growth: between(0.01, 0.04)})
	}
	c.Sources = [][]network.Node{{network.Node(r.IntN(lumps))}}
	c.Inputs = network.Inputs{Power: []float64{200 * r.Float64()}, Temperature: []float64{298}, Slope: []float64{0}}
	return c
}

// Of several ends, or none, the level is that to which the network's own
// transient leads, integrated by an explicit method that knows nothing of the
// Jacobian. The seed is fixed: a start next to a separatrix has no answer.
func TestLevelIsWhereTheTransientLeads(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	ends := map[bool]int{}
	for k := range 100 {
		c := nearRunaway(r)
		n, got := c.Build(), make([]float64, len(c.Temperatures))
		_, err := NewSolver(n).Level(0, c.Temperatures, got)
		_, y := c.BuildWithState()
		rests := settle(n, y)
		ends[rests]++
		if rests != (err == nil) {
			t.Errorf("network %d: the transient comes to rest: %v; level: %v", k, rests, err)
			continue
		}
		for i := range got {
			if rests {
				within(t, "level", got[i], y[i], 0.01)
			}
		}
	}
	if ends[true] < 20 || ends[false] < 20 {
		t.Errorf("one-sided: %v", ends)
	}
}

// A cold die on hot coolant has a level, and a Jacobian that tells of no danger;
// but from a certain heat on the coolant heats the die until it runs away
// before the coolant has cooled. Two kelvin on either side of where the
// transient parts the level parts as well.
func TestHotCoolantUnderAColdDie(t *testing.T) {
	for _, k := range []struct{ g, out, power float64 }{{5, 4, 20}, {5, 8, 20}, {5, 8, 40}, {10, 4, 20}, {10, 8, 40}} {
		c := twoNodes()
		c.Lumps, c.Temperatures = []networktest.Lump{{Capacity: 50}, {Capacity: 2000}}, []float64{300, 300}
		c.Conducts[0].G, c.Conducts[1].G = k.g, k.out
		c.Leaks = []networktest.Leak{{Lump: 0, Power: k.power, At: 333, Growth: 0.02}}
		c.Inputs.Power[0] = 0
		n := c.Build()
		rests, away := 320.0, 520.0
		for away-rests > 0.2 {
			c.Temperatures[1] = (rests + away) / 2
			if _, y := c.BuildWithState(); settle(n, y) {
				rests = c.Temperatures[1]
			} else {
				away = c.Temperatures[1]
			}
		}
		if rests == 320 || away == 520 {
			t.Fatalf("%+v does not part", k)
		}
		c.Temperatures[1] = rests - 2
		if _, err := NewSolver(n).Level(0, c.Temperatures, make([]float64, 2)); err != nil {
			t.Errorf("%+v at %g K: %v", k, c.Temperatures[1], err)
		}
		c.Temperatures[1] = away + 2
		if _, err := NewSolver(n).Level(0, c.Temperatures, make([]float64, 2)); !errors.Is(err, ErrNoLevel) {
			t.Errorf("%+v at %g K: %v, want a runaway", k, c.Temperatures[1], err)
		}
	}
}

// A machine at rest is at its level: exactly, though its residual is zero from
// the first. On top of the unstable root it has none, and says so.
func TestLevelFromAnEquilibrium(t *testing.T) {
	c := twoNodes()
	c.Inputs.Power[0] = 0
	if got := level(t, c.Build(), c.Temperatures); !slices.Equal(got, c.Temperatures) {
		t.Errorf("at rest %v, level %v", c.Temperatures, got)
	}
	for _, coolant := range networktest.Coolants() {
		c := bath(coolant)
		c.Inputs.Power[0] = 0
		n := c.Build()
		n.SetReference(c.Temperatures[0])
		if got := level(t, n, c.Temperatures); !slices.Equal(got, c.Temperatures) {
			t.Errorf("%s at rest at %v, level %v", coolant.Name(), c.Temperatures, got)
		}
	}
	// A linear leak of 10 W at 300 K that grows by 1 W/K, against 0.5 W/K to a
	// boundary at 280 K: 10 + (T - 300) = 0.5 (T - 280) at T = 300 K.
	c = &networktest.Case{
		Lumps: []networktest.Lump{{Capacity: 10}}, Temperatures: []float64{300}, Paths: 1,
		Conducts: []networktest.Conduct{{A: 0, B: networktest.Ambient, G: 0.5}},
		Leaks:    []networktest.Leak{{Lump: 0, Power: 10, At: 300, Growth: 0.1, Linear: true}},
		Inputs:   network.Inputs{Temperature: []float64{280}, Slope: []float64{0}},
	}
	if _, err := NewSolver(c.Build()).Level(0, c.Temperatures, make([]float64, 1)); !errors.Is(err, ErrNoLevel) {
		t.Errorf("on the unstable root: %v", err)
	}
	within(t, "from below it", level(t, c.Build(), []float64{299})[0], 280, 1e-9)
}

// Up or down between the loads of a loop a few of Newton's steps are enough.
func TestLevelOfTheLoopIsQuick(t *testing.T) {
	c := networktest.Loop16()
	s, got := NewSolver(c.Build()), slices.Repeat([]float64{298.15}, 16)
	if _, err := s.Level(0, got, got); err != nil || s.Stats().Iterations > 5 {
		t.Errorf("heating: %+v, %v", s.Stats(), err)
	}
	c.Inputs.Power[0], c.Inputs.Power[1] = 10, 15
	s = NewSolver(c.Build())
	if _, err := s.Level(0, got, got); err != nil || s.Stats().Iterations > 5 {
		t.Errorf("cooling: %+v, %v", s.Stats(), err)
	}
}

// A solver in the memory of another finds bit by bit what a new one finds; for another
// pattern there is a new one.
func TestRenewedSolver(t *testing.T) {
	c := networktest.Loop16()
	old := NewSolver(c.Build())
	c.Inputs.Power[0] = 400
	if _, err := old.Level(0, c.Temperatures, make([]float64, 16)); err != nil {
		t.Fatal(err)
	}
	c.Inputs.Power[0] = 90
	n := c.Build()
	renewed, fresh := Renew(old, n), NewSolver(n)
	if renewed != old {
		t.Error("a network of the same pattern gets new memory")
	}
	got, want := make([]float64, 16), make([]float64, 16)
	for s, dst := range map[*Solver][]float64{renewed: got, fresh: want} {
		if _, err := s.Level(0, c.Temperatures, dst); err != nil {
			t.Fatal(err)
		}
	}
	if !slices.Equal(got, want) || renewed.Stats() != fresh.Stats() {
		t.Errorf("renewed %v by %+v, new %v by %+v", got, renewed.Stats(), want, fresh.Stats())
	}
	c.Conducts = c.Conducts[1:]
	if Renew(old, c.Build()) == old || Renew(nil, n) == nil {
		t.Error("another pattern, or none, gets the old memory")
	}
}

// The solver follows the inputs: with the circuit stopped some lumps are loose,
// with it running none is, and what was counted is counted anew.
func TestLevelAfterOtherInputs(t *testing.T) {
	c := networktest.Loop16()
	c.Conducts = slices.DeleteFunc(c.Conducts, func(l networktest.Conduct) bool { return l.A == 4 || l.A == 8 }) // the tubes' walls
	n := c.Build()
	s := NewSolver(n)
	want, got := make([]float64, 16), make([]float64, 16)
	if _, err := s.Level(0, c.Temperatures, want); err != nil {
		t.Fatal(err)
	}
	work := s.Stats()
	in := n.Inputs()
	in.MassFlow[0] = 0
	n.SetInputs(in)
	loose, err := s.Level(0, c.Temperatures, got)
	if err != nil || len(loose) != 9 { // dies, spreader, plates, blocks and tubes
		t.Fatalf("stopped: loose %v, %v", loose, err)
	}
	n.SetInputs(c.Inputs)
	if loose, err := s.Level(0, c.Temperatures, got); err != nil || len(loose) != 0 {
		t.Fatalf("running again: loose %v, %v", loose, err)
	}
	if !slices.Equal(got, want) || s.Stats() != work {
		t.Errorf("%v after a stop by %+v,\n%v before by %+v", got, s.Stats(), want, work)
	}
}

// At the level nothing changes, and the power released leaves: to 1e-6 of it, or
// to the rounding of temperatures (1e-12 K) behind a thousand W/K.
func TestLevelIsAFixedPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Leaks: true, Tied: true})
		n := c.Build()
		if _, err := NewSolver(n).Level(0, c.Temperatures, c.Temperatures); err != nil {
			t.Fatal(err)
		}
		_, y := c.BuildWithState()
		dydt := make([]float64, len(y))
		n.F(0, y, dydt)
		in, out, heat := 0.0, 0.0, 0.0
		for _, p := range c.Inputs.Power {
			in += p
		}
		for k, q := range dydt[len(c.Temperatures):] {
			if k >= c.Paths {
				in += q
				continue
			}
			out += q
			heat += math.Abs(q)
		}
		if !(math.Abs(in-out) <= 1e-6*math.Max(in, heat)+1e-9) {
			t.Fatalf("%g W in, %g W out", in, out)
		}
		again := make([]float64, len(c.Temperatures))
		if _, err := NewSolver(n).Level(0, c.Temperatures, again); err != nil {
			t.Fatal(err)
		}
		for i := range again {
			// 5 W/K and more hold a lump, up to 1 kW and 800 W/K of coolant
			// pass through it: rounding is below 1e-9 K.
			if !(math.Abs(again[i]-c.Temperatures[i]) <= 1e-8) {
				t.Fatalf("lump %d: %.12g, from there %.12g", i, c.Temperatures[i], again[i])
			}
			lump := network.Node(i)
			if heat := n.Capacity(lump, c.Temperatures[i]) * n.Slope(lump, y[i]) * dydt[i]; !(math.Abs(heat) <= 1e-5) {
				t.Fatalf("lump %d takes up %g W", i, heat)
			}
		}
	})
}

// More or less mass in a lump changes the time it takes, not where it ends.
func TestLevelDoesNotDependOnMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Leaks: true, Tied: true})
		a, b := make([]float64, len(c.Temperatures)), make([]float64, len(c.Temperatures))
		if _, err := NewSolver(c.Build()).Level(0, c.Temperatures, a); err != nil {
			t.Fatal(err)
		}
		for i := range c.Lumps {
			factor := rapid.Float64Range(0.2, 5).Draw(t, "factor")
			c.Lumps[i].Capacity *= factor
			c.Lumps[i].Mass *= factor
		}
		if _, err := NewSolver(c.Build()).Level(0, c.Temperatures, b); err != nil {
			t.Fatal(err)
		}
		for i := range a {
			if !(math.Abs(a[i]-b[i]) <= 1e-8) {
				t.Fatalf("lump %d: %.12g, with another mass %.12g", i, a[i], b[i])
			}
		}
	})
}

// Lumps that nothing ties to a boundary are named and get NaN; they neither
// disturb the others nor are disturbed by where they start.
func TestLooseLumps(t *testing.T) {
	c := twoNodes()
	c.Lumps = append(c.Lumps, networktest.Lump{Capacity: 10}, networktest.Lump{Capacity: 20})
	c.Temperatures = append(c.Temperatures, 350, 280)
	c.Conducts = append(c.Conducts, networktest.Conduct{A: 2, B: 3, G: 4}, networktest.Conduct{A: 3, B: 1, G: 0})
	c.Sources = append(c.Sources, []network.Node{3})
	c.Inputs.Power = append(c.Inputs.Power, 40)
	got := make([]float64, 4)
	loose, err := NewSolver(c.Build()).Level(0, c.Temperatures, got)
	if err != nil || !slices.Equal(loose, []network.Node{2, 3}) {
		t.Fatalf("loose %v, %v", loose, err)
	}
	within(t, "die", got[0]-celsius-25, 33, 1e-9)
	within(t, "coolant", got[1]-celsius-25, 18, 1e-9)
	if !math.IsNaN(got[2]) || !math.IsNaN(got[3]) {
		t.Errorf("loose lumps have the levels %v", got[2:])
	}
}

func TestAllLoose(t *testing.T) {
	c := twoNodes()
	c.Conducts = c.Conducts[:1]
	got := make([]float64, 2)
	loose, err := NewSolver(c.Build()).Level(0, c.Temperatures, got)
	if err != nil || len(loose) != 2 || !math.IsNaN(got[0]) || !math.IsNaN(got[1]) {
		t.Errorf("loose %v, levels %v, %v", loose, got, err)
	}
}

// A start above or below, or with a moving boundary at another time, ends where
// the boundary is at the time asked for.
func TestLevelAtATime(t *testing.T) {
	c := twoNodes()
	c.Inputs.Slope[0], c.Inputs.Since = 0.01, 100
	n := c.Build()
	for _, start := range [][]float64{{200, 250}, {298, 298}, {380, 340}, {290, 400}} {
		got := make([]float64, 2)
		if _, err := NewSolver(n).Level(600, start, got); err != nil {
			t.Fatal(err)
		}
		within(t, "die", got[0]-celsius-30, 33, 1e-9)
		within(t, "coolant", got[1]-celsius-30, 18, 1e-9)
	}
}

// Equal cells of a pure chain make a defective Jacobian; the level of a chain of
// coolant heated in its first cell is the same in all: the inlet's enthalpy and
// the power over the flow.
func TestLevelOfEqualCells(t *testing.T) {
	c := networktest.Chain(50)
	got := level(t, c.Build(), c.Temperatures)
	inlet := c.Coolant.EnthalpyOf(298.15)
	for i := range got {
		within(t, "enthalpy", c.Coolant.EnthalpyOf(got[i])-inlet, 100/0.05, 1e-5)
	}
}

// The work does not grow with the network but for the size of its matrices.
func TestLevelOfAThousandLumps(t *testing.T) {
	work := func(n int) Stats {
		c := networktest.Ring(n)
		s, got := NewSolver(c.Build()), make([]float64, n)
		if _, err := s.Level(0, c.Temperatures, got); err != nil {
			t.Fatal(err)
		}
		out := 0.0
		for _, temp := range got {
			out += 0.5 * (temp - 298.15)
		}
		within(t, "heat out", out, 100, 1e-6)
		return s.Stats()
	}
	small, large := work(20), work(1000)
	if large.Evaluations > 2*small.Evaluations || large.Factorisations > 2*small.Factorisations || large.Iterations > 30 {
		t.Errorf("work %+v for 1000 cells, %+v for 20", large, small)
	}
}

func TestLevelIsDeterministic(t *testing.T) {
	c := networktest.Loop16()
	s := NewSolver(c.Build())
	a, b := make([]float64, 16), make([]float64, 16)
	for _, dst := range [][]float64{a, b} {
		if _, err := s.Level(0, c.Temperatures, dst); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Level(0, dst, make([]float64, 16)); err != nil { // something else in between
			t.Fatal(err)
		}
	}
	if !slices.Equal(a, b) || !slices.Equal(a, level(t, c.Build(), c.Temperatures)) {
		t.Errorf("%v\n%v", a, b)
	}
}

func TestLevelDoesNotAllocate(t *testing.T) {
	c := networktest.Loop16()
	c.Lumps, c.Temperatures = append(c.Lumps, networktest.Lump{Capacity: 5}), append(c.Temperatures, 300) // a loose one
	s, dst := NewSolver(c.Build()), make([]float64, len(c.Temperatures))
	if got := testing.AllocsPerRun(20, func() {
		if loose, err := s.Level(0, c.Temperatures, dst); err != nil || len(loose) != 1 {
			t.Fatal(loose, err)
		}
	}); got != 0 {
		t.Errorf("%g allocations", got)
	}
}

func TestRunawayNamesTheLump(t *testing.T) {
	_, err := NewSolver(oneNode(t, 0.3, 250, exponential)).Level(0, []float64{300}, []float64{0})
	if err == nil || !strings.Contains(err.Error(), "lump 0 would pass 5000 K") {
		t.Errorf("got %v", err)
	}
}

func TestLevelOfAnotherLength(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a state of the wrong length passes")
		}
	}()
	c := twoNodes()
	_, _ = NewSolver(c.Build()).Level(0, c.Temperatures[:1], make([]float64, 2))
}
