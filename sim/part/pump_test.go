package part_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// A data sheet's parabola: 4 m at rest, 18 L/min free; half the flow leaves three
// quarters of the head. Makers' metres are of water at 9806.65 Pa.
func TestPumpParabola(t *testing.T) {
	c := must[part.PumpCurve](t)(part.NewPumpCurve(4*part.MetreOfWater, 18*litre))
	near(t, "shut-off", c.ShutOff(), 39226.6, 1e-15)
	near(t, "free flow", c.FreeFlow(), 3e-4, 1e-15)
	for share, want := range map[float64]float64{0: 4, 0.5: 3, 1: 0, 1.5: -5, -0.5: 5} {
		got, _ := c.Head(share*18*litre, 1)
		if math.Abs(got/part.MetreOfWater-want) > 1e-12 {
			t.Errorf("at %g of free flow: %g m, want %g", share, got/part.MetreOfWater, want)
		}
	}
}

// drawPump draws a parabola or a curve through points.
func drawPump(t *rapid.T) part.PumpCurve {
	n := rapid.IntRange(1, 6).Draw(t, "pump points")
	head := rapid.Float64Range(5e3, 6e4).Draw(t, "shut-off head")
	flow := rapid.Float64Range(2, 25).Draw(t, "free flow") * litre
	if n == 1 {
		c, err := part.NewPumpCurve(head, flow)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	var q, h []float64
	x, y := rapid.Float64Range(0, 0.1).Draw(t, "first flow"), 1.0
	for range n {
		q, h = append(q, x*flow), append(h, y*head)
		x += rapid.Float64Range(0.05, 0.3).Draw(t, "step of flow")
		y *= rapid.Float64Range(0.3, 0.97).Draw(t, "fall of head")
	}
	c, err := part.NewPumpCurveFromPoints(q, h)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Property: flow as the speed, head as its square, for every curve.
func TestPumpAffinity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawPump(t)
		q := rapid.Float64Range(-5, 40).Draw(t, "flow") * litre
		r := rapid.Float64Range(0.05, 1.5).Draw(t, "speed")
		full, slope := c.Head(q, 1)
		got, gotSlope := c.Head(r*q, r)
		near(t, "head", got, r*r*full, 1e-9+1e-12*c.ShutOff()/math.Abs(full))
		near(t, "slope", gotSlope, r*slope, 1e-9)
	})
}

// Property: the head falls with flow, also where the pump is driven backwards;
// it is below zero beyond free flow; its slope is that of differences.
func TestPumpHeadFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawPump(t)
		r := rapid.Float64Range(0, 1.5).Draw(t, "speed")
		last, step := math.Inf(1), c.FreeFlow()/50
		for i := -60; i < 140; i++ {
			q := (float64(i) + 0.37) * step
			h, s := c.Head(q, r)
			if !(h < last) || !(s <= 0) {
				t.Fatalf("at %g of free flow: %g Pa, slope %g, follows %g", q/c.FreeFlow(), h, s, last)
			}
			last = h
			up, _ := c.Head(q+1e-6*step, r)
			down, _ := c.Head(q-1e-6*step, r)
			if d := (up - down) / (2e-6 * step); math.Abs(d-s) > 1e-3*(math.Abs(s)+c.ShutOff()/c.FreeFlow()) {
				t.Fatalf("at %g of free flow: slope %g, by difference %g", q/c.FreeFlow(), s, d)
			}
		}
		if h, _ := c.Head(c.FreeFlow()*r, r); math.Abs(h) > 1e-10*c.ShutOff() {
			t.Fatalf("%g Pa at free flow", h)
		}
	})
}

// A standing pump resists and never drives, in either direction, and a slow one
// passes smoothly to it.
func TestStandingPump(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawPump(t)
		q := rapid.Float64Range(0.01, 20).Draw(t, "flow") * litre * rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
		still, _ := c.Head(q, 0)
		if still*q > 0 {
			t.Fatalf("a standing pump gives %g Pa at %g m3/s", still, q)
		}
		if back, _ := c.Head(-q, 0); math.Abs(back+still) > 1e-9*math.Abs(still) {
			t.Fatalf("it resists %g and %g Pa", still, back)
		}
		if h, _ := c.Head(q, -0.3); h != still {
			t.Fatalf("a speed below zero gives %g Pa, zero %g", h, still)
		}
		slow, _ := c.Head(q, 1e-8)
		slower, _ := c.Head(q, 1e-11)
		if math.Abs(slower-still) > 1.1e-3*math.Abs(slow-still)+1e-14*math.Abs(still) {
			t.Fatalf("%g Pa at a speed of 1e-8, %g at 1e-11, %g at zero", slow, slower, still)
		}
	})
}

