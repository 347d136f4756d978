package spec

// workstation is a sound scenario with every section, for tests. Names are
// left out where they can be made.
func workstation() *Scenario {
	watts := func(x float64) Power { return Power{Watts: Some(x)} }
	share := func(x float64, of string) Power { return Power{Share: Some(x), Of: of} }
	return &Scenario{
		Title:   "Office workstation",
		Ambient: Ambient{Temperature: Some(296.15)},
		Coolant: Coolant{Fluid: "propylene glycol", VolumeShare: Some(0.2)},
		Chips: []Chip{
			{Name: "cpu", Power: watts(210), Work: "render", DieToPlate: Some(0.12), Leakage: Leakage{Power: Some(30), At: Some(333.15), Growth: Some(0.02)}},
			{Power: watts(300)},
		},
		Loops: []Loop{{Parts: []Part{
			{Kind: "pump", Pump: &Pump{Flow: Some(4. / 60000)}, Power: watts(8)},
			{Kind: "tube", Tube: &Tube{Bore: Some(0.010), Length: Some(0.45)}},
			{Kind: "block", Block: &Block{Cools: "cpu"}, Power: share(0.1, "cpu")},
			{Kind: "radiator", Name: "front", Radiator: &Radiator{Conductance: Some(18), Cells: Some(4)}, Note: "old"},
			{Kind: "tube", Tube: &Tube{Bore: Some(0.010), Length: Some(0.3)}},
		}}},
		Lumps: []Lump{{Name: "board", Capacity: Some(5000), Power: watts(45)}, {Name: "wall", HeldAt: Some(293.15)}},
		Links: []Link{{From: "board", To: "ambient", Conductance: Some(5)}, {From: "front.metal", To: "board", Conductance: Some(0.5)}},
		Work: []Work{
			{Name: "render", Steps: []Step{{For: Some(2400), Power: watts(210)}, {For: Some(600), Power: share(0.8, "")}}, Repeat: Repeat{Count: 8}},
			{On: Some(1080), Off: Some(120), Repeat: Repeat{Forever: true}},
		},
		Start:    Start{Nodes: []StartNode{{Node: "cpu.die", Temperature: 313.15}, {Node: "board", Temperature: 297.15}}},
		Duration: Some(4800),
		Figures:  Figures{CoolantAt: []Number{Some(313.15), Some(318.15)}},
		Solver:   Solver{Tolerance: Some(2e-4)},
	}
}

// rig is a sound scenario with what the workstation lacks: a room and a case,
// curves, speeds and branches within branches.
func rig() *Scenario {
	pump := &Pump{Curve: []FlowHead{{Some(0), Some(35000)}, {Some(1e-4), Some(25000)}, {Some(2.5e-4), Some(0)}}, Rated: Some(80), Speed: Speed{Share: Some(0.6)}}
	front := &Radiator{
		Class: "slim", Size: Some(0.28), Points: []SpeedConductance{{Some(12.5), Some(13)}, {Some(20), Some(21)}, {Some(30), Some(21)}},
		Fans: Fans{Count: Some(2), Speed: Speed{Rate: Some(17.5)}, Rated: Some(25)}, Drop: []FlowDrop{{Some(6e-5), Some(2500)}},
	}
	block := func(chip string) Part {
		return Part{Kind: "block", Block: &Block{Cools: chip, PlateMass: Some(0.18), Drop: []FlowDrop{{Some(3e-5), Some(4000)}, {Some(6e-5), Some(12000)}}}}
	}
	tube := Part{Kind: "tube", Tube: &Tube{Bore: Some(0.01), Length: Some(0.3), Material: "epdm", Bends: Some(2)}}
	inner := Part{Branches: []Branch{{Parts: []Part{block("cpu")}}, {Parts: []Part{clonePart(tube)}}}}
	return &Scenario{
		Room:  &Room{},
		Case:  &Case{Chassis: Body{Capacity: Some(5000)}, OtherHeat: Power{Share: Some(0.12), Of: "cpu"}},
		Chips: []Chip{{Name: "cpu", Class: "desktop with spreader", Power: Power{Watts: Some(160)}}, {Name: "gpu", Power: Power{Watts: Some(300)}}},
		Loops: []Loop{{Name: "main", Parts: []Part{
			{Kind: "pump", Name: "driver", Pump: pump, Price: Some(90)},
			clonePart(tube),
			{Branches: []Branch{
				{Parts: []Part{clonePart(tube), inner, {Kind: "fitting", Fitting: &Fitting{Class: "elbow", Count: Some(4), Bore: Some(0.009), Loss: Some(1.5)}}}},
				{Parts: []Part{block("gpu"), {Kind: "radiator", Name: "rear", Radiator: &Radiator{Conductance: Some(12)}, Empty: Some(0.78), Full: Some(0.94)}}},
			}},
			{Kind: "radiator", Name: "front", Radiator: front},
			clonePart(tube),
			{Kind: "reservoir", Reservoir: &Reservoir{Class: "typical"}},
		}}},
		Links: []Link{{From: "case", To: "room", Conductance: Some(3)}, {From: "rear.metal", To: "case", Conductance: Some(1)}},
		Start: Start{Nodes: []StartNode{{Node: "room", Temperature: 294.15}, {Node: "case", Temperature: 296.15}}},
	}
}

// clonePart returns a tube of its own memory.
func clonePart(p Part) Part {
	t := *p.Tube
	p.Tube = &t
	return p
}
