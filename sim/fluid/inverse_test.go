package fluid

import (
	"math"
	"testing"
)

// everyTable is the fast form of coolants from edge to edge.
func everyTable(t *testing.T) map[string]*Coolant {
	t.Helper()
	all := map[string]*Coolant{"water": Water()}
	for _, share := range []float64{0.1, 0.3, 0.6} {
		for _, kind := range []Kind{KindEthyleneGlycol, KindPropyleneGlycol} {
			c, err := New(kind, share)
			if err != nil {
				t.Fatal(err)
			}
			all[c.Name()] = c
		}
	}
	c, err := Constant(Properties{Density: 1000, SpecificHeat: 4000, Viscosity: 1e-3, Conductivity: 0.6})
	if err != nil {
		t.Fatal(err)
	}
	all["constant"] = c
	return all
}

// Temperature inverts Enthalpy within the range, and its slope is 1/cp within
// the error stated for the fast form.
func TestTemperatureInvertsEnthalpy(t *testing.T) {
	for name, c := range everyTable(t) {
		low, high := c.Range()
		low, high = math.Max(low, 200), math.Min(high, 500)
		for k := range 1001 {
			T := low + (high-low)*float64(k)/1000
			h, _, _ := c.Fast().Enthalpy(T)
			got, slope := c.Fast().Temperature(h)
			if math.Abs(got-T) > 2e-6 {
				t.Fatalf("%s: temperature of the enthalpy at %g K is %.10g K", name, T, got)
			}
			if cp := c.SpecificHeat(T); math.Abs(1/slope-cp) > 1e-4*cp {
				t.Fatalf("%s at %g K: 1/slope %g, cp %g J/(kg K)", name, T, 1/slope, cp)
			}
		}
	}
}

// EnthalpyOf inverts Temperature to rounding, inside and outside the range.
func TestEnthalpyOfInvertsTemperature(t *testing.T) {
	for name, c := range everyTable(t) {
		for T := 150.0; T <= 600; T += 0.37 {
			got, _ := c.Fast().Temperature(c.Fast().EnthalpyOf(T))
			if math.Abs(got-T) > 2e-13*T {
				t.Fatalf("%s: %.16g K comes back as %.16g K", name, T, got)
			}
		}
	}
}

// The slope is continuous over the knots and exact.
func TestTemperatureIsSmooth(t *testing.T) {
	for name, c := range everyTable(t) {
		table := c.Fast()
		from, to := table.EnthalpyOf(160), table.EnthalpyOf(590)
		step := (to - from) / 40000
		_, previous := table.Temperature(from)
		for h := from + step; h < to; h += step {
			T, slope := table.Temperature(h)
			if !(slope > 0) || math.Abs(slope-previous) > 2e-4*previous {
				t.Fatalf("%s at %g K: slope goes from %g to %g", name, T, previous, slope)
			}
			above, _ := table.Temperature(h + step/2)
			below, _ := table.Temperature(h - step/2)
			if d := (above - below) / step; math.Abs(d-slope) > 1e-5*slope {
				t.Fatalf("%s at %g K: slope %g, by differences %g", name, T, slope, d)
			}
			previous = slope
		}
	}
}

func BenchmarkTemperature(b *testing.B) {
	table := Water().Fast()
	h := table.EnthalpyOf(310)
	for b.Loop() {
		h += 1e-9
		table.Temperature(h)
	}
}
