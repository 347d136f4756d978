package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// tanh(mL)/(mL), computed independently in double precision.
func TestFinEfficiencyStraightTable(t *testing.T) {
	for ml, figure := range map[float64]string{
		.1: ".996680", .25: ".979675", .5: ".924234", 1: ".761594",
		1.5: ".603432", 2: ".482014", 3: ".331685",
	} {
		printed(t, fmt.Sprint("mL ", ml), correlation.FinEfficiencyStraight(ml), figure)
	}
}

// Two fins, computed independently in double precision.
func TestFinParameter(t *testing.T) {
	m := correlation.FinParameter(50, 385, 1e-4)
	printed(t, "m of copper", m, "50.9647")
	printed(t, "copper", correlation.FinEfficiencyStraight(m*4e-3), ".986374")
	printed(t, "brass", correlation.FinEfficiencyStraight(correlation.FinParameter(80, 110, 5e-5)*6e-3), ".753626")
}

// Value printed in the documentation of an open-source heat-transfer library for the
// formula of Kern & Kraus 1972: Do 25.4 mm, Df 57.15 mm, 0.38 mm thick, k 200, h 58.
func TestFinEfficiencyAnnularPublished(t *testing.T) {
	m := correlation.FinParameter(58, 200, 3.8e-4)
	printed(t, "annular", correlation.FinEfficiencyAnnular(m, .0254/2, .05715/2), ".841258862")
}

// An annular fin on a very thick tube is a straight fin; the first correction is of the
// order of length over radius.
func TestFinEfficiencyAnnularLimits(t *testing.T) {
	for _, ml := range []float64{.2, 1, 4} {
		straight := correlation.FinEfficiencyStraight(ml)
		for _, radius := range []float64{1e3, 1e5} {
			got := correlation.FinEfficiencyAnnular(ml, radius, radius+1)
			near(t, fmt.Sprintf("mL %g on radius %g", ml, radius), got, straight, 1.1/radius)
		}
	}
	if got := correlation.FinEfficiencyAnnular(100, .01, .01); got != 1 {
		t.Errorf("fin without length: %g", got)
	}
	near(t, "hardly any film", correlation.FinEfficiencyAnnular(1e-3, .01, .02), 1, 1e-9)
}

// The conduction equation itself, solved by finite volumes on two grids.
func TestFinEfficiencyAnnularAgainstVolumes(t *testing.T) {
	for _, c := range []struct{ m, inner, outer float64 }{
		{40, .0127, .028}, {150, .005, .02}, {300, .01, .013}, {12, .001, .1},
	} {
		coarse, fine := annularVolumes(c.m, c.inner, c.outer, 2000), annularVolumes(c.m, c.inner, c.outer, 4000)
		near(t, fmt.Sprintf("m %g, %g to %g", c.m, c.inner, c.outer),
			correlation.FinEfficiencyAnnular(c.m, c.inner, c.outer), fine+(fine-coarse)/3, 1e-6)
	}
}

// annularVolumes shoots from the adiabatic rim inwards: theta there is free, the equation
// is linear, and the efficiency is a ratio.
func annularVolumes(m, inner, outer float64, cells int) float64 {
	step := (outer - inner) / float64(cells)
	theta, flow, heat := 1.0, 0.0, 0.0
	for i := range cells {
		centre := outer - (float64(i)+.5)*step
		if i > 0 {
			theta += flow / (centre + step/2) * step
		}
		gain := m * m * theta * centre * step
		flow += gain
		heat += gain
	}
	theta += flow / inner * step / 2
	area := (outer*outer - inner*inner) / 2
	return heat / (m * m * theta * area)
}

func TestFinProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ml := positive(t, "ml", -12, 6)
		eta := correlation.FinEfficiencyStraight(ml)
		if !(eta > 0 && eta <= 1) || correlation.FinEfficiencyStraight(ml*1.1) > eta+1e-15 {
			t.Fatalf("mL %g: efficiency %g", ml, eta)
		}
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		if over := correlation.SurfaceEfficiency(eta, share); over < eta-1e-15 || over > 1 {
			t.Fatalf("overall %g of a fin of %g", over, eta)
		}
		inner := positive(t, "inner", -3, -1)
		length := positive(t, "length", -4, -1)
		annular := correlation.FinEfficiencyAnnular(ml/length, inner, inner+length)
		if !(annular > 0 && annular <= 1) || annular > eta+1e-12 {
			t.Fatalf("mL %g, radius %g, length %g: annular %g, straight %g", ml, inner, length, annular, eta)
		}
	})
	if correlation.FinEfficiencyStraight(0) != 1 {
		t.Error("a fin without length is not perfect")
	}
	printed(t, "overall", correlation.SurfaceEfficiency(.75, .8), "0.8")
	if !smooth(correlation.FinEfficiencyStraight, 0, 8) {
		t.Error("straight fin efficiency has a kink")
	}
}

func ExampleFinEfficiencyStraight() {
	// A copper fin 0.05 mm thick between tubes 8 mm apart, in 60 W/(m² K).
	m := correlation.FinParameter(60, 385, 0.05e-3)
	fmt.Printf("%.3f\n", correlation.FinEfficiencyStraight(m*4e-3))
	// Output: 0.968
}

func TestGroups(t *testing.T) {
	near(t, "Reynolds", correlation.Reynolds(2, .01, 1e-6), 2e4, 1e-14)
	near(t, "Graetz", correlation.Graetz(.5, 5, 1e5, 1.1), 11000, 1e-14)
	near(t, "hydraulic diameter of a circle", correlation.HydraulicDiameter(math.Pi/4, math.Pi), 1, 1e-15)
	up := correlation.Rayleigh(1./300, 10, .1, 1.6e-5, 2.3e-5)
	near(t, "Rayleigh", up, 9.80665/300*10*.001/(1.6e-5*2.3e-5), 1e-14)
	if down := correlation.Rayleigh(1./300, -10, .1, 1.6e-5, 2.3e-5); down != up {
		t.Errorf("Rayleigh of a colder wall %g, of a warmer %g", down, up)
	}
}

// Rise of 300 W in water of 25 °C (density 997.0476 kg/m³, 4181.31 J/(kg K), IAPWS-95) at
// 1, 2 and 4 L/min; computed independently in double precision.
func TestCapacityRate(t *testing.T) {
	for litres, figure := range map[float64]string{1: "4.317618", 2: "2.158809", 4: "1.079405"} {
		rate := correlation.CapacityRate(997.0476, litres/60e3, 4181.31)
		printed(t, fmt.Sprint(litres, " L/min"), 300/rate, figure)
	}
}
