package sim_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

// kettle is a pool of a constant fluid, 0.25 kg and 1000 J/K, from 20 degC.
func kettle(power float64) *spec.Scenario {
	s := base(20)
	s.Coolant = spec.Coolant{Fluid: "constant", Density: spec.Some(1000), SpecificHeat: spec.Some(4000)}
	l := pool("kettle", 250)
	l.Power = watts(power)
	s.Lumps = []spec.Lump{l}
	s.Duration = spec.Some(3600)
	s.Record.Every = spec.Some(7)
	return s
}

// Without a loss 150 W take 1000 J/K from 20 to 95 degC in exactly 500 s; with
// 1 W/K to the room T = 20 + 150 (1 - e^(-t/1000)) takes 1000 ln 2.
func TestLeavesTheRangeAtTheExactTime(t *testing.T) {
	lossy := kettle(150)
	lossy.Links = []spec.Link{conduct("kettle", "ambient", 1)}
	lossy.Solver.Tolerance = spec.Some(1e-9)
	for _, c := range []struct {
		s    *spec.Scenario
		want float64
	}{{kettle(150), 500}, {lossy, 1000 * math.Ln2}} {
		r := run(t, c.s)
		const reason = "kettle went above 95.0 degC, the end of the coolant's valid range"
		if r.Status != sim.LeftRange || r.Reason != reason {
			t.Fatalf("status %s, reason %q", r.Status, r.Reason)
		}
		near(t, "time", r.Duration, c.want, 1e-6)
		near(t, "event", event(t, r, "left_range").Time, c.want, 1e-6)
		near(t, "highest", r.Highest[0], 95+zeroCelsius, 1e-9)
		last := r.Trace.Rows() - 1
		near(t, "last row", r.Trace.Floats(r.Trace.Col("time_s"))[last], r.Duration, 0)
		near(t, "last temperature", r.Trace.Floats(r.Trace.Col("kettle_c"))[last], 95, 1e-9)
		p := r.Phases[0]
		near(t, "end of the phase", p.To, r.Duration, 0)
		later := p.Level.Why // without a level that is why, with one the cut
		if p.Level.OK() {
			later = reason
		}
		if p.TailMean.Why != reason || p.Shortfall[3].Why != later || p.Shortfall[0].OK() != p.Level.OK() {
			t.Errorf("tail: %q, shortfalls %v", p.TailMean.Why, p.Shortfall)
		}
		if all := r.Cautions(); len(all) != 2 || !strings.HasPrefix(all[0], reason) || !strings.Contains(all[1], "kettle reaches 95.0 degC") {
			t.Errorf("cautions %q", all)
		}
	}
}

// Where several lumps leave their range in one step, the first one counts.
func TestTheFirstOfSeveralLimits(t *testing.T) {
	s := kettle(150)
	for _, p := range []float64{151, 150.5} {
		l := pool(fmt.Sprintf("kettle_%.0f", 10*p), 250)
		l.Power = watts(p)
		s.Lumps = append(s.Lumps, l)
	}
	r := run(t, s)
	near(t, "time", r.Duration, 75000/151.0, 1e-6)
	if !strings.HasPrefix(r.Reason, "kettle_1510 ") || len(r.Events) != 2 || r.Events[1].Kind != "left_range" {
		t.Errorf("reason %q, events %v", r.Reason, r.Events)
	}
}

// A start on the very limit: what moves outward ends at once, what moves inward
// goes on.
func TestStartsOnTheLimit(t *testing.T) {
	hot := kettle(150)
	hot.Lumps[0].Start = spec.Some(95 + zeroCelsius)
	r := run(t, hot)
	if r.Status != sim.LeftRange || r.Duration != 0 || r.Trace.Rows() != 1 {
		t.Errorf("status %s after %g s with %d rows", r.Status, r.Duration, r.Trace.Rows())
	}
	if _, err := r.Frames(); err != nil {
		t.Error(err)
	}
	cooling := kettle(0)
	cooling.Lumps[0].Start = spec.Some(95 + zeroCelsius)
	cooling.Links = []spec.Link{conduct("kettle", "ambient", 1)}
	if r := run(t, cooling); r.Status != sim.Done {
		t.Errorf("status %s: %s", r.Status, r.Reason)
	}
}

