package sim_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"soakledger/sim"
	"soakledger/sim/control"
	"soakledger/sim/spec"
)

// lone is a die of 80 J/K (its spreader, 10 mJ/K, counted) that cools to a room of 25 degC.
const lone = `
ambient: 25 degC
chips:
  - {name: cpu, power: %s, die_capacity: 79.99 J/K, spreader_capacity: 0.01 J/K, die_to_plate: 0.01 K/W, %s}
links: [{name: out, from: cpu.die, to: ambient, conductance: 0.25 K/W}]
duration: %s
record: {every: 100 ms, resolution: 0 mK}
solver: {tolerance: 1e-6 K}
`

// A throttle with two levels goes to and fro with t_heat = tau ln[(Ta + R Ph - Tl) / (Ta + R
// Ph - Th)] and t_cool = tau ln[(Th - Ta - R Pl) / (Tl - Ta - R Pl)]: 8.109302 s and 5.753641
// s, duty 0.584963, mean 270.1955 W (derived, computed independently). A share of 62.5 % of
// the 320 W is the same as 200 W.
func TestThrottleGoesToAndFro(t *testing.T) {
	const heat, cool, first = 8.109302, 5.753641, 41.588831 // 20 ln 8
	for _, to := range []string{"200 W", "62.5 %"} {
		r := run(t, stated(t, fmt.Sprintf(lone, "320 W", "throttle: {at: 95 degC, release: 90 degC, to: "+to+"}", "600 s")))
		near(t, "first cut", r.Events[0].Time, first, 1e-5)
		for i := 1; i < len(r.Events); i++ {
			want := []float64{heat, cool}[i%2]
			near(t, fmt.Sprintf("%s after %g s", r.Events[i].Text, r.Events[i].Time), r.Events[i].Time-r.Events[i-1].Time, want, 1e-5)
		}
		if want := 1 + 2*int(math.Floor((600-first)/(heat+cool))); len(r.Events) != want && len(r.Events) != want+1 {
			t.Errorf("%d events, want %d", len(r.Events), want)
		}
		cycle := func(k int) float64 { return r.Events[2*k].Time } // the k-th cut
		in := func(time float64) float64 { return energyAt(t, r, time) }
		const cycles = 40
		mean := (in(cycle(cycles)) - in(cycle(0))) / (cycle(cycles) - cycle(0))
		near(t, "mean power", mean, 270.1955, 2e-4)
		near(t, "duty", (mean-200)/120, 0.584963, 2e-6)
		p := r.Protections[0]
		near(t, "first", p.First, first, 1e-5)
		near(t, "work lost", p.Lost, 120*p.Held, 1e-9*p.Lost)
		near(t, "work lost and done", p.Lost+total(r), 320*600, 1e-12*320*600)
		near(t, "share lost", p.Share, p.Lost/(320*600), 1e-12)
		if r.Phases[0].Level.OK() || !strings.Contains(r.Phases[0].Level.Why, "throttles at 95 degC before it settles") {
			t.Errorf("level %+v", r.Phases[0].Level)
		}
	}
}

// energyAt returns the energy released up to a time (J) from the trace, between two of
// whose rows power may jump: then from the row before it and the power there.
func energyAt(t *testing.T, r *sim.Result, time float64) float64 {
	x := columns(t, r, "time_s", "energy_in_j", "cpu_power_w")
	row := int(math.Floor(time * 10))
	return x[1][row] + x[2][row]*(time-x[0][row])
}

