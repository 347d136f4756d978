package assemble_test

import (
	"slices"
	"strings"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

// built returns the plan of a scenario that must assemble.
func built(t *testing.T, s *spec.Scenario) *assemble.Plan {
	t.Helper()
	p, err := assemble.Build(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// sized makes the front radiator of the bare scenario one of a size at a fan
// speed (rpm).
func sized(s *spec.Scenario, length, rpm float64) *spec.Radiator {
	r := part(s, "front").Radiator
	r.Size, r.Fans.Speed = spec.Some(length), turns(rpm)
	return r
}

// Each case spoils the bare scenario in one way; the findings are all that may
// be told, in order, as PATH: part of the text.
func TestFindings(t *testing.T) {
	type spoil = func(s *spec.Scenario)
	chip := func(change func(c *spec.Chip)) spoil { return func(s *spec.Scenario) { change(&s.Chips[0]) } }
	in := func(name string, change func(p *spec.Part)) spoil {
		return func(s *spec.Scenario) { change(part(s, name)) }
	}
	const litrePerMinute = 1e-3 / 60
	tests := []struct {
		name  string
		spoil spoil
		want  []string
	}{
		{"nothing", func(*spec.Scenario) {}, nil},

		{"a loose mount", chip(func(c *spec.Chip) { c.DieToPlate = spec.Some(0.6) }), []string{
			"cpu.die_to_plate: 0.6 K/W is outside the usual 0.03 to 0.3 K/W; check the unit or the mount"}},
		{"a loose mount of a known class", chip(func(c *spec.Chip) { c.Class, c.DieToPlate = "desktop with spreader", spec.Some(0.6) }), []string{
			"cpu.die_to_plate: 0.6 K/W is outside the usual 0.08 to 0.3 K/W of class desktop with spreader; check the unit or the mount"}},
		{"at the end of the range", chip(func(c *spec.Chip) { c.Class, c.DieToPlate = "desktop with spreader", spec.Some(0.3) }), nil},
		{"another class of chip", chip(func(c *spec.Chip) { c.DieToPlate = spec.Some(0.05) }), []string{
			"cpu.die_to_plate: 0.05 K/W is usual for class workstation or bare die graphics, and outside the 0.08 to 0.3 K/W of class desktop with spreader, which was assumed"}},
		{"that class stated", chip(func(c *spec.Chip) { c.Class, c.DieToPlate = "workstation", spec.Some(0.05) }), nil},
		{"late shutdown", chip(func(c *spec.Chip) { c.Shutdown = spec.Some(273.15 + 140) }), []string{
			"cpu.shutdown: 140 degC is outside the usual 105 to 125 degC; look up at which die temperature"}},
		{"a die of iron", chip(func(c *spec.Chip) { c.DieCapacity = spec.Some(500) }), []string{"cpu.die_capacity: 500 J/K is outside the usual 0.8 to 20 J/K; check the unit and the mass"}},
		{"leakage per degree", chip(func(c *spec.Chip) { c.Leakage = spec.Leakage{Power: spec.Some(20), Growth: spec.Some(0.15)} }), []string{"cpu.leakage.growth: 15 %/K is outside"}},

		{"a pump of another class", in("pump_1", func(p *spec.Part) { p.Pump.Head = spec.Some(4 * 9806.65) }), []string{
			"pump_1.head: 4 m is usual for class large, and outside the 1 to 2.5 m of class small, which was assumed for what is not stated; state the class"}},
		{"a pump between classes", in("pump_1", func(p *spec.Part) { p.Pump.Head = spec.Some(3 * 9806.65) }), nil},
		{"head in feet", in("pump_1", func(p *spec.Part) { p.Pump.Head = spec.Some(12 * 9806.65) }), []string{"pump_1.head: 12 m is outside the usual 1 to 5 m; check the unit, and that it is the figure at rated speed"}},
		{"a heating pump", in("pump_1", func(p *spec.Part) { p.Power = watts(60) }), []string{"pump_1.power: 60 W is outside the usual 3 to 23 W; check that it is the electrical power"}},
		{"slow fixed flow", in("pump_1", func(p *spec.Part) { p.Pump.Flow = spec.Some(0.4 * litrePerMinute) }), []string{"pump_1.flow: 0.4 L/min is outside the usual 2 to 5 L/min of a loop"}},
		{"fast fixed flow", in("pump_1", func(p *spec.Part) { p.Pump.Flow = spec.Some(40 * litrePerMinute) }), []string{"pump_1.flow: 40 L/min is outside the usual 2 to 5 L/min of a loop"}},
		{"a stopped loop", in("pump_1", func(p *spec.Part) { p.Pump.Flow = spec.Some(0) }), nil},
		{"a pump too weak", func(s *spec.Scenario) { throttle(s) }, []string{"pump_1: at full speed 0."}},
		{"slowed down", func(s *spec.Scenario) { part(s, "pump_1").Pump.Speed.Share = spec.Some(0.1) }, nil},
		{"slowed down in rpm", func(s *spec.Scenario) { part(s, "pump_1").Pump.Speed.Rate = spec.Some(6) }, nil},
		{"too weak, and slowed down", func(s *spec.Scenario) {
			throttle(s)
			part(s, "pump_1").Pump.Speed.Rate = spec.Some(20)
		}, []string{"pump_1: at full speed 0."}},

		{"a narrow tube", in("tube_1", func(p *spec.Part) { p.Tube.Bore = spec.Some(0.006) }), []string{"tube_1.bore: 6 mm is outside the usual 9.5 to 12.7 mm; check the unit, and inside against outside"}},
		{"a narrow fitting", func(s *spec.Scenario) {
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "fitting", Name: "narrow", Fitting: &spec.Fitting{Bore: spec.Some(0.007)}})
		}, nil},
		{"a lossy fitting", func(s *spec.Scenario) {
			s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "fitting", Name: "narrow", Fitting: &spec.Fitting{Loss: spec.Some(15)}})
		}, []string{"narrow.loss: 15 is outside the usual 0.3 to 2; check the unit"}},
		{"thick fins", in("block_1", func(p *spec.Part) { p.Block.FilmConductance = spec.Some(900) }), []string{"block_1.film_conductance: 900 W/K is outside the usual 25 to 200 W/K; check the unit and the test_flow"}},
		{"another class of block", in("block_1", func(p *spec.Part) { p.Holds = spec.Some(70e-6) }), []string{"block_1.holds: 70 mL is usual for class full-cover block"}},
		{"a drop in bar", in("block_1", func(p *spec.Part) {
			p.Block.Drop = []spec.FlowDrop{{Flow: spec.Some(4 * litrePerMinute), Drop: spec.Some(60e3)}}
		}), []string{"block_1.drop: as stated it is 5"}},
		{"a usual drop", in("block_1", func(p *spec.Part) {
			p.Block.Drop = []spec.FlowDrop{{Flow: spec.Some(4 * litrePerMinute), Drop: spec.Some(12e3)}}
		}), nil},
		{"a drop of another class", in("block_1", func(p *spec.Part) {
			p.Block.Class, p.Block.Drop = "full-cover block", []spec.FlowDrop{{Flow: spec.Some(4 * litrePerMinute), Drop: spec.Some(17e3)}}
		}), []string{"block_1.drop: as stated it is 15"}},

		{"a strong radiator", func(s *spec.Scenario) { sized(s, 0.24, 1000).Conductance = spec.Some(45) }, []string{
			"front.conductance: 45 W/K at 1000 rpm is above the 9 to 22 W/K that 240 mm of radiator usually carry, from small cases with grilles to open benches"}},
		{"the top of the band", func(s *spec.Scenario) { sized(s, 0.24, 1000).Conductance = spec.Some(22) }, nil},
		{"a weak radiator", func(s *spec.Scenario) { sized(s, 0.24, 1000).Conductance = spec.Some(8) }, nil},
		{"strong over the mean", func(s *spec.Scenario) {
			r := sized(s, 0.48, 2500)
			r.Conductance, r.Per = spec.Some(115), "mean" // 95 W/K over the inlet
		}, nil},
		{"fans unknown", func(s *spec.Scenario) {
			part(s, "front").Radiator.Size = spec.Some(0.12)
			part(s, "front").Radiator.Conductance = spec.Some(30)
		}, []string{"front.conductance: 30 W/K at 2500 rpm is above the 10 to 25 W/K that 120 mm"}},
		{"strong points", func(s *spec.Scenario) {
			r := sized(s, 0.24, 1000)
			r.Conductance, r.Points = spec.Number{}, points(750, 13, 1300, 28.2, 1850, 38) // more the air of usual fans would not carry
		}, []string{"front.points[1].conductance: 28.2 W/K at 1300 rpm is above the 11 to 28 W/K that 240 mm"}},
		{"a radiator without a size", in("front", func(p *spec.Part) { p.Radiator.Conductance = spec.Some(90) }), nil},

		{"aluminium and copper", in("front", func(p *spec.Part) { p.Radiator.Material = "aluminium" }), []string{
			"front.material: aluminium here and copper in block_1 share one coolant"}},
		{"all of aluminium", func(s *spec.Scenario) {
			part(s, "front").Radiator.Material = "aluminium"
			part(s, "block_1").Block.Material, part(s, "block_1").Block.PlateMass = "aluminium", spec.Some(0.1)
		}, nil},
		{"brass tube on aluminium", func(s *spec.Scenario) {
			part(s, "front").Radiator.Material = "aluminium"
			part(s, "block_1").Block.Material, part(s, "block_1").Block.PlateMass = "aluminium", spec.Some(0.1)
			part(s, "tube_1").Tube.Material = "brass"
		}, []string{"block_1.material: aluminium here and brass in tube_1"}},

		{"much glycol", func(s *spec.Scenario) {
			s.Coolant = spec.Coolant{Fluid: "propylene glycol", VolumeShare: spec.Some(0.55)}
		}, []string{"coolant.volume_share: 55 % of glycol is more than the 50 %"}},
		{"half glycol", func(s *spec.Scenario) {
			s.Coolant = spec.Coolant{Fluid: "ethylene glycol", MassShare: spec.Some(0.5)}
		}, nil},
		{"a cold room", func(s *spec.Scenario) { s.Ambient.Temperature = spec.Some(273.15 + 2) }, []string{"ambient.temperature: 2 degC is within 3 K of the freezing point of water, 0 degC"}},
		{"a cool room", func(s *spec.Scenario) { s.Ambient.Temperature = spec.Some(273.15 + 4) }, nil},
		{"a cold room and glycol", func(s *spec.Scenario) {
			s.Ambient.Temperature = spec.Some(273.15 + 2)
			s.Coolant = spec.Coolant{Fluid: "ethylene glycol", MassShare: spec.Some(0.3)}
		}, nil},
		// 25 degC at 60 % has its dew point at 16.7 degC: computed independently
		// in double precision from the formula of Magnus (WMO-No. 8, annex 4.B).
		{"a start below the dew point", func(s *spec.Scenario) {
			humid(s)
			s.Start.Nodes = []spec.StartNode{{Node: "front.metal", Temperature: 273.15 + 15}}
		}, []string{"start.front.metal: 15 degC is below the room's dew point of 16.7 degC: water condenses there and drips; keep it above 18.7 degC"}},
		{"a start near the dew point", func(s *spec.Scenario) {
			humid(s)
			s.Start.Nodes = []spec.StartNode{{Node: "front.metal", Temperature: 273.15 + 18}}
		}, []string{"start.front.metal: 18 degC is within 2 K of the room's dew point of 16.7 degC"}},
		{"a start above it", func(s *spec.Scenario) {
			humid(s)
			s.Start.Nodes = []spec.StartNode{{Node: "front.metal", Temperature: 273.15 + 19}}
		}, nil},
		{"a start above the room in wet air", func(s *spec.Scenario) {
			humid(s)
			s.Ambient.Humidity = spec.Some(0.98) // dew point 24.7 degC
			s.Start.Nodes = []spec.StartNode{{Node: "front.metal", Temperature: 273.15 + 26}}
		}, nil},
		{"a chilled bath", func(s *spec.Scenario) {
			humid(s)
			s.Lumps = []spec.Lump{{Name: "bath", HeldAt: spec.Some(273.15 + 5)}, {Name: "bucket", Capacity: spec.Some(1000), Start: spec.Some(273.15 + 10)}}
			s.Links = []spec.Link{{Name: "l", From: "bath", To: "bucket", Conductance: spec.Some(5)}}
		}, []string{"bath.held_at: 5 degC is below", "bucket.start: 10 degC is below"}},
		{"a chilled bath in dry air", func(s *spec.Scenario) {
			s.Lumps = []spec.Lump{{Name: "bath", HeldAt: spec.Some(273.15 + 5)}}
			s.Links = []spec.Link{{Name: "l", From: "bath", To: "front.metal", Conductance: spec.Some(5)}}
		}, nil},

		{"no metal", func(s *spec.Scenario) {
			bodiless(s)
		}, []string{"block_1.plate_capacity: 1 J/K is outside the usual 38 to 340 J/K; check the unit and the mass",
			"front.metal_capacity: 1 J/K is outside the usual 150 to 900 J/K",
			"loop_1: metal and walls have only 7 % of the heat capacity of this loop, and a third is usual, so that it soaks too fast: it is missing in block_1.plate_capacity and front.metal_capacity; state what"}},
		{"a bucket", in("reservoir_1", func(p *spec.Part) { p.Reservoir.Volume = spec.Some(12e-3) }), []string{
			"loop_1: metal and walls have only ", "reservoir_1.volume: 12 L is outside the usual 50 to 600 mL; check the unit, or weigh the part"}},
		{"a weighed radiator", in("front", func(p *spec.Part) { p.Empty, p.Full = spec.Some(1.75), spec.Some(2.68) }), []string{
			"loop_1: this loop holds 1.2"}},

		{"a case of iron", func(s *spec.Scenario) { s.Case = &spec.Case{Chassis: spec.Body{Capacity: spec.Some(50e3)}} }, []string{"case.chassis.capacity: 50 kJ/K is outside the usual 2.5 to 5 kJ/K; check the unit and the mass it stands for"}},
		{"an open case", func(s *spec.Scenario) { s.Case = &spec.Case{Conductance: spec.Some(100)} }, []string{"case.conductance: 100 W/K is outside the usual 3 to 8 W/K; check the unit"}},
		{"a cupboard", func(s *spec.Scenario) { s.Room = &spec.Room{Conductance: spec.Some(2)} }, []string{"room.conductance: 2 W/K is outside the usual 30 to 80 W/K"}},
		{"a choice", func(s *spec.Scenario) {
			s.Ambient.Temperature = spec.Some(273.15 + 38)
			part(s, "tube_1").Tube.Length = spec.Some(3)
			part(s, "front").Radiator.TestFlow = spec.Some(1.5 * litrePerMinute)
		}, nil},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			s := bare()
			c.spoil(s)
			matches(t, built(t, s).Findings(), c.want)
		})
	}
}

