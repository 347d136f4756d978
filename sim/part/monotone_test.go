package part

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawPairs draws points of rising x and y.
func drawPairs(t *rapid.T, least int) (x, y []float64) {
	n := rapid.IntRange(least, 8).Draw(t, "points")
	a, b := rapid.Float64Range(-5, 5).Draw(t, "x"), rapid.Float64Range(-5, 5).Draw(t, "y")
	for range n {
		x, y = append(x, a), append(y, b)
		a += rapid.Float64Range(0.05, 3).Draw(t, "dx")
		b += rapid.Float64Range(0.01, 3).Draw(t, "dy")
	}
	return x, y
}

// Property: the curve meets its points, rises everywhere, and is the integral
// of the slope it returns; a falling curve is the rising one turned over.
func TestMonotoneCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPairs(t, 2)
		m := newMonotone(x, y)
		turned := make([]float64, len(y))
		for i := range y {
			turned[i] = -y[i]
		}
		down := newMonotone(x, turned)
		for i := range x {
			if got, _ := m.at(x[i]); math.Abs(got-y[i]) > 1e-12 {
				t.Fatalf("at %g: %g, want %g", x[i], got, y[i])
			}
		}
		last := math.Inf(-1)
		for i := range 200 {
			p := x[0] + (x[len(x)-1]-x[0])*float64(i)/199
			v, s := m.at(p)
			if !(v > last) || !(s >= 0) {
				t.Fatalf("at %g: %g with slope %g follows %g", p, v, s, last)
			}
			last = v
			if a, b := down.at(p); math.Abs(a+v) > 1e-12 || math.Abs(b+s) > 1e-10 {
				t.Fatalf("at %g the falling curve is %g, %g, the rising one %g, %g", p, a, b, v, s)
			}
		}
	})
}

// Property: the slope is one and the same from both sides of a point, and that
// of a difference within.
func TestMonotoneSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPairs(t, 3)
		m := newMonotone(x, y)
		for i := 1; i < len(x)-1; i++ {
			_, left := m.at(math.Nextafter(x[i], -10))
			_, right := m.at(math.Nextafter(x[i], 100))
			if math.Abs(left-right) > 1e-6*(1+left) {
				t.Fatalf("slope %g before and %g after point %d", left, right, i)
			}
		}
		p := x[0] + (x[1]-x[0])*rapid.Float64Range(0.1, 0.9).Draw(t, "place")
		const h = 1e-5
		a, _ := m.at(p - h)
		b, _ := m.at(p + h)
		if _, s := m.at(p); math.Abs((b-a)/(2*h)-s) > 1e-4*(1+s) {
			t.Fatalf("slope at %g is %g, by difference %g", p, s, (b-a)/(2*h))
		}
	})
}

// A straight line stays one, end slopes included.
func TestMonotoneLine(t *testing.T) {
	m := newMonotone([]float64{0, 1, 3, 4.5}, []float64{1, 3, 7, 10})
	for _, p := range []float64{0, 0.3, 1, 2.2, 4.5} {
		if v, s := m.at(p); math.Abs(v-1-2*p) > 1e-14 || math.Abs(s-2) > 1e-14 {
			t.Errorf("at %g: %g, slope %g", p, v, s)
		}
	}
}

// Fritsch & Butland's mean: equal widths and secants 1 and 3 give 1.5. (Computed
// by hand from 2 d0 d1/(d0 + d1).)
func TestMonotoneHarmonicMean(t *testing.T) {
	if m := newMonotone([]float64{0, 1, 2}, []float64{0, 1, 4}); math.Abs(m.slope[1]-1.5) > 1e-15 {
		t.Errorf("slope %g, want 1.5", m.slope[1])
	}
	if s := harmonic(1, 1, 1, -1); s != 0 {
		t.Errorf("slope %g at a turn, want 0", s)
	}
	if s := endSlope(1, 1, 0, 2); s != 0 {
		t.Errorf("slope %g at a flat end, want 0", s)
	}
}

func TestLimitEnds(t *testing.T) {
	m := newMonotone([]float64{0, 1, 2}, []float64{0, 3, 3.3})
	m.limitEnds(1, 2)
	if m.slope[0] != 2 { // secant 3, so up to 7.5 would be monotone
		t.Errorf("first slope %g, want 2", m.slope[0])
	}
	if got, want := m.slope[2], 2.5*0.3; math.Abs(got-want) > 1e-12 { // 1 would turn back
		t.Errorf("last slope %g, want %g", got, want)
	}
}

func TestCheckPairs(t *testing.T) {
	for want, c := range map[string][2][]float64{
		"1 figures of b for 2 of a":            {{1, 2}, {1}},
		"0 figures of b for 0 of a":            {{}, {}},
		"point 1 (a -1, b 1) cannot be":        {{-1}, {1}},
		"point 2 (a 1, b NaN) cannot be":       {{0, 1}, {1, math.NaN()}},
		"a must rise from point to point, but": {{0, 2, 2}, {1, 2, 3}},
		"b must rise with a, but 1 follows 1":  {{0, 2}, {1, 1}},
	} {
		err := checkPairs("a", c[0], "b", c[1], 0, true)
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	if err := checkPairs("a", []float64{0, 2}, "b", []float64{1, 2}, 0, false); err == nil || !strings.Contains(err.Error(), "must fall") {
		t.Errorf("a rising head gives %v", err)
	}
	if err := checkPairs("a", []float64{0, 2}, "b", []float64{2, 1}, 0, false); err != nil {
		t.Error(err)
	}
}
