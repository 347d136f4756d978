package part

import (
	"fmt"
	"math"
)

// Passive returns what the core gives off with standing fans, by its face: a
// section of 120 mm gives [SectionPassive].
func (c *Core) Passive() Default {
	return scaled(SectionPassive(), c.Face()/(0.120*0.120), SectionPassive().Dimension)
}

// Draught returns the airflow (m3/s) that stands for natural convection and
// radiation: with it the core gives off the stated passive conductance (W/K,
// coolant inlet over entering air) at a film and a capacity rate of the coolant
// (both W/K) of the test flow. Factor is that on the air side, see [CoreFactor]; 1
// where nothing was measured. It fails if film or coolant cannot carry as much.
func (c *Core) Draught(passive, factor, film, coolant float64, a Air) (float64, error) {
	if !(passive > 0) || math.IsInf(passive, 1) {
		return 0, fmt.Errorf("part: core: a conductance without fans of %g W/K cannot be; it is above zero, e.g. 2 W/K", passive)
	}
	heat := func(q float64) float64 {
		rate := a.Density * q * a.SpecificHeat
		return c.Heat(Overall(factor*c.airSide(q, a), film), coolant, rate)
	}
	q, ok := rootOf(heat, passive, passive/(a.Density*a.SpecificHeat))
	if !ok {
		return 0, fmt.Errorf("part: core: %.3g W/K without fans is more than film (%.3g W/K) and coolant (%.3g W/K) can carry", passive, film, coolant)
	}
	return q, nil
}

// WithDraught returns the airflow (m3/s) of fans and draught together: the cube
// root of the sum of their cubes. It is the draught at rest, rises with the fans
// and soon is theirs alone (the blend is this model's).
func WithDraught(fans, draught float64) float64 {
	large, small := math.Max(fans, draught), math.Min(fans, draught)
	if large <= 0 {
		return 0
	}
	x := small / large
	return large * math.Cbrt(1+x*x*x)
}

// rootOf returns the x above zero at which a rising f reaches y, from a start, by
// bisection of a ratio until no number lies between; false if f never does.
func rootOf(f func(float64) float64, y, start float64) (float64, bool) {
	low, high := start, start
	for range 60 {
		if f(low) < y {
			break
		}
		low /= 4
	}
	for range 60 {
		if f(high) >= y {
			break
		}
		high *= 4
	}
	if f(low) >= y || f(high) < y {
		return 0, false
	}
	for range 200 {
		mid := low + (high-low)/2
		if !(mid > low && mid < high) {
			break
		}
		if f(mid) < y {
			low = mid
		} else {
			high = mid
		}
	}
	return high, true
}
