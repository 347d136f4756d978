package part_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// digits compares a figure with a printed one to half a unit of its last digit.
func digits(t *testing.T, name string, got float64, figure string) {
	t.Helper()
	want, err := strconv.ParseFloat(figure, 64)
	if err != nil {
		t.Fatal(err)
	}
	_, decimals, _ := strings.Cut(figure, ".")
	if half := 0.5 * math.Pow(10, -float64(len(decimals))); !(math.Abs(got-want) <= half*(1+1e-9)) {
		t.Errorf("%s: got %.10g, want %s", name, got, figure)
	}
}

// referenceShape is a face of 240 x 120 mm, 25 mm deep, tubes of 2 mm every 10 mm
// with channels of 1.6 x 24.6 mm in two passes, 16 fins per inch of copper.
func referenceShape() part.CoreShape {
	copper := part.Copper()
	copper.Conductivity = 385
	return part.CoreShape{
		Width: .240, Height: .120, Depth: .025, FinPitch: part.FinPitchOf(16), FinThickness: .05e-3, Fins: copper,
		TubePitch: .010, TubeThickness: .002, TubeWall: .2e-3, Rows: 1, Passes: 2, Tubes: part.Brass(), PortBore: .009,
	}
}

// referenceAir is air of 25 degC as the reference case has it.
func referenceAir() part.Air {
	return part.Air{Density: 1.184, Viscosity: 1.845e-5, Conductivity: .02625, SpecificHeat: 1006.3}
}

func seaAir() part.Air { return part.AirAt(25+celsius, 101325, 0.008) }

// The whole air side of the reference core at three face velocities: Muzychka &
// Yovanovich 2004 through fins and surface; every figure was computed independently
// in double precision.
func TestCoreReferenceAirSide(t *testing.T) {
	c := must[*part.Core](t)(part.NewCore(referenceShape()))
	digits(t, "surface", c.Surface(), ".8605984")
	digits(t, "free area", c.FreeArea(), ".7699606")
	for _, r := range []struct {
		face    float64
		figures [7]string // Re, h, fin, surface, W/K, friction Pa, capacity rate
	}{
		{1.0, [7]string{"214.757", "56.7431", ".970065", ".974916", "47.6081", "4.52859", "34.3140"}},
		{1.5, [7]string{"322.135", "60.1024", ".968360", ".973487", "50.3527", "7.46587", "51.47104"}},
		{2.5, [7]string{"536.892", "67.2265", ".964768", ".970477", "56.1470", "14.42714", "85.7851"}},
	} {
		s := c.Air(r.face*.240*.120, referenceAir())
		for i, got := range []float64{s.Reynolds, s.Film, s.FinEfficiency, s.SurfaceEfficiency, s.Conductance, s.Drop - s.Ends, s.CapacityRate} {
			digits(t, fmt.Sprintf("face %g m/s, column %d", r.face, i), got, r.figures[i])
		}
		near(t, "face velocity", s.Velocity, r.face, 1e-12)
		if s.Beyond != "" {
			t.Errorf("plain fins at %g m/s: %s", r.face, s.Beyond)
		}
	}
}

// Entry and exit of the reference core by W.M. Kays, Trans. ASME 72:1067, 1950, written
// out: a flat profile contracts to Cc, Kc = (1/Cc - 1)²; the exit Ke = 1 - 2 Kd σ + σ²
// has the profile's momentum between 1 and its developed 1.2 + 0.19 a.
func TestCoreReferenceEnds(t *testing.T) {
	c := must[*part.Core](t)(part.NewCore(referenceShape()))
	const sigma, dh, depth = .7699606, 2.576680e-3, .025
	aspect := 1.5375 / 7.95
	cc := 4.374e-4*math.Exp(6.737*math.Sqrt(sigma)) + .621
	for _, face := range []float64{.3, 1.5, 6} {
		v := face / sigma
		x := depth / (dh * v * dh * 1.184 / 1.845e-5)
		grown := x * x / (x*x + 2.9e-5 + aspect/.2*(7.6e-5-2.9e-5)) // Shah 1978
		kd := 1 + (.2+.19*aspect)*grown
		k := math.Pow(1/cc-1, 2) + 1 - 2*kd*sigma + sigma*sigma
		s := c.Air(face*.240*.120, referenceAir())
		near(t, fmt.Sprintf("entry and exit at %g m/s", face), s.Ends, k*1.184*v*v/2, 2e-5)
	}
}

