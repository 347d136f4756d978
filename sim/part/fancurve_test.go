package part_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// A data sheet's fan of 22 Pa and 0.033 m3/s: the straight line and the parabola
// by hand at half of free flow, at the ends, beyond free flow and blown back.
// Beyond an end the curve keeps its slope and loses 22 Pa more at 0.033 m3/s
// beyond it.
func TestFanFormula(t *testing.T) {
	const free, shutOff = 0.033, 22.0
	for shape, want := range map[float64]map[float64]float64{
		1: {0: 22, 0.5: 11, 1: 0, 2: -22 - 22, -1: 22 + 22 + 22, -0.5: 22 + 11 + 5.5},
		2: {0: 22, 0.5: 16.5, 1: 0, 2: -44 - 22, -1: 22 + 22, -0.5: 22 + 5.5},
		3: {0: 22, 0.5: 19.25, 1: 0, 2: -66 - 1.5*22, -1: 22 + 1.5*22},
	} {
		c := must[part.FanCurve](t)(part.NewFanCurve(free, shutOff, shape))
		near(t, "shut-off", c.ShutOff(), shutOff, 1e-15)
		near(t, "free flow", c.FreeFlow(), free, 1e-15)
		for share, p := range want {
			got, _ := c.Pressure(share*free, 1, part.StandardAirDensity)
			if math.Abs(got-p) > 1e-12 {
				t.Errorf("shape %g at %g of free flow: %g Pa, want %g", shape, share, got, p)
			}
		}
	}
}

// drawFan draws a curve of one of the two kinds.
func drawFan(t *rapid.T) part.FanCurve {
	n := rapid.IntRange(1, 6).Draw(t, "fan points")
	top := rapid.Float64Range(2, 80).Draw(t, "shut-off pressure")
	free := rapid.Float64Range(5, 150).Draw(t, "free airflow, m3/h") / 3600
	c, err := part.NewFanCurve(free, top, rapid.SampledFrom([]float64{1, 1, 1.4, 2, 3.5}).Draw(t, "shape"))
	if n > 1 {
		var q, p []float64
		x, y := rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "first flow"), 1.0
		for range n {
			q, p = append(q, x*free), append(p, y*top)
			x += rapid.Float64Range(0.05, 0.3).Draw(t, "step of flow")
			y *= rapid.Float64Range(0.2, 0.97).Draw(t, "fall of pressure")
		}
		if rapid.Bool().Draw(t, "down to free flow") {
			p[n-1] = 0
		}
		c, err = part.NewFanCurveFromPoints(q, p)
	}
	if err == nil {
		c, err = c.WithStanding(rapid.SampledFrom([]float64{1, 0.5, 3}).Draw(t, "standing"))
	}
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Property: the fan laws, exactly: flow as the speed, pressure as its square and
// as the density.
func TestFanLawsOfACurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawFan(t)
		q := rapid.Float64Range(-1, 3).Draw(t, "flow") * c.FreeFlow()
		r := rapid.Float64Range(0.05, 1.5).Draw(t, "speed")
		thin := rapid.Float64Range(0.6, 1.3).Draw(t, "density")
		full, slope := c.Pressure(q, 1, part.StandardAirDensity)
		got, gotSlope := c.Pressure(r*q, r, thin)
		if math.Abs(got-thin/1.2*r*r*full) > 1e-12*(c.ShutOff()+math.Abs(full)) {
			t.Fatalf("%g Pa, by the fan laws %g", got, thin/1.2*r*r*full)
		}
		if want := thin / 1.2 * r * slope; math.Abs(gotSlope-want) > 1e-10*(math.Abs(want)+1e-6*c.ShutOff()/c.FreeFlow()) {
			t.Fatalf("slope %g, by the fan laws %g", gotSlope, want)
		}
	})
}

// Property: the pressure falls with flow, also where the air is driven through
// or blown back; it rises with speed at every flow; it is zero at free flow; its
// slope is that of differences.
func TestFanPressureFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawFan(t)
		r := rapid.Float64Range(0, 1.5).Draw(t, "speed")
		last, step := math.Inf(1), c.FreeFlow()/50
		for i := -60; i < 200; i++ {
			q := (float64(i) + 0.37) * step
			p, s := c.Pressure(q, r, 1.2)
			if !(p < last) || !(s <= 0) {
				t.Fatalf("at %g of free flow: %g Pa, slope %g, follows %g", q/c.FreeFlow(), p, s, last)
			}
			last = p
			up, _ := c.Pressure(q+1e-6*step, r, 1.2)
			down, _ := c.Pressure(q-1e-6*step, r, 1.2)
			if d := (up - down) / (2e-6 * step); math.Abs(d-s) > 1e-3*(math.Abs(s)+c.ShutOff()/c.FreeFlow()) {
				t.Fatalf("at %g of free flow: slope %g, by difference %g", q/c.FreeFlow(), s, d)
			}
			if faster, _ := c.Pressure(q, r+0.01, 1.2); !(faster >= p-1e-12*math.Abs(p)) {
				t.Fatalf("at %g of free flow: %g Pa, faster %g", q/c.FreeFlow(), p, faster)
			}
		}
		if p, _ := c.Pressure(c.FreeFlow()*r, r, 1.2); math.Abs(p) > 1e-10*c.ShutOff() {
			t.Fatalf("%g Pa at free flow", p)
		}
	})
}

