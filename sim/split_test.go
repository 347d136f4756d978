package sim_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
)

// scheduled gives a scenario a room that moves along straight lines: times (s)
// and temperatures (degC).
func scheduled(s *spec.Scenario, points ...[2]float64) *spec.Scenario {
	s.Ambient.Temperature = spec.Number{}
	s.Ambient.Schedule = nil
	for _, p := range points {
		s.Ambient.Schedule = append(s.Ambient.Schedule, spec.TimeTemperature{Time: spec.Some(p[0]), Temperature: spec.Some(p[1] + zeroCelsius)})
	}
	return s
}

// cased is a desktop in a case in a room, with recirculation.
func cased(power float64) *spec.Scenario {
	s := desktop(power, 0.6, 1000)
	s.Case = &spec.Case{OtherHeat: watts(60)}
	s.Room = &spec.Room{Capacity: spec.Some(60000), Conductance: spec.Some(30)}
	return s
}

// Property: whatever the machine, the parts of the rise sum to the subject over
// the room at the start, at the beginning and end of every phase and at its level.
func TestPartsSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawRing(t, rapid.Float64Range(0.3, 1).Draw(t, "speed"))
		d := drawer{t}
		onOff(s, d.number("on", 5, 200), d.number("off", 5, 200), forever)
		if d.flip("schedule") {
			first := d.number("first", 15, 30)
			scheduled(s, [2]float64{0, first}, [2]float64{d.number("later", 10, 300), first + d.number("warms", -3, 8)})
		}
		if d.flip("recirculation") {
			for p := range s.Parts() {
				if p.Radiator != nil {
					p.Radiator.Recirculation = spec.Some(d.number("share", 0.01, 0.5))
				}
			}
		}
		if d.flip("another subject") {
			s.Figures.Of = "cpu.die"
		}
		r := finish(t, s)
		start := r.Plan.Scenario.Ambient.Temperature.Value
		if parts := s.Case != nil || s.Room != nil || len(s.Ambient.Schedule) > 0; parts && len(r.Phases[0].Parts) != 3 {
			t.Fatalf("%d parts", len(r.Phases[0].Parts))
		}
		for i, p := range r.Phases {
			if len(p.Parts) == 0 {
				continue
			}
			begin, end, level := start, start, start
			for _, part := range p.Parts {
				begin, end, level = begin+part.Begin, end+part.End, level+part.Level.Value
				if part.Level.OK() != p.Level.OK() {
					t.Fatalf("phase %d: the level %v has the part %v", i, p.Level, part.Level)
				}
			}
			if off := math.Max(math.Abs(begin-p.Begin), math.Abs(end-p.End)); off > 1e-12*start {
				t.Fatalf("phase %d: the parts of %.15g and %.15g K sum to %.15g and %.15g K", i, p.Begin, p.End, begin, end)
			}
			if p.Level.OK() && math.Abs(level-p.Level.Value) > 1e-12*start {
				t.Fatalf("phase %d: the parts of the level %.15g K sum to %.15g K", i, p.Level.Value, level)
			}
		}
	})
}

