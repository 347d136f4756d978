package fluid

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestSaturationPressure: ASHRAE 2017 ch. 1, table 3, which comes from another
// formula than eq. 6; the two agree to 3e-4. Over ice: values from memory, not
// checked against the source.
func TestSaturationPressure(t *testing.T) {
	for c, want := range map[float64]float64{5: 872.6, 25: 3169.7, 50: 12351.3, 100: 101418.0, -20: 103.24} {
		relative(t, fmt.Sprintf("saturation pressure at %g °C", c), SaturationPressure(celsius(c)), want, 3e-4)
	}
	within(t, "saturation pressure at -60 °C", SaturationPressure(celsius(-60)), 1.08, 0.005)
}

// TestSaturationPressureFormula: eqs. 5 and 6 by a public implementation of the
// Handbook, computed independently in double precision.
func TestSaturationPressureFormula(t *testing.T) {
	for c, want := range map[float64]float64{
		-60: 1.0816731664634545, -20: 103.26037858050408, 5: 872.4866542640299,
		25: 3169.2164701436277, 50: 12349.856466723748, 100: 101418.71682799235,
	} {
		relative(t, fmt.Sprintf("saturation pressure at %g °C", c), SaturationPressure(celsius(c)), want, 1e-11)
	}
}

// TestSaturationPressureRelease: IAPWS R7-97(2012), table 35.
func TestSaturationPressureRelease(t *testing.T) {
	relative(t, "saturation pressure at 300 K", SaturationPressure(300), 3536.58941, 3e-4)
}

// TestSaturationCurvesMeet: at the triple point, 611.657 Pa (IAPWS), ice and
// liquid are in equilibrium.
func TestSaturationCurvesMeet(t *testing.T) {
	relative(t, "over liquid", SaturationPressure(triplePoint), 611.657, 1e-4)
	relative(t, "over ice", SaturationPressure(math.Nextafter(triplePoint, 0)), 611.657, 1e-4)
}

// TestSaturationSlopes checks the derivatives used by the inversion.
func TestSaturationSlopes(t *testing.T) {
	for name, curve := range map[string]func(float64) (float64, float64){"liquid": liquidCurve, "ice": iceCurve} {
		value := func(T float64) float64 { y, _ := curve(T); return y }
		for _, T := range []float64{200, 250, 273.16, 300, 350, 450} {
			_, dy := curve(T)
			relative(t, fmt.Sprintf("slope over %s at %g K", name, T), dy, derivative(value, T), 1e-9)
		}
	}
}

// TestHumidityRatio: ASHRAE 2017 ch. 1: vapour of 3169.7 Pa in 95,461 Pa gives
// 0.0213603998 by eq. 20, and air of 30 °C, ratio 0.02 and that pressure
// 1.08411986 kg/m³ by eqs. 11 and 26; both computed independently by a public
// implementation of the Handbook. Dry air of 25 °C has 0.8443 m³/kg (table 2).
func TestHumidityRatio(t *testing.T) {
	relative(t, "humidity ratio", HumidityRatio(3169.7, 95461), 0.02136040, 1e-6)
	moist := AirDensity(celsius(30), 95461, VapourPressureOfRatio(0.02, 95461))
	relative(t, "moist density", moist, 1.08411986, 1e-6)
	relative(t, "dry volume", 1/AirDensity(celsius(25), StandardPressure, 0), 0.8443, 1e-3)
}

// TestHandbookExample: ASHRAE 2017 ch. 1, example 1: 40 °C dry bulb, 20 °C wet
// bulb, read off the chart: ratio 0.0065, dew point about 7 °C, relative
// humidity 14 %, volume 0.896 m³ per kg of dry air. The reading of the dew point
// is coarse: air saturated at 7 °C holds 0.0062.
func TestHandbookExample(t *testing.T) {
	T, w := celsius(40), 0.0065
	vapour := VapourPressureOfRatio(w, StandardPressure)
	within(t, "dew point", DewPoint(vapour), celsius(7), 0.7)
	within(t, "relative humidity", RelativeHumidity(T, vapour), 0.14, 0.005)
	within(t, "volume", (1+w)/AirDensity(T, StandardPressure, vapour), 0.896, 0.0005)
}

