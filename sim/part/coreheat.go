package part

import (
	"math"

	"soakledger/sim/correlation"
)

// Overall returns UA (W/K): the air side and the coolant's film (both W/K) one
// behind the other. Zero if either is.
func Overall(airSide, film float64) float64 {
	if airSide <= 0 || film <= 0 {
		return 0
	}
	return 1 / (1/airSide + 1/film)
}

// Effectiveness returns the exact effectiveness P of the coolant: what it cools by
// over the difference of coolant inlet and air inlet, with UA and the capacity
// rates of coolant and air (all W/K, not below zero).
//
// Passes lie side by side in the face: the coolant runs through one after another,
// mixed in the tanks between, and each sees its own share of the air. One row of
// tubes is cross flow with neither stream mixed. Several rows, which the coolant
// fills side by side, mix it within each.
func (c *Core) Effectiveness(ua, coolant, air float64) float64 {
	if ua <= 0 || air <= 0 {
		return 0
	}
	if coolant <= 0 {
		return 1
	}
	if c.shape.Rows == 1 {
		return correlation.EffectivenessPassesInPlane(ua/coolant, coolant/air, c.shape.Passes)
	}
	passes := float64(c.shape.Passes)
	share := air / passes / coolant
	p := share * correlation.EffectivenessRowsOnePass(ua/air, share, c.shape.Rows)
	return -math.Expm1(passes * math.Log1p(-math.Min(p, 1)))
}

// Heat returns the heat over the difference of coolant inlet and air inlet (W/K),
// never more than either capacity rate; arguments as in [Core.Effectiveness].
func (c *Core) Heat(ua, coolant, air float64) float64 {
	return math.Min(coolant*c.Effectiveness(ua, coolant, air), air)
}

// Still returns the heat over the difference of the coolant, at one temperature
// all through, and the entering air (W/K): air that runs along a wall of one
// temperature, C (1 - e^{-UA/C}). Coolant in many passes has it in each piece of
// its way.
func Still(ua, air float64) float64 {
	if ua <= 0 || air <= 0 {
		return 0
	}
	return -air * math.Expm1(-ua/air)
}
