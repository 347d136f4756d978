package sim_test

import (
	"context"
	"math"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// Rows at a jump hold what begins there; the energies have no jump; the last
// row is at the end although it lies off the grid.
func TestTraceAtJumps(t *testing.T) {
	s := machine(200)
	s.Chips[0].Idle = spec.Some(20)
	onOff(s, 30, 15, forever)
	s.Duration, s.Record.Every = spec.Some(100.5), spec.Some(5)
	r := run(t, s)
	f := r.Trace
	times, power := f.Floats(f.Col("time_s")), f.Floats(f.Col("cpu_power_w"))
	if n := len(times); n != 22 || times[n-1] != 100.5 || times[n-2] != 100 {
		t.Fatalf("%d rows to %g s", n, times[n-1])
	}
	in := f.Floats(f.Col("energy_in_j"))
	sum := 0.0
	for i, time := range times {
		want := 200.0
		if math.Mod(time, 45) >= 30 {
			want = 20
		}
		if power[i] != want {
			t.Errorf("at %g s %g W, want %g", time, power[i], want)
		}
		near(t, "energy in", in[i], sum, 1e-9)
		if i < len(times)-1 {
			sum += (times[i+1] - time) * (want + 8) // the pump's 8 W; all jumps lie on the grid
		}
	}
}

// The rows do not depend on the interval: those of 0.5 s contain those of 1 s.
// Nor does keeping a trace change the figures.
func TestTraceDoesNotChangeTheRun(t *testing.T) {
	s := machineOfParts(bursts(2, 30))
	s.Duration = spec.Some(300)
	coarse := run(t, s)
	s.Record.Every = spec.Some(0.5)
	fine := run(t, s)
	for col, c := range coarse.Trace.Table().Columns[1:] {
		a, b := coarse.Trace.Floats(col+1), fine.Trace.Floats(col+1)
		for i := range a {
			if a[i] != b[2*i] {
				t.Fatalf("%s differs in row %d: %v and %v", c.Name, i, a[i], b[2*i])
			}
		}
	}
	none, err := attempt(s, sim.Settings{NoTrace: true})
	if err != nil || none.Trace != nil {
		t.Fatalf("trace %v, error %v", none.Trace, err)
	}
	last, bare := fine.Phases[len(fine.Phases)-1], none.Phases[len(none.Phases)-1]
	if last.End != bare.End || last.TailMean != bare.TailMean || none.Ledger.Residual() != fine.Ledger.Residual() {
		t.Error("without a trace the run is another one")
	}
}

// A trace of more rows than it had room for at first is whole: every row has its
// time, its powers and what never changes.
func TestLongTraceGrows(t *testing.T) {
	const rows = 150_001 // more than twice the 65,536 reserved
	s := machine(200)
	s.Chips[0].Idle = spec.Some(20)
	onOff(s, 50_000, 50_000, forever)
	s.Duration = spec.Some(rows - 1)
	f := run(t, s).Trace
	if f.Rows() != rows {
		t.Fatalf("%d rows, want %d", f.Rows(), rows)
	}
	if err := f.Check(); err != nil {
		t.Fatal(err)
	}
	columns := map[string][]float64{}
	for _, name := range []string{"time_s", "ambient_c", "cpu_power_w", "flow_l_min", "cpu_die_c"} {
		columns[name] = f.Floats(f.Col(name))
	}
	for k := range rows {
		power := 200.0
		if k >= 50_000 && k < 100_000 {
			power = 20
		}
		switch {
		case f.Ints(0)[k] != 0 || columns["time_s"][k] != float64(k) || columns["cpu_power_w"][k] != power && k < rows-1:
			t.Fatalf("row %d: run %d, %g s, %g W", k, f.Ints(0)[k], columns["time_s"][k], columns["cpu_power_w"][k])
		case math.Abs(columns["ambient_c"][k]-22) > 1e-12 || math.Abs(columns["flow_l_min"][k]-4) > 1e-6 || !(columns["cpu_die_c"][k] >= 22-1e-9):
			t.Fatalf("row %d: ambient %g, flow %g, die %g", k, columns["ambient_c"][k], columns["flow_l_min"][k], columns["cpu_die_c"][k])
		}
	}
}

// The trace is the state itself where a step ends, and the interpolant between:
// sampled densely it has the slope that the network gives.
func TestTraceFollowsTheSolution(t *testing.T) {
	r := run(t, oneNode(300, 1e-6))
	fine := oneNode(300, 1e-6)
	fine.Record.Every = spec.Some(0.25)
	f := run(t, fine).Trace
	block := f.Floats(f.Col("block_c"))
	for i := 1; i < len(block)-1; i++ {
		slope, want := (block[i+1]-block[i-1])/0.5, (300-10*(block[i]-20))/2700
		near(t, "slope", slope, want, 1e-4)
	}
	near(t, "end", block[len(block)-1]+zeroCelsius, r.Phases[0].End, 1e-12)
}

// A step allocates nothing: neither the integrator, the figures, the limits nor
// rows for which there is room.
func TestStepsDoNotAllocate(t *testing.T) {
	for _, noTrace := range []bool{false, true} {
		s := machineOfParts(sustained())
		s.Solver.Tolerance = spec.Some(1e-7) // many steps in one phase
		simulation := mustNew(t, s, sim.Settings{NoTrace: noTrace})
		step := func() {
			if ended, err := simulation.Step(); ended || err != nil {
				t.Fatal("the run has ended", err)
			}
		}
		for range 300 {
			step()
		}
		if n := testing.AllocsPerRun(100, step); n != 0 {
			t.Errorf("no trace %v: %g allocations a step", noTrace, n)
		}
	}
}

// A run that is stopped can be taken up again and is then the same run.
func TestStoppedAndContinued(t *testing.T) {
	s := machine(150).Named()
	simulation := mustNew(t, s, sim.Settings{})
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if r, err := simulation.Run(stopped); r != nil || err == nil {
		t.Fatalf("result %v, error %v", r, err)
	}
	if dump(t, mustRun(t, simulation)) != dump(t, run(t, s)) {
		t.Error("the continued run is another one")
	}
}

// Stepping by hand and Run are the same; a simulation leaves its plan alone.
func TestSteppingByHand(t *testing.T) {
	s := machine(150).Named()
	simulation := mustNew(t, s, sim.Settings{})
	steps := 0
	for ended := false; !ended; steps++ {
		var err error
		if ended, err = simulation.Step(); err != nil {
			t.Fatal(err)
		}
	}
	r := mustRun(t, simulation)
	if r.Stats.Steps != steps || dump(t, r) != dump(t, run(t, s)) {
		t.Errorf("%d steps by hand, %d counted", steps, r.Stats.Steps)
	}
	for k, p := range simulation.Plan.Inputs.Power {
		if p != 0 {
			t.Errorf("the plan's inputs now ask for %g W of source %d", p, k)
		}
	}
}

// Export tells the same phases as the run has.
func TestExport(t *testing.T) {
	s := machine(150)
	onOff(s, 100, 50, spec.Repeat{Count: 4})
	s.Duration = spec.Some(500)
	simulation := mustNew(t, s.Named(), sim.Settings{})
	e := simulation.Export()
	r := mustRun(t, simulation)
	if len(e.Phases) != len(r.Phases) || e.Duration != 500 || simulation.Duration() != 500 || e.Every != 1 {
		t.Fatalf("%d phases of %d over %g s", len(e.Phases), len(r.Phases), e.Duration)
	}
	for i, p := range e.Phases {
		sum := 0.0
		for _, w := range p.Power {
			sum += w
		}
		if q := r.Phases[i]; p.From != q.From || p.To != q.To || sum != q.Power {
			t.Errorf("phase %d is %+v and %g to %g s at %g W", i, p, q.From, q.To, q.Power)
		}
	}
	if len(e.Start) != len(r.Plan.Nodes) || e.Start[0] != 22+zeroCelsius || len(e.Boundaries) != 1 {
		t.Errorf("start %v, boundaries %v", e.Start, e.Boundaries)
	}
}
