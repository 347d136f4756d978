package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// Computed independently in double precision from the formulas of Hausen 1943, Baehr &
// Stephan 1998, Stephan 1959 and Edwards et al. 1979.
func TestDevelopingFlowTable(t *testing.T) {
	for _, c := range []struct {
		gz                                                  float64
		hausen, baehrAir, baehrWater, stephan, water, plain string
	}{
		{1, "3.7242", "3.7740", "3.7104", "7.5732", "7.5729", "7.5695"},
		{10, "4.2234", "4.5470", "4.2741", "7.8388", "7.8248", "7.8193"},
		{50, "5.8248", "7.0494", "6.3064", "9.0196", "8.8671", "8.7724"},
		{100, "7.2480", "9.1222", "7.9710", "10.3350", "9.9609", "9.7710"},
		{500, "13.1491", "18.0803", "14.9768", "17.7859", "15.7057", "15.0104"},
	} {
		what := fmt.Sprintf("Gz %g: ", c.gz)
		printed(t, what+"Hausen", correlation.NusseltHausen(c.gz), c.hausen)
		printed(t, what+"Baehr-Stephan Pr .7", correlation.NusseltBaehrStephan(c.gz, .7), c.baehrAir)
		printed(t, what+"Baehr-Stephan Pr 5", correlation.NusseltBaehrStephan(c.gz, 5), c.baehrWater)
		printed(t, what+"Stephan Pr .7", correlation.NusseltPlatesStephan(c.gz, .7), c.stephan)
		printed(t, what+"Stephan Pr 5", correlation.NusseltPlatesStephan(c.gz, 5), c.water)
		printed(t, what+"Edwards", correlation.NusseltPlatesEdwards(c.gz), c.plain)
	}
}

// Documentation of an open-source heat-transfer library: Re 1e5, Pr 1.1, L 5, D 0.5.
func TestDevelopingFlowPublished(t *testing.T) {
	gz := correlation.Graetz(.5, 5, 1e5, 1.1)
	printed(t, "Hausen", correlation.NusseltHausen(gz), "39.01352359")
	printed(t, "Sieder-Tate", correlation.NusseltSiederTateLaminar(gz), "41.36602968")
	printed(t, "Baehr-Stephan", correlation.NusseltBaehrStephan(gz, 1.1), "72.65402047")
}

// Long ducts reach the developed value, short ones follow the boundary layer.
func TestDevelopingFlowLimits(t *testing.T) {
	near(t, "Hausen, long", correlation.NusseltHausen(1e-9), 3.66, 1e-9)
	near(t, "Baehr-Stephan, long", correlation.NusseltBaehrStephan(1e-9, 5), 3.657, 1e-9)
	near(t, "Stephan, long", correlation.NusseltPlatesStephan(1e-9, 5), 7.55, 1e-9)
	near(t, "Edwards, long", correlation.NusseltPlatesEdwards(1e-9), 7.54, 1e-9)
	laws := map[string]func(float64) float64{
		"Hausen": correlation.NusseltHausen, "Edwards": correlation.NusseltPlatesEdwards,
		"Sieder-Tate":   correlation.NusseltSiederTateLaminar,
		"Baehr-Stephan": func(gz float64) float64 { return correlation.NusseltBaehrStephan(gz, 5) },
		"Stephan":       func(gz float64) float64 { return correlation.NusseltPlatesStephan(gz, 5) },
	}
	for name, law := range laws {
		last := law(1e-3)
		for gz := 1.1e-3; gz < 1e5; gz *= 1.1 {
			nu := law(gz)
			if !(nu >= last) {
				t.Errorf("%s falls at Gz %g", name, gz)
			}
			last = nu
		}
		if !smooth(func(u float64) float64 { return law(math.Exp(u)) }, -4, 12) {
			t.Errorf("%s has a kink", name)
		}
	}
}

// Muzychka & Yovanovich 2004; computed independently in double precision from the formula.
func TestMuzychkaTable(t *testing.T) {
	for aspect, figure := range map[float64]string{1: "14.13198", .5: "16.45716", .2: "25.56915", .1: "36.80688"} {
		printed(t, fmt.Sprint("f Re, aspect ", aspect), correlation.FanningConstantMuzychka(aspect), figure)
	}
	stars := []float64{1e-3, .01, .1, 1}
	for _, c := range []struct {
		wall    correlation.Wall
		pr      float64
		figures [4]string
	}{
		{correlation.WallTemperature, .707, [4]string{"24.5152", "9.7698", "6.9671", "6.8648"}},
		{correlation.WallFlux, .707, [4]string{"32.8469", "12.4207", "8.3367", "8.1790"}},
		{correlation.WallTemperature, 5, [4]string{"19.8127", "9.0335", "6.9424", "6.8644"}},
	} {
		duct := correlation.DuctEntry{Aspect: .2, Wall: c.wall}
		for i, z := range stars {
			printed(t, fmt.Sprintf("wall %d, Pr %g, z* %g", c.wall, c.pr, z),
				correlation.NusseltMuzychka(duct, z, c.pr), c.figures[i])
		}
	}
	for z, figure := range map[float64]string{.01: "42.8619", .1: "27.7870", 1: "25.7995"} {
		printed(t, fmt.Sprint("f_app Re, z+ ", z), correlation.FanningApparentMuzychka(.2, z), figure)
	}
}

