package spec

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// ramp rises from 1 to 5 between 2 s and 4 s and falls to 2 at 10 s.
func ramp(hold bool) *Series {
	return &Series{Times: []float64{2, 4, 10}, Values: []float64{1, 5, 2}, Hold: hold}
}

// TestSeriesAt: the values follow from the straight lines by hand.
func TestSeriesAt(t *testing.T) {
	for _, c := range []struct{ t, linear, hold float64 }{
		{-1, 1, 1}, {0, 1, 1}, {2, 1, 1}, {3, 3, 1}, {3.5, 4, 1}, {4, 5, 5}, {6, 4, 5}, {9, 2.5, 5}, {10, 2, 2}, {1e9, 2, 2},
	} {
		if got := ramp(false).At(c.t); got != c.linear {
			t.Errorf("linear at %v: %v, want %v", c.t, got, c.linear)
		}
		if got := ramp(true).At(c.t); got != c.hold {
			t.Errorf("hold at %v: %v, want %v", c.t, got, c.hold)
		}
	}
	if got := ramp(true).Duration(); got != 10 {
		t.Errorf("duration %v, want 10", got)
	}
}

// TestSeriesIntegral: areas of trapezoids and rectangles, by hand.
func TestSeriesIntegral(t *testing.T) {
	for _, c := range []struct{ from, to, linear, hold float64 }{
		{0, 2, 2, 2},               // before the first stamp
		{2, 4, 6, 2},               // a whole segment
		{3, 4, 4, 1},               // its second half
		{2, 3, 2, 1},               // its first half
		{2.5, 3.5, 3, 1},           // its middle
		{3, 6, 13, 11},             // across a stamp
		{2, 10, 27, 32},            // everything
		{0, 12, 33, 38},            // and both ends
		{10, 13, 6, 6},             // behind the last stamp
		{20, 21, 2, 2},             // far behind it
		{4, 4, 0, 0},               // nothing
		{6, 3, -13, -11},           // backwards
		{12, 0, -33, -38},          // backwards, everything
		{-3, -1, 2, 2},             // before time zero
		{9, 11, 4.25, 7},           // across the last stamp
		{1, 3, 3, 2},               // across the first
		{4, 10, 21, 30},            // from a stamp to a stamp
		{4, 7, 12.75, 15},          // from a stamp
		{5, 10, 16.25, 25},         // to a stamp
		{4.5, 9.5, 17.5, 25},       // within
		{10, 4, -21, -30},          // and back
		{-1e3, -1e3, 0, 0},         // nothing, before the start
		{0, 1e6, 2000009, 2000014}, // the last value holds
	} {
		if got := ramp(false).Integral(c.from, c.to); math.Abs(got-c.linear) > 1e-12*math.Abs(c.linear) {
			t.Errorf("linear from %v to %v: %v, want %v", c.from, c.to, got, c.linear)
		}
		if got := ramp(true).Integral(c.from, c.to); math.Abs(got-c.hold) > 1e-12*math.Abs(c.hold) {
			t.Errorf("hold from %v to %v: %v, want %v", c.from, c.to, got, c.hold)
		}
	}
	for _, c := range []struct{ from, to, want float64 }{{2, 4, 3}, {4, 2, 3}, {6, 6, 4}, {0, 0, 1}, {10, 30, 2}} {
		if got := ramp(false).Mean(c.from, c.to); got != c.want {
			t.Errorf("mean from %v to %v: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}

// TestSeriesIntegralIsCompensated: an hour at 250 Hz of power about 300 W loses
// nothing to its 900,000 additions. Each trapezoid between 300 W and 301 W has
// the mean 300.5 W, so that the integral is 300.5 W times the length.
func TestSeriesIntegralIsCompensated(t *testing.T) {
	const n = 900_000
	s := Series{Times: make([]float64, n+1), Values: make([]float64, n+1)}
	for i := range s.Times {
		s.Times[i], s.Values[i] = float64(i)/250, 300+float64(i%2)
	}
	want := 300.5 * float64(n) / 250
	if got := s.Integral(0, s.Duration()); math.Abs(got-want) > 2e-15*want {
		t.Errorf("integral %.17g, want %.17g", got, want)
	}
}

// TestCompensated: small terms survive large ones of either order.
func TestCompensated(t *testing.T) {
	for _, terms := range [][]float64{{1, 1e100, 1, -1e100}, {1e100, 1, 1, -1e100}, {1, 1, 1e100, -1e100}} {
		var c compensated
		for _, x := range terms {
			c.add(x)
		}
		if got := c.sum + c.lost; got != 2 {
			t.Errorf("%v: %v, want 2", terms, got)
		}
	}
}

func TestSeriesCheck(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, c := range map[string]struct {
		s    Series
		want string // "" for none
	}{
		"sound":          {*ramp(false), ""},
		"one sample":     {Series{Times: []float64{0}, Values: []float64{-4}}, ""},
		"none":           {Series{}, "it has no samples"},
		"a value short":  {Series{Times: []float64{0, 1}, Values: []float64{1}}, "2 times and 1 values"},
		"before start":   {Series{Times: []float64{-1, 1}, Values: []float64{1, 1}}, "sample 1 lies at -1 s: times count from the start"},
		"same stamp":     {Series{Times: []float64{0, 1, 1}, Values: []float64{1, 2, 3}}, "sample 3 lies at 1 s and the one before it at 1 s"},
		"backwards":      {Series{Times: []float64{0, 2, 1}, Values: []float64{1, 2, 3}}, "sample 3 lies at 1 s and the one before it at 2 s"},
		"time no number": {Series{Times: []float64{nan, 2}, Values: []float64{1, 2}}, "the time of sample 1 is NaN"},
		"time infinite":  {Series{Times: []float64{0, inf}, Values: []float64{1, 2}}, "the time of sample 2 is +Inf"},
		"no number":      {Series{Times: []float64{0, 2}, Values: []float64{1, nan}}, "the value of sample 2, at 2 s, is NaN"},
		"infinite":       {Series{Times: []float64{0, 2}, Values: []float64{-inf, 1}}, "the value of sample 1, at 0 s, is -Inf"},
	} {
		err := c.s.Check()
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.HasPrefix(err.Error(), "series: "+c.want)) {
			t.Errorf("%s: error %v, want %q", name, err, c.want)
		}
	}
}

// TestSeriesDigest: every part of the data shows, the place of the data and the
// sign of zero do not. The pinned value is that of sha256sum over the canonical
// form written by hand:
//
//	printf 'soakledger series 1 hold 1\n\0\0\0\0\0\0\0\0\x3f\xf0\0\0\0\0\0\0' | sha256sum
func TestSeriesDigest(t *testing.T) {
	one := Series{Times: []float64{0}, Values: []float64{1}, Hold: true}
	if got, want := one.Digest(), "480b1a65e99c9eff2690b0cff553046897cfc53a273eabf79e9dc1d6fe1b478f"; got != want {
		t.Errorf("digest %s, want %s", got, want)
	}
	seen := map[string]string{ramp(false).Digest(): "the original"}
	for name, change := range map[string]func(s *Series){
		"hold":           func(s *Series) { s.Hold = true },
		"a time":         func(s *Series) { s.Times[1] = math.Nextafter(4, 5) },
		"a value":        func(s *Series) { s.Values[2] = math.Nextafter(2, 3) },
		"one less":       func(s *Series) { s.Times, s.Values = s.Times[:2], s.Values[:2] },
		"swapped values": func(s *Series) { s.Values[0], s.Values[1] = s.Values[1], s.Values[0] },
	} {
		s := ramp(false)
		change(s)
		if earlier, known := seen[s.Digest()]; known {
			t.Errorf("changing %s gives the digest of %s", name, earlier)
		}
		seen[s.Digest()] = name
	}
	plus := Series{Times: []float64{0, 1}, Values: []float64{0, 1}}
	minus := Series{Times: []float64{0, 1}, Values: []float64{math.Copysign(0, -1), 1}}
	if plus.Digest() != minus.Digest() {
		t.Error("the sign of zero shows in the digest")
	}
}

// TestSeriesDigestOfMany: what lies in the second block and in the last, short
// one shows as well, once. The pinned value is that of Python's hashlib over
// struct.pack(">dd", i, 0) for each sample, behind the first line.
func TestSeriesDigestOfMany(t *testing.T) {
	s := Series{Times: make([]float64, 1500), Values: make([]float64, 1500)}
	for i := range s.Times {
		s.Times[i] = float64(i)
	}
	if got, want := s.Digest(), "813e8031d7b137a8ff4cc919223ee23709fe39cfc55757939b7b763cc452373c"; got != want {
		t.Errorf("digest %s, want %s", got, want)
	}
	seen := map[string]int{s.Digest(): -1}
	for _, i := range []int{0, 511, 512, 1023, 1024, 1499} {
		c := s.Clone()
		c.Values[i] = 1
		if earlier, known := seen[c.Digest()]; known {
			t.Errorf("sample %d shows no more than sample %d", i, earlier)
		}
		seen[c.Digest()] = i
	}
}

func TestSeriesClone(t *testing.T) {
	s := ramp(true)
	c := s.Clone()
	if !reflect.DeepEqual(s, c) {
		t.Fatalf("clone %v of %v", c, s)
	}
	c.Times[0], c.Values[0], c.Hold = 0, 9, false
	if !reflect.DeepEqual(s, ramp(true)) {
		t.Errorf("what is done to the clone shows in the original: %v", s)
	}
}

// drawSeries draws a sound series of up to 30 samples.
func drawSeries(t *rapid.T) *Series {
	steps := rapid.SliceOfN(rapid.Float64Range(1e-3, 1e3), 1, 30).Draw(t, "steps")
	s := &Series{Hold: rapid.Bool().Draw(t, "hold")}
	at := rapid.Float64Range(0, 10).Draw(t, "first")
	for _, step := range steps {
		s.Times = append(s.Times, at)
		s.Values = append(s.Values, rapid.Float64Range(-500, 500).Draw(t, "value"))
		at += step
	}
	return s
}

// TestSeriesProperties: the integral is that of a fine midpoint rule, adds up
// over a division of the interval, and values lie between the neighbours'.
func TestSeriesProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSeries(t)
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		ends := rapid.SliceOfN(rapid.Float64Range(-5, s.Duration()+20), 3, 3).Draw(t, "ends")
		slices.Sort(ends)
		a, b, c := ends[0], ends[1], ends[2]
		scale := 500 * (c - a)
		whole, parts := s.Integral(a, c), s.Integral(a, b)+s.Integral(b, c)
		if math.Abs(whole-parts) > 1e-13*scale {
			t.Errorf("integral %v, in two parts %v", whole, parts)
		}
		if got := midpoints(s, a, c); math.Abs(whole-got) > 1e-12*scale {
			t.Errorf("integral %v, by midpoints %v", whole, got)
		}
		low, high := slices.Min(s.Values), slices.Max(s.Values)
		if x := s.At(b); x < low-1e-12 || x > high+1e-12 {
			t.Errorf("value %v at %v outside %v to %v", x, b, low, high)
		}
		for i, at := range s.Times {
			if s.At(at) != s.Values[i] {
				t.Errorf("value at stamp %d is %v, want %v", i, s.At(at), s.Values[i])
			}
		}
	})
}

// midpoints integrates by the midpoint rule with At, one panel between any two
// breaks of the series: exact for lines and for steps.
func midpoints(s *Series, from, to float64) float64 {
	breaks := []float64{from}
	for _, at := range s.Times {
		if at > from && at < to {
			breaks = append(breaks, at)
		}
	}
	breaks = append(breaks, to)
	sum := 0.0
	for i := 1; i < len(breaks); i++ {
		sum += s.At(breaks[i-1]/2+breaks[i]/2) * (breaks[i] - breaks[i-1])
	}
	return sum
}

func BenchmarkSeriesDigest(b *testing.B) {
	s := Series{Times: make([]float64, 900_000), Values: make([]float64, 900_000)}
	for i := range s.Times {
		s.Times[i], s.Values[i] = float64(i)/250, 300
	}
	b.ReportAllocs()
	for b.Loop() {
		s.Digest()
	}
}