// TestRoomAir: computed independently in double precision from the same
// formulas, half a unit of the last digit: vapour pressure (Pa), dew points (°C),
// ratio and density at 101.325 kPa.
func TestRoomAir(t *testing.T) {
	for _, r := range []struct{ t, rh, vapour, dew, magnus, w, rho float64 }{
		{20, 0.50, 1169.40, 9.272, 9.261, .007262, 1.19890},
		{25, 0.50, 1584.61, 13.864, 13.858, .009881, 1.17696},
		{25, 0.60, 1901.53, 16.701, 16.698, .011895, 1.17556},
		{30, 0.70, 2972.22, 23.928, 23.930, .018795, 1.15152},
	} {
		T := celsius(r.t)
		at := fmt.Sprintf("at %g °C and %g: ", r.t, r.rh)
		vapour := VapourPressure(T, r.rh)
		within(t, at+"vapour pressure", vapour, r.vapour, 0.00501)
		within(t, at+"dew point", DewPoint(vapour), celsius(r.dew), 0.000501)
		within(t, at+"Magnus dew point", DewPointMagnus(T, r.rh), celsius(r.magnus), 0.000501)
		within(t, at+"humidity ratio", HumidityRatio(vapour, StandardPressure), r.w, 0.501e-6)
		within(t, at+"density", AirDensity(T, StandardPressure, vapour), r.rho, 0.501e-5)
	}
}

// TestDewPointInverts: the dew point's saturation pressure is the vapour
// pressure, to rounding, over the whole range of the formulas.
func TestDewPointInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		T := rapid.Float64Range(173.15, 473.15).Draw(t, "temperature")
		if got := DewPoint(SaturationPressure(T)); math.Abs(got-T) > 1e-9 {
			t.Errorf("dew point of saturated air of %v K = %v K", T, got)
		}
	})
}

// TestDewPointBetweenCurves: the two curves miss each other at the triple point
// by a few parts in a million; a vapour pressure between them is at that point.
func TestDewPointBetweenCurves(t *testing.T) {
	ice, _ := iceCurve(triplePoint)
	liquid, _ := liquidCurve(triplePoint)
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		dew := DewPoint(math.Exp(ice + share*(liquid-ice)))
		within(t, "dew point between ice and liquid", dew, triplePoint, 1e-3)
	}
}

func TestDewPointOfDryAir(t *testing.T) {
	for _, vapour := range []float64{0, -1, math.NaN()} {
		if dew := DewPoint(vapour); dew != 0 {
			t.Errorf("dew point at %v Pa = %v", vapour, dew)
		}
	}
}

// TestDewPointBelowAir: a dew point is below the air's temperature unless the
// air is saturated, rises with humidity, and the Magnus form stays close to it.
func TestDewPointBelowAir(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		T := celsius(rapid.Float64Range(10, 45).Draw(t, "air"))
		rh := rapid.Float64Range(0.1, 0.98).Draw(t, "humidity")
		dew := DewPoint(VapourPressure(T, rh))
		if dew >= T {
			t.Errorf("dew point %g K of unsaturated air of %g K", dew, T)
		}
		if wetter := DewPoint(VapourPressure(T, rh+0.01)); wetter <= dew {
			t.Errorf("dew point falls from %g to %g K as air gets wetter", dew, wetter)
		}
		if magnus := DewPointMagnus(T, rh); dew > triplePoint && math.Abs(magnus-dew) > 0.036 {
			t.Errorf("Magnus dew point %g K, exact %g K", magnus, dew)
		}
	})
}

func TestHumidityRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pressure := rapid.Float64Range(5e4, 1.1e5).Draw(t, "pressure")
		vapour := rapid.Float64Range(1e-3, 2e4).Draw(t, "vapour")
		T := celsius(rapid.Float64Range(-20, 90).Draw(t, "temperature"))
		if back := VapourPressureOfRatio(HumidityRatio(vapour, pressure), pressure); math.Abs(back-vapour) > 1e-13*pressure {
			t.Errorf("vapour pressure %v came back as %v", vapour, back)
		}
		if back := VapourPressure(T, RelativeHumidity(T, vapour)); math.Abs(back-vapour) > 1e-14*vapour {
			t.Errorf("vapour pressure %v came back as %v", vapour, back)
		}
	})
}
