package work

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func mustPieces(t *testing.T, pieces []Piece, cycles int, rest float64) Pattern {
	t.Helper()
	p, err := FromPieces(pieces, cycles, rest)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// trapezium rises from 100 to 200 W in 10 s, stays for 20 s and falls to 50 W in
// 5 s.
var trapezium = []Piece{{10, 100, 200}, {20, 200, 200}, {5, 200, 50}}

func TestLoadOfRamps(t *testing.T) {
	p := mustPieces(t, trapezium, 2, 7)
	for _, c := range []struct{ t, power, slope float64 }{
		{-1, 7, 0}, {0, 100, 10}, {2.5, 125, 10}, {10, 200, 0}, {29, 200, 0}, {30, 200, -30},
		{32, 140, -30}, {35, 100, 10}, {36, 110, 10}, {65, 200, -30}, {69, 80, -30}, {70, 7, 0}, {1e9, 7, 0},
	} {
		power, slope := p.Load(c.t)
		if math.Abs(power-c.power) > 1e-12 || math.Abs(slope-c.slope) > 1e-12 {
			t.Errorf("at %g s: %v W and %v W/s, want %g W and %g W/s", c.t, power, slope, c.power, c.slope)
		}
	}
}

func TestBreaksAreJumpsOrKinks(t *testing.T) {
	p := mustPieces(t, trapezium, 2, 50)
	l := NewTimeline([]Pattern{p, mustNew(t, []Step{{30, 1}, {5, 2}}, 1, 2)})
	want := []Break{{10, false}, {30, true}, {35, true}, {45, false}, {65, false}, {70, false}}
	if got := breaks(l, math.Inf(1)); !slices.Equal(got, want) {
		t.Errorf("breaks %v, want %v", got, want)
	}
	alone := []Break{{10, false}, {30, false}, {35, true}, {45, false}, {65, false}, {70, false}}
	if got := breaks(NewTimeline([]Pattern{p}), math.Inf(1)); !slices.Equal(got, alone) {
		t.Errorf("breaks %v, want %v", got, alone)
	}
	if at, ok := l.NextJump(0); at != 10 || !ok {
		t.Errorf("the integrator may step across %g s", at)
	}
}

// breaks lists the breaks of a timeline before end.
func breaks(l Timeline, end float64) []Break {
	var all []Break
	for b, ok := l.NextBreak(0); ok && b.At < end; b, ok = l.NextBreak(b.At) {
		all = append(all, b)
	}
	return all
}

// A jump and a kink that only rounding keeps apart are one jump.
func TestAJumpBesideAKinkIsAJump(t *testing.T) {
	early := mustPieces(t, []Piece{{0.3, 1, 1}, {0.4, 2, 2}}, 7, 2) // its last level goes on: no change at 4.9 s
	jumps := mustPieces(t, []Piece{{0.3, 1, 1}, {0.4, 2, 2}}, 7, 3)
	kinks := mustPieces(t, []Piece{{4.9, 0, 49}}, 1, 49)
	// The ends of 7 cycles come before 4.9 s.
	kinksEarly, jumpsLate := mustPieces(t, []Piece{{0.7, 0, 7}}, 7, 7), mustNew(t, []Step{{4.9, 5}}, 1, 0)
	for _, c := range []struct {
		name string
		line []Pattern
		jump bool
	}{{"kink alone", []Pattern{early, kinks}, false}, {"jump first", []Pattern{jumps, kinks}, true}, {"kink first", []Pattern{kinksEarly, jumpsLate}, true}} {
		all := breaks(NewTimeline(c.line), math.Inf(1))
		if last := all[len(all)-1]; last != (Break{4.9, c.jump}) {
			t.Errorf("%s: the last break is %v", c.name, last)
		}
	}
}

func TestSteady(t *testing.T) {
	l := NewTimeline([]Pattern{mustPieces(t, trapezium, 1, 50), mustNew(t, []Step{{20, 1}, {20, 1}}, 1, 3)})
	for _, c := range []struct {
		from, to float64
		want     bool
	}{
		{0, 5, false}, {10, 30, true}, {10, 30.1, false}, {12, 20, true}, {31, 32, false}, {35, 40, true},
		{35, 41, false}, {40, 1e9, true}, {10, 30 * (1 + 1e-13), true},
	} {
		if got := l.Steady(c.from, c.to); got != c.want {
			t.Errorf("steady from %g to %g s: %v", c.from, c.to, got)
		}
	}
}

func TestFromPiecesRefuses(t *testing.T) {
	for _, c := range []struct {
		pieces []Piece
		cycles int
		rest   float64
		want   string
	}{
		{nil, 1, 0, "at least one piece"},
		{[]Piece{{1, 0, 0}, {-1, 0, 0}}, 1, 0, "piece 2 lasts -1 s, but must last"},
		{[]Piece{{math.NaN(), 0, 0}}, 1, 0, "piece 1 lasts NaN s"},
		{[]Piece{{1e308, 0, 0}, {1e308, 0, 0}}, 1, 0, "piece 2 lasts 1e+308 s, which is too long"},
		{[]Piece{{1e6, 0, 0}, {1e-11, 0, 0}}, 1, 0, "piece 2 lasts 1e-11 s, which is lost in rounding after 1e+06 s"},
		{[]Piece{{1, math.NaN(), 0}}, 1, 0, "piece 1 asks for NaN W"},
		{[]Piece{{1, 0, math.Inf(-1)}}, 1, 0, "piece 1 asks for -Inf W"},
		{[]Piece{{1, 0, 0}}, -2, 0, "cannot repeat -2 times"},
		{[]Piece{{1, 0, 0}}, 1, math.NaN(), "cannot rest at NaN W"},
	} {
		if _, err := FromPieces(c.pieces, c.cycles, c.rest); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v gives %v, want %q", c.pieces, err, c.want)
		}
	}
}

