package sim_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/equilibrium"
	"soakledger/sim/spec"
)

// mustLevel finds the levels at a time.
func mustLevel(tb testing.TB, s *spec.Scenario, time float64) *sim.Levels {
	tb.Helper()
	l, err := sim.LevelsOf(s.Named(), time)
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

// 300 W through 20 W/K and 1/0.06 W/K to a room of 20 degC: 38 and 53 degC.
func TestLevelOfTwoNodes(t *testing.T) {
	l := mustLevel(t, twoNodes(), 0)
	known(t, "level of the mass", l.Of(l.Plan.Subject), 38+zeroCelsius, 1e-9)
	known(t, "level of the chip", l.Of(l.Plan.Find("chip")[0]), 53+zeroCelsius, 1e-9)
	if l.Time != 0 || l.Beyond() != "" {
		t.Errorf("time %g, beyond %q", l.Time, l.Beyond())
	}
}

// Every phase of every kind of start has the level that a run finds there, be it
// found from where the run then is.
func TestLevelOfIsThatOfTheRun(t *testing.T) {
	for _, rule := range []string{"ambient", "idle", "level"} {
		s := machineOfParts([]spec.Step{
			{For: spec.Some(600), Power: share(0.4)}, {For: spec.Some(900), Power: share(1)}, {For: spec.Some(600), Power: share(0.06)},
		})
		s.Start.Rule = rule
		r := run(t, s)
		if len(r.Phases) != 4 { // after its work the machine draws what it draws at rest
			t.Fatalf("%d phases", len(r.Phases))
		}
		for _, p := range r.Phases {
			l := mustLevel(t, s, (p.From+p.To)/2)
			known(t, rule+": level of the coolant", l.Of(l.Plan.Subject), p.Level.Value, 1e-6)
			for i, n := range l.Plan.Watched() {
				known(t, rule+": level of "+n.Path, l.Of(n), p.Nodes[i].Level.Value, 1e-6)
			}
		}
	}
}

// The same for the largest warming of a shipped machine.
func TestLevelOfAShippedMachine(t *testing.T) {
	doc, err := scenarios.Load("workstation")
	if err != nil {
		t.Fatal(err)
	}
	p := run(t, doc.Scenario)
	l := mustLevel(t, doc.Scenario, p.Phases[p.Heating].From)
	known(t, "level", l.Of(l.Plan.Subject), p.Phases[p.Heating].Level.Value, 1e-6)
}

func TestLevelOfALooseLump(t *testing.T) {
	s := twoNodes()
	s.Lumps = append(s.Lumps, lump("brick", 900))
	l := mustLevel(t, s, 0)
	known(t, "level of the mass", l.Of(l.Plan.Subject), 38+zeroCelsius, 1e-9)
	const want = "brick is tied to nothing that would fix its level"
	if f := l.Of(l.Plan.Find("brick")[0]); f.Why != want {
		t.Errorf("brick has the level %v, want none: %s", f, want)
	}
	if l.Beyond() != "" {
		t.Errorf("a lump without a level lies beyond: %s", l.Beyond())
	}
}

// 80 W through 1 W/K from 20 degC end at 100 degC, where coolant boils.
func TestLevelBeyondTheModel(t *testing.T) {
	s := kettle(80)
	s.Links = []spec.Link{conduct("kettle", "ambient", 1)}
	l := mustLevel(t, s, 0)
	known(t, "level", l.Of(l.Plan.Subject), 100+zeroCelsius, 1e-9)
	if got, want := l.Beyond(), "kettle would settle at 100.0 degC, above 95.0 degC, the end of the coolant's valid range"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestLevelOfErrors(t *testing.T) {
	for _, time := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := sim.LevelsOf(twoNodes().Named(), time); err == nil || !strings.Contains(err.Error(), "no run comes to") {
			t.Errorf("at %g s: %v", time, err)
		}
	}
	runaway := oneNode(300, 1e-5)
	runaway.Lumps[0].Leakage = leak(1000, 40, 0.1)
	if _, err := sim.LevelsOf(runaway.Named(), 0); !errors.Is(err, equilibrium.ErrNoLevel) {
		t.Errorf("a runaway: %v", err)
	}
	var problems assemble.Problems
	if _, err := sim.LevelsOf(base(20), 0); !errors.As(err, &problems) {
		t.Errorf("nothing to assemble: %v", err)
	}
	hot := kettle(10)
	hot.Lumps[0].Start = spec.Some(99 + zeroCelsius)
	if _, err := sim.LevelsOf(hot.Named(), 0); !errors.As(err, &problems) {
		t.Errorf("a start beyond the range: %v", err)
	}
}
