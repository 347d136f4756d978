package ode_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

// clock is y' = 1, so that y = t, and has a segment from 0 to 1 after one step.
func clock(t testing.TB) *ode.Integrator {
	t.Helper()
	it := started(t, scalar(constant(1), constant(0), constant(1)), nil, ode.Settings{Fixed: 1}, 0, 0)
	mustStep(t, it, 1)
	return it
}

func TestFirstCrossing(t *testing.T) {
	seg := clock(t).Segment()
	wave := func(t float64) float64 { return math.Sin(6 * t) } // zeros at 0 and pi/6, within the step
	for _, c := range []struct {
		name      string
		from      float64
		g         func(t float64) float64
		direction int
		want      float64 // NaN: none
	}{
		{"rising", 0, func(t float64) float64 { return t - 0.3 }, 1, 0.3},
		{"rising, asked for falling", 0, func(t float64) float64 { return t - 0.3 }, -1, math.NaN()},
		{"falling", 0, func(t float64) float64 { return 0.3 - t }, -1, 0.3},
		{"falling, asked for rising", 0, func(t float64) float64 { return 0.3 - t }, 1, math.NaN()},
		{"either", 0, func(t float64) float64 { return 0.3 - t }, 0, 0.3},
		{"none", 0, func(t float64) float64 { return t + 1 }, 0, math.NaN()},
		{"starts at zero", 0, wave, 0, math.Pi / 6},
		{"starts at zero, rising only", 0, wave, 1, math.NaN()},
		{"first of several", 0, func(t float64) float64 { return math.Cos(20 * t) }, 0, math.Pi / 40},
		{"first rising of several", 0, func(t float64) float64 { return math.Cos(20 * t) }, 1, 3 * math.Pi / 40},
		{"later start", 0.2, func(t float64) float64 { return math.Cos(20 * t) }, 0, 3 * math.Pi / 40},
		{"zero at the end", 0, func(t float64) float64 { return t - 1 }, 1, 1},
		{"zero at a probe", 0, func(t float64) float64 { return t - 0.5 }, 1, 0.5},
		{"touches at a probe", 0, func(t float64) float64 { return (t - 0.5) * (t - 0.5) }, 0, 0.5},
		{"touches at a probe, asked for rising", 0, func(t float64) float64 { return (t - 0.5) * (t - 0.5) }, 1, math.NaN()},
		{"steep", 0, func(t float64) float64 { return math.Tanh(1e9 * (t - 0.123)) }, 0, 0.123},
		{"flat", 0, func(t float64) float64 { return math.Pow(t-0.7, 9) }, 0, 0.7},
		{"jump of sign", 0, func(t float64) float64 { return math.Copysign(1, t-1.0/3) }, 0, 1.0 / 3},
		{"from the end", 1, func(t float64) float64 { return t - 0.3 }, 0, math.NaN()},
	} {
		got, found := ode.FirstCrossing(seg, c.from, c.g, c.direction)
		if found == math.IsNaN(c.want) || found && math.Abs(got-c.want) > 1.2e-12 {
			t.Errorf("%s: found %v at %v, want %v", c.name, found, got, c.want)
		}
	}
}

// Where the crossing of a random polynomial is, it is found to 1e-12 of the step, on its far side, with few calls,
// and a search that goes on from there does not find it again.
func TestFirstCrossingProperty(t *testing.T) {
	seg := clock(t).Segment()
	rapid.Check(t, func(t *rapid.T) {
		root := rapid.Float64Range(1e-3, 1).Draw(t, "root")
		k := math.Pow(10, rapid.Float64Range(-6, 6).Draw(t, "scale"))
		bend := rapid.Float64Range(-0.9, 3).Draw(t, "bend")
		sign := rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		calls := 0
		g := func(t float64) float64 {
			calls++
			d := t - root
			return sign * k * d * (1 + bend*d*d)
		}
		at, found := ode.FirstCrossing(seg, 0, g, 0)
		if !found || math.Abs(at-root) > 1.2e-12 {
			t.Fatalf("found %v at %v, want %v", found, at, root)
		}
		if sign*g(at) < 0 {
			t.Fatalf("g(%v) = %g still has its old sign", at, g(at))
		}
		if calls > 60 {
			t.Fatalf("took %d calls", calls)
		}
		if again, found := ode.FirstCrossing(seg, at, g, 0); found {
			t.Fatalf("found again at %v after %v", again, at)
		}
	})
}

