package part_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

const rpm = 1.0 / 60

// stated turns a UA back into the conductance of a rating: effectiveness of a
// stream through a wall of one temperature, 1 - exp(-UA/C).
func stated(ua, c float64, perMean bool) float64 {
	inlet := c * -math.Expm1(-ua/c)
	if perMean {
		return inlet / (1 - inlet/(2*c))
	}
	return inlet
}

// drawRadiator draws points of rising speed and conductance, and their test.
func drawRadiator(t *rapid.T) ([]part.RadiatorPoint, part.RadiatorTest) {
	test := part.RadiatorTest{
		CapacityRate: rapid.Float64Range(150, 350).Draw(t, "capacity rate"),
		PerMean:      rapid.Bool().Draw(t, "per mean"),
		Passive:      rapid.Float64Range(0.5, 4).Draw(t, "passive"),
	}
	p := []part.RadiatorPoint{{rapid.Float64Range(300, 800).Draw(t, "least speed") * rpm, rapid.Float64Range(6, 20).Draw(t, "least conductance")}}
	for range rapid.IntRange(0, 4).Draw(t, "further points") {
		last := p[len(p)-1]
		grow := rapid.Float64Range(1.1, 1.6).Draw(t, "step of speed")
		p = append(p, part.RadiatorPoint{Speed: last.Speed * grow, Conductance: last.Conductance * math.Pow(grow, rapid.Float64Range(0.1, 1).Draw(t, "growth"))})
	}
	return p, test
}

// Property: the stated points are met exactly; UA rises with speed from the
// passive one; its slope is that of differences; only speeds beyond the points
// are outside.
func TestRadiatorCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points, test := drawRadiator(t)
		c, err := part.NewRadiatorCurve(points, test)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range points {
			ua, _, _ := c.Exponent(p.Speed)
			near(t, "conductance at a point", stated(ua, test.CapacityRate, test.PerMean), p.Conductance, 1e-11)
		}
		first, top := points[0].Speed, points[len(points)-1].Speed
		last, _, outside := c.Exponent(0)
		if last != test.Passive || outside {
			t.Fatalf("at rest %g W/K, %v", last, outside)
		}
		for n := 0.05 * first; n < 1.5*top; n *= 1.09 {
			ua, slope, outside := c.Exponent(n)
			if !(ua > last) || !(slope > 0) || outside != (n < first || n > top) {
				t.Fatalf("at %g rpm %g W/K, slope %g, outside %v, after %g", n/rpm, ua, slope, outside, last)
			}
			last = ua
			d := slopeAt(func(n float64) float64 { ua, _, _ := c.Exponent(n); return ua }, n, 1e-6*n)
			if math.Abs(d-slope) > 1e-3*ua/n {
				t.Fatalf("at %g rpm slope %g, by difference %g", n/rpm, slope, d)
			}
		}
	})
}

// Property: the slope comes to zero with the speed.
func TestRadiatorCurveAtRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points, test := drawRadiator(t)
		c, err := part.NewRadiatorCurve(points, test)
		if err != nil {
			t.Fatal(err)
		}
		_, rest, _ := c.Exponent(0)
		last := rest
		for _, n := range []float64{1e-7, 1e-5, 1e-3} {
			ua, slope, _ := c.Exponent(n)
			if rest != 0 || !(slope > last) || ua < test.Passive || ua > 1.01*test.Passive {
				t.Fatalf("at %g rps %g W/K, slope %g after %g", n, ua, slope, last)
			}
			last = slope
		}
	})
}

// One point is scaled with the power 0.7, the usual default; a stated point at
// rest is the passive figure.
func TestRadiatorOnePoint(t *testing.T) {
	test := part.RadiatorTest{CapacityRate: 279, Passive: 1e-3}
	c := must[part.RadiatorCurve](t)(part.NewRadiatorCurve([]part.RadiatorPoint{{1000 * rpm, 18}}, test))
	at, _, _ := c.Exponent(1000 * rpm)
	for _, n := range []float64{500, 2000} {
		ua, _, outside := c.Exponent(n * rpm)
		near(t, "UA over that of the point", ua/at, math.Pow(n/1000, 0.7), 1e-9)
		if !outside {
			t.Errorf("%g rpm is not outside", n)
		}
	}
	rest := must[part.RadiatorCurve](t)(part.NewRadiatorCurve([]part.RadiatorPoint{{0, 3}, {1000 * rpm, 18}}, test))
	ua, _, _ := rest.Exponent(0)
	near(t, "stated at rest", stated(ua, 279, false), 3, 1e-12)
}

