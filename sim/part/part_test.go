package part

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Every default lies inside its own range and names a source.
func TestDefaultsAreConsistent(t *testing.T) {
	for name, d := range map[string]Default{
		"ambient": Ambient(), "die_to_plate": DieToPlate(), "die_share": DieShare(), "die_capacity": DieCapacity(),
		"spreader_capacity": SpreaderCapacity(), "idle": ChipIdle(), "shutdown": Shutdown(), "leakage.at": LeakageAt(),
		"leakage.growth": LeakageGrowth(), "film_conductance": BlockFilm(), "plate_capacity": PlateCapacity(),
		"block.holds": BlockVolume(), "flow": PumpFlow(), "pump.power": PumpPower(), "pump.holds": PumpVolume(),
		"bore": TubeBore(), "length": TubeLength(), "volume": ReservoirVolume(), "film": RadiatorFilm(),
		"test_flow": RadiatorTestFlow(), "metal": RadiatorMetal(), "radiator.holds": RadiatorVolume(), "cells": RadiatorCells(),
	} {
		if !(d.Low < d.Value && d.Value < d.High) {
			t.Errorf("%s: default %g is not inside %g to %g", name, d.Value, d.Low, d.High)
		}
		if d.Source == "" || d.Dimension == "" {
			t.Errorf("%s: default names no source or dimension", name)
		}
	}
}

// The ladder's two conductances in series are the stated resistance.
func TestDieToSpreaderSplitsTheResistance(t *testing.T) {
	a, b := DieToSpreader(0.14, 0.4)
	if got := 1/a + 1/b; math.Abs(got-0.14) > 1e-15 {
		t.Errorf("series resistance is %g K/W, want 0.14", got)
	}
	if got := 1 / a; math.Abs(got-0.056) > 1e-15 {
		t.Errorf("die to spreader is %g K/W, want 0.056", got)
	}
}

// 10 mm bore holds 78.5 mL/m, 12 mm 113 mL/m (area of a circle).
func TestTubeVolume(t *testing.T) {
	for _, c := range []struct{ bore, want float64 }{{0.010, 78.54e-6}, {0.012, 113.10e-6}} {
		if got := TubeVolume(c.bore, 1); math.Abs(got-c.want) > 0.005e-6 {
			t.Errorf("1 m of %g m bore holds %g m3, want %g", c.bore, got, c.want)
		}
	}
}

// cascade returns the heat per kelvin of inlet difference of n mixed cells.
func cascade(g, c float64, n int) float64 {
	left := 1.0
	for range n {
		left *= c / (c + g/float64(n))
	}
	return c * (1 - left)
}

// Property: whatever the number of cells, they give the stated heat.
func TestCellsGiveTheStatedHeat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(70, 400).Draw(t, "capacity rate")
		n := rapid.IntRange(1, 16).Draw(t, "cells")
		stated := rapid.Float64Range(1, 0.9*c).Draw(t, "conductance")
		perMean := rapid.Bool().Draw(t, "per mean")
		ua, err := Rating{Conductance: stated, CapacityRate: c, PerMean: perMean}.Exponent()
		if err != nil {
			t.Fatal(err)
		}
		heat := cascade(CellConductance(ua, c, n, math.Max(0.5, ua/(float64(n)*c))), c, n) // W per K of inlet difference
		difference := 1.0
		if perMean {
			difference -= heat / (2 * c)
		}
		if got := heat / difference; math.Abs(got-stated) > 1e-9*stated {
			t.Fatalf("%d cells give %.12g W/K, stated %.12g", n, got, stated)
		}
	})
}

// A conductance that the coolant cannot feed is refused.
func TestExponentRefusesTheImpossible(t *testing.T) {
	if _, err := (Rating{Conductance: 70, CapacityRate: 69.7}).Exponent(); err == nil {
		t.Error("70 W/K at a capacity rate of 69.7 W/K is accepted")
	}
	if _, err := (Rating{Conductance: 70, CapacityRate: 69.7, PerMean: true}).Exponent(); err != nil {
		t.Errorf("70 W/K per mean is possible, got %v", err)
	}
}

// Towards zero flow the conductance stays finite, positive and smooth.
func TestCellConductanceAtRest(t *testing.T) {
	const ua, n = 20.0, 4
	if got := CellConductance(ua, 0, n, 0.5); got != ua {
		t.Errorf("at rest %g W/K, want %g", got, ua)
	}
	previous := CellConductance(ua, 200, n, 0.5)
	for c := 200.0; c > 0.01; c *= 0.999 {
		got := CellConductance(ua, c, n, 0.5)
		if !(got >= ua) || got > 1.6*ua {
			t.Fatalf("at a capacity rate of %g W/K: %g W/K", c, got)
		}
		if math.Abs(got-previous) > 0.004*ua {
			t.Fatalf("jump from %g to %g W/K at a capacity rate of %g W/K", previous, got, c)
		}
		previous = got
	}
}

func TestAirConductance(t *testing.T) {
	got, err := AirConductance(18, 108)
	if err != nil || math.Abs(1/got+1.0/108-1.0/18) > 1e-15 {
		t.Errorf("got %g W/K, %v", got, err)
	}
	if _, err := AirConductance(18, 18); err == nil {
		t.Error("a film as weak as the whole is accepted")
	}
}
