package sim_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/spec"
)

// The coolant warms by P/(rho q cp) on its way: 300 W into water of 25 degC give
// 4.317618, 2.158809 and 1.079405 K at 1, 2 and 4 L/min (computed independently
// in double precision from the density and specific heat of IAPWS SR6-08).
func TestCoolantRise(t *testing.T) {
	for litres, want := range map[float64]float64{1: 4.317618, 2: 2.158809, 4: 1.079405} {
		s := base(25)
		s.Coolant.Fluid = "water"
		p := pump("pump", litres)
		p.Power = watts(0)
		heated := tube("heated", 0.4)
		heated.Power = watts(300)
		s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{p, heated, radiatorPart("front", 60)}}}
		if litres == 1 {
			s.Loops[0].Parts[2] = radiatorPart("front", 40)
		}
		s.Loops[0].Parts = append(s.Loops[0].Parts, reservoir("res", 200))
		l := atLevel(t, s)
		// At the level reached the water is warmer than 25 degC; carry its figures there.
		mean := (l.of("heated.coolant")+l.of("pump.coolant"))/2 + zeroCelsius
		w := fluid.Water()
		want *= w.Density(298.15) * w.SpecificHeat(298.15) / (w.Density(l.of("res.coolant")+zeroCelsius) * w.SpecificHeat(mean))
		lost := l.of("heated.coolant") - l.of("heated.wall") // through half of its wall
		loss := lost * 4 * math.Pi * 0.25 * 0.4 / math.Log(1.4)
		near(t, "rise", l.of("heated.coolant")-l.of("pump.coolant"), want*(300-loss)/300, 3e-4*want)
	}
}

// The order of two blocks changes what comes to the first by the heat of the
// other over m cp, and not by more.
func TestLoopOrder(t *testing.T) {
	build := func(first, second string) settled {
		s := base(22)
		s.Chips = []spec.Chip{{Name: "cpu", Power: watts(150)}, {Name: "gpu", Class: "bare die graphics", Power: watts(300)}}
		s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{
			drive("large", 0.6), tube("tube", 0.3), cooling(first), cooling(second), sized("front", 360, 1000), reservoir("res", 200),
		}}}
		return atLevel(t, s)
	}
	a, b := build("cpu", "gpu"), build("gpu", "cpu")
	mcp := a.flow(0) * fluid.Water().Density(310) * fluid.Water().SpecificHeat(310)
	for chip, power := range map[string]float64{"cpu": 300, "gpu": 150} {
		most := power / mcp
		change := math.Abs(b.of(chip+".die") - a.of(chip+".die"))
		inlet := a.of("tube.coolant") - b.of("block_"+map[string]string{"cpu": "gpu", "gpu": "cpu"}[chip]+".coolant")
		if chip == "gpu" {
			inlet = b.of("tube.coolant") - a.of("block_cpu.coolant")
		}
		if !(change < 1.01*most && change > 0.97*most) || !(math.Abs(inlet) < 1.01*most && math.Abs(inlet) > 0.97*most) {
			t.Errorf("%s: inlet changes by %.4f K and die by %.4f K, P/(m cp) is %.4f K", chip, inlet, change, most)
		}
	}
	near(t, "coolant behind all", b.of("res.coolant"), a.of("res.coolant"), 0.01)
}

// At the level all that comes in goes out.
func TestLevelIsBalanced(t *testing.T) {
	s := desktop(150, 0.7, 900)
	s.Loops[0].Parts[1].Power = watts(8)
	s.Start.Rule, s.Duration = "level", spec.Some(3600)
	r := run(t, s)
	in, out, _ := r.Totals()
	near(t, "heat out over an hour at the level", out, in, 1e-6*in)
	if want := 3600 * (150 + 8*(0.08+0.92*0.343) + 2*1.5*0.216); math.Abs(in-want) > 1e-6*want {
		t.Errorf("%g J came in, want %g", in, want)
	}
}

// Property: over any ring the run ends or leaves its range with its ledger
// closed, its flow is not below zero and grows with the speed of the pump, and
// nothing is NaN.
func TestRandomRings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speed := rapid.SampledFrom([]float64{0, 0.05, 0.3, 0.7, 0.9}).Draw(t, "speed")
		s := drawRing(t, speed)
		r, err := attempt(s, sim.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		in, out, stored := r.Totals()
		if moved := in + math.Abs(out) + math.Abs(stored); moved > 1000 && !(r.Ledger.Relative() <= sim.LedgerLimit) {
			t.Fatalf("the ledger leaves %g of %g J", r.Ledger.Relative(), moved)
		}
		finite(t, r)
		if _, err := r.Frames(); err != nil {
			t.Fatal(err)
		}
		faster := s.Clone()
		for p := range faster.Parts() {
			if p.Pump != nil {
				p.Pump.Speed.Share = spec.Some(speed + 0.1)
			}
		}
		plan, err := assemble.Build(faster)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []float64{5, 22, 60, 90} {
			slow, fast := r.Plan.FlowAt(r.Plan.Loops[0], c+zeroCelsius), plan.FlowAt(plan.Loops[0], c+zeroCelsius)
			if !(slow >= 0 && fast > slow) || speed == 0 != (slow == 0) {
				t.Fatalf("at %g degC %g m3/s, faster %g m3/s", c, slow, fast)
			}
		}
	})
}

