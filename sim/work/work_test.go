package work

import (
	"math"
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

// Property: Energy is the integral of At, whatever the steps and repeats.
func TestEnergyIsTheIntegralOfPower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "steps")
		steps := make([]Step, n)
		for i := range steps {
			steps[i] = Step{For: rapid.Float64Range(0.01, 100).Draw(t, "for"), Power: rapid.Float64Range(0, 500).Draw(t, "power")}
		}
		p, err := New(steps, rapid.IntRange(0, 4).Draw(t, "cycles"), rapid.Float64Range(0, 20).Draw(t, "rest"))
		if err != nil {
			t.Fatal(err)
		}
		end := rapid.Float64Range(0, 3000).Draw(t, "end")
		sum, at := 0.0, 0.0
		for at < end {
			next, ok := p.Next(at)
			if !ok || next > end {
				next = end
			}
			sum += p.At(at) * (next - at)
			at = next
		}
		if got := p.Energy(end); math.Abs(got-sum) > 1e-12*math.Max(sum, 1) {
			t.Fatalf("Energy(%g) = %.15g J, summed %.15g J", end, got, sum)
		}
	})
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
