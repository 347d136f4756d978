package fluid

import (
	"fmt"
	"testing"
)

// waterRows is liquid water at 101.325 kPa, computed independently in double
// precision from IAPWS-95 (density, specific heat, expansion), IAPWS R12-08
// (viscosity), R15-11 (conductivity) and IAPWS R7-97 (saturation pressure).
// Units: °C, kg/m³, J/(kg·K), µPa·s, mW/(m·K), 1, kPa, 1e-4/K.
var waterRows = []struct{ t, rho, cp, mu, k, pr, psat, beta float64 }{
	{5, 999.9666, 4205.04, 1518.173, 567.794, 11.2435, 0.87258, 0.1604},
	{10, 999.7025, 4195.16, 1305.900, 578.777, 9.4656, 1.22820, 0.8793},
	{15, 999.1026, 4188.46, 1137.568, 588.802, 8.0921, 1.70579, 1.5084},
	{20, 998.2072, 4184.05, 1001.596, 598.012, 7.0078, 2.33932, 2.0681},
	{25, 997.0476, 4181.31, 890.022, 606.516, 6.1358, 3.16993, 2.5729},
	{30, 995.6495, 4179.82, 797.222, 614.392, 5.4236, 4.24697, 3.0338},
	{35, 994.0333, 4179.26, 719.126, 621.700, 4.8342, 5.62902, 3.4589},
	{40, 992.2164, 4179.41, 652.729, 628.486, 4.3406, 7.38494, 3.8548},
	{45, 990.2129, 4180.14, 595.769, 634.783, 3.9232, 9.59500, 4.2264},
	{50, 988.0350, 4181.34, 546.516, 640.621, 3.5671, 12.35195, 4.5777},
	{60, 983.1958, 4184.95, 466.035, 651.000, 2.9959, 19.94643, 5.2325},
	{70, 977.7646, 4190.07, 403.548, 659.758, 2.5629, 31.20093, 5.8396},
	{80, 971.7904, 4196.75, 354.051, 666.994, 2.2277, 47.41447, 6.4136},
	{95, 961.8879, 4210.17, 297.085, 675.167, 1.8525, 84.60847, 7.2372},
}

// TestWaterTable holds every property to its formula's stated error, which is
// wider than half a unit of the last digit of all columns but density's: there
// the two together are 1.5e-4 kg/m³.
func TestWaterTable(t *testing.T) {
	w := Water()
	for _, r := range waterRows {
		T := celsius(r.t)
		at := func(name string) string { return fmt.Sprintf("%s at %g °C", name, r.t) }
		within(t, at("density"), w.Density(T), r.rho, 1.5e-4)
		relative(t, at("specific heat"), w.SpecificHeat(T), r.cp, 3.5e-5)
		relative(t, at("viscosity"), w.Viscosity(T), 1e-6*r.mu, 3.1e-5)
		relative(t, at("conductivity"), w.Conductivity(T), 1e-3*r.k, 2.5e-5)
		relative(t, at("Prandtl"), w.Prandtl(T), r.pr, 6e-5)
		within(t, at("expansion"), w.Expansion(T), 1e-4*r.beta, 1.5e-8)
		relative(t, at("saturation pressure"), SaturationPressure(T), 1e3*r.psat, 3e-4)
	}
}

// TestWaterRelease reproduces IAPWS SR6-08(2011), table 8, at 0.1 MPa, to half a
// unit of the last printed digit. The conductivities tell the coefficients of
// 2011 from those of 2008, which are up to 0.5 % apart.
func TestWaterRelease(t *testing.T) {
	for _, r := range []struct{ t, rho, cp, mu, k float64 }{
		{298.15, 997.047013, 4181.44618, 889.996774e-6, 0.606502308},
		{375, 957.009710, 4217.74697, 276.207245e-6, 0.677913788},
	} {
		at := func(name string) string { return fmt.Sprintf("%s at %g K", name, r.t) }
		v, _ := waterVolume(r.t, waterPressure)
		within(t, at("density"), 1/v, r.rho, 0.5e-6)
		within(t, at("specific heat"), liquidWater{}.specificHeat(r.t), r.cp, 0.5e-5)
		within(t, at("viscosity"), liquidWater{}.viscosity(r.t), r.mu, 0.5e-12)
		within(t, at("conductivity"), liquidWater{}.conductivity(r.t), r.k, 0.5e-9)
	}
}

