package part

import (
	"fmt"
	"math"

	"soakledger/sim/spec"
)

// StandardAirDensity is the density (kg/m3) at which figures of fans are
// stated: standard air of ISO 5801:2017 and the AMCA/ISO conversion rules
// (value from memory, not checked against the source).
const StandardAirDensity = 1.2

// FanCurve is the static pressure of one fan against its airflow at rated speed
// in standard air, and by the fan laws (flow as the speed, pressure as its
// square and as the density) at every other. Fan static pressure counts from
// the total pressure before the fan to the static pressure behind it, so the
// speed of the air that leaves is lost already.
//
// Beyond free flow, where other fans drive it, and for air that is blown back
// through it, a curve goes on with the slope it has at its end and a curvature
// that is the loss of the standing fan. So the pressure falls for every flow of
// either sign, rises with the speed at every flow, is continuous in its slope,
// and passes to the standing fan's -c q|q| as the speed goes to zero.
type FanCurve struct {
	points     *monotone // nil for the formula
	shutOff    float64   // Pa
	free       float64   // m3/s
	shape      float64   // of the formula
	standing   float64   // loss of the standing fan, Pa/(m3/s)2 in standard air
	start, end knot      // between which formula or points hold
}

// knot is a flow, the pressure there and its slope.
type knot struct{ q, p, slope float64 }

// FanShape is the exponent of a fan's pressure over its flow. 1 is the straight
// line; axial fans lie near it or below it in the middle of their range.
func FanShape() Default { return Default{1, 1, 2, spec.Factor, practice} }

// mostShape bounds the exponent: beyond it a curve is a box.
const mostShape = 4

// StandingFan is the loss of air through a standing fan, over that of a passage
// that loses the shut-off pressure at free flow. That ratio does not depend on
// the speed for which the two are stated.
func StandingFan() Default { return Default{1, 0.5, 3, spec.Factor, practice} }

// NewFanCurve returns p = shutOff (1 - (q/free)^shape) from the figures of a
// data sheet: free airflow (m3/s) and shut-off static pressure (Pa), both above
// zero, and an exponent of 1 (straight) to 4; see [FanShape].
func NewFanCurve(free, shutOff, shape float64) (FanCurve, error) {
	if !(free > 0) || !(shutOff > 0) || math.IsInf(free, 0) || math.IsInf(shutOff, 0) {
		return FanCurve{}, fmt.Errorf("part: a fan of %g m3/s free airflow and %g Pa shut-off pressure cannot be; both must be above zero", free, shutOff)
	}
	if !(shape >= 1 && shape <= mostShape) {
		return FanCurve{}, fmt.Errorf("part: fan curve: a shape of %g cannot be; allowed is 1 (a straight line) to %d, 2 is a parabola", shape, mostShape)
	}
	c := FanCurve{
		free: free, shutOff: shutOff, shape: shape,
		start: knot{0, shutOff, 0}, end: knot{free, 0, -shape * shutOff / free},
	}
	if shape == 1 {
		c.start.slope = c.end.slope
	}
	return c.withStanding(StandingFan().Value), nil
}

// NewFanCurveFromPoints returns the curve through points of airflow (m3/s,
// rising from zero or more) and static pressure (Pa, falling, not below zero),
// at least two, at rated speed in standard air.
func NewFanCurveFromPoints(flow, pressure []float64) (FanCurve, error) {
	if err := checkPairs("airflow", flow, "pressure", pressure, 0, false); err != nil {
		return FanCurve{}, fmt.Errorf("part: fan curve: %w", err)
	}
	n := len(flow)
	if n < 2 || pressure[n-1] < 0 {
		return FanCurve{}, fmt.Errorf("part: fan curve: it needs two or more points with a pressure not below zero, e.g. shut-off pressure and free airflow")
	}
	m := newMonotone(flow, pressure)
	c := FanCurve{points: &m}
	c.start.q, c.start.p, c.start.slope = m.first()
	c.end.q, c.end.p, c.end.slope = m.last()
	return c.withStanding(StandingFan().Value), nil
}

// WithStanding returns the curve with another loss of the standing fan, a
// factor above zero as in [StandingFan]. The curve between its ends stays.
func (c FanCurve) WithStanding(factor float64) (FanCurve, error) {
	if !(factor > 0) || math.IsInf(factor, 0) {
		return FanCurve{}, fmt.Errorf("part: fan curve: a loss of the standing fan of %g cannot be; it must be above zero, e.g. 1", factor)
	}
	return c.withStanding(factor), nil
}

// withStanding sets the loss of the standing fan, and what follows from it
// where points leave shut-off or free flow open. A loss below -slope/(2 x) of
// the last point would let an overdriven fan help less the faster it runs; it
// is held there.
func (c FanCurve) withStanding(factor float64) FanCurve {
	e := c.end
	least := -e.slope / (2 * e.q)
	if c.points == nil {
		c.standing = math.Max(least, factor*c.shutOff/(c.free*c.free))
		return c
	}
	rough := e.q - e.p/e.slope // where the last slope alone meets zero
	c.standing = math.Max(least, factor*c.start.p/(rough*rough))
	c.free = e.q + 2*e.p/(math.Sqrt(e.slope*e.slope+4*c.standing*e.p)-e.slope)
	c.shutOff, _ = c.Pressure(0, 1, StandardAirDensity)
	return c
}

// ShutOff returns the static pressure without flow at rated speed, Pa.
func (c FanCurve) ShutOff() float64 { return c.shutOff }

// FreeFlow returns the airflow without pressure at rated speed, m3/s.
func (c FanCurve) FreeFlow() float64 { return c.free }

// Pressure returns the static pressure (Pa) and its slope against the flow (Pa
// s/m3, never above zero) at a flow q (m3/s, either sign), a speed over rated
// speed (0 to about 1.5; below zero is taken as zero) and the air's density
// (kg/m3).
func (c FanCurve) Pressure(q, speed, density float64) (p, slope float64) {
	return c.pressure(q, math.Max(0, speed), density/StandardAirDensity)
}

// pressure is the curve at a speed ratio r not below zero and a density over
// the standard one.
func (c *FanCurve) pressure(q, r, density float64) (p, slope float64) {
	end := &c.end
	if q < r*end.q {
		if q > r*c.start.q {
			h, s := c.inside(q, r)
			return density * h, density * s
		}
		end = &c.start
	}
	// Beyond an end; in a form that stays exact as the speed goes to zero.
	d := q - r*end.q
	more := c.standing * math.Abs(d)
	return density * (r*(r*end.p+end.slope*d) - more*d), density * (r*end.slope - 2*more)
}

// inside returns pressure and slope between the ends, at a speed ratio.
func (c *FanCurve) inside(q, r float64) (p, slope float64) {
	if c.points != nil {
		h, s := c.points.at(q / r)
		return r * r * h, r * s
	}
	switch c.shape {
	case 1:
		return r * (r*c.shutOff + c.end.slope*q), r * c.end.slope
	case 2:
		slope = c.end.slope / c.free * q
		return r*r*c.shutOff + slope*q/2, slope
	}
	x := q / (r * c.free)
	steep := math.Pow(x, c.shape-1)
	return r * r * c.shutOff * (1 - x*steep), r * c.end.slope * steep
}
