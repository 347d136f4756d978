package spec

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestCheckAir breaks the tower in one way each; the list is all that Check may
// find.
func TestCheckAir(t *testing.T) {
	type spoil = func(s *Scenario)
	front := func(change func(r *Radiator)) spoil {
		return func(s *Scenario) { change(s.Loops[0].Parts[2].Radiator) }
	}
	top := func(change func(r *Radiator)) spoil {
		return func(s *Scenario) { change(s.Loops[0].Parts[3].Radiator) }
	}
	rear := func(change func(f *Fan)) spoil { return func(s *Scenario) { change(&s.Case.Fans[0]) } }
	schedule := func(points ...TimeTemperature) spoil {
		return func(s *Scenario) { s.Ambient.Schedule = points }
	}
	breathes := func(b Breathes) spoil { return top(func(r *Radiator) { r.Breathes = b }) }
	const noCase = "the file has no case: section, so there is no air of a case: add case: {} for the usual figures, or write room"
	tests := []struct {
		name  string
		spoil spoil
		want  []string // PATH: part of the text
	}{
		{"temperature and schedule", func(s *Scenario) { s.Ambient.Temperature = Some(295) }, []string{"ambient.schedule: temperature and schedule state the same thing: keep one of the two"}},
		{"schedule begins late", schedule(TimeTemperature{Some(60), Some(295)}), []string{"ambient.schedule[0].time: a schedule begins with the run: write its first point at 0 h, for example [0 h, 22 degC]"}},
		{"schedule of one point", schedule(TimeTemperature{Some(0), Some(295)}), nil},
		{"schedule goes back", func(s *Scenario) { s.Ambient.Schedule[2].Time = Some(60) }, []string{"ambient.schedule[2].time: points are listed by rising time"}},
		{"schedule stays", func(s *Scenario) { s.Ambient.Schedule[2].Time = Some(10800) }, []string{"ambient.schedule[2].time: points are listed by rising time"}},
		{"schedule holds", func(s *Scenario) { s.Ambient.Schedule[2].Temperature = Some(305.15) }, nil},
		{"half a point", func(s *Scenario) { s.Ambient.Schedule[1].Temperature = Number{} }, []string{"ambient.schedule[1]: a point needs time and temperature, for example [3 h, 32 degC]"}},
		{"no first time", func(s *Scenario) { s.Ambient.Schedule[0].Time = Number{} }, []string{"ambient.schedule[0]: a point needs time and temperature"}},
		{"schedule before the run", func(s *Scenario) { s.Ambient.Schedule[0].Time = Some(-60) }, []string{"ambient.schedule[0].time: -60 is outside"}},
		{"endless schedule", func(s *Scenario) { s.Ambient.Schedule[0].Time = Some(math.NaN()) }, []string{"ambient.schedule[0].time: not a finite number"}},
		{"hot schedule", func(s *Scenario) { s.Ambient.Schedule[1].Temperature = Some(400) }, []string{"ambient.schedule[1].temperature: 400 is outside"}},
		{"below the sea", func(s *Scenario) { s.Ambient.Altitude = Some(-431) }, []string{"ambient.altitude: -431 is outside the allowed range of -430 to 5000"}},

		{"moves nowhere", rear(func(f *Fan) { f.Moves = "" }), []string{"rear: a fan of the case needs moves, in or out, for example {name: rear, size: 140 mm, speed: 700 rpm, moves: out}"}},
		{"moves up", rear(func(f *Fan) { f.Moves = "up" }), []string{`rear.moves: "up" is not known: write in or out`}},
		{"far above rated", rear(func(f *Fan) { f.Speed = Speed{Rate: Some(31)} }), []string{"rear.speed: it is more than 150 % of the rated speed"}},
		{"loud", rear(func(f *Fan) { f.Speed = Speed{Level: Some(130)} }), []string{"rear.speed: a sound level lies between 0 and 120 dBA"}},
		{"half a fan", rear(func(f *Fan) { f.Count = Some(0.5) }), []string{"rear.count: 0.5 is not a whole number"}},
		{"points and airflow", rear(func(f *Fan) {
			f.Points, f.Pressure = []AirflowPressure{{Some(0), Some(9)}, {Some(0.1), Some(0)}}, Number{}
		}), []string{
			"rear: the points say already what airflow would: keep the points or the other, not both"}},
		{"points and both", rear(func(f *Fan) { f.Points = []AirflowPressure{{Some(0), Some(9)}, {Some(0.1), Some(0)}} }), []string{
			"rear: the points say already what airflow or pressure would"}},
		{"one point of a fan", func(s *Scenario) { s.Case.Fans[1].Points = s.Case.Fans[1].Points[:1] }, []string{"fan_2.points: a curve needs at least two points, for example points: [[0 m3/h, 20 Pa], [95 m3/h, 0 Pa]]"}},
		{"name of a radiator", rear(func(f *Fan) { f.Name = "front" }), []string{"case.fans[0].name: front is already the name of a radiator"}},
		{"two fans of one name", func(s *Scenario) { s.Case.Fans[1].Name = "rear" }, []string{"case.fans[1].name: rear is already the name of a fan"}},
		{"name of a section", rear(func(f *Fan) { f.Name = "room" }), []string{"case.fans[0].name: room is a section of its own"}},
		{"name with a dash", rear(func(f *Fan) { f.Name = "Rear-1" }), []string{"case.fans[0].name: a name is made of small letters, digits and underscores and begins with a letter: write for example rear_1"}},
		{"share of a fan", func(s *Scenario) { s.Case.OtherHeat = Power{Share: Some(0.1), Of: "rear"} }, []string{"case.other_heat: rear is a fan, not a chip, part or lump; the file has cpu, pump_1"}},
		{"link to a fan", func(s *Scenario) { s.Links = []Link{{From: "rear", To: "case", Conductance: Some(1)}} }, []string{"link_1.from: rear is a fan, not a lump, chip or part"}},
		{"start of a fan", func(s *Scenario) { s.Start.Nodes = []StartNode{{Node: "rear", Temperature: 300}} }, []string{"start.rear: rear is a fan"}},
		{"chip cooled by a fan", func(s *Scenario) { s.Loops[0].Parts[1].Block.Cools = "rear" }, []string{"block_1.cools: rear is a fan, not a chip"}},

		{"all stand", front(func(r *Radiator) { r.Fans.Failed = Some(3) }), nil},
		{"more stand", front(func(r *Radiator) { r.Fans.Failed = Some(4) }), []string{"front.fans.failed: more fans stand than there are: count says 3"}},
		{"some of unknown", front(func(r *Radiator) { r.Fans.Count, r.Fans.Failed = Number{}, Some(4) }), nil},
		{"never runs", front(func(r *Radiator) { r.Fans.Stop = Some(26) }), []string{"front.fans.stop: fans whose slowest speed lies above the rated one never run"}},
		{"starts too low", front(func(r *Radiator) { r.Fans.Start, r.Fans.Stop = Some(4), Some(5) }), []string{"front.fans.start: fans need more to start than to go on: check start and stop, for example start: 400 rpm, stop: 250 rpm"}},
		{"starts as it stops", front(func(r *Radiator) { r.Fans.Start, r.Fans.Stop = Some(5), Some(5) }), nil},
		{"one speed", front(func(r *Radiator) { r.Fans.Stop = Some(25) }), nil},
		{"stands", front(func(r *Radiator) { r.Fans.Speed = Speed{Rate: Some(0)} }), nil},
		{"fans far above rated", front(func(r *Radiator) { r.Fans.Speed = Speed{Rate: Some(38)} }), []string{"front.fans.speed: it is more than 150 % of the rated speed"}},
		{"fans of a large share", front(func(r *Radiator) { r.Fans.Speed = Speed{Share: Some(1.51)} }), []string{"front.fans.speed: a share of the rated speed"}},
		{"fan pressures rise", front(func(r *Radiator) { r.Fans.Points[1].Pressure = Some(21) }), []string{"front.fans.points[1].pressure: the pressure falls with the airflow"}},
		{"fan airflows fall", front(func(r *Radiator) { r.Fans.Points[2].Airflow = Some(0.01) }), []string{"front.fans.points[2].airflow: points are listed by rising airflow"}},
		{"half a fan point", front(func(r *Radiator) { r.Fans.Points[1].Airflow = Number{} }), []string{"front.fans.points[1]: a point needs airflow and pressure, for example [60 m3/h, 9 Pa]"}},
		{"points and all", front(func(r *Radiator) { r.Fans.Pressure, r.Fans.Airflow, r.Fans.Shape = Some(20), Some(0.1), Some(1.2) }), []string{"front.fans: the points say already what airflow, pressure or shape would"}},
		{"points and shape of a fan", func(s *Scenario) { s.Case.Fans[1].Shape = Some(1.2) }, []string{"fan_2: the points say already what shape would"}},
		{"shape of a curve", rear(func(f *Fan) { f.Shape = Some(1.2) }), nil},
		{"fan points and pressure", front(func(r *Radiator) { r.Fans.Pressure = Some(20) }), []string{"front.fans: the points say already what pressure would"}},
		{"unknown arrangement", front(func(r *Radiator) { r.Fans.Arrangement = "pushpull" }), []string{`front.fans.arrangement: "pushpull" is not known; did you mean push-pull?`}},
		{"a pump by its noise", func(s *Scenario) { s.Loops[0].Parts[0].Pump.Speed = Speed{Level: Some(30)} }, []string{"pump_1.speed: only the fixed speed of fans is set by a sound level"}},

		{"nothing breathes", breathes(Breathes{}), nil},
		{"from alone", breathes(Breathes{From: "front"}), nil},
		{"all of it", breathes(Breathes{From: "front", Share: Some(1)}), nil},
		{"share without from", breathes(Breathes{Share: Some(0.7)}), []string{"top.breathes: it needs from, where the air comes from, for example {from: room, share: 70 %, rest: case}"}},
		{"rest without from", breathes(Breathes{Rest: "room"}), []string{"top.breathes: it needs from"}},
		{"share without rest", breathes(Breathes{From: "room", Share: Some(0.7)}), []string{"top.breathes: a share needs rest, where the remaining air comes from"}},
		{"rest without share", breathes(Breathes{From: "room", Rest: "case"}), []string{"top.breathes: rest needs share, the part of the air that comes from room, for example {"}},
		{"rest of the same", breathes(Breathes{From: "room", Share: Some(0.7), Rest: "room"}), []string{"top.breathes.rest: from and rest name the same air: leave share and rest out"}},
		{"more than all", breathes(Breathes{From: "room", Share: Some(1.2), Rest: "case"}), []string{"top.breathes.share: 1.2 is outside"}},
		{"breathes a fan", breathes(Breathes{From: "rear"}), []string{"top.breathes.from: rear is a fan, not a radiator, room or case; the file has front, top"}},
		{"breathes a pump", breathes(Breathes{From: "room", Share: Some(0.5), Rest: "pump_1"}), []string{"top.breathes.rest: pump_1 is a pump, not a radiator"}},
		{"breathes nobody", breathes(Breathes{From: "frnot"}), []string{"top.breathes.from: nothing is called frnot; did you mean front?"}},
		{"breathes Room", breathes(Breathes{From: "Room"}), []string{"top.breathes.from: nothing is called Room; did you mean room?"}},
		{"breathes the ambient", breathes(Breathes{From: "ambient"}), []string{"top.breathes.from: nothing is called ambient: give the name of a radiator, room or case; the file has front, top"}},
		{"breathes itself", breathes(Breathes{From: "top"}), []string{"top.breathes.from: it breathes its own exhaust: write room or case here, and how much of the exhaust comes back as recirculation: 10 %"}},
		{"rest of itself", breathes(Breathes{From: "room", Share: Some(0.5), Rest: "top"}), []string{"top.breathes.rest: it breathes its own exhaust"}},
		{"each other", front(func(r *Radiator) { r.Breathes = Breathes{From: "top"} }), []string{"front.breathes.from: the air goes round in a circle (front to top to front): write room or case at one of them"}},
		{"each other's rest", func(s *Scenario) {
			s.Loops[0].Parts[2].Radiator.Breathes = Breathes{From: "room", Share: Some(0.5), Rest: "top"}
			s.Loops[0].Parts[3].Radiator.Breathes = Breathes{From: "case", Share: Some(0.5), Rest: "front"}
		}, []string{"front.breathes.rest: the air goes round in a circle (front to top to front)"}},
		{"three in a circle", func(s *Scenario) {
			third := Part{Kind: "radiator", Name: "side", Radiator: &Radiator{Breathes: Breathes{From: "top"}}}
			s.Loops = append(s.Loops, Loop{Parts: []Part{third}})
			s.Loops[0].Parts[2].Radiator.Breathes = Breathes{From: "side"}
		}, []string{"front.breathes.from: the air goes round in a circle (front to top to side to front)"}},
		{"two breathe one", func(s *Scenario) {
			s.Loops = append(s.Loops, Loop{Parts: []Part{{Kind: "radiator", Radiator: &Radiator{Breathes: Breathes{From: "front"}}}}})
		}, nil},

		{"mount and breathes", front(func(r *Radiator) { r.Breathes, r.Exhausts = Breathes{From: "case"}, "room" }), nil},
		{"no case at all", func(s *Scenario) { s.Case = nil }, []string{"front.mount: the file has no case: section to hang it in: add case: {} for the usual figures, or write mount: outside", "top.breathes.rest: " + noCase}},
		{"outside without case", func(s *Scenario) {
			s.Case = nil
			s.Loops[0].Parts[2].Radiator.Mount = "outside"
			s.Loops[0].Parts[3].Radiator.Breathes = Breathes{From: "case"}
			s.Loops[0].Parts[3].Radiator.Exhausts = "case"
		}, []string{"top.breathes.from: " + noCase, "top.exhausts: " + noCase}},
		{"mount on the wall", front(func(r *Radiator) { r.Mount = "wall" }), []string{`front.mount: "wall" is not known: write bottom, top, front, rear or outside`}},
		{"exhausts to a radiator", front(func(r *Radiator) { r.Exhausts = "top" }), []string{`front.exhausts: "top" is not known`}},
		{"all recirculates", top(func(r *Radiator) { r.Recirculation = Some(1) }), []string{"top.recirculation: 1 is outside the allowed range of 0 to 0.9"}},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) { checkSpoiled(t, c.spoil, c.want) })
	}
}

