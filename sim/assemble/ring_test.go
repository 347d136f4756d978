package assemble_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/assemble"
	"soakledger/sim/fluid"
	"soakledger/sim/spec"
)

const litre = 1e-3 / 60 // m3/s of 1 L/min

func tubeNamed(name string, bore, length float64) spec.Part {
	return spec.Part{Kind: "tube", Name: name, Tube: &spec.Tube{Bore: spec.Some(bore), Length: spec.Some(length)}}
}

func branch(parts ...spec.Part) spec.Branch { return spec.Branch{Parts: parts} }

// ring is a loop of given parts behind a large pump, without a chip.
func ring(parts ...spec.Part) *spec.Scenario {
	pump := spec.Part{Kind: "pump", Name: "pump", Pump: &spec.Pump{Class: "large"}}
	return &spec.Scenario{
		Ambient: spec.Ambient{Temperature: spec.Some(298.15)},
		Loops:   []spec.Loop{{Name: "main", Parts: append([]spec.Part{pump}, parts...)}},
	}
}

// at returns a quantity of the first loop at 25 degC.
func at(t rapid.TB, p *assemble.Plan, value int) float64 {
	t.Helper()
	v, ok := p.Network.Quantity(p.Loops[0].Circuit, value, 298.15)
	if !ok {
		t.Fatal("the loop has no operation")
	}
	return v
}

// The pump of 4 m and 18 L/min against 2.5 m at 6 L/min, drop as the square of
// the flow: 6.993258 L/min (closed form, computed independently); at any other
// speed the flow goes as the speed, exactly. A measured drop of two points
// carries the square law.
func TestOperatingPointOfALoop(t *testing.T) {
	const metre = 9806.65
	for _, speed := range []float64{1, 0.8, 0.5} {
		s := ring(spec.Part{Kind: "block", Name: "block", Block: &spec.Block{Drop: []spec.FlowDrop{
			{Flow: spec.Some(0.1 * litre), Drop: spec.Some(2.5 * metre / 3600)}, {Flow: spec.Some(6 * litre), Drop: spec.Some(2.5 * metre)},
		}}})
		s.Loops[0].Parts[0].Pump = &spec.Pump{Head: spec.Some(4 * metre), FreeFlow: spec.Some(18 * litre), Speed: spec.Speed{Share: spec.Some(speed)}}
		p := build(t, s)
		if got, want := p.FlowAt(p.Loops[0], 298.15), 6.993258*litre*speed; math.Abs(got-want) > 1e-4*want {
			t.Errorf("at a speed of %g: %.6f L/min, want %.6f", speed, got/litre, want/litre)
		}
		if math.Abs(p.Loops[0].Flow-p.FlowAt(p.Loops[0], 298.15)) > 1e-15 {
			t.Errorf("the flow at ambient is %g", p.Loops[0].Flow)
		}
	}
}

// A drop with a laminar share scales by less than the speed: with a friction of
// 2e4 s/m2 times the flow beside the square the flow is 5.246358 L/min, and
// 0.746503 and 0.382996 of that at 80 and 50 % of the speed (closed form,
// computed independently). The friction is that of a pipe so wide that its flow
// stays laminar, of Hagen's and Poiseuille's length for it.
func TestLaminarShareOfALoop(t *testing.T) {
	const metre = 9806.65
	const bore, friction = 0.1, 2e4 * metre
	length := friction * math.Pi * math.Pow(bore, 4) / (128 * 889.996774e-6)
	for speed, want := range map[float64]float64{1: 5.246358, 0.8: 5.246358 * 0.746503, 0.5: 5.246358 * 0.382996} {
		s := ring(tubeNamed("way", bore, length), spec.Part{Kind: "block", Name: "block", Block: &spec.Block{Drop: []spec.FlowDrop{
			{Flow: spec.Some(0.1 * litre), Drop: spec.Some(2.5 * metre / 3600)}, {Flow: spec.Some(6 * litre), Drop: spec.Some(2.5 * metre)},
		}}})
		s.Loops[0].Parts[0].Pump = &spec.Pump{Head: spec.Some(4 * metre), FreeFlow: spec.Some(18 * litre), Speed: spec.Speed{Share: spec.Some(speed)}}
		if got := build(t, s).Loops[0].Flow / litre; math.Abs(got-want) > 1e-4*want {
			t.Errorf("at a speed of %g: %.6f L/min, want %.6f", speed, got, want)
		}
	}
}

