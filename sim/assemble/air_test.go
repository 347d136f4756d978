package assemble_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

// core makes the front radiator one of 240 mm that is known by its geometry.
func core(change func(r *spec.Radiator)) func(s *spec.Scenario) {
	return func(s *spec.Scenario) {
		r := &spec.Radiator{Size: spec.Some(0.24)}
		change(r)
		part(s, "front").Radiator = r
	}
}

// radiators adds further radiators to the loop, called second, third, ...
func radiators(s *spec.Scenario, all ...*spec.Radiator) {
	for i, r := range all {
		s.Loops[0].Parts = append(s.Loops[0].Parts, spec.Part{Kind: "radiator", Name: []string{"second", "third"}[i], Radiator: r})
	}
}

// What cores, fans, points and ways of air can have wrong, each told at its place.
func TestProblemsOfAir(t *testing.T) {
	checkProblems(t, []problem{
		{"fins thicker than their pitch", core(func(r *spec.Radiator) {
			r.FinsPerInch, r.Core.FinThickness = spec.Some(30), spec.Some(0.9e-3)
		}), "front.core", "fin thickness: 0.9 mm cannot be; it must be less than the fin pitch of 0.8467 mm"},
		{"more passes than tubes", core(func(r *spec.Radiator) { r.Core.Passes = spec.Some(14) }), "front.core", "passes: 14 cannot be; 12 tubes across the face make 1 to 12 passes"},
		{"a tube larger than the face", core(func(r *spec.Radiator) {
			r.Size = spec.Number{}
			r.Core.Face, r.Core.TubePitch = spec.Face{Width: spec.Some(0.24), Height: spec.Some(0.03)}, spec.Some(0.05)
		}), "front.core", "tube pitch: 50 mm cannot be; a face 30 mm high takes one tube or more"},
		{"tubes without coolant", core(func(r *spec.Radiator) { r.Core.TubeWall = spec.Some(1e-3) }), "front.core", "tube wall: 1 mm cannot be; two walls must leave a channel"},
		{"deeper than it is thick", core(func(r *spec.Radiator) { r.Core.Depth = spec.Some(0.03) }), "front.core", "thickness: 28 mm cannot be; the body must be at least as thick as its fins are deep, 30 mm"},
		{"louvres longer than a leg", core(func(r *spec.Radiator) { r.Core.Fins, r.Core.LouvreLength = "louvred", spec.Some(9e-3) }), "front.core", "louvre length: 9 mm cannot be"},
		{"fans that spin too fast", core(func(r *spec.Radiator) { r.Fans.Speed = turns(2300) }), "front.fans.speed", "2300 rpm is more than 150 % of the rated 1500 rpm, too far for the laws of fans; state the speed at which airflow and pressure hold, e.g. rated: 2000 rpm"},
		{"louder than fans can be", core(func(r *spec.Radiator) { r.Fans.Speed = spec.Speed{Level: spec.Some(60)} }), "front.fans.speed", "is more than 150 % of the rated 1500 rpm"},
		{"more failed than there are", core(func(r *spec.Radiator) { r.Fans.Failed = spec.Some(3) }), "front.fans", "3 of 2 cannot have failed"},
		{"a fan of one point", core(func(r *spec.Radiator) {
			r.Fans.Points = []spec.AirflowPressure{{Airflow: spec.Some(0), Pressure: spec.Some(20)}}
		}), "front.fans", "it needs two or more points with a pressure not below zero"},
		{"points beyond the film", core(func(r *spec.Radiator) { r.Points, r.FilmConductance = points(1000, 18), spec.Some(20) }), "front.points", "18 W/K over the inlet is more than the 20 W/K between coolant and tubes let through"},
		{"points beyond the air", core(func(r *spec.Radiator) {
			r.Points, r.Fans.Airflow, r.Fans.Rated = points(1000, 18), spec.Some(30.0/3600), spec.Some(25)
		}), "front.points", "at 1000 rpm: 18 W/K is more than 95 % of what the air can carry"},
		{"a case fan that spins too fast", func(s *spec.Scenario) {
			s.Case = &spec.Case{Fans: []spec.Fan{{Name: "rear", Moves: "out", Speed: turns(2300)}}}
		}, "rear.speed", "2300 rpm is more than 150 % of the rated 1500 rpm"},
		{"two that breathe all of one exhaust", func(s *spec.Scenario) {
			behind := func() *spec.Radiator { return &spec.Radiator{Breathes: spec.Breathes{From: "front"}} }
			radiators(s, behind(), behind())
		}, "third.breathes", "second breathes all of the exhaust of front already; give each a share, e.g. breathes: {from: front, share: 50 %, rest: room}"},
	})
}

