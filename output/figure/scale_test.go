package figure

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// marked prints the marks of a scale.
func marked(s *scale) string {
	var texts []string
	for _, m := range s.marks {
		texts = append(texts, s.text(m))
	}
	return strings.Join(texts, " ")
}

func TestScaleMarks(t *testing.T) {
	tests := []struct {
		low, high float64
		most      int
		want      string
	}{
		{22, 33, 6, "22 24 26 28 30 32"},
		{22, 33, 3, "25 30"},
		{-3, 4, 8, "-3 -2 -1 0 1 2 3 4"},
		{22, 22, 6, "21.6 21.8 22.0 22.2 22.4"}, // a machine that rests has a degree around it
		{22, 22.004, 4, "21.5 22.0 22.5"},       // likewise
		{600, 1900, 5, "1000 1500"},
		{0, 4.2e8, 4, "0 2e+08 4e+08"},
		{0.1, 0.9, 11, "0.0 0.1 0.2 0.3 0.4 0.5 0.6 0.7 0.8 0.9 1.0"},
	}
	for _, test := range tests {
		s := newScale(test.low, test.high, test.most)
		if got := marked(&s); got != test.want {
			t.Errorf("%g to %g, at most %d marks: %s, want %s", test.low, test.high, test.most, got, test.want)
		}
	}
}

func TestTimeScaleMarks(t *testing.T) {
	const minute, hour = 60, 3600
	tests := []struct {
		from, to float64
		most     int
		want     string
	}{
		{0, 0.5, 5, "s: 0.0 0.2 0.4 0.6 0.8 1.0"}, // a lone row has a second to stand in
		{0, 45, 10, "s: 0 5 10 15 20 25 30 35 40 45"},
		{0, 3 * minute, 7, "s: 0 30 60 90 120 150 180"},
		{0, 10 * minute, 10, "min: 0 1 2 3 4 5 6 7 8 9 10"},
		{0, 80 * minute, 9, "min: 0 10 20 30 40 50 60 70 80"},
		{0, 3 * hour, 7, "min: 0 30 60 90 120 150 180"},
		{0, 4 * hour, 8, "h: 0.0 0.5 1.0 1.5 2.0 2.5 3.0 3.5 4.0"},
		{0, 8 * hour, 10, "h: 0 1 2 3 4 5 6 7 8"},
		{0, 48 * hour, 5, "h: 0 12 24 36 48"},
		{0, 1000 * hour, 6, "h: 0 200 400 600 800 1000"},
		{-10 * minute, 20 * minute, 7, "min: -10 -5 0 5 10 15 20"},
	}
	for _, test := range tests {
		s, unit := timeScale(test.from, test.to, test.most)
		if got := unit.name + ": " + marked(&s); got != test.want {
			t.Errorf("%g to %g s, at most %d: %s, want %s", test.from, test.to, test.most, got, test.want)
		}
	}
}

// Marks are inside, evenly apart, told apart when printed, and not too many; the
// values have room.
func TestScaleProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		high := low + rapid.Float64Range(0, 1e6).Draw(t, "span")
		most := rapid.IntRange(2, 30).Draw(t, "most")
		timed, _ := timeScale(low, high, most)
		for _, s := range []scale{newScale(low, high, most), loadScale(low, high, most), timed} {
			if n := len(s.marks); n > most+1 || n < 1 && most > 2 {
				t.Fatalf("%d marks, at most %d are wanted: %+v", n, most, s)
			}
			texts := map[string]bool{}
			for i, m := range s.marks {
				if at := s.at(m); at < -1e-6 || at > 1+1e-6 {
					t.Fatalf("mark %g lies at %g: %+v", m, at, s)
				}
				if i > 1 {
					if a, b := m-s.marks[i-1], s.marks[1]-s.marks[0]; math.Abs(a-b) > 1e-6*b {
						t.Fatalf("marks are %g and %g apart: %+v", a, b, s)
					}
				}
				texts[s.text(m)] = true
			}
			if len(texts) != len(s.marks) {
				t.Fatalf("marks read alike: %s", marked(&s))
			}
		}
		s := newScale(low, high, most)
		if s.at(low) < 0.02 || s.at(high) > 0.98 {
			t.Fatalf("values reach the edges: %g, %g", s.at(low), s.at(high))
		}
	})
}

func TestDecimalStep(t *testing.T) {
	for _, test := range []struct {
		span float64
		most int
		want float64
	}{{10, 10, 1}, {10, 9, 2}, {10, 5, 2}, {10, 4, 5}, {10, 2, 5}, {11, 2, 10}, {1, 10, 0.1}, {0.7, 10, 0.1}, {1000, 10, 100}, {1e-3, 10, 1e-4}} {
		if got := decimalStep(test.span, test.most); math.Abs(got-test.want) > 1e-12*test.want {
			t.Errorf("%g in %d: %g, want %g", test.span, test.most, got, test.want)
		}
	}
	if !slices.IsSortedFunc(timeUnits[:], func(a, b timeUnit) int { return int(math.Copysign(1, a.upTo-b.upTo)) }) {
		t.Error("units of time are out of order")
	}
}
