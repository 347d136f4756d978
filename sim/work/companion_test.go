package work

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestCompanions(t *testing.T) {
	p := mustNew(t, []Step{{60, 200}, {40, 50}}, 0, 0) // 140 W in the mean
	flat, err := p.Flat(200)
	if err != nil || !slices.Equal(flat, []Piece{{200, 140, 140}}) {
		t.Errorf("flat: %v (%v)", flat, err)
	}
	for _, c := range []struct {
		name     string
		duration float64
		u        Pulse
		want     []Piece
	}{
		// High h and low h/6 for equal times: h (1 + 1/6)/2 = 140.
		{"whole cycles", 200, Pulse{50, 50, 6}, []Piece{{50, 240, 240}, {50, 40, 40}, {50, 240, 240}, {50, 40, 40}}},
		{"pauses of nothing", 200, Pulse{50, 50, math.Inf(1)}, []Piece{{50, 280, 280}, {50, 0, 0}, {50, 280, 280}, {50, 0, 0}}},
		// 28 kJ over 120 s of bursts and 80 s of pauses.
		{"cut in a burst", 200, Pulse{40, 40, 4}, []Piece{{40, 200, 200}, {40, 50, 50}, {40, 200, 200}, {40, 50, 50}, {40, 200, 200}}},
		{"cut in a pause", 200, Pulse{150, 60, 3}, []Piece{{150, 168, 168}, {50, 56, 56}}},
		{"longer than all", 200, Pulse{300, 10, 3}, []Piece{{200, 140, 140}}},
		{"no difference", 100, Pulse{99, 1, 1}, []Piece{{99, 140, 140}, {1, 140, 140}}},
	} {
		got, err := p.Pulsed(c.duration, c.u)
		if err != nil || !slices.EqualFunc(got, c.want, func(a, b Piece) bool {
			return a.Length == b.Length && a.From == a.To && math.Abs(a.From-b.From) <= 1e-12*b.From
		}) {
			t.Errorf("%s: %v (%v), want %v", c.name, got, err, c.want)
		}
	}
}

// What only rounding leaves over is no piece: 0.7 s fits exactly 7 times into
// 4.9 s, though 7 x 0.7 is not 4.9.
func TestPulsesLeaveNoSliver(t *testing.T) {
	for _, c := range []struct {
		u      Pulse
		pieces int
	}{{Pulse{0.3, 0.4, 2}, 14}, {Pulse{0.7, 1.4, 2}, 5}} {
		got, err := Constant(1).Pulsed(4.9, c.u)
		if err != nil || len(got) != c.pieces {
			t.Fatalf("%v gives %d pieces (%v)", c.u, len(got), err)
		}
		if end, _ := mustPieces(t, got, 1, 0).End(); math.Abs(end-4.9) > 1e-15 {
			t.Errorf("%v ends at %.17g s", c.u, end)
		}
	}
}

func TestCompanionsRefuse(t *testing.T) {
	for _, d := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := Constant(1).Flat(d); err == nil {
			t.Errorf("a flat companion lasts %g s", d)
		}
		if _, err := Constant(1).Pulsed(d, Pulse{1, 1, 2}); err == nil {
			t.Errorf("a pulsed companion lasts %g s", d)
		}
	}
	for _, c := range []struct {
		u    Pulse
		want string
	}{
		{Pulse{0, 1, 2}, "cannot last 0 s"}, {Pulse{1, math.NaN(), 2}, "pauses of NaN s"}, {Pulse{math.Inf(1), 1, 2}, "cannot last +Inf s"},
		{Pulse{1, 1, 0.5}, "0.5 times"}, {Pulse{1, 1, math.NaN()}, "NaN times"}, {Pulse{1e-6, 1e-6, 2}, "too many"},
	} {
		if _, err := Constant(1).Pulsed(100, c.u); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v gives %v, want %q", c.u, err, c.want)
		}
	}
}

// Property: both companions of any pattern have its energy to 1e-12, and end
// with it.
func TestCompanionsHaveEqualEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, _, _, _ := drawPattern(t, "p")
		duration := rapid.Float64Range(1, 5000).Draw(t, "duration")
		u := Pulse{On: rapid.Float64Range(0.5, 900).Draw(t, "on"), Off: rapid.Float64Range(0.5, 900).Draw(t, "off"), Ratio: rapid.Float64Range(1, 20).Draw(t, "ratio")}
		flat, err := p.Flat(duration)
		if err != nil {
			t.Fatal(err)
		}
		pulsed, err := p.Pulsed(duration, u)
		if err != nil {
			t.Fatal(err)
		}
		want := p.Energy(0, duration)
		for _, pieces := range [][]Piece{flat, pulsed} {
			q, err := FromPieces(pieces, 1, 0)
			if err != nil {
				t.Fatal(err)
			}
			if end, _ := q.End(); math.Abs(end-duration) > 1e-15*duration {
				t.Fatalf("ends at %v s, want %v s", end, duration)
			}
			if got := q.Energy(0, 2*duration); math.Abs(got-want) > 1e-12*want {
				t.Fatalf("%.17g J, want %.17g J", got, want)
			}
		}
		if len(pulsed) > 1 && math.Abs(pulsed[0].From-u.Ratio*pulsed[1].From) > 1e-12*pulsed[0].From {
			t.Fatalf("bursts of %v W, pauses of %v W", pulsed[0].From, pulsed[1].From)
		}
	})
}
