package part

import (
	"fmt"
	"math"

	"soakledger/sim/correlation"
	"soakledger/sim/spec"
)

// SectionPassive is the conductance of a radiator without fans, a section of
// 120 mm: natural convection and radiation.
func SectionPassive() Default { return Default{1.0, 0.5, 1.5, spec.Conductance, practice} }

// RadiatorGrowth is the power of the fan speed with which a radiator's
// conductance grows where only one speed is stated.
func RadiatorGrowth() Default { return Default{0.7, 0.6, 0.8, spec.Factor, practice} }

// AirflowShare is the airflow through a radiator over the free flow of its
// fans.
func AirflowShare() Default { return Default{0.55, 0.40, 0.65, spec.Ratio, practice} }

// RadiatorPoint is a stated conductance at a fan speed.
type RadiatorPoint struct {
	Speed       float64 // revolutions per second
	Conductance float64 // W/K
}

// RadiatorTest is how the points were measured.
type RadiatorTest struct {
	CapacityRate float64 // of the coolant, W/K
	PerMean      bool    // over the mean coolant temperature, not that of its inlet; see Rating
	Passive      float64 // conductance of the standing radiator, W/K; a point at speed zero replaces it
	Growth       float64 // power of the speed towards rest, 0.3 to 1; zero is that of RadiatorGrowth
}

// RadiatorCurve is a radiator's UA against fan speed:
//
//	UA = (UA0⁴ + f(n)⁴)^(1/4)
//
// with the passive UA0 and a part f that the fans force, a monotone curve in
// logarithms through the stated points, which are met exactly. Above the last
// point f goes on as the power law it has there. Below the first its power
// passes from the one it has there to that of the test's Growth; one point
// alone has that power everywhere.
type RadiatorCurve struct {
	passive float64
	forced  monotone // ln f over ln n
	growth  float64
}

// NewRadiatorCurve takes points of rising speed and conductance, at least one
// at a speed above zero. It fails where a point asks for more heat than the
// coolant brings, or lies below what the standing radiator gives.
func NewRadiatorCurve(points []RadiatorPoint, test RadiatorTest) (RadiatorCurve, error) {
	speed, ua, err := pointExponents(points, test)
	if err != nil {
		return RadiatorCurve{}, err
	}
	c := RadiatorCurve{passive: test.Passive, growth: test.Growth}
	if c.growth == 0 {
		c.growth = RadiatorGrowth().Value
	}
	if !(c.growth >= leastExponent && c.growth <= 1) {
		return RadiatorCurve{}, fmt.Errorf("part: a conductance cannot grow with the power %g of the fan speed; 0.3 to 1 is possible, e.g. 0.7", c.growth)
	}
	if speed[0] == 0 {
		c.passive, speed, ua = ua[0], speed[1:], ua[1:]
	}
	if len(speed) == 0 || !(c.passive > 0) || !(ua[0] > c.passive) {
		return RadiatorCurve{}, fmt.Errorf("part: a radiator needs a conductance at a speed above zero, above the %g W/K without fans", c.passive)
	}
	c.force(speed, ua)
	return c, nil
}

// force lays the curve of the forced part through the points.
func (c *RadiatorCurve) force(speed, ua []float64) {
	x, y := make([]float64, len(speed)), make([]float64, len(speed))
	for i := range speed {
		forced := math.Pow(ua[i], sharpness) - math.Pow(c.passive, sharpness)
		x[i], y[i] = math.Log(speed[i]), math.Log(forced)/sharpness
	}
	c.forced = newMonotone(x, y)
	if len(x) == 1 {
		c.forced.slope[0] = c.growth
		return
	}
	c.forced.limitEnds(0, 1)
}

// pointExponents returns the points as lists of speed and UA.
func pointExponents(points []RadiatorPoint, test RadiatorTest) (speed, ua []float64, err error) {
	for _, p := range points {
		u, err := Rating{p.Conductance, test.CapacityRate, test.PerMean}.Exponent()
		if err != nil {
			return nil, nil, fmt.Errorf("at %.4g rpm: %w", 60*p.Speed, err)
		}
		speed, ua = append(speed, p.Speed), append(ua, u)
	}
	if err := checkPairs("fan speed", speed, "conductance", ua, 0, true); err != nil {
		return nil, nil, fmt.Errorf("part: radiator: %w", err)
	}
	if !(ua[0] > 0) {
		return nil, nil, fmt.Errorf("part: radiator: a conductance of %g W/K cannot be; it must be above zero", points[0].Conductance)
	}
	return speed, ua, nil
}