// A mass in a room that warms, both free of any coolant: what a mass has over
// its room, and the room over its walls, follow the closed solution of two lumps,
// the exponential of a 2 by 2 matrix.
func TestPartsOfAMassInARoom(t *testing.T) {
	const power, g, walls, mass, room, until = 300.0, 20.0, 40.0, 6000.0, 400000.0, 50000.0
	s := base(20)
	s.Room = &spec.Room{Capacity: spec.Some(room), Conductance: spec.Some(walls)}
	s.Lumps = []spec.Lump{heated("mass", mass, power)}
	s.Links = []spec.Link{conduct("mass", "room", g)}
	s.Figures.Of = "mass"
	s.Duration, s.Solver.Tolerance = spec.Some(until), spec.Some(1e-7)
	r := run(t, s)
	// x over the room, z the room over its walls: x' = power/mass - g x (1/mass + 1/room) + walls z/room, z' = (g x - walls z)/room.
	a, b, c, d := g*(1/mass+1/room), -walls/room, -g/room, walls/room
	middle, root := (a+d)/2, math.Sqrt((a-d)*(a-d)/4+b*c)
	exact := func(time float64) (x, z float64) {
		// exp(-M time) = e^(-middle time) (cosh(root time) - (M - middle) sinh(root time)/root), applied to the way to the level.
		cosh, sinh := math.Cosh(root*time)*math.Exp(-middle*time), math.Sinh(root*time)/root*math.Exp(-middle*time)
		x, z = power/g, power/walls
		return x - cosh*x + sinh*((a-middle)*x+b*z), z - cosh*z + sinh*(c*x+(d-middle)*z)
	}
	p := r.Phases[0]
	x, z := exact(until)
	for k, want := range []struct{ level, end float64 }{{power / g, x}, {0, 0}, {power / walls, z}} {
		known(t, fmt.Sprintf("level of part %d", k), p.Parts[k].Level, want.level, 1e-9)
		near(t, fmt.Sprintf("end of part %d", k), p.Parts[k].End, want.end, 1e-5)
	}
	for i, fraction := range []float64{1 - 1/math.E, 0.9, 0.95} {
		x, _ := exact(p.Parts[0].Response[i].Value)
		near(t, fmt.Sprintf("the mass over the room at its time %d", i), x, fraction*power/g, 1e-5)
		_, z := exact(p.Parts[2].Response[i].Value)
		near(t, fmt.Sprintf("the room at its time %d", i), z, fraction*power/walls, 1e-5)
	}
	if why := p.Parts[1].Response[0].Why; !strings.Contains(why, "less than 0.01 K") {
		t.Errorf("without a radiator the case has times: %q", why)
	}
}

// At the default tolerance the parts' levels, ends and times are those of a
// tolerance 1000 times tighter.
func TestPartsAgainstATighterRun(t *testing.T) {
	for _, s := range []*spec.Scenario{cased(150), scheduled(desktop(150, 0.6, 1000), [2]float64{0, 20}, [2]float64{1500, 24}, [2]float64{3000, 23})} {
		got := run(t, s)
		tight := s.Clone()
		tight.Solver.Tolerance = spec.Some(2e-7)
		want := run(t, tight)
		for k, q := range want.Phases[0].Parts {
			p := got.Phases[0].Parts[k]
			known(t, "level", p.Level, q.Level.Value, 1e-6)
			near(t, "end", p.End, q.End, 1e-3)
			for i := range q.Response {
				if q.Response[i].OK() {
					known(t, fmt.Sprintf("time %d of part %d", i, k), p.Response[i], q.Response[i].Value, 2e-3*q.Response[i].Value)
				} else if p.Response[i].Why != q.Response[i].Why {
					t.Errorf("time %d of part %d is missing because %q, at a tighter tolerance because %q", i, k, p.Response[i].Why, q.Response[i].Why)
				}
			}
		}
		for col, c := range got.Trace.Table().Columns {
			bound := 1e-3
			switch {
			case strings.HasSuffix(c.Name, "_heat_w"):
				bound = 0.05
			case !strings.HasSuffix(c.Name, "_c"):
				continue
			}
			w := want.Trace.Floats(col)
			for i, x := range got.Trace.Floats(col) {
				if math.Abs(x-w[i]) > bound {
					t.Fatalf("%s in row %d is %g, at a tighter tolerance %g", c.Name, i, x, w[i])
				}
			}
		}
	}
}

// Where the room moves along a schedule, so does the trace's column, and the
// room's part ends where it does.
func TestTraceOfAMovingRoom(t *testing.T) {
	s := scheduled(desktop(100, 0.6, 1000), [2]float64{0, 20}, [2]float64{100.25, 24}, [2]float64{200, 23})
	onOff(s, 70, 20, forever)
	s.Duration = spec.Some(300.5)
	r := run(t, s)
	room := func(time float64) float64 {
		switch {
		case time < 100.25:
			return 20 + 4*time/100.25
		case time < 200:
			return 24 - (time-100.25)/99.75
		}
		return 23
	}
	ambient, times := r.Trace.Floats(r.Trace.Col("ambient_c")), r.Trace.Floats(r.Trace.Col("time_s"))
	if len(times) != 302 {
		t.Fatalf("%d rows", len(times))
	}
	for i, time := range times {
		near(t, fmt.Sprintf("room at %g s", time), ambient[i], room(time), 1e-10)
	}
	for _, p := range r.Phases {
		near(t, "the room's part at the start of a phase", p.Parts[2].Begin, room(p.From)-20, 1e-10)
		near(t, "and at its end", p.Parts[2].End, room(p.To)-20, 1e-10)
		known(t, "its level", p.Parts[2].Level, room(p.To)-20, 1e-10)
	}
}

