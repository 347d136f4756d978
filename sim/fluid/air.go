package fluid

import (
	"fmt"
	"math"
)

// StandardPressure is the standard atmosphere in Pa.
const StandardPressure = 101325.0

const (
	airGas = 287.042 // specific gas constant of dry air, J/(kg·K), ASHRAE 2017 ch. 1, eq. 1
	// waterToAir is the ratio of molar masses of water and dry air, ASHRAE 2017
	// ch. 1, in eq. 20.
	waterToAir = 0.621945
	// vapourHeat is the specific heat of water vapour, J/(kg·K), ASHRAE 2017
	// ch. 1, eq. 30.
	vapourHeat = 1860.0
)

// AirRange is the span of temperatures (K) for which the air formulas are meant
// and checked: -50 to 150 °C.
func AirRange() (low, high float64) { return zeroCelsius - 50, zeroCelsius + 150 }

// AirDensity is the density of air in kg/m³ as an ideal gas: temperature t (K),
// pressure (Pa), vapour pressure (Pa; 0 for dry air). ASHRAE 2017 ch. 1, eqs.
// 11, 20 and 26 combined. Dry air is up to 0.06 % lighter than by the reference
// equation of state at 0 to 60 °C, up to 0.16 % at -50 °C.
func AirDensity(t, pressure, vapourPressure float64) float64 {
	return (pressure - (1-waterToAir)*vapourPressure) / (airGas * t)
}

// AirSpecificHeat is the isobaric heat capacity of dry air in J/(kg·K) at
// temperature t (K) and StandardPressure: a quadratic of our own through values
// of the reference equation of state (E. W. Lemmon et al., J. Phys. Chem. Ref.
// Data 29 (2000) 331), within 1e-5 of them at 0 to 60 °C and 2e-4 over the whole
// range.
func AirSpecificHeat(t float64) float64 {
	c := t - zeroCelsius
	return 1005.68 + c*(0.015+4e-4*c)
}

// MoistAirSpecificHeat is the heat capacity in J/K per kilogram of moist air,
// at temperature t (K) and humidity ratio w (kg of vapour per kg of dry air):
// dry air and vapour side by side, as in ASHRAE 2017 ch. 1, eq. 30.
func MoistAirSpecificHeat(t, w float64) float64 {
	return (AirSpecificHeat(t) + w*vapourHeat) / (1 + w)
}

// AirViscosity is the dynamic viscosity of air in Pa·s at temperature t (K):
// Sutherland's law, F. M. White, Viscous Fluid Flow. It is 0.3 to 0.6 % lower
// than the reference correlation (E. W. Lemmon and R. T. Jacobsen, Int. J.
// Thermophys. 25 (2004) 21) at 0 to 60 °C, within 1.1 % of it over the whole
// range. Humidity is neglected.
func AirViscosity(t float64) float64 {
	const viscosity, reference, sutherland = 1.716e-5, 273.15, 110.4
	x := t / reference
	return viscosity * x * math.Sqrt(x) * (reference + sutherland) / (t + sutherland)
}

// AirConductivity is the thermal conductivity of air in W/(m·K) at temperature
// t (K): U.S. Standard Atmosphere 1976, eq. 53. It is up to 0.95 % lower than
// the reference correlation at 0 to 60 °C, within 1.8 % of it over the whole
// range. Humidity is neglected.
func AirConductivity(t float64) float64 {
	return 2.64638e-3 * t * math.Sqrt(t) / (t + 245.4*math.Pow(10, -12/t))
}

// AirPrandtl is viscosity times specific heat over conductivity of dry air at
// temperature t (K), without unit.
func AirPrandtl(t float64) float64 {
	return AirViscosity(t) * AirSpecificHeat(t) / AirConductivity(t)
}

// PressureAtAltitude is the pressure (Pa) of the standard atmosphere at height z
// (m) above sea level, -5,000 to 11,000 m: ASHRAE 2017 ch. 1, eq. 3. Above that
// formula's end, at 44 km, the result is 0.
func PressureAtAltitude(z float64) float64 {
	return StandardPressure * math.Pow(math.Max(0, 1-2.25577e-5*z), 5.2559)
}

// FastAir is the fast form of moist air at a pressure (Pa, positive and finite)
// and a humidity ratio (kg of vapour per kg of dry air, 0 to 1), over
// [AirRange]. Enthalpy and specific heat are per kilogram of moist air, the
// vapour counted as a gas from 0 °C on.
func FastAir(pressure, humidityRatio float64) (*Table, error) {
	if !(pressure > 0) || math.IsInf(pressure, 1) {
		return nil, fmt.Errorf("fluid: air pressure of %v Pa: must be positive and finite", pressure)
	}
	if !(humidityRatio >= 0 && humidityRatio <= 1) {
		return nil, fmt.Errorf("fluid: humidity ratio of %v kg/kg: allowed is 0 to 1", humidityRatio)
	}
	low, high := AirRange()
	vapour := VapourPressureOfRatio(humidityRatio, pressure)
	return newTable(moistAir{pressure, vapour, humidityRatio}, low, high), nil
}

// moistAir is the form behind [FastAir].
type moistAir struct{ pressure, vapour, ratio float64 }

func (a moistAir) density(t float64) float64      { return AirDensity(t, a.pressure, a.vapour) }
func (a moistAir) specificHeat(t float64) float64 { return MoistAirSpecificHeat(t, a.ratio) }
func (a moistAir) viscosity(t float64) float64    { return AirViscosity(t) }
func (a moistAir) conductivity(t float64) float64 { return AirConductivity(t) }
