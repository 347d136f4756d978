package sim_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// beset is a machine with a sampled curve, a throttle, a power limit and faults, at
// times and on conditions.
const beset = `
ambient: 23 degC
chips:
  - name: cpu
    class: desktop with spreader
    power: 220 W
    idle: 20 W
    work: bursts
    throttle: {at: 75 degC, release: 70 degC, to: 50 %}
    limits: [{long: 180 W, short: 210 W, time: 20 s}]
loop:
  - {part: reservoir, name: reservoir, class: small}
  - {part: pump, name: pump, class: small, speed: 80 %}
  - {part: block, name: cpu_block, cools: cpu}
  - part: radiator
    name: top
    size: 240 mm
    thickness: 30 mm
    fins_per_inch: 16
    fans: {curve: {follow: cpu.die, points: [[35 degC, 600 rpm], [75 degC, 1400 rpm]], period: 1 s, hysteresis_up: 0.5 K, hysteresis_down: 1 K, sensor: {lag: 3 s}}}
work: [{name: bursts, on: 70 s, off: 50 s, repeat: 15}]
faults:
  - {name: slow, at: 500.5 s, of: top, speed: 60 %}
  - {name: weak, when: {node: reservoir.coolant, above: 37 degC}, of: pump, speed: 50 %}
  - {name: window, at: 900 s, ambient: 3 K}
`

// What is sampled, switches and breaks happens at the same times whatever the tolerance
// of the steps, within what the temperatures may be off, and so the temperatures agree
// to the tolerance, the work lost too.
func TestNothingDependsOnSteps(t *testing.T) {
	at := func(tolerance float64) *sim.Result { return run(t, loose(stated(t, beset), tolerance)) }
	exact := at(1e-7)
	kinds := map[string]int{}
	for _, e := range exact.Events {
		kinds[e.Kind]++
	}
	if kinds["fault"] != 3 || kinds["limit"] < 5 || kinds["throttle"] < 5 || exact.Speeds[0].Verdict.Changes < 100 {
		t.Fatalf("%v, %d changes of speed: nothing was tested", kinds, exact.Speeds[0].Verdict.Changes)
	}
	for _, tolerance := range []float64{2e-3, 2e-4, 2e-5} {
		r := at(tolerance)
		if len(r.Events) != len(exact.Events) {
			t.Errorf("at %g K: %d events, %d with finer steps", tolerance, len(r.Events), len(exact.Events))
			continue
		}
		worst := 0.0
		for i, e := range r.Events {
			if e.Kind != exact.Events[i].Kind {
				t.Fatalf("at %g K: event %d is %v, with finer steps %v", tolerance, i, e, exact.Events[i])
			}
			worst = math.Max(worst, math.Abs(e.Time-exact.Events[i].Time))
		}
		// Where they switch temperatures move by some 0.05 K/s at least.
		near(t, fmt.Sprintf("times at %g K", tolerance), worst, 0, tolerance/0.05)
		near(t, fmt.Sprintf("work lost at %g K", tolerance), r.Protections[0].Lost, exact.Protections[0].Lost, 220*tolerance/0.05*float64(len(r.Events)))
		near(t, fmt.Sprintf("changes of speed at %g K", tolerance), float64(r.Speeds[0].Verdict.Changes), float64(exact.Speeds[0].Verdict.Changes), 0)
		t.Logf("at %g K: events within %.2g s, work lost within %.2g J, %d steps, %d restarts", tolerance, worst, math.Abs(r.Protections[0].Lost-exact.Protections[0].Lost), r.Stats.Steps, r.Stats.Restarts)
	}
}

// Every restart is for something that happened: a change of load, of speed, a switch or
// a fault. Samples, conditions and limits that are looked at and change nothing cost none.
func TestRestartsAreForChanges(t *testing.T) {
	r := run(t, stated(t, beset))
	breaks := len(r.Phases) - 1
	most := breaks + 2*r.Speeds[0].Verdict.Changes + 2*len(r.Events) // a cut counts as one, what follows it as one
	if r.Stats.Restarts > most || r.Stats.Restarts < breaks+r.Speeds[0].Verdict.Changes {
		t.Errorf("%d restarts for %d breaks, %d changes of speed and %d events", r.Stats.Restarts, breaks, r.Speeds[0].Verdict.Changes, len(r.Events))
	}
	quiet := stated(t, beset, "cpu.power=20 W", "cpu.throttle.at=110 degC", "cpu.throttle.release=105 degC", "top.fans.curve.hysteresis_up=20 K", "weak.when.above=90 degC")
	quiet.Work, quiet.Chips[0].Work, quiet.Duration = nil, "", spec.Some(1800)
	quiet.Faults = quiet.Faults[1:2]
	r = run(t, quiet)
	if r.Stats.Restarts != 0 || r.Stats.Truncations != 0 || len(r.Events) != 0 {
		t.Errorf("%d restarts, %d cuts, events %v for 1800 samples that change nothing", r.Stats.Restarts, r.Stats.Truncations, r.Events)
	}
}