// Branches: the flows add up to the whole, equal ones share it evenly, the
// wider one takes more, and inner ones add up to their outer one.
func TestBranchesShareTheFlow(t *testing.T) {
	s := ring(
		spec.Part{Branches: []spec.Branch{
			branch(tubeNamed("a", 0.008, 1)),
			branch(tubeNamed("b", 0.010, 0.2), spec.Part{Branches: []spec.Branch{branch(tubeNamed("c", 0.006, 1)), branch(tubeNamed("d", 0.006, 1))}}),
		}},
		spec.Part{Branches: []spec.Branch{branch(tubeNamed("e", 0.008, 1)), branch(tubeNamed("f", 0.010, 1)), branch(tubeNamed("g", 0.008, 1))}},
		spec.Part{Kind: "reservoir", Name: "res", Reservoir: &spec.Reservoir{}},
	)
	p := build(t, s)
	var v [8]float64
	for i := range v {
		v[i] = at(t, p, i)
	}
	sum := func(what string, whole float64, parts ...float64) {
		got := 0.0
		for _, x := range parts {
			got += x
		}
		if math.Abs(got-whole) > 1e-12*whole {
			t.Errorf("%s: %v add up to %g, not %g kg/s", what, parts, got, whole)
		}
	}
	sum("first fork", v[0], v[1], v[2])
	sum("inside", v[2], v[3], v[4])
	sum("second fork", v[0], v[5], v[6], v[7])
	if math.Abs(v[3]-v[4]) > 1e-12 || math.Abs(v[5]-v[7]) > 1e-12 || !(v[6] > 1.5*v[5]) {
		t.Errorf("the flows are %v kg/s", v)
	}
	if got, want := p.Loops[0].OneLine(p.Scenario), "pump, (a | b, (c | d)), (e | f | g), res"; got != want {
		t.Errorf("the loop reads %q", got)
	}
	if n := p.Find("junction_1"); len(n) != 1 || n[0].Kind != assemble.CoolantCell {
		t.Errorf("between the forks lies %v", n)
	}
	if p.Loops[0].Outlet != p.Find("res.coolant")[0].Lump {
		t.Errorf("the outlet is %s", p.Nodes[p.Loops[0].Outlet].Path)
	}
}

// What counts as the coolant's temperature: a reservoir that all of the coolant
// passes, else what comes to the first pump; where branches end at the pump,
// they mix in it.
func TestOutlet(t *testing.T) {
	fork := spec.Part{Branches: []spec.Branch{branch(tubeNamed("a", 0.008, 1)), branch(tubeNamed("b", 0.008, 1), spec.Part{Kind: "reservoir", Name: "side", Reservoir: &spec.Reservoir{}})}}
	second := spec.Part{Kind: "pump", Name: "second", Pump: &spec.Pump{Class: "large"}}
	fitting := spec.Part{Kind: "fitting", Name: "elbows", Fitting: &spec.Fitting{Class: "elbow", Count: spec.Some(4)}}
	tube := tubeNamed("tube", 0.010, 0.5)
	for _, c := range []struct {
		name, want string
		parts      []spec.Part
	}{
		{"a tube last", "tube.coolant", []spec.Part{fork, tube}},
		{"a fitting behind it", "tube.coolant", []spec.Part{fork, tube, fitting}},
		{"branches last", "pump.coolant", []spec.Part{tube, fork}},
		{"two pumps", "tube.coolant", []spec.Part{second, tube}},
		{"nothing but the pump", "pump.coolant", []spec.Part{fitting}},
		{"a reservoir", "res.coolant", []spec.Part{{Kind: "reservoir", Name: "res", Reservoir: &spec.Reservoir{}}, tube}},
	} {
		p := build(t, ring(c.parts...))
		if got := p.Nodes[p.Loops[0].Outlet].Path; got != c.want || p.Subject.Path != c.want {
			t.Errorf("%s: the outlet is %s, want %s", c.name, got, c.want)
		}
	}
	s := ring(tube, fork)
	s.Loops[0].Parts = []spec.Part{tube, s.Loops[0].Parts[0], fork}
	if p := build(t, s); p.Subject.Path != "tube.coolant" {
		t.Errorf("with the pump second in the list the outlet is %s", p.Subject.Path)
	}
}

