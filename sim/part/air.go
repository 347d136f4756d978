package part

import (
	"math"

	"soakledger/sim/fluid"
)

// Air is what the flow and the heat of an air stream depend on.
type Air struct {
	Density      float64 // kg/m3
	Viscosity    float64 // dynamic, Pa s
	Conductivity float64 // W/(m K)
	SpecificHeat float64 // J/(kg K)
}

// AirAt returns moist air at a temperature (K, inside [fluid.AirRange]), a
// pressure (Pa, above zero) and a humidity ratio (kg of vapour per kg of dry
// air, not below zero), by the formulas of package fluid. Vapour counts in
// density and specific heat.
func AirAt(temperature, pressure, humidityRatio float64) Air {
	vapour := fluid.VapourPressureOfRatio(humidityRatio, pressure)
	return Air{
		Density:      fluid.AirDensity(temperature, pressure, vapour),
		Viscosity:    fluid.AirViscosity(temperature),
		Conductivity: fluid.AirConductivity(temperature),
		SpecificHeat: fluid.MoistAirSpecificHeat(temperature, humidityRatio),
	}
}

// Prandtl returns the air's Prandtl number.
func (a Air) Prandtl() float64 { return a.Viscosity * a.SpecificHeat / a.Conductivity }

// AirResistance is the pressure loss of what an air stream passes: a core, a
// grille, a filter. Drop returns it (Pa) with its slope (Pa s/m3) at a flow q
// (m3/s) of either sign. It is odd in q, never falls with q, is continuous in
// its slope and zero at rest. What is closed has a slope of +Inf at rest.
type AirResistance interface {
	Drop(q float64, a Air) (dp, slope float64)
}

// AirLoss is the loss K ρ v²/2 of an opening, a grille or a filter.
type AirLoss struct {
	K    float64 // loss coefficient on v, zero to +Inf (closed)
	Area float64 // that v refers to, m2, above zero; zero is closed
}

// Drop is K ρ v²/2 with v = q/Area.
func (k AirLoss) Drop(q float64, a Air) (dp, slope float64) {
	rate := k.perSquare(a.Density)
	if math.IsInf(rate, 1) {
		return closed(q)
	}
	size := math.Abs(q)
	return rate * q * size, 2 * rate * size
}

// perSquare returns the loss over the square of the flow, Pa/(m3/s)2.
func (k AirLoss) perSquare(density float64) float64 {
	if k.Area == 0 {
		return math.Inf(1)
	}
	return k.K * density / (2 * k.Area * k.Area)
}

// closed is the loss of what lets nothing through.
func closed(q float64) (dp, slope float64) {
	if q == 0 {
		return 0, math.Inf(1)
	}
	return math.Copysign(math.Inf(1), q), math.Inf(1)
}

// AirSeries is what one air stream passes one after the other.
type AirSeries []AirResistance

// Drop is the sum of the losses.
func (s AirSeries) Drop(q float64, a Air) (dp, slope float64) {
	for _, r := range s {
		d, m := r.Drop(q, a)
		dp += d
		slope += m
	}
	return dp, slope
}
