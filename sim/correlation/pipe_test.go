package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// Darcy factors computed independently in double precision; the last row is also printed in
// the documentation of an open-source fluid-dynamics library.
func TestPipeFrictionTable(t *testing.T) {
	for _, c := range []struct {
		re, roughness                 float64
		colebrook, haaland, churchill string
	}{
		{1000, 0, "", "", ".064000"},
		{2300, 0, "", "", ".030840"},
		{3000, 0, "", "", ".042975"},
		{4000, 0, ".039907", ".040423", ".040590"},
		{1e4, 0, ".030883", ".030886", ".031002"},
		{1e4, 1e-3, ".032382", ".032175", ".032690"},
		{1e5, 1e-4, ".018513866077", ".018265053015", ".018462624566"},
	} {
		what := fmt.Sprintf("Re %g, roughness %g: ", c.re, c.roughness)
		printed(t, what+"Churchill", correlation.DarcyChurchill(c.re, c.roughness), c.churchill)
		if c.colebrook != "" {
			printed(t, what+"Colebrook", correlation.DarcyColebrook(c.re, c.roughness), c.colebrook)
			printed(t, what+"Haaland", correlation.DarcyHaaland(c.re, c.roughness), c.haaland)
		}
	}
	printed(t, "laminar, 1000", correlation.DarcyLaminar(1000), ".064")
	printed(t, "laminar, 2300", correlation.DarcyLaminar(2300), ".027826")
	printed(t, "Petukhov, 3000", correlation.DarcyPetukhov(3000), ".045559")
	printed(t, "Blasius, 4000", correlation.DarcyBlasius(4000), ".039785")
	printed(t, "Blasius, 1e4", correlation.DarcyBlasius(1e4), ".031640")
}

// The solution satisfies its own equation to the rounding error, wherever it is asked.
func TestColebrookResidual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		re := positive(t, "re", 2, 10)
		roughness := rapid.Float64Range(0, .5).Draw(t, "roughness")
		f := correlation.DarcyColebrook(re, roughness)
		left := 1 / math.Sqrt(f)
		right := -2 * math.Log10(roughness/3.7+2.51/(re*math.Sqrt(f)))
		if !(math.Abs(left-right) <= 1e-12*left) {
			t.Fatalf("Re %g, roughness %g: %.16g and %.16g", re, roughness, left, right)
		}
	})
}

// The explicit laws stay near the implicit one over their stated range: Haaland within 2 %;
// Churchill within 3.5 % (common practice, no source, measured here); Petukhov and Blasius
// within 3 % for smooth pipes.
func TestPipeFrictionAgreement(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		re := positive(t, "re", math.Log10(5000), 8)
		roughness := positive(t, "roughness", -6, math.Log10(.05))
		want := correlation.DarcyColebrook(re, roughness)
		if got := correlation.DarcyHaaland(re, roughness); math.Abs(got/want-1) > .02 {
			t.Fatalf("Haaland %g, Colebrook %g", got, want)
		}
		if got := correlation.DarcyChurchill(re, roughness); math.Abs(got/want-1) > .035 {
			t.Fatalf("Churchill %g, Colebrook %g", got, want)
		}
		if re < 1e5 {
			want = correlation.DarcyColebrook(re, 0)
			for _, got := range []float64{correlation.DarcyPetukhov(re), correlation.DarcyBlasius(re)} {
				if math.Abs(got/want-1) > .035 {
					t.Fatalf("smooth: %g, Colebrook %g at Re %g", got, want, re)
				}
			}
		}
	})
}

// Churchill's friction stands inside a smooth right-hand side over the whole range of flow.
func TestChurchillFrictionSmooth(t *testing.T) {
	for _, roughness := range []float64{0, 1e-4, .02} {
		byLog := func(u float64) float64 { return math.Log(correlation.DarcyChurchill(math.Exp(u), roughness)) }
		if !smooth(byLog, -3, 17) {
			t.Errorf("roughness %g: kink over the whole range", roughness)
		}
		drop := func(re float64) float64 { return correlation.DarcyReynoldsChurchill(re, roughness) * re }
		if !smooth(drop, 1500, 6000) {
			t.Errorf("roughness %g: kink of the pressure drop", roughness)
		}
		for _, re := range []float64{0, 1e-300, 1, 500} {
			if math.Abs(drop(re)-64*re) > 1e-10*re {
				t.Errorf("roughness %g: pressure drop not linear at Re %g", roughness, re)
			}
		}
	}
	if got := correlation.DarcyReynoldsChurchill(0, 1e-3); got != 64 {
		t.Errorf("f Re at rest %g, want 64", got)
	}
}

