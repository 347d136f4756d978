package work

import (
	"slices"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// Property: whatever a cursor is asked and in whatever order, it answers as its
// timeline does.
func TestCursorAnswersAsItsTimeline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var line []Pattern
		for range rapid.IntRange(1, 3).Draw(t, "sources") {
			p, _, _, _ := drawPattern(t, "p")
			line = append(line, p)
		}
		l := NewTimeline(line)
		c := NewCursor(l)
		n := len(line)
		power, slope, wantPower, wantSlope := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		at := 0.0
		for range rapid.IntRange(1, 60).Draw(t, "questions") {
			switch rapid.IntRange(0, 4).Draw(t, "go") {
			case 0:
				at = rapid.Float64Range(-1, 3000).Draw(t, "anywhere")
			case 1:
				at = 0
			case 2:
				at += rapid.Float64Range(0, 5).Draw(t, "on")
			default:
				if b, ok := l.NextBreak(at); ok {
					at = b.At
				}
			}
			if rapid.Bool().Draw(t, "load") {
				c.Load(at, power, slope)
				l.Load(at, wantPower, wantSlope)
				if !slices.Equal(power, wantPower) || !slices.Equal(slope, wantSlope) {
					t.Fatalf("at %v s: %v W, %v W/s, want %v W, %v W/s", at, power, slope, wantPower, wantSlope)
				}
			}
			got, gotOK := c.Next(at)
			if want, ok := l.NextBreak(at); got != want || gotOK != ok {
				t.Fatalf("after %v s: %v (%v), want %v (%v)", at, got, gotOK, want, ok)
			}
		}
	})
}

// counted walks a timeline to its end and returns the number of its breaks.
func counted(l Timeline, power, slope []float64) int {
	c := NewCursor(l)
	n := 0
	for b, ok := c.Next(0); ok; b, ok = c.Next(b.At) {
		c.Load(b.At, power, slope)
		n++
	}
	return n
}

// Runs that share a timeline do not disturb each other; the race detector
// watches.
func TestTimelinesAreShared(t *testing.T) {
	p := mustPieces(t, trapezium, 500, 0)
	l := NewTimeline([]Pattern{p, p.Scaled(0.5), mustNew(t, []Step{{3, 1}, {4, 2}}, 1000, 0)})
	want := counted(l, make([]float64, 3), make([]float64, 3))
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			if got := counted(l, make([]float64, 3), make([]float64, 3)); got != want {
				t.Errorf("%d breaks, want %d", got, want)
			}
		})
	}
	wait.Wait()
}

func TestNothingIsAllocatedOnTheWay(t *testing.T) {
	p := mustPieces(t, trapezium, 0, 0)
	l := NewTimeline([]Pattern{p, p.Scaled(0.5), mustNew(t, []Step{{3, 1}, {4, 2}}, 0, 0)})
	c := NewCursor(l)
	power, slope := make([]float64, 3), make([]float64, 3)
	at := 0.0
	for name, f := range map[string]func(){
		"next":     func() { b, _ := c.Next(at); at = b.At },
		"load":     func() { c.Load(at, power, slope) },
		"restart":  func() { c.Load(0, power, slope); c.Next(0) },
		"timeline": func() { b, _ := l.NextBreak(at); at = b.At; l.Load(at, power, slope) },
		"energy":   func() { l.Energy(3, at+1000, power) },
		"steady":   func() { l.Steady(at, at+1) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %g allocations", name, n)
		}
	}
}

// A cursor that goes forward finds each place beside its last: it never
// searches, however long the pattern.
func TestGoingForwardNeedsNoSearch(t *testing.T) {
	p := mustPieces(t, trapezium, 0, 0)
	at, hint := 0.0, place{}
	for range 1000 {
		here, ok := p.script.near(at, hint)
		if !ok {
			t.Fatalf("at %g s the place after %v is not beside it", at, hint)
		}
		at, hint = p.script.end(here), here
	}
	if hint.cycle != 333 {
		t.Errorf("1000 pieces lead to cycle %d", hint.cycle)
	}
	if _, ok := p.script.near(at+200, hint); ok {
		t.Error("a place far away counts as beside")
	}
}
