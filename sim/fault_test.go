package sim_test

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// faulty is a desktop at full heat with radiator fans in a ring with a pump of its own,
// to which something happens after 5 min, and which then has an hour to settle.
func faulty(f spec.Fault) *spec.Scenario {
	s := base(22)
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(180)}}
	radiator := sized("front", 360, 1100)
	radiator.Radiator.Fans.Count = spec.Some(3)
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{
		drive("small", 0.7), tube("tube_1", 0.4), blockOn("block", "cpu", 120), tube("tube_2", 0.4), radiator, reservoir("res", 200),
	}}}
	s.Loops[0].Parts[2].Block.Drop = []spec.FlowDrop{{Flow: spec.Some(4. / 6e4), Drop: spec.Some(9e3)}}
	s.Start.Rule = "level"
	s.Duration, s.Record.Every, s.Record.Resolution = spec.Some(4*3600), spec.Some(60), spec.Some(0)
	if f != (spec.Fault{}) {
		f.Name, f.At = "f", spec.Some(300)
		s.Faults = []spec.Fault{f}
	}
	return s
}

// ends returns the temperatures of coolant and die at the end of a run, degC.
func ends(t *testing.T, s *spec.Scenario) (coolant, die float64) {
	t.Helper()
	x := columns(t, run(t, s), "coolant_c", "cpu_die_c")
	last := len(x[0]) - 1
	return x[0][last], x[1][last]
}

// A fault in the machine itself leads to where a machine that was built like that
// settles, and that is elsewhere than before it.
func TestFaultLeadsToTheMachineSoBuilt(t *testing.T) {
	whole, _ := ends(t, faulty(spec.Fault{}))
	part := func(s *spec.Scenario, name string) *spec.Part {
		for p := range s.Parts() {
			if p.Name == name {
				return p
			}
		}
		t.Fatalf("no part %s", name)
		return nil
	}
	for _, c := range []struct {
		name  string
		fault spec.Fault
		built func(s *spec.Scenario)
		least float64 // K by which it must matter to the coolant
	}{
		{"fans", spec.Fault{Of: "front", Failed: spec.Some(2)}, func(s *spec.Scenario) { part(s, "front").Radiator.Fans.Failed = spec.Some(2) }, 1},
		{"face", spec.Fault{Of: "front", Blocked: spec.Some(.4)}, func(s *spec.Scenario) { part(s, "front").Radiator.Blocked = spec.Some(.4) }, .5},
		{"flow", spec.Fault{Of: "block", Restriction: spec.Some(40)}, func(s *spec.Scenario) {
			part(s, "block").Block.Drop[0].Drop = spec.Some(40 * part(s, "block").Block.Drop[0].Drop.Value)
		}, .01},
	} {
		t.Run(c.name, func(t *testing.T) {
			coolant, die := ends(t, faulty(c.fault))
			s := faulty(spec.Fault{})
			c.built(s)
			wantCoolant, wantDie := ends(t, s)
			near(t, "coolant", coolant, wantCoolant, 1e-3)
			near(t, "die", die, wantDie, 1e-3)
			if math.Abs(coolant-whole) < c.least {
				t.Errorf("the fault moves the coolant from %.3f to %.3f degC only", whole, coolant)
			}
		})
	}
}

// Lost coolant leaves the levels as they are, takes its energy along by a path of its
// own, and lets what follows go faster.
func TestLostCoolant(t *testing.T) {
	s := faulty(spec.Fault{Of: "res", Lost: spec.Some(.2)})
	s.Start.Rule = "ambient"
	onOff(s, 7200, 7200, spec.Repeat{})
	s.Faults[0].At = spec.Some(6000)
	r := run(t, s)
	x := columns(t, r, "coolant_c", "energy_in_j", "heat_out_j")
	near(t, "coolant", x[0][119], x[0][99], 5e-3)
	near(t, "ledger", r.Ledger.Relative(), 0, 1e-12)
	lost := math.NaN()
	for _, e := range r.Ledger.Out {
		if e.Name == "lost coolant" {
			lost = e.Energy
		}
	}
	// The reservoir, the only one, stands at coolant_c: all that is gone was there.
	volume := .2 * r.Plan.CoolantVolume
	c := r.Plan.Coolant
	near(t, "energy of the lost coolant", lost, volume*c.Density(22+zeroCelsius)*c.SpecificHeat(30+zeroCelsius)*(x[0][99]-22), 1e-3*lost)
	whole := faulty(spec.Fault{})
	whole.Start.Rule = "ambient"
	onOff(whole, 7200, 7200, spec.Repeat{})
	before := columns(t, run(t, whole), "coolant_c")
	if a, b := x[0][125]-22, before[0][125]-22; !(a < .99*b) {
		t.Errorf("5 min after the load ends %.3f K are left with less coolant, %.3f K with all", a, b)
	}
	if e := r.Events[0]; e.Time != 6000 || !strings.Contains(e.Text, "20 % of the coolant of main") {
		t.Errorf("event %+v", e)
	}
}