// The coolant's side and the whole of the reference core at 1.5 m/s and 3 L/min: film of
// 276.0965 W/K from Edwards et al. 1979 between plates, two passes and one; computed
// independently in double precision.
func TestCoreReferenceWhole(t *testing.T) {
	shape := referenceShape()
	c := must[*part.Core](t)(part.NewCore(shape))
	s := c.Air(1.5*.240*.120, referenceAir())
	ua := part.Overall(s.Conductance, 276.0965)
	digits(t, "UA", ua, "42.58611")
	const coolant = 207.71618
	digits(t, "P", c.Effectiveness(ua, coolant, s.CapacityRate), ".1304041")
	heat := c.Heat(ua, coolant, s.CapacityRate)
	digits(t, "heat over inlet difference", heat, "27.08703")
	digits(t, "resistance", 1/heat, ".0369180")
	shape.Passes = 1
	one := must[*part.Core](t)(part.NewCore(shape))
	digits(t, "one pass", one.Heat(ua, coolant, s.CapacityRate), "27.13426")

	if b := c.Bank(); b.Tubes != 12 || b.Passes != 2 {
		t.Errorf("%d tubes in %d passes", b.Tubes, b.Passes)
	}
	water := part.Liquid{Density: 994.0333, Viscosity: 719.126e-6}
	const flow, area, dh = 3 * litre, 6 * 1.6e-3 * 24.6e-3, 3.004580e-3
	digits(t, "Reynolds number", c.Bank().Reynolds(flow, water), "879.313")
	// Friction of both passes; ends and profile, 2 (0.5 + 1 + K), taken off by hand, with the
	// linear end of creeping flow at a Reynolds number of 45.
	tubes := c.Tubes()
	tubes.Port = 0
	dp, _ := tubes.Drop(flow, water)
	v, creep := flow/area, 45*water.Viscosity/(water.Density*dh)
	k := 2 * (1.5 + .674 + 1.6/24.6/.2*(.931-.674))
	near(t, "friction of two passes", dp-k*water.Density/2*v*math.Hypot(v, creep), 357.354, 2e-6)
	withPorts, _ := c.Tubes().Drop(flow, water)
	if !(withPorts > dp) {
		t.Error("ports lose nothing")
	}
}

// The film of the core itself is that of a rectangular channel, which has less than
// plates: the reference case's heat falls by less than 3 %.
func TestCoreOwnFilm(t *testing.T) {
	c := must[*part.Core](t)(part.NewCore(referenceShape()))
	film, _, _ := c.Liquid(fluid.Water().Fast(), 3*litre, 35+celsius)
	s := c.Air(1.5*.240*.120, referenceAir())
	heat := c.Heat(part.Overall(s.Conductance, film), 207.71618, s.CapacityRate)
	t.Logf("film %.1f W/K, heat over inlet difference %.3f W/K", film, heat)
	inside(t, "film over that of plates", film/276.0965, .8, 1)
	inside(t, "heat over that of plates", heat/27.08703, .97, 1)
}

// Zigzag passages of the same core: surface and free area computed independently; at rest
// the film is that of a developed triangular duct, NuT from finite elements, within the
// law's 15 %.
func TestCoreTriangular(t *testing.T) {
	shape := referenceShape()
	shape.Triangular = true
	c := must[*part.Core](t)(part.NewCore(shape))
	digits(t, "surface", c.Surface(), ".8838188")
	digits(t, "free area", c.FreeArea(), ".7743118")
	nu := c.Air(0, referenceAir()).Film * 2.523162e-3 / .02625
	near(t, "developed Nu", nu, correlation.NusseltTriangleNuT(22.45*math.Pi/180), .15)
	fRe := c.Air(1e-9, referenceAir())
	near(t, "developed f Re", fRe.Slope*c.FreeArea()*.240*.120*2.523162e-3*2.523162e-3/(2*1.845e-5*.025), correlation.FanningConstantTriangle(22.45*math.Pi/180), .10)
}

