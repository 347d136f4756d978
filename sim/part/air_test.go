package part_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// standardAir is air of the density at which fans are stated.
func standardAir() part.Air {
	a := part.AirAt(celsius+20, fluid.StandardPressure, 0)
	a.Density = part.StandardAirDensity
	return a
}

// airPolynomial is a loss b q + k q |q| for closed forms, whatever the air.
type airPolynomial struct{ b, k float64 }

func (p airPolynomial) Drop(q float64, _ part.Air) (dp, slope float64) {
	return p.b*q + p.k*q*math.Abs(q), p.b + 2*p.k*math.Abs(q)
}

// Dry air at 20 degC and 101.325 kPa: Sutherland's law, the U.S. Standard
// Atmosphere 1976 and the ideal gas, specific heat of the equation of state of
// Lemmon et al. 2000; computed independently in double precision. Moist air at
// 30 degC, 95461 Pa and 0.02 kg/kg: the density 1.08411986 kg/m3 of the equations
// of ASHRAE Handbook Fundamentals 2017, ch. 1, computed independently; they round
// 1/0.621945 to 1.607858, which moves the density by 2e-8.
func TestAirAt(t *testing.T) {
	a := part.AirAt(celsius+20, fluid.StandardPressure, 0)
	near(t, "density", a.Density, 1.20415, 1e-5)
	near(t, "viscosity", a.Viscosity, 1.81332e-5, 1e-5)
	near(t, "conductivity", a.Conductivity, .025718, 2e-5)
	near(t, "specific heat", a.SpecificHeat, 1006.14, 1e-5)
	near(t, "Prandtl number", a.Prandtl(), 1.81332e-5*1006.14/.025718, 5e-5)
	moist := part.AirAt(celsius+30, 95461, 0.02)
	near(t, "density of moist air", moist.Density, 1.08411986, 2.5e-8)
	near(t, "specific heat of moist air", moist.SpecificHeat, (fluid.AirSpecificHeat(celsius+30)+0.02*1860)/1.02, 1e-12)
}

// K ρ v²/2 by hand: 0.6 m3/s through 0.2 m2 are 3 m/s, at 1.2 kg/m3 and K 2.5
// 13.5 Pa, with a slope of twice that over the flow.
func TestAirLoss(t *testing.T) {
	dp, slope := part.AirLoss{K: 2.5, Area: 0.2}.Drop(0.6, standardAir())
	near(t, "loss", dp, 13.5, 1e-14)
	near(t, "slope", slope, 2*13.5/0.6, 1e-14)
	back, same := part.AirLoss{K: 2.5, Area: 0.2}.Drop(-0.6, standardAir())
	near(t, "loss backwards", back, -13.5, 1e-14)
	near(t, "slope backwards", same, slope, 1e-14)
	both, _ := part.AirSeries{part.AirLoss{K: 2.5, Area: 0.2}, airPolynomial{b: 10}}.Drop(0.6, standardAir())
	near(t, "one after the other", both, 19.5, 1e-14)
}

// What is closed has no loss at rest and an endless one in flow.
func TestClosedAirLoss(t *testing.T) {
	for _, l := range []part.AirLoss{{K: math.Inf(1), Area: 0.01}, {K: 1}, {}} {
		for q, want := range map[float64]float64{-1e-9: math.Inf(-1), 0: 0, 1e-9: math.Inf(1)} {
			if dp, slope := l.Drop(q, standardAir()); dp != want || !math.IsInf(slope, 1) {
				t.Errorf("%+v at %g m3/s: %g Pa, slope %g", l, q, dp, slope)
			}
		}
	}
}

// Property: odd in the flow, rising, with the slope of differences.
func TestAirLossIsOdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawAirLoss(t)
		a := drawAir(t)
		q := rapid.Float64Range(1e-4, 0.2).Draw(t, "flow")
		dp, slope := l.Drop(q, a)
		back, _ := l.Drop(-q, a)
		if dp != -back || !(dp >= 0) {
			t.Fatalf("%g and %g Pa", dp, back)
		}
		near(t, "slope", slopeAt(func(q float64) float64 { d, _ := l.Drop(q, a); return d }, q, 1e-3*q), slope, 1e-8)
	})
}

func drawAirLoss(t *rapid.T) part.AirLoss {
	return part.AirLoss{
		K:    rapid.Float64Range(0.2, 40).Draw(t, "loss coefficient"),
		Area: rapid.Float64Range(0.003, 0.1).Draw(t, "area"),
	}
}

// drawAir draws air from a cold low place to a warm high one.
func drawAir(t *rapid.T) part.Air {
	return part.AirAt(celsius+rapid.Float64Range(-10, 60).Draw(t, "air, degC"),
		fluid.PressureAtAltitude(rapid.Float64Range(0, 4000).Draw(t, "altitude, m")),
		rapid.Float64Range(0, 0.02).Draw(t, "humidity ratio"))
}
