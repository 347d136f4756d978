package sim_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// A controller samples a machine that already has its fault: a curve over rises sees, at
// the very instant, the room as the fault has left it, and the trace shows that room.
func TestSampleSeesTheFault(t *testing.T) {
	r := run(t, stated(t, `
ambient: 25 degC
chips: [{name: cpu, class: workstation, power: 200 W}]
loop:
  - {part: reservoir, name: reservoir, class: typical}
  - {part: pump, name: pump, class: large, speed: 60 %}
  - {part: block, name: cpu_block, cools: cpu}
  - {part: radiator, name: front, size: 360 mm, thickness: 30 mm, fins_per_inch: 16, fans: {curve: {follow: coolant, rises: [[0 K, 500 rpm], [20 K, 1500 rpm]], period: 2 s, resolution: 0 %}}}
start: level
duration: 60 s
record: {resolution: 0 mK}
faults: [{name: hot, at: 40 s, ambient: 4 K}]
`))
	x := columns(t, r, "ambient_c", "coolant_c", "front_fan_rpm")
	near(t, "the room before", x[0][39], 25, 1e-9)
	near(t, "the room from the fault on", x[0][40], 29, 1e-9)
	near(t, "the room at the end", x[0][60], 29, 1e-9)
	for _, row := range []int{38, 40, 42} {
		room := 25.0
		if row >= 40 {
			room = 29
		}
		near(t, fmt.Sprintf("speed after %d s", row), x[2][row], 500+50*(x[1][row]-room), 1e-6)
	}
}

// A start from the level is one from what lasts: a chip that is asked for more than its
// long limit begins where that limit leads, and stays there.
func TestStartAtTheLevelOfALimit(t *testing.T) {
	s := stated(t, fmt.Sprintf(lone, "253 W", "limits: [{long: 125 W, short: 253 W, time: 56 s}]", "300 s")+"start: level\n")
	r := run(t, s)
	p := r.Phases[0]
	known(t, "level", p.Level, 25+0.25*125+zeroCelsius, 1e-6)
	near(t, "start", p.Begin, p.Level.Value, 1e-3)
	near(t, "end", p.End, p.Level.Value, 1e-3)
}

// ramped is a chip that is asked for 20 W, then for up to 400 W and back along straight
// lines.
const ramped = `work: [{name: w, steps: [{for: 100 s, power: 20 W}, {for: 100 s, power: 20 W, to: 400 W}, {for: 100 s, power: 400 W, to: 20 W}, {for: 100 s, power: 20 W}]}]
start: level
`

// A short limit is never passed, however long the steps, also when what is asked for
// passes it inside of a step.
func TestShortLimitUnderARamp(t *testing.T) {
	for _, tolerance := range []float64{2e-2, 2e-4, 2e-6} {
		s := loose(stated(t, fmt.Sprintf(lone, "253 W", "work: w, limits: [{long: 199 W, short: 200 W, time: 56 s}]", "400 s")+ramped), tolerance)
		if most := slices.Max(columns(t, run(t, s), "cpu_power_w")[0]); most > 200+0.02 {
			t.Errorf("at %g K: up to %g W are drawn, 200 W are allowed", tolerance, most)
		}
	}
}

// A throttle to half of what is asked for halves a ramp as it halves a level, to the
// 0.02 W below which nothing is set anew, at any length of steps.
func TestThrottleHalvesARamp(t *testing.T) {
	for _, tolerance := range []float64{2e-2, 2e-4, 2e-6} {
		s := loose(stated(t, fmt.Sprintf(lone, "253 W", "work: w, throttle: {at: 45 degC, release: 35 degC, to: 50 %}", "400 s")+ramped), tolerance)
		s.Start = spec.Start{Nodes: []spec.StartNode{{Node: "cpu.die", Temperature: 50 + zeroCelsius}}}
		s.Ambient.Temperature = spec.Some(36 + zeroCelsius) // it never releases
		r := run(t, s)
		if len(r.Events) != 0 {
			t.Fatalf("events %v: nothing was tested", r.Events)
		}
		want := (200*20 + 2*100*210) / 2.0
		near(t, fmt.Sprintf("energy at %g K", tolerance), total(r), want, 0.02*400)
	}
}

