package record

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// fromRoots multiplies out (theta - r) for every root.
func fromRoots(scale float64, roots ...float64) Polynomial {
	p := Polynomial{scale}
	for _, r := range roots {
		var q Polynomial
		for k := range 4 {
			q[k+1] += p[k]
			q[k] -= r * p[k]
		}
		p = q
	}
	return p
}

func TestCrossings(t *testing.T) {
	for _, c := range []struct {
		name  string
		p     Polynomial
		level float64
		want  []float64
	}{
		{"a line", Polynomial{2, 4}, 3, []float64{0.25}},
		{"a line that ends on the level", Polynomial{2, 4}, 6, []float64{1}},
		{"a line that starts on the level", Polynomial{2, 4}, 2, nil},
		{"a constant on the level", Polynomial{2}, 2, nil},
		{"a constant beside it", Polynomial{2}, 3, nil},
		{"two passings", fromRoots(1, 0.2, 0.7), 0, []float64{0.2, 0.7}},
		{"one inside", fromRoots(1, -0.2, 0.7), 0, []float64{0.7}},
		{"three", fromRoots(-3, 0.1, 0.5, 0.9), 0, []float64{0.1, 0.5, 0.9}},
		{"four", fromRoots(2, 0.1, 0.3, 0.5, 0.9), 0, []float64{0.1, 0.3, 0.5, 0.9}},
		{"none between", Polynomial{1, 0, 1}, 0.5, nil},
	} {
		got := c.p.Crossings(c.level, nil)
		if !slices.EqualFunc(got, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) {
			t.Errorf("%s: crossings at %v, want %v", c.name, got, c.want)
		}
	}
}

// Property: the extremes bound a fine sampling, are reached where they say,
// and lie inside Bounds.
func TestExtremes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p Polynomial
		for k := range p {
			p[k] = rapid.Float64Range(-10, 10).Draw(t, "coefficient")
		}
		low, lowAt, high, highAt := p.Extremes()
		if p.At(lowAt) != low || p.At(highAt) != high {
			t.Fatalf("extremes %g at %g and %g at %g are not the values there", low, lowAt, high, highAt)
		}
		if a, b := p.Bounds(); low < a-1e-12 || high > b+1e-12 {
			t.Fatalf("extremes %g, %g leave the bounds %g, %g", low, high, a, b)
		}
		for i := range 1001 {
			if v := p.At(float64(i) / 1000); v < low-1e-9 || v > high+1e-9 {
				t.Fatalf("value %g at %g lies outside %g to %g", v, float64(i)/1000, low, high)
			}
		}
	})
}

// Property: between crossings of a level the sign does not change.
func TestCrossingsSeparateSigns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p Polynomial
		for k := range p {
			p[k] = rapid.Float64Range(-10, 10).Draw(t, "coefficient")
		}
		level := rapid.Float64Range(-10, 10).Draw(t, "level")
		at := p.Crossings(level, nil)
		if !slices.IsSorted(at) {
			t.Fatalf("crossings %v are not ascending", at)
		}
		ends := append([]float64{0}, append(at, 1)...)
		for i := range ends[1:] {
			a, b := ends[i], ends[i+1]
			sign := 0.0
			for k := 1; k < 100; k++ {
				v := p.At(a+(b-a)*float64(k)/100) - level
				if math.Abs(v) < 1e-9 {
					continue
				}
				if sign != 0 && (v > 0) != (sign > 0) {
					t.Fatalf("sign changes between %g and %g", a, b)
				}
				sign = v
			}
		}
	})
}

func TestGridTimesAreProducts(t *testing.T) {
	g := NewGrid(0.1)
	for range 1000 {
		g.Advance()
	}
	if got := g.Next(); got != 1000*0.1 {
		t.Errorf("time 1000 is %v, want %v", got, 1000*0.1)
	}
	if got := g.Count(0.5); got != 6 {
		t.Errorf("%d times up to 0.5 s, want 6", got)
	}
}

// Property: Fill writes what At returns, and Within is right when it says yes
// and, within the bounds, when it says no.
func TestFillAndWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p Polynomial
		for k := range p {
			p[k] = rapid.Float64Range(-10, 10).Draw(t, "coefficient")
		}
		thetas := rapid.SliceOfN(rapid.Float64Range(0, 1), 0, 5).Draw(t, "thetas")
		values := make([]float64, len(thetas))
		p.Fill(thetas, values)
		for k, theta := range thetas {
			if values[k] != p.At(theta) {
				t.Fatalf("Fill gives %g at %g, At %g", values[k], theta, p.At(theta))
			}
		}
		low, high := rapid.Float64Range(-60, 0).Draw(t, "low"), rapid.Float64Range(0, 60).Draw(t, "high")
		a, _, b, _ := p.Extremes()
		if p.Within(low, high) && (a < low || b > high) {
			t.Fatalf("values %g to %g count as within %g to %g", a, b, low, high)
		}
		if a, b := p.Bounds(); !p.Within(low, high) && a >= low && b <= high {
			t.Fatalf("bounds %g to %g do not count as within %g to %g", a, b, low, high)
		}
	})
}

// A component that settles, or is a straight line, has exact bounds.
func TestBoundsOfASettlingComponent(t *testing.T) {
	for _, p := range []Polynomial{{300, 8}, {300, -8}, {300, 10, -6, 1.5}, {310, -10, 6, -1.5}, {300}, {300, 4, -2, 0.7, -0.1}} {
		low, high := p.Bounds()
		if a, b := min(p[0], p.At(1)), max(p[0], p.At(1)); low != a || high != b {
			t.Errorf("%v: bounds %g to %g, want the ends %g to %g", p, low, high, a, b)
		}
	}
}

// The bounds are those of the control points: of 16 theta^2 (1-theta)^2 they are
// 0, 0, 16/6, 0, 0, though its largest value is 1.
func TestBoundsAreTheControlPoints(t *testing.T) {
	p := Polynomial{0, 0, 16, -32, 16}
	if low, high := p.Bounds(); low != 0 || math.Abs(high-16.0/6) > 1e-15 {
		t.Errorf("bounds %g to %g, want 0 to %g", low, high, 16.0/6)
	}
}

// Shifted values are those of the polynomial with the shift in its first term.
func TestFillShifted(t *testing.T) {
	p := Polynomial{300, -2, 3, 0.5, -0.25}
	thetas := []float64{0, 0.125, 0.5, 1}
	got := make([]float64, len(thetas))
	p.FillShifted(-273.15, thetas, got)
	moved := p
	moved[0] -= 273.15
	for i, theta := range thetas {
		if want := moved.At(theta); got[i] != want {
			t.Errorf("at %g %v, want %v", theta, got[i], want)
		}
	}
	if p[0] != 300 {
		t.Errorf("the polynomial itself was shifted to %g", p[0])
	}
}