// A pump of which nothing is stated runs along with one that fixes the flow.
func TestPumpsShareAFixedFlow(t *testing.T) {
	s := ring(spec.Part{Kind: "pump", Name: "second", Pump: &spec.Pump{Flow: spec.Some(3 * litre)}})
	p := build(t, s)
	if got := p.Loops[0].Flow; math.Abs(got-3*litre) > 1e-4*3*litre {
		t.Errorf("%g L/min", got/litre)
	}
	for _, a := range p.Assumed {
		if a.Path == "pump.flow" || a.Path == "pump.head" {
			t.Errorf("%s is assumed", a.Path)
		}
	}
}

// Pumps in series push harder, a standing one resists, and with all of them
// standing nothing flows.
func TestPumpsInSeries(t *testing.T) {
	flow := func(speeds ...float64) float64 {
		s := ring(tubeNamed("tube", 0.008, 3))
		s.Loops[0].Parts = s.Loops[0].Parts[1:]
		for i, speed := range speeds {
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "pump", Name: fmt.Sprintf("p%d", i), Pump: &spec.Pump{Class: "large", Speed: spec.Speed{Share: spec.Some(speed)}}})
		}
		return build(t, s).Loops[0].Flow
	}
	one, two, idle := flow(1), flow(1, 1), flow(1, 0)
	if !(two > 1.1*one && idle < one && idle > 0.5*one) || flow(0) != 0 || flow(0, 0) != 0 {
		t.Errorf("one %g, two %g, one standing %g L/min", one/litre, two/litre, idle/litre)
	}
}

// Three fittings in one are three fittings one after the other, by their loss
// and by their drop; an elbow resists more than a straight one.
func TestCountOfFittings(t *testing.T) {
	flow := func(count float64, times int, f spec.Fitting) float64 {
		var parts []spec.Part
		for i := range times {
			one := f
			one.Count = spec.Some(count)
			parts = append(parts, spec.Part{Kind: "fitting", Name: fmt.Sprintf("f%d", i), Fitting: &one})
		}
		return build(t, ring(parts...)).Loops[0].Flow
	}
	for _, f := range []spec.Fitting{{}, {Class: "elbow"}, {Class: "coupling pair"}, {Bore: spec.Some(0.007), Loss: spec.Some(2)}, {Drop: []spec.FlowDrop{{Flow: spec.Some(4 * litre), Drop: spec.Some(3e3)}}}} {
		if a, b := flow(3, 1, f), flow(1, 3, f); math.Abs(a-b) > 1e-9*b || !(a < 0.95*flow(1, 1, f)) {
			t.Errorf("%+v: %g L/min through one of three, %g L/min through three", f, a/litre, b/litre)
		}
	}
	if straight, elbow := flow(4, 1, spec.Fitting{}), flow(4, 1, spec.Fitting{Class: "elbow"}); !(elbow < straight) {
		t.Errorf("%g L/min through elbows, %g L/min straight", elbow/litre, straight/litre)
	}
}