// Property: more flow never raises the die of the only chip of a loop, nor
// leaves the heat in and out of balance at the level. The fans draw nothing: a loop
// without much other heat is warmed by theirs, and more so with more flow.
func TestMoreFlowNeverRaisesADie(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speed := rapid.SampledFrom([]float64{0.05, 0.2, 0.5, 0.9}).Draw(t, "speed")
		s := drawRing(t, speed)
		s.Case, s.Room, s.Start.Rule, s.Duration = nil, nil, "level", spec.Some(30)
		for p := range s.Parts() {
			if p.Radiator != nil {
				p.Radiator.Fans.Power = spec.Some(0)
			}
		}
		level := func(speed float64) (float64, bool) {
			q := s.Clone()
			for p := range q.Parts() {
				if p.Pump != nil {
					p.Pump.Speed.Share = spec.Some(speed)
				}
			}
			r, err := attempt(q, sim.Settings{})
			var problems assemble.Problems
			if errors.As(err, &problems) {
				return 0, false // the level lies outside the model's range
			}
			if err != nil {
				t.Fatal(err)
			}
			in, out, _ := r.Totals()
			if p := r.Phases[0]; !p.Nodes[0].Level.OK() {
				return 0, false
			}
			if math.Abs(in-out) > 1e-6*in+1e-6 {
				t.Fatalf("at the level %g J came in and %g J went out", in, out)
			}
			return r.Phases[0].Nodes[0].Level.Value, true
		}
		slow, ok1 := level(speed)
		fast, ok2 := level(speed * 1.1)
		if ok1 && ok2 && fast > slow+1e-4 {
			t.Fatalf("the die is at %g K, with more flow at %g K", slow, fast)
		}
	})
}

// A pump that stands: nothing flows, its electronics draw nothing, and a little
// power stays where conduction and walls take it, beside that of the fans.
func TestPumpStands(t *testing.T) {
	s := desktop(0.3, 0, 900)
	s.Loops[0].Parts[1].Power = watts(10)
	r := run(t, s)
	in, _, _ := r.Totals()
	if r.Status != sim.Done || r.Plan.Loops[0].Flow != 0 || math.Abs(in-(0.3+2*1.5*0.216)*3600) > 1e-6 {
		t.Errorf("status %s: %s, flow %g, %g J", r.Status, r.Reason, r.Plan.Loops[0].Flow, in)
	}
	s.Chips[0].Power = watts(60)
	if r := run(t, s); r.Status != sim.LeftRange || !strings.HasPrefix(r.Reason, "block_cpu.coolant went above 95.0 degC") {
		t.Errorf("status %s: %s", r.Status, r.Reason)
	}
}

// Two loops without a link do not know of each other.
func TestSeparateLoops(t *testing.T) {
	other := func(s *spec.Scenario) *spec.Scenario {
		s = s.Clone()
		s.Chips = append(s.Chips, spec.Chip{Name: "gpu", Class: "bare die graphics", Power: watts(300)})
		p := drive("large", 0.8)
		p.Name = "second_pump"
		s.Loops = append(s.Loops, spec.Loop{Name: "second", Parts: []spec.Part{p, cooling("gpu"), sized("front", 360, 1200), reservoir("tank", 250)}})
		return s
	}
	alone := desktop(150, 0.7, 900)
	a, b := run(t, alone), run(t, other(alone))
	near(t, "level", b.Phases[0].Level.Value, a.Phases[0].Level.Value, 1e-6)
	near(t, "die", b.Phases[0].Nodes[0].Level.Value, a.Phases[0].Nodes[0].Level.Value, 1e-6)
	near(t, "flow", b.Plan.Loops[0].Flow, a.Plan.Loops[0].Flow, 0)
	for _, n := range a.Plan.Nodes {
		for _, time := range []float64{10, 100, 600, 3600} {
			near(t, n.Path, at(t, b.Trace, n.Column+"_c", time), at(t, a.Trace, n.Column+"_c", time), 4e-4)
		}
	}
}

