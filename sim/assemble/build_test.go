package assemble_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/sim/assemble"
	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/spec"
)

func build(t *testing.T, s *spec.Scenario) *assemble.Plan {
	t.Helper()
	p, err := assemble.Build(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The lumps of a bare machine, in state order, and their sizes: volumes in mL
// of water at 22 degC, capacities in J/K.
func TestNodesAndSizes(t *testing.T) {
	p := build(t, bare())
	// EPDM of 1150 kg/m3 and 1000 J/(kg K), 14 over 10 mm; acrylic of 1180 kg/m3
	// and 1500 J/(kg K), 4 mm around 200 mL in a cylinder of 60 mm with both ends.
	const tubeWall = math.Pi / 4 * (0.014*0.014 - 0.010*0.010) * 0.4 * 1150 * 1000
	const reservoirWall = (4*200e-6/0.060 + math.Pi/2*0.060*0.060) * 0.004 * 1180 * 1500
	const blockBody = 0.35*380 - 70 // the rest of 350 g of copper
	metals := 3 + 20 + 70 + blockBody + 400 + 0.5*0.25*450 + tubeWall + reservoirWall
	want := []struct {
		path, column string
		kind         assemble.NodeKind
		size         float64
	}{
		{"cpu.die", "cpu_die", assemble.Die, 3}, {"cpu.spreader", "cpu_spreader", assemble.Spreader, 20},
		{"pump_1.coolant", "pump_1_coolant", assemble.CoolantCell, 40}, {"pump_1.body", "pump_1_body", assemble.Metal, 0.5 * 0.25 * 450},
		{"tube_1.coolant", "tube_1_coolant", assemble.CoolantCell, math.Pi / 4 * 0.01 * 0.01 * 0.4 * 1e6}, {"tube_1.wall", "tube_1_wall", assemble.Wall, tubeWall},
		{"block_1.plate", "block_1_plate", assemble.Metal, 70}, {"block_1.coolant", "block_1_coolant", assemble.CoolantCell, 25},
		{"block_1.body", "block_1_body", assemble.Metal, blockBody},
		{"front.coolant[1]", "front_coolant_1", assemble.CoolantCell, 50}, {"front.metal[1]", "front_metal_1", assemble.Metal, 100},
		{"front.coolant[2]", "front_coolant_2", assemble.CoolantCell, 50}, {"front.metal[2]", "front_metal_2", assemble.Metal, 100},
		{"front.coolant[3]", "front_coolant_3", assemble.CoolantCell, 50}, {"front.metal[3]", "front_metal_3", assemble.Metal, 100},
		{"front.coolant[4]", "front_coolant_4", assemble.CoolantCell, 50}, {"front.metal[4]", "front_metal_4", assemble.Metal, 100},
		{"reservoir_1.coolant", "reservoir_1_coolant", assemble.CoolantCell, 200}, {"reservoir_1.wall", "reservoir_1_wall", assemble.Wall, reservoirWall},
	}
	if len(p.Nodes) != len(want) {
		t.Fatalf("%d nodes, want %d", len(p.Nodes), len(want))
	}
	const room = 295.15
	density, heat := fluid.Water().Density(room), fluid.Water().SpecificHeat(room)
	volume := 0.0
	for i, w := range want {
		n := p.Nodes[i]
		if n.Path != w.path || n.Column != w.column || n.Kind != w.kind || n.Lump != network.Node(i) {
			t.Errorf("node %d is %+v, want %+v", i, n, w)
		}
		size := w.size
		if w.kind == assemble.CoolantCell {
			volume += w.size * 1e-6
			size *= 1e-6 * density * heat
		}
		if got := p.Network.Capacity(n.Lump, room); math.Abs(got-size) > 1e-4*size { // the fast table is good to 1e-4
			t.Errorf("%s holds %g J/K, want %g", n.Path, got, size)
		}
		if p.Start[i] != room {
			t.Errorf("%s begins at %g K", n.Path, p.Start[i])
		}
	}
	if math.Abs(p.CoolantVolume-volume) > 1e-15 || math.Abs(p.CoolantMass-volume*density) > 1e-12 {
		t.Errorf("%g m3 and %g kg of coolant, want %g and %g", p.CoolantVolume, p.CoolantMass, volume, volume*density)
	}
	if want := 0.25 + 0.35 + 400./380; math.Abs(p.MetalMass-want) > 1e-12 { // pump, block, radiator
		t.Errorf("%g kg of metal, want %g", p.MetalMass, want)
	}
	coolant, metal := p.HeatCapacity()
	if math.Abs(coolant-volume*density*heat) > 1e-4*coolant || math.Abs(metal-metals) > 1e-9 {
		t.Errorf("coolant %g J/K and metal %g J/K", coolant, metal)
	}
	if p.Subject.Path != "reservoir_1.coolant" || p.Loops[0].Outlet != p.Subject.Lump {
		t.Errorf("the subject is %s", p.Subject.Path)
	}
	if got := p.Loops[0].OneLine(p.Scenario); got != "pump_1, tube_1, block_1 on cpu, front, reservoir_1" {
		t.Errorf("the loop reads %q", got)
	}
	if w := p.Watched(); len(w) != 1 || w[0].Path != "cpu.die" {
		t.Errorf("watched are %v", w)
	}
}

// What counts as the coolant's temperature: the reservoir, else what comes to
// the pump; and another lump if asked for.
func TestSubject(t *testing.T) {
	noReservoir := bare()
	noReservoir.Loops[0].Parts = noReservoir.Loops[0].Parts[:4]
	pumpLast := bare()
	pumpLast.Loops[0].Parts = append(pumpLast.Loops[0].Parts[1:4:4], pumpLast.Loops[0].Parts[0])
	asked := bare()
	asked.Figures.Of = "front.coolant"
	oneCell := bare()
	oneCell.Figures.Of = "front.coolant[2]"
	pools := &spec.Scenario{Lumps: []spec.Lump{{Name: "iron", Capacity: spec.Some(1)}, {Name: "tank", Holds: spec.Some(1e-3)}}}
	iron := &spec.Scenario{Lumps: []spec.Lump{{Name: "a", Capacity: spec.Some(1)}, {Name: "b", Capacity: spec.Some(1)}}}
	for want, s := range map[string]*spec.Scenario{
		"front.coolant[4]": noReservoir, "front.coolant[2]": oneCell, "tank": pools, "a": iron,
	} {
		if got := build(t, s).Subject.Path; got != want {
			t.Errorf("the subject is %s, want %s", got, want)
		}
	}
	if got := build(t, pumpLast).Subject.Path; got != "front.coolant[4]" {
		t.Errorf("with the pump at the end of the list the subject is %s", got)
	}
	if got := build(t, asked).Subject.Path; got != "front.coolant[4]" {
		t.Errorf("of several cells the last one counts, not %s", got)
	}
}

// between returns the conductance between two nodes, W/K.
func between(d network.Description, a, b string) float64 {
	sum := 0.0
	for _, c := range d.Conductances {
		if c.From == a && c.To == b || c.From == b && c.To == a {
			sum += c.Conductance
		}
	}
	return sum
}

// A link to a radiator's metal is shared among its cells.
func TestLinksAreSharedAmongCells(t *testing.T) {
	s := bare()
	s.Lumps = []spec.Lump{{Name: "plate", Capacity: spec.Some(500)}}
	s.Links = []spec.Link{
		{Name: "a", From: "plate", To: "front.metal", Conductance: spec.Some(6)},
		{Name: "b", From: "front.coolant", To: "front.metal", Conductance: spec.Some(2)},
		{Name: "c", From: "front.metal[2]", To: "plate", Conductance: spec.Some(1)},
	}
	p := build(t, s)
	d := p.Network.Describe(280, 320)
	if got := between(d, "plate", "front.metal[1]"); got != 1.5 {
		t.Errorf("plate to one of four cells is %g W/K, want 1.5", got)
	}
	if got := between(d, "plate", "front.metal[2]"); got != 2.5 {
		t.Errorf("plate to the second cell is %g W/K, want 2.5", got)
	}
	if got := between(d, "front.coolant[3]", "front.metal[3]"); got != 0.5 { // beside the film, which follows the flow
		t.Errorf("cell to cell is %g W/K, want 0.5", got)
	}
	if got := between(d, "front.coolant[3]", "front.metal[2]"); got != 0 {
		t.Errorf("a link crosses from cell to cell: %g W/K", got)
	}
}

// A share follows another's work, idle power and all; so does a share of a share.
func TestSharesFollow(t *testing.T) {
	s := bare()
	s.Chips[0].Idle, s.Chips[0].Work = spec.Some(20), "load"
	s.Work = []spec.Work{{Name: "load", On: spec.Some(60), Off: spec.Some(30)}}
	s.Lumps = []spec.Lump{
		{Name: "board", Capacity: spec.Some(300), Power: shareOf(0.1, "cpu")},
		{Name: "coil", Capacity: spec.Some(30), Power: shareOf(0.5, "board")},
	}
	p := build(t, s)
	power := make([]float64, len(p.Network.Sources()))
	for at, want := range map[float64][]float64{0: {160, 6, 16, 8}, 60: {20, 6, 2, 1}, 100: {20, 6, 2, 1}} {
		if p.Timeline.Power(at, power); !slices.EqualFunc(power, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) {
			t.Errorf("at %g s %v ask for %v W, want %v", at, p.Network.Sources(), power, want)
		}
	}
}

// Steps may be shares of the part's own power or watts of their own.
func TestSteps(t *testing.T) {
	s := bare()
	s.Chips[0].Work = "load"
	s.Work = []spec.Work{{Name: "load", Repeat: spec.Repeat{Count: 2}, Steps: []spec.Step{
		{For: spec.Some(60), Power: spec.Power{Share: spec.Some(0.5)}}, {For: spec.Some(30), Power: watts(33)},
	}}}
	p := build(t, s)
	power := make([]float64, 2)
	for at, want := range map[float64]float64{0: 80, 60: 33, 90: 80, 150: 33, 180: 0} {
		if p.Timeline.Power(at, power); power[0] != want {
			t.Errorf("at %g s %g W, want %g", at, power[0], want)
		}
	}
}

// Start temperatures: stated for a lump, for a node and for all cells of one.
func TestStartTemperatures(t *testing.T) {
	s := bare()
	s.Lumps = []spec.Lump{{Name: "room", Capacity: spec.Some(1e5), Start: spec.Some(301)}, {Name: "bath", HeldAt: spec.Some(310)}}
	s.Links = []spec.Link{{Name: "wall", From: "room", To: "bath", Conductance: spec.Some(1)}}
	s.Start.Nodes = []spec.StartNode{{Node: "cpu.die", Temperature: 330}, {Node: "front.coolant", Temperature: 305}}
	p := build(t, s)
	for _, n := range p.Nodes {
		want := 295.15
		switch {
		case n.Path == "room":
			want = 301
		case n.Path == "cpu.die":
			want = 330
		case strings.HasPrefix(n.Path, "front.coolant"):
			want = 305
		}
		if p.Start[n.Lump] != want {
			t.Errorf("%s begins at %g K, want %g", n.Path, p.Start[n.Lump], want)
		}
	}
	if got := p.Inputs.Temperature; len(got) != 2 || got[0] != 295.15 || got[1] != 310 {
		t.Errorf("boundaries at %v K", got)
	}
}

// Every plan is made of its own memory: building one twice from one scenario
// gives two networks that do not see each other.
func TestPlansAreApart(t *testing.T) {
	s := bare()
	a, b := build(t, s), build(t, s)
	in := a.Network.Inputs()
	in.Temperature[0] = 280
	a.Network.SetInputs(in)
	a.Start[0] = 400
	if b.Network.Inputs().Temperature[0] == 280 || b.Start[0] == 400 {
		t.Error("the second plan changes with the first")
	}
}
