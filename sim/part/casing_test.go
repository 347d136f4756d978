package part_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// solved solves a casing with all rows at the given speeds.
func solved(t reporter, c part.Casing, a part.Air, speeds ...float64) (pressure float64, flows []float64) {
	t.Helper()
	flows = make([]float64, c.Flows())
	pressure, err := c.Solve(speeds, a, flows)
	if err != nil {
		t.Errorf("%v", err)
	}
	return pressure, flows
}

// One straight-line fan of 22 Pa and 0.033 m3/s blows into a case with a vent of
// 0.01 m2: q = 0.6 A √(2p/ρ) and p = 22 (1 - q/0.033), so k q² + 22/0.033 q = 22
// with k = 1.2/(2 (0.6 A)²). Drawing out instead gives the same below the room's
// pressure. Two vents of half the area are one.
func TestOneFanAndAVent(t *testing.T) {
	line := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	k, b := 1.2/(2*0.006*0.006), 22/0.033
	want := (-b + math.Sqrt(b*b+4*k*22)) / (2 * k)
	fan := []part.Duct{oneRow(line, 1)}
	vents := []part.AirLoss{part.Vent(0.005), part.Vent(0.005)}
	p, q := solved(t, part.Casing{In: fan, Vents: vents[:1:1], Out: nil}, standardAir(), 1)
	if !(q[0] < want && p > k*want*want) {
		t.Errorf("half the area: %g m3/s at %g Pa", q[0], p)
	}
	p, q = solved(t, part.Casing{In: fan, Vents: vents}, standardAir(), 1)
	near(t, "in", q[0], want, 1e-12)
	near(t, "vent", q[1], want/2, 1e-12)
	near(t, "other vent", q[2], want/2, 1e-12)
	near(t, "pressure", p, k*want*want, 1e-12)
	p, q = solved(t, part.Casing{Out: fan, Vents: vents}, standardAir(), 1)
	near(t, "out", q[0], want, 1e-12)
	near(t, "vent, inwards", q[1], -want/2, 1e-12)
	near(t, "pressure below the room's", p, -k*want*want, 1e-12)
}

// Equal fans in and out leave the room's pressure and the flow each has alone,
// with and without vents; an intake that stands lets the exhaust draw through
// it, against 1.5e4 q² and its own 22 Pa at 0.033 m3/s, without vents.
func TestIntakeAndExhaust(t *testing.T) {
	line := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	way := oneRow(line, 1, airPolynomial{k: 1.5e4})
	alone := airflow(t, way, 0, standardAir(), 1)
	for _, vents := range [][]part.AirLoss{nil, {part.Vent(0.01)}} {
		c := part.Casing{In: []part.Duct{way}, Out: []part.Duct{way}, Vents: vents}
		p, q := solved(t, c, standardAir(), 1, 1)
		near(t, "in", q[0], alone, 1e-12)
		near(t, "out", q[1], alone, 1e-12)
		inside(t, "pressure", p, -1e-10, 1e-10)
		for _, v := range q[2:] {
			inside(t, "vent", v, -1e-13, 1e-13)
		}
	}
	// A third, standing way then carries nothing, though it has no straight line
	// to be found by.
	p, q := solved(t, part.Casing{In: []part.Duct{way, way}, Out: []part.Duct{way}, Vents: []part.AirLoss{part.Vent(0.01)}}, standardAir(), 1, 0, 1)
	near(t, "beside a standing way", q[0], alone, 1e-12)
	for _, v := range append(q[3:], q[1], p) {
		inside(t, "standing way, vent or pressure", v, -1e-10, 1e-10)
	}
	p, q = solved(t, part.Casing{In: []part.Duct{way}, Out: []part.Duct{way}}, standardAir(), 0, 1)
	k, b := 3e4+22/(0.033*0.033), 22/0.033
	want := (-b + math.Sqrt(b*b+4*k*22)) / (2 * k)
	near(t, "drawn in", q[0], want, 1e-12)
	near(t, "out", q[1], want, 1e-12)
	near(t, "pressure", p, -(1.5e4+22/(0.033*0.033))*want*want, 1e-12)
}

