package fluid

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// invertible are all subjects, and a coolant of constant properties.
func invertible(t testing.TB) []subject {
	c, err := Constant(Properties{Density: 1000, SpecificHeat: 4000, Viscosity: 1e-3, Conductivity: 0.6})
	if err != nil {
		t.Fatal(err)
	}
	return append(subjects(t), subject{c.Name(), celsius(0), celsius(95), c.liquid, c.Fast()})
}

// roundings is n units of the last place of T, in K.
func roundings(n, T float64) float64 {
	return n * (math.Nextafter(math.Abs(T), math.Inf(1)) - math.Abs(T))
}

// Temperature inverts Enthalpy within the range, and its slope is 1/cp within
// the error stated for the fast form.
func TestTemperatureInvertsEnthalpy(t *testing.T) {
	for _, s := range invertible(t) {
		for k := range 1001 {
			T := s.low + (s.high-s.low)*float64(k)/1000
			h, _, _ := s.table.Enthalpy(T)
			got, slope := s.table.Temperature(h)
			if !(math.Abs(got-T) <= 2e-6) {
				t.Fatalf("%s: temperature of the enthalpy at %g K is %.10g K", s.name, T, got)
			}
			if cp := s.form.specificHeat(T); !(math.Abs(1/slope-cp) <= 1e-4*cp) {
				t.Fatalf("%s at %g K: 1/slope %g, cp %g J/(kg K)", s.name, T, 1/slope, cp)
			}
		}
	}
}

// EnthalpyOf inverts Temperature to two roundings, inside and outside the range,
// and rises.
func TestEnthalpyOfInvertsTemperature(t *testing.T) {
	for _, s := range invertible(t) {
		last := math.Inf(-1)
		for T := 150.0; T <= 600; T += 0.37 {
			h := s.table.EnthalpyOf(T)
			if got, _ := s.table.Temperature(h); !(math.Abs(got-T) <= roundings(2, T)) {
				t.Fatalf("%s: %.16g K comes back as %.16g K", s.name, T, got)
			}
			if !(h > last) {
				t.Fatalf("%s: enthalpy falls at %g K", s.name, T)
			}
			last = h
		}
	}
}

// The slope is continuous over the knots and exact.
func TestTemperatureIsSmooth(t *testing.T) {
	for _, s := range invertible(t) {
		from, to := s.table.EnthalpyOf(160), s.table.EnthalpyOf(590)
		step := (to - from) / 40000
		_, previous := s.table.Temperature(from)
		for h := from + step; h < to; h += step {
			T, slope := s.table.Temperature(h)
			if !(slope > 0) || !(math.Abs(slope-previous) <= 5e-5*previous) {
				t.Fatalf("%s at %g K: slope goes from %g to %g", s.name, T, previous, slope)
			}
			above, _ := s.table.Temperature(h + step/2)
			below, _ := s.table.Temperature(h - step/2)
			if d := (above - below) / step; !(math.Abs(d-slope) <= 1e-5*slope) {
				t.Fatalf("%s at %g K: slope %g, by differences %g", s.name, T, slope, d)
			}
			previous = slope
		}
	}
}

// Beyond the range the specific heat stays what it is at the end: to the far
// enthalpies that a failed step can produce.
func TestTemperatureOutside(t *testing.T) {
	for _, s := range invertible(t) {
		for _, end := range []struct{ edge, sign float64 }{{s.low, -1}, {s.high, 1}} {
			h0 := s.table.EnthalpyOf(end.edge)
			_, want := s.table.Temperature(h0 + end.sign*1e3) // a little outside
			for _, dh := range []float64{1, 1e6, 1e12} {
				T, slope := s.table.Temperature(h0 + end.sign*dh)
				line := end.edge + end.sign*dh*want
				if slope != want || !(math.Abs(T-line) <= 1e-11*math.Abs(line)) {
					t.Errorf("%s, %g J/kg beyond %g K: %g K, slope %g; want %g, %g", s.name, dh, end.edge, T, slope, line, want)
				}
			}
		}
		if T, _ := s.table.Temperature(math.NaN()); !math.IsNaN(T) {
			t.Errorf("%s: %g K where nothing is known", s.name, T)
		}
	}
}

// Another scale is the same function: temperatures to the roundings of h0, h and
// the knots (three of 1e6 J/kg over the specific heat, and those of T), slopes
// by the factor c0, which is the specific heat at the reference.
func TestScaled(t *testing.T) {
	all := invertible(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSubject(t, all)
		reference := rapid.Float64Range(220, 400).Draw(t, "reference")
		T := rapid.Float64Range(200, 450).Draw(t, "temperature")
		scale, c0 := s.table.Scaled(reference)
		if got := scale.Of(reference); !(math.Abs(got-reference) <= roundings(4, reference)) {
			t.Fatalf("%s: %.17g at the reference %.17g K", s.name, got, reference)
		}
		h0, h := s.table.EnthalpyOf(reference), s.table.EnthalpyOf(T)
		_, slope0 := s.table.Temperature(h0)
		_, slope := s.table.Temperature(h)
		if !(math.Abs(c0*slope0-1) <= 1e-15) {
			t.Fatalf("%s: c0 %.17g, 1/slope %.17g", s.name, c0, 1/slope0)
		}
		got, gotSlope := scale.Temperature(reference + (h-h0)/c0)
		if !(math.Abs(got-T) <= roundings(6, T)+3*0x1p-33/c0) || !(math.Abs(gotSlope-slope*c0) <= 1e-12*gotSlope) {
			t.Fatalf("%s at %.17g K: %.17g K, slope %.17g, want %.17g", s.name, T, got, gotSlope, slope*c0)
		}
		if back, _ := scale.Temperature(scale.Of(T)); !(math.Abs(back-T) <= roundings(2, T)) {
			t.Fatalf("%s: %.17g K comes back as %.17g K", s.name, T, back)
		}
	})
}

func TestInverseAllocatesNothing(t *testing.T) {
	table := Water().Fast()
	scale, _ := table.Scaled(celsius(20))
	sum := 0.0
	if n := testing.AllocsPerRun(100, func() {
		T, dT := scale.Temperature(310)
		sum += T + dT + scale.Of(320) + table.EnthalpyOf(330)
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func BenchmarkTemperature(b *testing.B) {
	scale, _ := Water().Fast().Scaled(celsius(20))
	T := ramp()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		t, dt := scale.Temperature(T[i&63])
		sink += t + dt
	}
}

func BenchmarkTemperatureBack(b *testing.B) {
	scale, _ := Water().Fast().Scaled(celsius(20))
	T := ramp()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sink += scale.Of(T[i&63])
	}
}
