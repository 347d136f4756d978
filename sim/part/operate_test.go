package part_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// point solves one pump against one resistance.
func point(t *testing.T, c part.PumpCurve, speed float64, r part.Resistance) (q, head float64) {
	t.Helper()
	q, head, err := part.OperatingPoint([]part.PumpCurve{c}, []float64{speed}, []part.Resistance{r}, part.TestWater())
	if err != nil {
		t.Fatal(err)
	}
	return q, head
}

// Pump of 4 m and 18 L/min free, loop of 2.5 m at 6 L/min; flow and head from
// the root of the quadratic equation, computed independently in double
// precision: 6.993258 L/min, 3.396226 m, 3.874924 W at 998.2 kg/m3; with a
// laminar part of 2e4 s/m2 as well 5.246358 L/min, 3.660194 m, and at 0.8 and
// 0.5 of the speed .746503 and .382996 of that flow.
func TestOperatingPointTable(t *testing.T) {
	const m = part.MetreOfWater
	pump := must[part.PumpCurve](t)(part.NewPumpCurve(4*m, 18*litre))
	square := polynomial{k: 2.5 * m / (36 * litre * litre)}
	q, head := point(t, pump, 1, square)
	near(t, "flow", q/litre, 6.993258, 0.5e-6/6.993258)
	near(t, "head", head/m, 3.396226, 0.5e-6/3.396226)
	near(t, "hydraulic power", head/m*998.2*9.80665*q, 3.874924, 0.5e-6/3.874924)

	both := polynomial{b: 2e4 * m, k: square.k}
	full, head := point(t, pump, 1, both)
	near(t, "flow with a laminar part", full/litre, 5.246358, 0.5e-6/5.246358)
	near(t, "head with a laminar part", head/m, 3.660194, 0.5e-6/3.660194)
	for r, want := range map[float64]float64{0.8: .746503, 0.5: .382996} {
		q, _ := point(t, pump, r, both)
		near(t, "ratio of flows", q/full, want, 0.5e-6/want)
	}
	for _, r := range []float64{0.1, 0.35, 0.8, 1.3} {
		slow, _ := point(t, pump, r, square)
		near(t, "flow of a quadratic loop over speed", slow, r*q, 1e-12)
	}
}

// drawRing draws a loop as people build it.
func drawRing(t *rapid.T) []part.Resistance {
	ring := make([]part.Resistance, rapid.IntRange(1, 5).Draw(t, "parts"))
	for i := range ring {
		ring[i] = drawResistance(t)
	}
	return ring
}

// Property: head and drop agree to 1e-10 (and rounding of the head at rest), the flow grows with speed and falls
// with resistance, and heads of pumps in series add.
func TestOperatingPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, ring := drawLiquid(t), drawRing(t)
		pumps := make([]part.PumpCurve, rapid.IntRange(1, 3).Draw(t, "pumps"))
		speeds, faster := make([]float64, len(pumps)), make([]float64, len(pumps))
		for i := range pumps {
			pumps[i] = drawPump(t)
			speeds[i] = rapid.Float64Range(0.05, 1.2).Draw(t, "speed")
			faster[i] = 1.1 * speeds[i]
		}
		solve := func(speeds []float64, ring []part.Resistance) (q, head float64) {
			q, head, err := part.OperatingPoint(pumps, speeds, ring, l)
			if err != nil {
				t.Fatal(err)
			}
			return q, head
		}
		q, head := solve(speeds, ring)
		sum, drop, rest := 0.0, 0.0, 0.0
		for i, p := range pumps {
			h, _ := p.Head(q, speeds[i])
			sum += h
			rest += p.ShutOff() * speeds[i] * speeds[i]
		}
		for _, r := range ring {
			d, _ := r.Drop(q, l)
			drop += d
		}
		near(t, "head", head, sum, 1e-14)
		near(t, "drop", drop, head, 1e-10+1e-14*rest/head)
		if more, _ := solve(faster, ring); !(more > q) {
			t.Fatalf("faster pumps give %g, slower %g m3/s", more, q)
		}
		if less, _ := solve(speeds, append(ring, part.Loss{K: 5, Bore: 0.01})); !(less < q) {
			t.Fatalf("with another loss %g, without %g m3/s", less, q)
		}
	})
}

