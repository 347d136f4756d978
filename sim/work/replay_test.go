package work

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func mustReplay(t testing.TB, s Series, cycles int, rest float64) Pattern {
	t.Helper()
	p, err := Replay(s, cycles, rest)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestReplayHoldsOrJoins(t *testing.T) {
	times, values := []float64{0, 1, 3, 4}, []float64{10, 30, 30, 50}
	for _, c := range []struct {
		name   string
		s      Series
		cycles int
		power  map[float64]float64
		breaks []Break
		energy float64 // J, up to the end
	}{
		{
			"hold", Series{Times: times, Values: values}, 1,
			map[float64]float64{0.5: 10, 2: 30, 3.5: 30, 4.5: 50, 5: 7, 99: 7},
			[]Break{{1, true}, {4, true}, {5, true}}, 10 + 60 + 30 + 50,
		},
		{
			"hold the last for long", Series{Times: times, Values: values, Last: 6}, 1,
			map[float64]float64{4.5: 50, 9.5: 50, 10: 7},
			[]Break{{1, true}, {4, true}, {10, true}}, 10 + 60 + 30 + 300,
		},
		{
			"lines", Series{Times: times, Values: values, Linear: true}, 1,
			map[float64]float64{0.5: 20, 2: 30, 3.5: 40, 4.5: 50, 5: 7},
			[]Break{{1, false}, {3, false}, {4, false}, {5, true}}, 20 + 60 + 40 + 50,
		},
		{
			"lines, twice", Series{Times: times, Values: values, Linear: true}, 2,
			map[float64]float64{4.5: 50, 5: 10, 5.5: 20, 9.5: 50, 10: 7},
			[]Break{{1, false}, {3, false}, {4, false}, {5, true}, {6, false}, {8, false}, {9, false}, {10, true}}, 2 * 170,
		},
		{
			"one value", Series{Times: []float64{0}, Values: []float64{9}, Linear: true, Last: 2}, 3,
			map[float64]float64{0: 9, 5.9: 9, 6: 7}, []Break{{6, true}}, 54,
		},
	} {
		p := mustReplay(t, c.s, c.cycles, 7)
		for at, want := range c.power {
			if got := p.At(at); got != want {
				t.Errorf("%s: at %g s %g W, want %g W", c.name, at, got, want)
			}
		}
		for i, at := range c.s.Times {
			if got := p.At(at); got != c.s.Values[i] {
				t.Errorf("%s: at the stamp %g s %g W, want %g W", c.name, at, got, c.s.Values[i])
			}
		}
		if got := breaks(NewTimeline([]Pattern{p}), math.Inf(1)); !slices.Equal(got, c.breaks) {
			t.Errorf("%s: breaks %v, want %v", c.name, got, c.breaks)
		}
		end, _ := p.End()
		if got := p.Energy(0, end); got != c.energy {
			t.Errorf("%s: %g J, want %g J", c.name, got, c.energy)
		}
	}
}

func TestReplayRefuses(t *testing.T) {
	for _, c := range []struct {
		s    Series
		want string
	}{
		{Series{Times: []float64{0, 1}, Values: []float64{1}}, "2 stamps, but 1 values"},
		{Series{}, "at least one value"},
		{Series{Times: []float64{5, 6}, Values: []float64{1, 2}}, "starts at 5 s"},
		{Series{Times: []float64{math.NaN(), 6}, Values: []float64{1, 2}}, "starts at NaN s"},
		{Series{Times: []float64{0, 2, 2}, Values: []float64{1, 2, 3}}, "stamp 3 of a series is 2 s, after one of 2 s"},
		{Series{Times: []float64{0, math.NaN()}, Values: []float64{1, 2}}, "stamp 2 of a series is NaN s"},
		{Series{Times: []float64{0, math.Inf(1)}, Values: []float64{1, 2}}, "stamp 2 of a series is +Inf s"},
		{Series{Times: []float64{0, 1}, Values: []float64{1, math.NaN()}}, "value 2 of a series is NaN"},
		{Series{Times: []float64{0, 1}, Values: []float64{1, 2}, Last: -1}, "cannot hold for -1 s"},
		{Series{Times: []float64{0, 1}, Values: []float64{1, 2}, Last: math.Inf(1)}, "cannot hold for +Inf s"},
		{Series{Times: []float64{0}, Values: []float64{1}}, "does not last"},
		{Series{Times: []float64{0, 1e9}, Values: []float64{1, 2}, Last: 1e-9}, "does not last"},
	} {
		if _, err := Replay(c.s, 1, 0); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v gives %v, want %q", c.s, err, c.want)
		}
	}
}

// noisy is a series of n values at uneven stamps. It is a formula, so that a
// test can tell what belongs where.
func noisy(n int) Series {
	s := Series{Times: make([]float64, n), Values: make([]float64, n), Last: 0.1}
	for i := range s.Times {
		s.Times[i] = 0.1*float64(i) + 0.04*math.Sin(float64(i)) // the first is 0, and they ascend
		s.Values[i] = 200 + 100*math.Sin(1.7*float64(i))
	}
	return s
}

// Property: each stamp is a break of its own and has exactly the series' value
// in both kinds of replay; a cursor visits them all.
func TestReplayIsExactAtItsStamps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := noisy(rapid.IntRange(2, 300).Draw(t, "values"))
		s.Linear = rapid.Bool().Draw(t, "lines")
		p, err := Replay(s, rapid.IntRange(0, 2).Draw(t, "cycles"), 0)
		if err != nil {
			t.Fatal(err)
		}
		c := NewCursor(NewTimeline([]Pattern{p}))
		power, slope := []float64{0}, []float64{0}
		at := 0.0
		for i := range s.Times {
			if c.Load(at, power, slope); at != s.Times[i] || power[0] != s.Values[i] {
				t.Fatalf("value %d: %v W at %v s, want %v W at %v s", i, power[0], at, s.Values[i], s.Times[i])
			}
			next, _ := c.Next(at)
			at = next.At
		}
	})
}

// A replay costs its running sums and no copy of the series, and nothing more
// for each part that follows it.
func TestReplayKeepsNoCopy(t *testing.T) {
	s := noisy(10_000)
	p := mustReplay(t, s, 1, 0)
	if &p.script.starts[0] != &s.Times[0] || &p.script.first[0] != &s.Values[0] {
		t.Error("the series was copied")
	}
	if n := len(p.script.sums); n > 10_000/block+1 {
		t.Errorf("%d running sums", n)
	}
	if q := p.Scaled(0.5).Between(3, 4); q.script != p.script {
		t.Error("a scaled replay has its own series")
	}
}