// drawShape draws a core that can be built.
func drawShape(t *rapid.T) part.CoreShape {
	draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	thickness := draw("thickness", .016, .09)
	f := part.CoreFiguresOf(thickness)
	s := f.Shape(draw("width", .08, .6), draw("height", .08, .4), thickness)
	s.Style = part.FinStyle(rapid.IntRange(0, 2).Draw(t, "style"))
	s.Triangular = rapid.Bool().Draw(t, "triangular")
	s.FinPitch, s.FinThickness = part.FinPitchOf(draw("fins per inch", 8, 30)), draw("fin", .042e-3, .1e-3)
	s.TubePitch, s.TubeThickness = draw("tube pitch", 7e-3, 13e-3), draw("tube", 1.4e-3, 2.6e-3)
	s.Passes, s.Rows = rapid.IntRange(1, 4).Draw(t, "passes"), rapid.IntRange(1, 3).Draw(t, "rows")
	s.LouvrePitch, s.LouvreAngle = draw("louvre pitch", .7e-3, 3e-3), draw("angle", .2, .6)
	s.LouvreLength = draw("louvre share", .6, .95) * (s.TubePitch - s.TubeThickness - s.FinThickness)
	s.StripLength = draw("strip", 1.5e-3, 8e-3)
	s.Blocked, s.Covered = draw("blocked", 0, .95), draw("covered", .3, 1)
	return s
}

func drawCore(t *rapid.T) *part.Core {
	c, err := part.NewCore(drawShape(t))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Property: from rest to 6 m/s conductance and loss rise with the airflow, the loss is odd,
// its slope is that of differences, and nothing is infinite.
func TestCoreRisesWithAirflow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, a := drawCore(t), seaAir()
		last := c.Air(0, a)
		if last.Drop != 0 || last.Conductance <= 0 || math.IsInf(last.Conductance, 0) || !(last.Slope > 0) || math.IsInf(last.Slope, 0) {
			t.Fatalf("at rest %+v", last)
		}
		for v := .02; v < 6; v *= rapid.Float64Range(1.01, 1.2).Draw(t, "step") {
			q := v * c.Face()
			s := c.Air(q, a)
			if !(s.Conductance > last.Conductance) || !(s.Drop > last.Drop) || !(s.Slope > 0) {
				t.Fatalf("at %g m/s conductance %g after %g, loss %g after %g, slope %g; %s", v, s.Conductance, last.Conductance, s.Drop, last.Drop, s.Slope, s.Beyond)
			}
			d := slopeAt(func(q float64) float64 { dp, _ := c.Drop(q, a); return dp }, q, 1e-5*q)
			if math.Abs(d-s.Slope) > 1e-4*(s.Slope+s.Drop/q) {
				t.Fatalf("at %g m/s slope %g, by difference %g; %s", v, s.Slope, d, s.Beyond)
			}
			if back, slope := c.Drop(-q, a); back != -s.Drop || slope != s.Slope {
				t.Fatalf("backwards %g Pa, forwards %g Pa", back, s.Drop)
			}
			last = s
		}
	})
}

// leap returns the change of f between a and b that stays in one place: the larger half of
// it, halved thirty times.
func leap(f func(float64) float64, a, b float64) float64 {
	fa, fb := f(a), f(b)
	for range 30 {
		m := (a + b) / 2
		fm := f(m)
		if math.Abs(fm-fa) > math.Abs(fb-fm) {
			b, fb = m, fm
		} else {
			a, fa = m, fm
		}
	}
	return math.Abs(fb - fa)
}

func TestLeap(t *testing.T) {
	if got := leap(math.Exp, 0, 1); got > 1e-8 {
		t.Errorf("the exponential leaps by %g", got)
	}
	near(t, "a step", leap(func(x float64) float64 { return x + 1e-3*math.Floor(x) }, .3, 1.4), 1e-3, 1e-5)
}