// Glycol lowers the flow through blocks and radiators and raises the die.
func TestGlycolCosts(t *testing.T) {
	last := atLevel(t, desktop(150, 0.7, 900))
	for _, share := range []float64{0.2, 0.4, 0.6} {
		s := desktop(150, 0.7, 900)
		s.Coolant = spec.Coolant{Fluid: "propylene glycol", MassShare: spec.Some(share)}
		l := atLevel(t, s)
		if !(l.flow(0) < last.flow(0) && l.of("cpu.die") > last.of("cpu.die")+0.1 && l.of("cpu.die") < last.of("cpu.die")+10) {
			t.Errorf("at %g: %g after %g L/min, die %g after %g degC", share, l.flow(0)*6e4, last.flow(0)*6e4, l.of("cpu.die"), last.of("cpu.die"))
		}
		last = l
	}
}

// insulated puts walls into a closed case that loses next to nothing, with the
// radiator outside, so that none of them counts at the level, however large.
func insulated(s *spec.Scenario) *spec.Scenario {
	little := spec.Body{Capacity: spec.Some(1)}
	s.Case = &spec.Case{Volume: spec.Some(1e-3), Boards: little, Chassis: little, Conductance: spec.Some(1e-6), Vents: spec.Some(0)}
	for p := range s.Parts() {
		if p.Radiator != nil {
			p.Radiator.Mount = "outside"
		}
	}
	return s
}

// A bigger reservoir changes the time and not the level. The time grows as the
// capacity: the coolant, and the wall around it. Through the case the walls still
// carry some heat from warmer parts to the reservoir, the more the larger it is:
// 0.3 W/K of wall times some 0.02 K, over the 14 W/K of the radiator.
func TestBiggerReservoir(t *testing.T) {
	var tau, capacity [2]float64
	var level [2]settled
	for i, volume := range []float64{150, 900} {
		s := insulated(desktop(150, 0.7, 900))
		s.Loops[0].Parts[0] = reservoir("res", volume)
		level[i] = atLevel(t, s)
		coolant, metal := level[i].Plan.HeatCapacity()
		tau[i], capacity[i] = run(t, s).Modes[0].Tau, coolant+metal
	}
	for _, path := range []string{"cpu.die", "res.coolant", "top.coolant", "block_cpu.plate"} {
		near(t, path, level[1].of(path), level[0].of(path), 5e-4)
	}
	if got, want := tau[1]/tau[0], capacity[1]/capacity[0]; math.Abs(got-want) > 0.05*want || got < 1.5 {
		t.Errorf("the slowest time constant grows %.3f times, the capacity %.3f times", got, want)
	}
}

// With the very same walls more coolant changes no level at all.
func TestMoreCoolantBehindTheSameWalls(t *testing.T) {
	var level [2]settled
	for i, holds := range []float64{100e-6, 800e-6} {
		s := desktop(150, 0.7, 900)
		s.Loops[0].Parts[2].Holds = spec.Some(holds)
		level[i] = atLevel(t, s)
	}
	for _, n := range level[0].Plan.Nodes {
		near(t, n.Path, level[1].of(n.Path), level[0].of(n.Path), 1e-7)
	}
}

// At the level a radiator outside gives its heat and its fans' to the room, also
// past a case, and walls give theirs to what is around them: the case, and by it
// the room. One that blows into the case leaves all but what a draught takes back
// to its vents and panels; one that blows out of it takes along what is in there.
func TestHeatLeavesByItsPaths(t *testing.T) {
	const fans = 2 * 1.5 * 0.216 // W
	for _, c := range []struct {
		mount, by string
		box       *spec.Case
		low, high float64 // W, by that path
	}{
		{"", "walls", nil, 0.5, 10}, {"outside", "case", &spec.Case{}, 0.5, 10},
		{"front", "case", &spec.Case{}, 149, 151}, {"top", "case", &spec.Case{}, 0.5, 15},
	} {
		s := desktop(150, 0.7, 900)
		s.Loops[0].Parts[5].Radiator.Mount = c.mount
		s.Case, s.Start.Rule, s.Duration = c.box, "level", spec.Some(100)
		r := run(t, s)
		out := map[string]float64{}
		for _, e := range r.Ledger.Out {
			out[e.Name] = e.Energy / 100
		}
		rest := network.Total(r.Ledger.Out)/100 - out[c.by] - out["top"]
		if !(out[c.by] > c.low && out[c.by] < c.high) || math.Abs(out[c.by]+out["top"]-150-fans) > 1e-3 || math.Abs(rest) > 1e-6 {
			t.Errorf("%s, by the %s: the paths take %v W", c.mount, c.by, out)
		}
	}
}
