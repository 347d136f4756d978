package sim_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim/metric"
	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// at returns a column of a trace at a time that it has a row for.
func at(tb testing.TB, f *record.Frame, column string, time float64) float64 {
	tb.Helper()
	col := f.Col(column)
	if col < 0 {
		tb.Fatalf("the trace has no column %s", column)
	}
	for i, t := range f.Floats(f.Col("time_s")) {
		if math.Abs(t-time) < 1e-9 {
			return f.Floats(col)[i]
		}
	}
	tb.Fatalf("the trace has no row at %g s", time)
	return 0
}

// near checks a value.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.10g, want %.10g within %g", what, got, want, tolerance)
	}
}

// known checks a figure.
func known(t *testing.T, what string, f metric.Figure, want, tolerance float64) {
	t.Helper()
	if !f.OK() {
		t.Errorf("%s is missing: %s", what, f.Why)
		return
	}
	near(t, what, f.Value, want, tolerance)
}

// oneNode is 2700 J/K at 10 W/K over a room of 20 degC: tau 270 s.
func oneNode(power, tolerance float64) *spec.Scenario {
	s := base(20)
	s.Lumps = []spec.Lump{heated("block", 2700, power)}
	s.Links = []spec.Link{conduct("block", "ambient", 10)}
	s.Duration = spec.Some(1800)
	s.Solver.Tolerance = spec.Some(tolerance)
	return s
}

// One node: T = P R (1 - e^(-t/tau)) (Bergman et al. 2011, eq. 5.25).
func TestOneNode(t *testing.T) {
	r := run(t, oneNode(300, 1e-5))
	times, block := r.Trace.Floats(r.Trace.Col("time_s")), r.Trace.Floats(r.Trace.Col("block_c"))
	if len(times) != 1801 {
		t.Fatalf("%d rows, want 1801", len(times))
	}
	for i, time := range times {
		near(t, fmt.Sprintf("T after %g s", time), block[i], 20-30*math.Expm1(-time/270), 1e-4)
	}
	p := r.Phases[0]
	for i, x := range []float64{1 - 1/math.E, 0.9, 0.95, 0.99} {
		known(t, fmt.Sprintf("t%.0f", 100*x), p.Response[i], -270*math.Log1p(-x), 0.05)
	}
	known(t, "level", p.Level, 50+zeroCelsius, 1e-9)
	known(t, "within 0.5 K", p.Within[1], 270*math.Log(60), 0.1)
	near(t, "time constant", r.Modes[0].Tau, 270, 1e-9)
	near(t, "mean heat out", r.Ledger.Out[0].Energy/1800, 300*(1+270/1800.0*math.Expm1(-1800/270.0)), 1e-3)
}

// twoNodes is a chip on a mass that cools to the room, without work.
func twoNodes() *spec.Scenario {
	s := base(20)
	s.Lumps = []spec.Lump{heated("chip", 400, 300), lump("mass", 4500)}
	s.Links = []spec.Link{conduct("chip", "mass", 20), conduct("mass", "ambient", 1/0.06)}
	s.Figures.Of = "mass"
	s.Solver.Tolerance = spec.Some(1e-5)
	return s
}

// Two nodes, C1 400 J/K -0.05 K/W- C2 4500 J/K -0.06 K/W- room, 300 W: the
// eigenvalues of the linear system and its response, computed independently in
// double precision by its two exponentials and by the matrix exponential.
func TestTwoNodes(t *testing.T) {
	s := twoNodes()
	s.Duration = spec.Some(1800)
	r := run(t, s)
	for _, c := range []struct{ time, t1, t2 float64 }{
		{10, 5.923375, 0.138356}, {60, 15.737598, 2.382570}, {300, 25.538765, 11.043345}, {900, 32.018902, 17.085251}, {1800, 32.953219, 17.956383},
	} {
		near(t, fmt.Sprintf("T1 after %g s", c.time), at(t, r.Trace, "chip_c", c.time)-20, c.t1, 1e-4)
		near(t, fmt.Sprintf("T2 after %g s", c.time), at(t, r.Trace, "mass_c", c.time)-20, c.t2, 1e-4)
	}
	known(t, "level of T2", r.Phases[0].Level, 38+zeroCelsius, 1e-9)
	near(t, "slow time constant", r.Modes[0].Tau, 295.740765458, 1e-8)
	near(t, "fast time constant", r.Modes[1].Tau, 18.259234542, 1e-8)
	for i, want := range []float64{699.815512, 904.807390, 1380.783790} {
		known(t, "response of T2", r.Phases[0].Response[i+1], want, 0.02)
	}
	s.Figures.Of = "chip"
	p := run(t, s).Phases[0]
	for i, want := range []float64{541.264838, 746.256716, 1222.233116} {
		known(t, "response of T1", p.Response[i+1], want, 0.02)
	}
	known(t, "level of T1", p.Level, 53+zeroCelsius, 1e-9)
}

