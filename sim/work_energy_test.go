package sim_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// worked is one node of 300 W and an idle power of 20 W under a pattern.
func worked(w spec.Work, duration float64) *spec.Scenario {
	s := oneNode(300, 1e-4)
	s.Lumps[0].Idle, s.Lumps[0].Work = spec.Some(20), w.Name
	s.Work = []spec.Work{w}
	s.Duration, s.Record.Every = spec.Some(duration), spec.Some(1)
	return s
}

// level and ramp are steps of a length (s) and powers (W).
func level(length, power float64) spec.Step {
	return spec.Step{For: spec.Some(length), Power: watts(power)}
}

func ramp(length, from, to float64) spec.Step {
	return spec.Step{For: spec.Some(length), Power: watts(from), To: watts(to)}
}

// released returns the energy that a source has released in a run, J.
func released(t testing.TB, r *sim.Result, name string) float64 {
	t.Helper()
	for _, e := range r.Ledger.In {
		if e.Name == name {
			return e.Energy
		}
	}
	t.Fatalf("no source %s in %v", name, r.Ledger.In)
	return 0
}

// The energy of a run is that of its script, added up by hand: levels, ramps, breaks
// that come at odd times, repeats, rests at idle, and a run that ends inside of a ramp.
func TestEnergyOfScripts(t *testing.T) {
	session := spec.Session{Rounds: spec.Some(3), Round: spec.Some(100.5), Loading: spec.Some(7.25), Lobby: spec.Some(30), Break: spec.Some(61), BreakAfter: spec.Some(2),
		RoundPower: share(0.9), LoadingPower: share(0.4), LobbyPower: watts(33), BreakPower: watts(15)}
	for _, c := range []struct {
		what     string
		work     spec.Work
		duration float64
		want     float64 // J
	}{
		{"a level, then idle", spec.Work{Steps: []spec.Step{level(100.1, 250)}}, 300, 100.1*250 + 199.9*20},
		{"ramps", spec.Work{Steps: []spec.Step{ramp(60, 210, 250), level(30.3, 80), ramp(10, 80, 0)}}, 200, 60*230 + 30.3*80 + 10*40 + (200-100.3)*20},
		{"ramps repeated", spec.Work{Steps: []spec.Step{ramp(0.7, 0, 300), ramp(0.7, 300, 0)}, Repeat: spec.Repeat{Count: 100}}, 200, 100*1.4*150 + 60*20},
		{"cut inside of a ramp", spec.Work{Steps: []spec.Step{ramp(100, 0, 300)}}, 50, 50 * 75},
		{"cut inside of a second ramp", spec.Work{Steps: []spec.Step{ramp(10, 0, 300), ramp(100, 300, 0)}}, 60, 1500 + 50*(300+150)/2},
		{"shares", spec.Work{Steps: []spec.Step{{For: spec.Some(10), Power: share(0.8), To: share(0.2)}}}, 100, 10*150 + 90*20},
		{"on and off", spec.Work{On: spec.Some(7.3), Off: spec.Some(2.1), Repeat: forever}, 94, 10 * (7.3*300 + 2.1*20)},
		{"a session", spec.Work{Session: session}, 600, 3*(100.5*270+7.25*120+30*33) + 61*15 + (600-3*137.75-61)*20},
	} {
		c.work.Name = "w"
		r := run(t, worked(c.work, c.duration))
		near(t, c.what, released(t, r, "block"), c.want, 1e-12*c.want)
		near(t, c.what+": its ledger leaves", r.Ledger.Relative(), 0, 1e-12)
		in := r.Trace.Floats(r.Trace.Col("energy_in_j"))
		near(t, c.what+": the trace's energy", in[len(in)-1], c.want, 1e-12*c.want)
	}
}

// A companion of equal mean, flat or pulsed, releases the energy of what it is the mean
// of, to the end of the cycle.
func TestEnergyOfCompanions(t *testing.T) {
	bursts := spec.Work{Name: "bursts", Bursts: spec.Bursts{Seed: spec.Some(7), For: spec.Some(900), Burst: pair(2, 30), Pause: pair(5, 40), High: pair(0.6, 1), Low: pair(0, 0.2)}}
	want := released(t, run(t, worked(bursts, 900)), "block")
	for _, c := range []spec.Work{
		{MeanOf: "bursts"},
		{MeanOf: "bursts", On: spec.Some(10), Off: spec.Some(20)},
		{MeanOf: "bursts", On: spec.Some(7), Off: spec.Some(11), Ratio: spec.Some(10)},
	} {
		c.Name = "companion"
		s := worked(c, 900)
		s.Work = append(s.Work, bursts)
		r := run(t, s)
		near(t, fmt.Sprintf("the companion of %g s bursts", c.On.Value), released(t, r, "block"), want, 1e-12*want)
		most := 0.0
		for _, p := range r.Trace.Floats(r.Trace.Col("block_power_w")) {
			most = math.Max(most, p)
		}
		if flat := want / 900; !c.On.Set && math.Abs(most-flat) > 1e-9 || c.On.Set && most < 1.5*flat {
			t.Errorf("a companion of %g s bursts draws %g W at most, the mean is %g W", c.On.Value, most, flat)
		}
	}
}

