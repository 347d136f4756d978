package part

import (
	"fmt"
	"math"

	"soakledger/sim/fluid"
	"soakledger/sim/spec"
)

// FilmExponent is the power of the flow with which a block's film grows:
// between 1/2 of laminar flow that still develops, as in the fine channels of a
// cold plate, and 4/5 of turbulent flow.
func FilmExponent() Default { return Default{0.7, 0.45, 0.8, spec.Factor, practice} }

// FilmFloor is the share of a film's conductance at its test flow that remains
// without flow: conduction across the standing coolant, and its natural
// convection.
func FilmFloor() Default { return Default{0.1, 0.03, 0.25, spec.Ratio, practice} }

// Film is the conductance between a wall and the coolant, from one that is
// stated at a test flow of water at 25 degC:
//
//	g = G [φ⁴ (k/k0)⁴ + (1 - φ⁴) s⁴]^(1/4),
//	s = (Re/Re0)^m (Pr/Pr0)^0.4 k/k0,
//
// with the stated conductance G, the floor's share φ, the exponent m and the
// properties of the coolant over those of the test. At rest it is φ G k/k0; at
// the test it is G exactly. The exponent 0.4 of the Prandtl number is that of
// W.H. McAdams, Heat Transmission, 2nd ed. 1942, for a heated coolant; the
// blend is of the kind of S.W. Churchill & R. Usagi, AIChE J. 18:1121, 1972.
type Film struct {
	stated, testFlow, exponent, floor float64
}

// sharpness is the exponent of the blend between floor and flow. Times the
// least exponent of the flow it is above one, so that the slope against flow is
// continuous at rest.
const (
	sharpness       = 4
	leastExponent   = 0.3
	prandtlExponent = 0.4
)

// NewFilm takes a conductance (W/K, above zero) at a flow (m3/s, above zero) of
// water at 25 degC, the exponent of the flow (0.3 to 1) and the share of the
// conductance that remains at rest (above 0, below 1).
func NewFilm(conductance, testFlow, exponent, floor float64) (Film, error) {
	switch {
	case !(conductance > 0) || math.IsInf(conductance, 0):
		return Film{}, fmt.Errorf("part: a film of %g W/K cannot be; it must be above zero", conductance)
	case !(testFlow > 0) || math.IsInf(testFlow, 0):
		return Film{}, fmt.Errorf("part: a film cannot be stated at a flow of %g L/min; it must be above zero", testFlow*6e4)
	case !(exponent >= leastExponent && exponent <= 1):
		return Film{}, fmt.Errorf("part: a film cannot grow with the power %g of the flow; 0.3 to 1 is possible, e.g. 0.7", exponent)
	case !(floor > 0 && floor < 1):
		return Film{}, fmt.Errorf("part: a film cannot keep the share %g at rest; it lies between 0 and 1, e.g. 0.1", floor)
	}
	return Film{conductance, testFlow, exponent, floor}, nil
}

// Conductance returns the conductance (W/K) at a flow q (m3/s, either sign) and
// a coolant temperature t (K), with its slopes against q and t.
func (f Film) Conductance(c *fluid.Table, q, t float64) (g, perFlow, perKelvin float64) {
	n := newNumbers(c, t)
	floor := math.Pow(f.floor, sharpness)
	rest := floor * math.Pow(n.conductivity, sharpness)
	x := math.Abs(q) / f.testFlow
	s := math.Pow(x*n.reynolds, f.exponent) * math.Pow(n.prandtl, prandtlExponent) * n.conductivity
	flow := (1 - floor) * math.Pow(s, sharpness)
	sum := rest + flow
	g = f.stated * math.Sqrt(math.Sqrt(sum))
	if q != 0 {
		perFlow = g / sum * flow * f.exponent / q
	}
	growth := f.exponent*n.dReynolds + prandtlExponent*n.dPrandtl + n.dConductivity
	return g, perFlow, g / sum * (rest*n.dConductivity + flow*growth)
}

// numbers are the coolant's properties over those of water at 25 degC, and the
// slopes of their logarithms against temperature, 1/K. reynolds is that of a
// given flow, ρ/μ.
type numbers struct {
	reynolds, prandtl, conductivity    float64
	dReynolds, dPrandtl, dConductivity float64
}

func newNumbers(c *fluid.Table, t float64) numbers {
	rho, drho := c.Density(t)
	mu, dmu := c.Viscosity(t)
	k, dk := c.Conductivity(t)
	_, cp, dcp := c.Enthalpy(t)
	const prandtl = testViscosity * TestSpecificHeat / testConductivity
	return numbers{
		reynolds:      rho / mu * (testViscosity / testDensity),
		prandtl:       mu * cp / k / prandtl,
		conductivity:  k / testConductivity,
		dReynolds:     drho/rho - dmu/mu,
		dPrandtl:      dmu/mu + dcp/cp - dk/k,
		dConductivity: dk / k,
	}
}
