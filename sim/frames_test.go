package sim_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/sim"
	"soakledger/sim/fluid"
	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// frame returns the named table of a result.
func frame(t *testing.T, r *sim.Result, name string) *record.Frame {
	t.Helper()
	frames, err := r.Frames()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range frames {
		if f.Table().Name == name {
			return f
		}
	}
	t.Fatalf("there is no table %s", name)
	return nil
}

// cell returns a number of a row, and whether there is one.
func cell(f *record.Frame, column string, row int) (float64, bool) {
	col := f.Col(column)
	return f.Floats(col)[row], !f.IsNull(col, row)
}

// heatAndCool is a machine with a leaking die that warms for an hour and cools
// for another.
func heatAndCool() *spec.Scenario {
	s := machine(150)
	s.Chips[0].Idle, s.Chips[0].Leakage = spec.Some(10), leak(30, 60, 0.02)
	onOff(s, 3600, 3600, spec.Repeat{})
	s.Duration = spec.Number{}
	s.Figures.CoolantAt = []spec.Number{spec.Some(26.5 + zeroCelsius), spec.Some(80 + zeroCelsius)}
	return s
}

// The run's row is that of the heating phase, with some of the cooling phase
// under cool_, in trade units; what is missing is null and says why.
func TestRunRow(t *testing.T) {
	r := run(t, heatAndCool())
	f := frame(t, r, "runs")
	p, q := &r.Phases[0], &r.Phases[1]
	for column, want := range map[string]float64{
		"power_w": p.Power, "level_c": p.Level.Value - zeroCelsius, "rise_k": p.Level.Value - zeroCelsius - 22, "t95_s": p.Response[2].Value,
		"peak_at_s": p.PeakAt, "cpu_die_level_c": p.Nodes[0].Level.Value - zeroCelsius, "to_26_5_c_s": p.Marks[0].Value,
		"cool_power_w": q.Power, "cool_level_c": q.Level.Value - zeroCelsius, "cool_t63_s": q.Response[0].Value, "cool_to_within_1_k_s": q.Within[0].Value,
		"ambient_c": 22, "duration_s": 7200, "tau_1_s": r.Modes[0].Tau, "coolant_volume_ml": r.Plan.CoolantVolume * 1e6,
	} {
		if got, ok := cell(f, column, 0); !ok || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %g (%v), want %g", column, got, ok, want)
		}
	}
	if got, ok := cell(f, "flow_l_min", 0); !ok || math.Abs(got-4) > 1e-6 { // its table of mass flows is a cubic between temperatures
		t.Errorf("flow_l_min is %.9g (%v), want 4", got, ok)
	}
	if _, ok := cell(f, "to_80_c_s", 0); ok {
		t.Error("the coolant passes 80 degC")
	}
	if got := f.Texts(f.Col("missing"))[0]; !strings.Contains(got, "to_80_c_s: not reached in this phase") {
		t.Errorf("missing: %q", got)
	}
	if f.Ints(f.Col("heating_phase"))[0] != 1 || f.Ints(f.Col("phase_count"))[0] != 2 || f.Texts(f.Col("status"))[0] != "done" || !f.IsNull(f.Col("reason"), 0) {
		t.Error("heating phase, phase count, status or reason")
	}
	phases := frame(t, r, "phases")
	if got, _ := cell(phases, "level_c", 1); phases.Rows() != 2 || math.Abs(got-q.Level.Value+zeroCelsius) > 1e-9 {
		t.Errorf("%d phases, level of the second %g degC", phases.Rows(), got)
	}
}

// A run that only cools has no heating phase, and its row says so.
func TestRunRowWithoutHeating(t *testing.T) {
	s := oneNode(0, 1e-4)
	s.Lumps[0].Start = spec.Some(60 + zeroCelsius)
	r := run(t, s)
	f := frame(t, r, "runs")
	if !f.IsNull(f.Col("heating_phase"), 0) || !f.IsNull(f.Col("level_c"), 0) {
		t.Error("there is a heating phase")
	}
	if got := f.Texts(f.Col("missing"))[0]; !strings.Contains(got, "nothing warms") || !strings.Contains(got, "no cooling phase follows") {
		t.Errorf("missing: %q", got)
	}
	if len(r.Modes) != 1 || math.Abs(r.Modes[0].Tau-270) > 1e-9 {
		t.Errorf("modes %v, missing because %q", r.Modes, r.ModesWhy)
	}
}

// The time constants belong to the level of the heating phase, wherever the run
// ends: with a leakage they differ from those of the idle machine.
func TestModesOfTheHeatingPhase(t *testing.T) {
	s := heatAndCool()
	both := run(t, s).Modes
	s.Duration = spec.Some(3600)
	heating := run(t, s).Modes
	s.Chips[0].Power, s.Duration = watts(10), spec.Some(3600)
	idle := run(t, s).Modes
	near(t, "slowest time constant", both[0].Tau, heating[0].Tau, 1e-9)
	if math.Abs(idle[0].Tau-heating[0].Tau) < 0.1 {
		t.Errorf("idle has %g s as well, so this test shows nothing", idle[0].Tau)
	}
}

// What could harm is said, with the node it is about.
func TestCautions(t *testing.T) {
	warm := kettle(60)
	warm.Lumps = append(warm.Lumps, pool("spare", 100))
	warm.Links = []spec.Link{conduct("kettle", "ambient", 1), conduct("spare", "ambient", 1)}
	cold := machine(100)
	cold.Lumps = []spec.Lump{{Name: "chiller", HeldAt: spec.Some(5 + zeroCelsius)}}
	cold.Links = []spec.Link{conduct("res.coolant", "chiller", 100)}
	cold.Ambient.Humidity = spec.Some(0.5)
	for _, c := range []struct {
		name string
		s    *spec.Scenario
		want string
	}{
		{"hot coolant", warm, "coolant passes 60 degC (kettle reaches 78.4 degC)"},
		{"a cold node", cold, "within 2 K of the room's dew point of 11.1 degC or below it: water can condense on it"},
	} {
		all := run(t, c.s).Cautions()
		if len(all) != 1 || !strings.Contains(all[0], c.want) {
			t.Errorf("%s: cautions %q, want one with %q", c.name, all, c.want)
		}
	}
	quiet := machine(100)
	quiet.Ambient.Humidity = spec.Some(0.5)
	if all := run(t, quiet).Cautions(); len(all) != 0 {
		t.Errorf("a plain machine: %q", all)
	}
	damp := machine(100)
	damp.Ambient.Humidity = spec.Some(0.95) // dew point 21.2 degC, but nothing is colder than the room
	if all := run(t, damp).Cautions(); len(all) != 0 {
		t.Errorf("a damp room: %q", all)
	}
}

// The margin to the dew point is 2 K.
func TestCondensationMargin(t *testing.T) {
	s := machine(100)
	s.Lumps = []spec.Lump{{Name: "chiller", HeldAt: spec.Some(15 + zeroCelsius)}}
	s.Links = []spec.Link{conduct("res.coolant", "chiller", 100)}
	coldest := slices.Min(run(t, s).Lowest)
	for below, want := range map[float64]int{1.9: 1, 2.1: 0} {
		s.Ambient.Humidity = spec.Some(fluid.VapourPressure(coldest-below, 1) / fluid.VapourPressure(s.Ambient.Temperature.Value, 1))
		if all := run(t, s).Cautions(); len(all) != want {
			t.Errorf("a dew point %g K below the coldest node: %q", below, all)
		}
	}
}