// A straight curve from 4e4 Pa by 2e4 Pa at 8 L/min meets zero at 16 L/min. With
// the curvature of the parabola through both ends it goes on to 14375 Pa at
// 10 L/min (2e4 - 2/8 2e4 - 4e4 (2/16)^2), and a standing pump resists 4e4 Pa at
// 16 L/min. Computed by hand.
func TestPumpBeyondItsPoints(t *testing.T) {
	c := must[part.PumpCurve](t)(part.NewPumpCurveFromPoints([]float64{0, 4 * litre, 8 * litre}, []float64{4e4, 3e4, 2e4}))
	still, _ := c.Head(16*litre, 0)
	near(t, "standing", still, -4e4, 1e-12)
	beyond, _ := c.Head(10*litre, 1)
	near(t, "beyond the last point", beyond, 14375, 1e-12)
}

// Points are met, and points of a parabola give nearly the parabola between
// them.
func TestPumpPoints(t *testing.T) {
	q := []float64{0, 3 * litre, 6 * litre, 9 * litre, 12 * litre, 15 * litre}
	h := make([]float64, len(q))
	whole := must[part.PumpCurve](t)(part.NewPumpCurve(4e4, 18*litre))
	for i := range q {
		h[i], _ = whole.Head(q[i], 1)
	}
	c := must[part.PumpCurve](t)(part.NewPumpCurveFromPoints(q, h))
	for i := range q {
		got, _ := c.Head(q[i], 1)
		near(t, "head at a point", got, h[i], 1e-14)
	}
	for i := range 15 {
		at := (float64(i) + 0.5) * litre
		got, _ := c.Head(at, 1)
		want, _ := whole.Head(at, 1)
		inside(t, "head between points", got-want, -400, 400) // 1 % of shut-off
	}
	near(t, "free flow", c.FreeFlow(), 18*litre, 0.03)
}

func TestPumpRefusals(t *testing.T) {
	for _, c := range [][2]float64{{0, 1e-4}, {1e4, 0}, {-1, 1e-4}, {math.NaN(), 1e-4}, {1e4, math.Inf(1)}} {
		if _, err := part.NewPumpCurve(c[0], c[1]); err == nil {
			t.Errorf("%v is a pump", c)
		}
	}
	for want, c := range map[string][2][]float64{
		"must fall":   {{0, 1e-4}, {1e4, 1e4}},
		"must rise":   {{1e-4, 1e-4}, {1e4, 9e3}},
		"cannot be":   {{-1e-4, 1e-4}, {1e4, 9e3}},
		"two or more": {{0}, {1e4}},
		"below zero":  {{0, 1e-4}, {1e4, -1}},
		"1 figures":   {{0, 1e-4}, {1e4}},
	} {
		if _, err := part.NewPumpCurveFromPoints(c[0], c[1]); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// The cube law above a floor: at half speed (1-f)/8 + f of the power remain; a
// standing pump draws nothing.
func TestPumpElectrical(t *testing.T) {
	d := part.PumpDrive{Rated: 75, Power: 20, Floor: 0.08}
	for r, want := range map[float64]float64{0: 0, 0.1: 1.6 + 18.4*1e-3, 0.5: 1.6 + 18.4/8, 1: 20, 1.2: 1.6 + 18.4*1.728} {
		got, _ := d.Electrical(r)
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("at a speed of %g: %g W, want %g", r, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(0.005, 1.5).Draw(t, "speed")
		power, slope := d.Electrical(r)
		if !(power > 0 && slope > 0) {
			t.Fatalf("%g W, slope %g", power, slope)
		}
		const h = 1e-6
		up, _ := d.Electrical(r + h)
		down, _ := d.Electrical(r - h)
		// Across the end of the fading the slope has a kink of its own.
		near(t, "slope", (up-down)/(2*h), slope, 2e-4)
	})
}

// Hydraulic power never exceeds the electrical power of either class.
func TestPumpClasses(t *testing.T) {
	for _, class := range part.PumpClasses() {
		c := must[part.PumpCurve](t)(class.Curve())
		most := 0.0
		for i := range 100 {
			q := c.FreeFlow() * float64(i) / 100
			h, _ := c.Head(q, 1)
			most = math.Max(most, h*q)
		}
		inside(t, class.Name+" pump's efficiency at best", most/class.Power.Value, 0.05, 0.5)
		if got, err := part.PumpClassNamed(strings.ToUpper(class.Name)); err != nil || got != class {
			t.Errorf("%s: %v", class.Name, err)
		}
	}
	if _, err := part.PumpClassNamed("huge"); err == nil || !strings.Contains(err.Error(), "small, large") {
		t.Errorf("an unknown size gives %v", err)
	}
}
