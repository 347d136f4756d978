package spec

import (
	"math"
	"strings"
	"testing"
)

// TestRigIsSound: the rig has no problem, named or not.
func TestRigIsSound(t *testing.T) {
	for name, s := range map[string]*Scenario{"named": rig().Named(), "unnamed": rig()} {
		if problems := Check(s); problems != nil {
			t.Errorf("%s: %v", name, problems)
		}
	}
}

// TestCheckParts breaks the rig in one way each; the list is all that Check may
// find.
func TestCheckParts(t *testing.T) {
	type spoil = func(s *Scenario, ring []Part)
	pump := func(change func(p *Pump)) spoil { return func(_ *Scenario, ring []Part) { change(ring[0].Pump) } }
	front := func(change func(r *Radiator)) spoil {
		return func(_ *Scenario, ring []Part) { change(ring[3].Radiator) }
	}
	branches := func(change func(p *Part)) spoil { return func(_ *Scenario, ring []Part) { change(&ring[2]) } }
	inFitting := func(change func(p *Part)) spoil {
		return func(_ *Scenario, ring []Part) { change(&ring[2].Branches[0].Parts[2]) }
	}
	room := func(change func(s *Scenario)) spoil { return func(s *Scenario, _ []Part) { change(s) } }
	tests := []struct {
		name  string
		spoil spoil
		want  []string // PATH: part of the text
	}{
		{"flow and all else", pump(func(p *Pump) { p.Flow, p.Head, p.FreeFlow = Some(1e-4), Some(1e4), Some(1e-4) }), []string{
			"driver: a pump with a fixed flow has no head, free_flow, curve, rated or speed: leave flow out"}},
		{"flow alone", pump(func(p *Pump) { *p = Pump{Flow: Some(1e-4), Class: "small"} }), nil},
		{"flow and speed", pump(func(p *Pump) { *p = Pump{Flow: Some(1e-4), Speed: Speed{Rate: Some(50)}} }), []string{"driver: a pump with a fixed flow has no speed"}},
		{"curve and head", pump(func(p *Pump) { p.Head, p.FreeFlow = Some(1e4), Some(1e-4) }), []string{"driver: the curve says already what head or free_flow would"}},
		{"head alone", pump(func(p *Pump) { *p = Pump{Head: Some(1e4)} }), nil},
		{"free flow alone", pump(func(p *Pump) { *p = Pump{FreeFlow: Some(1e-4)} }), nil},
		{"curve of one point", pump(func(p *Pump) { p.Curve = p.Curve[:1] }), []string{"driver.curve: a curve needs at least two points"}},
		{"flows fall", pump(func(p *Pump) { p.Curve[2].Flow = Some(5e-5) }), []string{"driver.curve[2].flow: points are listed by rising flow"}},
		{"flows repeat", pump(func(p *Pump) { p.Curve[1].Flow = Some(0) }), []string{"driver.curve[1].flow: points are listed by rising flow"}},
		{"heads rise", pump(func(p *Pump) { p.Curve[1].Head = Some(40000) }), []string{"driver.curve[1].head: the head falls with the flow"}},
		{"heads stay", pump(func(p *Pump) { p.Curve[1].Head = Some(35000) }), []string{"driver.curve[1].head: the head falls with the flow"}},
		{"half a point", pump(func(p *Pump) { p.Curve[1].Head = Number{} }), []string{"driver.curve[1]: a point needs flow and head, for example [500 L/h, 2.4 m]"}},
		{"endless point", pump(func(p *Pump) { p.Curve[1].Head = Some(math.Inf(1)) }), []string{"driver.curve[1].head: not a finite number"}},
		{"point out of range", pump(func(p *Pump) { p.Curve[2].Flow = Some(1) }), []string{"driver.curve[2].flow: 1 is outside"}},
		{"fast share", pump(func(p *Pump) { p.Speed.Share = Some(1.6) }), []string{"driver.speed: a share of the rated speed lies between 0 % and 150 %"}},
		{"largest share", pump(func(p *Pump) { p.Speed.Share = Some(1.5) }), nil},
		{"endless share", pump(func(p *Pump) { p.Speed.Share = Some(math.NaN()) }), []string{"driver.speed: not a finite number"}},
		{"two speeds", pump(func(p *Pump) { p.Speed.Rate = Some(60) }), []string{"driver.speed: a speed is one of three: rpm, a share of the rated one, or a sound level"}},
		{"speed out of range", pump(func(p *Pump) { p.Speed, p.Rated = Speed{Rate: Some(501)}, Some(500) }), []string{"driver.speed: 501 is outside"}},
		{"far above rated", pump(func(p *Pump) { p.Speed = Speed{Rate: Some(121)} }), []string{"driver.speed: it is more than 150 % of the rated speed"}},
		{"as far as rated", pump(func(p *Pump) { p.Speed = Speed{Rate: Some(120)} }), nil},
		{"of unknown rated", pump(func(p *Pump) { p.Speed, p.Rated = Speed{Rate: Some(121)}, Number{} }), nil},
		{"a second pump of head", func(_ *Scenario, ring []Part) { ring[4] = Part{Kind: "pump", Pump: &Pump{Head: Some(1e4)}} }, nil},
		{"two drives", func(_ *Scenario, ring []Part) { ring[4] = Part{Kind: "pump", Pump: &Pump{Flow: Some(1e-4)}} }, []string{"driver: pump_2 fixes the flow of this ring"}},
		{"a drive in each ring", func(s *Scenario, _ []Part) {
			s.Loops = append(s.Loops, Loop{Parts: []Part{{Kind: "pump", Pump: &Pump{Flow: Some(1e-4)}}}})
		}, nil},

		{"far above rated fans", front(func(r *Radiator) { r.Fans.Speed = Speed{Rate: Some(40)} }), []string{"front.fans.speed: it is more than 150 %"}},
		{"conductance and points", front(func(r *Radiator) { r.Conductance = Some(18) }), []string{"front: conductance holds whatever the fans do, so it leaves no room for points: keep it alone"}},
		{"speeds fall", front(func(r *Radiator) { r.Points[1].Speed = Some(10) }), []string{"front.points[1].speed: points are listed by rising speed"}},
		{"conductances fall", front(func(r *Radiator) { r.Points[2].Conductance = Some(20) }), []string{"front.points[2].conductance: the conductance does not fall with the speed"}},
		{"no conductance", front(func(r *Radiator) { r.Points[0].Conductance = Some(0) }), []string{"front.points[0].conductance: 0 is outside"}},
		{"half a pair", front(func(r *Radiator) { r.Points[0].Speed = Number{} }), []string{"front.points[0]: a point needs speed and conductance"}},
		{"one pair", front(func(r *Radiator) { r.Points = r.Points[:1] }), nil},
		{"neither", front(func(r *Radiator) { r.Points = nil }), nil},
		{"no row of fans", front(func(r *Radiator) { r.Size = Some(0.25) }), []string{"front.size: a size is a multiple of 120 mm or of 140 mm, the length of a row of fans: nearest to this: 240 mm and 280 mm. Any other face is stated by core: {face: {width: 300 mm, height: 200 mm}}"}},
		{"below the first", front(func(r *Radiator) { r.Size = Some(0.092) }), []string{"front.size: a size is a multiple of 120 mm or of 140 mm, the length of a row of fans: nearest to this: 120 mm."}},
		{"above the last", front(func(r *Radiator) { r.Size = Some(1.45) }), []string{"front.size: a size is a multiple of 120 mm or of 140 mm, the length of a row of fans: nearest to this: 1440 mm."}},
		{"five of them", front(func(r *Radiator) { r.Size = Some(0.6) }), nil},
		{"size out of range", front(func(r *Radiator) { r.Size = Some(2) }), []string{"front.size: 2 is outside"}},
		{"no size", front(func(r *Radiator) { r.Size = Some(math.NaN()) }), []string{"front.size: not a finite number"}},
		{"unknown class", front(func(r *Radiator) { r.Class = "thik" }), []string{`front.class: "thik" is not known; did you mean thick?`}},

		{"drops fall", func(_ *Scenario, ring []Part) { ring[2].Branches[1].Parts[0].Block.Drop[1].Drop = Some(3000) }, []string{"block_2.drop[1].drop: the drop rises with the flow"}},
		{"drops stay", func(_ *Scenario, ring []Part) { ring[2].Branches[1].Parts[0].Block.Drop[1].Drop = Some(4000) }, []string{"block_2.drop[1].drop: the drop rises with the flow"}},
		{"drop flows fall", func(_ *Scenario, ring []Part) { ring[2].Branches[1].Parts[0].Block.Drop[1].Flow = Some(1e-5) }, []string{"block_2.drop[1].flow: points are listed by rising flow"}},
		{"plate twice", func(_ *Scenario, ring []Part) { ring[2].Branches[1].Parts[0].Block.PlateCapacity = Some(80) }, []string{"block_2: plate_mass and plate_capacity state the same thing"}},
		{"fitting twice", func(_ *Scenario, ring []Part) {
			ring[2].Branches[0].Parts[2].Fitting.Drop = []FlowDrop{{Some(1e-4), Some(100)}}
		}, []string{"fitting_1: the measured drop says already what bore or loss would"}},
		{"fitting by drop", func(_ *Scenario, ring []Part) {
			*ring[2].Branches[0].Parts[2].Fitting = Fitting{Drop: []FlowDrop{{Some(1e-4), Some(100)}}}
		}, nil},
		{"fitting that holds", inFitting(func(p *Part) { p.Holds = Some(1e-5) }), []string{"fitting_1: a fitting has no coolant and no mass of its own, so it can have no holds: state that on the part beside it"}},
		{"fitting with heat", inFitting(func(p *Part) { p.Power, p.Work = Power{Share: Some(0.1), Of: "cpu"}, "render" }), []string{
			`fitting_1.work: nothing is called render`, "fitting_1: a fitting has no coolant and no mass of its own, so it can have no power or work"}},
		{"weighed fitting", inFitting(func(p *Part) { p.Empty, p.Full = Some(0.1), Some(0.11) }), []string{"fitting_1: a fitting has no coolant and no mass of its own, so it can have no empty or full"}},
		{"fitting with a price", inFitting(func(p *Part) { p.Price, p.Note = Some(5), "second hand" }), nil},
		{"negative price", func(_ *Scenario, ring []Part) { ring[0].Price = Some(-1) }, []string{"driver.price: -1 is outside"}},
		{"empty alone", func(_ *Scenario, ring []Part) { ring[3].Empty = Some(1) }, []string{"front: empty and full come together"}},
		{"full alone", func(_ *Scenario, ring []Part) { ring[3].Full = Some(1) }, []string{"front: empty and full come together"}},
		{"lighter when full", func(_ *Scenario, ring []Part) { ring[3].Full, ring[3].Empty = Some(1), Some(1) }, []string{"front.full: a part weighs more when it is full"}},
		{"weighed and measured", func(_ *Scenario, ring []Part) { ring[2].Branches[1].Parts[1].Holds = Some(1e-4) }, []string{"rear: holds and the weights empty and full state the same thing"}},
		{"unknown chip", room(func(s *Scenario) { s.Chips[0].Class = "phone" }), []string{`cpu.class: "phone" is not known: write desktop with spreader, compact desktop, workstation or bare die graphics`}},

		{"one branch", branches(func(p *Part) { p.Branches = p.Branches[1:] }), []string{"main.parts[2].parallel: it needs at least two branches"}},
		{"no branch", branches(func(p *Part) { p.Branches = []Branch{} }), []string{"link_2.from: nothing is called rear", "main.parts[2].parallel: it needs at least two branches"}},
		{"empty branch", branches(func(p *Part) { p.Branches[0].Parts = nil }), []string{"main.parts[2].parallel[0]: a branch needs parts"}},
		{"part and branches", branches(func(p *Part) { p.Kind, p.Tube = "tube", &Tube{} }), []string{"main.parts[2]: an element is either a part or parallel branches"}},
		{"named branches", branches(func(p *Part) { p.Name = "both" }), []string{"main.parts[2]: an element is either a part or parallel branches"}},
		{"pump in a branch", branches(func(p *Part) { p.Branches[0].Parts[0] = Part{Kind: "pump", Pump: &Pump{}} }), []string{"pump_2: a pump inside a branch is not modelled: put it before or behind"}},
		{"no kind in a branch", branches(func(p *Part) { p.Branches[0].Parts[0] = Part{} }), []string{"part_1: part is missing"}},
		{"name of a branch's part", branches(func(p *Part) { p.Branches[0].Parts[0].Name = "front" }), []string{"loops[0].parts[3].name: front is already the name of a tube"}},
		{"one chip twice", branches(func(p *Part) { p.Branches[1].Parts[0].Block.Cools = "cpu" }), []string{"block_2.cools: cpu already sits under block_1"}},
		{"circle through a branch", branches(func(p *Part) { p.Branches[1].Parts[0].Power = Power{Share: Some(1), Of: "block_2"} }), []string{"block_2.power: shares go round in a circle"}},

		{"link without case", room(func(s *Scenario) { s.Case, s.Start = nil, Start{} }), []string{
			"link_1.from: the file has no case: section, so there is no such node: add one, case: {volume: 40 L}, or case: {} for",
			"link_2.to: the file has no case: section"}},
		{"link without room", room(func(s *Scenario) { s.Room, s.Start = nil, Start{} }), []string{"link_1.to: the file has no room: section, so there is no such node: add one, room: {capacity: 300 kJ/K}"}},
		{"start without room", room(func(s *Scenario) { s.Room, s.Links = nil, nil }), []string{"start.room: the file has no room: section"}},
		{"figures without room", room(func(s *Scenario) { s.Room, s.Links, s.Start, s.Figures.Of = nil, nil, Start{}, "room" }), []string{"figures.of: the file has no room: section"}},
		{"figures of the room", room(func(s *Scenario) { s.Figures.Of = "room" }), nil},
		{"link to a misspelled room", room(func(s *Scenario) { s.Links[0].To = "rom" }), []string{"link_1.to: nothing is called rom; did you mean room?"}},
		{"link to nowhere", room(func(s *Scenario) { s.Links[0].To = "outside" }), []string{"link_1.to: nothing is called outside: give the name of a lump, chip or part, or ambient, room or case"}},
		{"lump called case", room(func(s *Scenario) { s.Lumps = []Lump{{Name: "case", HeldAt: Some(300)}} }), []string{"lumps[0].name: case is a section of its own, case: {...}: state it there, or write another name here, for example case_1"}},
		{"other heat with work", room(func(s *Scenario) { s.Case.Work, s.Work = "render", []Work{{Name: "render", On: Some(60)}} }), []string{"case.work: other_heat is a share of cpu and follows the work of that"}},
		{"work without other heat", room(func(s *Scenario) {
			s.Case.OtherHeat, s.Case.Work, s.Work = Power{}, "render", []Work{{Name: "render", On: Some(60)}}
		}), []string{"case: it needs other_heat, the full load that render refers to, for example other_heat: 210 W"}},
		{"no such work", room(func(s *Scenario) { s.Case.OtherHeat, s.Case.Work = Power{}, "play" }), []string{"case.work: nothing is called play"}},
		{"share of nobody", room(func(s *Scenario) { s.Case.OtherHeat.Of = "vrm" }), []string{"case.other_heat: nothing is called vrm"}},
		{"share of the case", room(func(s *Scenario) { s.Chips[1].Power = Power{Share: Some(1), Of: "case"} }), []string{"gpu.power: nothing is called case"}},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			s := rig()
			c.spoil(s, s.Loops[0].Parts)
			problems := Check(s.Named())
			if len(problems) != len(c.want) {
				t.Fatalf("got %d problems %v, want %q", len(problems), problems, c.want)
			}
			for i, p := range problems {
				if !strings.HasPrefix(p.Error(), c.want[i]) {
					t.Errorf("got %q, want %q", p, c.want[i])
				}
			}
		})
	}
}

// TestEverySizeOfFans: every row of fans that fits the range is a size,
// however its length is rounded.
func TestEverySizeOfFans(t *testing.T) {
	for _, fan := range []int{120, 140} {
		for mm := fan; mm <= 1500; mm += fan {
			s := rig()
			s.Loops[0].Parts[3].Radiator.Size = Some(float64(mm) / 1000)
			if problems := Check(s.Named()); problems != nil {
				t.Errorf("%d mm: %v", mm, problems[0])
			}
			s.Loops[0].Parts[3].Radiator.Size = Some(float64(mm+1) / 1000)
			if problems := Check(s.Named()); problems == nil && (mm+1)%120 != 0 && (mm+1)%140 != 0 {
				t.Errorf("%d mm is accepted", mm+1)
			}
		}
	}
}
