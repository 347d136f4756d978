package spec

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestSound: the workstation has no problem, named or not, and neither has an
// empty scenario.
func TestSound(t *testing.T) {
	for name, s := range map[string]*Scenario{"named": workstation().Named(), "unnamed": workstation(), "empty": {}, "named tower": tower().Named(), "unnamed tower": tower()} {
		if problems := Check(s); problems != nil {
			t.Errorf("%s: %v", name, problems[0])
		}
	}
}

// TestCheck breaks the workstation in one way each; the list is all that Check
// may find.
func TestCheck(t *testing.T) {
	checkEach(t, workstation, []spoiled{
		{"too wide", func(s *Scenario) { s.Loops[0].Parts[1].Tube.Bore = Some(1) }, []string{"tube_1.bore: 1 is outside the allowed range of 0.001 to 0.1"}},
		{"too cold", func(s *Scenario) { s.Ambient.Temperature = Some(24) }, []string{"ambient.temperature: 24 is outside"}},
		{"range ends are allowed", func(s *Scenario) { s.Loops[0].Parts[1].Tube.Bore = Some(0.1); s.Coolant.VolumeShare = Some(0) }, nil},
		{"not a number", func(s *Scenario) { s.Duration = Some(math.NaN()) }, []string{"duration: not a finite number"}},
		{"infinite", func(s *Scenario) { s.Figures.CoolantAt[1] = Some(math.Inf(1)) }, []string{"figures.coolant_at[1]: not a finite number"}},
		{"half a cell", func(s *Scenario) { s.Loops[0].Parts[3].Radiator.Cells = Some(1.5) }, []string{"front.cells: 1.5 is not a whole number"}},
		{"unknown fluid", func(s *Scenario) { s.Coolant = Coolant{Fluid: "mercury"} }, []string{`coolant.fluid: "mercury" is not known: write water, ethylene glycol, propylene glycol or constant`}},
		{"power of both kinds", func(s *Scenario) { s.Chips[0].Power.Share = Some(1) }, []string{"cpu.power: a power is either watts or a share"}},
		{"watts of", func(s *Scenario) { s.Chips[0].Power.Of = "chip_2" }, []string{"cpu.power: watts are not of something"}},
		{"share of nothing", func(s *Scenario) { s.Chips[0].Power = Power{Share: Some(0.5)} }, []string{"cpu.power: a share needs the name"}},
		{"large share", func(s *Scenario) { s.Work[0].Steps[1].Power.Share = Some(11) }, []string{"render.steps[1].power: a share lies between 0 % and 1000 %"}},
		{"infinite share", func(s *Scenario) { s.Work[0].Steps[1].Power.Share = Some(math.Inf(1)) }, []string{"render.steps[1].power: not a finite"}},
		{"too hot", func(s *Scenario) { s.Chips[0].Power = Power{Watts: Some(-1)} }, []string{"cpu.power: -1 is outside"}},
		{"repeat twice", func(s *Scenario) { s.Work[0].Repeat = Repeat{Count: 2, Forever: true} }, []string{"render.repeat: either a count or forever"}},
		{"negative repeat", func(s *Scenario) { s.Work[0].Repeat.Count = -2 }, []string{"render.repeat: -2 is outside 1 to"}},

		{"capital", func(s *Scenario) { s.Lumps[1].Name = "Wall" }, []string{"lumps[1].name: a name is made of small letters, digits and underscores and begins with a letter: write for example wall"}},
		{"digit first", func(s *Scenario) { s.Lumps[1].Name = "9" }, []string{"lumps[1].name: a name is made of small letters, digits and underscores and begins with a letter: write for example lump_1"}},
		{"long name", func(s *Scenario) { s.Lumps[1].Name = strings.Repeat("a", 65) }, []string{"lumps[1].name: a name is made"}},
		{"reserved", func(s *Scenario) { s.Lumps[1].Name = "solver" }, []string{"lumps[1].name: solver has a meaning of its own"}},
		{"ambient", func(s *Scenario) { s.Lumps[1].Name = "ambient" }, []string{"lumps[1].name: ambient has a meaning of its own"}},
		{"twice", func(s *Scenario) { s.Lumps[1].Name = "front" }, []string{"lumps[1].name: front is already the name of a radiator"}},

		{"no such pattern", func(s *Scenario) { s.Chips[0].Work = "rendr" }, []string{"cpu.work: nothing is called rendr; did you mean render?"}},
		{"no such chip", func(s *Scenario) { s.Loops[0].Parts[2].Block.Cools = "vrm" }, []string{"block_1.cools: nothing is called vrm: give the name of a chip; the file has cpu, chip_2"}},
		{"not a chip", func(s *Scenario) { s.Loops[0].Parts[2].Block.Cools = "front" }, []string{"block_1.cools: front is a radiator, not a chip"}},
		{"share of a pattern", func(s *Scenario) { s.Chips[1].Power = Power{Share: Some(1), Of: "render"} }, []string{"chip_2.power: render is a work, not a chip, part or lump"}},
		{"step of nobody", func(s *Scenario) { s.Work[0].Steps[1].Power.Of = "nobody" }, []string{"render.steps[1].power: nothing is called nobody"}},
		{"link to nowhere", func(s *Scenario) { s.Links[0].To = "outside" }, []string{"link_1.to: nothing is called outside: give the name of a lump, chip or part, or ambient"}},
		{"link to a pattern", func(s *Scenario) { s.Links[0].To = "render.die" }, []string{"link_1.to: render is a work, not a lump"}},
		{"link to itself", func(s *Scenario) { s.Links[0].To = "board" }, []string{"link_1: it begins and ends at board"}},
		{"link without end", func(s *Scenario) { s.Links[0].To = "" }, []string{"link_1: a link needs from and to"}},
		{"start of nobody", func(s *Scenario) { s.Start.Nodes[0].Node = "gpu.die" }, []string{"start.gpu.die: nothing is called gpu"}},
		{"start of the room", func(s *Scenario) { s.Start.Nodes[0].Node = "ambient" }, []string{"start.ambient: nothing is called ambient"}},
		{"start twice", func(s *Scenario) { s.Start.Nodes[0].Node = "board" }, []string{"start.board: board is given twice"}},
		{"start here and there", func(s *Scenario) { s.Lumps[0].Start = Some(300) }, []string{"start.board: the lump states its own start"}},
		{"start both ways", func(s *Scenario) { s.Start.Rule = "level" }, []string{"start: either one word"}},
		{"start too hot", func(s *Scenario) { s.Start.Nodes[0].Temperature = 2000 }, []string{"start.cpu.die: 2000 is outside"}},
		{"two blocks", func(s *Scenario) { s.Loops[0].Parts[0] = Part{Kind: "block", Block: &Block{Cools: "cpu"}} }, []string{"block_2.cools: cpu already sits under block_1"}},

		{"both shares", func(s *Scenario) { s.Coolant.MassShare = Some(0.3) }, []string{"coolant: mass_share and volume_share"}},
		{"glycol without share", func(s *Scenario) { s.Coolant.VolumeShare = Number{} }, []string{"coolant: propylene glycol needs its share"}},
		{"share of water", func(s *Scenario) { s.Coolant.Fluid = "water" }, []string{"coolant: water has no glycol"}},
		{"share of what", func(s *Scenario) { s.Coolant.Fluid = "" }, []string{"coolant: a share of what?"}},
		{"half a constant fluid", func(s *Scenario) { s.Coolant = Coolant{Fluid: "constant", Density: Some(998)} }, []string{"coolant: a constant fluid needs both"}},
		{"a constant fluid", func(s *Scenario) {
			s.Coolant = Coolant{Fluid: "constant", Density: Some(998), SpecificHeat: Some(4180)}
		}, nil},
		{"figures of water", func(s *Scenario) { s.Coolant = Coolant{Fluid: "water", SpecificHeat: Some(4180)} }, []string{"coolant: density and specific_heat belong to"}},
		{"leakage of what", func(s *Scenario) { s.Chips[0].Leakage.Power = Number{} }, []string{"cpu.leakage: it needs power"}},
		{"leakage of a lump", func(s *Scenario) { s.Lumps[0].Leakage.Form = "linear" }, []string{"board.leakage: it needs power"}},
		{"shares of no power", func(s *Scenario) {
			s.Chips[0].Power = Power{}
			s.Loops[0].Parts[2].Power = Power{}
		}, []string{"cpu: it needs power, the full load that render refers to"}},
		{"on and off of no power", func(s *Scenario) { s.Work[1].Name = "evening"; s.Chips[1] = Chip{Work: "evening"} }, []string{"chip_2: it needs power"}},
		{"empty loop", func(s *Scenario) { s.Loops = append(s.Loops, Loop{}) }, []string{"loop_2: a loop needs parts"}},
		{"no kind", func(s *Scenario) { s.Loops[0].Parts[1] = Part{Name: "hose"} }, []string{"hose: part is missing: write what it is, pump, tube, fitting, block, radiator or reservoir"}},
		{"unknown kind", func(s *Scenario) { s.Loops[0].Parts[1] = Part{Name: "hose", Kind: "hose"} }, []string{`hose.part: "hose" is not known`}},
		{"two kinds", func(s *Scenario) { s.Loops[0].Parts[1].Pump = &Pump{} }, []string{"tube_1: it is a tube and holds the data of a pump as well"}},
		{"lump of nothing", func(s *Scenario) { s.Lumps[0].Capacity = Number{} }, []string{"board: it needs capacity, holds or held_at"}},
		{"lump of two things", func(s *Scenario) { s.Lumps[0].Holds = Some(0.001) }, []string{"board: capacity and holds exclude each other"}},
		{"held lump starts", func(s *Scenario) { s.Lumps[1].Start = Some(300) }, []string{"wall: nothing changes a lump with held_at"}},
		{"link of nothing", func(s *Scenario) { s.Links[0].Conductance = Number{} }, []string{"link_1: it needs conductance or flow"}},
		{"link of two things", func(s *Scenario) { s.Links[0].Flow = Some(0.001) }, []string{"link_1: conductance and flow exclude each other"}},
		{"pattern of nothing", func(s *Scenario) { s.Work[1] = Work{} }, []string{"work_2: it needs steps, on, session, bursts, log or mean_of"}},
		{"pattern of two kinds", func(s *Scenario) { s.Work[0].On = Some(60) }, []string{"render: steps and on exclude each other"}},
		{"off alone", func(s *Scenario) { s.Work[1].On = Number{} }, []string{"work_2: off needs on"}},
		{"on alone", func(s *Scenario) { s.Work[1].Off = Number{} }, nil},
		{"empty step", func(s *Scenario) { s.Work[0].Steps[1] = Step{} }, []string{"render.steps[1]: a step needs for", "render.steps[1]: a step needs power"}},

		{"share of itself", func(s *Scenario) { s.Chips[1].Power = Power{Share: Some(1), Of: "chip_2"} }, []string{"chip_2.power: shares go round in a circle (chip_2 of chip_2)"}},
		{"shares of each other", func(s *Scenario) { s.Chips[0].Power = Power{Share: Some(0.1), Of: "block_1"} }, []string{"cpu.power: shares go round in a circle (cpu of block_1 of cpu)"}},
		{"step of another part", func(s *Scenario) { s.Work[0].Steps[1].Power.Of = "block_1" }, []string{"render.steps[1].power: it is a power, or a share of the part's own"}},
		{"long circle", func(s *Scenario) {
			s.Chips[0].Power = Power{Share: Some(1), Of: "chip_2"}
			s.Chips[1].Power = Power{Share: Some(1), Of: "board"}
			s.Lumps[0].Power = Power{Share: Some(1), Of: "pump_1"}
			s.Loops[0].Parts[0].Power = Power{Share: Some(1), Of: "cpu"}
		}, []string{"cpu.power: shares go round in a circle (cpu of chip_2 of board of pump_1 of cpu)"}},
		{"unused pattern", func(s *Scenario) { s.Chips[0].Work = "" }, nil},
	})
}