// The level of a leakage that grows with temperature is where T = Ta + R (P0 + L(T)), found
// by Lambert's W and independently computed for P0 250 W, L0 30 W at 60 degC, 2 %/K, room
// 25 degC: a run from the room arrives there, and its level says so before. At 0.3 K/W there
// is none, and the die leaves its range. In linear form, 1.5 %/K and 0.15 K/W, it is
// 67.506702 degC, and the time constant is 1.072386 times as long.
func TestLevelOfALeakage(t *testing.T) {
	const leaky = "leakage: {power: 30 W, at: 60 degC, growth: 2 %/K}"
	for _, c := range []struct{ resistance, want float64 }{{0.1, 52.586600}, {0.15, 67.754985}, {0.2, 84.865816}, {0.25, 106.514229}} {
		r := run(t, stated(t, fmt.Sprintf(lone, "250 W", leaky, "1800 s"), fmt.Sprintf("out.conductance=%g K/W", c.resistance)))
		what := fmt.Sprintf("at %g K/W", c.resistance)
		near(t, what, columns(t, r, "cpu_die_c")[0][18000], c.want, 2e-6)
		known(t, what, r.Phases[0].Level, c.want+zeroCelsius, 1e-6)
		leakage := 30 * math.Exp(0.02*(c.want-60))
		near(t, what+": slowest time constant", r.Modes[0].Tau, 80*c.resistance/(1-c.resistance*0.02*leakage), 1e-3*r.Modes[0].Tau)
	}
	r := run(t, stated(t, fmt.Sprintf(lone, "250 W", leaky, "1800 s"), "out.conductance=0.3 K/W"))
	if r.Status != sim.LeftRange || r.Phases[0].Level.OK() || !strings.HasPrefix(r.Reason, "cpu.die went above") {
		t.Errorf("at 0.3 K/W: %s, %s, level %+v", r.Status, r.Reason, r.Phases[0].Level)
	}
	linear := "leakage: {power: 30 W, at: 60 degC, growth: 1.5 %/K, form: linear}"
	r = run(t, stated(t, fmt.Sprintf(lone, "250 W", linear, "1800 s"), "out.conductance=0.15 K/W"))
	near(t, "linear", columns(t, r, "cpu_die_c")[0][18000], 67.506702, 2e-6)
	near(t, "linear: slowest time constant", r.Modes[0].Tau, 1.072386*80*0.15, 1e-3)
	near(t, "linear: ledger", r.Ledger.Relative(), 0, 1e-12)
}

// From 20 W the average of 253 W meets 125 W after t = tau ln((P2-P0)/(P2-P1)): 33.5 s with 56
// s, 16.8 s with 28 s; at every tolerance the same, since the power is known exactly.
func TestBoostTimes(t *testing.T) {
	for _, c := range []struct{ tau, told float64 }{{56, 33.5}, {28, 16.8}} {
		for _, tolerance := range []float64{2e-2, 2e-4, 1e-6} {
			s := stated(t, fmt.Sprintf(lone, "253 W", fmt.Sprintf("work: w, limits: [{long: 125 W, short: 253 W, time: %g s}]", c.tau), "200 s")+`
start: level
work: [{name: w, steps: [{for: 100 s, power: 20 W}, {for: 100 s, power: 253 W}]}]
`)
			s.Solver.Tolerance = spec.Some(tolerance)
			r := run(t, s)
			if len(r.Events) != 1 || r.Events[0].Kind != "limit" {
				t.Fatalf("events %v", r.Events)
			}
			want := c.tau * math.Log(233.0/128)
			near(t, "what is told", want, c.told, 0.05)
			near(t, fmt.Sprintf("boost at %g K", tolerance), r.Events[0].Time-100, want, 1e-9)
			near(t, "work lost", r.Protections[0].Lost, (100-want)*128, 1e-9*100*128)
			x := columns(t, r, "cpu_power_w")[0]
			near(t, "power before", x[1000+int(10*want)], 253, 0)
			near(t, "power after", x[1000+int(10*want)+1], 125, 0)
		}
	}
}

// A chip that leaks is capped with its leakage: at the long limit both together are that
// limit, once the die has settled, but for the 0.02 W below which nothing is set anew.
func TestLimitCountsTheLeakage(t *testing.T) {
	s := stated(t, fmt.Sprintf(lone, "253 W", "leakage: {power: 30 W, at: 60 degC, growth: 2 %/K}, limits: [{long: 125 W, time: 10 s}]", "1200 s"))
	r := run(t, s)
	x := columns(t, r, "cpu_die_c", "energy_in_j")
	last := len(x[0]) - 1
	near(t, "power with leakage", (x[1][last]-x[1][last-100])/10, 125, 0.02)
	near(t, "die", x[0][last], 25+0.25*125, 0.25*0.02)
}

