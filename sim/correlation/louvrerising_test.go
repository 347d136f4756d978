package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// Where the branches lie near enough the worked-out friction is the published one, and its
// slope that of differences. The check fin's branches do: f falls by 1.461 from 130 to 230.
func TestLouvredFriction(t *testing.T) {
	fin := louvredFin()
	f := correlation.NewLouvredFriction(fin)
	if f.LowShare() != 1 {
		t.Fatalf("share %g", f.LowShare())
	}
	for _, re := range []float64{1, 40, 71, 75, 99, 129, 131, 180, 229, 231, 1000, 5000} {
		got, slope := f.Fanning(re)
		near(t, fmt.Sprint("f at ", re), got, correlation.FanningLouvre(fin, re), 1e-13)
		const h = 1e-5
		up, _ := f.Fanning(re * (1 + h))
		down, _ := f.Fanning(re * (1 - h))
		near(t, fmt.Sprint("slope at ", re), slope, math.Log(up/down)/(2*h), 1e-7)
	}
}

// Any fin's loss, which goes as f Re², rises with the speed, and its high branch is the
// published one.
func TestLouvredFrictionRises(t *testing.T) {
	lowered := 0
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		fin := correlation.LouvredFin{
			Angle: draw("angle", .15, .6), FinPitch: draw("fin pitch", 5e-4, 3.3e-3), LouvrePitch: draw("louvre pitch", 7e-4, 3e-3),
			FinLength: draw("length", 4e-3, 2e-2), FinDepth: draw("depth", 1e-2, 6e-2), LouvreLength: draw("louvre length", 3e-3, 1.8e-2),
			TubePitch: draw("tube pitch", 6e-3, 2.5e-2), TubeThickness: draw("tube", 1e-3, 5e-3),
			FinThickness: draw("fin", 5e-5, 2e-4), HydraulicDiameter: draw("dh", 8e-4, 5e-3),
		}
		f := correlation.NewLouvredFriction(fin)
		if f.LowShare() < 1 {
			lowered++
		}
		last := 0.0
		for re := 20.0; re < 4000; re *= 1.01 {
			factor, _ := f.Fanning(re)
			if loss := factor * re * re; !(loss > last) {
				t.Fatalf("share %g: loss %g after %g at Re %g", f.LowShare(), loss, last, re)
			} else {
				last = loss
			}
		}
		high, _ := f.Fanning(400)
		if math.Abs(high/correlation.FanningLouvre(fin, 400)-1) > 1e-13 {
			t.Fatalf("f at 400: %g", high)
		}
		low, _ := f.Fanning(120)
		if math.Abs(low/correlation.FanningLouvre(fin, 120)-f.LowShare()) > 1e-13 {
			t.Fatalf("f at 120: %g by a share of %g", low, f.LowShare())
		}
	})
	if lowered == 0 {
		t.Error("no fin drawn needs the remedy")
	}
}

func TestStripSlope(t *testing.T) {
	fin := correlation.OffsetStripFin{Spacing: .25, Thickness: .03, Gap: .06}
	for _, re := range []float64{50, 300, 1000, 5000} {
		const h = 1e-5
		want := math.Log(correlation.FanningStrip(fin, re*(1+h))/correlation.FanningStrip(fin, re*(1-h))) / (2 * h)
		_, slope := correlation.NewStripLaws(fin).Fanning(re)
		near(t, fmt.Sprint("slope at ", re), slope, want, 1e-7)
	}
}

func TestDataRanges(t *testing.T) {
	if d, yes := correlation.LouvreDataBeyond(louvredFin()); yes {
		t.Errorf("the check fin lies outside in %s", d.Name)
	}
	for name, change := range map[string]func(*correlation.LouvredFin){
		"louvre angle": func(l *correlation.LouvredFin) { l.Angle = .1 }, "fin pitch": func(l *correlation.LouvredFin) { l.FinPitch = 3.4e-3 },
		"louvre pitch": func(l *correlation.LouvredFin) { l.LouvrePitch = .4e-3 }, "fin length": func(l *correlation.LouvredFin) { l.FinLength = .03 },
		"fin depth": func(l *correlation.LouvredFin) { l.FinDepth = .06 }, "louvre length": func(l *correlation.LouvredFin) { l.LouvreLength = 2e-3 },
		"tube pitch": func(l *correlation.LouvredFin) { l.TubePitch = 7e-3 }, "hydraulic diameter": func(l *correlation.LouvredFin) { l.HydraulicDiameter = 6e-3 },
	} {
		fin := louvredFin()
		change(&fin)
		if d, yes := correlation.LouvreDataBeyond(fin); !yes || d.Name != name || d.Printed == "" {
			t.Errorf("%s: %+v, %v", name, d, yes)
		}
	}
	for name, fin := range map[string]correlation.OffsetStripFin{
		"gap over height": {Spacing: .1, Thickness: .03, Gap: .06}, "fin thickness over strip length": {Spacing: .25, Thickness: .05, Gap: .06},
		"fin thickness over gap": {Spacing: .25, Thickness: .03, Gap: .03}, "": {Spacing: .25, Thickness: .03, Gap: .06},
	} {
		if d, yes := correlation.StripDataBeyond(fin); yes != (name != "") || d.Name != name {
			t.Errorf("%q: %+v, %v", name, d, yes)
		}
	}
}

// The duct worked out beforehand is the law itself, written out as printed.
func TestMuzychkaDuct(t *testing.T) {
	const aspect, pr = .2, .707
	d := correlation.NewMuzychkaDuct(correlation.DuctEntry{Aspect: aspect})
	fRe := 12 / (math.Sqrt(aspect) * (1 + aspect) * (1 - 192*aspect/math.Pow(math.Pi, 5)*math.Tanh(math.Pi/(2*aspect))))
	near(t, "f Re", d.FanningConstant(), fRe, 1e-14)
	for _, z := range []float64{1e-4, 1e-2, 1, 1e4} {
		m := 2.27 + 1.65*math.Cbrt(pr)
		f := .564 / math.Pow(1+math.Pow(1.664*math.Pow(pr, 1./6), 4.5), 2./9)
		entry := math.Pow(2*f/math.Sqrt(z), m)
		rest := math.Pow(math.Pow(1.5*.409*math.Cbrt(fRe/z), 5)+math.Pow(3.24*fRe/(8*math.Sqrt(math.Pi)*math.Pow(aspect, .1)), 5), m/5)
		near(t, fmt.Sprint("Nu at z* ", z), d.Nusselt(z, pr), math.Pow(entry+rest, 1/m), 1e-13)
		near(t, fmt.Sprint("f Re at z+ ", z), d.FanningApparent(z), math.Hypot(fRe, 3.44/math.Sqrt(z)), 1e-14)
	}
	near(t, "endless", d.Nusselt(math.Inf(1), pr), d.Nusselt(1e30, pr), 1e-9)
}
