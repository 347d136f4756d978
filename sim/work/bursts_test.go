package work

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// mixed draws from all four kinds of distribution.
func mixed(t testing.TB, seconds float64) Bursts {
	m := must(t)
	return Bursts{
		Seed: 2024, For: seconds,
		Burst: m(Exponential(6, 2, math.Inf(1))), Pause: m(Uniform(1, 4)),
		High: m(Lognormal(250, 0.3, 0, math.Inf(1))), Low: m(Choice([]float64{20, 35, 60}, []float64{1, 3, 1})),
	}
}

func mustBursts(t testing.TB, b Bursts, s Streams) []Piece {
	t.Helper()
	pieces, err := b.Pieces(s)
	if err != nil {
		t.Fatal(err)
	}
	return pieces
}

// Check values: another program, with whole numbers of any size for the
// generator and 60-digit decimals for the distributions.
func TestBurstsAgainstAnotherProgram(t *testing.T) {
	want := []Piece{
		{2.7834262293950576, 422.05038215359224, 0}, {3.1755908895663687, 35, 0},
		{4.1507043540425128, 196.64792586728129, 0}, {1.3555816012070623, 35, 0},
		{2.9271570498217367, 185.91056406993695, 0}, {1.6260125061316859, 35, 0},
		{5.0786551320085307, 302.15350732582937, 0}, {3.1461267102141095, 60, 0},
		{3.7115418025448386, 301.29606133535918, 0}, {1.496972260948173, 20, 0},
		{3.8431529576837478, 461.60158068917622, 0}, {2.0561037206487249, 60, 0},
	}
	got := mustBursts(t, mixed(t, 3600), Streams{Lengths: 0, Levels: 7})
	for i, w := range want {
		g := got[i]
		if math.Abs(g.Length-w.Length) > 2e-15*w.Length || math.Abs(g.From-w.From) > 2e-15*w.From || g.From != g.To {
			t.Errorf("piece %d is %.17g, want %.17g", i, g, w)
		}
	}
}

// The bits of ten hours, as when this was first written, on any platform: a
// change here breaks the promise that a seed means the same for ever.
func TestBurstsKeepTheirBits(t *testing.T) {
	h := fnv.New64a()
	for _, p := range mustBursts(t, mixed(t, 36000), Streams{3, 4}) {
		_ = binary.Write(h, binary.LittleEndian, []float64{p.Length, p.From})
	}
	m := must(t)
	bounded := Bursts{Seed: 1, For: 36000, Burst: m(Exponential(6, 2, 30)), Pause: m(Lognormal(8, 0.8, 2, 30)), High: m(Uniform(100, 300))}
	for _, p := range mustBursts(t, bounded, Streams{}) {
		_ = binary.Write(h, binary.LittleEndian, []float64{p.Length, p.From})
	}
	if got := h.Sum64(); got != 0x8c5945a7e30cb23b {
		t.Errorf("the bits have changed: %#x", got)
	}
}

func TestStreamsCorrelate(t *testing.T) {
	b := mixed(t, 3600)
	a := mustBursts(t, b, Streams{1, 1})
	other := b
	other.High = must(t)(Uniform(10, 20))
	lengths := func(p []Piece) (l []float64) {
		for _, q := range p {
			l = append(l, q.Length)
		}
		return l
	}
	if !slices.Equal(a, mustBursts(t, b, Streams{1, 1})) {
		t.Error("the same streams differ")
	}
	same := mustBursts(t, other, Streams{1, 1})
	if !slices.Equal(lengths(a), lengths(same)) {
		t.Error("sources with the same stream of lengths have other breaks")
	}
	// By integration a lognormal and a uniform draw of the same share correlate by
	// sqrt(3) (2 P(s/sqrt 2) - 1) / sqrt(exp(s^2) - 1), with P the normal share: 0.948
	// for s = 0.3. A standard error of r is (1 - r^2) per root of the number.
	if r := correlation(a, same, true); math.Abs(r-0.948) > 0.02 {
		t.Errorf("levels of the same stream correlate by %.3f", r)
	}
	if r := correlation(a, mustBursts(t, other, Streams{1, 2}), true); math.Abs(r) > 4/math.Sqrt(float64(len(a)/2)) {
		t.Errorf("levels of different streams correlate by %.3f", r)
	}
	own := mustBursts(t, b, Streams{2, 1})
	if slices.Equal(lengths(a[:3]), lengths(own[:3])) {
		t.Error("sources with different streams of lengths have the same breaks")
	}
	if a[0].From != own[0].From || a[2].From != own[2].From {
		t.Error("sources with the same stream of levels draw other levels")
	}
	// Lengths and levels of one number are different streams.
	if m := correlation(a, a, false); math.Abs(m) > 4/math.Sqrt(float64(len(a)/2)) {
		t.Errorf("lengths and levels correlate by %.3f", m)
	}
	b.Seed++
	if r := correlation(a, mustBursts(t, b, Streams{1, 1}), true); math.Abs(r) > 4/math.Sqrt(float64(len(a)/2)) {
		t.Errorf("levels of neighbouring seeds correlate by %.3f", r)
	}
}

