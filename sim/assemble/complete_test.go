package assemble_test

import (
	"math"
	"reflect"
	"testing"

	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

// The assumed list of a scenario that states nothing but a power, in order and
// to the last field. The values are the defaults of package part. Coolant and
// metal of the radiator follow from two sections of 120 mm, 28 mm thick: twelve
// brass tubes (8400 kg/m3, 380 J/(kg K)) of 24 mm by 2 mm with walls of 0.2 mm,
// between them and at the end twelve folds of copper sheet (8900 kg/m3, 380
// J/(kg K)) of 0.05 mm, 16 legs to the inch, each leg as high as the gap less the
// sheet with one pitch of crest, tanks of 6 mm and plates folded over by 8 mm, of
// 1 mm of brass.
func TestAssumedOfABareScenario(t *testing.T) {
	const (
		tubes  = 12 * 0.24 * 0.0016 * 0.0236
		tanks  = 2 * 0.006 * 0.120 * 0.026
		pitch  = 0.0254 / 16
		fins   = 8900 * 12 * (0.24 / pitch) * (0.008 - 0.00005 + pitch) * 0.024 * 0.00005
		walls  = 8400 * 12 * 0.24 * (0.002*0.024 - 0.0016*0.0236)
		plates = 8400 * 0.001 * (2*0.24*(0.028+2*0.008) + 2*2*(0.12*0.026+0.12*0.006+0.026*0.006))
	)
	s := bare()
	part(s, "front").Radiator.Conductance = spec.Number{}
	_, assumed := assemble.Complete(s)
	checkAssumed(t, assumed, []assumption{
		{"ambient.temperature", 295.15, ""}, {"coolant.fluid", 0, "water"},
		{"cpu.class", 0, "desktop with spreader"},
		{"cpu.die_to_plate", 0.14, ""}, {"cpu.die_share", 0.4, ""}, {"cpu.die_capacity", 3, ""}, {"cpu.spreader_capacity", 20, ""}, {"cpu.shutdown", 388.15, ""},
		{"pump_1.class", 0, "small"},
		{"pump_1.head", 1.8 * 9806.65, ""}, {"pump_1.free_flow", 0.4 / 3600, ""}, {"pump_1.speed", 1, ""}, {"pump_1.power", 6, ""}, {"pump_1.holds", 40e-6, ""},
		{"tube_1.bore", 0.010, ""}, {"tube_1.length", 0.4, ""}, {"tube_1.wall", 0.002, ""}, {"tube_1.material", 0, "epdm"},
		{"block_1.class", 0, "processor block"},
		{"block_1.film_conductance", 50, ""}, {"block_1.test_flow", 4e-3 / 60, ""}, {"block_1.plate_capacity", 70, ""}, {"block_1.holds", 25e-6, ""}, {"block_1.drop[0].drop", 10e3, ""},
		{"front.size", 0.240, ""}, {"front.class", 0, "slim"}, {"front.thickness", 0.028, ""}, {"front.fins_per_inch", 16, ""},
		{"front.core.fins", 0, "plain"}, {"front.material", 0, "copper and brass"},
		{"front.core.depth", 0.024, ""}, {"front.core.fin_thickness", 5e-5, ""}, {"front.core.tube_pitch", 0.010, ""}, {"front.core.tube_thickness", 0.002, ""},
		{"front.core.tube_wall", 2e-4, ""}, {"front.core.rows", 1, ""}, {"front.core.passes", 2, ""}, {"front.core.tank_length", 0.006, ""},
		{"front.holds", tubes + tanks, ""}, {"front.metal_capacity", 380 * (fins + walls + plates), ""},
		{"front.fans.arrangement", 0, "push"}, {"front.fans.rated", 25, ""}, {"front.fans.airflow", 48 * 0.3048 * 0.3048 * 0.3048 / 60, ""}, {"front.fans.pressure", 1.55 * 9.80665, ""},
		{"front.fans.shape", 1, ""}, {"front.fans.noise", 28, ""}, {"front.fans.power", 1.5, ""}, {"front.fans.speed", 1000.0 / 60, ""},
		{"front.covered", 0.85, ""}, {"front.core_factor", 1, ""}, {"front.airflow_factor", 1, ""},
		{"reservoir_1.material", 0, "acrylic"}, {"reservoir_1.class", 0, "typical"}, {"reservoir_1.volume", 200e-6, ""},
	})
}

// assumption is what a list of assumed figures has to say of one of them.
type assumption struct {
	path  string
	value float64
	text  string
}

func checkAssumed(t *testing.T, assumed []spec.Assumed, want []assumption) {
	t.Helper()
	for i, a := range assumed {
		if i >= len(want) {
			t.Errorf("%s is assumed as well", a.Path)
			continue
		}
		if w := want[i]; a.Path != w.path || math.Abs(a.Value-w.value) > 1e-12*math.Abs(w.value) || a.Text != w.text {
			t.Errorf("assumed %d is %s = %g %s, want %s = %g %s", i, a.Path, a.Value, a.Text, w.path, w.value, w.text)
		}
		if a.Source == "" || a.Text == "" && (a.Dimension == "" || !(a.Low <= a.Value && a.Value <= a.High && a.Low < a.High)) {
			t.Errorf("%s lacks a source, a dimension or a range around it: %+v", a.Path, a)
		}
	}
	if len(assumed) < len(want) {
		t.Errorf("%s and what follows is not assumed", want[len(assumed)].path)
	}
}

// What Complete returns needs nothing more, is sound, and every assumed number
// can be found under its path.
func TestCompleteIsIdempotent(t *testing.T) {
	for name, change := range shapes {
		s := bare()
		s.Chips[0].Leakage.Power = spec.Some(20)
		s.Chips[0].Work = "load"
		s.Work = []spec.Work{{Name: "load", On: spec.Some(60), Off: spec.Some(60)}}
		change(s)
		if problems := spec.Check(s); problems != nil {
			t.Fatalf("%s: not sound before: %v", name, problems[0])
		}
		once, assumed := assemble.Complete(s)
		twice, again := assemble.Complete(once)
		if len(again) != 0 {
			t.Errorf("%s: completed again, %s is assumed", name, again[0].Path)
		}
		if !reflect.DeepEqual(once, twice) {
			t.Errorf("%s: completed again, it is another scenario:\n%+v\n%+v", name, once, twice)
		}
		for _, a := range assumed {
			v, err := once.Get(a.Path)
			if err != nil || a.Text == "" && v.Type == spec.TypeNumber && v.Number != a.Value {
				t.Errorf("%s: %s is %v (%v), assumed %g", name, a.Path, v, err, a.Value)
			}
		}
		if problems := spec.Check(once); problems != nil {
			t.Errorf("%s: a completed scenario is not sound: %v", name, problems[0])
		}
		build(t, once)
	}
}

// shapes are ways to state a machine.
var shapes = map[string]func(s *spec.Scenario){
	"as it is": func(*spec.Scenario) {},
	"nothing of the radiator": func(s *spec.Scenario) {
		part(s, "front").Radiator.Conductance = spec.Number{}
	},
	"points, size and weights": func(s *spec.Scenario) {
		p := part(s, "front")
		weigh(p, 0.9, 1.06)
		p.Radiator = &spec.Radiator{Size: spec.Some(0.28), Points: points(750, 13, 1300, 21), Material: "aluminium"}
	},
	"a fixed flow":   func(s *spec.Scenario) { part(s, "pump_1").Pump.Flow = spec.Some(5e-5) },
	"a speed in rpm": func(s *spec.Scenario) { part(s, "pump_1").Pump.Speed.Rate = spec.Some(40) },
	"weights all over": func(s *spec.Scenario) {
		for _, name := range []string{"pump_1", "tube_1", "block_1", "reservoir_1"} {
			weigh(part(s, name), 0.4, 0.45)
		}
	},
	"a plate by its mass": func(s *spec.Scenario) { part(s, "block_1").Block.PlateMass = spec.Some(0.18) },
	"fittings": func(s *spec.Scenario) {
		for _, f := range []spec.Fitting{{}, {Class: "elbow", Count: spec.Some(4)}, {Class: "coupling pair"}, {Class: "coupling pair", Bore: spec.Some(0.006)}, {Loss: spec.Some(2)}} {
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "fitting", Fitting: &f})
		}
		*s = *s.Named()
	},
	"a core and its fans": func(s *spec.Scenario) {
		s.Case = &spec.Case{}
		part(s, "front").Radiator = &spec.Radiator{Mount: "top", Fans: spec.Fans{Speed: spec.Speed{Level: spec.Some(24)}, Arrangement: "push-pull"},
			Core: spec.Core{Face: spec.Face{Width: spec.Some(0.42), Height: spec.Some(0.14)}, Fins: "louvred"}}
	},
	"two radiators in one stream": func(s *spec.Scenario) {
		s.Case = &spec.Case{Fans: []spec.Fan{{Moves: "out"}}}
		s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "radiator", Name: "second", Radiator: &spec.Radiator{Size: spec.Some(0.24), Breathes: spec.Breathes{From: "front"}}})
		*s = *s.Named()
	},
	"room, case and branches": func(s *spec.Scenario) {
		s.Room, s.Case = &spec.Room{}, &spec.Case{OtherHeat: watts(40)}
		s.Chips = append(s.Chips, spec.Chip{Name: "gpu", Class: "bare die graphics", Power: watts(300)})
		s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Branches: []spec.Branch{
			{Parts: []spec.Part{{Kind: "tube", Tube: &spec.Tube{}}}}, {Parts: []spec.Part{{Kind: "block", Block: &spec.Block{Cools: "gpu"}}}},
		}})
		*s = *s.Named()
	},
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
	part(s, "pump_1").Pump.Head, part(s, "pump_1").Pump.FreeFlow = spec.Some(3e4), spec.Some(3e-4)
	part(s, "pump_1").Pump.Speed.Share = spec.Some(0.6)
	part(s, "block_1").Block.PlateMass = spec.Some(0.2)
	weigh(part(s, "front"), 0.8, 0.95)
	part(s, "front").Radiator.Size = spec.Some(0.24)
	part(s, "reservoir_1").Holds = spec.Some(150e-6)
	part(s, "pump_1").Power = watts(6)
	s.Coolant = spec.Coolant{Fluid: "water"}
	_, assumed := assemble.Complete(s)
	for _, a := range assumed {
		switch a.Path {
		case "reservoir_1.class", "reservoir_1.volume", "pump_1.power", "coolant.fluid", "pump_1.head", "pump_1.free_flow", "pump_1.speed",
			"block_1.plate_capacity", "front.holds", "front.metal_capacity", "front.class", "front.thickness", "front.fans.speed", "front.fans.airflow", "front.core.depth":
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