// A throttle whose hysteresis is narrower than what one switch does at once ends the run
// with a message that names the chip, the times and the cause, and with its trace.
func TestChatterEndsTheRun(t *testing.T) {
	s := stated(t, fmt.Sprintf(lone, "320 W", "throttle: {at: 95 degC, release: 94.999999 degC, to: 200 W}", "600 s"))
	r, err := attempt(s, sim.Settings{})
	if err == nil || r == nil {
		t.Fatalf("result %v, error %v", r, err)
	}
	for _, want := range []string{"protecting cpu", "a switch chatters", fmt.Sprintf("%d times from 41.5888", control.MostSwitches+1), "hysteresis"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not say %q", err, want)
		}
	}
	if r.Status != sim.Failed || r.Trace.Rows() < 400 || r.Duration < 41.58 || r.Duration > 41.6 {
		t.Errorf("%s after %g s with %d rows", r.Status, r.Duration, r.Trace.Rows())
	}
}

// stopped is a block of 263 J/K, plate and the coolant in it, on a chip of next to no heat
// capacity, whose pump stops after 10 s at the level.
const stopped = `
ambient: 22 degC
chips:
  - {name: cpu, power: 250 W, die_capacity: 0.1 J/K, spreader_capacity: 0.4 J/K, die_to_plate: 0.05 K/W}
loop:
  - {part: reservoir, name: reservoir, class: typical}
  - {part: pump, name: pump, class: large, speed: 60 %}
  - {part: block, name: cpu_block, cools: cpu, plate_capacity: 96.2 J/K, empty: 250 g, full: 290 g}
  - {part: radiator, name: front, size: 360 mm, thickness: 30 mm, fins_per_inch: 16, fans: 1000 rpm}
start: level
duration: 40 s
record: {every: 100 ms, resolution: 0 mK}
faults: [{name: stop, at: 10 s, of: pump, speed: 0 %}]
`

// The pump stops on 250 W, and plate and trapped coolant, 263 J/K, warm by 0.95 K/s as a
// whole: all of the heat stays in them. With a usual chip what chip and block store
// together is the same heat.
func TestPumpStopWarmsTheBlock(t *testing.T) {
	for _, c := range []struct {
		what  string
		set   []string
		nodes []string
	}{
		{"plate and coolant", nil, []string{"cpu_block.plate", "cpu_block.coolant"}},
		{"plate, coolant and a usual chip", []string{"cpu.die_capacity=8 J/K", "cpu.spreader_capacity=60 J/K"}, []string{"cpu_block.plate", "cpu_block.coolant", "cpu.die", "cpu.spreader"}},
	} {
		r := run(t, stated(t, stopped, c.set...))
		capacity, stored := 0.0, 0.0
		for i, name := range c.nodes {
			n := r.Plan.Find(name)[0]
			x := columns(t, r, n.Column+"_c")[0]
			at := r.Plan.Network.Capacity(n.Lump, x[125]+zeroCelsius)
			stored += at * (x[150] - x[100])
			capacity += at
			if i == 1 {
				near(t, "plate and trapped coolant, J/K", capacity, 263, 0.5)
			}
		}
		rate := stored / capacity / 5
		near(t, c.what+": heat that stays, W", stored/5, 250, 0.01*250)
		if len(c.nodes) == 2 {
			near(t, "mean of both, K/s", rate, 0.95, 0.03*0.95)
		}
		flow := columns(t, r, "flow_l_min")[0]
		if !(flow[99] > 1) || flow[100] != 0 || r.Events[0].Time != 10 {
			t.Errorf("the flow goes from %g to %g L/min; %v", flow[99], flow[100], r.Events)
		}
		die := columns(t, r, "cpu_die_c")[0]
		between(t, "the die in 5 s, K", die[150]-die[100], 2, 15) // on top of the mean: the lost film
	}
}
