package correlation

import "math"

// StandardGravity is the conventional acceleration of free fall in m/s²
// (3rd General Conference on Weights and Measures, 1901).
const StandardGravity = 9.80665

// Reynolds returns the Reynolds number v L/ν of a flow at velocity (m/s) with a
// length scale (m) and a kinematic viscosity (m²/s).
func Reynolds(velocity, length, kinematicViscosity float64) float64 {
	return velocity * length / kinematicViscosity
}

// Graetz returns the Graetz number (D/L) Re Pr of a duct of the given hydraulic
// diameter and length, both in m. A large value means a short duct.
func Graetz(diameter, length, re, pr float64) float64 {
	return diameter / length * re * pr
}

// Rayleigh returns the Rayleigh number g β |ΔT| L³/(ν α) at standard gravity:
// expansion β in 1/K, difference in K (either sign), length in m, kinematic
// viscosity and thermal diffusivity in m²/s.
func Rayleigh(expansion, difference, length, kinematicViscosity, diffusivity float64) float64 {
	return StandardGravity * expansion * math.Abs(difference) * length * length * length /
		(kinematicViscosity * diffusivity)
}

// HydraulicDiameter returns 4 A/p in m of a duct with a flow area in m² and a
// wetted perimeter in m.
func HydraulicDiameter(area, perimeter float64) float64 {
	return 4 * area / perimeter
}

// CapacityRate returns the heat capacity rate ρ q cp of a stream in W/K: density
// in kg/m³, volumetric flow in m³/s, specific heat in J/(kg K). A heat of P watts
// raises the stream by P/CapacityRate kelvins.
func CapacityRate(density, volumetricFlow, specificHeat float64) float64 {
	return density * volumetricFlow * specificHeat
}