// columnsOf lists the names of a table's columns.
func columnsOf(s *spec.Scenario, t *testing.T, table string) []string {
	t.Helper()
	plan := mustNew(t, s.Named(), sim.Settings{NoTrace: true}).Plan
	var names []string
	for _, x := range sim.Tables(plan) {
		if x.Name == table {
			for _, c := range x.Columns {
				names = append(names, c.Name)
			}
		}
	}
	return names
}

// The columns of the parts and of the air are there exactly where there is
// something to tell.
func TestColumnsOfTheAir(t *testing.T) {
	recirculating := desktop(100, 0.6, 1000)
	recirculating.Loops[0].Parts[5].Radiator.Recirculation = spec.Some(0.2)
	roomed := machine(100)
	roomed.Room = &spec.Room{}
	boxed := machine(100)
	boxed.Case = &spec.Case{}
	behind := desktop(100, 0.6, 1000)
	behind.Loops[0].Parts = append(behind.Loops[0].Parts, sized("rear", 240, 1000), tube("tube_4", 0.3))
	behind.Loops[0].Parts[7].Radiator.Breathes.From = "top"
	partly := behind.Clone()
	partly.Loops[0].Parts[7].Radiator.Breathes = spec.Breathes{From: "room", Share: spec.Some(0.7), Rest: "top"}
	for _, c := range []struct {
		name  string
		s     *spec.Scenario
		split bool
		air   string
	}{
		{"stated conductance", machine(100), false, ""},
		{"fans", desktop(100, 0.6, 1000), false, "top_air_out_c top_heat_w"},
		{"fans and recirculation", recirculating, true, "top_air_in_c top_air_out_c top_heat_w"},
		{"another's exhaust", behind, true, "top_air_out_c top_heat_w rear_air_in_c rear_air_out_c rear_heat_w"},
		{"partly another's exhaust", partly, true, "top_air_out_c top_heat_w rear_air_in_c rear_air_out_c rear_heat_w"},
		{"a room", roomed, true, ""},
		{"a case", boxed, true, "front_air_in_c front_air_out_c front_heat_w"},
		{"a schedule", scheduled(desktop(100, 0.6, 1000), [2]float64{0, 20}, [2]float64{100, 24}), true, "top_air_out_c top_heat_w"},
	} {
		phases := columnsOf(c.s, t, "phases")
		for _, part := range []string{"loop", "case", "room"} {
			for _, figure := range []string{"_rise_k", "_rise_end_k", "_t63_s", "_t95_s"} {
				if has := slices.Contains(phases, part+figure); has != c.split {
					t.Errorf("%s: has %s%s: %v", c.name, part, figure, has)
				}
			}
		}
		air := slices.DeleteFunc(columnsOf(c.s, t, "traces"), func(name string) bool {
			return !strings.Contains(name, "_air_") && !strings.HasSuffix(name, "_heat_w")
		})
		if got := strings.Join(air, " "); got != c.air {
			t.Errorf("%s: the trace has %q, want %q", c.name, got, c.air)
		}
	}
}