// Reservoirs run empty first; then all parts lose alike.
func TestLostCoolantBeyondTheReservoir(t *testing.T) {
	s := faulty(spec.Fault{Of: "main", Lost: spec.Some(.9)})
	r := run(t, s)
	sm, err := sim.New(s, sim.Settings{NoTrace: true})
	if err != nil {
		t.Fatal(err)
	}
	after, err := sm.Plan.After(0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mass", after.CoolantMass, .1*r.Plan.CoolantMass, 1e-9)
	for i, n := range after.Nodes {
		ratio := after.Network.Capacity(n.Lump, 300) / r.Plan.Network.Capacity(n.Lump, 300)
		switch {
		case !after.Network.HoldsCoolant(n.Lump):
			near(t, n.Path, ratio, 1, 0)
		case ratio >= 1 || ratio <= 0 || (n.Path == "res.coolant") != (ratio < .02):
			t.Errorf("lump %d, %s keeps %.3f of its coolant", i, n.Path, ratio)
		}
	}
}

// A condition is met at its exact time, though a sample of a controller would have cut
// the step elsewhere; what waits for the hottest die waits for any die to rise and for
// all to fall.
func TestFaultOnACondition(t *testing.T) {
	s := fanned(200, every(2, straight("cpu.die")))
	s.Record.Every = spec.Some(.1)
	s.Duration = spec.Some(120)
	at := 50.0
	s.Faults = []spec.Fault{{Name: "f", When: spec.When{Node: "hottest die", Above: spec.Some(at + zeroCelsius)}, Ambient: spec.Some(5)}}
	r := run(t, s)
	x := columns(t, r, "cpu_die_c", "time_s")
	var fault *sim.Event
	for i := range r.Events {
		if r.Events[i].Kind == "fault" {
			fault = &r.Events[i]
		}
	}
	if fault == nil {
		t.Fatal("nothing went wrong")
	}
	i := 0
	for x[0][i] < at {
		i++
	}
	if !(fault.Time > x[1][i-1] && fault.Time <= x[1][i]) {
		t.Errorf("fault at %.3f s, but the die passes %g degC between %.1f and %.1f s", fault.Time, at, x[1][i-1], x[1][i])
	}
	exact := x[1][i-1] + .1*(at-x[0][i-1])/(x[0][i]-x[0][i-1])
	near(t, "time of the fault", fault.Time, exact, .01)
}

// What is known of the warmest phase is that of the machine as it was in it.
func TestFaultLeavesEarlierPhasesAlone(t *testing.T) {
	s := faulty(spec.Fault{})
	s.Start.Rule = "ambient"
	onOff(s, 7200, 7200, spec.Repeat{})
	want := run(t, s)
	s.Faults = []spec.Fault{{Name: "f", At: spec.Some(9000), Of: "front", Blocked: spec.Some(.9)}}
	got := run(t, s)
	if got.Heating != want.Heating || len(got.Modes) != len(want.Modes) {
		t.Fatalf("heating phase %d with %d modes, want %d with %d", got.Heating, len(got.Modes), want.Heating, len(want.Modes))
	}
	for k := range want.Modes {
		near(t, "time constant", got.Modes[k].Tau, want.Modes[k].Tau, 1e-9*want.Modes[k].Tau)
	}
	near(t, "flow", got.Flows[0], want.Flows[0], 1e-12*want.Flows[0])
}

// What would change nothing is refused.
func TestFaultsThatChangeNothing(t *testing.T) {
	for _, c := range []struct {
		change func(s *spec.Scenario)
		fault  spec.Fault
		say    string
	}{
		{nil, spec.Fault{Of: "res", Restriction: spec.Some(3)}, "nothing in res resists the flow"},
		{func(s *spec.Scenario) { s.Loops[0].Parts[0] = pump("pump", 3) }, spec.Fault{Of: "tube_1", Restriction: spec.Some(3)}, "which nothing restricts"},
		{func(s *spec.Scenario) { s.Loops[0].Parts[4] = radiatorPart("front", 20) }, spec.Fault{Of: "front", Blocked: spec.Some(.3)}, "a stated conductance holds"},
	} {
		s := faulty(c.fault)
		if c.change != nil {
			c.change(s)
		}
		if _, err := attempt(s, sim.Settings{}); err == nil || !strings.Contains(err.Error(), c.say) {
			t.Errorf("error %v, want one with %q", err, c.say)
		}
	}
}