// correlation of the bursts of two lists of pieces: of their levels, or of the
// lengths of one and the levels of the other.
func correlation(a, b []Piece, levels bool) float64 {
	var n, sx, sy, sxx, syy, sxy float64
	for i := 0; i < min(len(a), len(b))-1; i += 2 { // the last is cut
		x, y := a[i].Length, b[i].From
		if levels {
			x = a[i].From
		}
		n, sx, sy, sxx, syy, sxy = n+1, sx+x, sy+y, sxx+x*x, syy+y*y, sxy+x*y
	}
	return (n*sxy - sx*sy) / math.Sqrt((n*sxx-sx*sx)*(n*syy-sy*sy))
}

// The mean power of many bursts comes near the stated one. Its standard error
// is computed from the draws: the spread of the energy of a cycle over what its
// mean length would ask for, per root of the number of cycles.
func TestBurstsHaveTheirMean(t *testing.T) {
	b := mixed(t, 4e6)
	pieces := mustBursts(t, b, Streams{})
	p := mustPieces(t, pieces, 1, 0)
	mean := b.Mean()
	// By hand: (6 s x 250 W + 2.5 s x 37 W) / 8.5 s.
	if math.Abs(mean-1592.5/8.5) > 1e-12 {
		t.Fatalf("the mean is stated as %v W", mean)
	}
	square, cycles := 0.0, 0
	for i := 0; i+1 < len(pieces); i += 2 {
		on, off := pieces[i], pieces[i+1]
		d := on.Length*(on.From-mean) + off.Length*(off.From-mean)
		square, cycles = square+d*d, cycles+1
	}
	tolerance := 4 * math.Sqrt(square) / b.For
	if got := p.Mean(0, b.For); math.Abs(got-mean) > tolerance || tolerance > 0.01*mean {
		t.Errorf("%d bursts ask for %v W in the mean, want %v +- %v W", cycles, got, mean, tolerance)
	}
	if m := (Bursts{Burst: b.Burst, High: b.High}).Mean(); math.Abs(m-250) > 1e-12 {
		t.Errorf("bursts without pauses have the mean %v W", m)
	}
}

func TestBurstsRefuse(t *testing.T) {
	m := must(t)
	good := mixed(t, 100)
	for _, c := range []struct {
		change func(*Bursts)
		want   string
	}{
		{func(b *Bursts) { b.For = 0 }, "cannot go on for 0 s"},
		{func(b *Bursts) { b.For = math.Inf(1) }, "cannot go on for +Inf s"},
		{func(b *Bursts) { b.Burst = Distribution{} }, "need lengths and levels"},
		{func(b *Bursts) { b.High = Distribution{} }, "need lengths and levels"},
		{func(b *Bursts) { b.Burst = m(Uniform(0, 1)) }, "shortest length above zero"},
		{func(b *Bursts) { b.Pause = m(Exponential(1, 0, 5)) }, "shortest length above zero"},
		{func(b *Bursts) { b.Burst = m(Uniform(1e-7, 1)); b.Pause = b.Burst }, "too many"},
	} {
		b := good
		c.change(&b)
		if _, err := b.Pieces(Streams{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// What only rounding leaves over is no piece: seven times 0.7 s fill 4.9 s,
// though they add up to a little less.
func TestBurstsLeaveNoSliver(t *testing.T) {
	seven := must(t)(Uniform(0.7, 0.7))
	pieces := mustBursts(t, Bursts{For: 4.9, Burst: seven, High: seven}, Streams{})
	if len(pieces) != 7 {
		t.Errorf("they are %d pieces: %v", len(pieces), pieces)
	}
}

// Property: pieces fill exactly the length asked for, lie in their bounds (the
// last may be cut), and make a pattern. With no pauses all are bursts.
func TestBurstsFillTheirTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Bursts{Seed: rapid.Uint64().Draw(t, "seed"), For: rapid.Float64Range(0.1, 5000).Draw(t, "for"), Burst: drawDistribution(t), High: drawDistribution(t)}
		if rapid.Bool().Draw(t, "pauses") {
			b.Pause = drawDistribution(t)
			if rapid.Bool().Draw(t, "low") {
				b.Low = drawDistribution(t)
			}
		}
		pieces, err := b.Pieces(Streams{rapid.Uint64().Draw(t, "lengths"), rapid.Uint64().Draw(t, "levels")})
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range pieces {
			length, level := b.Burst, b.High
			if i%2 == 1 && !b.Pause.IsZero() {
				length, level = b.Pause, b.Low
			}
			low, high := length.Bounds()
			if i == len(pieces)-1 {
				low, high = 0, high+1e-12*b.For
			}
			least, most := level.Bounds()
			if p.Length < low || p.Length > high || p.From < least || p.From > most || p.From != p.To {
				t.Fatalf("piece %d of %d is %v; it may last %v to %v s and ask for %v to %v W", i, len(pieces), p, low, high, least, most)
			}
		}
		q, err := FromPieces(pieces, 1, 0)
		if err != nil {
			t.Fatal(err)
		}
		if end, _ := q.End(); math.Abs(end-b.For) > 1e-15*b.For {
			t.Fatalf("%v s of bursts end at %v s", b.For, end)
		}
	})
}