// Property: a standing fan resists as -c q|q|, and a slow one passes to it.
func TestStandingFan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawFan(t)
		q := rapid.Float64Range(0.01, 2).Draw(t, "flow") * c.FreeFlow() * rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
		still, _ := c.Pressure(q, 0, 1.2)
		if still*q >= 0 {
			t.Fatalf("a standing fan adds %g Pa at %g m3/s", still, q)
		}
		twice, _ := c.Pressure(-2*q, 0, 1.2)
		near(t, "twice as much backwards", twice, -4*still, 1e-12)
		if p, _ := c.Pressure(q, -0.3, 1.2); p != still {
			t.Fatalf("a speed below zero gives %g Pa, zero %g", p, still)
		}
		slow, _ := c.Pressure(q, 1e-8, 1.2)
		slower, _ := c.Pressure(q, 1e-11, 1.2)
		if math.Abs(slower-still) > 1.1e-3*math.Abs(slow-still)+1e-14*math.Abs(still) {
			t.Fatalf("%g Pa at a speed of 1e-8, %g at 1e-11, %g at zero", slow, slower, still)
		}
	})
}

// A factor of 3 on the standing loss of a straight line of 22 Pa and 0.033 m3/s
// is 66 Pa at that flow; one too small is held at half the end slope, 11 Pa.
func TestWithStanding(t *testing.T) {
	c := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	for factor, want := range map[float64]float64{3: -66, 1: -22, 0.1: -11} {
		p, _ := must[part.FanCurve](t)(c.WithStanding(factor)).Pressure(0.033, 0, 1.2)
		near(t, "standing", p, want, 1e-12)
	}
	for _, factor := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := c.WithStanding(factor); err == nil {
			t.Errorf("a factor of %g is taken", factor)
		}
	}
}

// Points are met, and those of a parabola give nearly the parabola between
// them; from 20 Pa at 0.02 m3/s with 10 Pa at 0.01 m3/s less the line meets zero
// at 0.04 m3/s, and with the standing loss of 40 Pa there 20 - 1000 d - 25000 d²
// is zero at d = 0.0146410 (by the root formula).
func TestFanPoints(t *testing.T) {
	q := []float64{0, 0.005, 0.01, 0.015, 0.02, 0.025}
	p := make([]float64, len(q))
	whole := must[part.FanCurve](t)(part.NewFanCurve(0.03, 20, 2))
	for i := range q {
		p[i], _ = whole.Pressure(q[i], 1, 1.2)
	}
	c := must[part.FanCurve](t)(part.NewFanCurveFromPoints(q, p))
	for i := range q {
		got, _ := c.Pressure(q[i], 1, 1.2)
		near(t, "pressure at a point", got, p[i], 1e-14)
	}
	for x := 0.001; x < 0.025; x += 0.002 {
		got, _ := c.Pressure(x, 1, 1.2)
		want, _ := whole.Pressure(x, 1, 1.2)
		inside(t, "pressure between points", got-want, -0.2, 0.2) // 1 % of shut-off
	}
	line := must[part.FanCurve](t)(part.NewFanCurveFromPoints([]float64{0, 0.01, 0.02}, []float64{40, 30, 20}))
	near(t, "shut-off", line.ShutOff(), 40, 1e-14)
	near(t, "free flow", line.FreeFlow(), 0.02+(-1000+math.Sqrt(1e6+4*25000*20))/(2*25000), 1e-12)
}

func TestFanRefusals(t *testing.T) {
	for _, c := range [][3]float64{
		{0, 20, 1}, {0.03, 0, 1}, {-1, 20, 1}, {math.NaN(), 20, 1}, {0.03, math.Inf(1), 1},
		{0.03, 20, 0.9}, {0.03, 20, 4.1}, {0.03, 20, math.NaN()},
	} {
		if _, err := part.NewFanCurve(c[0], c[1], c[2]); err == nil || !strings.HasPrefix(err.Error(), "part: ") {
			t.Errorf("%v is a fan: %v", c, err)
		}
	}
	for want, c := range map[string][2][]float64{
		"must fall":   {{0, 0.01}, {20, 20}},
		"must rise":   {{0.01, 0.01}, {20, 10}},
		"cannot be":   {{-0.01, 0.01}, {20, 10}},
		"two or more": {{0}, {20}},
		"below zero":  {{0, 0.01}, {20, -1}},
		"1 figures":   {{0, 0.01}, {20}},
	} {
		if _, err := part.NewFanCurveFromPoints(c[0], c[1]); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}