// wave lets the lump follow on and off times for 50 periods of 120 s, after
// which the slowest mode (296 s) has died away to 1e-8.
func wave(s *spec.Scenario, lump int, on, off float64) *spec.Scenario {
	s.Work = []spec.Work{{Name: "wave", On: spec.Some(on), Off: spec.Some(off), Repeat: forever}}
	s.Lumps[lump].Work = "wave"
	s.Duration = spec.Some(6000)
	s.Record.Every = spec.Some(0.1)
	return s
}

// Periodic steady state of one node: Tmax = R P (1-e^(-ton/tau)) /
// (1-e^(-period/tau)), Tmin = Tmax e^(-toff/tau).
func TestSquareWaveOfOneNode(t *testing.T) {
	for _, c := range []struct{ on, off, high, low float64 }{{60, 60, 16.659842, 13.340158}, {30, 90, 8.792219, 6.299900}} {
		r := run(t, wave(oneNode(300, 1e-5), 0, c.on, c.off))
		last := r.Phases[len(r.Phases)-1]
		near(t, "highest", last.Begin-20-zeroCelsius, c.high, 1e-4)
		near(t, "lowest", last.End-20-zeroCelsius, c.low, 1e-4)
		near(t, "peak of the last pulse", r.Phases[len(r.Phases)-2].Peak-20-zeroCelsius, c.high, 1e-4)
		near(t, "time of that peak", r.Phases[len(r.Phases)-2].PeakAt, 6000-c.off, 1e-6)
		if len(r.Phases) != 100 {
			t.Errorf("%d phases, want 100", len(r.Phases))
		}
	}
}

// Periodic steady state of two nodes at 60 s on, 60 s off: sums over both
// exponentials at the switch instants; the mass goes on warming for 10.9 s
// after each switch. Computed independently in double precision.
func TestSquareWaveOfTwoNodes(t *testing.T) {
	r := run(t, wave(twoNodes(), 0, 60, 60))
	off, on := r.Phases[len(r.Phases)-1], r.Phases[len(r.Phases)-2]
	const room = 20 + zeroCelsius
	near(t, "T2 at the end of on", off.Begin-room, 9.420188, 1e-4)
	near(t, "T2 at the end of off", off.End-room, 8.579812, 1e-4)
	near(t, "highest T2", off.Peak-room, 9.551235, 1e-4)
	near(t, "its time after the switch", off.PeakAt-off.From, 10.9, 0.06)
	lowest, when, sum, n := math.Inf(1), 0.0, 0.0, 0
	times, mass, chip := r.Trace.Floats(r.Trace.Col("time_s")), r.Trace.Floats(r.Trace.Col("mass_c")), r.Trace.Floats(r.Trace.Col("chip_c"))
	for i, time := range times {
		if time >= on.From && time < off.To {
			sum += chip[i] - 20
			n++
			if mass[i] < lowest {
				lowest, when = mass[i], time
			}
		}
	}
	near(t, "lowest T2", lowest-20, 8.448765, 1e-4)
	near(t, "its time after the switch", when-on.From, 10.9, 0.11)
	near(t, "mean T1", sum/float64(n), 16.5, 1e-3)
	near(t, "T1 at the end of on", at(t, r.Trace, "chip_c", off.From)-20, 23.304135, 1e-4)
	near(t, "T1 at the end of off", at(t, r.Trace, "chip_c", off.To)-20, 9.695865, 1e-4)
}

// A ladder of three masses has the time constants of its Foster form (Cauer R
// 0.1, 0.5, 1.2 K/W, C 0.3, 0.8, 2 J/K from the junction; roots of the
// characteristic polynomial, computed independently), and Zth is the sum of
// its exponentials.
func TestCauerLadder(t *testing.T) {
	s := base(20)
	s.Lumps = []spec.Lump{heated("a", 0.3, 10), lump("b", 0.8), lump("c", 2)}
	s.Links = []spec.Link{conduct("a", "b", 1/0.1), conduct("b", "c", 1/0.5), conduct("c", "ambient", 1/1.2)}
	s.Duration, s.Record.Every, s.Solver.Tolerance = spec.Some(30), spec.Some(0.1), spec.Some(1e-6)
	r := run(t, s)
	taus, rs := []float64{3.93801938, 0.34050260, 0.02147802}, []float64{1.54750524, 0.20208871, 0.05040605}
	for k, tau := range taus {
		near(t, "time constant", r.Modes[k].Tau, tau, 1e-8)
	}
	for _, time := range []float64{0.1, 0.5, 1, 5, 30} {
		zth := 0.0
		for k := range taus {
			zth -= rs[k] * math.Expm1(-time/taus[k])
		}
		near(t, fmt.Sprintf("T after %g s", time), at(t, r.Trace, "a_c", time)-20, 10*zth, 1e-4)
	}
}

