package part

import (
	"fmt"
	"math"

	"soakledger/sim/spec"
)

// RadiatorFilm is the ratio of the coolant-to-metal conductance to the
// radiator's whole conductance.
func RadiatorFilm() Default { return Default{6, 3, 15, spec.Factor, practice} }

// RadiatorTestFlow is the coolant flow at which a conductance is measured.
func RadiatorTestFlow() Default {
	return Default{4e-3 / 60, 3e-3 / 60, 5e-3 / 60, spec.VolumeFlow, practice}
}

// RadiatorMetal is the heat capacity of a radiator's metal.
func RadiatorMetal() Default { return Default{400, 150, 900, spec.HeatCapacity, practice} }

// RadiatorVolume is the coolant in a radiator.
func RadiatorVolume() Default { return Default{200e-6, 70e-6, 550e-6, spec.Volume, practice} }

// RadiatorCells is the number of mixed cells that stand for a radiator's flow.
func RadiatorCells() Default { return Default{4, 1, 16, spec.Count, "this model"} }

// Rating is a radiator's stated conductance (W/K) at a test capacity rate of
// the coolant (W/K). With PerMean it is heat over the mean coolant temperature
// minus that of the entering air, otherwise over the coolant's inlet minus it.
type Rating struct {
	Conductance  float64
	CapacityRate float64
	PerMean      bool
}

// Exponent returns UA (W/K), the product that describes the radiator at any
// flow: with effectiveness P = 1 - exp(-UA/C) of the coolant's capacity rate
// C the stated heat is met at the test flow. It fails if the conductance asks
// for more heat than the coolant brings.
//
// The air is taken to be at its inlet temperature everywhere, which a single
// stated conductance cannot tell apart from a warming air stream.
func (r Rating) Exponent() (ua float64, err error) {
	g := r.perInlet()
	if !(g < r.Most()) {
		return 0, fmt.Errorf("part: %.3g W/K over the inlet is more than the %.3g W/K that the coolant can bring at the test flow", g, r.Most())
	}
	return -r.CapacityRate * math.Log1p(-g/r.CapacityRate), nil
}

// perInlet returns the conductance (W/K) on the coolant's inlet temperature.
func (r Rating) perInlet() float64 {
	if r.PerMean {
		return r.Conductance / (1 + r.Conductance/(2*r.CapacityRate))
	}
	return r.Conductance
}

// Most returns the largest conductance over the inlet that a rating may state,
// W/K: 95 % of what the coolant would bring if it left at the air's temperature.
// Nearer to that limit a small error of the figure becomes a large one of UA.
func (r Rating) Most() float64 { return 0.95 * r.CapacityRate }

// CellConductance returns the conductance between coolant and air (W/K, all
// cells together) with which n well-mixed cells in flow order give exactly the
// heat of a radiator of exponent ua (W/K) at the capacity rate c of the
// coolant (W/K): n c ((1-P)^(-1/n) - 1) with P = 1 - exp(-ua/c).
//
// The rule is exact while ua/(n c) stays below exact, a half unless the
// radiator was tested at more. Towards zero flow, where mixed cells lose their
// meaning as steps along the flow, it passes smoothly to ua itself, which it
// reaches one above that.
func CellConductance(ua, c float64, n int, exact float64) float64 {
	if c <= 0 {
		return ua
	}
	x := ua / (float64(n) * c)
	if x >= exact+1 {
		return ua
	}
	s := math.Min(exact+1-x, 1)
	return ua * (1 + (math.Expm1(x)/x-1)*s*s*(3-2*s))
}

// AirConductance returns the conductance from metal to air (W/K) that in
// series with the film between coolant and metal gives g (W/K). It fails
// unless the film is above g.
func AirConductance(g, film float64) (float64, error) {
	if !(film > g) {
		return 0, fmt.Errorf("part: a coolant-to-metal conductance of %.3g W/K cannot carry %.3g W/K", film, g)
	}
	return 1 / (1/g - 1/film), nil
}