// Property: whatever machine is controlled, limited, throttled and broken, its ledger
// closes, two runs give the same frames to the bit, events come in order, and at one time
// faults come before limits and throttles.
func TestDrawnTroublesCloseAndRepeat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawTroubled(t)
		if problems := spec.Check(s); problems != nil {
			t.Fatalf("not sound: %v", problems)
		}
		s = startable(s)
		var frames [2]any
		for i := range frames {
			r, err := attempt(s, sim.Settings{})
			if err != nil {
				t.Fatal(err)
			}
			if in, out, stored := r.Totals(); in+math.Abs(out)+math.Abs(stored) > 1000 && !(r.Ledger.Relative() <= sim.LedgerLimit) {
				t.Fatalf("the ledger leaves %g", r.Ledger.Relative())
			}
			finite(t, r)
			inOrder(t, r.Events)
			if frames[i], err = r.Frames(); err != nil {
				t.Fatal(err)
			}
		}
		if !reflect.DeepEqual(frames[0], frames[1]) {
			t.Fatal("two runs differ")
		}
	})
}

// inOrder fails unless events come in the order of their times, faults first.
func inOrder(t *rapid.T, events []sim.Event) {
	for i := 1; i < len(events); i++ {
		if a, b := events[i-1], events[i]; b.Time < a.Time || b.Time == a.Time && b.Kind == "fault" && a.Kind != "fault" {
			t.Fatalf("%v comes after %v", b, a)
		}
	}
}

// drawTroubled draws a controlled machine whose chip throttles and has limits, and
// whose pump, fans and room have faults.
func drawTroubled(t *rapid.T) *spec.Scenario {
	s, _ := drawControlled(t)
	d := drawer{t}
	chip := &s.Chips[0]
	if d.flip("leaks") {
		chip.Leakage = leak(d.number("leakage", 0, 20), 60, d.number("growth", 0, 0.02))
	}
	if d.flip("throttles") {
		at := d.number("throttle", 45, 100)
		chip.Throttle = spec.Throttle{At: spec.Some(at + zeroCelsius), Release: spec.Some(at - d.number("band", 1, 10) + zeroCelsius), To: share(d.number("to", 0.1, 0.9))}
	}
	for range rapid.IntRange(0, 2).Draw(t, "limits") {
		long := d.number("long", 20, 200)
		chip.Limits = append(chip.Limits, spec.Limit{Long: spec.Some(long), Short: spec.Some(long * d.number("short", 1.05, 2)), Time: spec.Some(d.number("limit's time", 1, 100))})
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "faults") {
		f := spec.Fault{Name: fmt.Sprintf("fault%d", i)}
		if d.flip("at a time") {
			f.At = spec.Some(rapid.SampledFrom([]float64{0, 1, 7.7, 30, 100.25}).Draw(t, "at"))
		} else {
			f.When = spec.When{Node: rapid.SampledFrom([]string{"cpu.die", "res.coolant"}).Draw(t, "node"), Above: spec.Some(d.number("above", 20, 60) + zeroCelsius)}
		}
		switch rapid.SampledFrom([]string{"warm the room", "slow", "stand", "close", "lose"}).Draw(t, "does") {
		case "warm the room":
			f.Ambient = spec.Some(d.number("ambient", -5, 8))
		case "slow":
			f.Of, f.Speed = "rad0", spec.Some(d.number("speed", 0, 1))
		case "stand":
			f.Of, f.Failed = "rad0", spec.Some(1)
		case "close":
			f.Of, f.Blocked = "rad0", spec.Some(d.number("closed", 0.1, 0.6))
		case "lose":
			f.Of, f.Lost = "res", spec.Some(d.number("lost", 0.01, 0.5))
		}
		s.Faults = append(s.Faults, f)
	}
	return s.Named()
}

// Faults and a jump of the load at one instant, which is a sample too, act from that
// instant on, and begin one phase together; limits count from there.
func TestOrderAtOneInstant(t *testing.T) {
	s := stated(t, `
ambient: 25 degC
chips:
  - {name: cpu, class: workstation, power: 200 W, work: w, limits: [{long: 120 W, short: 200 W, time: 20 s}]}
loop:
  - {part: reservoir, name: reservoir, class: typical}
  - {part: pump, name: pump, class: large, speed: 60 %}
  - {part: block, name: cpu_block, cools: cpu}
  - {part: radiator, name: front, size: 360 mm, thickness: 30 mm, fins_per_inch: 16, fans: {curve: {follow: coolant, rises: [[0 K, 500 rpm], [20 K, 1500 rpm]], period: 1 s, resolution: 0 %}}}
start: level
duration: 120 s
record: {resolution: 0 mK}
work: [{name: w, steps: [{for: 40 s, power: 40 W}, {for: 80 s, power: 200 W}]}]
faults:
  - {name: hot, at: 40 s, ambient: -4 K}
  - {name: slow, at: 40 s, of: pump, speed: 50 %}
`)
	r := run(t, s)
	var texts []string
	for _, e := range r.Events {
		texts = append(texts, fmt.Sprintf("%s %.6g", e.Kind, e.Time))
	}
	boost := 40 + 20*math.Log(160.0/80)
	if want := []string{"fault 40", "fault 40", fmt.Sprintf("limit %.6g", boost)}; !slices.Equal(texts, want) {
		t.Errorf("events %q, want %q", texts, want)
	}
	if len(r.Phases) != 2 || r.Phases[1].From != 40 {
		t.Errorf("%d phases: faults and the load at one time begin one", len(r.Phases))
	}
	x := columns(t, r, "cpu_power_w", "pump_pump_rpm", "flow_l_min")
	near(t, "power from the instant on", x[0][40], 200, 0)
	near(t, "speed of the pump over that before", x[1][40]/x[1][39], 0.5, 1e-9)
	if !(x[2][40] < 0.6*x[2][39]) {
		t.Errorf("the flow goes from %g to %g L/min", x[2][39], x[2][40])
	}
}