// Property: no leap of the loss's slope, nor of the conductance and its growth, anywhere,
// corners of the published louvre law included.
func TestCoreIsSmooth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, a := drawCore(t), seaAir()
		slope := func(v float64) float64 { _, s := c.Drop(v*c.Face(), a); return s }
		growth := func(v float64) float64 {
			const step = 1e-4
			return math.Log(c.Air(v*(1+step)*c.Face(), a).Conductance/c.Air(v*c.Face(), a).Conductance) / step
		}
		const step = .01
		for v := .01; v < 6; v *= 1 + step {
			if l := leap(slope, v, v*(1+step)); l > 1e-6*slope(v) {
				t.Fatalf("slope of the loss leaps from %g by %g near %g m/s; %s", slope(v), l, v, c.Air(v*c.Face(), a).Beyond)
			}
			if x, y := growth(v), growth(v*(1+step)); math.Abs(x-y) > .04 {
				t.Fatalf("growth of the conductance %g after %g at %g m/s; %s", y, x, v, c.Air(v*c.Face(), a).Beyond)
			}
		}
	})
}

// Property: at equal fins a deeper core never loses less.
func TestDeeperCoreLosesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShape(t)
		deeper := s
		deeper.Depth *= rapid.Float64Range(1.01, 3).Draw(t, "deeper")
		deeper.Thickness = 0
		thin, thick := must2(t)(part.NewCore(s)), must2(t)(part.NewCore(deeper))
		for _, v := range []float64{.05, .3, .7, 1, 1.5, 2.5, 4, 6} {
			a, _ := thin.Drop(v*thin.Face(), seaAir())
			b, _ := thick.Drop(v*thick.Face(), seaAir())
			if !(b >= a) {
				t.Fatalf("at %g m/s %g Pa, %g times as deep %g Pa", v, a, deeper.Depth/s.Depth, b)
			}
		}
	})
}

// must2 is must for a rapid check.
func must2(t *rapid.T) func(*part.Core, error) *part.Core {
	return func(c *part.Core, err error) *part.Core {
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
}

// Property: thinner air at the same volume flow never carries more, and dust never helps.
func TestAltitudeAndDust(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShape(t)
		c := must2(t)(part.NewCore(s))
		high := part.AirAt(25+celsius, rapid.Float64Range(6e4, 1e5).Draw(t, "pressure"), 0.008)
		q := rapid.Float64Range(.02, 6).Draw(t, "velocity") * c.Face()
		low, thin := c.Air(q, seaAir()), c.Air(q, high)
		if thin.Conductance > low.Conductance || thin.CapacityRate >= low.CapacityRate {
			t.Fatalf("thin air %g W/K of %g, at sea level %g of %g", thin.Conductance, thin.CapacityRate, low.Conductance, low.CapacityRate)
		}
		s.Blocked *= rapid.Float64Range(0, .9).Draw(t, "cleaned")
		cleaned := must2(t)(part.NewCore(s)).Air(q, seaAir())
		if cleaned.Drop > low.Drop*(1+1e-12) {
			t.Fatalf("cleaning raises the loss from %g to %g Pa", low.Drop, cleaned.Drop)
		}
	})
}

// Air that fans do not blow on: the rest carries it all, in 1/share of the speed.
func TestCoveredFace(t *testing.T) {
	shape := referenceShape()
	whole := must[*part.Core](t)(part.NewCore(shape)).Air(.02, referenceAir())
	shape.Covered = .5
	half := must[*part.Core](t)(part.NewCore(shape)).Air(.01, referenceAir())
	near(t, "film", half.Film, whole.Film, 1e-12)
	near(t, "loss", half.Drop, whole.Drop, 1e-12)
	near(t, "conductance", half.Conductance, whole.Conductance/2, 1e-12)
	shape.Covered, shape.Blocked = 1, .5
	dusty := must[*part.Core](t)(part.NewCore(shape)).Air(.01, referenceAir())
	near(t, "film behind dust", dusty.Film, whole.Film, 1e-12)
	if !(dusty.Ends > half.Ends) {
		t.Error("single passages among closed ones lose no more at their ends than an open half")
	}
}
