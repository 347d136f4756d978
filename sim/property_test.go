package sim_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/network"
	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// finish runs a drawn scenario to its end. Where the idle or the level from
// which it should start does not exist, for a die runs away or a lump is tied by
// next to nothing, that is all that may be refused, and it runs from the ambient.
func finish(t *rapid.T, s *spec.Scenario) *sim.Result {
	r, err := attempt(s, sim.Settings{RunID: 7})
	var problems assemble.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			if p.Path != "start" || s.Start.Rule == "" {
				t.Fatalf("refused: %v", err)
			}
		}
		s = s.Clone()
		s.Start = spec.Start{}
		r, err = attempt(s, sim.Settings{RunID: 7})
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Property: whatever the machine, its ledger closes, its trace is in order and
// ends with the ledger's sums, and nothing is NaN.
func TestEveryLedgerCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := finish(t, drawMachine(t))
		in, out, stored := r.Totals()
		got, limit := r.Ledger.Relative(), sim.LedgerLimit
		if moved := in + math.Abs(out) + math.Abs(stored); !(got <= r.MostLeft) || moved > 1000 && !(got <= limit) {
			t.Fatalf("the ledger leaves %g of %g J, more than %g", got, moved, limit)
		}
		requested := 0.0
		for _, p := range r.Phases {
			requested += p.Power * (p.To - p.From)
		}
		leaks := network.Total(r.Ledger.In[len(r.Plan.Network.Sources()):])
		if math.Abs(requested-(in-leaks)) > 1e-10*(1+requested) {
			t.Fatalf("the phases ask for %.12g J, the ledger books %.12g J", requested, in-leaks)
		}
		checkTrace(t, r, in, out)
		frames, err := r.Frames()
		if err != nil {
			t.Fatal(err)
		}
		for i, table := range sim.Tables(r.Plan) {
			f := frames[slices.IndexFunc(frames, func(f *record.Frame) bool { return f.Table().Name == table.Name })]
			if err := errors.Join(table.Validate(), f.Check()); err != nil || !f.Table().Equal(table) {
				t.Fatalf("table %d, %s: %v", i, table.Name, err)
			}
		}
	})
}

// checkTrace checks the order of a trace's rows and its sums.
func checkTrace(t *rapid.T, r *sim.Result, in, out float64) {
	f := r.Trace
	times := f.Floats(f.Col("time_s"))
	every := r.Plan.Scenario.Record.Every.Value
	for i, time := range times {
		if i > 0 && !(time > times[i-1]) {
			t.Fatalf("row %d at %v s follows one at %v s", i, time, times[i-1])
		}
		if want := float64(i) * every; i < len(times)-1 && time != want {
			t.Fatalf("row %d is at %v s, want %v s", i, time, want)
		}
	}
	last := len(times) - 1
	if times[last] != r.Duration || f.Ints(0)[last] != 7 {
		t.Fatalf("the last of run %d is at %v s, the run ended at %v s", f.Ints(0)[last], times[last], r.Duration)
	}
	for column, want := range map[string]float64{"energy_in_j": in, "heat_out_j": out} {
		if got := f.Floats(f.Col(column))[last]; math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
			t.Fatalf("%s ends at %.12g J, the ledger books %.12g J", column, got, want)
		}
	}
	for _, n := range r.Plan.Nodes {
		column := f.Floats(f.Col(n.Column + "_c"))
		if low, high := slices.Min(column)+zeroCelsius, slices.Max(column)+zeroCelsius; low < r.Lowest[n.Lump]-1e-9 || high > r.Highest[n.Lump]+1e-9 {
			t.Fatalf("%s passes %g to %g K in the trace, %g to %g K in the result", n.Path, low, high, r.Lowest[n.Lump], r.Highest[n.Lump])
		}
	}
}

// Property: with nothing switched on and everything at ambient nothing moves.
func TestNothingMovesByItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawMachine(t)
		silence(s)
		for i := range s.Lumps {
			if s.Lumps[i].HeldAt.Set {
				s.Lumps[i].HeldAt = s.Ambient.Temperature
			}
		}
		r := finish(t, s)
		for i, n := range r.Plan.Nodes {
			if d := math.Max(r.Highest[i]-s.Ambient.Temperature.Value, s.Ambient.Temperature.Value-r.Lowest[i]); d > 1e-9 {
				t.Fatalf("%s moves by %g K", n.Path, d)
			}
		}
		if r.Heating >= 0 || r.Cooling >= 0 {
			t.Fatalf("phases %d and %d count as heating and cooling", r.Heating, r.Cooling)
		}
	})
}

// Property: without a source of heat no lump leaves the range of what it began
// with and of the fixed temperatures.
func TestHeatOnlyEvensOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawMachine(t)
		silence(s)
		s.Start = spec.Start{}
		low, high := s.Ambient.Temperature.Value, s.Ambient.Temperature.Value
		for i := range s.Lumps {
			l := &s.Lumps[i]
			if !l.HeldAt.Set {
				l.Start = spec.Some(rapid.Float64Range(5, 80).Draw(t, "start") + zeroCelsius)
			}
			low, high = min(low, l.Start.Or(low), l.HeldAt.Or(low)), max(high, l.Start.Or(high), l.HeldAt.Or(high))
		}
		r := finish(t, s)
		slack := 10 * s.Solver.Tolerance.Value
		for i, n := range r.Plan.Nodes {
			if r.Lowest[i] < low-slack || r.Highest[i] > high+slack {
				t.Fatalf("%s passes %g to %g K, all began within %g to %g K", n.Path, r.Lowest[i], r.Highest[i], low, high)
			}
		}
	})
}