// tanks is n equal tanks in series, one litre together, through which a litre
// a minute of a constant fluid runs from a bath 10 K warmer.
func tanks(n int) *spec.Scenario {
	s := base(20)
	s.Coolant = spec.Coolant{Fluid: "constant", Density: spec.Some(1000), SpecificHeat: spec.Some(4180)}
	s.Lumps = []spec.Lump{{Name: "bath", HeldAt: spec.Some(30 + zeroCelsius)}}
	from := "bath"
	for k := range n {
		name := fmt.Sprintf("tank_%d", k+1)
		s.Lumps = append(s.Lumps, pool(name, 1000/float64(n)))
		s.Links = append(s.Links, flow(from, name, 1))
		from = name
	}
	s.Links = append(s.Links, flow(from, "ambient", 1))
	s.Duration, s.Solver.Tolerance = spec.Some(90), spec.Some(1e-5)
	return s
}

// N tanks in series answer a step with 1 - e^(-N th) sum (N th)^k/k!, th = t q/V
// (Levenspiel 1999, Chemical Reaction Engineering, ch. 14; numbers computed
// independently).
func TestTanksInSeries(t *testing.T) {
	for _, c := range []struct {
		n    int
		want [3]float64
	}{
		{1, [3]float64{0.393469, 0.632121, 0.776870}}, {5, [3]float64{0.108822, 0.559507, 0.867938}},
		{20, [3]float64{0.003454, 0.529743, 0.978127}}, {50, [3]float64{0.000007, 0.518808, 0.999096}},
	} {
		r := run(t, tanks(c.n))
		for i, time := range []float64{30, 60, 90} {
			got := (at(t, r.Trace, fmt.Sprintf("tank_%d_c", c.n), time) - 20) / 10
			near(t, fmt.Sprintf("%d tanks after %g s", c.n, time), got, c.want[i], 1e-5)
		}
	}
}

// What the bath gives and the room does not get stays in the tanks: m c times
// their warming.
func TestTransportKeepsItsEnergy(t *testing.T) {
	r := run(t, tanks(5))
	_, _, stored := r.Totals()
	sum := 0.0
	for k := range 5 {
		sum += 0.2 * 4180 * (at(t, r.Trace, fmt.Sprintf("tank_%d_c", k+1), 90) - 20)
	}
	near(t, "stored", stored, sum, 1e-9*sum)
	if len(r.Ledger.In) != 0 {
		t.Errorf("released by sources: %v", r.Ledger.In)
	}
}

// The error falls with the tolerance, and stays below a few times of it.
func TestErrorFallsWithTheTolerance(t *testing.T) {
	exact := run(t, withTolerance(1e-9))
	previous := math.Inf(1)
	for _, tolerance := range []float64{1e-2, 1e-3, 1e-4, 1e-5, 1e-6} {
		got := largestError(t, run(t, withTolerance(tolerance)).Trace, exact.Trace)
		if got > 3*tolerance || got > previous/3 {
			t.Errorf("at a tolerance of %g K the error is %g K, after %g K at ten times as much", tolerance, got, previous)
		}
		previous = got
	}
}

func withTolerance(tolerance float64) *spec.Scenario {
	s := machineOfParts(sustained())
	s.Duration = spec.Some(2400)
	s.Solver.Tolerance = spec.Some(tolerance)
	return s
}

// The default tolerance keeps a machine under bursts within its 0.2 mK at
// every row of every lump, whatever it is filled with.
func TestDefaultTolerance(t *testing.T) {
	for _, c := range []spec.Coolant{{}, {Fluid: "propylene glycol", VolumeShare: spec.Some(0.5)}} {
		for _, steps := range [][]spec.Step{bursts(2, 30), sustained()} {
			s := machineOfParts(steps)
			s.Coolant = c
			s.Ambient.Temperature = spec.Some(12 + zeroCelsius) // cold: where the specific heat changes most
			s.Duration = spec.Some(600)
			tight := s.Clone()
			tight.Solver.Tolerance = spec.Some(1e-8)
			if got := largestError(t, run(t, s).Trace, run(t, tight).Trace); got > 2e-4 {
				t.Errorf("%q: error %g K", c.Fluid, got)
			}
		}
	}
}
