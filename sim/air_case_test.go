package sim_test

import (
	"math"
	"testing"

	"soakledger/sim/spec"
)

// smallCase is a case of 18 L with heat of its own (W), a radiator of 240 mm by its
// mount at 1200 rpm, and two fans of the case that blow out.
func smallCase(mount string, heat float64) *spec.Scenario {
	s := base(22)
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(150)}}
	s.Case = &spec.Case{Volume: spec.Some(18e-3), OtherHeat: watts(heat),
		Fans: []spec.Fan{{Name: "fan", Moves: "out", Count: spec.Some(2), Speed: turns(900)}}}
	rad := cored(240, 28, 1200, 4)
	rad.Radiator.Mount = mount
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{pump("pump", 3), tube("tube", 0.3), cooling("cpu"), rad, reservoir("res", 100)}}}
	s.Duration = spec.Some(600)
	return s
}

// With heat in a small case an intake radiator has cooler coolant than one that
// blows the case's air out, and the case is warmer.
func TestIntakeAgainstExhaust(t *testing.T) {
	in, out := leads(t, smallCase("bottom", 120)), leads(t, smallCase("top", 120))
	if a := in.way("rad"); a.From != "room" || a.To != "case" || !(a.Airflow > 0) {
		t.Errorf("at the bottom it is %+v", a)
	}
	if a := out.way("rad"); a.From != "case" || a.To != "room" || !(a.Airflow > 0) {
		t.Errorf("at the top it is %+v", a)
	}
	if !(in.of("res.coolant") < out.of("res.coolant")-1 && in.of("case") > out.of("case")+1) {
		t.Errorf("intake: coolant %.2f K, case %.2f K; exhaust: coolant %.2f K, case %.2f K", in.of("res.coolant"), in.of("case"), out.of("res.coolant"), out.of("case"))
	}
	// What its heat makes of the air is what the case gets, and the case of what the
	// vents let in as much as fans and panels take out.
	inlet, outlet, heat := in.air("rad")
	near(t, "air through an intake", in.airRate("rad")*(outlet-inlet), heat, 1e-9*heat)
	if !(in.of("case.boards") > in.of("case")+10 && in.of("case.chassis") < in.of("case")) {
		t.Errorf("boards at %.2f K, chassis at %.2f K in air of %.2f K", in.of("case.boards"), in.of("case.chassis"), in.of("case"))
	}
}

// A case of one radiator with fans and vents by hand: what its air carries of the
// other heat over the room is what the streams through it take.
func TestCaseByHand(t *testing.T) {
	s := smallCase("outside", 120)
	s.Case.Conductance = spec.Some(0)
	s.Loops[0].Parts[1].Tube.Material = "glass"
	l := leads(t, s)
	c := l.Plan.CaseAir
	air := 101325 / (287.05 * 295.15) * 1006.0 // dry air, J/(m3 K)
	if math.Abs(c.Fans[0].Flow+c.Vents) > 1e-9 || !(c.Fans[0].Flow > 0 && c.Pressure < 0) {
		t.Errorf("out by fans %g m3/s, by vents %g m3/s, at %g Pa", c.Fans[0].Flow, c.Vents, c.Pressure)
	}
	walls := 0.0 // from the loop's walls, whose outside the case is
	for _, path := range []string{"tube", "res"} {
		through := l.of(path+".coolant") - l.of(path+".wall")
		for _, g := range l.Plan.Network.Describe(280, 330).Conductances {
			if g.From == path+".coolant" && g.To == path+".wall" {
				walls += g.Conductance * through
			}
		}
	}
	fans := 2 * 1.5 * 0.6 * 0.6 * 0.6 // W, into the air that leaves
	rise := (120 + walls) / (c.Fans[0].Flow * air)
	near(t, "air of the case over the room", l.of("case")-295.15, rise, 2e-3*rise)
	if !(walls > 0.1) || !(fans > 0) {
		t.Errorf("walls give %g W", walls)
	}
	if inlet, _, _ := l.air("rad"); math.Abs(inlet-295.15-2*1.5*0.512/l.airRate("rad")) > 1e-6 {
		t.Errorf("outside it breathes %.9g K", inlet)
	}
}

// stacked is a second radiator behind the first, on its own fans, in room or case.
func stacked(box *spec.Case) *spec.Scenario {
	s := base(22)
	s.Case = box
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(150)}}
	first, second := cored(240, 28, 1200, 3), cored(240, 45, 1200, 3)
	second.Name, second.Radiator.Breathes.From = "second", "rad"
	for _, p := range []spec.Part{first, second} {
		if box != nil && p.Name == "rad" {
			p.Radiator.Mount = "front"
		}
		p.Radiator.Recirculation = spec.Some(0)
		p.Radiator.Fans.Power = spec.Some(0)
	}
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{pump("pump", 3), cooling("cpu"), first, second, reservoir("res", 100)}}}
	return s
}