// Where a radiator's air comes from and goes to, by mount, by what is stated, and
// by that of the one it stands behind; in words.
func TestWaysOfAir(t *testing.T) {
	for _, c := range []struct {
		name     string
		change   func(r *spec.Radiator)
		from, to string
	}{
		{"nothing", func(*spec.Radiator) {}, "room", "case"},
		{"bottom", func(r *spec.Radiator) { r.Mount = "bottom" }, "room", "case"},
		{"top", func(r *spec.Radiator) { r.Mount = "top" }, "case", "room"},
		{"rear", func(r *spec.Radiator) { r.Mount = "rear" }, "case", "room"},
		{"outside", func(r *spec.Radiator) { r.Mount = "outside" }, "room", "room"},
		{"top, turned round", func(r *spec.Radiator) { r.Mount, r.Breathes.From, r.Exhausts = "top", "room", "case" }, "room", "case"},
		{"breathes the room", func(r *spec.Radiator) { r.Breathes.From = "room" }, "room", "case"},
		{"breathes the case", func(r *spec.Radiator) { r.Breathes.From = "case" }, "case", "room"},
		{"exhausts into the room", func(r *spec.Radiator) { r.Exhausts = "room" }, "case", "room"},
		{"a mixture", func(r *spec.Radiator) {
			r.Breathes = spec.Breathes{From: "room", Share: spec.Some(0.7), Rest: "case"}
		}, "70 % room and 30 % case", "case"},
	} {
		s := bare()
		s.Case = &spec.Case{}
		core(c.change)(s)
		radiators(s, &spec.Radiator{Size: spec.Some(0.24), Breathes: spec.Breathes{From: "front"}},
			&spec.Radiator{Size: spec.Some(0.24), Breathes: spec.Breathes{From: "second"}})
		for p := range s.Parts() {
			if p.Radiator != nil {
				p.Radiator.Recirculation = spec.Some(0) // so that one airflow goes through all
			}
		}
		p := build(t, s)
		if a := p.Air[0]; a.From != c.from || a.To != c.to {
			t.Errorf("%s: from %s to %s, want %s and %s", c.name, a.From, a.To, c.from, c.to)
		}
		for i, front := range []string{"front", "second"} {
			if a := p.Air[i+1]; a.From != "exhaust of "+front || a.To != c.to {
				t.Errorf("%s: behind it from %s to %s", c.name, a.From, a.To)
			}
			if math.Abs(p.Air[i+1].Airflow-p.Air[0].Airflow) > 1e-12 || !(p.Air[0].Airflow > 0) {
				t.Errorf("%s: %g m3/s through the first, %g m3/s behind it", c.name, p.Air[0].Airflow, p.Air[i+1].Airflow)
			}
		}
	}
}

// Of a radiator of unknown size the fans are counted by what is stated of its
// conductance, and that is listed; of one whose size is known they follow.
func TestFansOfUnknownSize(t *testing.T) {
	for conductance, want := range map[float64]float64{3: 1, 18: 3, 60: 10} {
		s := bare()
		s.Case = &spec.Case{}
		part(s, "front").Radiator.Conductance = spec.Some(conductance)
		p := build(t, s)
		// One fan of 48 cubic feet a minute at 1500 rpm brings at 1000 rpm, by 55 % of
		// its free flow, 10.02 W/K of standard air, of which a radiator takes 60 %.
		if got := p.Air[0].Fans; float64(got) != want {
			t.Errorf("%g W/K: %d fans, want %g", conductance, got, want)
		}
		listed := func(path string) bool {
			return slices.ContainsFunc(p.Assumed, func(a spec.Assumed) bool { return a.Path == path && a.Low <= a.Value && a.Value <= a.High })
		}
		if !listed("front.fans.count") || !listed("front.fans.size") {
			t.Errorf("%g W/K: what is assumed of the fans is not listed", conductance)
		}
	}
	s := bare()
	core(func(*spec.Radiator) {})(s)
	for _, a := range build(t, s).Assumed {
		if a.Path == "front.fans.count" || a.Path == "front.fans.size" {
			t.Errorf("%s is assumed of a radiator of 240 mm", a.Path)
		}
	}
}

