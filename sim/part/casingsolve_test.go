package part

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// machine is a case as people build it: a radiator with three fans in front, one
// on top with two, a case fan in and one out, and vents.
func machine(t testing.TB) *Casing {
	fan, err := FanSized(0.120)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fan.Curve()
	if err != nil {
		t.Fatal(err)
	}
	way := func(count int, losses ...AirResistance) Duct {
		return Duct{Rows: []FanRow{{Curve: c, Count: count, Arrangement: Push}}, Losses: losses}
	}
	face := 0.120 * 0.120
	return &Casing{
		In: []Duct{
			way(3, AirLoss{12, 3 * face}, AirLoss{4, 3 * face}),
			way(1, AirLoss{4, face}, AirLoss{2, face}),
		},
		Out: []Duct{
			way(2, AirLoss{12, 2 * face}, AirLoss{5, 2 * face}),
			way(1, AirLoss{5, face}),
		},
		Vents: []AirLoss{Vent(VentArea().Value), Vent(0.002)},
	}
}

// Both ways to solve a casing agree, and the fast one settles for a machine at
// every set of speeds that a controller may ask for.
func TestTogetherAsNested(t *testing.T) {
	c := machine(t)
	air := AirAt(zeroCelsius+25, 101325, 0.008)
	rapid.Check(t, func(t *rapid.T) {
		speeds := make([]float64, 4)
		for i := range speeds {
			speeds[i] = rapid.Float64Range(0.2, 1.2).Draw(t, "speed")
			if rapid.IntRange(0, 4).Draw(t, "stands") == 0 {
				speeds[i] = 0
			}
		}
		d := *c
		if rapid.Bool().Draw(t, "sealed") {
			d.Vents = nil
		}
		n := d.node(speeds, air)
		if n.low == 0 && n.high == 0 {
			return
		}
		quick, slow := make([]float64, 4), make([]float64, 4)
		x, ok := n.together(quick)
		if !ok {
			t.Fatalf("not settled at speeds of %g", speeds)
		}
		y, err := n.nested(slow)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(x-y) > 1e-10*(1+math.Abs(y)) {
			t.Fatalf("%g and %g", x, y)
		}
		for i := range quick {
			if math.Abs(quick[i]-slow[i]) > 1e-11*0.1 {
				t.Fatalf("duct %d: %g and %g m3/s", i, quick[i], slow[i])
			}
		}
	})
}

// Newton's method inside a bracket takes few steps for a duct, and a casing
// settles in few: counted, not timed.
func TestFewSteps(t *testing.T) {
	c := machine(t)
	count := &counter{}
	for _, list := range [][]Duct{c.In, c.Out} {
		for i := range list {
			list[i].Losses = append(list[i].Losses, count)
		}
	}
	air := AirAt(zeroCelsius+25, 101325, 0)
	if _, _, err := c.In[0].Flow(0, []float64{1}, air); err != nil || count.calls > 8 {
		t.Errorf("%d evaluations of a duct, %v", count.calls, err)
	}
	for _, r := range []float64{0.3, 0.7, 1} {
		count.calls = 0
		if _, err := c.Solve([]float64{r, 1, r, 1}, air, make([]float64, 6)); err != nil || count.calls > 4*12 {
			t.Errorf("%d evaluations of four ducts, %v", count.calls, err)
		}
	}
}

// counter resists nothing and counts how often it is asked.
type counter struct{ calls int }

func (c *counter) Drop(float64, Air) (dp, slope float64) {
	c.calls++
	return 0, 0
}

// No solve allocates, also not with failed fans, with points, or where all flows
// at once do not settle.
func TestAirNoAllocations(t *testing.T) {
	c := machine(t)
	points, err := NewFanCurveFromPoints([]float64{0, 0.01, 0.02}, []float64{15, 9, 0})
	if err != nil {
		t.Fatal(err)
	}
	c.In[1].Rows[0] = FanRow{Curve: points, Count: 3, Failed: 1, Arrangement: PushPull}
	air := AirAt(zeroCelsius+25, 101325, 0)
	speeds, flows := []float64{1, 0.8, 0.9, 0.5}, make([]float64, 6)
	n := c.node(speeds, air)
	for name, f := range map[string]func(){
		"air":    func() { AirAt(300, 101325, 0.01) },
		"duct":   func() { _, _, _ = c.In[0].Flow(0, speeds[:1], air) },
		"failed": func() { _, _, _ = c.In[1].Flow(0, speeds[:1], air) },
		"casing": func() { _, _ = c.Solve(speeds, air, flows) },
		"nested": func() { _, _ = n.nested(flows[:4]) },
		"levels": func() { SumLevels(20, 30, SoundLevel(30, 0.5)) },
	} {
		if got := testing.AllocsPerRun(20, f); got != 0 {
			t.Errorf("%s allocates %g times", name, got)
		}
	}
}

func BenchmarkFanCurve(b *testing.B) {
	c := machine(b).In[0].Rows[0].Curve
	q := 0.01
	for b.Loop() {
		p, _ := c.Pressure(q, 0.7, 1.18)
		q = 0.01 + 1e-9*p
	}
}

func BenchmarkDuct(b *testing.B) {
	d := machine(b).In[0]
	air := AirAt(zeroCelsius+25, 101325, 0.008)
	speeds := []float64{0.7}
	for b.Loop() {
		if _, _, err := d.Flow(0, speeds, air); err != nil {
			b.Fatal(err)
		}
	}
}

// A casing of two radiators, two case fans and vents: as it runs, and by the
// search that always arrives.
func BenchmarkCasing(b *testing.B) {
	c := machine(b)
	air := AirAt(zeroCelsius+25, 101325, 0.008)
	speeds, flows := []float64{0.7, 0.5, 0.8, 0.6}, make([]float64, c.Flows())
	b.Run("solve", func(b *testing.B) {
		for b.Loop() {
			if _, err := c.Solve(speeds, air, flows); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("nested", func(b *testing.B) {
		n := c.node(speeds, air)
		for b.Loop() {
			if _, err := n.nested(flows[:4]); err != nil {
				b.Fatal(err)
			}
		}
	})
}
