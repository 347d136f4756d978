package metric_test

import (
	"math"
	"testing"

	"soakledger/sim/metric"
)

const notReached = "not reached in this phase"

// Every figure without a value says why.
func TestReasons(t *testing.T) {
	rise := polyline([2]float64{0, 300}, [2]float64{400, 305})
	marked := metric.Settings{Tail: 100, Marks: []float64{303, 320}}

	p := phaseOf(marked, levelAt(310), "", rise)
	missing(t, "t63 of a phase half way", p.Response[0], notReached)
	missing(t, "within 1 K", p.Within[0], notReached)
	missing(t, "mark above", p.Marks[1], notReached)
	missing(t, "shortfall after 10 min of a phase of 400 s", p.Shortfall[1], "the phase is shorter")
	missing(t, "coolest without coolant", p.Coolest, "the scenario has no coolant")
	missing(t, "hottest without coolant", p.Hottest, "the scenario has no coolant")

	const why = "room is tied to nothing"
	for name, level := range map[string]metric.Level{
		"one lump": {State: []float64{math.NaN()}, Why: why}, "all": {Why: why},
	} {
		p = phaseOf(metric.Settings{Tail: 100, Nodes: []int{0}, Coolant: []int{0}, Marks: []float64{303}}, level, "", rise)
		for what, f := range map[string]metric.Figure{
			"level": p.Level, "t63": p.Response[0], "within": p.Within[2], "shortfall": p.Shortfall[0], "still to come": p.StillToCome,
			"a node's level": p.Nodes[0].Level, "coolest": p.Coolest, "hottest": p.Hottest,
		} {
			missing(t, name+" without a level: "+what, f, why)
		}
		is(t, "a mark needs no level", p.Marks[0], 240, 1e-9)
		is(t, "a tail needs no level", p.TailMean, 304.375, 1e-9)
		if !p.Heating() || p.Change() != 5 {
			t.Errorf("without a level the end decides: heating %v by %g K", p.Heating(), p.Change())
		}
	}

	p = phaseOf(plain, levelAt(300.009), "", rise)
	missing(t, "t63 of a phase that begins at its level", p.Response[0], "the phase begins within 0.01 K of its level, so there is nothing to time")
	missing(t, "within 1 K of a phase that drifts off", p.Within[0], notReached)
}

// A phase that is cut keeps what has happened and misses, with the reason of
// the cut, what its rest would have decided.
func TestCutShort(t *testing.T) {
	const why = "res.coolant went above 95.0 degC"
	s := metric.Settings{Tail: 100, Marks: []float64{303, 320}, Nodes: []int{0}}
	p := phaseOf(s, levelAt(308.2), why, polyline([2]float64{0, 300}, [2]float64{400, 308}))
	is(t, "t63 from before", p.Response[0], (1-1/math.E)*8.2*50, 1e-9)
	is(t, "a mark from before", p.Marks[0], 150, 1e-9)
	is(t, "shortfall from before", p.Shortfall[0], 2.2, 1e-9)
	is(t, "still to come where it ended", p.StillToCome, 0.2, 1e-9)
	is(t, "the level", p.Level, 308.2, 0)
	for what, f := range map[string]metric.Figure{
		"t99": p.Response[3], "settling, though it is inside now": p.Within[0], "settling": p.Within[2], "mark": p.Marks[1],
		"shortfall": p.Shortfall[1], "tail": p.TailMean, "its deviation": p.TailSD, "a node's tail": p.Nodes[0].TailMean, "a node's deviation": p.Nodes[0].TailSD,
	} {
		missing(t, what, f, why)
	}
	if p.To != 400 || p.End != 308 {
		t.Errorf("ends at %g s and %g K", p.To, p.End)
	}
}

// A phase of no length has no tail and has reached nothing.
func TestNoLength(t *testing.T) {
	c := metric.NewCollector(plain)
	c.Begin(50, 60, 0, []float64{300}, levelAt(310))
	p := c.Finish("")
	missing(t, "tail", p.TailMean, "the phase has no length")
	missing(t, "within", p.Within[0], notReached)
	is(t, "still to come", p.StillToCome, 10, 0)
	if p.From != 50 || p.To != 50 || p.Begin != 300 || p.End != 300 || p.Peak != 300 || p.PeakAt != 50 {
		t.Errorf("got %+v", p)
	}
}

// A collector's second phase knows nothing of its first.
func TestPhasesAreApart(t *testing.T) {
	c := metric.NewCollector(metric.Settings{Tail: 100, Nodes: []int{0}, Marks: []float64{303}})
	rise, still := polyline([2]float64{0, 300}, [2]float64{100, 310}), polyline([2]float64{100, 310}, [2]float64{200, 310})
	c.Begin(0, 100, 100, []float64{300}, levelAt(310))
	c.Add(rise[0])
	first := c.Finish("")
	c.Begin(100, 200, 100, []float64{310}, levelAt(310))
	c.Add(still[0])
	second := c.Finish("")
	is(t, "first mark", first.Marks[0], 30, 1e-9)
	missing(t, "second mark", second.Marks[0], notReached)
	is(t, "second tail", second.TailMean, 310, 1e-12)
	is(t, "second deviation", second.TailSD, 0, 1e-12)
	is(t, "second tail of the node", second.Nodes[0].TailMean, 310, 1e-12)
	is(t, "second settling", second.Within[2], 0, 0)
}

// Which phases the run's row shows.
func TestLargest(t *testing.T) {
	phase := func(begin, level, power float64) metric.Phase {
		return metric.Phase{Begin: begin, End: begin, Level: metric.Known(level), Power: power}
	}
	for _, c := range []struct {
		name             string
		phases           []metric.Phase
		heating, cooling int
	}{
		{"none", nil, -1, -1},
		{"warm and cool", []metric.Phase{phase(300, 310, 100), phase(310, 300, 0)}, 0, 1},
		{"the larger of two, the first cooling after it", []metric.Phase{phase(300, 305, 50), phase(305, 302, 10), phase(302, 310, 100), phase(310, 308, 90), phase(308, 300, 0)}, 2, 3},
		{"cooling before does not count", []metric.Phase{phase(310, 300, 0), phase(300, 310, 100)}, 1, -1},
		{"only cooling", []metric.Phase{phase(310, 300, 0)}, -1, -1},
		{"nothing on, level off by rounding", []metric.Phase{phase(300, 300+1e-9, 0)}, -1, -1},
		{"begins at its level under load, off by rounding", []metric.Phase{phase(310, 310-1e-9, 100), phase(310, 300, 0)}, 0, 1},
		{"rounding is no cooling", []metric.Phase{phase(300, 310, 100), phase(300, 300-1e-9, 100), phase(310, 300, 0)}, 0, 2},
		{"the first of equals", []metric.Phase{phase(300, 310, 100), phase(300, 310, 100)}, 0, -1},
	} {
		if h, k := metric.Largest(c.phases); h != c.heating || k != c.cooling {
			t.Errorf("%s: heating %d and cooling %d, want %d and %d", c.name, h, k, c.heating, c.cooling)
		}
	}
}