// Drawing on more of an exhaust than there is is told, with what to do.
func TestOverdrawnExhaust(t *testing.T) {
	s := bare()
	core(func(r *spec.Radiator) { r.Fans.Speed = turns(500) })(s)
	radiators(s, &spec.Radiator{Size: spec.Some(0.24), Fans: spec.Fans{Speed: turns(1500)}, Breathes: spec.Breathes{From: "front", Share: spec.Some(0.9), Rest: "room"}})
	got := build(t, s).Warnings
	if len(got) != 1 || !strings.HasPrefix(got[0], "pass front: more of its exhaust is breathed than there is") || !strings.Contains(got[0], "lower the share in breathes, or slow the fans that draw it") {
		t.Errorf("%q", got)
	}
}

// The levels of fans add up, and the power of a row is that of all its fans by the
// cube of their speed; failed ones take none.
func TestNoiseAndPowerOfFans(t *testing.T) {
	s := bare()
	s.Case = &spec.Case{Fans: []spec.Fan{{Name: "rear", Moves: "out", Count: spec.Some(2), Speed: turns(750)}}}
	core(func(r *spec.Radiator) {
		r.Fans = spec.Fans{Speed: turns(1200), Arrangement: "push-pull", Failed: spec.Some(1)}
	})(s)
	p := build(t, s)
	a := p.Air[0]
	// 28 dBA a fan at 1500 rpm, 50 lg of the ratio, 10 lg of their number: 3 of 4 turn.
	level, rear := 28+50*math.Log10(0.8)+10*math.Log10(3), 28+50*math.Log10(0.5)+10*math.Log10(2)
	if a.Fans != 4 || a.Turning != 3 || math.Abs(a.Level-level) > 1e-9 || math.Abs(p.CaseAir.Fans[0].Level-rear) > 1e-9 {
		t.Errorf("%d of %d fans turn at %.4f dBA, want %.4f; the rear ones %.4f, want %.4f", a.Turning, a.Fans, a.Level, level, p.CaseAir.Fans[0].Level, rear)
	}
	if want := 10 * math.Log10(math.Pow(10, level/10)+math.Pow(10, rear/10)); math.Abs(p.Noise()-want) > 1e-9 {
		t.Errorf("%.4f dBA in all, want %.4f", p.Noise(), want)
	}
	if want := 3 * 1.5 * 0.512; math.Abs(a.Power-want) > 1e-9 {
		t.Errorf("the fans draw %g W, want %g", a.Power, want)
	}
	power := make([]float64, len(p.Network.Sources()))
	p.Timeline.Power(0, power)
	sum := 0.0
	for i, name := range p.Network.Sources() {
		if strings.HasPrefix(name, "front_fans") || name == "rear" {
			sum += power[i]
		}
	}
	if want := 3*1.5*0.512 + 2*1.5*0.125; math.Abs(sum-want) > 1e-9 {
		t.Errorf("the network gets %g W of fans, want %g", sum, want)
	}
	if (&assemble.Plan{}).Noise() != math.Inf(-1) {
		t.Error("no fans are not silent")
	}
}

