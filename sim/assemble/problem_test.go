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
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "pump", Name: "second", Pump: &spec.Pump{Flow: spec.Some(1e-5)}})
		}, "second.flow", "share one flow, but pump_1 states another"},
		{"a radiator without a conductance", func(s *spec.Scenario) { part(s, "front").Radiator.Conductance = spec.Number{} }, "front.conductance", "state what the radiator carries"},
		{"a radiator beyond its coolant", func(s *spec.Scenario) { part(s, "front").Radiator.Conductance = spec.Some(270) }, "front.conductance", "270 W/K is more than 4 L/min of coolant can bring (264"},
		{"a film weaker than the whole", func(s *spec.Scenario) { part(s, "front").Radiator.FilmConductance = spec.Some(12) }, "front.film_conductance", "12 W/K between coolant and metal cannot carry"},
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

func TestProblemsOfLinksAndNames(t *testing.T) {
	checkProblems(t, []problem{
		{"a link to nowhere", link("front.metal", "attic", spec.Some(1), spec.Number{}), "l.to", "there is no node attic; the nodes are ambient, cpu.die, cpu.spreader, pump_1.coolant, tube_1.coolant, block_1.plate, block_1.coolant, front.coolant, front.metal, reservoir_1.coolant"},
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
	part(s, "front").Radiator.Conductance = spec.Number{}
	s.Chips[0].Work = "nowhere"
	s.Lumps = []spec.Lump{{Name: "board", Capacity: spec.Some(1), Power: shareOf(0.1, "cpu")}}
	_, err := assemble.Build(s)
	want := "cpu.work: there is no work named nowhere\n" +
		"front.conductance: state what the radiator carries, e.g. conductance: 18 W/K or 180 W per 10 K\n" +
		"cpu: no block cools this chip: add one to the loop, e.g. - {part: block, cools: cpu}"
	if err == nil || err.Error() != want {
		t.Errorf("problems\n%v\nwant\n%s", err, want)
	}
}