// Property: the flow grows with the speed of the pump and falls with every part
// more. Glycol lowers it where the drops are measured ones; a tube may resist
// glycol less than water, where that turns its flow laminar, so with tubes the
// flow may rise a little.
func TestFlowIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := ring(tubeNamed("tube", rapid.Float64Range(0.006, 0.013).Draw(t, "bore"), rapid.Float64Range(0.1, 3).Draw(t, "length")),
			spec.Part{Kind: "block", Name: "block", Block: &spec.Block{}})
		class := rapid.SampledFrom([]string{"small", "large"}).Draw(t, "class")
		speed := rapid.Float64Range(0.05, 0.95).Draw(t, "speed")
		flow := func(speed, share float64, more ...spec.Part) float64 {
			q := s.Clone()
			q.Loops[0].Parts[0].Pump = &spec.Pump{Class: class, Speed: spec.Speed{Share: spec.Some(speed)}}
			q.Loops[0].Parts = append(q.Loops[0].Parts, more...)
			if share > 0 {
				q.Coolant = spec.Coolant{Fluid: "propylene glycol", MassShare: spec.Some(share)}
			}
			p, err := assemble.Build(q)
			if err != nil {
				t.Fatal(err)
			}
			return p.Loops[0].Flow
		}
		base := flow(speed, 0)
		if faster, thick, longer := flow(speed*1.05, 0), flow(speed, 0.3), flow(speed, 0, tubeNamed("more", 0.010, 0.3)); !(faster > base && thick < 1.1*base && longer < base && longer > 0) {
			t.Fatalf("%g L/min, faster %g, with glycol %g, longer %g", base/litre, faster/litre, thick/litre, longer/litre)
		}
		s.Loops[0].Parts = append(s.Loops[0].Parts[:1], s.Loops[0].Parts[2])
		if water, glycol := flow(speed, 0), flow(speed, 0.3); !(glycol < water) {
			t.Fatalf("through a block %g L/min of water and %g L/min of glycol", water/litre, glycol/litre)
		}
	})
}

// A radiator in the network carries what is stated at the test flow of water at
// 25 degC, with any number of cells, and its film and air side conduct at rest.
func TestRadiatorCarriesWhatIsStated(t *testing.T) {
	for _, cells := range []float64{1, 2, 4, 9} {
		s := bare()
		part(s, "front").Radiator.Cells = spec.Some(cells)
		part(s, "pump_1").Pump.Flow = spec.Some(4 * litre)
		p := build(t, s)
		film, air := at(t, p, 2), at(t, p, 3) // behind the flow and the block's film
		rate := at(t, p, 0) * fluid.Water().SpecificHeat(298.15)
		g := 1 / (1/film + 1/air)
		if heat := rate * (1 - math.Pow(1+g/(cells*rate), -cells)); math.Abs(heat-18) > 1e-4*18 || math.Abs(film-108) > 1e-4*108 {
			t.Errorf("%g cells carry %.8g W/K through a film of %.8g W/K, stated are 18 and 108", cells, heat, film)
		}
		part(s, "pump_1").Pump.Flow = spec.Some(0)
		still := build(t, s)
		if film, air, plate := at(t, still, 2), at(t, still, 3), at(t, still, 1); math.Abs(film-10.8) > 0.01 || !(air > 1) || math.Abs(plate-5) > 0.005 {
			t.Errorf("at rest %g W/K to the metal, %g W/K to the air, %g W/K from the plate", film, air, plate)
		}
	}
}

// Fans outside the stated points are told, with what to do; inside them not.
func TestWarningsOfPoints(t *testing.T) {
	for rpm, want := range map[float64]string{
		600: "front.fans.speed: 600 rpm is outside the stated points, measured from 750 to 1300 rpm", 750: "", 1000: "", 1300: "", 0: "",
		1500: "front.fans.speed: 1500 rpm is outside the stated points, measured from 750 to 1300 rpm; the conductance there is carried on by a power law",
	} {
		s := bare()
		part(s, "front").Radiator = &spec.Radiator{Points: points(750, 13, 1300, 21), Fans: spec.Fans{Speed: turns(rpm)}}
		got := strings.Join(build(t, s).Warnings, "\n")
		if (got == "") != (want == "") || !strings.HasPrefix(got, want) {
			t.Errorf("at %g rpm: %q", rpm, got)
		}
	}
	s := bare()
	part(s, "front").Radiator = &spec.Radiator{Points: points(1000, 18), Fans: spec.Fans{Speed: turns(900)}}
	if got := build(t, s).Warnings; len(got) != 1 || !strings.Contains(got[0], "measured at 1000 rpm alone") {
		t.Errorf("of one point: %q", got)
	}
}