// Pumps that stand give no flow; a standing one beside a running one costs
// some.
func TestOperatingPointOfStandingPumps(t *testing.T) {
	pump := must[part.PumpCurve](t)(part.NewPumpCurve(4e4, 18*litre))
	ring := []part.Resistance{part.Tube{Bore: 0.01, Length: 3, Loss: 10}}
	flow := func(speeds ...float64) float64 {
		q, _, err := part.OperatingPoint([]part.PumpCurve{pump, pump}[:len(speeds)], speeds, ring, part.TestWater())
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	if q := flow(0); q != 0 {
		t.Errorf("a standing pump gives %g m3/s", q)
	}
	if q := flow(0, 0); q != 0 {
		t.Errorf("two standing pumps give %g m3/s", q)
	}
	one, dragged, two := flow(1), flow(1, 0), flow(1, 1)
	if !(dragged < one && one < two && dragged > 0.5*one) {
		t.Errorf("one %g, with a standing one behind it %g, two %g m3/s", one, dragged, two)
	}
}

// Property: the operating point is continuous in speed down to rest, with flow
// over speed bounded, and in the coolant's temperature.
func TestOperatingPointIsSmooth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pumps, ring := []part.PumpCurve{drawPump(t)}, drawRing(t)
		solve := func(speed float64, l part.Liquid) float64 {
			q, _, err := part.OperatingPoint(pumps, []float64{speed}, ring, l)
			if err != nil {
				t.Fatal(err)
			}
			return q
		}
		last := math.Inf(1)
		for r := 1.0; r > 1e-4; r *= 0.9 {
			q := solve(r, part.TestWater())
			if !(q > 0 && q < last) || q < 0.5*last && !math.IsInf(last, 1) {
				t.Fatalf("at a speed of %g %g m3/s follows %g", r, q, last)
			}
			last = q
		}
		cold, warm := solve(1, part.LiquidAt(fluid.Water(), celsius+30)), solve(1, part.LiquidAt(fluid.Water(), celsius+30.1))
		if math.Abs(warm/cold-1) > 0.003 {
			t.Fatalf("a tenth of a kelvin turns %g into %g m3/s", cold, warm)
		}
	})
}

func TestOperatingPointRefusals(t *testing.T) {
	pump := must[part.PumpCurve](t)(part.NewPumpCurve(4e4, 18*litre))
	ring, water := []part.Resistance{part.Loss{K: 5, Bore: 0.01}}, part.TestWater()
	for name, c := range map[string]struct {
		pumps  []part.PumpCurve
		speeds []float64
		ring   []part.Resistance
		l      part.Liquid
	}{
		"no pump":          {nil, nil, ring, water},
		"too few speeds":   {[]part.PumpCurve{pump, pump}, []float64{1}, ring, water},
		"no resistance":    {[]part.PumpCurve{pump}, []float64{1}, nil, water},
		"speed of NaN":     {[]part.PumpCurve{pump}, []float64{math.NaN()}, ring, water},
		"viscosity of NaN": {[]part.PumpCurve{pump}, []float64{1}, ring, part.Liquid{Density: 997, Viscosity: math.NaN()}},
	} {
		if q, _, err := part.OperatingPoint(c.pumps, c.speeds, c.ring, c.l); err == nil {
			t.Errorf("%s: no error but %g m3/s", name, q)
		}
	}
}

// A loop of one processor block, one slim radiator, tubes and fittings runs at 2
// to 5 L/min (common practice, no source) with the small pump at full speed, and
// the large pump reaches it at a good half of its speed.
func TestUsualFlow(t *testing.T) {
	var ring []part.Resistance
	for _, word := range []string{"processor block", "slim radiator"} {
		class := must[part.ResistanceClass](t)(part.ResistanceClassNamed(word))
		ring = append(ring, must[part.Points](t)(class.Points()))
	}
	ring = append(ring, part.Tube{Bore: 0.010, Length: 1.5, Loss: 8 * part.FittingLoss().Value})
	for speed, class := range map[float64]part.PumpClass{1: part.SmallPump(), 0.6: part.LargePump()} {
		c := must[part.PumpCurve](t)(class.Curve())
		q, _, err := part.OperatingPoint([]part.PumpCurve{c}, []float64{speed}, ring, part.LiquidAt(fluid.Water(), celsius+32))
		if err != nil {
			t.Fatal(err)
		}
		inside(t, class.Name+" pump's flow, L/min", q/litre, 2, 5)
	}
}

// A pump whose curve falls steeply between two flat parts, at a crawl: Newton's
// method alone goes round between the flat parts for ever.
func TestOperatingPointOnASteepCurve(t *testing.T) {
	flow := []float64{0.015625, 0.265625, 0.365625, 0.4984375, 0.6546875, 1.2546875}
	for i := range flow {
		flow[i] *= litre
	}
	c := must[part.PumpCurve](t)(part.NewPumpCurveFromPoints(flow, []float64{5000, 4850, 4660, 1398, 419, 407}))
	tube := part.Tube{Bore: 0.016, Length: 2.1875, Roughness: 1e-4, Loss: 1}
	last := math.Inf(1)
	for r := 0.01; r > 1e-4; r *= 0.97 {
		q, head := point(t, c, r, tube)
		drop, _ := tube.Drop(q, part.TestWater())
		near(t, "drop", drop, head, 1e-12)
		if !(q < last) {
			t.Errorf("at a speed of %g %g m3/s follows %g", r, q, last)
		}
		last = q
	}
}
