package work

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func mustNew(t *testing.T, steps []Step, cycles int, rest float64) Pattern {
	t.Helper()
	p, err := New(steps, cycles, rest)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestAtHoldsTheRightLimit(t *testing.T) {
	p := mustNew(t, []Step{{For: 60, Power: 200}, {For: 30, Power: 20}}, 2, 5)
	for _, c := range []struct{ t, want float64 }{
		{-1, 5}, {0, 200}, {59.999, 200}, {60, 20}, {89.999, 20}, {90, 200},
		{149.999, 200}, {150, 20}, {179.999, 20}, {180, 5}, {1e9, 5},
	} {
		if got := p.At(c.t); got != c.want {
			t.Errorf("At(%g) = %g W, want %g W", c.t, got, c.want)
		}
	}
}

func TestNextVisitsEveryBreakPointOnce(t *testing.T) {
	p := mustNew(t, []Step{{For: 0.1, Power: 1}, {For: 0.2, Power: 2}}, 3, 0)
	period := p.period()
	want := []float64{0.1, period, period + 0.1, 2 * period, 2*period + 0.1, 3 * period}
	at := 0.0
	for i, w := range want {
		next, ok := p.Next(at)
		if !ok || next != w {
			t.Fatalf("jump %d is at %v (%v), want exactly %v", i, next, ok, w)
		}
		at = next
	}
	if next, ok := p.Next(at); ok {
		t.Errorf("a finished pattern still jumps at %g s", next)
	}
}

// Jump times are products of the period, so that the millionth is as exact as
// the first.
func TestJumpsDoNotDrift(t *testing.T) {
	p := mustNew(t, []Step{{For: 0.1, Power: 1}, {For: 0.2, Power: 2}}, 0, 0)
	const cycle = 1_000_000
	start := float64(cycle) * p.period()
	next, ok := p.Next(start)
	if want := start + 0.1; !ok || next != want {
		t.Errorf("jump after %v s is at %v s, want %v s", start, next, want)
	}
}

func TestNewRefuses(t *testing.T) {
	for name, steps := range map[string][]Step{
		"no steps":       nil,
		"a zero step":    {{For: 0, Power: 1}},
		"a NaN step":     {{For: math.NaN(), Power: 1}},
		"an endless one": {{For: math.Inf(1), Power: 1}},
		"a NaN power":    {{For: 1, Power: math.NaN()}},
	} {
		if _, err := New(steps, 1, 0); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
	if _, err := New([]Step{{For: 1, Power: 1}}, -1, 0); err == nil {
		t.Error("a negative count is accepted")
	}
}

func TestScaled(t *testing.T) {
	p := mustNew(t, []Step{{For: 1, Power: 100}, {For: 1, Power: 10}}, 1, 4)
	q := p.Scaled(0.12)
	for _, at := range []float64{0, 1, 2} {
		if got, want := q.At(at), 0.12*p.At(at); got != want {
			t.Errorf("scaled power at %g s is %g, want %g", at, got, want)
		}
	}
	if p.At(0) != 100 {
		t.Error("scaling changed the pattern it came from")
	}
}

func TestTimelinePassesOverBreaksThatChangeNothing(t *testing.T) {
	a := mustNew(t, []Step{{For: 10, Power: 100}, {For: 10, Power: 100}, {For: 10, Power: 50}}, 1, 50)
	l := NewTimeline([]Pattern{a, Constant(7)})
	if next, ok := l.NextJump(0); !ok || next != 20 {
		t.Errorf("first jump at %g (%v), want 20", next, ok)
	}
	if next, ok := l.NextJump(20); ok {
		t.Errorf("a jump at %g although the level stays", next)
	}
	power := make([]float64, 2)
	l.Power(20, power)
	if power[0] != 50 || power[1] != 7 {
		t.Errorf("power at 20 s is %v", power)
	}
}

// An endless pattern of equal steps beside one that has ended must not search
// for ever.
func TestTimelineEndsItsSearch(t *testing.T) {
	flat := mustNew(t, []Step{{For: 1, Power: 10}, {For: 2, Power: 10}}, 0, 0)
	once := mustNew(t, []Step{{For: 5, Power: 1}}, 1, 0)
	l := NewTimeline([]Pattern{flat, once})
	if next, ok := l.NextJump(0); !ok || next != 5 {
		t.Fatalf("first jump at %g (%v), want 5", next, ok)
	}
	if next, ok := l.NextJump(5); ok {
		t.Errorf("found a jump at %g", next)
	}
}

func TestTimelineEnd(t *testing.T) {
	once := mustNew(t, []Step{{For: 60, Power: 1}}, 2, 0)
	forever := mustNew(t, []Step{{For: 60, Power: 1}, {For: 60, Power: 2}}, 0, 0)
	for _, c := range []struct {
		name     string
		patterns []Pattern
		end      float64
		endless  bool
	}{
		{"the longest decides", []Pattern{once, mustNew(t, []Step{{For: 10, Power: 1}}, 1, 0)}, 120, false},
		{"for ever", []Pattern{once, forever}, 0, true},
		{"only constants", []Pattern{Constant(3)}, 0, true},
		{"nothing", nil, 0, true},
	} {
		end, endless := NewTimeline(c.patterns).End()
		if end != c.end || endless != c.endless {
			t.Errorf("%s: end %g, endless %v; want %g, %v", c.name, end, endless, c.end, c.endless)
		}
	}
}

func TestLeast(t *testing.T) {
	once := mustNew(t, []Step{{For: 60, Power: 200}}, 1, 15)
	forever := mustNew(t, []Step{{For: 60, Power: 200}, {For: 60, Power: 30}}, 0, 0)
	got := make([]float64, 3)
	NewTimeline([]Pattern{once, forever, Constant(8)}).Least(got)
	if got[0] != 15 || got[1] != 30 || got[2] != 8 {
		t.Errorf("idle load is %v, want [15 30 8]", got)
	}
}

// Break points that only rounding keeps apart are one jump: no phase of
// 1e-15 s lies between the end of 7 cycles of 0.7 s and that of a step of 4.9 s.
func TestJumpsApartByRoundingAreOne(t *testing.T) {
	cycles := mustNew(t, []Step{{For: 0.3, Power: 1}, {For: 0.4, Power: 2}}, 7, 0)
	step := mustNew(t, []Step{{For: 4.9, Power: 5}}, 1, 0)
	end, _ := cycles.End()
	if end == 4.9 {
		t.Fatal("7 x 0.7 is 4.9 here, so this test shows nothing")
	}
	l := NewTimeline([]Pattern{cycles, step})
	var last, at float64
	for next, ok := l.NextJump(0); ok; next, ok = l.NextJump(at) {
		if next-at < 0.1 {
			t.Errorf("a jump at %v s follows one at %v s", next, at)
		}
		last, at = at, next
	}
	power := make([]float64, 2)
	if l.Power(at, power); at != 4.9 || power[0] != 0 || power[1] != 0 {
		t.Errorf("the last jump is at %v s, to %v W", at, power)
	}
	if l.Power(last, power); power[0] != 2 || power[1] != 5 {
		t.Errorf("the last but one is at %v s, to %v W", last, power)
	}
}

// Nothing of an endless pattern is a constant, in which no jump must be sought.
func TestNothingOfAnEndlessPattern(t *testing.T) {
	p := mustNew(t, []Step{{For: 1, Power: 10}, {For: 2, Power: 20}}, 0, 0).Scaled(0)
	if p.Endless() || p.At(5) != 0 {
		t.Errorf("endless %v, at %g W", p.Endless(), p.At(5))
	}
	if next, ok := NewTimeline([]Pattern{p}).NextJump(0); ok {
		t.Errorf("found a jump at %g s", next)
	}
}

// Property: the phases of random patterns tile the time, and within one no
// source changes.
func TestPhasesTileTheTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var patterns []Pattern
		for range rapid.IntRange(1, 3).Draw(t, "sources") {
			var steps []Step
			for range rapid.IntRange(1, 4).Draw(t, "steps") {
				steps = append(steps, Step{For: rapid.Float64Range(0.1, 20).Draw(t, "for"), Power: float64(rapid.IntRange(0, 2).Draw(t, "power"))})
			}
			p, err := New(steps, rapid.IntRange(0, 3).Draw(t, "cycles"), 1)
			if err != nil {
				t.Fatal(err)
			}
			patterns = append(patterns, p)
		}
		l := NewTimeline(patterns)
		here, there := make([]float64, len(patterns)), make([]float64, len(patterns))
		for at := 0.0; at < 200; {
			next, ok := l.NextJump(at)
			if !ok {
				next = 200
			}
			if !(next > at) {
				t.Fatalf("after %v s comes %v s", at, next)
			}
			l.Power(at, here)
			for k := range 20 {
				if l.Power(at+(next-at)*float64(k)/20, there); !slices.Equal(here, there) {
					t.Fatalf("between %v and %v s the power changes from %v to %v W", at, next, here, there)
				}
			}
			at = next
		}
	})
}