// The time of a boost does not depend on the steps beyond the tolerance where the power
// that it averages changes within them: by a ramp, or by leakage.
func TestBoostTimesDoNotDependOnSteps(t *testing.T) {
	for what, chip := range map[string]string{
		"a ramp":  "work: w, limits: [{long: 125 W, short: 200 W, time: 56 s}]",
		"leakage": "work: w, leakage: {power: 30 W, at: 60 degC, growth: 2 %/K}, limits: [{long: 125 W, short: 300 W, time: 56 s}]",
	} {
		text := fmt.Sprintf(lone, "253 W", chip, "400 s") + ramped
		if what == "leakage" {
			text = fmt.Sprintf(lone, "253 W", chip, "200 s") + "work: [{name: w, steps: [{for: 100 s, power: 20 W}, {for: 100 s, power: 253 W}]}]\nstart: level\n"
		}
		first := func(tolerance float64) (time, lost float64) {
			r := run(t, loose(stated(t, text), tolerance))
			i := slices.IndexFunc(r.Events, func(e sim.Event) bool { return e.Kind == "limit" })
			if i < 0 {
				return math.Inf(1), r.Protections[0].Lost
			}
			return r.Events[i].Time, r.Protections[0].Lost
		}
		exact, lost := first(1e-7)
		for _, tolerance := range []float64{2e-3, 2e-4, 2e-5} {
			time, l := first(tolerance)
			// The die moves by 1 K/s or more while it boosts, its power with it.
			near(t, fmt.Sprintf("%s: cut at %g K", what, tolerance), time, exact, 10*tolerance)
			near(t, fmt.Sprintf("%s: work lost at %g K", what, tolerance), l, lost, 15*tolerance*253+0.02*100) // and 0.02 W, below which nothing is set anew
		}
	}
}

// Fans that follow a curve by samples and keep 60 % of what they are told go on
// following it: the level after the fault is where a long run ends.
func TestLevelOfSlowedFans(t *testing.T) {
	s := stated(t, `
ambient: 22 degC
chips: [{name: cpu, class: workstation, power: 300 W}]
loop:
  - {part: reservoir, name: reservoir, class: typical}
  - {part: pump, name: pump, class: large, speed: 60 %}
  - {part: block, name: cpu_block, cools: cpu}
  - {part: radiator, name: front, size: 360 mm, thickness: 30 mm, fins_per_inch: 16, fans: {curve: {follow: coolant, points: [[25 degC, 500 rpm], [45 degC, 1500 rpm]], period: 2 s, resolution: 0 %}}}
start: level
duration: 3 h
faults: [{name: weak, at: 10 min, of: front, speed: 60 %}]
`)
	r := run(t, s)
	p := r.Phases[len(r.Phases)-1]
	if p.From != 600 || p.End < p.Begin+2 {
		t.Fatalf("the last phase begins at %g s and warms by %g K: nothing was tested", p.From, p.End-p.Begin)
	}
	known(t, "level", p.Level, p.End, 0.01)
}

// Of several faults of one device the least share counts, as for any: on a continuous
// curve too, where the speed is held at that share of what it then was.
func TestLeastShareCounts(t *testing.T) {
	for what, c := range map[string]spec.Control{"continuous": straight("coolant"), "sampled": every(1, straight("coolant"))} {
		for _, second := range []float64{0.5, 0.8} {
			s := fanned(150, c)
			s.Start.Rule, s.Duration = "level", spec.Some(120)
			for i, left := range []float64{0.5, second} {
				s.Faults = append(s.Faults, spec.Fault{Name: fmt.Sprintf("f%d", i), At: spec.Some(float64(50 + i)), Of: "front", Speed: spec.Some(left)})
			}
			rpm := columns(t, run(t, s), "front_fan_rpm")[0]
			near(t, fmt.Sprintf("%s: speed with 50 %% left over that before", what), rpm[50]/rpm[49], 0.5, 1e-6)
			near(t, fmt.Sprintf("%s: speed with 50 %% and %.0f %% left over that before", what, 100*second), rpm[51]/rpm[49], 0.5, 1e-2)
		}
	}
}

// All fans of a row that follow the die may fail, one after the other: the run goes on
// with what a draught leaves. The last of them may be the last thing that acts.
func TestEveryFanMayFail(t *testing.T) {
	for what, c := range map[string]spec.Control{"by the coolant": straight("coolant"), "by the die": straight("cpu.die"), "sampled": every(1, straight("cpu.die"))} {
		for _, closed := range []bool{false, true} {
			s := fanned(60, c)
			s.Start.Rule, s.Duration = "level", spec.Some(120)
			s.Faults = []spec.Fault{
				{Name: "one", At: spec.Some(30), Of: "front", Failed: spec.Some(1)},
				{Name: "two", At: spec.Some(60), Of: "front", Failed: spec.Some(1)},
			}
			if closed {
				s.Faults = append(s.Faults, spec.Fault{Name: "dust", At: spec.Some(10), Of: "front", Blocked: spec.Some(0.5)})
			}
			r, err := sane(s)
			if err != nil {
				t.Errorf("%s, closed %v: %v", what, closed, err)
				continue
			}
			if r.Status != sim.Done || len(r.Events) < 2 {
				t.Errorf("%s, closed %v: %s, %s, events %v", what, closed, r.Status, r.Reason, r.Events)
			}
		}
	}
}

// sane runs a scenario; a panic is an error.
func sane(s *spec.Scenario) (r *sim.Result, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	return attempt(s, sim.Settings{})
}
