package fluid

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// property pairs a fast form with its reference form.
type property struct {
	name      string
	reference func(float64) float64
	fast      func(float64) (y, dy float64)
}

func properties(f form, table *Table) []property {
	heat := func(T float64) (float64, float64) { _, cp, dcp := table.Enthalpy(T); return cp, dcp }
	return []property{
		{"density", f.density, table.Density},
		{"specific heat", f.specificHeat, heat},
		{"viscosity", f.viscosity, table.Viscosity},
		{"conductivity", f.conductivity, table.Conductivity},
	}
}

// subject is a table with the range it must follow its reference over.
type subject struct {
	name      string
	low, high float64
	form      form
	table     *Table
}

// subjects are water, both glycols over their shares, and air.
func subjects(t testing.TB) []subject {
	var all []subject
	add := func(c *Coolant) {
		low, high := c.Range()
		all = append(all, subject{c.Name(), low, high, c.liquid, c.Fast()})
	}
	add(Water())
	for _, kind := range []Kind{KindEthyleneGlycol, KindPropyleneGlycol} {
		for _, share := range []float64{0.001, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.55, 0.6} {
			add(mustGlycol(t, kind, share))
		}
	}
	low, high := AirRange()
	for _, air := range []struct{ pressure, ratio float64 }{{StandardPressure, 0}, {61640, 0.02}} {
		table, err := FastAir(air.pressure, air.ratio)
		if err != nil {
			t.Fatal(err)
		}
		f := moistAir{air.pressure, VapourPressureOfRatio(air.ratio, air.pressure), air.ratio}
		all = append(all, subject{fmt.Sprintf("air of ratio %g", air.ratio), low, high, f, table})
	}
	return all
}

// drawSubject draws by index: a report of a failure prints what was drawn, and a
// table would fill pages.
func drawSubject(t *rapid.T, all []subject) subject {
	return all[rapid.IntRange(0, len(all)-1).Draw(t, "subject")]
}

// TestTableAccuracy: 1e-4 of the reference form over the whole range, at about
// 20 points a cell, and both ends.
func TestTableAccuracy(t *testing.T) {
	for _, s := range subjects(t) {
		for _, p := range properties(s.form, s.table) {
			worst, where := 0.0, 0.0
			const n = 1500
			for i := range n + 1 {
				T := s.low + (s.high-s.low)*float64(i)/n
				y, _ := p.fast(T)
				if e := math.Abs(y/p.reference(T) - 1); !(e <= worst) {
					worst, where = e, T
				}
			}
			if !(worst <= 1e-4) {
				t.Errorf("%s, %s: off by %.2g at %.2f K", s.name, p.name, worst, where)
			}
		}
	}
}

// TestTableDerivatives: the derivative is that of the table itself, and near
// that of the reference form.
func TestTableDerivatives(t *testing.T) {
	all := subjects(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSubject(t, all)
		T := rapid.Float64Range(150, 600).Draw(t, "temperature")
		for _, p := range properties(s.form, s.table) {
			const d = 1e-3
			y, dy := p.fast(T)
			above, _ := p.fast(T + d)
			below, _ := p.fast(T - d)
			// Rounding of y, and the kink of the second derivative at a knot.
			tol := 1e-5*math.Abs(dy) + 1e-6*y
			if own := (above - below) / (2 * d); math.Abs(own-dy) > tol {
				t.Errorf("%s, %s at %g K: derivative %g, differences give %g", s.name, p.name, T, dy, own)
			}
			if T < s.low || T > s.high {
				continue
			}
			if want := derivative(p.reference, T); math.Abs(want-dy) > 2e-4*y {
				t.Errorf("%s, %s at %g K: derivative %g, reference %g", s.name, p.name, T, dy, want)
			}
		}
	})
}