// Ends of 0.1 s steps are as near to their true places as a float64 can be:
// naive sums are off by 1.2e-9 s after a million.
func TestBreaksInsideALongCycleDoNotDrift(t *testing.T) {
	const n = 1_000_000
	steps := make([]Step, n)
	for i := range steps {
		steps[i] = Step{For: 0.1, Power: float64(i % 2)}
	}
	p := mustNew(t, steps, 1, 0)
	if end, _ := p.End(); end != n*0.1 {
		t.Errorf("a million steps of 0.1 s end at %.17g s", end)
	}
	for _, k := range []int{1, 7, 999, 123_456, 999_999} {
		if next, _ := p.Next((float64(k) - 0.5) * 0.1); next != float64(k)*0.1 {
			t.Errorf("step %d ends at %.17g s, want %.17g", k, next, float64(k)*0.1)
		}
	}
}

func TestExtremes(t *testing.T) {
	once := mustPieces(t, trapezium, 1, 15)
	forever := mustPieces(t, trapezium, 0, 15)
	l := NewTimeline([]Pattern{once, forever, once.Scaled(-1), Constant(8), once.Between(500, 400)})
	least, most := make([]float64, 5), make([]float64, 5)
	l.Least(least)
	l.Most(most)
	if want := []float64{15, 50, -200, 8, 500 - 200*100}; !slices.Equal(least, want) {
		t.Errorf("least %v, want %v", least, want)
	}
	if want := []float64{200, 200, -15, 8, 500 - 15*100}; !slices.Equal(most, want) {
		t.Errorf("most %v, want %v", most, want)
	}
}

