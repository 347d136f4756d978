package sim_test

import (
	"math"
	"testing"

	"soakledger/sim/spec"
)

// The noise of a run is that of its level: of fans under a curve at the speed to which they
// settle, 50 lg of the ratio below that of the curve's top.
func TestNoiseIsThatOfTheLevel(t *testing.T) {
	r := run(t, shipped(t, "hot_afternoon"))
	f := frame(t, r, "runs")
	at, _ := cell(f, "noise_dba", 0)
	most, _ := cell(f, "noise_most_dba", 0)
	settled, ok := cell(f, "front_fan_rpm", 0)
	between(t, "speed at the level beside that at the end, rpm", settled/(60*r.Speeds[0].Last), 0.999, 1.001)
	if !ok || settled >= 1500 {
		t.Fatalf("the fans settle at %g rpm (known: %v), and the top of their curve is 1500", settled, ok)
	}
	near(t, "noise at the level under the most", at-most, 50*math.Log10(settled/1500), 1e-9)

	fixed := run(t, shipped(t, "push_pull"))
	f = frame(t, fixed, "runs")
	if level, ok := cell(f, "noise_dba", 0); !ok || level != fixed.Plan.Noise() || f.Col("noise_most_dba") >= 0 {
		t.Errorf("fans that follow nothing: %g dBA (known: %v) of %g", level, ok, fixed.Plan.Noise())
	}
	cycling := run(t, shipped(t, "zero_rpm"))
	f = frame(t, cycling, "runs")
	if _, ok := cell(f, "noise_dba", 0); ok {
		t.Error("a load without a level has its noise")
	}
	if _, ok := cell(f, "noise_most_dba", 0); !ok {
		t.Error("nor is the most known")
	}
}

// A fan that a fault stops is no controlled one: until then it is as loud as it is stated.
func TestNoiseBeforeAFault(t *testing.T) {
	r := run(t, shipped(t, "fans_stop"))
	f := frame(t, r, "runs")
	level, ok := cell(f, "noise_dba", 0)
	if !ok || math.Abs(level-r.Plan.Noise()) > 1e-9 {
		t.Errorf("%g dBA (known: %v), stated %g", level, ok, r.Plan.Noise())
	}
}

// What was highest in the whole run is a figure of its own: of bursts the phase with the
// largest warming is not the hottest.
func TestHighestOfTheWholeRun(t *testing.T) {
	s := shipped(t, "curve_on_coolant")
	s.Duration = spec.Some(600)
	r := run(t, s)
	f := frame(t, r, "runs")
	for column, trace := range map[string]string{"highest_c": "coolant_c", "gpu_die_highest_c": "gpu_die_c"} {
		got, ok := cell(f, column, 0)
		if want := highest(t, r, trace); !ok || got < want-1e-3 || got > want+0.5 { // a row a second may miss the peak
			t.Errorf("%s is %g (known: %v), the trace's %g", column, got, ok, want)
		}
	}
	all, _ := cell(f, "highest_c", 0)
	phase, _ := cell(f, "peak_c", 0)
	if !(all > phase+1) {
		t.Errorf("highest %g, peak of the heating phase %g degC", all, phase)
	}
}
