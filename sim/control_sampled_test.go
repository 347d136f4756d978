package sim_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"soakledger/sim"
	"soakledger/sim/control"
	"soakledger/sim/spec"
)

// columns returns columns of a run's trace.
func columns(t testing.TB, r *sim.Result, names ...string) (all [][]float64) {
	t.Helper()
	for _, name := range names {
		col := r.Trace.Col(name)
		if col < 0 {
			t.Fatalf("the trace has no column %s", name)
		}
		all = append(all, r.Trace.Floats(col))
	}
	return all
}

// Speeds of fanned's fans.
const (
	ratedFan = 1500.0 // rpm
	stopFan  = 250.0  // rpm
	startFan = 400.0  // rpm, the default of fans of 120 mm
)

// watcher is a controller as a test sees it: its figures, its sensor, and what it
// follows at a row of the trace (K).
type watcher struct {
	spec   control.SampledSpec
	sensor control.Sensor
	lag    float64 // s
	follow func(row int) float64
}

// replayed lets a controller see the rows of a trace, one a second, and returns the
// speeds that it would set, rpm: at every row those that begin there, and at the end
// of the run the one that held.
func replayed(t *testing.T, w watcher, rows int) []float64 {
	t.Helper()
	c, err := control.NewSampled(w.spec)
	if err != nil {
		t.Fatal(err)
	}
	input, reading := w.follow(0), w.follow(0)
	state := c.Settled(w.sensor.Read(reading))
	if w.spec.PI != nil {
		state = c.Begin(0)
	}
	out := state.Output()
	var speeds []float64
	for row := range rows {
		if k := float64(row) / w.spec.Period; k == math.Trunc(k) && row < rows-1 {
			now := w.follow(row)
			if row > 0 && w.lag > 0 { // exact for a straight line between samples
				q, behind := math.Exp(-w.spec.Period/w.lag), w.lag*(now-input)/w.spec.Period
				reading = q*reading + (1-q)*(now-behind) + q*(now-input)
			} else {
				reading = now
			}
			input = now
			out, _ = c.Step(&state, float64(row), w.sensor.Read(reading))
		}
		speeds = append(speeds, out*ratedFan)
	}
	return speeds
}

// straight is fanned's curve, 500 rpm at 25 degC to 1500 rpm at 40 degC, and the same as
// control has it.
func straight(follow string) spec.Control { return curve(follow, 25, 500, 40, 1500) }