// What breathes the exhaust of another radiator gets its outlet temperature, but
// for the draught that remains beside its fans and comes from where that exhaust
// goes; both have one airflow. The one behind blows to where the first would.
func TestBreathingAnothersExhaust(t *testing.T) {
	for _, box := range []*spec.Case{nil, {OtherHeat: watts(50)}} {
		l := leads(t, stacked(box))
		first, second := l.way("rad"), l.way("second")
		if second.From != "exhaust of rad" || second.To != first.To || math.Abs(first.Airflow-second.Airflow) > 1e-12 || !(first.Airflow > 0) {
			t.Errorf("%+v behind %+v", second, first)
		}
		_, outlet, _ := l.air("rad")
		inlet, _, _ := l.air("second")
		in := l.Plan.Inputs.Air
		moved := in[first.Pass].Forced * in[first.Pass].Rate
		beside := 295.15
		if box != nil {
			beside = l.of("case")
		}
		want := (moved*outlet + (in[second.Pass].Rate-moved)*beside) / in[second.Pass].Rate
		near(t, "inlet behind another's outlet", inlet, want, 1e-9)
		if !(math.Abs(inlet-outlet) < 1e-3*(outlet-295.15)) || !(outlet > 296) {
			t.Errorf("the first leaves %.9g K, the second breathes %.9g K", outlet, inlet)
		}
	}
}

// Whether a first radiator is known by its core or by a conductance alone, the one
// behind it has its air.
func TestBehindAStatedConductance(t *testing.T) {
	s := stacked(nil)
	for p := range s.Parts() {
		if p.Name == "rad" {
			p.Radiator = &spec.Radiator{Conductance: spec.Some(15), Fans: spec.Fans{Power: spec.Some(0)}}
		}
	}
	l := leads(t, s)
	if a, b := l.way("rad").Airflow, l.way("second").Airflow; !(a > 1e-3) || math.Abs(a-b) > 1e-12 {
		t.Errorf("%g m3/s through the first, %g m3/s behind it", a, b)
	}
	_, outlet, _ := l.air("rad")
	if inlet, _, _ := l.air("second"); !(outlet > 296) || math.Abs(inlet-outlet) > 2e-3*(outlet-295.15) {
		t.Errorf("the first leaves %g K, the second breathes %g K", outlet, inlet)
	}
}

// A mixture is what it is made of; a stack that begins with one takes from the case
// what its last radiator blows out of it.
func TestMixtures(t *testing.T) {
	s := smallCase("", 120)
	rad := &s.Loops[0].Parts[3]
	rad.Radiator.Breathes = spec.Breathes{From: "room", Share: spec.Some(0.7), Rest: "case"}
	rad.Radiator.Exhausts, rad.Radiator.Recirculation, rad.Radiator.Fans.Power = "case", spec.Some(0), spec.Some(0)
	l := leads(t, s)
	inlet, _, _ := l.air("rad")
	near(t, "inlet of a mixture", inlet, 0.7*295.15+0.3*l.of("case"), 1e-9)
	balanced(t, l.Plan)

	behind := cored(240, 28, 1000, 2)
	behind.Name, behind.Radiator.Breathes.From, behind.Radiator.Exhausts = "behind", "rad", "room"
	s.Loops[0].Parts = append(s.Loops[0].Parts, behind)
	l = leads(t, s)
	balanced(t, l.Plan)
	c := l.Plan.CaseAir
	if out := 0.3*l.way("rad").Airflow + c.Fans[0].Flow + c.Vents; math.Abs(out) > 1e-9 {
		t.Errorf("%g m3/s leave the case in all", out)
	}
}

// A stated conductance holds in a case, whatever is assumed of its fans and also
// while they stand, and the air does not leave hotter than the coolant comes.
func TestStatedConductanceInACase(t *testing.T) {
	for _, conductance := range []float64{3, 18, 60} {
		for _, rpm := range []float64{0, 500, 1000} {
			s := smallCase("front", 40)
			s.Loops[0].Parts[3].Radiator = &spec.Radiator{Mount: "front", Conductance: spec.Some(conductance), TestFlow: spec.Some(3.0 / 6e4), Recirculation: spec.Some(0),
				FilmConductance: spec.Some(50 * conductance), Fans: spec.Fans{Speed: turns(rpm)}} // the film alone follows the temperature
			l := leads(t, s)
			inlet, outlet, heat := l.air("rad")
			coolant := l.into("rad")
			if want := conductance * (coolant - inlet); math.Abs(heat-want) > 5e-3*want || outlet > coolant {
				t.Errorf("%g W/K at %g rpm give %g W, want %g; the air leaves at %g K, the coolant comes at %g K", conductance, rpm, heat, want, outlet, coolant)
			}
		}
	}
}
