package part

import (
	"fmt"
	"math"
)

// CorePoint is a measured conductance of a radiator whose core is known.
type CorePoint struct {
	Speed       float64 // of the fans, revolutions per second, above zero
	Airflow     float64 // through the core at that speed, m3/s
	Conductance float64 // W/K, as the test states it
}

// CoreTest is how the points were measured.
type CoreTest struct {
	CapacityRate float64 // of the coolant, W/K
	Film         float64 // between coolant and tubes at that flow, W/K
	PerMean      bool    // over the mean coolant temperature, not that of its inlet; see Rating
	Air          Air
}

// CoreFactor is what measured points say of a core's air side: the factor on its
// conductance with which the core meets each point exactly. Between the points it
// is a monotone curve in logarithms over the speed, beyond them it keeps the value
// of the nearest. One point alone is one factor for all speeds.
type CoreFactor struct {
	curve monotone // ln factor over ln speed
}

// Correct returns the factor that the points, of rising speed, ask for. It fails
// where a point asks for more than 95 % of what the air or the coolant can carry,
// or for more than the film lets through.
func (c *Core) Correct(points []CorePoint, test CoreTest) (CoreFactor, error) {
	if len(points) == 0 {
		return CoreFactor{}, fmt.Errorf("part: core: no points to correct it by; state one at least, e.g. 24 W/K at 1000 rpm")
	}
	x, y := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		if !(p.Speed > 0) || math.IsInf(p.Speed, 1) || i > 0 && !(p.Speed > points[i-1].Speed) {
			return CoreFactor{}, fmt.Errorf("part: core: point %d, at %.4g rpm: speeds must be above zero and rise from point to point", i+1, 60*p.Speed)
		}
		factor, err := c.factor(p, test)
		if err != nil {
			return CoreFactor{}, fmt.Errorf("part: core: at %.4g rpm: %w", 60*p.Speed, err)
		}
		x[i], y[i] = math.Log(p.Speed), math.Log(factor)
	}
	f := CoreFactor{newMonotone(x, y)}
	// Level at both ends, so that the slope stays continuous where the factor does
	// not change any more.
	f.curve.slope[0], f.curve.slope[len(x)-1] = 0, 0
	return f, nil
}

// factor returns what the air side must be multiplied by to meet a point.
func (c *Core) factor(p CorePoint, test CoreTest) (float64, error) {
	rating := Rating{p.Conductance, test.CapacityRate, test.PerMean}
	wanted := rating.perInlet()
	rate := test.Air.Density * p.Airflow * test.Air.SpecificHeat
	switch {
	case !(wanted > 0):
		return 0, fmt.Errorf("a conductance of %g W/K cannot be; it is above zero, e.g. 24 W/K", p.Conductance)
	case !(wanted < rating.Most()):
		return 0, fmt.Errorf("%.3g W/K over the inlet is more than 95 %% of the %.3g W/K that the coolant brings at the test flow", wanted, test.CapacityRate)
	}
	if err := rating.CheckAir(rate); err != nil {
		return 0, err
	}
	ua, ok := rootOf(func(ua float64) float64 { return c.Heat(ua, test.CapacityRate, rate) }, wanted, wanted)
	if !ok || !(ua < test.Film) {
		return 0, fmt.Errorf("%.3g W/K over the inlet is more than the %.3g W/K between coolant and tubes let through", wanted, test.Film)
	}
	return 1 / (1/ua - 1/test.Film) / c.airSide(p.Airflow, test.Air), nil
}

// At returns the factor at a fan speed (revolutions per second) and whether that
// lies outside the points; a standing fan does not.
func (f CoreFactor) At(speed float64) (factor float64, outside bool) {
	first, y0, _ := f.curve.first()
	last, y1, _ := f.curve.last()
	if !(speed > 0) {
		return math.Exp(y0), false
	}
	switch x := math.Log(speed); {
	case x <= first:
		return math.Exp(y0), x < first
	case x >= last:
		return math.Exp(y1), x > last
	default:
		y, _ := f.curve.at(x)
		return math.Exp(y), false
	}
}

// Range returns the least and the largest factor at the points. Far from 1 on
// either side, points and measures of the core do not belong together.
func (f CoreFactor) Range() (least, largest float64) {
	least, largest = math.Inf(1), 0
	for _, y := range f.curve.y {
		least, largest = math.Min(least, math.Exp(y)), math.Max(largest, math.Exp(y))
	}
	return least, largest
}