// A sealed case stands at the shut-off pressure of its fan, without any flow;
// two unequal fans blow one through the other.
func TestSealedCasing(t *testing.T) {
	strong := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	weak := must[part.FanCurve](t)(part.NewFanCurve(0.02, 5, 2))
	p, q := solved(t, part.Casing{In: []part.Duct{oneRow(strong, 2)}}, standardAir(), 1)
	near(t, "shut-off", p, 22, 1e-14)
	inside(t, "flow", q[0], -1e-16, 1e-16)
	p, q = solved(t, part.Casing{In: []part.Duct{oneRow(strong, 1), oneRow(weak, 1)}}, standardAir(), 1, 1)
	inside(t, "pressure between the two", p, 5, 22)
	near(t, "blown back", q[1], -q[0], 1e-12)
	inside(t, "flow", q[0], 1e-3, 0.033)
}

// Where nothing drives, or everything is closed, all is zero: exactly.
func TestCasingAtRest(t *testing.T) {
	c := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	way, shut := oneRow(c, 1, part.AirLoss{K: 4, Area: 0.0144}), oneRow(c, 1, part.AirLoss{K: 4})
	for name, f := range map[string]struct {
		c      part.Casing
		speeds []float64
	}{
		"standing":    {part.Casing{In: []part.Duct{way}, Out: []part.Duct{way}, Vents: []part.AirLoss{part.Vent(0.01)}}, []float64{0, 0}},
		"all closed":  {part.Casing{In: []part.Duct{shut}, Out: []part.Duct{shut}, Vents: []part.AirLoss{part.Vent(0)}}, []float64{1, 0.5}},
		"nothing":     {part.Casing{}, nil},
		"vents alone": {part.Casing{Vents: []part.AirLoss{part.Vent(0.01)}}, nil},
	} {
		p, q := solved(t, f.c, standardAir(), f.speeds...)
		for _, v := range append(q, p) {
			if v != 0 {
				t.Errorf("%s: %g Pa, flows %g", name, p, q)
			}
		}
	}
	// A filter that is closed takes its duct out of the casing.
	_, with := solved(t, part.Casing{In: []part.Duct{way, shut}, Vents: []part.AirLoss{part.Vent(0.01)}}, standardAir(), 1, 1)
	_, without := solved(t, part.Casing{In: []part.Duct{way}, Vents: []part.AirLoss{part.Vent(0.01)}}, standardAir(), 1)
	if with[1] != 0 {
		t.Errorf("%g m3/s through a closed duct", with[1])
	}
	near(t, "beside a closed duct", with[0], without[0], 1e-13)
}

// drawCasing draws a case with up to three ducts each way and vents, and the
// speeds of its rows.
func drawCasing(t *rapid.T) (c part.Casing, speeds []float64) {
	for _, list := range []*[]part.Duct{&c.In, &c.Out} {
		for range rapid.IntRange(0, 3).Draw(t, "ducts") {
			d, s := drawDuct(t)
			*list, speeds = append(*list, d), append(speeds, s...)
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "vents") {
		c.Vents = append(c.Vents, part.Vent(rapid.Float64Range(1e-4, 0.06).Draw(t, "vent")))
	}
	return c, speeds
}

// net returns what more goes into a casing than out of it at a pressure, each
// way solved by bisection.
func net(c part.Casing, speeds []float64, a part.Air, p float64) float64 {
	sum := 0.0
	for i, d := range append(append([]part.Duct(nil), c.In...), c.Out...) {
		way := 1.0
		if i >= len(c.In) {
			way = -1
		}
		s := speeds[:len(d.Rows)]
		speeds = speeds[len(d.Rows):]
		sum += way * flowAtPressure(way*p, func(q float64) (float64, float64) { return left(d, q, 0, a, s) })
	}
	for _, v := range c.Vents {
		sum -= flowAtPressure(-p, func(q float64) (float64, float64) {
			dp, slope := v.Drop(q, a)
			return -dp, -slope
		})
	}
	return sum
}

// Property: masses balance to rounding, every way bears the casing's pressure,
// and the pressure is where bisection in bisection finds it.
func TestCasing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, speeds := drawCasing(t)
		a := drawAir(t)
		p, flows := solved(t, c, a, speeds...)
		balance, most, rest := 0.0, 0.0, speeds
		for i, q := range flows {
			way := 1.0
			if i >= len(c.In) {
				way = -1
			}
			balance += way * q
			most = math.Max(most, math.Abs(q))
			if i >= len(c.In)+len(c.Out) {
				if dp, _ := c.Vents[i-len(c.In)-len(c.Out)].Drop(q, a); math.Abs(dp-p) > 1e-9*math.Abs(p)+1e-15 {
					t.Fatalf("vent %d bears %g Pa of %g", i, dp, p)
				}
				continue
			}
			d := append(append([]part.Duct(nil), c.In...), c.Out...)[i]
			if over, size := left(d, q, way*p, a, rest[:len(d.Rows)]); math.Abs(over) > 1e-11*size+1e-14 {
				t.Fatalf("duct %d leaves %g Pa of %g", i, over, size)
			}
			rest = rest[len(d.Rows):]
		}
		if math.Abs(balance) > 1e-12*most {
			t.Fatalf("%g of %g m3/s are left over", balance, most)
		}
		h := 1e-7 * (1 + math.Abs(p))
		if len(flows) > 0 && !(net(c, speeds, a, p-h) >= 0 && net(c, speeds, a, p+h) <= 0) {
			t.Fatalf("%g Pa, but by bisection %g m3/s are left just below, %g just above", p, net(c, speeds, a, p-h), net(c, speeds, a, p+h))
		}
	})
}