// A start outside the range is refused, with the node and both temperatures.
func TestStartsOutside(t *testing.T) {
	frozen := machine(100)
	frozen.Start.Nodes = []spec.StartNode{{Node: "res.coolant", Temperature: -4 + zeroCelsius}}
	hot := machine(100)
	hot.Start.Nodes = []spec.StartNode{{Node: "cpu.die", Temperature: 140 + zeroCelsius}, {Node: "tube_1.coolant", Temperature: 99 + zeroCelsius}}
	for want, s := range map[string]*spec.Scenario{
		"start: res.coolant begins at -4.0 degC, which is below 0.0 degC, the coolant's freezing point": frozen,
		"start: cpu.die begins at 140.0 degC, which is above 135.0 degC, 20 K above its shutdown\n" +
			"start: tube_1.coolant begins at 99.0 degC, which is above 95.0 degC, the end of the coolant's valid range": hot,
	} {
		_, err := attempt(s, sim.Settings{})
		var problems assemble.Problems
		if !errors.As(err, &problems) || err.Error() != want {
			t.Errorf("error %v\nwant %s", err, want)
		}
	}
}

// runaway is a die whose leakage outgrows what carries it away.
func runaway(tolerance float64) *spec.Scenario {
	s := base(22)
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(20), Leakage: leak(10, 60, 0.03)}}
	s.Links = []spec.Link{conduct("cpu.spreader", "ambient", 0.35)}
	s.Duration = spec.Some(3600)
	s.Solver.Tolerance = spec.Some(tolerance)
	return s
}

// A die that runs away ends the run where it passes its limit, at the time that
// a run with a thousandth of the tolerance finds, and has no level.
func TestDieRunsAway(t *testing.T) {
	r, tight := run(t, runaway(1e-6)), run(t, runaway(1e-9))
	if r.Status != sim.LeftRange || r.Reason != "cpu.die went above 135.0 degC, 20 K above its shutdown" {
		t.Fatalf("status %s: %s", r.Status, r.Reason)
	}
	near(t, "time", r.Duration, tight.Duration, 1e-6)
	near(t, "temperature", r.Highest[r.Plan.Chips[0].Die], 135+zeroCelsius, 1e-9)
	if p := r.Phases[0]; p.Level.OK() || !strings.Contains(p.Level.Why, "no level") || p.Response[0].Why != p.Level.Why {
		t.Errorf("level %+v, t63 %+v", p.Level, p.Response[0])
	}
	if r.ModesWhy == "" || r.Modes != nil {
		t.Errorf("modes %v, missing because %q", r.Modes, r.ModesWhy)
	}
	near(t, "time at the default tolerance", run(t, runaway(2e-4)).Duration, tight.Duration, 2e-3)
}

// A lump without a limit that runs away ends the integration: the result is
// there, with trace and reason, beside the error.
func TestLumpRunsAway(t *testing.T) {
	s := base(20)
	l := lump("coil", 10)
	l.Leakage = leak(5, 20, 0.1)
	s.Lumps = []spec.Lump{l, lump("iron", 100)}
	s.Links = []spec.Link{conduct("coil", "ambient", 0.01), conduct("iron", "ambient", 1)}
	s.Duration = spec.Some(600)
	simulation := mustNew(t, s.Named(), sim.Settings{})
	r, err := simulation.Run(t.Context())
	if err == nil || r == nil {
		t.Fatalf("result %v, error %v", r, err)
	}
	if r.Status != sim.Failed || !strings.Contains(r.Reason, "at coil") || !strings.Contains(err.Error(), r.Reason) {
		t.Errorf("status %s, reason %q, error %v", r.Status, r.Reason, err)
	}
	// Without the small loss C dT/dt = P e^(g (T-T0)) is infinite after C/(P g) = 20 s.
	if r.Duration < 19 || r.Duration > 25 || r.Trace.Rows() < 20 {
		t.Errorf("failed after %g s with %d rows", r.Duration, r.Trace.Rows())
	}
	if r.Ledger.Relative() > r.MostLeft {
		t.Errorf("the ledger leaves %g", r.Ledger.Relative())
	}
	if p := r.Phases[0]; p.TailMean.Why != r.Reason {
		t.Errorf("tail is missing because %q", p.TailMean.Why)
	}
	if _, err := r.Frames(); err != nil {
		t.Error(err)
	}
	if ended, err2 := simulation.Step(); !ended || err2 == nil || err2.Error() != err.Error() {
		t.Errorf("another step: %v, %v", ended, err2)
	}
	if again, err2 := simulation.Run(t.Context()); again == nil || err2 == nil || err2.Error() != err.Error() {
		t.Errorf("asked again: %v, %v", again, err2)
	}
}

