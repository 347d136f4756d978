package fluid

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// airRows is dry air at 101.325 kPa. Reference columns: density and specific
// heat computed independently in double precision from the equation of state of
// Lemmon et al. 2000, viscosity and conductivity from Lemmon and Jacobsen 2004.
// Formula columns: computed independently in double precision from Sutherland's
// law, the U.S. Standard Atmosphere 1976 and the ideal gas.
// Units: °C, kg/m³, J/(kg·K), 1e-5 Pa·s, W/(m·K).
var airRows = []struct{ t, rhoRef, cpRef, muRef, kRef, prRef, mu, k, rho float64 }{
	{0, 1.29307, 1005.68, 1.72184, .024360, .7108, 1.71600, .024138, 1.29232},
	{20, 1.20458, 1006.14, 1.82057, .025874, .7080, 1.81332, .025718, 1.20415},
	{25, 1.18432, 1006.31, 1.84481, .026247, .7073, 1.83715, .026108, 1.18396},
	{40, 1.12745, 1006.92, 1.91652, .027354, .7055, 1.90749, .027267, 1.12725},
	{60, 1.05963, 1008.02, 2.00991, .028804, .7034, 1.99873, .028786, 1.05957},
}

// TestAirTable: half a unit of the last printed digit against the formulas'
// values, the stated error against the reference.
func TestAirTable(t *testing.T) {
	for _, r := range airRows {
		T := celsius(r.t)
		at := func(name string) string { return fmt.Sprintf("%s at %g °C", name, r.t) }
		within(t, at("density"), AirDensity(T, StandardPressure, 0), r.rho, 0.51e-5)
		within(t, at("viscosity"), AirViscosity(T), 1e-5*r.mu, 0.51e-10)
		within(t, at("conductivity"), AirConductivity(T), r.k, 0.51e-6)
		within(t, at("specific heat"), AirSpecificHeat(T), r.cpRef, 0.00501)
		relative(t, at("density against reference"), AirDensity(T, StandardPressure, 0), r.rhoRef, 0.0006)
		relative(t, at("viscosity against reference"), AirViscosity(T), 1e-5*r.muRef, 0.006)
		relative(t, at("conductivity against reference"), AirConductivity(T), r.kRef, 0.0095)
		relative(t, at("Prandtl against reference"), AirPrandtl(T), r.prRef, 0.007)
	}
}

// TestAirHandbookOfHeatTransfer: F. P. Incropera et al., Fundamentals of Heat and
// Mass Transfer, table A.4, values from memory, not checked against the source.
// Its densities are for 100 kPa, not 101.325.
func TestAirHandbookOfHeatTransfer(t *testing.T) {
	for _, r := range []struct{ t, rho, cp, mu, k float64 }{
		{250, 1.3947, 1006, 159.6e-7, 22.3e-3},
		{300, 1.1614, 1007, 184.6e-7, 26.3e-3},
		{350, 0.9950, 1009, 208.2e-7, 30.0e-3},
	} {
		at := func(name string) string { return fmt.Sprintf("%s at %g K", name, r.t) }
		relative(t, at("density"), AirDensity(r.t, 1e5, 0), r.rho, 0.001)
		within(t, at("specific heat"), AirSpecificHeat(r.t), r.cp, 1)
		relative(t, at("viscosity"), AirViscosity(r.t), r.mu, 0.006)
		relative(t, at("conductivity"), AirConductivity(r.t), r.k, 0.009)
	}
}

// TestAirDiluteGas: Lemmon and Jacobsen 2004, table V, zero density, 300 K.
func TestAirDiluteGas(t *testing.T) {
	relative(t, "viscosity", AirViscosity(300), 18.523e-6, 0.005)
	relative(t, "conductivity", AirConductivity(300), 26.3529e-3, 0.005)
}

// TestPressureAtAltitude: ASHRAE 2017 ch. 1, table 1, printed to 1 Pa there as
// whole kilopascals with three decimals; and dry air at 25 °C, computed
// independently in double precision.
func TestPressureAtAltitude(t *testing.T) {
	for z, want := range map[float64]float64{0: 101325, 500: 95461, 1000: 89875, 4000: 61640} {
		within(t, fmt.Sprintf("pressure at %g m", z), PressureAtAltitude(z), want, 1)
	}
	for z, want := range map[float64]float64{1000: 1.05016, 2000: 0.92888} {
		got := AirDensity(celsius(25), PressureAtAltitude(z), 0)
		within(t, fmt.Sprintf("density at %g m", z), got, want, 0.51e-5)
	}
	if p := PressureAtAltitude(50_000); p != 0 {
		t.Errorf("pressure at 50 km = %v", p)
	}
}

// TestMoistAirSpecificHeat: ASHRAE 2017 ch. 1, eq. 30 adds 1860 J/K for every
// kilogram of vapour to the dry air's heat; at w = 0.01 and 20 °C that is
// (1006.14 + 18.60)/1.01.
func TestMoistAirSpecificHeat(t *testing.T) {
	within(t, "moist", MoistAirSpecificHeat(celsius(20), 0.01), 1024.74/1.01, 1e-9)
	within(t, "dry", MoistAirSpecificHeat(celsius(20), 0), 1006.14, 1e-9)
}

// TestFastAirTakesPressureAndHumidity: thin and damp air is lighter, and damp
// air holds more heat per kilogram.
func TestFastAirTakesPressureAndHumidity(t *testing.T) {
	T := celsius(30)
	for _, r := range []struct{ pressure, ratio float64 }{
		{StandardPressure, 0}, {StandardPressure, 0.02}, {95461, 0.02}, {61640, 0.005},
	} {
		table, err := FastAir(r.pressure, r.ratio)
		if err != nil {
			t.Fatal(err)
		}
		rho, drho := table.Density(T)
		_, cp, _ := table.Enthalpy(T)
		want := AirDensity(T, r.pressure, VapourPressureOfRatio(r.ratio, r.pressure))
		relative(t, "density", rho, want, 1e-5)
		relative(t, "slope of density", drho, -want/T, 1e-4)
		relative(t, "specific heat", cp, MoistAirSpecificHeat(T, r.ratio), 1e-5)
	}
}

func TestFastAirRejects(t *testing.T) {
	for _, pressure := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := FastAir(pressure, 0); err == nil || !strings.Contains(err.Error(), "pressure") {
			t.Errorf("pressure %v: error %v", pressure, err)
		}
	}
	for _, ratio := range []float64{-1e-9, 1.1, math.NaN(), math.Inf(1)} {
		if _, err := FastAir(StandardPressure, ratio); err == nil || !strings.Contains(err.Error(), "humidity ratio") {
			t.Errorf("humidity ratio %v: error %v", ratio, err)
		}
	}
}
