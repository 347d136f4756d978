package work

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The standard library's functions are the independent check here: ours must
// agree with them, but need not have the same last bit.

func TestLnAndExp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.OneOf(rapid.Float64Range(0x1p-53, 1), rapid.Float64Range(0.99, 1.01), rapid.Float64Range(1, 1e300)).Draw(t, "x")
		if got, want := ln(x), math.Log(x); math.Abs(got-want) > 5e-16*math.Abs(want) {
			t.Fatalf("ln %v is %v, want %v", x, got, want)
		}
		y := rapid.Float64Range(-700, 700).Draw(t, "y")
		if got, want := exp(y), math.Exp(y); math.Abs(got-want) > 7e-16*want {
			t.Fatalf("e^%v is %v, want %v", y, got, want)
		}
	})
	// The series needs its last terms at the ends of the range that it is for.
	for _, x := range []float64{0.70711, 0.7072, 1.4141, 1.41421} {
		if got, want := ln(x), math.Log(x); math.Abs(got-want) > 5e-16*math.Abs(want) {
			t.Errorf("ln %v is %v, want %v", x, got, want)
		}
	}
	for x, want := range map[float64]float64{0: 1, 710: math.Inf(1), math.Inf(1): math.Inf(1), -746: 0, math.Inf(-1): 0} {
		if got := exp(x); got != want {
			t.Errorf("e^%v is %v", x, got)
		}
	}
	if ln(1) != 0 {
		t.Errorf("ln 1 is %v", ln(1))
	}
}

func TestNormal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-8.5, 8.5).Draw(t, "z")
		if got, want := normalShare(z), 0.5*math.Erfc(-z/math.Sqrt2); math.Abs(got-want) > 3e-15 {
			t.Fatalf("%v lie below %v, want %v", got, z, want)
		}
		p := rapid.OneOf(rapid.Float64Range(1e-17, 1), rapid.Float64Range(1e-300, 1e-5)).Draw(t, "p")
		p = math.Min(p, 1-0x1p-53)
		// erfc, not an inverse of it: z must have p below it. The slope of ln p
		// over z is at most |z| + 1 in size.
		got := normalQuantile(p)
		if share := 0.5 * math.Erfc(-got/math.Sqrt2); math.Abs(math.Log(share/p)) > 4e-15*(1+got*got) {
			t.Fatalf("%v of all lie below %v, want %v", share, got, p)
		}
	})
	if normalShare(math.Inf(-1)) != 0 || normalShare(math.Inf(1)) != 1 {
		t.Error("not all lies between the ends of the line")
	}
}