// Property: the pressure rises with the speed of what blows in and falls with
// that of what draws out, and a faster row never moves less through its duct.
func TestCasingSpeeds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, speeds := drawCasing(t)
		p, flows := solved(t, c, standardAir(), speeds...)
		most := 1e-4
		for _, q := range flows {
			most = math.Max(most, math.Abs(q))
		}
		row := 0
		for i, d := range append(append([]part.Duct(nil), c.In...), c.Out...) {
			for range d.Rows {
				faster := append([]float64(nil), speeds...)
				faster[row] += 0.05
				row++
				more, moved := solved(t, c, standardAir(), faster...)
				if rise := more - p; i < len(c.In) && rise < -1e-9*(1+math.Abs(p)) || i >= len(c.In) && rise > 1e-9*(1+math.Abs(p)) {
					t.Fatalf("duct %d faster: %g Pa after %g", i, more, p)
				}
				if !(moved[i] >= flows[i]-1e-9*most) {
					t.Fatalf("duct %d faster: %g after %g m3/s", i, moved[i], flows[i])
				}
			}
		}
	})
}

// Property: another vent never lowers what the fans of a case of intakes alone
// move in all, and a second filter never raises it.
func TestVentsAndFilters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, speeds := drawCasing(t)
		for range c.Out {
			speeds = speeds[:len(speeds)-len(c.Out[len(c.Out)-1].Rows)]
			c.Out = c.Out[:len(c.Out)-1]
		}
		if len(c.In) == 0 {
			return
		}
		total := func(c part.Casing) (sum float64) {
			_, flows := solved(t, c, standardAir(), speeds...)
			for i := range c.In {
				sum += flows[i]
			}
			return sum
		}
		before := total(c)
		wider := c
		wider.Vents = append([]part.AirLoss{part.Vent(0.01)}, c.Vents...)
		if after := total(wider); !(after >= before-1e-12) {
			t.Fatalf("with another vent %g after %g m3/s", after, before)
		}
		filtered := c
		filtered.In = append([]part.Duct(nil), c.In...)
		filtered.In[0].Losses = append(part.AirSeries{part.AirLoss{K: 8, Area: 0.01}}, c.In[0].Losses...)
		_, open := solved(t, c, standardAir(), speeds...)
		_, dense := solved(t, filtered, standardAir(), speeds...)
		if !(math.Abs(dense[0]) <= math.Abs(open[0])+1e-12) {
			t.Fatalf("with a denser filter %g after %g m3/s", dense[0], open[0])
		}
	})
}

