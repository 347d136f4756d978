package sim_test

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// event returns the first event of a kind.
func event(t *testing.T, r *sim.Result, kind string) sim.Event {
	t.Helper()
	for _, e := range r.Events {
		if e.Kind == kind {
			return e
		}
	}
	t.Fatalf("no event of kind %s among %+v", kind, r.Events)
	return sim.Event{}
}

// A chip with a stated shutdown is off from there on, leakage and all; one whose
// shutdown was assumed is only told of.
func TestShutdown(t *testing.T) {
	s := faulty(spec.Fault{Of: "pump", Speed: spec.Some(0)})
	s.Record.Every = spec.Some(1)
	s.Duration = spec.Some(1800)
	s.Chips[0].Leakage = leak(8, 60+zeroCelsius, .02)
	s.Chips[0].Shutdown = spec.Some(90 + zeroCelsius)
	r := run(t, s)
	off := event(t, r, "shutdown")
	x := columns(t, r, "cpu_die_c", "cpu_power_w", "time_s", "cpu_requested_w", "energy_in_j", "front_fans_power_w")
	near(t, "hottest die", r.Highest[r.Plan.Chips[0].Die], 90+zeroCelsius, 1e-6)
	after := int(off.Time) + 2
	if x[1][after-3] != 180 || x[1][after] != 0 || x[3][after] != 180 {
		t.Errorf("power %g, then %g W of %g W", x[1][after-3], x[1][after], x[3][after])
	}
	near(t, "energy after it, of the fans alone", x[4][1700]-x[4][after], x[5][0]*float64(1700-after), 1e-6)
	near(t, "ledger", r.Ledger.Relative(), 0, 1e-10)
	p := r.Protections[0]
	near(t, "lost work", p.Lost, 180*(1800-off.Time), 1e-6*p.Lost)
	near(t, "time", p.Held, 1800-off.Time, 1e-9)
	if !p.Off || r.InHand().Name != "cpu shuts down at 90 degC" {
		t.Errorf("protection %+v, in hand %+v", p, r.InHand())
	}
	near(t, "time in hand", r.InHand().After, off.Time-300, 1e-9)

	s.Chips[0].Shutdown = spec.Number{}
	r = run(t, s)
	if e := event(t, r, "limit"); !strings.Contains(e.Text, "assumed, so it runs on") || len(r.Protections) != 0 {
		t.Errorf("event %+v, protections %+v", e, r.Protections)
	}
}

// sampleAt interpolates a column at a time.
func sampleAt(times, values []float64, at float64) float64 {
	i := 1
	for times[i] < at {
		i++
	}
	w := (at - times[i-1]) / (times[i] - times[i-1])
	return values[i-1] + w*(values[i]-values[i-1])
}

// The boost time left is that of the closed form, falls second by second while the
// chip boosts, and ends where the limit cuts it.
func TestBoostLeft(t *testing.T) {
	s := desktop(253, .6, 1000)
	s.Chips[0].Limits = []spec.Limit{{Long: spec.Some(125), Short: spec.Some(253), Time: spec.Some(56)}}
	s.Chips[0].Idle = spec.Some(20)
	s.Chips[0].Work = "w"
	s.Work = []spec.Work{{Name: "w", Steps: []spec.Step{{For: spec.Some(600), Power: watts(20)}, {For: spec.Some(200), Power: watts(253)}}}}
	s.Start.Rule = "level"
	s.Record.Every, s.Record.Resolution = spec.Some(1), spec.Some(0)
	r := run(t, s)
	x := columns(t, r, "cpu_boost_left_s", "cpu_power_w")
	want := 56 * math.Log(233./128)
	for i := range 33 {
		near(t, "boost left", x[0][600+i], want-float64(i), 1e-6)
	}
	near(t, "after it", x[0][640], 0, 0)
	cut := 0.0
	for _, e := range r.Events {
		if strings.Contains(e.Text, "limited") {
			cut = e.Time
		}
	}
	near(t, "end of the boost", cut-600, want, 1e-6)

	// A chip that is never asked for as much as it may draw boosts for longer.
	s.Work[0].Steps[1].Power = watts(200)
	x = columns(t, run(t, s), "cpu_boost_left_s")
	near(t, "boost left at 200 W", x[0][600], 56*math.Log(180./75), 1e-6)
}

// The coolant's own limit is told at its exact time, once, with the place.
func TestCoolantLimit(t *testing.T) {
	s := faulty(spec.Fault{Of: "front", Speed: spec.Some(0)})
	s.Record.Every = spec.Some(1)
	r := run(t, s)
	e := event(t, r, "coolant")
	hottest := 0.0
	for _, n := range r.Plan.Nodes {
		if r.Plan.Network.HoldsCoolant(n.Lump) {
			x := columns(t, r, n.Column+"_c", "time_s")
			hottest = math.Max(hottest, sampleAt(x[1], x[0], e.Time))
		}
	}
	near(t, "hottest coolant then", hottest, 60, 1e-3)
	count := 0
	for _, e := range r.Events {
		if e.Kind == "coolant" {
			count++
		}
	}
	if count != 1 || !strings.Contains(e.Text, "first at block.coolant") {
		t.Errorf("%d events, first %+v", count, e)
	}
}
