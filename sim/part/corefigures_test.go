package part_test

import (
	"strings"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// Entries lie inside their ranges, have names of their own, dimensions and sources; those
// of laws name a year.
func TestCoreEntries(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range part.CoreEntries() {
		name := e.Class + "/" + e.Figure
		if seen[name] || e.Part != "core" || e.Figure == "" {
			t.Errorf("%s/%s is listed twice or has no name", e.Part, name)
		}
		seen[name] = true
		if !(e.Low <= e.Value && e.Value <= e.High && e.Low < e.High) {
			t.Errorf("%s: %g is not inside %g to %g", name, e.Value, e.Low, e.High)
		}
		if e.Dimension == "" || e.Source != "common practice, no source" && !strings.Contains(e.Source, "J. Heat Transfer") && !strings.Contains(e.Source, "Fluid Sci.") && !strings.Contains(e.Source, "Int. J. Heat Mass Transfer") {
			t.Errorf("%s: dimension %q, source %q", name, e.Dimension, e.Source)
		}
	}
	if len(seen) != 8+13+12 {
		t.Errorf("%d entries", len(seen))
	}
}

// Every usual measure, also at the ends of its range, makes a core that can be built, at
// every thickness sold.
func TestUsualFiguresMakeCores(t *testing.T) {
	for _, thickness := range []float64{.005, .01, .02, .028, .045, .06, .086, .2} {
		f := part.CoreFiguresOf(thickness)
		if !(f.Depth.Low < f.Depth.Value && f.Depth.Value < f.Depth.High && f.Depth.High <= thickness) {
			t.Errorf("%g m: depth %+v", thickness, f.Depth)
		}
		for style := range part.FinStyles() {
			for _, end := range []func(part.Default) float64{
				func(d part.Default) float64 { return d.Low }, func(d part.Default) float64 { return d.Value }, func(d part.Default) float64 { return d.High },
			} {
				s := f.Shape(.240, .120, thickness)
				s.Style, s.Depth, s.FinPitch = part.FinStyle(style), end(f.Depth), part.FinPitchOf(end(f.FinsPerInch))
				s.FinThickness, s.TubePitch, s.TubeWall = end(f.FinThickness), end(f.TubePitch), end(f.TubeWall)
				if s.Style == part.LouvredFins {
					s.FinThickness = max(s.FinThickness, s.FinPitch/79) // its law takes an eightieth at least
				}
				s.LouvreLength, s.Passes = end(part.LouvreLengthOf(s.TubePitch-s.TubeThickness-s.FinThickness)), int(end(f.Passes))
				s.StripLength, s.LouvrePitch = min(end(f.StripLength), s.Depth), end(f.LouvrePitch)
				if _, err := part.NewCore(s); err != nil {
					t.Errorf("%g m, %s fins: %v", thickness, s.Style, err)
				}
			}
		}
	}
	if thin, thick := part.CoreFiguresOf(.028), part.CoreFiguresOf(.06); thin.FinsPerInch.Value != 16 || thick.FinsPerInch.Value != 12 {
		t.Errorf("%g and %g fins per inch", thin.FinsPerInch.Value, thick.FinsPerInch.Value)
	}
}

// Bands of the laws: 15 % for plain and louvred fins, 20 % for strips, twice as much outside
// the published range.
func TestScatter(t *testing.T) {
	for style, band := range map[part.FinStyle]float64{part.PlainFins: .15, part.LouvredFins: .15, part.StripFins: .2} {
		for _, beyond := range []bool{false, true} {
			want := band
			if beyond {
				want *= 2
			}
			heat, drop := style.Scatter(beyond)
			for _, d := range []part.Default{heat, drop} {
				if d.Value != 1 {
					t.Errorf("%v: factor %g", style, d.Value)
				}
				near(t, "low", d.Low, 1-want, 1e-14)
				near(t, "high", d.High, 1+want, 1e-14)
				if beyond != strings.Contains(d.Source, "this model") {
					t.Errorf("%v beyond %v: %s", style, beyond, d.Source)
				}
			}
		}
	}
}

// A section of 120 mm of usual cores at airflows of 10 to 35 L/s, 1,000 rpm and more:
// inside 4 to 19 W/K, what is met from 500 to 1,850 rpm (common practice, no source),
// widened by the 15 % of the laws.
func TestUsualCoresAgainstPractice(t *testing.T) {
	water := fluid.Water().Fast()
	for _, thickness := range []float64{.028, .045, .06} {
		c := usualCore(t, 2, 0, .120, thickness)
		film, _, _ := c.Liquid(water, 4*litre, 308)
		last := 0.0
		for _, q := range []float64{.010, .0175, .025, .035} { // a section
			s := c.Air(2*q, seaAir())
			heat := c.Heat(part.Overall(s.Conductance, film), 4*litre*994*4180, s.CapacityRate) / 2
			t.Logf("%.0f mm, %.1f L/s a section: %.1f W/K, %.1f Pa", 1e3*thickness, 1e3*q, heat, s.Drop)
			if !(heat > last) {
				t.Errorf("%g W/K after %g", heat, last)
			}
			inside(t, "W/K a section", heat, 4*.85, 19*1.15)
			last = heat
		}
	}
}
