package log

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/spec"
)

// TestMerge merges by hand.
func TestMerge(t *testing.T) {
	for name, c := range map[string]struct {
		s       spec.Series
		width   float64
		want    spec.Series
		finding string
	}{
		"steps": {
			spec.Series{Times: []float64{0, 1, 2, 3, 4}, Values: []float64{10, 20, 30, 40, 50}, Hold: true}, 2,
			spec.Series{Times: []float64{0, 2, 4}, Values: []float64{15, 35, 50}, Hold: true},
			"merged: 5 samples became 3, steps of at least 2 s with the same integral",
		},
		"lines": {
			spec.Series{Times: []float64{0, 1, 2, 3, 4}, Values: []float64{10, 20, 30, 40, 50}}, 2,
			spec.Series{Times: []float64{0, 2, 4}, Values: []float64{20, 40, 50}, Hold: true},
			"merged: 5 samples became 3, steps of at least 2 s with the same integral",
		},
		"a rest joins the last window": {
			spec.Series{Times: []float64{1, 2, 3, 4, 5, 6}, Values: []float64{1, 2, 3, 4, 5, 6}, Hold: true}, 2,
			spec.Series{Times: []float64{1, 3, 6}, Values: []float64{1.5, 4, 6}, Hold: true},
			"merged: 6 samples became 3, steps of at least 2 s with the same integral",
		},
		"rounded stamps": { // 0.6 - 0.30000000000000004 is less than 0.3
			spec.Series{Times: []float64{0, 0.1, 0.2, 0.30000000000000004, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9}, Values: []float64{1, 1, 1, 2, 2, 2, 3, 3, 3, 4}, Hold: true}, 0.3,
			spec.Series{Times: []float64{0, 0.30000000000000004, 0.6, 0.9}, Values: []float64{1, 2, 3, 4}, Hold: true},
			"merged: 10 samples became 4, steps of at least 300 ms with the same integral",
		},
		"one window": {
			spec.Series{Times: []float64{0, 1, 3}, Values: []float64{3, 6, 9}, Hold: true}, 100,
			spec.Series{Times: []float64{0, 3}, Values: []float64{5, 9}, Hold: true},
			"merged: 3 samples became 2, steps of at least 100 s with the same integral",
		},
		"sparse": {
			spec.Series{Times: []float64{0, 10, 25}, Values: []float64{3, 6, 9}, Hold: true}, 10,
			spec.Series{Times: []float64{0, 10, 25}, Values: []float64{3, 6, 9}, Hold: true},
			"merged: 3 samples became 3, steps of at least 10 s with the same integral",
		},
		"one sample": {
			spec.Series{Times: []float64{4}, Values: []float64{3}}, 1,
			spec.Series{Times: []float64{4}, Values: []float64{3}, Hold: true},
			"merged: 1 sample became 1, steps of at least 1 s with the same integral",
		},
	} {
		before := c.s.Clone()
		got, finding, err := Merge(&c.s, c.width)
		if err != nil || !slices.Equal(got.Times, c.want.Times) || !slices.Equal(got.Values, c.want.Values) || !got.Hold || finding != c.finding {
			t.Errorf("%s: %+v, %q, %v; want %+v", name, got, finding, err, c.want)
		}
		if c.s.Digest() != before.Digest() {
			t.Errorf("%s: the series was changed", name)
		}
	}
}

func TestMergeErrors(t *testing.T) {
	sound := &spec.Series{Times: []float64{0, 1}, Values: []float64{1, 2}}
	for _, width := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, _, err := Merge(sound, width); err == nil || !strings.HasPrefix(err.Error(), "merging a log: a window of ") {
			t.Errorf("width %v: %v", width, err)
		}
	}
	if _, _, err := Merge(&spec.Series{}, 1); err == nil || !strings.HasPrefix(err.Error(), "merging a log: series: ") {
		t.Errorf("an empty series: %v", err)
	}
}

// TestMergeOfAnHour: 250 Hz become 1 Hz in windows of 250 samples each, in
// spite of rounded stamps, and the energy stays to 1e-12. The energy of steps
// of 300 W to 306 W in turn is that of whole turns of 7 plus the rest:
// 899,999 = 128,571 x 7 + 2 steps, 128,571 x 2121 + 300 + 301 steps of 4 ms.
func TestMergeOfAnHour(t *testing.T) {
	s := &spec.Series{Times: make([]float64, 900_000), Values: make([]float64, 900_000), Hold: true}
	for i := range s.Times {
		s.Times[i], s.Values[i] = float64(i)*0.004, float64(300+i%7)
	}
	m, finding, err := Merge(s, 1)
	if err != nil || finding != "merged: 900000 samples became 3600, steps of at least 1 s with the same integral" {
		t.Fatal(finding, err)
	}
	want := (128_571*2121 + 601) * 0.004
	for name, got := range map[string]float64{"log": s.Integral(0, 3600-0.004), "merged": m.Integral(0, 3600-0.004)} {
		if math.Abs(got-want) > 1e-12*want {
			t.Errorf("energy of the %s is %.17g J, want %.17g J", name, got, want)
		}
	}
	for i := 1; i < len(m.Times)-1; i++ {
		if at := m.Times[i]; math.Abs(at-float64(i)) > 1e-9 {
			t.Fatalf("window %d begins at %v", i, at)
		}
	}
}

// TestMergeKeepsEnergy: over the whole and over any windows, at least as wide
// as asked for, from the first stamp to the last, with means between extremes.
func TestMergeKeepsEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &spec.Series{Hold: rapid.Bool().Draw(t, "hold")}
		at := rapid.Float64Range(0, 5).Draw(t, "first")
		for range rapid.IntRange(1, 60).Draw(t, "samples") {
			s.Times, s.Values = append(s.Times, at), append(s.Values, rapid.Float64Range(-10, 500).Draw(t, "value"))
			at += rapid.Float64Range(1e-3, 3).Draw(t, "step")
		}
		width := rapid.Float64Range(1e-3, 20).Draw(t, "width")
		m, _, err := Merge(s, width)
		if err != nil || m.Check() != nil || len(m.Times) > len(s.Times) {
			t.Fatal(m, err)
		}
		first, last := s.Times[0], s.Duration()
		if m.Times[0] != first || m.Duration() != last || m.At(last) != s.At(last) {
			t.Fatalf("from %v to %v became %v to %v", first, last, m.Times[0], m.Duration())
		}
		limit := 1e-12 * 500 * (last - first)
		for i := 1; i < len(m.Times); i++ {
			begin, end := m.Times[i-1], m.Times[i]
			if math.Abs(m.Integral(begin, end)-s.Integral(begin, end)) > limit || math.Abs(m.Integral(first, end)-s.Integral(first, end)) > limit {
				t.Fatalf("window from %v to %v loses energy", begin, end)
			}
			if whole := last - first; end-begin < width*(1-2e-9) && end-begin < whole {
				t.Fatalf("window from %v to %v is less than %v wide", begin, end, width)
			}
			if _, found := slices.BinarySearch(s.Times, begin); !found {
				t.Fatalf("window begins at %v, which is no stamp", begin)
			}
		}
	})
}