// pair is a least and a largest value.
func pair(low, high float64) []spec.Number { return []spec.Number{spec.Some(low), spec.Some(high)} }

// Bursts are within their bounds, and their energy is that of the trace's levels over
// the lengths between the trace's jumps, which a fine trace finds to its interval.
func TestEnergyOfBursts(t *testing.T) {
	w := spec.Work{Name: "w", Bursts: spec.Bursts{Seed: spec.Some(3), For: spec.Some(120), Burst: pair(2, 5), Pause: pair(3, 8), High: pair(0.5, 1), Low: pair(0, 0.1)}}
	s := worked(w, 120)
	s.Record.Every = spec.Some(1e-3)
	r := run(t, s)
	power := r.Trace.Floats(r.Trace.Col("block_power_w"))
	sum, jumps := 0.0, 0
	for i, p := range power[:len(power)-1] {
		sum += 1e-3 * p
		if i > 0 && p != power[i-1] {
			jumps++
		}
		if high, low := p >= 20+0.5*280, p <= 20+0.1*280; !high && !low || p > 300 || p < 20 {
			t.Fatalf("%g W after %g s are neither a burst nor a pause", p, 1e-3*float64(i))
		}
	}
	near(t, "energy", released(t, r, "block"), sum, 1e-3*300*float64(jumps)) // each jump is found to a row
	if jumps < 14 || jumps > 48 {
		t.Errorf("%d jumps in 120 s of bursts of 2 to 5 s and pauses of 3 to 8 s", jumps)
	}
	again := run(t, s)
	if released(t, again, "block") != released(t, r, "block") {
		t.Error("the same seed gives other bursts")
	}
	s.Work[0].Bursts.Seed = spec.Some(4)
	if released(t, run(t, s), "block") == released(t, r, "block") {
		t.Error("another seed gives the same bursts")
	}
}

// At a jump a row of the trace holds the power that begins there, and a ramp is exact
// at every row.
func TestPowerInTheTrace(t *testing.T) {
	s := worked(spec.Work{Name: "w", Steps: []spec.Step{level(10, 100), ramp(8, 100, 260), level(2.5, 50)}}, 30)
	s.Record.Every = spec.Some(0.5)
	r := run(t, s)
	for _, c := range []struct{ time, want float64 }{
		{0, 100}, {9.5, 100}, {10, 100}, {10.5, 110}, {14, 180}, {17.5, 250}, {18, 50}, {20, 50}, {20.5, 20}, {30, 20},
	} {
		near(t, fmt.Sprintf("power after %g s", c.time), at(t, r.Trace, "block_power_w", c.time), c.want, 1e-11)
	}
	near(t, "energy after 14 s", at(t, r.Trace, "energy_in_j", 14), 1000+4*140, 1e-9)
	near(t, "energy after 18 s", at(t, r.Trace, "energy_in_j", 18), 1000+8*180, 1e-9)
}

// A ramp heats one node along T = (a/G)(t - tau (1 - e^(-t/tau))), a in W/s (superposition of
// the step's response, Bergman et al. 2011, eq. 5.25).
func TestRampOfOneNode(t *testing.T) {
	s := worked(spec.Work{Name: "w", Steps: []spec.Step{ramp(900, 0, 300)}}, 900)
	s.Solver.Tolerance = spec.Some(1e-6)
	r := run(t, s)
	for _, time := range []float64{30, 270, 600, 900} {
		want := 300.0 / 900 / 10 * (time + 270*math.Expm1(-time/270))
		near(t, fmt.Sprintf("rise after %g s", time), at(t, r.Trace, "block_c", time)-20, want, 2e-5)
	}
	if len(r.Phases) != 1 || r.Phases[0].Level.OK() {
		t.Errorf("%d phases of a ramp, a level %v", len(r.Phases), r.Phases[0].Level)
	}
	near(t, "power of the phase", r.Phases[0].Power, 150, 1e-12)
}