// An exhaust draws more air through a vented case with an intake beside it, and
// starves an intake's radiator less than no exhaust at all.
func TestFansHelpEachOther(t *testing.T) {
	line := must[part.FanCurve](t)(part.NewFanCurve(0.022, 15, 1))
	front := oneRow(line, 3, part.AirLoss{K: 12, Area: 0.043}, part.AirLoss{K: 4, Area: 0.043})
	rear := oneRow(line, 1, part.AirLoss{K: 1, Area: 0.0144})
	vents := []part.AirLoss{part.Vent(0.008)}
	_, alone := solved(t, part.Casing{In: []part.Duct{front}, Vents: vents}, standardAir(), 1)
	_, rearAlone := solved(t, part.Casing{Out: []part.Duct{rear}, Vents: vents}, standardAir(), 1)
	_, both := solved(t, part.Casing{In: []part.Duct{front}, Out: []part.Duct{rear}, Vents: vents}, standardAir(), 1, 1)
	if !(both[0] > 1.05*alone[0] && both[1] > 1.05*rearAlone[0]) {
		t.Errorf("intake alone %g, exhaust alone %g, together %g m3/s", alone[0], rearAlone[0], both)
	}
}

func TestCasingRefusals(t *testing.T) {
	c := must[part.FanCurve](t)(part.NewFanCurve(0.03, 20, 1))
	way := oneRow(c, 1, part.AirLoss{K: 2, Area: 0.01})
	vents := []part.AirLoss{part.Vent(0.01)}
	for want, f := range map[string]struct {
		c      part.Casing
		speeds []float64
		flows  int
	}{
		"2 speeds":     {part.Casing{In: []part.Duct{way}, Vents: vents}, []float64{1, 1}, 2},
		"1 flows":      {part.Casing{In: []part.Duct{way}, Vents: vents}, []float64{1}, 1},
		"no finite":    {part.Casing{In: []part.Duct{way}, Vents: vents}, []float64{math.NaN()}, 2},
		"a vent":       {part.Casing{In: []part.Duct{way}, Vents: []part.AirLoss{{Area: 0.01}}}, []float64{1}, 2},
		"duct 1: part": {part.Casing{In: []part.Duct{oneRow(c, 1, torn{})}, Vents: vents}, []float64{1}, 2},
	} {
		p, err := f.c.Solve(f.speeds, standardAir(), make([]float64, f.flows))
		if err == nil || p != 0 || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "part: casing: ") {
			t.Errorf("%g Pa, %v; want %s", p, err, want)
		}
	}
	for want, f := range map[string]part.Casing{
		"duct 2 into it":   {In: []part.Duct{way, {}}},
		"duct 1 out of it": {Out: []part.Duct{oneRow(c, 0)}},
		"vent 2":           {Vents: []part.AirLoss{part.Vent(0.01), {K: 0, Area: 0.01}}},
		"vent 1":           {Vents: []part.AirLoss{part.Vent(-0.01)}},
	} {
		if err := f.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
	if err := (&part.Casing{In: []part.Duct{way}, Out: []part.Duct{way}, Vents: vents}).Check(); err != nil {
		t.Error(err)
	}
}

// 0.6 A √(2Δp/ρ) by hand: 0.6 of 0.01 m2 at 2.4 Pa and 1.2 kg/m3 is 0.012 m3/s.
func TestVent(t *testing.T) {
	dp, _ := part.Vent(0.01).Drop(0.012, standardAir())
	near(t, "vent", dp, 2.4, 1e-14)
}

// What is denser loses more, and words are known.
func TestGrillesAndFilters(t *testing.T) {
	for _, f := range []struct {
		classes []part.AirLossClass
		loss    func(string) (part.Default, error)
	}{{part.GrilleClasses(), part.GrilleLoss}, {part.FilterClasses(), part.FilterLoss}} {
		last := -1.0
		for _, c := range f.classes {
			d, err := f.loss(strings.ToUpper(c.Name))
			if err != nil || d != c.Loss || !(d.Value > last) {
				t.Errorf("%s: %+v after %g, %v", c.Name, d, last, err)
			}
			last = d.Value
		}
		if _, err := f.loss("felt"); err == nil || !strings.Contains(err.Error(), f.classes[1].Name) {
			t.Errorf("an unknown word gives %v", err)
		}
	}
}
