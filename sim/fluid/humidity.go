package fluid

import "math"

// triplePoint of water, K: above it saturation is over liquid, below over ice.
const triplePoint = 273.16

// SaturationPressure is the pressure (Pa) of water vapour in equilibrium with
// liquid water, or with ice below 0.01 °C, at temperature t (K), 173.15 to
// 473.15 K. ASHRAE 2017 ch. 1, eqs. 5 (ice) and 6 (liquid); the formula for
// liquid is within 3e-4 of the Handbook's table 3.
func SaturationPressure(t float64) float64 {
	if t < triplePoint {
		y, _ := iceCurve(t)
		return math.Exp(y)
	}
	y, _ := liquidCurve(t)
	return math.Exp(y)
}

// liquidCurve is ln(p/Pa) of ASHRAE 2017 ch. 1, eq. 6, and its derivative.
func liquidCurve(t float64) (y, dy float64) {
	const c8, c9, c10, c11, c12, c13 = -5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673
	y = c8/t + c9 + t*(c10+t*(c11+t*c12)) + c13*math.Log(t)
	dy = -c8/(t*t) + c10 + t*(2*c11+3*t*c12) + c13/t
	return y, dy
}

// iceCurve is ln(p/Pa) of ASHRAE 2017 ch. 1, eq. 5, and its derivative.
func iceCurve(t float64) (y, dy float64) {
	const c1, c2, c3, c4, c5, c6, c7 = -5.6745359e3, 6.3925247, -9.6778430e-3, 6.2215701e-7, 2.0747825e-9, -9.4840240e-13, 4.1635019
	y = c1/t + c2 + t*(c3+t*(c4+t*(c5+t*c6))) + c7*math.Log(t)
	dy = -c1/(t*t) + c3 + t*(2*c4+t*(3*c5+4*t*c6)) + c7/t
	return y, dy
}

// VapourPressure is the partial pressure (Pa) of water vapour in air of
// temperature t (K) and relative humidity (0 to 1).
func VapourPressure(t, relativeHumidity float64) float64 {
	return relativeHumidity * SaturationPressure(t)
}

// RelativeHumidity is the vapour pressure (Pa) as a share of the saturation
// pressure at temperature t (K). Above 1 the air is supersaturated: fog.
func RelativeHumidity(t, vapourPressure float64) float64 {
	return vapourPressure / SaturationPressure(t)
}

// HumidityRatio is the mass of vapour per mass of dry air (kg/kg) at a vapour
// pressure below the total pressure (both Pa): ASHRAE 2017 ch. 1, eq. 20.
func HumidityRatio(vapourPressure, pressure float64) float64 {
	return waterToAir * vapourPressure / (pressure - vapourPressure)
}

// VapourPressureOfRatio is the vapour pressure (Pa) at a humidity ratio (kg/kg)
// and total pressure (Pa); the inverse of [HumidityRatio].
func VapourPressureOfRatio(humidityRatio, pressure float64) float64 {
	return pressure * humidityRatio / (waterToAir + humidityRatio)
}

// DewPoint is the temperature (K) at which a vapour pressure (Pa) is the
// saturation pressure, the inverse of [SaturationPressure] to rounding: the dew
// point, or the frost point below 0.01 °C. It holds for 1e-3 Pa to 1.5 MPa
// (-100 to 200 °C). Perfectly dry air has none: at a vapour pressure that is not
// positive the result is 0 K.
func DewPoint(vapourPressure float64) float64 {
	if !(vapourPressure > 0) {
		return 0
	}
	target := math.Log(vapourPressure)
	if ice, _ := iceCurve(triplePoint); target < ice {
		return invert(iceCurve, target)
	}
	return max(triplePoint, invert(liquidCurve, target))
}

// invert solves y(t) = target by Newton's method in 1/t, in which the logarithm
// of a vapour pressure is nearly a straight line.
func invert(curve func(float64) (y, dy float64), target float64) float64 {
	t := triplePoint
	for range 20 {
		y, dy := curve(t)
		next := 1 / (1/t - (target-y)/(dy*t*t))
		if math.Abs(next-t) <= 1e-13*t {
			return next
		}
		t = next
	}
	return t
}

// DewPointMagnus is the dew point (K) of air of temperature t (K) and relative
// humidity (0 to 1, positive) by the Magnus form of O. A. Alduchov and R. E.
// Eskridge, J. Appl. Meteorol. 35 (1996) 601: no iteration, over liquid water at
// all temperatures. In air of 5 to 45 °C it is within 0.036 K of [DewPoint] above
// freezing, and up to 1.3 K below the frost point at -10 °C. Prefer DewPoint.
func DewPointMagnus(t, relativeHumidity float64) float64 {
	const a, b = 17.625, 243.04
	c := t - zeroCelsius
	g := math.Log(relativeHumidity) + a*c/(b+c)
	return zeroCelsius + b*g/(a-g)
}
