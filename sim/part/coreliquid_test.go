package part_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// Property: the coolant's pressure drop is odd, rises from rest through the transition,
// and its slope is that of differences.
func TestCoreTubesDrop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tubes := drawCore(t).Tubes()
		l := part.Liquid{Density: rapid.Float64Range(950, 1080).Draw(t, "density"), Viscosity: math.Pow(10, rapid.Float64Range(-3.6, -2).Draw(t, "viscosity"))}
		if dp, slope := tubes.Drop(0, l); dp != 0 || !(slope > 0) || math.IsInf(slope, 0) {
			t.Fatalf("at rest %g Pa, slope %g", dp, slope)
		}
		last := 0.0
		slopeOf := func(q float64) float64 { _, s := tubes.Drop(q, l); return s }
		for q := .01 * litre; q < 60*litre; q *= 1.02 {
			dp, slope := tubes.Drop(q, l)
			if !(dp > last) || !(slope > 0) {
				t.Fatalf("%g Pa at %g L/min after %g, slope %g", dp, q/litre, last, slope)
			}
			if leap(slopeOf, q, 1.02*q) > 1e-6*slope {
				t.Fatalf("slope leaps from %g at %g L/min", slope, q/litre)
			}
			d := slopeAt(func(q float64) float64 { dp, _ := tubes.Drop(q, l); return dp }, q, 1e-4*q)
			if math.Abs(d-slope) > 1e-5*slope {
				t.Fatalf("slope %g, by difference %g at %g L/min", slope, d, q/litre)
			}
			if back, _ := tubes.Drop(-q, l); back != -dp {
				t.Fatalf("backwards %g Pa, forwards %g Pa", back, dp)
			}
			last = dp
		}
	})
}

// Creeping flow by hand: friction f Re = 22.0712 of the reference channel alone, plus what
// a local loss has at its linear end.
func TestCoreTubesCreep(t *testing.T) {
	tubes := must[*part.Core](t)(part.NewCore(referenceShape())).Tubes()
	tubes.Port = 0
	l := part.TestWater()
	const area, dh = 6 * 1.6e-3 * 24.6e-3, 3.004580e-3
	_, slope := tubes.Drop(0, l)
	friction := 2 * 2 * 22.0712 * l.Viscosity * .24 / (dh * dh) / area
	ends := 2 * (1.5 + .674 + 1.6/24.6/.2*(.931-.674)) / 2 * l.Density * 45 * l.Viscosity / (l.Density * dh) / area
	near(t, "slope at rest", slope, friction+ends, 1e-5)
}

// Turbulent flow: Darcy factor of the laminar equivalent diameter (Jones 1976), written
// out with Churchill 1977.
func TestCoreTubesTurbulent(t *testing.T) {
	s := referenceShape()
	long, short := s, s
	long.Width = 1
	a := must[*part.Core](t)(part.NewCore(long)).Tubes()
	b := must[*part.Core](t)(part.NewCore(short)).Tubes()
	l := part.TestWater()
	const q, area, dh = 60 * litre, 6 * 1.6e-3 * 24.6e-3, 3.004580e-3
	dpLong, _ := a.Drop(q, l)
	dpShort, _ := b.Drop(q, l)
	v := q / area
	re := 16 / 22.0712 * v * dh * l.Density / l.Viscosity
	f := 8 * math.Pow(math.Pow(8/re, 12)+math.Pow(math.Pow(2.457*math.Log(1/math.Pow(7/re, .9)), 16)+math.Pow(37530/re, 16), -1.5), 1./12)
	near(t, "0.76 m more of tubes", dpLong-dpShort, 2*f*.76/dh*l.Density*v*v/2, 1e-5)
}

// Drops as they are met: slim and thick cores of two to four sections at 3.79 L/min,
// 1 to 10 kPa (common practice, no source).
func TestCoreTubesAgainstPractice(t *testing.T) {
	for _, r := range []struct{ width, thickness float64 }{{.240, .0205}, {.240, .030}, {.360, .030}, {.480, .060}} {
		c := must[*part.Core](t)(part.NewCore(part.CoreFiguresOf(r.thickness).Shape(r.width, .120, r.thickness)))
		dp, _ := c.Tubes().Drop(3.79*litre, part.TestWater())
		film, _, _ := c.Liquid(fluid.Water().Fast(), 3.79*litre, 298.15)
		t.Logf("%.0f x 120 x %.1f mm: %.2f kPa, film %.0f W/K", 1e3*r.width, 1e3*r.thickness, dp/1e3, film)
		inside(t, "drop, Pa", dp, 1e3, 10e3)
	}
}
