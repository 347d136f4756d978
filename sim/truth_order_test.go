package sim_test

import (
	"fmt"
	"testing"

	"soakledger/sim/spec"
)

// At one time faults come before throttles, in the events as in what they do: here both
// wait for the same temperature of the die.
func TestFaultsComeFirst(t *testing.T) {
	r := run(t, stated(t, fmt.Sprintf(lone, "320 W", "throttle: {at: 95 degC, release: 60 degC, to: 10 W}", "60 s")+
		"faults: [{name: warm, when: {node: cpu.die, above: 95 degC}, ambient: 1 K}]\n"))
	if len(r.Events) < 2 || r.Events[0].Time != r.Events[1].Time {
		t.Fatalf("events %v: nothing was tested", r.Events)
	}
	if r.Events[0].Kind != "fault" || r.Events[1].Kind != "throttle" {
		t.Errorf("at %g s %v comes before %v", r.Events[0].Time, r.Events[0].Kind, r.Events[1].Kind)
	}
}

// A condition that holds from the start makes its fault happen there, and two faults that
// wait for one temperature happen at one time.
func TestConditionsMetAtOneTime(t *testing.T) {
	s := stated(t, stopped, "stop.at=0.5 s", "stop.speed=100 %")
	s.Duration, s.Record.Every = spec.Some(600), spec.Some(1)
	waits := func(name string, above float64, f spec.Fault) spec.Fault {
		f.Name, f.When = name, spec.When{Node: "reservoir.coolant", Above: spec.Some(above + zeroCelsius)}
		return f
	}
	s.Faults = []spec.Fault{
		waits("now", 25, spec.Fault{Of: "front", Speed: spec.Some(0.3)}), // the level is above 30 degC
		waits("one", 40, spec.Fault{Of: "front", Speed: spec.Some(0.2)}),
		waits("two", 40, spec.Fault{Of: "pump", Speed: spec.Some(0.5)}),
	}
	r := run(t, s)
	var times []float64
	for _, e := range r.Events {
		if e.Kind == "fault" {
			times = append(times, e.Time)
		}
	}
	if len(times) != 3 {
		t.Fatalf("events %v: nothing was tested", r.Events)
	}
	near(t, "time of a condition that holds from the start", times[0], 0, 0)
	if times[1] != times[2] {
		t.Errorf("two faults of one temperature happen at %v s and %v s", times[1], times[2])
	}
}

// Level and time constants of a phase are those of the machine as it was in it, not as a
// later fault left it.
func TestTimeConstantsBeforeAFault(t *testing.T) {
	const text = `
ambient: 22 degC
chips: [{name: cpu, class: workstation, power: 200 W}]
loop:
  - {part: reservoir, name: reservoir, class: typical}
  - {part: pump, name: pump, class: large, speed: 60 %}
  - {part: block, name: cpu_block, cools: cpu}
  - {part: radiator, name: front, size: 360 mm, thickness: 30 mm, fins_per_inch: 16, fans: 900 rpm}
work: {on: 30 min, off: 10 min}
faults: [{name: later, at: 35 min, of: pump, speed: 30 %}]
`
	broken, whole := run(t, stated(t, text)), run(t, stated(t, text, "later.at=50 min"))
	if broken.Heating != 0 || whole.Heating != 0 || len(broken.Modes) == 0 {
		t.Fatalf("heating phases %d and %d", broken.Heating, whole.Heating)
	}
	near(t, "level", broken.Phases[0].Level.Value, whole.Phases[0].Level.Value, 1e-6)
	for k := range 3 {
		near(t, fmt.Sprintf("time constant %d", k), broken.Modes[k].Tau, whole.Modes[k].Tau, 1e-6*whole.Modes[k].Tau)
	}
	near(t, "flow", broken.Flows[0], whole.Flows[0], 1e-9)
}