// TestRangeProblems carry what a reader needs to print them in other units.
func TestRangeProblems(t *testing.T) {
	s := workstation().Named()
	s.Loops[0].Parts[1].Tube.Bore = Some(1)
	p := Check(s)[0]
	if !p.Range || p.Given != NumberValue(1) || p.Field.Min != 0.001 || p.Field.Max != 0.1 || p.Field.Dimension != Length {
		t.Errorf("got %+v", p)
	}
	s = workstation().Named()
	s.Chips[0].Power = Power{Watts: Some(1e6)}
	if p := Check(s)[0]; !p.Range || p.Given.Power.Watts != Some(1e6) {
		t.Errorf("got %+v", p)
	}
}

// TestFlood: the list of problems stays short however bad the scenario is.
func TestFlood(t *testing.T) {
	s := &Scenario{}
	for i := range 5000 {
		s.Links = append(s.Links, Link{From: fmt.Sprint("a", i), To: fmt.Sprint("b", i)})
	}
	if got := len(Check(s)); got != mostProblems {
		t.Errorf("%d problems, want %d", got, mostProblems)
	}
}

// TestMeant: a choice of several words is found by one of them, and what fits
// two choices names both.
func TestMeant(t *testing.T) {
	chips := []string{"desktop with spreader", "compact desktop", "workstation", "bare die graphics"}
	for text, want := range map[string]string{
		"desktop with spreeder": "desktop with spreader",
		"desktop":               "desktop with spreader or compact desktop",
		"desktp":                "desktop with spreader or compact desktop",
		"graphics":              "bare die graphics",
		"workstaton":            "workstation",
		"phone":                 "",
		"":                      "",
	} {
		if got := orList(meant(text, chips)); got != want {
			t.Errorf("%q: %q may be meant, want %q", text, got, want)
		}
	}
}