// Fans that bring enough air are accepted, and at rest they are not asked.
func TestAirThatCarries(t *testing.T) {
	for _, change := range []func(r *spec.Radiator){
		func(r *spec.Radiator) { r.Size = spec.Some(0.24) },
		func(r *spec.Radiator) { r.Fans.Count = spec.Some(2) },
		func(r *spec.Radiator) {
			r.Conductance, r.Points, r.Size = spec.Number{}, points(750, 13, 1300, 21), spec.Some(0.24)
		},
		func(r *spec.Radiator) {
			r.Fans.Rated, r.Fans.Count, r.Fans.Speed = spec.Number{}, spec.Some(2), spec.Speed{}
		},
		func(r *spec.Radiator) {
			r.Conductance, r.Points, r.Fans.Count = spec.Number{}, points(750, 13, 1300, 21), spec.Some(2)
			r.Fans.Speed = turns(0)
		},
		func(r *spec.Radiator) { r.Fans.Airflow = spec.Some(30.0 / 3600) }, // of an unknown number of fans
	} {
		s := bare()
		r := part(s, "front").Radiator
		r.Fans = spec.Fans{Speed: turns(1000), Airflow: spec.Some(95.0 / 3600), Rated: spec.Some(1600.0 / 60)}
		change(r)
		build(t, s)
	}
}

// Weights tell the coolant and the metal: of block and radiator by the
// material, of a tube all of it, of pump and reservoir the share that follows.
func TestWeights(t *testing.T) {
	s := bare()
	for name, w := range map[string][2]float64{"pump_1": {0.5, 0.55}, "tube_1": {0.06, 0.09}, "block_1": {0.4, 0.43}, "front": {0.8, 0.95}, "reservoir_1": {0.5, 0.72}} {
		weigh(part(s, name), w[0], w[1])
	}
	part(s, "front").Radiator.Material = "aluminium"
	p := build(t, s)
	density := fluid.Water().Density(295.15)
	for name, want := range map[string]float64{"pump_1": 0.05, "tube_1": 0.03, "block_1": 0.03, "reservoir_1": 0.22, "front": 0.15} {
		got := 0.0
		for _, n := range p.Find(name + ".coolant") {
			got += p.Network.Capacity(n.Lump, 295.15)
		}
		if want *= fluid.Water().SpecificHeat(295.15); math.Abs(got-want) > 1e-4*want {
			t.Errorf("%s holds %g J/K of coolant, want %g", name, got, want)
		}
	}
	for path, want := range map[string]float64{
		"pump_1.body": 0.5 * 0.5 * 450, "tube_1.wall": 0.06 * 1000, "block_1.plate": 0.4 * 380, "front.metal[1]": 0.8 * 880 / 4, "reservoir_1.wall": 0.5 * 0.5 * 1500,
	} {
		if got := p.Network.Capacity(p.Find(path)[0].Lump, 295.15); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s stores %g J/K, want %g", path, got, want)
		}
	}
	if math.Abs(p.CoolantVolume-0.48/density) > 1e-12 {
		t.Errorf("%g mL in all", 1e6*p.CoolantVolume)
	}
	for _, a := range p.Assumed {
		if slices.Contains([]string{"front.holds", "front.metal_capacity", "block_1.plate_capacity", "block_1.holds", "pump_1.holds", "pump_1.class", "reservoir_1.volume", "reservoir_1.class"}, a.Path) && a.Path != "pump_1.class" {
			t.Errorf("%s is assumed", a.Path)
		}
	}
}