// A speed may be stated as a share of the rated one or by the level of all fans
// together, and is the same.
func TestSpeedsOfFans(t *testing.T) {
	level := 28 + 50*math.Log10(0.8) + 10*math.Log10(2)
	for _, speed := range []spec.Speed{turns(1200), {Share: spec.Some(0.8)}, {Level: spec.Some(level)}} {
		s := bare()
		core(func(r *spec.Radiator) { r.Fans.Speed = speed })(s)
		if a := build(t, s).Air[0]; math.Abs(a.Speed-20) > 1e-9 {
			t.Errorf("%+v: %g rpm", speed, 60*a.Speed)
		}
	}
	s := bare()
	core(func(r *spec.Radiator) { r.Fans.Speed, r.Fans.Stop = turns(500), spec.Some(10) })(s)
	if a := build(t, s).Air[0]; a.Speed != 0 || a.Turning != 0 || !math.IsInf(a.Level, -1) || a.Airflow != 0 {
		t.Errorf("below their slowest speed they run: %+v", a)
	}
}

// Every figure of a radiator's air counts: which way it moves the conductance at
// one speed of the fans.
func TestEveryFigureOfTheAirCounts(t *testing.T) {
	at := func(change func(s *spec.Scenario, r *spec.Radiator)) assemble.AirWay {
		s := bare()
		s.Case = &spec.Case{}
		core(func(r *spec.Radiator) {
			r.Mount, r.Thickness, r.Recirculation = "front", spec.Some(0.030), spec.Some(0)
			change(s, r)
		})(s)
		return build(t, s).Air[0]
	}
	usual := at(func(*spec.Scenario, *spec.Radiator) {})
	for _, c := range []struct {
		name   string
		change func(s *spec.Scenario, r *spec.Radiator)
		better bool
	}{
		{"faster", func(_ *spec.Scenario, r *spec.Radiator) { r.Fans.Speed = turns(1200) }, true},
		{"push-pull", func(_ *spec.Scenario, r *spec.Radiator) { r.Fans.Arrangement = "push-pull" }, true},
		{"pull", func(_ *spec.Scenario, r *spec.Radiator) { r.Fans.Arrangement = "pull" }, true},
		{"a shroud", func(_ *spec.Scenario, r *spec.Radiator) { r.Gap = spec.Some(0.02) }, true},
		{"all of the face", func(_ *spec.Scenario, r *spec.Radiator) { r.Covered = spec.Some(1) }, true},
		{"stronger fans", func(_ *spec.Scenario, r *spec.Radiator) {
			r.Fans.Airflow, r.Fans.Pressure = spec.Some(0.026), spec.Some(17)
		}, true},
		{"a failed fan", func(_ *spec.Scenario, r *spec.Radiator) { r.Fans.Failed = spec.Some(1) }, false},
		{"dust", func(_ *spec.Scenario, r *spec.Radiator) { r.Blocked = spec.Some(0.2) }, false},
		{"no grille", func(_ *spec.Scenario, r *spec.Radiator) { r.Grille = "none" }, true},
		{"a punched sheet", func(_ *spec.Scenario, r *spec.Radiator) { r.Grille = "punched sheet" }, false},
		{"a filter", func(_ *spec.Scenario, r *spec.Radiator) { r.Filter = "coarse" }, false},
		{"a closed case", func(s *spec.Scenario, _ *spec.Radiator) { s.Case.Vents = spec.Some(0.001) }, false},
		{"exhaust fans", func(s *spec.Scenario, _ *spec.Radiator) { s.Case.Fans = []spec.Fan{{Name: "rear", Moves: "out"}} }, true},
		{"intake fans beside it", func(s *spec.Scenario, _ *spec.Radiator) { s.Case.Fans = []spec.Fan{{Name: "rear", Moves: "in"}} }, false},
		{"altitude", func(s *spec.Scenario, _ *spec.Radiator) { s.Ambient.Altitude = spec.Some(1500) }, false},
		{"a core that is better", func(_ *spec.Scenario, r *spec.Radiator) { r.CoreFactor = spec.Some(1.1) }, true},
		{"more air than thought", func(_ *spec.Scenario, r *spec.Radiator) { r.AirflowFactor = spec.Some(1.1) }, true},
		{"a weaker film", func(_ *spec.Scenario, r *spec.Radiator) { r.FilmConductance = spec.Some(60) }, false},
		{"aluminium fins", func(_ *spec.Scenario, r *spec.Radiator) { r.Core.FinMaterial = "aluminium" }, false},
		{"thicker tubes", func(_ *spec.Scenario, r *spec.Radiator) { r.Core.TubeThickness = spec.Some(4e-3) }, false},
	} {
		got := at(c.change)
		if c.better != (got.Conductance > usual.Conductance*1.0001) || c.better == (got.Conductance < usual.Conductance*0.9999) {
			t.Errorf("%s: %.5g W/K become %.5g W/K", c.name, usual.Conductance, got.Conductance)
		}
	}
	if got, want := at(func(_ *spec.Scenario, r *spec.Radiator) { r.Clearance = spec.Some(0.1) }).Stack, 0.030+0.025; math.Abs(got-want) > 1e-12 {
		t.Errorf("core and fans take %g m, want %g", got, want)
	}
	three := at(func(_ *spec.Scenario, r *spec.Radiator) { r.Fans.Arrangement, r.Gap = "push-pull", spec.Some(0.01) })
	if want := 0.030 + 2*0.025 + 2*0.01; math.Abs(three.Stack-want) > 1e-12 {
		t.Errorf("with two rows and shrouds %g m, want %g", three.Stack, want)
	}
}

