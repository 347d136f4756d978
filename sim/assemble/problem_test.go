package assemble_test

import (
	"errors"
	"strings"
	"testing"

	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

// problem is one that assembling can find: the change that brings it about, the
// path it names and words of its text. Each stands alone.
type problem struct {
	name   string
	change func(s *spec.Scenario)
	path   string
	text   string
}

func TestProblemsOfParts(t *testing.T) {
	onOff := []spec.Work{{Name: "load", On: spec.Some(60), Off: spec.Some(60)}}
	checkProblems(t, []problem{
		{"a room below freezing", func(s *spec.Scenario) { s.Ambient.Temperature = spec.Some(270) }, "ambient.temperature", "-3.1 degC is below the freezing point of water, 0.0 degC"},
		{"too much glycol", func(s *spec.Scenario) {
			s.Coolant = spec.Coolant{Fluid: "ethylene glycol", VolumeShare: spec.Some(0.99)}
		}, "coolant", ""},
		{"a chip without a block", func(s *spec.Scenario) { part(s, "block_1").Block.Cools = "" }, "cpu", "no block cools this chip: add one to the loop, e.g. - {part: block, cools: cpu}"},
		{"a loop without a pump", func(s *spec.Scenario) { s.Loops[0].Parts = s.Loops[0].Parts[1:] }, "loop_1", "a loop needs a pump"},
		{"two pumps that disagree", func(s *spec.Scenario) {
			part(s, "pump_1").Pump.Flow = spec.Some(2e-5)
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "pump", Name: "second", Pump: &spec.Pump{Flow: spec.Some(1e-5)}})
		}, "second.flow", "share one flow, but pump_1 states another"},
		{"a radiator beyond its coolant", func(s *spec.Scenario) { part(s, "front").Radiator.Conductance = spec.Some(270) }, "front.conductance", "270 W/K over the inlet is more than the 264 W/K that the coolant can bring at the test flow; check the unit, and the test_flow, 4 L/min"},
		{"a film weaker than the whole", func(s *spec.Scenario) { part(s, "front").Radiator.FilmConductance = spec.Some(12) }, "front.film_conductance", "12 W/K between coolant and metal cannot carry the 18.61 W/K of the radiator in 4 cells; state a larger film_conductance, or more cells"},
		{"no such work", func(s *spec.Scenario) { s.Chips[0].Work = "nowhere" }, "cpu.work", "there is no work named nowhere"},
		{"on and off of nothing", func(s *spec.Scenario) { s.Work = onOff; s.Chips[0].Work, s.Chips[0].Power = "load", spec.Power{} }, "cpu.power", "cpu follows load, which switches its power on and off, but states no power"},
		{"shares of nothing", func(s *spec.Scenario) {
			s.Work = []spec.Work{{Name: "load", Steps: []spec.Step{{For: spec.Some(1), Power: spec.Power{Share: spec.Some(0.5)}}}}}
			s.Chips[0].Work, s.Chips[0].Power = "load", spec.Power{}
		}, "cpu.power", "whose steps are shares of its power, but states no power"},
		{"a step that does not last", func(s *spec.Scenario) {
			s.Work = []spec.Work{{Name: "load", Steps: []spec.Step{{Power: watts(5)}}}}
			s.Chips[0].Work = "load"
		}, "load", "step 1 lasts 0 s"},
		{"a share with work of its own", func(s *spec.Scenario) {
			s.Work = onOff
			s.Lumps = []spec.Lump{{Name: "board", Capacity: spec.Some(1), Power: shareOf(0.1, "cpu"), Work: "load"}}
		}, "board.work", "board takes a share of cpu, so it follows that part's work"},
		{"a share of no power", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "board", Capacity: spec.Some(1), Power: shareOf(0.1, "front")}}
		}, "board.power", "front asks for no power to take a share of"},
		{"a share of its own", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "board", Capacity: spec.Some(1), Power: shareOf(0.1, "board")}}
		}, "board.power", "is a share that leads back to itself"},
		{"power into a fixed temperature", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "bath", HeldAt: spec.Some(300), Power: watts(5)}}
		}, "bath.power", "held at a fixed temperature, so a power in it changes nothing"},
	})
}