// Shares are exact at idle and full: 3.12 + (11.38 - 3.12) is not 11.38.
func TestBetween(t *testing.T) {
	share := mustPieces(t, []Piece{{1, 0, 1}, {1, 1, 1}, {1, 0.25, 0.25}}, 1, 0)
	p := share.Between(3.12, 11.38)
	for _, c := range []struct{ at, want, tol float64 }{
		{0, 3.12, 0}, {0.5, 7.25, 2e-15}, {1, 11.38, 0}, {2, 5.185, 2e-15}, {3, 3.12, 0},
	} {
		if got := p.At(c.at); math.Abs(got-c.want) > c.tol {
			t.Errorf("at %g s: %.17g W, want %.17g W", c.at, got, c.want)
		}
	}
	if got, want := p.Energy(0, 4), 7.25+11.38+5.185+3.12; math.Abs(got-want) > 1e-14 {
		t.Errorf("energy %.17g J, want %.17g J", got, want)
	}
	if got := share.Between(0, 100).Between(10, 11).Scaled(2).At(1); got != 220 {
		t.Errorf("a scaled share of shares is %g W, want 220 W", got)
	}
	for _, c := range []Pattern{Constant(0.5).Between(10, 20), mustPieces(t, trapezium, 0, 0).Between(15, 15)} {
		if c.Endless() || c.At(3) != 15 {
			t.Errorf("between 10 and 20 W a constant half is %g W", c.At(3))
		}
	}
	if share.At(1) != 1 {
		t.Error("the pattern it came from was changed")
	}
}

func TestPeriod(t *testing.T) {
	wave := func(on, off float64) Pattern { return mustNew(t, []Step{{on, 1}, {off, 0}}, 0, 0) }
	if s, ok := wave(40, 20).Period(); s != 60 || !ok {
		t.Errorf("period %g s (%v)", s, ok)
	}
	once := mustNew(t, []Step{{100, 1}}, 2, 0)
	for _, p := range []Pattern{{}, Constant(3), once} {
		if s, ok := p.Period(); ok {
			t.Errorf("something that does not repeat has the period %g s", s)
		}
	}
	for _, c := range []struct {
		name         string
		line         []Pattern
		from, length float64
		ok           bool
	}{
		{"alike", []Pattern{wave(40, 20), wave(10, 50), Constant(4)}, 0, 60, true},
		{"a multiple", []Pattern{wave(10, 10), wave(40, 20)}, 0, 60, true},
		{"a common multiple", []Pattern{wave(0.3, 0.4), wave(0.1, 0.2)}, 0, 2.1, true},
		{"after one that ends", []Pattern{wave(40, 20), once}, 200, 60, true},
		{"none in common", []Pattern{wave(1, 1), wave(1, math.Sqrt2)}, 0, 0, false},
		{"only one that ends", []Pattern{once}, 0, 0, false},
		{"nothing", nil, 0, 0, false},
	} {
		from, length, ok := NewTimeline(c.line).Period()
		if from != c.from || math.Abs(length-c.length) > 1e-14 || ok != c.ok {
			t.Errorf("%s: %g s from %g s on (%v), want %g s from %g s on", c.name, length, from, ok, c.length, c.from)
		}
	}
}

// Where float64 can no longer tell the pieces apart a pattern rests, instead of
// searching for ever.
func TestBeyondReach(t *testing.T) {
	p := mustNew(t, []Step{{1e-3, 1}, {1, 2}}, 0, 9)
	if reach := 1e-3 * 0x1p50; p.At(reach) != 9 || p.At(1e300) != 9 || p.At(reach*(1-1e-15)) == 9 {
		t.Errorf("%g W at %g s, %g W later", p.At(reach), reach, p.At(1e300))
	}
	for _, at := range []float64{1.1e-3 * 0x1p50, 1e300, math.Inf(1), math.NaN()} {
		if next, ok := NewTimeline([]Pattern{p}).NextBreak(at); ok {
			t.Errorf("a break at %v s after %g s", next, at)
		}
	}
}