// A stopped pump: the coolant of the block goes on warming, the loop has a
// level far above the model's range, and the ledger closes.
func TestPumpStopped(t *testing.T) {
	s := machine(100)
	s.Loops[0].Parts[0] = pump("pump", 0)
	r := run(t, s)
	if r.Status != sim.LeftRange || !strings.HasPrefix(r.Reason, "block.coolant went above 95.0 degC") {
		t.Errorf("status %s: %s", r.Status, r.Reason)
	}
	if r.Ledger.Relative() > sim.LedgerLimit {
		t.Errorf("the ledger leaves %g", r.Ledger.Relative())
	}
}

// Nothing on: the level is the room and nothing is timed.
func TestZeroPower(t *testing.T) {
	s := machine(0)
	silence(s)
	r := run(t, s)
	p := r.Phases[0]
	known(t, "level", p.Level, 22+zeroCelsius, 1e-6)
	if r.Heating != -1 || r.Cooling != -1 || p.Response[0].OK() || !p.Within[2].OK() {
		t.Errorf("heating %d, cooling %d, t63 %+v, within 0.1 K %+v", r.Heating, r.Cooling, p.Response[0], p.Within[2])
	}
	if r.Ledger.Relative() != 0 {
		t.Errorf("the ledger leaves %g of nothing", r.Ledger.Relative())
	}
}

// A start from the level without power moves next to nothing, and rounding is
// no reason to fail.
func TestRoundingIsNoResidual(t *testing.T) {
	s := machine(0)
	silence(s)
	s.Start.Rule = "level"
	s.Ambient.Temperature = spec.Some(300.3)
	s.Lumps = []spec.Lump{{Name: "bath", HeldAt: spec.Some(300.3 + 1e-9)}}
	s.Links = []spec.Link{conduct("res.coolant", "bath", 5)}
	run(t, s)
}

// A chain of a thousand lumps finishes and closes; its modes are refused.
func TestThousandLumps(t *testing.T) {
	s := base(20)
	for i := range 1000 {
		s.Lumps = append(s.Lumps, lump(fmt.Sprintf("n%d", i), 10))
		if i > 0 {
			s.Links = append(s.Links, conduct(fmt.Sprintf("n%d", i-1), fmt.Sprintf("n%d", i), 50))
		}
	}
	s.Lumps[0].Power = watts(100)
	s.Links = append(s.Links, conduct("n999", "ambient", 50))
	s.Duration, s.Record.Every = spec.Some(100), spec.Some(10)
	s.Figures.Of = "n0"
	r := run(t, s)
	if r.Status != sim.Done || r.Modes != nil || !strings.Contains(r.ModesWhy, "1000 lumps are too many") {
		t.Errorf("status %s, modes %v because %q", r.Status, r.Modes, r.ModesWhy)
	}
	known(t, "level of a chain of a thousand 0.02 K/W", r.Phases[0].Level, 20+zeroCelsius+100*1000/50.0, 1e-5)
	s.Duration = spec.Number{}
	if _, err := attempt(s, sim.Settings{}); err == nil || !strings.Contains(err.Error(), "state how long to run") {
		t.Errorf("without a duration: %v", err)
	}
}

// Equal cells, and the same again: modes that coincide are found.
func TestEqualCells(t *testing.T) {
	r := run(t, tanks(20))
	if len(r.Modes) == 0 {
		t.Fatalf("no modes: %s", r.ModesWhy)
	}
	// Twenty equal upwind cells have one time constant, 3 s, twenty times; it is
	// a defective eigenvalue, which rounding scatters by its twentieth root.
	if tau := r.Modes[0].Tau; !(tau > 2 && tau < 30) {
		t.Errorf("slowest mode %g s", tau)
	}
}