// Property: twice the coolant in every part but the reservoir, whose wall would
// grow with it, leaves every level where it is and makes the soak longer.
func TestMoreCoolantTakesLongerToTheSameLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := machine(rapid.Float64Range(50, 300).Draw(t, "power"))
		s.Loops[0].Parts[3] = tube("tube_2", rapid.Float64Range(0.1, 2).Draw(t, "length"))
		s.Loops[0].Parts[4] = radiatorPart("front", rapid.Float64Range(8, 40).Draw(t, "conductance"))
		s.Loops[0].Parts[0] = pump("pump", rapid.Float64Range(0.5, 8).Draw(t, "flow"))
		s.Duration = spec.Some(4 * 3600)
		twice := s.Clone()
		for i := range twice.Loops[0].Parts {
			p := &twice.Loops[0].Parts[i]
			single, _ := assemble.Complete(s)
			q := single.Loops[0].Parts[i]
			volume := q.Holds.Value
			switch {
			case q.Tube != nil:
				volume = math.Pi / 4 * q.Tube.Bore.Value * q.Tube.Bore.Value * q.Tube.Length.Value
			case q.Reservoir != nil:
				continue
			}
			p.Holds = spec.Some(2 * volume)
		}
		a, b := finish(t, s), finish(t, twice)
		if b.Plan.CoolantVolume < 1.999*a.Plan.CoolantVolume-200e-6 {
			t.Fatalf("%g m3 beside %g m3 of coolant", b.Plan.CoolantVolume, a.Plan.CoolantVolume)
		}
		p, q := a.Phases[0], b.Phases[0]
		if !p.Level.OK() || !q.Level.OK() || math.Abs(p.Level.Value-q.Level.Value) > 1e-3 || math.Abs(p.Nodes[0].Level.Value-q.Nodes[0].Level.Value) > 1e-3 {
			t.Fatalf("levels of %+v and %+v", p.Level, q.Level)
		}
		if !(q.Response[2].Value > p.Response[2].Value) {
			t.Fatalf("t95 goes from %+v to %+v", p.Response[2], q.Response[2])
		}
		for i, n := range a.Plan.Nodes {
			if d := math.Abs(a.Trace.Floats(a.Trace.Col(n.Column + "_c"))[a.Trace.Rows()-1] - b.Trace.Floats(b.Trace.Col(n.Column + "_c"))[b.Trace.Rows()-1]); d > 1e-3 {
				t.Fatalf("lump %d, %s, ends %g K apart", i, n.Path, d)
			}
		}
	})
}

// A step of power into every kind of lump closes the ledger and is booked under
// its own name.
func TestPowerIntoEveryKindOfLump(t *testing.T) {
	for name, into := range map[string]func(s *spec.Scenario){
		"cpu":    func(s *spec.Scenario) { s.Chips[0].Power = watts(100) },
		"block":  func(s *spec.Scenario) { s.Loops[0].Parts[2].Power = watts(100) },
		"pump":   func(s *spec.Scenario) { s.Loops[0].Parts[0].Power = watts(100) },
		"tube_1": func(s *spec.Scenario) { s.Loops[0].Parts[1].Power = watts(100) },
		"front":  func(s *spec.Scenario) { s.Loops[0].Parts[4].Power = watts(100) },
		"res":    func(s *spec.Scenario) { s.Loops[0].Parts[5].Power = watts(100) },
		"iron":   func(s *spec.Scenario) { s.Lumps[0].Power = watts(100) },
		"tank":   func(s *spec.Scenario) { s.Lumps[1].Power = watts(100) },
	} {
		s := machine(0)
		s.Lumps = []spec.Lump{lump("iron", 500), pool("tank", 300)}
		s.Links = []spec.Link{conduct("iron", "cpu.die", 2), conduct("tank", "ambient", 3)}
		silence(s)
		into(s)
		s.Duration = spec.Some(200)
		r := run(t, s)
		in, _, _ := r.Totals()
		if math.Abs(in-20000) > 1e-8 || r.Ledger.Relative() > sim.LedgerLimit {
			t.Errorf("%s: %g J booked, %g of it unaccounted for", name, in, r.Ledger.Relative())
		}
		for _, e := range r.Ledger.In {
			if want := 0.0; e.Name == name == (e.Energy == want) {
				t.Errorf("%s: %g J booked under %s", name, e.Energy, e.Name)
			}
		}
	}
}

// Property: a scenario run twice gives the same rows to the last bit.
func TestRunsRepeat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawMachine(t)
		a, b := dump(t, finish(t, s)), dump(t, finish(t, s))
		if a != b {
			t.Fatal("two runs differ")
		}
	})
}

// dump writes all frames of a result with every bit of their numbers.
func dump(tb rapid.TB, r *sim.Result) string {
	frames, err := r.Frames()
	if err != nil {
		tb.Fatal(err)
	}
	var b strings.Builder
	for _, f := range frames {
		fmt.Fprintln(&b, f.Table().Name, f.Rows())
		for col, c := range f.Table().Columns {
			fmt.Fprintln(&b, c.Name, f.Ints(col), f.Texts(col), f.Nulls(col))
			for _, v := range f.Floats(col) {
				fmt.Fprintf(&b, "%x ", math.Float64bits(v))
			}
		}
	}
	return b.String()
}