// A larger flow always meets a larger pressure drop, through the transition too, so that an
// operating point is unique; and rougher pipes never resist less once turbulent.
func TestChurchillFrictionMonotone(t *testing.T) {
	for _, roughness := range []float64{0, 1e-4, 1e-2} {
		last := 0.0
		for re := 1e-3; re < 1e8; re *= 1.01 {
			drop := correlation.DarcyReynoldsChurchill(re, roughness) * re
			if !(drop > last) {
				t.Fatalf("pressure drop falls at Re %g, roughness %g", re, roughness)
			}
			last = drop
			f := correlation.DarcyChurchill(re, roughness)
			if re < 1500 && math.Abs(f*re-64) > .01 {
				t.Fatalf("Re %g is laminar, yet f Re = %g", re, f*re)
			}
			if re > 4000 && correlation.DarcyChurchill(re, roughness*2) < f {
				t.Fatalf("rougher pipe resists less at Re %g", re)
			}
		}
	}
}

func TestTurbulentFrictionHeld(t *testing.T) {
	for name, f := range map[string]func(float64) float64{
		"Petukhov":  correlation.DarcyPetukhov,
		"Haaland":   func(re float64) float64 { return correlation.DarcyHaaland(re, 1e-3) },
		"Colebrook": func(re float64) float64 { return correlation.DarcyColebrook(re, 1e-3) },
	} {
		if f(1) != f(100) || f(7.97) != f(100) || f(101) == f(100) {
			t.Errorf("%s is not held below Re 100", name)
		}
	}
	if correlation.DarcyColebrook(1e5, 4) != correlation.DarcyColebrook(1e5, .5) ||
		correlation.DarcyHaaland(1e5, 4) != correlation.DarcyHaaland(1e5, .5) ||
		correlation.DarcyHaaland(1e5, -1) != correlation.DarcyHaaland(1e5, 0) {
		t.Error("roughness is not held to 0..0.5")
	}
	for name, f := range map[string]func(){
		"Churchill": func() { correlation.DarcyChurchill(3e3, 1e-4) },
		"Colebrook": func() { correlation.DarcyColebrook(3e3, 1e-4) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %g allocations", name, n)
		}
	}
}

func ExampleDarcyChurchill() {
	// Water at 30 °C, 4 L/min in a smooth tube of 10 mm bore, a metre of it.
	const bore, density, viscosity = 0.010, 995.6, 0.797e-3
	v := 4.0 / 60e3 / (math.Pi / 4 * bore * bore)
	re := correlation.Reynolds(v, bore, viscosity/density)
	drop := correlation.DarcyChurchill(re, 0) / bore * density * v * v / 2
	fmt.Printf("Re %.0f: %.2f kPa\n", re, drop/1e3)
	// Output: Re 10603: 1.09 kPa
}

func BenchmarkDarcyChurchill(b *testing.B) {
	for b.Loop() {
		correlation.DarcyChurchill(3e3, 1e-4)
	}
}

// Roots and products stand for the powers of the formula, and the slope for differences.
func TestChurchillFrictionByPowers(t *testing.T) {
	literal := func(re, roughness float64) float64 {
		a := math.Pow(2.457*math.Log(1/(math.Pow(7/re, .9)+.27*roughness)), 16)
		b := math.Pow(37530/re, 16)
		return re * 8 * math.Pow(math.Pow(8/re, 12)+math.Pow(a+b, -1.5), 1.0/12)
	}
	for _, roughness := range []float64{0, 1e-4, .02} {
		for re := 10.0; re < 1e7; re *= 1.3 {
			fRe, slope := correlation.DarcyReynoldsChurchillSlope(re, roughness)
			if want := literal(re, roughness); math.Abs(fRe-want) > 1e-13*want {
				t.Errorf("Re %g, roughness %g: f Re %g, want %g", re, roughness, fRe, want)
			}
			h := 1e-4 * re
			want := (literal(re+h, roughness) - literal(re-h, roughness)) / (2 * h)
			if math.Abs(slope-want) > 1e-6*math.Abs(want)+1e-11*fRe/re/1e-4 {
				t.Errorf("Re %g, roughness %g: slope %g, want %g", re, roughness, slope, want)
			}
		}
	}
}
