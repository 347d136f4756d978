package work_test

import (
	"math"
	"testing"

	"soakledger/sim/work"
)

// wave is a square wave of 100 W, on and off for so many seconds, that rests at 0 W.
func squareWave(t *testing.T, on, off float64, cycles int) work.Pattern {
	t.Helper()
	p, err := work.New([]work.Step{{For: on, Power: 100}, {For: off, Power: 0}}, cycles, 0)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// once is 70 W for so many seconds and then 5 W.
func once(t *testing.T, length float64) work.Pattern {
	t.Helper()
	p, err := work.New([]work.Step{{For: length, Power: 70}}, 1, 5)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// What repeats, and since when and until when, in timelines written out by hand.
func TestCycle(t *testing.T) {
	inf := math.Inf(1)
	wave := func(on, off float64, cycles int) work.Pattern { return squareWave(t, on, off, cycles) }
	flat, err := work.New([]work.Step{{For: 10, Power: 40}, {For: 20, Power: 40}}, 7, 3)
	if err != nil {
		t.Fatal(err)
	}
	type want struct{ from, to, length float64 }
	none := want{}
	for _, c := range []struct {
		what     string
		until    float64
		patterns []work.Pattern
		want     want
	}{
		{"for ever", inf, []work.Pattern{wave(30, 30, 0)}, want{0, inf, 60}},
		{"for ever, in a short run", 45, []work.Pattern{wave(30, 30, 0)}, want{0, 45, 60}},
		{"forty times", inf, []work.Pattern{wave(30, 30, 40)}, want{0, 2400, 60}},
		{"twice", inf, []work.Pattern{wave(30, 30, 2)}, want{0, 120, 60}},
		{"once", inf, []work.Pattern{wave(30, 30, 1)}, none},
		{"nothing", inf, []work.Pattern{work.Constant(8), {}}, none},
		{"one level over and over", inf, []work.Pattern{flat}, none},
		{"beside a constant", inf, []work.Pattern{work.Constant(8), wave(30, 30, 40)}, want{0, 2400, 60}},
		{"beside a level as long", inf, []work.Pattern{once(t, 2400), wave(30, 30, 40)}, want{0, 2400, 60}},
		{"beside a level that goes on", inf, []work.Pattern{once(t, 9000), wave(30, 30, 40)}, want{0, 2400, 60}},
		{"after a level", inf, []work.Pattern{once(t, 100), wave(30, 30, 40)}, want{100, 2400, 60}},
		{"after a level, too short", inf, []work.Pattern{once(t, 2300), wave(30, 30, 40)}, none},
		{"beside changes", inf, []work.Pattern{wave(100, 3000, 1), wave(30, 30, 40)}, none},
		{"a common multiple", inf, []work.Pattern{wave(40, 20, 0), wave(30, 60, 0)}, want{0, inf, 180}},
		{"none in common", inf, []work.Pattern{wave(40, math.Pi, 0), wave(30, 60, 0)}, none},
		{"the shorter rests", inf, []work.Pattern{wave(40, 20, 5), wave(30, 60, 0)}, want{300, inf, 90}},
		{"the shorter goes on as far as the run", 300, []work.Pattern{wave(40, 20, 5), wave(30, 60, 0)}, want{0, 300, 180}},
		{"twice in common is too long", inf, []work.Pattern{wave(40, 20, 5), wave(30, 70, 3)}, none},
		{"beside a level that turns later", inf, []work.Pattern{wave(3000, 100, 1), wave(30, 30, 40)}, want{0, 2400, 60}},
		{"ends that only round apart", inf, []work.Pattern{wave(0.1, 0.2, 10), wave(0.3, 0.3, 5)}, want{0, 3, 0.6}},
	} {
		got, ok := work.NewTimeline(c.patterns).Cycle(c.until)
		if ok != (c.want != none) {
			t.Errorf("%s: found %v", c.what, ok)
			continue
		}
		if ok && (math.Abs(got.From-c.want.from) > 1e-9 || got.To != c.want.to && math.Abs(got.To-c.want.to) > 1e-9 || math.Abs(got.Length-c.want.length) > 1e-9) {
			t.Errorf("%s: from %g to %g s every %g s, want %v", c.what, got.From, got.To, got.Length, c.want)
		}
	}
}

// Between From and To the load of a cycle is that of the timeline, and it goes on.
func TestLoadOfACycle(t *testing.T) {
	l := work.NewTimeline([]work.Pattern{once(t, 100), squareWave(t, 30, 30, 40), work.Constant(8), squareWave(t, 10, 20, 3), once(t, 5000)})
	c, ok := l.Cycle(3000)
	if !ok || c.From != 100 || c.To != 2400 || c.Length != 60 {
		t.Fatalf("%+v, %v", c, ok)
	}
	want, got := make([]float64, 5), make([]float64, 5)
	for at := c.From; at < c.To; at += 7 {
		l.Power(at, want)
		for _, later := range []float64{0, 60, 60e3} {
			c.Load.Power(at+later, got)
			for i := range want {
				if got[i] != want[i] {
					t.Fatalf("source %d asks for %g W at %g s, %g s later for %g W", i, want[i], at, later, got[i])
				}
			}
		}
	}
	if _, endless := c.Load.End(); !endless {
		t.Error("the load of a cycle ends")
	}
}
