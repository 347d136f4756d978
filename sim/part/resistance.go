package part

import (
	"fmt"
	"math"

	"soakledger/sim/correlation"
	"soakledger/sim/fluid"
)

// Liquid is what a pressure drop depends on.
type Liquid struct {
	Density   float64 // kg/m3
	Viscosity float64 // dynamic, Pa s
}

// LiquidAt returns the coolant at temperature t (K), by its reference forms.
func LiquidAt(c *fluid.Coolant, t float64) Liquid {
	return Liquid{c.Density(t), c.Viscosity(t)}
}

// Water at 25 degC and 0.1 MPa, in which pressure drops and films are stated:
// IAPWS SR6-08(2011), Table 8.
const (
	testDensity      = 997.047013
	TestSpecificHeat = 4181.44618
	testViscosity    = 889.996774e-6
	testConductivity = 0.606502308
)

// TestWater returns water at 25 degC, with which pressure drops are measured
// unless something else is said.
func TestWater() Liquid { return Liquid{testDensity, testViscosity} }

// Resistance is the pressure drop of a part. Drop returns it (Pa) with its
// slope (Pa s/m3) at a flow q (m3/s) of either sign. It is odd in q, strictly
// increasing and continuous in its slope; zero at rest.
type Resistance interface {
	Drop(q float64, l Liquid) (dp, slope float64)
}

// Tube is a straight round tube with the losses along it.
type Tube struct {
	Bore      float64 // m, above zero
	Length    float64 // m, not below zero
	Roughness float64 // height, m
	Loss      float64 // sum of coefficients K of Δp = K ρ v²/2 in the bore
}

// Drop is Δp = (f L/D + K) ρ v²/2 with f of Churchill 1977, in the form with
// f Re that is finite at rest; see [Loss] for the second term.
func (t Tube) Drop(q float64, l Liquid) (dp, slope float64) {
	area := math.Pi / 4 * t.Bore * t.Bore
	perFlow := l.Density * t.Bore / (area * l.Viscosity) // Reynolds number per m3/s
	relative := t.Roughness / t.Bore
	re := math.Abs(q) * perFlow
	fRe, perRe := correlation.DarcyReynoldsChurchillSlope(re, relative)
	rate := l.Viscosity * t.Length / (2 * t.Bore * t.Bore * area)
	dp, slope = Loss{t.Loss, t.Bore}.Drop(q, l)
	return dp + rate*fRe*q, slope + rate*(fRe+re*perRe)
}

// Loss is a local loss K ρ v²/2.
type Loss struct {
	K    float64 // loss coefficient, not below zero
	Bore float64 // m, of the section v refers to
}

// creep is the Reynolds number about which a local loss turns from quadratic
// to linear: creeping flow loses in proportion to the viscosity. At a Reynolds
// number of 1000 it adds a thousandth.
const creep = 45

// Drop is K ρ v √(v² + v0²)/2: K ρ v²/2 but for Reynolds numbers below about
// 45, at which v is v0 and below which the loss is linear. The linear end keeps
// the slope above zero at rest (common practice, no source).
func (k Loss) Drop(q float64, l Liquid) (dp, slope float64) {
	area := math.Pi / 4 * k.Bore * k.Bore
	rest := creep * l.Viscosity / (l.Density * k.Bore) * area // flow at v0
	size := math.Hypot(q, rest)
	rate := k.K * l.Density / (2 * area * area)
	return rate * q * size, rate * (size + q*q/size)
}

// Points is a pressure drop measured with water at 25 degC at one or more
// flows.
//
// Between the points it follows a monotone curve in logarithms, so that a power
// law is met exactly. Below the first it turns linear, as laminar flow is,
// around a tenth of that point's flow; above the last it goes on as the power
// law there, of an exponent between 1 and 2. One point alone stands for an
// exponent of 1.75.
//
// Another coolant, or warmer water, follows by similarity: in one and the same
// passage Δp ρ/μ² is a function of q ρ/μ. A laminar drop so grows as the
// viscosity, a turbulent one of exponent 2 as the density, and what lies
// between them as both, without a share of either to be guessed.
type Points struct {
	curve    monotone // of ln Δp over ln q; empty for one point
	flow, dp float64  // first point
	exponent float64  // d ln Δp/d ln q there
}

const (
	turnShare         = 0.1  // of the first point's flow, where the drop turns linear
	turbulentExponent = 1.75 // Blasius
)

// NewPoints returns the drop (Pa) through points of flow (m3/s), both above
// zero and rising.
func NewPoints(flow, drop []float64) (Points, error) {
	err := checkPairs("flow", flow, "pressure drop", drop, math.SmallestNonzeroFloat64, true)
	if err == nil && !(drop[0] > 0) {
		err = fmt.Errorf("a pressure drop of %g Pa cannot be; it must be above zero", drop[0])
	}
	if err != nil {
		return Points{}, fmt.Errorf("part: pressure drop: %w", err)
	}
	p := Points{flow: flow[0], dp: drop[0], exponent: 1 + (turbulentExponent-1)/(1+turnShare*turnShare)}
	if len(flow) == 1 {
		return p, nil
	}
	x, y := make([]float64, len(flow)), make([]float64, len(flow))
	for i := range flow {
		x[i], y[i] = math.Log(flow[i]), math.Log(drop[i])
	}
	p.curve = newMonotone(x, y)
	p.curve.limitEnds(1, 2)
	_, _, p.exponent = p.curve.first()
	return p, nil
}

// Drop is the measured curve, carried to the liquid by similarity.
func (p Points) Drop(q float64, l Liquid) (dp, slope float64) {
	stretch := l.Density / l.Viscosity * (testViscosity / testDensity)
	scale := l.Viscosity * l.Viscosity / l.Density * (testDensity / (testViscosity * testViscosity))
	dp, slope = p.water(math.Abs(q) * stretch)
	return math.Copysign(scale*dp, q), scale * stretch * slope
}

// water is the drop of water at 25 degC at a flow of zero or more.
func (p Points) water(q float64) (dp, slope float64) {
	if q <= p.flow || len(p.curve.x) == 0 {
		return p.low(q / p.flow)
	}
	x := math.Log(q)
	top, y, s := p.curve.last()
	if x < top {
		y, s = p.curve.at(x)
	} else {
		y += s * (x - top)
	}
	dp = math.Exp(y)
	return dp, dp * s / q
}

// low is the drop at a flow over that of the first point: linear at rest, of
// the point's own value and slope at 1.
func (p Points) low(x float64) (dp, slope float64) {
	const turn = turnShare * turnShare
	excess := (p.exponent - 1) * (1 + turn)
	size := x*x + turn
	dp = p.dp * math.Pow(size/(1+turn), excess/2)
	return dp * x, dp * (1 + excess*x*x/size) / p.flow
}

// Series is parts one after the other, all with the same flow.
type Series []Resistance

// Drop is the sum of the drops.
func (s Series) Drop(q float64, l Liquid) (dp, slope float64) {
	for _, r := range s {
		d, m := r.Drop(q, l)
		dp += d
		slope += m
	}
	return dp, slope
}

// Restricted is a resistance that dirt, a kink or a valve has raised by a factor: the
// drop at every flow is so many times what it was.
type Restricted struct {
	Resistance
	Factor float64 // at least 1
}

// Drop is the factor times the drop of what is restricted.
func (r Restricted) Drop(q float64, l Liquid) (dp, slope float64) {
	dp, slope = r.Resistance.Drop(q, l)
	return r.Factor * dp, r.Factor * slope
}
