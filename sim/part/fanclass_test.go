package part_test

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim/part"
)

// What a fan of 120 mm and 25 mm depth does at other speeds: free airflow in
// cubic feet a minute, shut-off pressure in mm of water, level in dB(A) near 1 m.
// Common practice, no source.
func TestFanOf120(t *testing.T) {
	class := must[part.FanClass](t)(part.FanSized(0.120))
	const cubicFoot, mm = 1.699 / 3600, 9.80665
	for _, c := range []struct{ rpm, lowFlow, highFlow, lowPressure, highPressure float64 }{
		{1000, 25, 35, 0.4, 0.8}, {1500, 40, 55, 1.2, 1.9}, {2000, 60, 75, 2.2, 3.3}, {3000, 95, 110, 6, 8},
	} {
		s := part.FanScale{Speed: c.rpm / 60 / class.Rated.Value, Size: 1, Density: 1}
		inside(t, "free airflow", class.Free.Value*s.Flow()/cubicFoot, c.lowFlow, c.highFlow)
		inside(t, "shut-off pressure", class.ShutOff.Value*s.Pressure()/mm, c.lowPressure, c.highPressure)
	}
	for rpm, c := range map[float64][2]float64{800: {14, 18}, 1200: {20, 25}, 1500: {26, 30}, 2000: {32, 37}} {
		inside(t, "level", part.SoundLevel(class.Noise.Value, rpm/60/class.Rated.Value), c[0], c[1])
	}
	inside(t, "start, 1/min", class.Start.Value*60, 250, 500)
}

// A fan of 140 mm moves 30 to 40 % more at equal speed: common practice, no
// source. The other sizes follow by the fan laws, worked here by hand for 200 mm
// at 800/min: diameter 5/3, speed 8/15.
func TestFansOfOtherSizes(t *testing.T) {
	base := must[part.FanClass](t)(part.FanSized(0.120))
	wide := must[part.FanClass](t)(part.FanSized(0.140))
	perTurn := wide.Free.Value / wide.Rated.Value / (base.Free.Value / base.Rated.Value)
	inside(t, "140 over 120 mm at equal speed", perTurn, 1.30, 1.40)
	big := must[part.FanClass](t)(part.FanSized(0.2004))
	const d, n = 5. / 3, 8. / 15
	near(t, "rated", big.Rated.Value, 800./60, 1e-14)
	near(t, "free airflow", big.Free.Value/base.Free.Value, d*d*d*n, 1e-14)
	near(t, "shut-off pressure", big.ShutOff.Value/base.ShutOff.Value, d*d*n*n, 1e-14)
	near(t, "power", big.Power.Value/base.Power.Value, d*d*d*d*d*n*n*n, 1e-14)
	near(t, "level", big.Noise.Value-base.Noise.Value, 50*math.Log10(n)+70*math.Log10(d), 1e-12)
}

// Every class makes a fan and a drive, is called by its size, stops below the
// speed at which it starts, moves more air the larger it is, and turns a few to
// a few tens of percent of its power at most into work on the air.
func TestFanClasses(t *testing.T) {
	last := 0.0
	for _, class := range part.FanClasses() {
		c := must[part.FanCurve](t)(class.Curve())
		d := class.Drive()
		if got := must[part.FanClass](t)(part.FanSized(class.Size)); got != class {
			t.Errorf("%s: got %s by its size", class.Name, got.Name)
		}
		if !(d.Stop < d.Start && d.Start < d.Rated && d.SpinUp > 0) {
			t.Errorf("%s: stops at %g, starts at %g, is rated at %g 1/s", class.Name, d.Stop, d.Start, d.Rated)
		}
		if !(c.FreeFlow() > last) {
			t.Errorf("%s moves %g m3/s, a smaller one %g", class.Name, c.FreeFlow(), last)
		}
		last = c.FreeFlow()
		power, _ := d.Electrical(1)
		p, _ := c.Pressure(c.FreeFlow()/2, 1, part.StandardAirDensity)
		inside(t, class.Name+": efficiency", p*c.FreeFlow()/2/power, 0.02, 0.4)
	}
	_, err := part.FanSized(0.130)
	if err == nil || !strings.Contains(err.Error(), "130 mm; known are 80 mm, 92 mm, 120 mm") {
		t.Errorf("a size that is not usual: %v", err)
	}
}

// Three usual fans through the quadratic loss of a radiator and a filter reach
// 40 to 65 % of their free airflow: common practice, no source. The core here
// loses 12 Pa at 2.5 m/s on its face.
func TestAirflowThroughARadiator(t *testing.T) {
	class := must[part.FanClass](t)(part.FanSized(0.120))
	c := must[part.FanCurve](t)(class.Curve())
	const face = 3 * 0.120 * 0.120
	at := 2.5 * face
	core := airPolynomial{b: 8 / at, k: 4 / (at * at)}
	filter, err := part.FilterLoss("coarse")
	if err != nil {
		t.Fatal(err)
	}
	q := airflow(t, oneRow(c, 3, core, part.AirLoss{K: filter.Value, Area: face}), 0, standardAir(), 1)
	inside(t, "share of free airflow", q/(3*c.FreeFlow()), 0.40, 0.65)
}