// A wall's capacity lies in the middle of its resistance: half of it to the
// coolant, of constant size, and the rest with the air around in a curve.
func TestWallsInHalves(t *testing.T) {
	p := build(t, bare())
	d := p.Network.Describe(280, 320)
	through := 2 * math.Pi * 0.25 * 0.4 / math.Log(1.4)
	if got := between(d, "tube_1.coolant", "tube_1.wall"); math.Abs(got-2*through) > 1e-12 {
		t.Errorf("%g W/K from coolant to the middle of the wall, want %g", got, 2*through)
	}
}

// A radiator in the case takes in air of the room, walls stand in the case where
// there is one, and its panels stand in the room. Boards release the other heat.
func TestCaseAndRoom(t *testing.T) {
	s := bare()
	s.Room, s.Case = &spec.Room{}, &spec.Case{OtherHeat: watts(45)}
	p := build(t, s)
	d := p.Network.Describe(280, 320)
	if between(d, "room", "ambient") != 40 || between(d, "case.chassis", "room") != 5 || between(d, "case", "case.chassis") != 6 ||
		between(d, "case", "case.boards") != 8 || between(d, "case", "ambient") != 0 || between(d, "case", "room") != 0 {
		t.Errorf("the links are %v", d.Conductances)
	}
	if a := p.Air[0]; a.From != "room" || a.To != "case" || !(a.Airflow > 0) {
		t.Errorf("the radiator's air is %+v", a)
	}
	// 45 L of dry air at 22 degC: 0.101325 MPa / (287.05 J/(kg K) T) times 1006 J/(kg K).
	air := 0.045 * 101325 / (287.05 * 295.15) * 1006
	if !slices.Contains(p.Network.Sources(), "case") {
		t.Errorf("the sources are %v", p.Network.Sources())
	}
	for path, want := range map[string]float64{"room": 300e3, "case": air, "case.boards": 1000, "case.chassis": 4000} {
		if got := p.Network.Capacity(p.Find(path)[0].Lump, 295.15); math.Abs(got-want) > 1e-3*want {
			t.Errorf("%s stores %g J/K", path, got)
		}
	}
}

// The power of a pump falls with the cube of its speed down to what its
// electronics take; at rest it is nothing.
func TestPumpPowerFollowsTheSpeed(t *testing.T) {
	for speed, want := range map[float64]float64{1: 20, 0.6: 20 * (0.08 + 0.92*0.216), 0: 0} {
		s := bare()
		part(s, "pump_1").Power, part(s, "pump_1").Pump.Speed.Share = watts(20), spec.Some(speed)
		p := build(t, s)
		power := make([]float64, len(p.Network.Sources()))
		p.Timeline.Power(0, power)
		if got := power[slices.Index(p.Network.Sources(), "pump_1")]; math.Abs(got-want) > 1e-12 {
			t.Errorf("at a speed of %g it draws %g W, want %g", speed, got, want)
		}
	}
}

// A fitting's metal follows the coolant of the part behind it, and the last
// fittings of a ring that of the first part.
func TestFittingsHaveMetal(t *testing.T) {
	p := build(t, ring(
		spec.Part{Kind: "fitting", Name: "two", Fitting: &spec.Fitting{Count: spec.Some(2)}},
		spec.Part{Kind: "reservoir", Name: "tank", Reservoir: &spec.Reservoir{Volume: spec.Some(2e-4)}},
		spec.Part{Kind: "fitting", Name: "pair", Fitting: &spec.Fitting{Class: "coupling pair"}},
	))
	if want := 0.45 + 2*0.035 + 0.12; math.Abs(p.MetalMass-want) > 1e-12 {
		t.Errorf("%g kg of metal, want %g", p.MetalMass, want)
	}
	tied := map[string]string{}
	for _, c := range p.Network.Describe(280, 290).Conductances {
		tied[c.To] = c.From
	}
	if tied["two.body"] != "tank.coolant" || tied["pair.body"] != "pump.coolant" {
		t.Errorf("the fittings are tied to %q and %q", tied["two.body"], tied["pair.body"])
	}
}