// TestEnthalpyConsistent: h, cp and dcp come from one polynomial. Within a cell
// cp is a quadratic, so Simpson's rule over it and the difference of h agree to
// rounding; so do the trapezoidal rule over dcp and the difference of cp.
func TestEnthalpyConsistent(t *testing.T) {
	all := subjects(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSubject(t, all)
		g := newGrid(s.low, s.high)
		left := g.knot(rapid.IntRange(-3, g.cells+3).Draw(t, "cell"))
		a := left + g.step*rapid.Float64Range(1e-9, 1).Draw(t, "from")
		b := left + g.step*rapid.Float64Range(0, 1-1e-9).Draw(t, "to")
		ha, cpa, da := s.table.Enthalpy(a)
		_, cpm, _ := s.table.Enthalpy((a + b) / 2)
		hb, cpb, db := s.table.Enthalpy(b)
		if got, want := hb-ha, (b-a)*(cpa+4*cpm+cpb)/6; math.Abs(got-want) > 4e-10 {
			t.Errorf("%s: h(%g)-h(%g) = %v, integral of cp %v", s.name, b, a, got, want)
		}
		if got, want := cpb-cpa, (b-a)*(da+db)/2; math.Abs(got-want) > 4e-12 {
			t.Errorf("%s: cp(%g)-cp(%g) = %v, integral of dcp %v", s.name, b, a, got, want)
		}
	})
}

// TestEnthalpyAcrossTheRange compares with the reference specific heat,
// integrated by Simpson's rule over 2,000 intervals, from 0 °C.
func TestEnthalpyAcrossTheRange(t *testing.T) {
	for _, s := range subjects(t) {
		for _, T := range []float64{s.low, celsius(20), celsius(45), s.high} {
			const n = 2000
			step := (T - zeroCelsius) / n
			sum := 0.0
			for i := range n {
				a := zeroCelsius + float64(i)*step
				sum += step / 6 * (s.form.specificHeat(a) + 4*s.form.specificHeat(a+step/2) + s.form.specificHeat(a+step))
			}
			h, _, _ := s.table.Enthalpy(T)
			within(t, fmt.Sprintf("enthalpy of %s at %.2f K", s.name, T), h, sum, 1e-4*math.Abs(sum)+1e-6)
		}
		// One unit in the last place of h at the ends of the table.
		h, _, _ := s.table.Enthalpy(zeroCelsius)
		within(t, "enthalpy of "+s.name+" at 0 °C", h, 0, 6e-11)
	}
}

// TestTableSmooth: no jump at any knot, in value or first derivative.
func TestTableSmooth(t *testing.T) {
	for _, s := range subjects(t) {
		g := newGrid(s.low, s.high)
		for i := range g.cells + 1 {
			T := g.knot(i)
			for _, p := range properties(s.form, s.table) {
				y0, d0 := p.fast(T - 1e-9)
				y1, d1 := p.fast(T + 1e-9)
				at := fmt.Sprintf("%s, %s at knot %.3f K", s.name, p.name, T)
				relative(t, at, y1, y0, 1e-9)
				within(t, at+", derivative", d1, d0, 1e-9*y0)
			}
			h0, cp, _ := s.table.Enthalpy(T - 1e-9)
			h1, _, _ := s.table.Enthalpy(T + 1e-9)
			within(t, fmt.Sprintf("%s, enthalpy at knot %.3f K", s.name, T), h1, h0, cp*2e-9+3e-10)
		}
	}
}

// TestTableOutside: from 150 to 600 K every property is positive and finite,
// and beyond the range it moves one way only. The steepest is the viscosity of
// 60 % propylene glycol, which falls by 13 % a kelvin where it freezes: over a
// tail of 20 K with a slope that fades to zero it grows by 130 %.
func TestTableOutside(t *testing.T) {
	const step = 0.1
	for _, s := range subjects(t) {
		for _, p := range properties(s.form, s.table) {
			for T := 150.0; T <= 600; T += step {
				if y, dy := p.fast(T); !(y > 0) || math.IsInf(y, 0) || math.IsNaN(dy) || math.IsInf(dy, 0) {
					t.Fatalf("%s, %s at %g K: %g, derivative %g", s.name, p.name, T, y, dy)
				}
			}
			oneWay(t, s.name+", "+p.name+" below", p.fast, s.low, 150, -step)
			oneWay(t, s.name+", "+p.name+" above", p.fast, s.high, 600, step)
		}
	}
}