// The columns say what the parts are, and at the level the radiators take up
// what the machine requests.
func TestColumnsSayTheParts(t *testing.T) {
	s := cased(150)
	s.Start.Rule = "level"
	r := run(t, s)
	frames, err := r.Frames()
	if err != nil {
		t.Fatal(err)
	}
	phases, p := frames[1], r.Phases[0]
	value := func(name string) float64 { return phases.Floats(phases.Col(name))[0] }
	near(t, "the parts of the level", value("loop_rise_k")+value("case_rise_k")+value("room_rise_k"), value("rise_k"), 1e-9)
	for k, name := range []string{"loop", "case", "room"} {
		near(t, name+"_rise_k", value(name+"_rise_k"), p.Parts[k].Level.Value, 0)
		near(t, name+"_rise_end_k", value(name+"_rise_end_k"), p.Parts[k].End, 0)
		near(t, name+"_rise_end_k", value(name+"_rise_end_k"), value(name+"_rise_k"), 1e-3)
	}
	near(t, "room over its walls", value("room_rise_k"), (p.Power)/30, 1e-6)
	for _, time := range []float64{600, r.Duration} {
		in, room := at(t, r.Trace, "top_air_in_c", time), at(t, r.Trace, "room_c", time)
		near(t, "air over the room", in-room, value("case_rise_k"), 1e-3)
		near(t, "coolant over that air", at(t, r.Trace, "coolant_c", time)-in, value("loop_rise_k"), 1e-3)
	}
	in, _, _ := r.Totals()
	near(t, "energy in", at(t, r.Trace, "energy_in_j", r.Duration), in, 1e-6)
	heated := cased(150)
	onOff(heated, 1200, 1200, forever)
	r = run(t, heated)
	if frames, err = r.Frames(); err != nil {
		t.Fatal(err)
	}
	phases = frames[1]
	for k, part := range []string{"loop", "case"} {
		for i, name := range []string{0: "t63", 2: "t95"} {
			if name != "" {
				known(t, part+"_"+name+"_s", r.Phases[0].Parts[k].Response[i], value(part+"_"+name+"_s"), 0)
			}
		}
	}
}

// A lump that nothing ties has no level; the parts that do not follow it keep
// theirs, and the one that does says why it has none.
func TestPartsBesideALooseLump(t *testing.T) {
	want := run(t, cased(150)).Phases[0].Parts
	s := cased(150)
	s.Lumps = append(s.Lumps, lump("brick", 900))
	for k, part := range run(t, s).Phases[0].Parts {
		known(t, fmt.Sprintf("level of part %d", k), part.Level, want[k].Level.Value, 1e-9)
	}
	s.Figures.Of = "brick"
	parts := run(t, s).Phases[0].Parts
	const why = "brick is tied to nothing that would fix its level"
	if parts[0].Level.Why != why || parts[0].Response[0].Why != why {
		t.Errorf("a loose subject has the level %v, t63 %v", parts[0].Level, parts[0].Response[0])
	}
	known(t, "the case, without radiators", parts[1].Level, 0, 0)
	known(t, "the room", parts[2].Level, want[2].Level.Value, 1e-9)
}

// A die's rise has the same case and room as that of the coolant that cools it.
func TestPartsOfADie(t *testing.T) {
	s := cased(150)
	coolant := run(t, s).Phases[0]
	s.Figures.Of = "cpu.die"
	die := run(t, s).Phases[0]
	for k, off := range []float64{die.Level.Value - coolant.Level.Value, 0, 0} {
		known(t, fmt.Sprintf("level of part %d", k), die.Parts[k].Level, coolant.Parts[k].Level.Value+off, 1e-9)
	}
	if !(die.Parts[1].Level.Value > 0.1) {
		t.Errorf("the case adds %v", die.Parts[1].Level)
	}
}

// A step that finds signals allocates nothing.
func TestStepsWithSignalsDoNotAllocate(t *testing.T) {
	for _, noTrace := range []bool{false, true} {
		doc, err := scenarios.Load("warming_room")
		if err != nil {
			t.Fatal(err)
		}
		s := doc.Scenario
		s.Solver.Tolerance = spec.Some(1e-8) // many steps in one phase
		simulation := mustNew(t, s, sim.Settings{NoTrace: noTrace})
		step := func() {
			if ended, err := simulation.Step(); ended || err != nil {
				t.Fatal("the run has ended", err)
			}
		}
		for range 100 {
			step()
		}
		if n := testing.AllocsPerRun(100, step); n != 0 {
			t.Errorf("no trace %v: %g allocations a step", noTrace, n)
		}
	}
}