// matches compares findings with what they have to begin with.
func matches(t *testing.T, got []assemble.Finding, want []string) {
	t.Helper()
	var lines []string
	for _, f := range got {
		lines = append(lines, f.Path+": "+f.Text)
	}
	ok := slices.EqualFunc(lines, want, strings.HasPrefix)
	if !ok {
		t.Errorf("got\n  %s\nwant\n  %s", strings.Join(lines, "\n  "), strings.Join(want, "\n  "))
	}
}

// throttle puts so many narrow fittings into the ring that its pump is too weak.
func throttle(s *spec.Scenario) {
	l := &s.Loops[0]
	l.Parts = append(l.Parts, spec.Part{Kind: "fitting", Name: "narrow", Fitting: &spec.Fitting{Count: spec.Some(1000), Loss: spec.Some(1.5)}})
}

func humid(s *spec.Scenario) {
	s.Ambient.Temperature, s.Ambient.Humidity = spec.Some(273.15+25), spec.Some(0.6)
}

// Findings tell nothing of a scenario's own loops twice, and leave the plan as
// it is.
func TestFindingsArePure(t *testing.T) {
	s := bare()
	s.Chips[0].DieToPlate = spec.Some(0.6)
	throttle(s)
	p := built(t, s)
	before := spec.Hash(p.Scenario)
	first, second := p.Findings(), p.Findings()
	if !slices.Equal(first, second) || len(first) != 2 {
		t.Errorf("first %v, then %v", first, second)
	}
	if spec.Hash(p.Scenario) != before {
		t.Error("the plan's scenario was changed")
	}
}