// oneWay walks from the edge of the range outwards.
func oneWay(t *testing.T, what string, f func(float64) (float64, float64), from, to, step float64) {
	t.Helper()
	edge, slope := f(from)
	sign := math.Copysign(1, slope*step)
	last := edge
	for T := from; math.Abs(T-from) < math.Abs(to-from); T += step {
		y, _ := f(T)
		if sign*(y-last) < -1e-12*edge {
			t.Fatalf("%s: turns back at %g K", what, T)
		}
		last = y
	}
	if last > 2.4*edge || last < edge/2 {
		t.Errorf("%s: runs from %g to %g", what, edge, last)
	}
}

// TestEnthalpyRises: more heat always means a higher temperature, so a heat
// balance has one solution.
func TestEnthalpyRises(t *testing.T) {
	for _, s := range subjects(t) {
		last := math.Inf(-1)
		for T := 150.0; T <= 600; T += 0.1 {
			h, _, _ := s.table.Enthalpy(T)
			if !(h > last) {
				t.Fatalf("%s: enthalpy falls at %g K", s.name, T)
			}
			last = h
		}
	}
}

// TestTableFarOutside: the far temperatures that a failed step can produce.
func TestTableFarOutside(t *testing.T) {
	for _, s := range subjects(t) {
		for _, T := range []float64{-1e12, -1e4, 0, 1e4, 1e12} {
			for _, p := range properties(s.form, s.table) {
				if y, dy := p.fast(T); !(y > 0) || math.IsInf(y, 0) || dy != 0 {
					t.Errorf("%s, %s at %g K: %g, derivative %g", s.name, p.name, T, y, dy)
				}
			}
			if h, _, _ := s.table.Enthalpy(T); math.IsNaN(h) || math.Signbit(h) != (T < zeroCelsius) {
				t.Errorf("%s: enthalpy at %g K is %g", s.name, T, h)
			}
		}
	}
}

func TestTableAllocatesNothing(t *testing.T) {
	table := mustGlycol(t, KindEthyleneGlycol, 0.3).Fast()
	sum := 0.0
	if n := testing.AllocsPerRun(100, func() {
		h, cp, dcp := table.Enthalpy(310)
		rho, _ := table.Density(310)
		mu, _ := table.Viscosity(310)
		k, _ := table.Conductivity(310)
		sum += h + cp + dcp + rho + mu + k
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
	if math.IsNaN(sum) {
		t.Error("not a number")
	}
}

// sink keeps benchmark results alive.
var sink float64

// ramp is a set of temperatures of a warming loop, so that cells vary.
func ramp() (T [64]float64) {
	for i := range T {
		T[i] = celsius(22 + 0.4*float64(i))
	}
	return T
}

func BenchmarkEnthalpy(b *testing.B) {
	table, T := Water().Fast(), ramp()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		h, cp, dcp := table.Enthalpy(T[i&63])
		sink += h + cp + dcp
	}
}

func BenchmarkViscosity(b *testing.B) {
	table, T := Water().Fast(), ramp()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		mu, dmu := table.Viscosity(T[i&63])
		sink += mu + dmu
	}
}

func BenchmarkReferenceViscosity(b *testing.B) {
	water, T := Water(), ramp()
	for i := 0; b.Loop(); i++ {
		sink += water.Viscosity(T[i&63])
	}
}

func BenchmarkBuildGlycol(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		c, _ := PropyleneGlycol(0.3)
		c.Fast()
	}
}