func straightCurve(t *testing.T) *control.Curve {
	c, err := control.NewCurve([]control.Point{{In: 25 + zeroCelsius, Out: 500.0 / 1500}, {In: 40 + zeroCelsius, Out: 1}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// sampledCase is a control as it is stated, and what it is to do.
type sampledCase struct {
	what  string
	state func(c *spec.Control)
	want  func(w *watcher)
}

var sampledCases = []sampledCase{
	{"a plain curve", func(*spec.Control) {}, func(*watcher) {}},
	{"hysteresis", func(c *spec.Control) { c.HysteresisUp, c.HysteresisDown = spec.Some(0.5), spec.Some(1.5) },
		func(w *watcher) { w.spec.Hysteresis = control.UpDown{Up: 0.5, Down: 1.5} }},
	{"hold", func(c *spec.Control) {
		c.HoldUp, c.HoldDown, c.HysteresisUp = spec.Some(6), spec.Some(20), spec.Some(0.3)
	}, func(w *watcher) {
		w.spec.Hold, w.spec.Hysteresis.Up = control.UpDown{Up: 6, Down: 20}, 0.3
	}},
	{"slew", func(c *spec.Control) { c.SlewUp, c.SlewDown = spec.Some(12.0/60), spec.Some(3.0/60) },
		func(w *watcher) { w.spec.Slew = control.UpDown{Up: 12 / ratedFan, Down: 3 / ratedFan} }},
	{"average", func(c *spec.Control) { c.Average = spec.Some(30) }, func(w *watcher) { w.spec.Window = 30 }},
	{"resolution", func(c *spec.Control) { c.Resolution = spec.Some(0.1) }, func(w *watcher) { w.spec.Resolution = 0.1 }},
	{"sensor", func(c *spec.Control) {
		c.Sensor = spec.Sensor{Lag: spec.Some(25), Offset: spec.Some(-1.3), Resolution: spec.Some(0.5)}
	}, func(w *watcher) {
		w.lag, w.sensor = 25, control.Sensor{Offset: -1.3, Resolution: 0.5, Origin: zeroCelsius}
	}},
	{"standing", func(c *spec.Control) { c.OffBelow, c.OnAbove = spec.Some(27+zeroCelsius), spec.Some(29.5+zeroCelsius) },
		func(w *watcher) { w.spec.Zero = control.Zero{On: true, Below: 27 + zeroCelsius, Band: 2.5} }},
}

// The speeds of a run are those that the controller gives for the temperatures of the
// trace at its samples, whatever it has of hysteresis, hold, slew, averages, sensors,
// and standing, under a load that comes and goes.
func TestSampledControlOnItsTrace(t *testing.T) {
	for _, c := range sampledCases {
		for _, follow := range []string{"coolant", "cpu.die"} {
			stated := every(2, straight(follow))
			c.state(&stated)
			s := fanned(200, stated)
			front(s).Fans.Stop = spec.Some(stopFan / 60)
			onOff(s, 300, 500, forever)
			r := run(t, s)
			name := "coolant_c"
			if follow == "cpu.die" {
				name = "cpu_die_c"
			}
			x := columns(t, r, name, "front_fan_rpm")
			w := watcher{follow: func(row int) float64 { return x[0][row] + zeroCelsius }}
			w.spec = control.SampledSpec{Period: 2, Curve: straightCurve(t), Resolution: 0.01, Min: 500.0 / 1500, Max: 1, Stop: stopFan / ratedFan, Start: startFan / ratedFan}
			c.want(&w)
			worst, changes := 0.0, 0
			for row, want := range replayed(t, w, len(x[1])) {
				worst = math.Max(worst, math.Abs(x[1][row]-want))
				if row > 0 && x[1][row] != x[1][row-1] {
					changes++
				}
			}
			near(t, fmt.Sprintf("%s, %s: speeds", c.what, follow), worst, 0, 1e-9)
			if changes < 10 {
				t.Errorf("%s, %s: only %d changes: nothing was tested", c.what, follow, changes)
			}
		}
	}
}

// front is the radiator of fanned.
func front(s *spec.Scenario) *spec.Radiator {
	for p := range s.Parts() {
		if p.Radiator != nil {
			return p.Radiator
		}
	}
	panic("no radiator")
}

// A controller changes speeds at the same samples whatever the tolerance of the steps,
// and temperatures agree to it: samples are read off the interpolant, not off steps.
func TestSampledControlDoesNotDependOnSteps(t *testing.T) {
	for _, follow := range []string{"coolant", "cpu.die"} {
		made := func(tolerance float64) *sim.Result {
			stated := every(2, straight(follow))
			stated.HysteresisUp, stated.HysteresisDown, stated.HoldDown, stated.Average = spec.Some(0.4), spec.Some(0.8), spec.Some(10), spec.Some(6)
			s := fanned(200, stated)
			onOff(s, 300, 500, forever)
			return run(t, loose(s, tolerance))
		}
		exact := made(1e-8)
		speeds := columns(t, exact, "front_fan_rpm")[0]
		steps := 0
		for _, tolerance := range []float64{2e-4, 2e-5, 2e-6} {
			r := made(tolerance)
			for row, rpm := range columns(t, r, "front_fan_rpm")[0] {
				if rpm != speeds[row] {
					t.Fatalf("%s at %g K: %g rpm after %d s, %g rpm with finer steps", follow, tolerance, rpm, row, speeds[row])
				}
			}
			if got := largestError(t, r.Trace, exact.Trace); got > 3*tolerance {
				t.Errorf("%s at %g K: temperatures are %g K off", follow, tolerance, got)
			}
			if r.Stats.Steps <= steps {
				t.Errorf("%s at %g K: %d steps, no more than at the tolerance before", follow, tolerance, r.Stats.Steps)
			}
			steps = r.Stats.Steps
		}
	}
}

// Samples that change nothing cost nothing: a machine that starts at its level takes the
// steps of one without samples, though a hundred samples lie in a step; and where speeds
// change, steps are cut at these samples alone.
func TestIdleSamplesCostNothing(t *testing.T) {
	coarse := every(0.1, straight("coolant"))
	coarse.Resolution, coarse.HysteresisUp, coarse.HysteresisDown = spec.Some(0.1), spec.Some(1), spec.Some(1)
	s := fanned(200, coarse)
	s.Start.Rule = "level"
	r := run(t, s)
	if r.Stats.Truncations != 0 || r.Stats.Restarts != 0 || r.Stats.Steps > 60 {
		t.Errorf("at rest: %d cuts, %d restarts, %d steps for 36 000 samples", r.Stats.Truncations, r.Stats.Restarts, r.Stats.Steps)
	}
	s.Start.Rule = ""
	r = run(t, s)
	changes := r.Speeds[0].Verdict.Changes
	if changes == 0 || r.Stats.Truncations > changes || r.Stats.Restarts > 2*changes {
		t.Errorf("warming: %d changes, %d cuts, %d restarts", changes, r.Stats.Truncations, r.Stats.Restarts)
	}
}

// Sampled ever finer, without steps of its output, a controller does what the
// continuous curve does: the difference falls with the period.
func TestFineSamplesTendToTheCurve(t *testing.T) {
	within := curve("coolant", 15, 200, 45, 1500) // no kink on the way
	made := func(c spec.Control) *sim.Result {
		s := fanned(200, c)
		front(s).Fans.Stop = spec.Some(0)
		onOff(s, 400, 300, forever)
		s.Duration = spec.Some(900)
		return run(t, loose(s, 1e-6))
	}
	ideal := made(within)
	before := math.Inf(1)
	for _, period := range []float64{8, 2, 0.5} {
		c := every(period, within)
		c.Resolution = spec.Some(0)
		got := largestError(t, made(c).Trace, ideal.Trace)
		if got > before/3 || got > 0.02*period {
			t.Errorf("samples every %g s: %g K from the continuous curve, after %g K", period, got, before)
		}
		before = got
	}
}

// Fans stand below off_below and run again above on_above, by the coolant at samples,
// and draw nothing while they stand.
func TestFansStandAndStartAgain(t *testing.T) {
	c := every(2, straight("coolant"))
	c.OffBelow, c.OnAbove = spec.Some(27+zeroCelsius), spec.Some(29.5+zeroCelsius)
	s := fanned(150, c)
	onOff(s, 600, 900, forever)
	s.Duration = spec.Some(4500)
	x := columns(t, run(t, s), "coolant_c", "front_fan_rpm", "front_fans_power_w")
	stops, starts := 0, 0
	for row := 2; row < len(x[1])-1; row++ {
		coolant, rpm := x[0][row], x[1][row]
		switch before := x[1][row-1]; {
		case before > 0 && rpm == 0:
			stops++
			if row%2 != 0 || coolant > 27 || x[0][row-2] <= 27 {
				t.Errorf("they stop after %d s at %g degC, after %g degC", row, coolant, x[0][row-2])
			}
		case before == 0 && rpm > 0:
			starts++
			if row%2 != 0 || coolant < 29.5 || x[0][row-2] >= 29.5 {
				t.Errorf("they start after %d s at %g degC, after %g degC", row, coolant, x[0][row-2])
			}
		}
		if (rpm == 0) != (x[2][row] == 0) {
			t.Fatalf("%g rpm draw %g W", rpm, x[2][row])
		}
	}
	if x[1][0] != 0 || starts != 3 || stops != 3 {
		t.Errorf("from %g rpm: %d starts and %d stops in three cycles", x[1][0], starts, stops)
	}
}

// Fans that cannot speed up faster than their spin-up do what a control whose slew is
// that slow makes them do; the slower of the two counts.
func TestSpinUpLimitsTheRise(t *testing.T) {
	speeds := func(slew, spinUp float64) []float64 {
		c := every(2, straight("cpu.die"))
		if slew > 0 {
			c.SlewUp = spec.Some(slew / 60)
		}
		s := fanned(200, c)
		if spinUp > 0 {
			front(s).Fans.SpinUp = spec.Some(spinUp / 60)
		}
		onOff(s, 300, 500, forever)
		return columns(t, run(t, s), "front_fan_rpm")[0]
	}
	slow, free := speeds(12, 0), speeds(0, 0)
	if slices.Equal(slow, free) {
		t.Fatal("12 rpm/s limits nothing: nothing was tested")
	}
	for _, c := range []struct{ slew, spinUp float64 }{{0, 12}, {30, 12}, {12, 30}} {
		if !slices.Equal(speeds(c.slew, c.spinUp), slow) {
			t.Errorf("a slew of %g rpm/s and a spin-up of %g rpm/s are not 12 rpm/s", c.slew, c.spinUp)
		}
	}
}

// Fans that stand begin at no less than their starting speed, whatever the curve asks
// for: the default is below what it asks for here, a stated one above it.
func TestFansStartAtTheirStartingSpeed(t *testing.T) {
	for _, start := range []float64{0, 900} {
		c := every(2, straight("coolant"))
		c.OffBelow, c.OnAbove = spec.Some(27+zeroCelsius), spec.Some(29.5+zeroCelsius)
		s := fanned(150, c)
		if start > 0 {
			front(s).Fans.Start = spec.Some(start / 60)
		}
		onOff(s, 600, 900, forever)
		x := columns(t, run(t, s), "coolant_c", "front_fan_rpm")
		starts := 0
		for row := 1; row < len(x[1]); row++ {
			if x[1][row-1] == 0 && x[1][row] > 0 {
				starts++
				near(t, fmt.Sprintf("first speed with a start of %g rpm", start), x[1][row], math.Max(start, 500+(x[0][row]-25)*1000/15), 0.01*ratedFan)
			}
		}
		if starts == 0 {
			t.Errorf("a start of %g rpm: they never start", start)
		}
	}
}

// A PI brings the coolant to its target and holds it there under any load that the
// fans can carry; the level of a phase is that target, or where the fans at full speed
// leave it.
func TestTargetIsHeld(t *testing.T) {
	target := spec.Control{Target: spec.Some(34 + zeroCelsius), Period: spec.Some(2), Resolution: spec.Some(0)}
	for _, power := range []float64{150, 200, 250} {
		s := fanned(power, target)
		s.Duration = spec.Some(5400)
		r := run(t, s)
		near(t, fmt.Sprintf("level at %g W", power), r.Phases[0].Level.Value-zeroCelsius, 34, 0.05)
		x := columns(t, r, "coolant_c", "front_fan_rpm")
		for row := 4500; row < len(x[0]); row += 100 {
			near(t, fmt.Sprintf("%g W: coolant after %d s", power, row), x[0][row], 34, 0.05)
		}
		if rpm := x[1][5000]; rpm < 300 || rpm > 1490 {
			t.Errorf("%g W: %g rpm, at an end of the range", power, rpm)
		}
		near(t, "slowest time constant beside that at a fixed speed", r.Modes[0].Tau, tauAt(t, power, x[1][5000]), 2)
	}
	s := fanned(450, target)
	full := fanned(450, spec.Control{})
	front(full).Fans.Speed = turns(ratedFan)
	want := leads(t, full).of("res.coolant")
	near(t, "level at 450 W", run(t, s).Phases[0].Level.Value, want, 1e-3)
	if want < 34+zeroCelsius+1 {
		t.Errorf("full speed holds %g K at 450 W: nothing was tested", want)
	}
}

// tauAt is the slowest time constant of fanned at a fixed speed, s.
func tauAt(t *testing.T, power, rpm float64) float64 {
	s := fanned(power, spec.Control{})
	front(s).Fans.Speed = turns(rpm)
	return run(t, s).Modes[0].Tau
}

// A pump that holds a temperature slows down where it is cold, but never stands: its loop
// would boil.
func TestPumpThatHoldsNeverStands(t *testing.T) {
	s := faulty(spec.Fault{})
	s.Chips[0].Power = watts(20)
	s.Loops[0].Parts[0].Pump.Speed = spec.Speed{}
	s.Loops[0].Parts[0].Pump.Control = spec.Control{Follow: "cpu.die", Target: spec.Some(90 + zeroCelsius), Period: spec.Some(2)}
	s.Start.Rule, s.Duration = "ambient", spec.Some(7200)
	r := run(t, s)
	rpm := columns(t, r, "pump_pump_rpm")[0]
	least := 0.2 * 60 * r.Plan.Controlled[0].Rated
	near(t, "speed at the end", rpm[len(rpm)-1], least, 1)
	known(t, "level", r.Phases[0].Level, last(t, r, "coolant_c")+zeroCelsius, .02)
}