// Fans that push warm the air before the core, fans that draw behind it, and a row
// on either side half and half.
func TestWhereTheFansHeatGoes(t *testing.T) {
	for arrangement, want := range map[string][2]float64{"push": {3, 0}, "pull": {0, 3}, "push-pull": {3, 3}} {
		s := bare()
		core(func(r *spec.Radiator) { r.Fans = spec.Fans{Speed: turns(1500), Arrangement: arrangement} })(s)
		p := build(t, s)
		var got [2]float64
		power := make([]float64, len(p.Network.Sources()))
		p.Timeline.Power(0, power)
		for i, name := range p.Network.Sources() {
			in := p.Network.Inputs()
			for k := range in.Power {
				in.Power[k] = 0
			}
			if in.Power[i] = power[i]; !strings.HasPrefix(name, "front_fans") {
				continue
			}
			p.Network.SetInputs(in)
			states, quads := p.Network.Dim()
			y := make([]float64, states+quads)
			p.Network.States(p.Start, y[:states])
			p.Network.Bring(0, y)
			inlet, outlet, heat := p.Network.Air(p.Air[0].Pass)
			rate := in.Air[p.Air[0].Pass].Rate
			got[0] += rate * (inlet - 295.15)
			got[1] += rate*(outlet-inlet) - heat
		}
		if math.Abs(got[0]-want[0]) > 1e-9 || math.Abs(got[1]-want[1]) > 1e-9 {
			t.Errorf("%s: %g W before the core and %g W behind it, want %v", arrangement, got[0], got[1], want)
		}
	}
}

// Points within the usual band that usual fans would not bring the air for raise
// the airflow that was assumed, and say so; a stated airflow they do not.
func TestPointsAskForMoreAir(t *testing.T) {
	with := func(change func(f *spec.Fans)) (*assemble.Plan, error) {
		s := bare()
		r := part(s, "front").Radiator
		r.Conductance, r.Size, r.Points = spec.Number{}, spec.Some(0.24), points(750, 17, 1300, 24)
		r.Fans.Speed = turns(750)
		change(&r.Fans)
		return assemble.Build(s)
	}
	p, err := with(func(*spec.Fans) {})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Warnings) == 0 || !strings.Contains(p.Warnings[0], "front.points: they ask for more air than usual fans of that size bring") {
		t.Errorf("warnings: %q", p.Warnings)
	}
	f := part(p.Scenario, "front").Radiator.AirflowFactor.Value
	if !(f > 1.05 && f < 2) {
		t.Errorf("airflow_factor is %g", f)
	}
	if g := p.Air[0].Conductance; math.Abs(g-17) > 0.02 { // at the test flow, but in the room's air and not the bench's
		t.Errorf("%g W/K at a point of 17 W/K", g)
	}
	if _, err := with(func(f *spec.Fans) { f.Airflow, f.Rated = spec.Some(60.0/3600), spec.Some(25) }); err == nil {
		t.Error("a stated airflow was raised")
	}
}
