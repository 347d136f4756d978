package sim_test

import (
	"math"
	"testing"

	"soakledger/sim"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
)

// zeroRPM is a machine whose fans stand below 38 degC and start at 42 degC.
func zeroRPM(power float64) *spec.Scenario {
	c := every(2, curve("coolant", 30, 600, 45, 1200))
	c.OffBelow, c.OnAbove = spec.Some(38+zeroCelsius), spec.Some(42+zeroCelsius)
	s := fanned(power, c)
	s.Duration = spec.Some(6 * 3600)
	return s
}

// last returns what a column ends with.
func last(t *testing.T, r *sim.Result, column string) float64 {
	t.Helper()
	x := columns(t, r, column)[0]
	return x[len(x)-1]
}

// Standing fans that let it grow too warm, and turning ones that cool it too far, lead
// to no level but to a cycle: its figures are those of the trace.
func TestLevelOfFansThatCannotRest(t *testing.T) {
	r := run(t, zeroRPM(120))
	p := r.Phases[0]
	if p.Kind != metric.Cycling || p.Level.OK() || !p.Cycle.Period.OK() {
		t.Fatalf("kind %q, level %+v, cycle %+v", p.Kind, p.Level, p.Cycle)
	}
	x := columns(t, r, "coolant_c", "front_fan_rpm", "cpu_die_c")
	var starts []int
	for i := 1; i < len(x[1]); i++ {
		if x[1][i-1] == 0 && x[1][i] > 0 {
			starts = append(starts, i)
		}
	}
	n := len(starts)
	from, to := starts[n-2], starts[n-1]
	near(t, "period", p.Cycle.Period.Value, float64(to-from), 1.5)
	for k, column := range [][]float64{x[0], x[2]} {
		sum, low, high := 0.0, math.Inf(1), math.Inf(-1)
		for _, v := range column[from:to] {
			sum, low, high = sum+v, math.Min(low, v), math.Max(high, v)
		}
		near(t, "mean", p.Cycle.Nodes[k].Mean.Value-zeroCelsius, sum/float64(to-from), .03)
		near(t, "swing", p.Cycle.Nodes[k].Swing.Value, high-low, .05)
	}
	if p.Cycle.Nodes[0].Swing.Value < 3.5 {
		t.Errorf("the coolant swings by %g K between fans that start at 42 degC and stop at 38", p.Cycle.Nodes[0].Swing.Value)
	}
}

// Fans that stand at the level are counted as standing: in the level, and in the time
// constants, which are much longer than those of turning ones.
func TestLevelOfStandingFans(t *testing.T) {
	r := run(t, zeroRPM(20))
	p := r.Phases[0]
	if p.Kind != metric.Continuous {
		t.Fatalf("kind %q: %s", p.Kind, p.Level.Why)
	}
	near(t, "level", p.Level.Value-zeroCelsius, last(t, r, "coolant_c"), .02)
	near(t, "fans", last(t, r, "front_fan_rpm"), 0, 0)
	near(t, "slowest time constant", r.Modes[0].Tau, p.Response[0].Value, .15*p.Response[0].Value)
}

// Hysteresis leaves a pair: its ends are the levels of the curve moved by what it may
// hold back, and runs from either side end between them.
func TestLevelsOfHysteresis(t *testing.T) {
	steep := func(shift float64) spec.Control {
		return every(2, curve("coolant", 30+shift, 500, 40+shift, 1400))
	}
	c := steep(0)
	c.HysteresisUp, c.HysteresisDown = spec.Some(2), spec.Some(3)
	s := fanned(200, c)
	s.Duration = spec.Some(4 * 3600)
	r := run(t, s)
	p := r.Phases[0]
	if p.Kind != metric.Pair {
		t.Fatalf("kind %q", p.Kind)
	}
	for _, end := range []struct {
		name  string
		shift float64
		got   metric.Figure
	}{{"rising", 2, p.Rising}, {"falling", -3, p.Falling}} {
		l, err := sim.LevelsOf(fanned(200, steep(end.shift)).Named(), 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, end.name, end.got.Value, l.Of(l.Plan.Subject).Value, 1e-5)
	}
	near(t, "level of a warming run", p.Level.Value, p.Rising.Value, 1e-5)
	low, high := p.Falling.Value-zeroCelsius-.1, p.Rising.Value-zeroCelsius+.1
	if end := last(t, r, "coolant_c"); end < low || end > high {
		t.Errorf("a warming run ends at %.2f, outside %.2f to %.2f degC", end, low, high)
	}
	onOff(s, 3600, 4*3600, spec.Repeat{})
	s.Chips[0].Power, s.Chips[0].Idle = watts(300), spec.Some(200)
	r = run(t, s)
	p = r.Phases[1]
	near(t, "level of a cooling run", p.Level.Value, p.Falling.Value, 1e-5)
	if end := last(t, r, "coolant_c"); end < low || end > high {
		t.Errorf("a cooling run ends at %.2f, outside %.2f to %.2f degC", end, low, high)
	}
}

// A chip that throttles goes to and fro where its throttled power lets it recover, and
// rests throttled where that does not.
func TestLevelOfAThrottle(t *testing.T) {
	s := desktop(250, .5, 600)
	s.Chips[0].DieToPlate = spec.Some(.25)
	s.Duration, s.Record.Every, s.Record.Resolution = spec.Some(3600), spec.Some(.1), spec.Some(0)
	s.Chips[0].Throttle = spec.Throttle{At: spec.Some(85 + zeroCelsius), Release: spec.Some(80 + zeroCelsius), To: share(.4)}
	r := run(t, s)
	p := r.Phases[0]
	if p.Kind != metric.Cycling || !p.Cycle.Period.OK() {
		t.Fatalf("kind %q, cycle %+v", p.Kind, p.Cycle.Period)
	}
	die := p.Cycle.Nodes[1]
	x := columns(t, r, "cpu_die_c")[0]
	sum, rows := 0.0, int(10*10*p.Cycle.Period.Value)
	for _, v := range x[len(x)-1-rows : len(x)-1] {
		sum += v
	}
	near(t, "mean of the die", die.Mean.Value-zeroCelsius, sum/float64(rows), .1)
	near(t, "swing of the die", die.Swing.Value, 5, .01)

	s.Chips[0].Throttle.To = share(.95)
	r = run(t, s)
	p = r.Phases[0]
	throttled := desktop(.95*250, .5, 600)
	throttled.Chips[0].DieToPlate = spec.Some(.25)
	l, err := sim.LevelsOf(throttled.Named(), 0)
	if err != nil {
		t.Fatal(err)
	}
	if p.Kind != metric.Continuous {
		t.Fatalf("kind %q: %s", p.Kind, p.Level.Why)
	}
	near(t, "level at rest", p.Level.Value, l.Of(l.Plan.Subject).Value, 1e-6)
	near(t, "end", last(t, r, "coolant_c"), p.Level.Value-zeroCelsius, .05)

	// Started from there it is throttled from the first moment on, though its die is cooler
	// than where it began to throttle.
	s.Chips[0].Throttle.At = spec.Some(p.Nodes[0].Level.Value + 1)
	s.Start.Rule = "level"
	r = run(t, s)
	if power := columns(t, r, "cpu_power_w")[0][0]; power != .95*250 || len(r.Events) != 0 {
		t.Errorf("it begins with %g W, events %v", power, r.Events)
	}
	near(t, "end of a run from its level", last(t, r, "coolant_c"), p.Level.Value-zeroCelsius, 1e-3)
}