// drawPieces draws pieces, some of them levels, with powers that often repeat.
func drawPieces(t *rapid.T, name string) []Piece {
	tenths := rapid.Map(rapid.IntRange(0, 4000), func(n int) float64 { return float64(n) / 10 }) // no jump is too small to be told
	power := rapid.OneOf(tenths, rapid.SampledFrom([]float64{0, 15, 300}))
	var pieces []Piece
	for i := range rapid.IntRange(1, 150).Draw(t, name+" pieces") {
		p := Piece{Length: rapid.Float64Range(0.01, 20).Draw(t, fmt.Sprint(name, i)), From: power.Draw(t, "from")}
		p.To = p.From
		if rapid.Bool().Draw(t, "ramp") {
			p.To = power.Draw(t, "to")
		}
		pieces = append(pieces, p)
	}
	return pieces
}

// drawPattern draws a pattern with what it was made of.
func drawPattern(t *rapid.T, name string) (p Pattern, pieces []Piece, cycles int, rest float64) {
	pieces = drawPieces(t, name)
	cycles = rapid.IntRange(0, 3).Draw(t, name+" cycles")
	rest = float64(rapid.IntRange(0, 20).Draw(t, name+" rest"))
	p, err := FromPieces(pieces, cycles, rest)
	if err != nil {
		t.Fatal(err)
	}
	return p, pieces, cycles, rest
}

// Property: at any time the power is that of a walk through the pieces, to the
// rounding of where they begin.
func TestPowerIsThatOfThePieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, pieces, cycles, rest := drawPattern(t, "p")
		length := 0.0
		for _, q := range pieces {
			length += q.Length
		}
		at := rapid.Float64Range(0, 4*length).Draw(t, "at")
		want, slope, near := rest, 0.0, math.Inf(1)
		for c, left := 0, at; (cycles == 0 || c < cycles) && left >= 0; c++ {
			for _, q := range pieces {
				near = math.Min(near, math.Abs(left))
				if left >= 0 && left < q.Length {
					slope = (q.To - q.From) / q.Length
					want = q.From + slope*left
				}
				left -= q.Length
			}
			near = math.Min(near, math.Abs(left))
		}
		if near < 1e-9 {
			return // rounding decides on which side of a break this lies; other tests cover breaks
		}
		power, got := p.Load(at)
		if math.Abs(power-want) > 1e-12*400*(1+at*math.Abs(slope)) || math.Abs(got-slope) > 1e-9*(1+math.Abs(slope)) {
			t.Fatalf("at %v s: %v W, %v W/s, want %v W, %v W/s", at, power, got, want, slope)
		}
	})
}

// Property: breaks strictly rise, every power is a straight line between them,
// and the break is a jump exactly if that line ends elsewhere than it goes on.
func TestBetweenBreaksAllIsStraight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var line []Pattern
		for range rapid.IntRange(1, 3).Draw(t, "sources") {
			p, _, _, _ := drawPattern(t, "p")
			line = append(line, p)
		}
		l := NewTimeline(line)
		n := len(line)
		power, slope, there, turned := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		for at := 0.0; at < 300; {
			next, ok := l.NextBreak(at)
			if !ok {
				break
			}
			if !(next.At > at) {
				t.Fatalf("after %v s comes %v s", at, next.At)
			}
			l.Load(at, power, slope)
			for k := range 10 {
				u := at + (next.At-at)*float64(k)/10
				l.Load(u, there, turned)
				for i := range there {
					if d := there[i] - (power[i] + slope[i]*(u-at)); math.Abs(d) > 1e-8 {
						t.Fatalf("at %v s source %d is off the line from %v s by %v W", u, i, at, d)
					}
				}
			}
			jumps := false
			l.Load(next.At, there, turned)
			for i := range there {
				jumps = jumps || math.Abs(there[i]-(power[i]+slope[i]*(next.At-at))) > 1e-8
			}
			if jumps != next.Jump {
				t.Fatalf("the break at %v s: %v", next.At, next)
			}
			at = next.At
		}
	})
}