// The van der Pol oscillator (eps = 1e-6) passes zero downwards and upwards in turn; a terminal event stops at the first
// crossing in its direction.
func TestSolveEvents(t *testing.T) {
	p := odetest.VDPOL()
	position := func(_ float64, y []float64) float64 { return y[0] }
	problem := ode.Problem{System: p.System, T1: p.T1, Y0: p.Y0, Events: []ode.Event{
		{Name: "down", G: position, Direction: -1},
		{Name: "up", G: position, Direction: 1},
		{Name: "half time", G: func(t float64, _ []float64) float64 { return t - 1.1 }},
	}}
	res, err := ode.Solve(problem, nil, p.Settings(1e-6))
	if err != nil {
		t.Fatal(err)
	}
	var order []int
	last := 0.0
	for _, c := range res.Crossings {
		order = append(order, c.Event)
		if c.T < last {
			t.Errorf("crossing at %g listed after one at %g", c.T, last)
		}
		last = c.T
		if c.Event < 2 && math.Abs(c.Y[0]) > 1e-5 {
			t.Errorf("event %d at %g with y = %g", c.Event, c.T, c.Y[0])
		}
	}
	if !slices.Equal(order, []int{0, 2, 1}) || res.Status != ode.Finished {
		t.Fatalf("events %v, status %v; want 0, 2, 1 and the end", order, res.Status)
	}
	if math.Abs(res.Crossings[1].T-1.1) > 1e-12 {
		t.Errorf("half time found at %v", res.Crossings[1].T)
	}

	problem.Events[1].Terminal = true
	var seen float64
	problem.Observe = func(seg *ode.Segment) { seen = seg.End() }
	cut, err := ode.Solve(problem, nil, p.Settings(1e-6))
	if err != nil {
		t.Fatal(err)
	}
	at := res.Crossings[2].T
	if cut.Status != ode.EventStop || cut.T != at || seen != at || len(cut.Crossings) != 3 {
		t.Errorf("terminal event: status %v at %v, observed to %v, %d crossings; want %v", cut.Status, cut.T, seen, len(cut.Crossings), at)
	}
	if !slices.Equal(cut.Y, cut.Crossings[2].Y) || !slices.Equal(cut.Y, res.Crossings[2].Y) {
		t.Errorf("state at the event %v, crossing %v", cut.Y, cut.Crossings[2].Y)
	}
}

// A terminal event hides what would have come after it in the same step, but not what came before.
func TestTerminalEventOrder(t *testing.T) {
	at := func(v float64) func(float64, []float64) float64 {
		return func(_ float64, y []float64) float64 { return y[0] - v }
	}
	res, err := ode.Solve(ode.Problem{
		System: scalar(constant(1), constant(0), constant(1)), T1: 10, Y0: []float64{0, 0},
		Events: []ode.Event{{G: at(7)}, {G: at(5), Terminal: true}, {G: at(3)}},
	}, nil, ode.Settings{Fixed: 10})
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Crossings) != 2 || res.Crossings[0].Event != 2 || res.Crossings[1].Event != 1 || math.Abs(res.T-5) > 1e-11 {
		t.Errorf("got %+v", res)
	}
}

// All crossings of one event within one step are recorded.
func TestSeveralCrossingsInAStep(t *testing.T) {
	res, err := ode.Solve(ode.Problem{
		System: scalar(constant(1), constant(0), constant(1)), T1: 10, Y0: []float64{0, 0},
		Events: []ode.Event{{G: func(_ float64, y []float64) float64 { return math.Cos(0.9 * y[0]) }}},
	}, nil, ode.Settings{Fixed: 10})
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Crossings) != 3 {
		t.Fatalf("%d crossings, want 3", len(res.Crossings))
	}
	for k, c := range res.Crossings {
		if want := (float64(k) + 0.5) * math.Pi / 0.9; math.Abs(c.T-want) > 2e-11 {
			t.Errorf("crossing %d at %v, want %v", k, c.T, want)
		}
	}
}

// A driver with its own loop: a thermostat that switches at events keeps its temperature in the band, and every
// switch is found once.
func TestThermostat(t *testing.T) {
	sys := &heater{100}
	it := started(t, sys, nil, heaterTol, 0, 0, 0)
	switches := 0
	for it.Time() < 200 {
		mustStep(t, it, 200)
		seg := it.Segment()
		limit, direction := 30.0, 1
		if sys.power == 0 {
			limit, direction = 20, -1
		}
		g := func(t float64) float64 { return seg.At(1, t) - limit }
		if at, found := ode.FirstCrossing(seg, seg.Start(), g, direction); found {
			it.TruncateTo(at)
			sys.power = 100 - sys.power
			switches++
		}
		if v := it.State()[1]; v > 30.6 || it.Time() > 50 && v < 19.9 {
			t.Fatalf("out of the band: %g at %g", v, it.Time())
		}
	}
	// As one lump of time constant 102 it would take 17 to reach 30, then 41 down and 6 up in turn: 8 switches.
	if switches < 7 || switches > 9 || it.Stats().Truncations != switches {
		t.Errorf("%d switches, %+v", switches, it.Stats())
	}
}
