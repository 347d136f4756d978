package correlation

import (
	"math"
	"testing"
)

// Abramowitz & Stegun 1964, Tables 9.8 and 9.11 (values from memory, not checked against
// the source).
func TestBesselPublished(t *testing.T) {
	for _, c := range []struct {
		name  string
		got   float64
		value float64
	}{
		{"I0(1)", besselI(0, 1) * math.E, 1.2660658778},
		{"I1(1)", besselI(1, 1) * math.E, 0.5651591040},
		{"K0(1)", besselK(0, 1) / math.E, 0.4210244382},
		{"K1(1)", besselK(1, 1) / math.E, 0.6019072302},
	} {
		if math.Abs(c.got-c.value) > 1e-10 {
			t.Errorf("%s = %.12f, want %.10f", c.name, c.got, c.value)
		}
	}
}

// The Wronskian I0 K1 + I1 K0 = 1/x holds for every x (Abramowitz & Stegun 1964, eq.
// 9.6.15) and fails with any one of the four wrong.
func TestBesselWronskian(t *testing.T) {
	for x := 1e-8; x < 1e12; x *= 1.7 {
		got := x * (besselI(0, x)*besselK(1, x) + besselI(1, x)*besselK(0, x))
		if math.Abs(got-1) > 1e-13 {
			t.Errorf("x %g: x (I0 K1 + I1 K0) = %.16g", x, got)
		}
	}
}

// The power series of I0 and I1, an independent route.
func TestBesselSeries(t *testing.T) {
	for _, x := range []float64{1e-9, 1e-3, .5, 3, 20, 49, 51, 300} {
		sum, term := 0.0, 1.0
		for k := 1.0; term > 1e-18*sum; k++ {
			sum += term
			term *= x * x / 4 / (k * k)
		}
		if got := besselI(0, x) * math.Exp(x); math.Abs(got-sum) > 1e-14*sum {
			t.Errorf("I0(%g) = %.16g, series %.16g", x, got, sum)
		}
		sum, term = 0.0, x/2
		for k := 1.0; term > 1e-18*sum; k++ {
			sum += term
			term *= x * x / 4 / (k * (k + 1))
		}
		if got := besselI(1, x) * math.Exp(x); math.Abs(got-sum) > 1e-14*sum {
			t.Errorf("I1(%g) = %.16g, series %.16g", x, got, sum)
		}
	}
}