// What pumps, branches, fittings, radiators and fans can have wrong.
func TestProblemsOfRings(t *testing.T) {
	radiator := func(change func(r *spec.Radiator)) func(s *spec.Scenario) {
		return func(s *spec.Scenario) {
			r := part(s, "front").Radiator
			r.Size, r.Fans.Speed = spec.Some(0.24), turns(1000)
			change(r)
		}
	}
	checkProblems(t, []problem{
		{"a pump in a branch", func(s *spec.Scenario) {
			addFork(s, spec.Part{Kind: "pump", Name: "inner", Pump: &spec.Pump{}}, spec.Part{Kind: "tube", Name: "way", Tube: &spec.Tube{}})
		}, "inner", "a pump inside a branch is not modelled; put it before or behind the parallel element"},
		{"a branch of a fitting", func(s *spec.Scenario) {
			addFork(s, spec.Part{Kind: "fitting", Name: "inner", Fitting: &spec.Fitting{}}, spec.Part{Kind: "tube", Name: "way", Tube: &spec.Tube{}})
		}, "loop_1.parts[5].parallel[0]", "this branch holds no coolant; add a tube or a block to it"},
		{"a branch of a reservoir", func(s *spec.Scenario) {
			addFork(s, spec.Part{Kind: "tube", Name: "way", Tube: &spec.Tube{}}, spec.Part{Kind: "reservoir", Name: "inner", Reservoir: &spec.Reservoir{}})
		}, "loop_1.parts[5].parallel[1]", "nothing in this branch resists the flow, so it would take all of it; add the tube"},
		{"one branch", func(s *spec.Scenario) { addFork(s, spec.Part{Kind: "tube", Name: "way", Tube: &spec.Tube{}}) }, "loop_1.parts[5]", "two or more are needed"},
		{"a fixed flow and a head", func(s *spec.Scenario) {
			part(s, "pump_1").Pump.Flow = spec.Some(5e-5)
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "pump", Name: "second", Pump: &spec.Pump{Head: spec.Some(3e4)}})
		}, "second", "pump_1 states a fixed flow, so every pump of the ring must"},
		{"a pump without head", func(s *spec.Scenario) { part(s, "pump_1").Pump.Head = spec.Some(0) }, "pump_1.head", "a pump without head moves nothing; state its head at no flow, e.g. head: 3.6 m"},
		{"a pump of one point", func(s *spec.Scenario) {
			part(s, "pump_1").Pump.Curve = []spec.FlowHead{{Flow: spec.Some(0), Head: spec.Some(3e4)}}
		}, "pump_1.curve", "it needs two or more points"},
		{"a pump that spins too fast", func(s *spec.Scenario) { part(s, "pump_1").Pump.Speed.Rate = spec.Some(100) }, "pump_1.speed", "6000 rpm is more than 150 % of the rated 3600 rpm"},
		{"coolant in a fitting", func(s *spec.Scenario) {
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "fitting", Name: "elbow", Holds: spec.Some(1e-5), Fitting: &spec.Fitting{}})
		}, "elbow", "a fitting has no coolant and no mass of its own here; count them with the tube it ends"},
		{"power in a fitting", func(s *spec.Scenario) {
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "fitting", Name: "elbow", Power: watts(3), Fitting: &spec.Fitting{}})
		}, "elbow.power", "give the power to the tube or the part it leads to"},
		{"a drop of nothing", func(s *spec.Scenario) {
			part(s, "block_1").Block.Drop = []spec.FlowDrop{{Flow: spec.Some(5e-5), Drop: spec.Some(0)}}
		}, "block_1.drop", "pressure drop: a pressure drop of 0 Pa cannot be"},
		{"lighter when full", func(s *spec.Scenario) { weigh(part(s, "reservoir_1"), 0.5, 0.4) }, "reservoir_1.full", "full must be more than empty"},
		{"no such material", func(s *spec.Scenario) { part(s, "tube_1").Tube.Material = "cheese" }, "tube_1.material", "cheese"},
		{"points beyond the coolant", radiator(func(r *spec.Radiator) {
			r.Conductance, r.Size, r.Points = spec.Number{}, spec.Number{}, points(1000, 20, 2000, 270)
		}), "front.points", "at 2000 rpm: 270 W/K over the inlet is more than the 264 W/K"},
		{"points of a core beyond the coolant", radiator(func(r *spec.Radiator) { r.Conductance, r.Points = spec.Number{}, points(1000, 15, 2000, 270) }), "front.points",
			"at 2000 rpm: 270 W/K over the inlet is more than 95 % of the 278 W/K that the coolant brings at the test flow"},
		{"points of a core beyond its air", radiator(func(r *spec.Radiator) { r.Conductance, r.Points = spec.Number{}, points(1000, 15, 2000, 80) }), "front.points",
			"and the figures of the core; the airflow of its fans was assumed: state it"},

		// 2 fans of 50 m3/h free at 1000 rpm: 0.55 x 100/3600 m3/s of air of 1.196
		// kg/m3 and 1006 J/(kg K) carry 18.4 W/K, 95 % of which are 17.5.
		{"more than the air carries", radiator(func(r *spec.Radiator) { r.Fans.Airflow, r.Fans.Rated = spec.Some(75.0/3600), spec.Some(25) }), "front.conductance",
			"18 W/K is more than 95 % of the 18.4 W/K that the air can carry: 55 % of the fans' free 100 m3/h gets through a radiator; check the unit, and airflow, count, rated and speed of the fans"},
		{"a point with more than the air carries", radiator(func(r *spec.Radiator) {
			r.Conductance, r.Size, r.Points = spec.Number{}, spec.Number{}, points(1000, 15, 2000, 36)
			r.Fans.Airflow, r.Fans.Rated, r.Fans.Count = spec.Some(50.0/3600), spec.Some(1000.0/60), spec.Some(2)
		}), "front.points[1]", "36 W/K is more than 95 % of the 36.8 W/K"},
		{"power of the case of nothing", func(s *spec.Scenario) {
			s.Work = []spec.Work{{Name: "load", On: spec.Some(60)}}
			s.Case = &spec.Case{Work: "load"}
		}, "case.other_heat", "states no other_heat, e.g. other_heat: 160 W"},
	})
}