// A lump tied to nothing is named and has no level, the others have theirs.
func TestTiedToNothing(t *testing.T) {
	s := machine(100)
	s.Lumps = []spec.Lump{heated("stone", 1000, 5), lump("pebble", 10)}
	s.Links = []spec.Link{conduct("stone", "pebble", 2)}
	for _, of := range []string{"", "stone"} {
		s.Figures.Of = of
		p := run(t, s).Phases[0]
		if of == "" {
			if !p.Level.OK() || !p.Nodes[0].Level.OK() {
				t.Errorf("levels %+v, %+v", p.Level, p.Nodes[0].Level)
			}
			continue
		}
		const why = "stone, pebble are tied to nothing that would fix their level"
		if p.Level.OK() || p.Level.Why != why || p.Within[0].Why != why {
			t.Errorf("level of a loose lump is %+v", p.Level)
		}
		near(t, "its warming", p.End-p.Begin, 5*3600/1010.0, 0.02)
	}
	s.Start.Rule = "level"
	s.Lumps[0].Start = spec.Some(310)
	r := run(t, s)
	near(t, "a loose lump begins as stated", r.Trace.Floats(r.Trace.Col("stone_c"))[0], 310-zeroCelsius, 1e-12)
	near(t, "the loop begins at its level", r.Trace.Floats(r.Trace.Col("res_coolant_c"))[0], r.Phases[0].Nodes[1].Level.Value-zeroCelsius, 1e-6)
}

// Starting rules: at the level nothing moves; from idle the load heats up from
// where idling had led.
func TestStartRules(t *testing.T) {
	s := machine(200)
	s.Chips[0].Idle = spec.Some(20)
	onOff(s, 1200, 1200, spec.Repeat{})
	s.Start.Rule = "level"
	r := run(t, s)
	p := r.Phases[0]
	near(t, "drift at the level", p.End-p.Begin, 0, 1e-6)
	if r.Heating != 0 || r.Cooling != 1 || p.Response[2].OK() {
		t.Errorf("heating %d, cooling %d, t95 %+v", r.Heating, r.Cooling, p.Response[2])
	}
	s.Start.Rule = "idle"
	q := run(t, s).Phases
	near(t, "begin", q[0].Begin, q[1].Level.Value, 1e-6)
	near(t, "level", q[0].Level.Value, p.Level.Value, 1e-6)
	s.Start.Rule = "ambient"
	near(t, "begin", run(t, s).Phases[0].Begin, 22+zeroCelsius, 0)
}

// Without a stated duration a run ends with its work; endless work runs for
// five of the slowest time constants and at least ten minutes.
func TestDuration(t *testing.T) {
	s := oneNode(300, 1e-4)
	s.Duration = spec.Number{}
	near(t, "five time constants", run(t, s).Duration, 5*270, 1e-6)
	s.Lumps[0].Capacity = spec.Some(27)
	near(t, "ten minutes", run(t, s).Duration, 600, 0)
	s.Lumps[0].Capacity = spec.Some(3e8)
	if _, err := attempt(s, sim.Settings{}); err == nil || !strings.Contains(err.Error(), "duration: the work has no end of its own") {
		t.Errorf("a soak of five years: %v", err)
	}
	s.Lumps[0].Capacity = spec.Some(2700)
	s.Work = []spec.Work{{Name: "w", On: spec.Some(70), Off: spec.Some(30), Repeat: spec.Repeat{Count: 3}}}
	s.Lumps[0].Work = "w"
	r := run(t, s)
	near(t, "end of the work", r.Duration, 300, 0)
	if len(r.Phases) != 6 {
		t.Errorf("%d phases, want 6", len(r.Phases))
	}
	s.Duration = spec.Some(1000)
	if r := run(t, s); len(r.Phases) != 6 || r.Phases[5].To != 1000 {
		t.Errorf("work that ends before the run: %d phases, the last to %g s", len(r.Phases), r.Phases[5].To)
	}
	s.Duration = spec.Some(85)
	if r := run(t, s); len(r.Phases) != 2 || r.Phases[1].To != 85 {
		t.Errorf("a run that ends within the work: %d phases", len(r.Phases))
	}
	s.Duration, s.Record.Every = spec.Some(3.6e7), spec.Some(1e-3)
	if _, err := attempt(s, sim.Settings{}); err == nil || !strings.Contains(err.Error(), "record.every") {
		t.Errorf("a trace of 3.6e10 rows: %v", err)
	}
}