// Exponent returns UA (W/K; see [Rating.Exponent]) at a fan speed (revolutions
// per second, not below zero) with its slope, and whether the speed lies
// outside the stated points. A standing radiator is not outside.
func (c RadiatorCurve) Exponent(speed float64) (ua, slope float64, outside bool) {
	if !(speed > 0) {
		return c.passive, 0, false
	}
	x := math.Log(speed)
	y, s, outside := c.at(x)
	f4 := math.Exp(sharpness * y)
	sum := math.Pow(c.passive, sharpness) + f4
	ua = math.Sqrt(math.Sqrt(sum))
	return ua, ua / sum * f4 * s / speed, outside
}

// at returns the logarithm of the forced part and its slope at a logarithm of
// the speed.
func (c RadiatorCurve) at(x float64) (y, slope float64, outside bool) {
	first, y0, s0 := c.forced.first()
	last, y1, s1 := c.forced.last()
	if x < first {
		near := math.Exp(x - first) // speed over that of the first point
		return y0 + c.growth*(x-first) + (s0-c.growth)*(near-1), c.growth + (s0-c.growth)*near, true
	}
	if x >= last {
		return y1 + s1*(x-last), s1, x > last
	}
	y, slope = c.forced.at(x)
	return y, slope, false
}

// CoreAir is the air through a radiator where the fan's free flow is all that
// is known: a share of it at every speed (fan law: flow as speed).
type CoreAir struct {
	Free  float64 // free flow of all fans on the face, m3/s
	Rated float64 // speed of it, revolutions per second
	Share float64 // through the core; see AirflowShare
}

// Flow returns the airflow (m3/s) at a fan speed (revolutions per second).
func (a CoreAir) Flow(speed float64) float64 { return a.Free * a.Share * speed / a.Rated }

// CapacityRate returns the capacity rate (W/K) of air of a density (kg/m3) and
// specific heat (J/(kg K)) at a fan speed (revolutions per second).
func (a CoreAir) CapacityRate(speed, density, specificHeat float64) float64 {
	return correlation.CapacityRate(density, a.Flow(speed), specificHeat)
}

// mostOfAir is the share of the air's capacity rate that a conductance per
// inlet may reach.
const mostOfAir = 0.95

// CheckAir reports a rating that asks the air for more than it can carry: heat
// over coolant inlet minus air inlet above 95 % of the air's capacity rate
// (W/K) would warm the air to the coolant.
func (r Rating) CheckAir(airRate float64) error {
	g := r.perInlet()
	if !(g <= mostOfAir*airRate) {
		return fmt.Errorf("part: %.3g W/K is more than 95 %% of what the air can carry, %.3g W/K; check the airflow and the unit", g, airRate)
	}
	return nil
}

// sectionBand is the conductance of a section of 120 mm, coolant inlet over
// entering air, at 3 to 5 L/min with clean fins: usual and high in the open, low
// in a small case with grilles, where half of it may be left.
var sectionBand = [...]struct{ rpm, low, usual, high float64 }{
	{500, 2.5, 5, 6}, {750, 3.5, 7.5, 9}, {1000, 4.5, 9.5, 11}, {1300, 5.5, 12, 14}, {1850, 8, 16.5, 19}, {2500, 10, 21.5, 25},
}

// SectionConductance returns the usual conductance (W/K per inlet) of a
// radiator section of the given edge (m) at a fan speed (revolutions per
// second), for a radiator of which nothing else is known. The band is wide enough
// for all thicknesses and fins: its upper half is that of an open bench, its lower
// that of small cases with grilles. Between the speeds of the band figures follow
// power laws, outside it a power of 0.7, which goes to zero at rest; see
// SectionPassive. A section of 140 mm has more by its area.
func SectionConductance(speed, edge float64) Default {
	rpm := 60 * speed
	area := (edge / 0.120) * (edge / 0.120)
	n := len(sectionBand) - 1
	i := 0
	for i < n-1 && rpm > sectionBand[i+1].rpm {
		i++
	}
	a, b := sectionBand[i], sectionBand[i+1]
	between := func(x, y float64) float64 {
		switch growth := RadiatorGrowth().Value; {
		case rpm < a.rpm:
			return area * x * math.Pow(rpm/a.rpm, growth)
		case rpm > b.rpm:
			return area * y * math.Pow(rpm/b.rpm, growth)
		}
		return area * x * math.Pow(y/x, math.Log(rpm/a.rpm)/math.Log(b.rpm/a.rpm))
	}
	return Default{between(a.usual, b.usual), between(a.low, b.low), between(a.high, b.high), spec.Conductance, practice}
}