func TestRadiatorCurveRefusals(t *testing.T) {
	test := part.RadiatorTest{CapacityRate: 279, Passive: 3}
	for want, c := range map[string]struct {
		points []part.RadiatorPoint
		growth float64
	}{
		"0 figures":      {nil, 0},
		"must rise with": {[]part.RadiatorPoint{{10, 20}, {20, 19}}, 0},
		"must rise from": {[]part.RadiatorPoint{{20, 20}, {10, 30}}, 0},
		"at 600 rpm":     {[]part.RadiatorPoint{{10, 275}}, 0},
		"without fans":   {[]part.RadiatorPoint{{10, 2.5}}, 0},
		"at a speed abo": {[]part.RadiatorPoint{{0, 2.5}}, 0},
		"cannot be":      {[]part.RadiatorPoint{{-1, 5}}, 0},
		"must be above":  {[]part.RadiatorPoint{{10, -5}}, 0},
		"power 2":        {[]part.RadiatorPoint{{10, 20}}, 2},
	} {
		test.Growth = c.growth
		if _, err := part.NewRadiatorCurve(c.points, test); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// 55 % of three fans of 75 m3/h free at 1500 rpm, at 1000 rpm: 82.5 m3/h, and
// with 1.2 kg/m3 and 1006 J/(kg K) 27.665 W/K (computed by hand). 26 W/K asks for
// 94 % of it, 26.5 W/K for 96 %.
func TestCoreAir(t *testing.T) {
	a := part.CoreAir{Free: 3 * 75. / 3600, Rated: 1500 * rpm, Share: part.AirflowShare().Value}
	near(t, "flow", a.Flow(1000*rpm)*3600, 82.5, 1e-12)
	air := a.CapacityRate(1000*rpm, 1.2, 1006)
	near(t, "capacity rate", air, 27.665, 1e-12)
	if err := (part.Rating{Conductance: 26, CapacityRate: 279}).CheckAir(air); err != nil {
		t.Error(err)
	}
	if err := (part.Rating{Conductance: 26.5, CapacityRate: 279}).CheckAir(air); err == nil || !strings.Contains(err.Error(), "95 %") {
		t.Errorf("96 %% of the air gives %v", err)
	}
	// Over the mean coolant temperature the same heat reads as more.
	if err := (part.Rating{Conductance: 26.5, CapacityRate: 279, PerMean: true}).CheckAir(air); err != nil {
		t.Error(err)
	}
	if (part.Rating{Conductance: math.NaN(), CapacityRate: 279}).CheckAir(air) == nil {
		t.Error("NaN is carried")
	}
}

// The band a section: W/K at rpm (common practice, no source): the usual figure in
// the middle of open benches, the low end that of small cases with grilles. A section
// of 140 mm has 1.361 times the face.
func TestSectionConductance(t *testing.T) {
	for _, c := range []struct{ rpm, low, bench, high float64 }{{500, 2.5, 4, 6}, {750, 3.5, 6, 9}, {1000, 4.5, 8, 11}, {1300, 5.5, 10, 14}, {1850, 8, 14, 19}, {2500, 10, 18, 25}} {
		d := part.SectionConductance(c.rpm*rpm, 0.120)
		near(t, "low", d.Low, c.low, 1e-12)
		near(t, "high", d.High, c.high, 1e-12)
		near(t, "value", d.Value, (c.bench+c.high)/2, 1e-12)
		near(t, "140 mm", part.SectionConductance(c.rpm*rpm, 0.140).Value, d.Value*1.361111, 1e-6)
	}
	near(t, "halfway in logarithms", part.SectionConductance(math.Sqrt(500*750)*rpm, 0.120).Value, math.Sqrt(5*7.5), 1e-12)
	near(t, "below the band", part.SectionConductance(250*rpm, 0.120).Value, 5*math.Pow(0.5, 0.7), 1e-12)
	near(t, "above the band", part.SectionConductance(5000*rpm, 0.120).Value, 21.5*math.Pow(2, 0.7), 1e-12)
	last := 0.0
	for n := 100.0; n < 4000; n *= 1.01 {
		d := part.SectionConductance(n*rpm, 0.120)
		if !(d.Value > last && d.Low < d.Value && d.Value < d.High && (last == 0 || d.Value < 1.02*last)) {
			t.Fatalf("at %g rpm %v after %g", n, d, last)
		}
		last = d.Value
	}
	if p := part.SectionPassive(); !(p.High < part.SectionConductance(500*rpm, 0.120).Low) {
		t.Error("without fans a section gives what it gives at 500 rpm")
	}
}