// The end of 7 times 0.7 s and a duration of 4.9 s are no phase apart.
func TestNoPhaseOfRounding(t *testing.T) {
	s := oneNode(300, 1e-4)
	s.Work = []spec.Work{{Name: "w", On: spec.Some(0.7), Repeat: spec.Repeat{Count: 7}}}
	s.Lumps[0].Work = "w"
	s.Duration = spec.Some(4.9)
	if end, _ := mustNew(t, s.Named(), sim.Settings{}).Plan.Timeline.NextJump(0); !(end < 4.9) {
		t.Fatalf("7 x 0.7 is %v here, so this test shows nothing", end)
	}
	if r := run(t, s); len(r.Phases) != 1 || r.Duration != 4.9 {
		t.Errorf("%d phases, the last from %v to %v s", len(r.Phases), r.Phases[len(r.Phases)-1].From, r.Duration)
	}
}

// Two loops have a flow and a coolant each; the subject is the first one's
// unless another is asked for.
func TestTwoLoops(t *testing.T) {
	s := machine(200)
	s.Chips = append(s.Chips, spec.Chip{Name: "gpu", Power: watts(250)})
	s.Loops = append(s.Loops, spec.Loop{Name: "second", Parts: []spec.Part{
		pump("pump_b", 2), blockOn("block_b", "gpu", 90), radiatorPart("top", 12), reservoir("res_b", 150),
	}})
	r := run(t, s)
	p := r.Phases[0]
	near(t, "level of the first", p.Level.Value, 22+zeroCelsius+208/18.0, 3) // the reservoir is after the radiator, so below the inlet's rise
	if p.Nodes[2].Level.Value <= p.Level.Value || len(p.Nodes) != 3 {
		t.Errorf("the weaker radiator's loop is at %g K, the other at %g K", p.Nodes[2].Level.Value, p.Level.Value)
	}
	names := []string{}
	for _, c := range r.Trace.Table().Columns {
		names = append(names, c.Name)
	}
	for _, want := range []string{"main_flow_l_min", "second_flow_l_min", "coolant_c", "res_coolant_c", "res_b_coolant_c"} {
		if !slices.Contains(names, want) {
			t.Errorf("the trace has no column %s", want)
		}
	}
	s.Figures.Of = "res_b.coolant"
	q := run(t, s).Phases[0]
	near(t, "the second as subject", q.Level.Value, p.Nodes[2].Level.Value, 1e-9)
	near(t, "the first beside it", q.Nodes[2].Level.Value, p.Level.Value, 1e-9)
}

// Peaks count, wherever in a step they are. After a pulse of 60 s the mass of
// the two nodes goes on warming until 92.24 s: its two exponentials have slopes
// of equal size where e^((l1-l2) t) = (e^(60 l1) - 1) / (e^(60 l2) - 1).
func TestPeaksInsideSteps(t *testing.T) {
	s := twoNodes()
	onOff(s, 60, 600, spec.Repeat{})
	s.Lumps[0].Work = "load"
	s.Solver.Tolerance = spec.Some(1e-2) // long steps
	s.Record.Every = spec.Some(0.05)
	r := run(t, s)
	for i, n := range r.Plan.Nodes {
		column := r.Trace.Floats(r.Trace.Col(n.Column + "_c"))
		near(t, "highest of "+n.Path, r.Highest[i], slices.Max(column)+zeroCelsius, 1e-4)
	}
	cooling := r.Phases[1]
	column := r.Trace.Floats(r.Trace.Col("mass_c"))
	near(t, "peak of the mass", cooling.Peak, slices.Max(column)+zeroCelsius, 1e-4)
	near(t, "time of that peak", cooling.PeakAt, 92.24, 0.2)
}
