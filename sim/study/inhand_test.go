package study

import (
	"context"
	"math"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

func TestInHandCombines(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	at := func(times ...float64) (all []sim.InHand) {
		for _, x := range times {
			all = append(all, sim.InHand{After: x, Name: "a mark"})
		}
		return all
	}
	for _, c := range []struct {
		name              string
		base              float64
		found             []float64
		shortest, longest float64
		failed            int
	}{
		{"nothing varied", 100, nil, 100, 100, 0},
		{"one figure", 100, []float64{80, 125}, 80, 125, 0},
		{"both ends sooner", 100, []float64{80, 50}, 50, 100, 0},
		{"two figures add as squares of logarithms", 100, []float64{100 / math.Exp(.3), 100, 100, 100 / math.Exp(.4)}, 100 / math.Exp(.5), 100, 0},
		{"one end never", 100, []float64{90, inf}, 90, inf, 0},
		{"never, but for one end", inf, []float64{inf, 40, 60, inf}, 40, inf, 0},
		{"never", inf, []float64{inf, inf}, inf, inf, 0},
		{"one cannot run", 100, []float64{nan, 90}, 90, 100, 1},
		{"there already", 0, []float64{0, 0}, 0, 0, 0},
	} {
		h := newInHand(at(c.base)[0], at(c.found...))
		if !same(h.Shortest, c.shortest) || !same(h.Longest, c.longest) || h.Failed != c.failed || h.Expected != c.base {
			t.Errorf("%s: %+v, want %g to %g", c.name, h, c.shortest, c.longest)
		}
		if h.Shortest > h.Expected || h.Longest < h.Expected {
			t.Errorf("%s: %g lies outside %g to %g", c.name, h.Expected, h.Shortest, h.Longest)
		}
	}
}

func same(a, b float64) bool { return a == b || math.Abs(a-b) < 1e-9*math.Abs(b) }

// With one assumed figure that acts in a known way the range is that of the closed
// form: a lump of capacity C under a power P, fault at once, so that t = C dT / P.
func TestInHandOfALump(t *testing.T) {
	s := &spec.Scenario{Title: "a chip alone"}
	s.Ambient.Temperature = spec.Some(295.15)
	s.Chips = []spec.Chip{{Name: "cpu", Power: spec.Power{Watts: spec.Some(50)}, DieToPlate: spec.Some(.001), DieShare: spec.Some(.5), DieCapacity: spec.Some(1),
		SpreaderCapacity: spec.Some(1000), Throttle: spec.Throttle{At: spec.Some(345.15), Release: spec.Some(335.15)}}}
	s.Lumps = []spec.Lump{{Name: "sink", Capacity: spec.Some(1e5)}}
	s.Links = []spec.Link{{From: "cpu.spreader", To: "sink", Conductance: spec.Some(1e-3)}, {From: "sink", To: "ambient", Conductance: spec.Some(1e-3)}}
	s.Faults = []spec.Fault{{Name: "f", At: spec.Some(0), Ambient: spec.Some(1)}}
	s.Duration = spec.Some(3600)
	s = s.Named()
	run, err := sim.New(s, sim.Settings{NoTrace: true})
	if err != nil {
		t.Fatal(err)
	}
	r, err := run.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	h, err := InHandOf(context.Background(), s, r, 1)
	if err != nil {
		t.Fatal(err)
	}
	want := 1001 * 50 / 50.
	if math.Abs(h.Expected-want) > 2 {
		t.Errorf("time in hand %g s, want about %g", h.Expected, want)
	}
	if h.Shortest > h.Expected || h.Expected > h.Longest || h.Name != "cpu throttles at 72 degC" {
		t.Errorf("%+v", h)
	}
	// Nothing else assumed matters here: the shutdown lies above.
	if h.Longest-h.Shortest > .01*h.Expected {
		t.Errorf("range %g to %g s with terms %+v", h.Shortest, h.Longest, h.Terms)
	}
	s.Chips[0].SpreaderCapacity = spec.Number{}
	run, err = sim.New(s, sim.Settings{NoTrace: true})
	if err != nil {
		t.Fatal(err)
	}
	if r, err = run.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if h, err = InHandOf(context.Background(), s, r, 2); err != nil {
		t.Fatal(err)
	}
	term := h.Terms[0]
	if term.Path != "cpu.spreader_capacity" {
		t.Fatalf("largest term %+v", term)
	}
	// The time goes as the capacity, but for the little that leaves.
	if low := (term.Low + 1) / (term.Value + 1) * h.Expected; math.Abs(term.AtLow-low) > .01*low {
		t.Errorf("at the low end %g s, want %g", term.AtLow, low)
	}
	if math.Abs(h.Shortest-term.AtLow) > .02*h.Shortest {
		t.Errorf("shortest %g s, the one figure gives %g", h.Shortest, term.AtLow)
	}
}
