package assemble_test

import (
	"math"
	"reflect"
	"testing"

	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

// The assumed list of a scenario that states nothing but a power and a
// conductance, in order and to the last field. The values are the defaults of
// package part.
func TestAssumedOfABareScenario(t *testing.T) {
	_, assumed := assemble.Complete(bare())
	want := []struct {
		path  string
		value float64
		text  string
	}{
		{"ambient.temperature", 295.15, ""}, {"coolant.fluid", 0, "water"},
		{"cpu.die_to_plate", 0.14, ""}, {"cpu.die_share", 0.4, ""}, {"cpu.die_capacity", 3, ""}, {"cpu.spreader_capacity", 20, ""}, {"cpu.shutdown", 388.15, ""},
		{"pump_1.flow", 4e-3 / 60, ""}, {"pump_1.power", 10, ""}, {"pump_1.holds", 50e-6, ""},
		{"tube_1.bore", 0.010, ""}, {"tube_1.length", 0.4, ""},
		{"block_1.film_conductance", 50, ""}, {"block_1.plate_capacity", 70, ""}, {"block_1.holds", 25e-6, ""},
		{"front.per", 0, "inlet"}, {"front.test_flow", 4e-3 / 60, ""}, {"front.film_conductance", 108, ""}, {"front.metal_capacity", 400, ""}, {"front.holds", 200e-6, ""},
		{"reservoir_1.volume", 200e-6, ""},
	}
	for i, a := range assumed {
		if i >= len(want) {
			t.Errorf("%s is assumed as well", a.Path)
			continue
		}
		if w := want[i]; a.Path != w.path || math.Abs(a.Value-w.value) > 1e-12*math.Abs(w.value) || a.Text != w.text {
			t.Errorf("assumed %d is %s = %g %s, want %s = %g %s", i, a.Path, a.Value, a.Text, w.path, w.value, w.text)
		}
		if a.Source == "" || a.Text == "" && (a.Dimension == "" || !(a.Low < a.Value && a.Value < a.High)) {
			t.Errorf("%s lacks a source, a dimension or a range around it: %+v", a.Path, a)
		}
	}
	if len(assumed) < len(want) {
		t.Errorf("%s and what follows is not assumed", want[len(assumed)].path)
	}
}

// What Complete returns needs nothing more, and every assumed number can be
// found under its path.
func TestCompleteIsIdempotent(t *testing.T) {
	s := bare()
	s.Chips[0].Leakage.Power = spec.Some(20)
	s.Chips[0].Work = "load"
	s.Work = []spec.Work{{Name: "load", On: spec.Some(60), Off: spec.Some(60)}}
	once, assumed := assemble.Complete(s)
	twice, again := assemble.Complete(once)
	if len(again) != 0 {
		t.Errorf("completed again, %s is assumed", again[0].Path)
	}
	if !reflect.DeepEqual(once, twice) {
		t.Errorf("completed again, it is another scenario:\n%+v\n%+v", once, twice)
	}
	for _, a := range assumed {
		v, err := once.Get(a.Path)
		if err != nil || a.Text == "" && v.Type == spec.TypeNumber && v.Number != a.Value {
			t.Errorf("%s is %v (%v), assumed %g", a.Path, v, err, a.Value)
		}
	}
	if problems := spec.Check(once); problems != nil {
		t.Errorf("a completed scenario is not sound: %v", problems[0])
	}
}

func TestCompleteLeavesItsInputAlone(t *testing.T) {
	s, same := bare(), bare()
	completed, _ := assemble.Complete(s)
	if !reflect.DeepEqual(s, same) {
		t.Error("the scenario was changed")
	}
	completed.Loops[0].Parts[0].Pump.Flow.Value = 1
	completed.Chips[0].Name = "other"
	if !reflect.DeepEqual(s, same) {
		t.Error("the completed scenario shares memory with the stated one")
	}
}

// What is stated is not assumed.
func TestStatedIsNotAssumed(t *testing.T) {
	s := bare()
	part(s, "tube_1").Holds = spec.Some(30e-6)
	part(s, "reservoir_1").Holds = spec.Some(150e-6)
	part(s, "pump_1").Power = watts(6)
	s.Coolant = spec.Coolant{Fluid: "water"}
	_, assumed := assemble.Complete(s)
	for _, a := range assumed {
		switch a.Path {
		case "tube_1.bore", "tube_1.length", "reservoir_1.volume", "pump_1.power", "coolant.fluid":
			t.Errorf("%s is assumed", a.Path)
		}
	}
}

// A scenario without coolant assumes none.
func TestNoCoolantIsAssumedWithoutNeed(t *testing.T) {
	s := &spec.Scenario{Lumps: []spec.Lump{{Name: "block", Capacity: spec.Some(100)}}}
	completed, assumed := assemble.Complete(s)
	if completed.Coolant.Fluid != "" || len(assumed) != 1 {
		t.Errorf("coolant %q, assumed %v", completed.Coolant.Fluid, assumed)
	}
}

// The idle power is assumed exactly where the run can come to need it.
func TestIdleIsAssumedWhereItCounts(t *testing.T) {
	step := []spec.Step{{For: spec.Some(600), Power: watts(100)}}
	twice := []spec.Step{{For: spec.Some(1200), Power: watts(100)}}
	for _, c := range []struct {
		name   string
		change func(s *spec.Scenario)
		want   bool
	}{
		{"steps to the end of the run", func(s *spec.Scenario) { s.Work[0].Steps = step }, false},
		{"steps and a stated duration", func(s *spec.Scenario) { s.Work[0].Steps = step; s.Duration = spec.Some(900) }, true},
		{"steps for ever", func(s *spec.Scenario) {
			s.Work[0].Steps, s.Work[0].Repeat.Forever = step, true
			s.Duration = spec.Some(900)
		}, false},
		{"steps beside longer work", func(s *spec.Scenario) { s.Work[0].Steps = step; s.Work[1].Steps = twice }, true},
		{"steps beside shorter work", func(s *spec.Scenario) { s.Work[0].Steps = twice; s.Work[1].Steps = step }, false},
		{"steps repeated beside as long work", func(s *spec.Scenario) { s.Work[0].Steps, s.Work[0].Repeat.Count = step, 2; s.Work[1].Steps = twice }, false},
		{"steps beside endless work", func(s *spec.Scenario) {
			s.Work[0].Steps = twice
			s.Work[1].Steps, s.Work[1].Repeat.Forever = step, true
		}, true},
		{"steps and a start from idle", func(s *spec.Scenario) { s.Work[0].Steps = step; s.Start.Rule = "idle" }, true},
		{"on and off", func(s *spec.Scenario) { s.Work[0].On, s.Work[0].Off = spec.Some(60), spec.Some(60) }, true},
		{"on and off for ever", func(s *spec.Scenario) {
			s.Work[0].On, s.Work[0].Off, s.Work[0].Repeat.Forever = spec.Some(60), spec.Some(60), true
		}, true},
		{"on to the end of the run", func(s *spec.Scenario) { s.Work[0].On = spec.Some(60) }, false},
		{"on for ever", func(s *spec.Scenario) { s.Work[0].On, s.Work[0].Repeat.Forever = spec.Some(60), true }, false},
		{"no work", func(s *spec.Scenario) { s.Chips[0].Work = ""; s.Duration = spec.Some(900) }, false},
	} {
		s := bare()
		s.Chips[0].Work = "load"
		s.Work = []spec.Work{{Name: "load"}, {Name: "other"}}
		c.change(s)
		_, assumed := assemble.Complete(s)
		got := false
		for _, a := range assumed {
			got = got || a.Path == "cpu.idle"
		}
		if got != c.want {
			t.Errorf("%s: idle is assumed: %v, want %v", c.name, got, c.want)
		}
	}
}