// addFork adds a parallel element of branches of one part each.
func addFork(s *spec.Scenario, parts ...spec.Part) {
	fork := spec.Part{}
	for _, p := range parts {
		fork.Branches = append(fork.Branches, spec.Branch{Parts: []spec.Part{p}})
	}
	s.Loops[0].Parts = append(s.Loops[0].Parts, fork)
}

func TestProblemsOfLinksAndNames(t *testing.T) {
	checkProblems(t, []problem{
		{"a link to nowhere", link("front.metal", "attic", spec.Some(1), spec.Number{}), "l.to", "there is no node attic; the nodes are ambient, cpu.die, cpu.spreader, pump_1.coolant, pump_1.body, tube_1.coolant, tube_1.wall, block_1.plate, block_1.coolant, block_1.body, front.coolant, front.metal, reservoir_1.coolant, reservoir_1.wall"},
		{"a link between fixed temperatures", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "bath", HeldAt: spec.Some(300)}}
			link("bath", "ambient", spec.Some(1), spec.Number{})(s)
		}, "l", "both at fixed temperatures"},
		{"a link to itself", link("front.metal", "front.metal[1]", spec.Some(1), spec.Number{}), "l", "joins front.metal to itself"},
		{"cells that do not match", func(s *spec.Scenario) {
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "radiator", Name: "top", Radiator: &spec.Radiator{Conductance: spec.Some(9), Cells: spec.Some(3)}})
			link("front.metal", "top.metal", spec.Some(1), spec.Number{})(s)
		}, "l", "joins 4 cells of front.metal to 3 cells of top.metal; name one of them, e.g. front.metal[1]"},
		{"a flow out of a part", link("reservoir_1.coolant", "ambient", spec.Number{}, spec.Some(1e-5)), "l", "reservoir_1.coolant is none of these"},
		{"a flow through iron", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "iron", Capacity: spec.Some(1)}}
			link("iron", "ambient", spec.Number{}, spec.Some(1e-5))(s)
		}, "l", "iron is none of these"},
		{"a flow between fixed temperatures", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "bath", HeldAt: spec.Some(300)}}
			link("bath", "ambient", spec.Number{}, spec.Some(1e-5))(s)
		}, "l", "a flow from bath to ambient moves nothing"},
		{"a flow that empties a tank", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "tank", Holds: spec.Some(1e-3)}}
			link("tank", "ambient", spec.Number{}, spec.Some(1e-5))(s)
		}, "tank", "takes in 0 L/min but gives out 0.6 L/min of coolant"},
		{"a start of nothing", func(s *spec.Scenario) { s.Start.Nodes = []spec.StartNode{{Node: "cpu.lid", Temperature: 300}} }, "start.cpu.lid", "there is no lump cpu.lid; the lumps are cpu.die, cpu.spreader"},
		{"figures of nothing", func(s *spec.Scenario) { s.Figures.Of = "ambient" }, "figures.of", "there is no lump ambient; the lumps are cpu.die"},
		{"a mark twice", func(s *spec.Scenario) { s.Figures.CoolantAt = []spec.Number{spec.Some(313.15), spec.Some(313.1500001)} }, "figures.coolant_at", "40 degC is there twice"},
		{"a lump named as a column", func(s *spec.Scenario) { s.Lumps = []spec.Lump{{Name: "coolant", Capacity: spec.Some(1)}} }, "coolant", "taken by the trace's own column"},
		{"two nodes of one column", func(s *spec.Scenario) { s.Lumps = []spec.Lump{{Name: "cpu_die", Capacity: spec.Some(1)}} }, "cpu_die", "share the column cpu_die_c of the trace; rename cpu_die"},
		{"nothing at all", func(s *spec.Scenario) { *s = spec.Scenario{} }, "loop", "nothing here stores heat"},
	})
}

