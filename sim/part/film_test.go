package part_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// conductor is any film.
type conductor interface {
	Conductance(c *fluid.Table, q, t float64) (g, perFlow, perKelvin float64)
}

// A film is the stated one at its test, within the 1e-4 of the fast property
// tables; its floor's share at rest; and grows as the stated power far above.
func TestFilmAtItsTest(t *testing.T) {
	f := must[part.Film](t)(part.NewFilm(50, 4*litre, 0.7, 0.1))
	water := fluid.Water().Fast()
	g, _, _ := f.Conductance(water, 4*litre, celsius+25)
	near(t, "at the test", g, 50, 1e-4)
	g, slope, _ := f.Conductance(water, 0, celsius+25)
	near(t, "at rest", g, 5, 1e-4)
	if slope != 0 {
		t.Errorf("slope at rest %g", slope)
	}
	high, _, _ := f.Conductance(water, 400*litre, celsius+25)
	higher, _, _ := f.Conductance(water, 800*litre, celsius+25)
	near(t, "growth far above", higher/high, math.Pow(2, 0.7), 1e-6)
}

// Properties: with exponent 0.8 a film scales as the Nusselt number of Dittus and
// Boelter between coolants and temperatures.
func TestFilmScalesAsDittusBoelter(t *testing.T) {
	f := must[part.Film](t)(part.NewFilm(50, 4*litre, 0.8, 0.01))
	glycol := must[*fluid.Coolant](t)(fluid.EthyleneGlycol(0.3))
	h := func(c *fluid.Coolant, t float64) float64 { // up to a factor
		re := correlation.Reynolds(1, 0.01, c.Viscosity(t)/c.Density(t))
		return correlation.NusseltDittusBoelter(re, c.Prandtl(t), true) * c.Conductivity(t)
	}
	cold := h(fluid.Water(), celsius+25)
	for _, c := range []*fluid.Coolant{fluid.Water(), glycol} {
		for _, kelvin := range []float64{celsius + 15, celsius + 40, celsius + 60} {
			g, _, _ := f.Conductance(c.Fast(), 4*litre, kelvin)
			near(t, c.Name(), g, 50*h(c, kelvin)/cold, 3e-4)
		}
	}
}

// drawFilm draws a film of either kind.
func drawFilm(t *rapid.T) conductor {
	if rapid.Bool().Draw(t, "of tubes") {
		passes := rapid.IntRange(1, 3).Draw(t, "passes")
		return part.TubeBank{
			Tubes: passes * rapid.IntRange(1, 14).Draw(t, "tubes a pass"), Passes: passes,
			Height: rapid.Float64Range(0.001, 0.003).Draw(t, "height"),
			Width:  rapid.Float64Range(0.01, 0.06).Draw(t, "width"),
			Length: rapid.Float64Range(0.1, 0.5).Draw(t, "length"),
		}
	}
	f, err := part.NewFilm(rapid.Float64Range(1, 300).Draw(t, "film"), rapid.Float64Range(1, 8).Draw(t, "test flow")*litre,
		rapid.Float64Range(0.3, 1).Draw(t, "exponent"), rapid.Float64Range(0.01, 0.9).Draw(t, "floor"))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func drawCoolant(t *rapid.T) *fluid.Table {
	c, err := fluid.New(rapid.SampledFrom([]fluid.Kind{fluid.KindEthyleneGlycol, fluid.KindPropyleneGlycol}).Draw(t, "kind"),
		rapid.SampledFrom([]float64{0, 0.2, 0.4}).Draw(t, "share"))
	if err != nil {
		t.Fatal(err)
	}
	return c.Fast()
}

// Property: a film is above zero, even in the flow, never falls with it, and
// its slopes are those of differences.
func TestFilmProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, c := drawFilm(t), drawCoolant(t)
		q, kelvin := rapid.Float64Range(0.01, 12).Draw(t, "flow")*litre, rapid.Float64Range(celsius+5, celsius+80).Draw(t, "temperature")
		g, perFlow, perKelvin := f.Conductance(c, q, kelvin)
		if back, backFlow, _ := f.Conductance(c, -q, kelvin); back != g || backFlow != -perFlow {
			t.Fatalf("%g W/K forwards, %g backwards, slopes %g, %g", g, back, perFlow, backFlow)
		}
		if rest, _, _ := f.Conductance(c, 0, kelvin); !(g > 0 && rest > 0 && g >= rest && perFlow >= 0) {
			t.Fatalf("%g W/K with slope %g, at rest %g", g, perFlow, rest)
		}
		byFlow := slopeAt(func(q float64) float64 { g, _, _ := f.Conductance(c, q, kelvin); return g }, q, 1e-3*q)
		if math.Abs(byFlow-perFlow) > 1e-5*g/q {
			t.Fatalf("slope against flow %g, by difference %g", perFlow, byFlow)
		}
		byKelvin := slopeAt(func(t float64) float64 { g, _, _ := f.Conductance(c, q, t); return g }, kelvin, 1e-2)
		if math.Abs(byKelvin-perKelvin) > 1e-5*g {
			t.Fatalf("slope against temperature %g, by difference %g", perKelvin, byKelvin)
		}
	})
}

