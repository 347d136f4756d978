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
		Lumps: []Lump{{Name: "case", Capacity: Some(5000), Power: watts(45)}, {Name: "wall", HeldAt: Some(293.15)}},
		Links: []Link{{From: "case", To: "ambient", Conductance: Some(5)}, {From: "front.metal", To: "case", Conductance: Some(0.5)}},
		Work: []Work{
			{Name: "render", Steps: []Step{{For: Some(2400), Power: watts(210)}, {For: Some(600), Power: share(0.8, "")}}, Repeat: Repeat{Count: 8}},
			{On: Some(1080), Off: Some(120), Repeat: Repeat{Forever: true}},
		},
		Start:    Start{Nodes: []StartNode{{Node: "cpu.die", Temperature: 313.15}, {Node: "case", Temperature: 297.15}}},
		Duration: Some(4800),
		Figures:  Figures{CoolantAt: []Number{Some(313.15), Some(318.15)}},
		Solver:   Solver{Tolerance: Some(2e-4)},
	}
}