// checkProblems makes every change to a bare machine and looks at what comes of
// it.
func checkProblems(t *testing.T, all []problem) {
	t.Helper()
	for _, c := range all {
		s := bare()
		c.change(s)
		_, err := assemble.Build(s)
		var problems assemble.Problems
		if !errors.As(err, &problems) {
			t.Errorf("%s: error %v", c.name, err)
			continue
		}
		if len(problems) != 1 || problems[0].Path != c.path || !strings.Contains(problems[0].Text, c.text) {
			t.Errorf("%s: problems\n%v\nwant one at %s with %q", c.name, err, c.path, c.text)
		}
	}
}

// link adds a link named l.
func link(from, to string, conductance, flow spec.Number) func(s *spec.Scenario) {
	return func(s *spec.Scenario) {
		s.Links = append(s.Links, spec.Link{Name: "l", From: from, To: to, Conductance: conductance, Flow: flow})
	}
}

// All problems of the parts are told at once.
func TestProblemsAreToldTogether(t *testing.T) {
	s := bare()
	part(s, "block_1").Block.Cools = ""
	part(s, "front").Radiator.Conductance = spec.Some(300)
	s.Chips[0].Work = "nowhere"
	s.Lumps = []spec.Lump{{Name: "board", Capacity: spec.Some(1), Power: shareOf(0.1, "cpu")}}
	_, err := assemble.Build(s)
	want := "cpu.work: there is no work named nowhere\n" +
		"front.conductance: 300 W/K over the inlet is more than the 264 W/K that the coolant can bring at the test flow; check the unit, and the test_flow, 4 L/min\n" +
		"cpu: no block cools this chip: add one to the loop, e.g. - {part: block, cools: cpu}"
	if err == nil || err.Error() != want {
		t.Errorf("problems\n%v\nwant\n%s", err, want)
	}
}