// A finding of one ring does not come up in another.
func TestFindingsOfTwoLoops(t *testing.T) {
	s := bare()
	two := bare()
	two.Loops[0].Name = "second"
	for i := range two.Loops[0].Parts {
		two.Loops[0].Parts[i].Name += "_b"
	}
	two.Loops[0].Parts[2].Block.Cools = ""
	two.Loops[0].Parts[3].Radiator.Material = "aluminium"
	s.Loops = append(s.Loops, two.Loops[0])
	matches(t, built(t, s).Findings(), []string{"front_b.material: aluminium here and copper in block_1_b"})

	bodiless(s)
	matches(t, built(t, s).Findings(), []string{
		"block_1.plate_capacity: ", "front.metal_capacity: ", "front_b.material: ", "loop_1: metal and walls have only 7 %"})
}

// bodiless takes nearly all metal out of the first loop.
func bodiless(s *spec.Scenario) {
	part(s, "front").Radiator.MetalCapacity, part(s, "front").Radiator.Cells = spec.Some(1), spec.Some(1)
	part(s, "block_1").Block.PlateCapacity = spec.Some(1)
	r := part(s, "reservoir_1")
	r.Empty, r.Full = spec.Some(0.05), spec.Some(0.65)
}

// The shipped scenarios have nothing unusual in them.
func TestShippedScenariosAreUsual(t *testing.T) {
	all := scenarios.Shipped()
	if len(all) < 4 {
		t.Fatalf("only %d shipped scenarios", len(all))
	}
	for _, e := range all {
		doc, err := scenarios.Load(e.Name)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range built(t, doc.Scenario).Findings() {
			t.Errorf("%s: %s: %s", e.Name, f.Path, f.Text)
		}
	}
}