// checkSpoiled checks the tower after it has been spoiled.
func checkSpoiled(t *testing.T, spoil func(s *Scenario), want []string) {
	t.Helper()
	checkOne(t, tower(), spoil, want)
}

// TestCheckCore does the same for the geometry of radiators.
func TestCheckCore(t *testing.T) {
	front := func(change func(r *Radiator, k *Core)) func(s *Scenario) {
		return func(s *Scenario) { r := s.Loops[0].Parts[2].Radiator; change(r, &r.Core) }
	}
	bare := func(keep Core) func(s *Scenario) {
		return func(s *Scenario) { *s.Loops[0].Parts[2].Radiator = Radiator{Core: keep} }
	}
	tests := []struct {
		name  string
		spoil func(s *Scenario)
		want  []string // PATH: part of the text
	}{
		{"thickness twice", front(func(r *Radiator, _ *Core) { r.Thickness = Some(0.03) }), []string{"front.core.thickness: thickness beside core is short for core.thickness, and both are stated: keep one of the two"}},
		{"fins twice", front(func(r *Radiator, _ *Core) { r.FinsPerInch = Some(14) }), []string{"front.core.fins_per_inch: fins_per_inch beside core is short for core.fins_per_inch"}},
		{"size and face", front(func(r *Radiator, _ *Core) { r.Size = Some(0.42) }), []string{"front.core.face: size says already how large the face is: keep size or core.face, not both"}},
		{"size and width", front(func(r *Radiator, k *Core) { r.Size, k.Face.Height = Some(0.42), Number{} }), []string{"front.core.face: size says already"}},
		{"half a face", front(func(_ *Radiator, k *Core) { k.Face.Height = Number{} }), []string{"front.core.face: a face needs both width and height, for example {width: 420 mm, height: 140 mm}"}},
		{"the other half", front(func(_ *Radiator, k *Core) { k.Face.Width = Number{} }), []string{"front.core.face: a face needs both"}},
		{"narrow face", front(func(_ *Radiator, k *Core) { k.Face.Width = Some(0.01) }), []string{"front.core.face.width: 0.01 is outside"}},
		{"wide face", front(func(_ *Radiator, k *Core) { k.Face.Width = Some(3.1) }), []string{"front.core.face.width: 3.1 is outside the allowed range of 0.03 to 3"}},
		{"steep louvres", front(func(_ *Radiator, k *Core) { k.LouvreAngle = Some(1.05) }), []string{"front.core.louvre_angle: 1.05 is outside"}},
		{"louvres of plain fins", front(func(_ *Radiator, k *Core) { k.Fins = "plain" }), []string{
			"front.core.louvre_pitch: only louvred fins have it: write fins: louvred beside it, or leave it out", "front.core.louvre_length: only louvred", "front.core.louvre_angle: only louvred"}},
		{"louvres of no fins", bare(Core{LouvreAngle: Some(0.4)}), []string{"front.core.louvre_angle: only louvred fins have it"}},
		{"strips of louvred fins", front(func(_ *Radiator, k *Core) { k.StripLength = Some(0.003) }), []string{"front.core.strip_length: only strip fins have it: write fins: strip"}},
		{"no room for fins", bare(Core{TubePitch: Some(0.002), TubeThickness: Some(0.002)}), []string{"front.core.tube_thickness: tubes as thick as their pitch leave no room for fins"}},
		{"room for fins", bare(Core{TubePitch: Some(0.0021), TubeThickness: Some(0.002)}), nil},
		{"no room for coolant", bare(Core{TubeWall: Some(0.001), TubeThickness: Some(0.002)}), []string{"front.core.tube_wall: two walls as thick as the tube leave no room for coolant"}},
		{"room for coolant", bare(Core{TubeWall: Some(0.00099), TubeThickness: Some(0.002)}), nil},
		{"no room for air", bare(Core{FinThickness: Some(0.001), FinsPerInch: Some(25.4)}), []string{"front.core.fin_thickness: fins as thick as their pitch leave no room for air"}},
		{"room for air", bare(Core{FinThickness: Some(0.00099), FinsPerInch: Some(25.4)}), nil},
		{"no room by the short key", func(s *Scenario) {
			*s.Loops[0].Parts[2].Radiator = Radiator{FinsPerInch: Some(60), Core: Core{FinThickness: Some(0.0005)}}
		}, []string{"front.core.fin_thickness: fins as thick"}},
		{"deep louvre", bare(Core{Fins: "louvred", LouvrePitch: Some(0.008), Thickness: Some(0.008)}), []string{"front.core.louvre_pitch: louvres follow one another in the depth of the core"}},
		{"wide louvre", bare(Core{Fins: "louvred", LouvreLength: Some(0.008), TubePitch: Some(0.010), TubeThickness: Some(0.002)}), []string{"front.core.louvre_length: a louvre is shorter than the way from tube to tube"}},
		{"deep strip", bare(Core{Fins: "strip", StripLength: Some(0.02), Thickness: Some(0.02)}), []string{"front.core.strip_length: strips follow one another"}},
		{"a full-depth strip by the short key", func(s *Scenario) { r := s.Loops[0].Parts[3].Radiator; r.Core.StripLength = Some(0.031) }, []string{"top.core.strip_length: strips follow"}},
		{"deeper than thick", bare(Core{Depth: Some(0.03), Thickness: Some(0.028)}), []string{"front.core.depth: fins and tubes are at most as deep as the radiator is thick: for example thickness: 28 mm, depth: 24 mm"}},
		{"as deep as thick", bare(Core{Depth: Some(0.028), Thickness: Some(0.028)}), nil},
		{"strip deeper than the fins", bare(Core{Fins: "strip", StripLength: Some(0.02), Depth: Some(0.018), Thickness: Some(0.03)}), []string{"front.core.strip_length: strips follow"}},
		{"half a row", front(func(_ *Radiator, k *Core) { k.Rows = Some(1.5) }), []string{"front.core.rows: 1.5 is not a whole number"}},
		{"conductance and core", front(func(r *Radiator, _ *Core) { r.Conductance = Some(18) }), []string{
			"front: conductance holds whatever the fans do, so it leaves no room for core: keep it alone, or give what was measured at a speed as points: [[1000 rpm, 18 W/K]]"}},
		{"conductance and all", front(func(r *Radiator, _ *Core) {
			r.Conductance, r.CoreFactor, r.Points = Some(18), Some(1.1), []SpeedConductance{{Some(10), Some(18)}}
		}), []string{"front: conductance holds whatever the fans do, so it leaves no room for points, core or core_factor: keep it alone"}},
		{"points and core", front(func(r *Radiator, _ *Core) { r.Points = []SpeedConductance{{Some(10), Some(18)}} }), nil},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) { checkSpoiled(t, c.spoil, c.want) })
	}
}

// TestChainOfRadiators: however long it is, a chain is no circle, and one more
// radiator that closes it makes one problem alone.
func TestChainOfRadiators(t *testing.T) {
	const n = 50
	var parts []Part
	for i := range n {
		r := &Radiator{}
		if i > 0 {
			r.Breathes.From = fmt.Sprintf("radiator_%d", i)
		}
		parts = append(parts, Part{Kind: "radiator", Radiator: r})
	}
	s := &Scenario{Loops: []Loop{{Parts: parts}}}
	if problems := Check(s.Named()); problems != nil {
		t.Errorf("a chain: %v", problems)
	}
	parts[0].Radiator.Breathes.From = fmt.Sprintf("radiator_%d", n)
	problems := Check(s.Named())
	if len(problems) != 1 || problems[0].Path != "radiator_1.breathes.from" || !strings.Contains(problems[0].Text, "(radiator_1 to radiator_2 to ") {
		t.Errorf("a circle: %v", problems)
	}
}