// TestWaterFormula compares with a public implementation of SR6-08(2011), computed
// independently in double precision at 0.1 MPa. At 260 K, supercooled, the terms
// in 10 K/(T - 232 K) that hardly count above 5 °C weigh most. The change of
// volume with pressure, dv/dp, is in m³/(kg·Pa).
func TestWaterFormula(t *testing.T) {
	for _, r := range []struct{ t, rho, cp, mu, k, dvdp, expansion float64 }{
		{260, 997.0683602710492, 4300.1747232262995, 0.0030583607505705658, 0.515628010129074, -5.820968200112325e-13, -3.854177133922333e-4},
		{298.15, 997.0470133997646, 4181.446178557689, 8.89996773678783e-4, 0.606502307735785, -4.5380334005374895e-13, 2.5729214773531877e-4},
		{375, 957.0097103406434, 4217.746968938457, 2.762072449129037e-4, 0.6779137880890279, -5.156665283771603e-13, 7.605419550772407e-4},
	} {
		at := func(name string) string { return fmt.Sprintf("%s at %g K", name, r.t) }
		v, dv := waterVolume(r.t, waterPressure)
		compressed, _ := waterVolume(r.t, 2*waterPressure)
		relative(t, at("density"), 1/v, r.rho, 1e-12)
		relative(t, at("specific heat"), liquidWater{}.specificHeat(r.t), r.cp, 1e-12)
		relative(t, at("viscosity"), liquidWater{}.viscosity(r.t), r.mu, 1e-12)
		relative(t, at("conductivity"), liquidWater{}.conductivity(r.t), r.k, 1e-12)
		relative(t, at("dv/dp"), (compressed-v)/waterPressure, r.dvdp, 1e-10)
		relative(t, at("expansion"), dv/v, r.expansion, 1e-11)
	}
}

// TestWaterDetailedReleases compares with check values of the formulations the
// short formulas stand for, at densities a little off atmospheric: R12-08
// table 4 and R15-11 table 4, both at 998 kg/m³ and 298.15 K.
func TestWaterDetailedReleases(t *testing.T) {
	relative(t, "viscosity", Water().Viscosity(298.15), 889.735100e-6, 4e-4)
	relative(t, "conductivity", Water().Conductivity(298.15), 607.712868e-3, 2.1e-3)
}

// TestWaterOtherDensityFormula compares with G. S. Kell, J. Chem. Eng. Data 20
// (1975) 97: coefficients from memory, not checked against the source; in print
// the denominator is also found as 16.897850e-3, which is a misprint, 0.27 kg/m³
// off at 20 °C. Kell's formula is within 0.0125 kg/m³ of IAPWS-95.
func TestWaterOtherDensityFormula(t *testing.T) {
	kell := []float64{999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12}
	for c := 5.0; c <= 95; c += 2.5 {
		want := polynomial(kell, c) / (1 + 16.879850e-3*c)
		within(t, fmt.Sprintf("density at %g °C", c), Water().Density(celsius(c)), want, 0.0127)
	}
}

// TestWaterVolumeDerivative checks the analytic derivative, on which the
// expansion rests, against differences of the volume itself.
func TestWaterVolumeDerivative(t *testing.T) {
	volume := func(T float64) float64 { v, _ := waterVolume(T, waterPressure); return v }
	for c := 0.0; c <= 95; c += 5 {
		T := celsius(c)
		_, dv := waterVolume(T, waterPressure)
		within(t, fmt.Sprintf("dv/dT at %g °C", c), dv, derivative(volume, T), 1e-14)
	}
}

// TestWaterDensestAtFourDegrees: the expansion changes its sign at 3.98 °C
// (M. Tanaka et al., Metrologia 38 (2001) 301: 3.983035 °C).
func TestWaterDensestAtFourDegrees(t *testing.T) {
	if b := Water().Expansion(celsius(3.97)); b >= 0 {
		t.Errorf("expansion at 3.97 °C = %g, want negative", b)
	}
	if b := Water().Expansion(celsius(3.99)); b <= 0 {
		t.Errorf("expansion at 3.99 °C = %g, want positive", b)
	}
}

// TestWaterVolumetricHeat: density times specific heat in MJ/(m³·K), computed
// independently in double precision from IAPWS-95.
func TestWaterVolumetricHeat(t *testing.T) {
	for c, want := range map[float64]float64{20: 4.17655, 30: 4.16164, 40: 4.14688, 50: 4.13131} {
		T := celsius(c)
		got := 1e-6 * Water().Density(T) * Water().SpecificHeat(T)
		relative(t, fmt.Sprintf("ρ·cp at %g °C", c), got, want, 3.6e-5)
	}
}