// The mean over a length is the integral of the local values. The two are blends of their
// own limits, so they agree where one limit governs: C4 = 2 in short ducts, C2 = 3/2 where
// only the temperature develops, 1 in long ducts.
func TestMuzychkaMeanAndLocal(t *testing.T) {
	for _, wall := range []correlation.Wall{correlation.WallTemperature, correlation.WallFlux} {
		mean := correlation.DuctEntry{Aspect: .3, Wall: wall}
		local := mean
		local.Local = true
		near(t, "short duct", correlation.NusseltMuzychka(mean, 1e-9, .7),
			2*correlation.NusseltMuzychka(local, 1e-9, .7), 1e-3)
		near(t, "long duct", correlation.NusseltMuzychka(mean, 1e4, .7),
			correlation.NusseltMuzychka(local, 1e4, .7), 1e-6)
		// A very viscous fluid: only the temperature develops, as z*^{-1/3}.
		near(t, "thermal entry", correlation.NusseltMuzychka(mean, 1e-4, 1e15),
			1.5*correlation.NusseltMuzychka(local, 1e-4, 1e15), 1e-3)
	}
	// Long duct: C1 f Re/(8 sqrt(π) a^γ), from the printed constants.
	acute := correlation.DuctEntry{Aspect: .5, Acute: true}
	want := 3.24 * 16.45716 / (8 * math.Sqrt(math.Pi) * math.Pow(.5, -.3))
	near(t, "acute corners", correlation.NusseltMuzychka(acute, 1e6, .7), want, 1e-5)
}

// Two published values the model was built on: NuT of parallel plates is 7.541 on Dh = 2 b
// and sqrt(A) = b/sqrt(a); the stated accuracy is 15 %.
func TestMuzychkaAgainstPolynomials(t *testing.T) {
	for _, a := range []float64{.05, .1, .2, .5, 1} {
		// Dh/sqrt(A) of a rectangle is 2 sqrt(a)/(1+a).
		scale := 2 * math.Sqrt(a) / (1 + a)
		nu := correlation.NusseltMuzychka(correlation.DuctEntry{Aspect: a}, 1e5, .7)
		near(t, fmt.Sprint("NuT, aspect ", a), nu*scale, correlation.NusseltRectangleNuT(a), .15)
		f := correlation.FanningConstantMuzychka(a)
		near(t, fmt.Sprint("f Re, aspect ", a), f*scale, correlation.FanningConstantRectangle(a), .02)
	}
}

// Shah 1978; computed independently in double precision from the formula.
func TestShahApparentFriction(t *testing.T) {
	for _, c := range []struct {
		entry   correlation.ShahEntry
		figures [3]string
	}{
		{correlation.ShahPlates(), [3]string{"111.573", "39.400", "25.642"}},
		{correlation.ShahRectangle5(), [3]string{"110.640", "38.915", "21.319"}},
	} {
		for i, x := range []float64{.001, .01, .1} {
			printed(t, fmt.Sprintf("f Re %g, x+ %g", c.entry.FanningConstant, x),
				correlation.FanningApparentShah(c.entry, x), c.figures[i])
		}
	}
	// Very long: f Re + K/(4 x+). Very short: 3.44/sqrt(x+).
	circle := correlation.ShahCircle()
	printed(t, "circle, x+ 0.01", correlation.FanningApparentShah(circle, .01), "38.519")
	near(t, "circle, long", correlation.FanningApparentShah(circle, 100), 16+1.25/400, 1e-7)
	near(t, "circle, short", correlation.FanningApparentShah(circle, 1e-9), 3.44/math.Sqrt(1e-9), 1e-3)
}

func TestApparentFrictionProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := positive(t, "length", -6, 4)
		for _, e := range []correlation.ShahEntry{correlation.ShahPlates(), correlation.ShahCircle(), correlation.ShahRectangle5()} {
			f := correlation.FanningApparentShah(e, x)
			if longer := correlation.FanningApparentShah(e, x*1.1); longer > f || f < e.FanningConstant {
				t.Fatalf("f_app Re %g, longer %g, developed %g", f, longer, e.FanningConstant)
			}
		}
		a := positive(t, "aspect", -2, 0)
		if f := correlation.FanningApparentMuzychka(a, x); f < correlation.FanningConstantMuzychka(a) {
			t.Fatalf("f_app Re %g below the developed value", f)
		}
		duct := correlation.DuctEntry{Aspect: a, Wall: correlation.WallFlux, Local: true}
		if correlation.NusseltMuzychka(duct, x*1.1, .7) > correlation.NusseltMuzychka(duct, x, .7)*(1+1e-14) {
			t.Fatalf("Nu grows with the length at z* %g", x)
		}
	})
}

func TestMuzychkaSmooth(t *testing.T) {
	for _, d := range []correlation.DuctEntry{{Aspect: .2}, {Aspect: .5, Wall: correlation.WallFlux, Acute: true, Local: true}} {
		if !smooth(func(u float64) float64 { return correlation.NusseltMuzychka(d, math.Exp(u), .7) }, -9, 4) {
			t.Errorf("%+v has a kink", d)
		}
	}
	f := func(u float64) float64 { return correlation.FanningApparentMuzychka(.2, math.Exp(u)) }
	if !smooth(f, -9, 4) {
		t.Error("apparent friction has a kink")
	}
	d := correlation.DuctEntry{Aspect: .2}
	if n := testing.AllocsPerRun(100, func() { correlation.NusseltMuzychka(d, .01, .7) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func ExampleNusseltMuzychka() {
	duct := correlation.DuctEntry{Aspect: 0.2, Wall: correlation.WallTemperature}
	fmt.Printf("%.2f\n", correlation.NusseltMuzychka(duct, 0.02, 0.707))
	// Output: 8.13
}