// Property: with the figures of the trade the film comes to rest with a slope
// that goes to zero, so that it is continuous through a reversal of the flow.
func TestFilmAtRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		exponent, floor := part.FilmExponent(), part.FilmFloor()
		var f conductor
		f, err := part.NewFilm(50, rapid.Float64Range(1, 8).Draw(t, "test flow")*litre,
			rapid.Float64Range(exponent.Low, exponent.High).Draw(t, "exponent"), rapid.Float64Range(floor.Low, floor.High).Draw(t, "floor"))
		if err != nil {
			t.Fatal(err)
		}
		if rapid.Bool().Draw(t, "of tubes") {
			f = part.TubeBank{Tubes: 6, Passes: 1, Height: 0.0015, Width: 0.025, Length: 0.24}
		}
		c := drawCoolant(t)
		rest, last, _ := f.Conductance(c, 0, celsius+30)
		if last != 0 {
			t.Fatalf("slope at rest %g", last)
		}
		for q := 1e-11 * litre; q < 1e-4*litre; q *= 10 {
			g, slope, _ := f.Conductance(c, q, celsius+30)
			if !(slope > last) || g < rest || g > 1.01*rest {
				t.Fatalf("at %g L/min slope %g after %g, %g W/K after %g", q/litre, slope, last, g, rest)
			}
			last = slope
		}
	})
}

func TestFilmRefusals(t *testing.T) {
	for _, c := range [][4]float64{
		{0, 1, .7, .1}, {math.NaN(), 1, .7, .1}, {1, 0, .7, .1}, {1, math.Inf(1), .7, .1},
		{1, 1, .2, .1}, {1, 1, 1.1, .1}, {1, 1, .7, 0}, {1, 1, .7, 1},
	} {
		if _, err := part.NewFilm(c[0], c[1], c[2], c[3]); err == nil {
			t.Errorf("%v is a film", c)
		}
	}
}

// A radiator's tube bank as built into 360 mm: laminar at 4 L/min, its film a few
// times the radiator's own conductance (common practice, no source), its value
// at rest the laminar one of a rectangle (Shah & London 1978).
func TestTubeBank(t *testing.T) {
	b := part.TubeBank{Tubes: 12, Passes: 2, Height: 0.0015, Width: 0.025, Length: 0.36}
	if err := b.Check(); err != nil {
		t.Fatal(err)
	}
	near(t, "area", b.Area(), 12*2*0.0265*0.36, 1e-12)
	water := fluid.Water()
	// Computed by hand: v = 4 L/min/(6 × 37.5 mm2) = 0.2963 m/s, Dh 2.8302 mm.
	near(t, "Reynolds number", b.Reynolds(4*litre, part.TestWater()), 0.296296*2.830189e-3*997.047/889.997e-6, 1e-5)
	g, _, _ := b.Conductance(water.Fast(), 4*litre, celsius+35)
	inside(t, "film over 30 W/K", g/30, part.RadiatorFilm().Low, part.RadiatorFilm().High)
	rest, _, _ := b.Conductance(water.Fast(), 0, celsius+35)
	nu := correlation.NusseltRectangleNuT(0.06)
	near(t, "film at rest", rest, nu*water.Conductivity(celsius+35)/2.830189e-3*b.Area(), 1e-3)
	long := b
	long.Length *= 4
	more, _, _ := long.Conductance(water.Fast(), 4*litre, celsius+35)
	if !(more < 4*g && more > 3*g) {
		t.Errorf("four times the length turns %g into %g W/K", g, more)
	}
}

// Fully turbulent the tube bank follows Gnielinski 1976 within 10 %, the
// uncertainty usually given for such laws (common practice, no source).
func TestTubeBankTurbulent(t *testing.T) {
	b := part.TubeBank{Tubes: 1, Passes: 1, Height: 0.01, Width: 0.01, Length: 2}
	water, q := fluid.Water(), 12*litre
	re := b.Reynolds(q, part.LiquidAt(water, celsius+40))
	g, _, _ := b.Conductance(water.Fast(), q, celsius+40)
	nu := g * 0.01 / (water.Conductivity(celsius+40) * b.Area())
	inside(t, "Re", re, 2e4, 4e4)
	near(t, "Nu", nu, correlation.NusseltGnielinski(re, water.Prandtl(celsius+40), correlation.DarcyPetukhov(re)), 0.10)
}

func TestTubeBankRefusals(t *testing.T) {
	good := part.TubeBank{Tubes: 12, Passes: 2, Height: 0.0015, Width: 0.025, Length: 0.36}
	for name, change := range map[string]func(*part.TubeBank){
		"no passes": func(b *part.TubeBank) { b.Passes = 0 }, "more passes than tubes": func(b *part.TubeBank) { b.Tubes = 1 },
		"no height": func(b *part.TubeBank) { b.Height = 0 }, "sides swapped": func(b *part.TubeBank) { b.Width = 0.001 },
		"length of NaN": func(b *part.TubeBank) { b.Length = math.NaN() },
	} {
		b := good
		change(&b)
		if b.Check() == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}
