package part_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"soakledger/sim/part"
)

// Coolant (mL) and metal (kg) of copper and brass radiators as usually built
// (common practice, no source).
func TestRadiatorSizes(t *testing.T) {
	for _, c := range []struct {
		sections, columns  int
		section, thickness float64 // mm
		volume, mass       [2]float64
	}{
		{1, 0, 120, 30, [2]float64{70, 110}, [2]float64{0.4, 0.5}},
		{2, 0, 120, 30, [2]float64{140, 220}, [2]float64{0.75, 0.9}},
		{2, 0, 120, 45, [2]float64{200, 280}, [2]float64{1.0, 1.2}},
		{2, 0, 120, 60, [2]float64{280, 400}, [2]float64{1.3, 1.6}},
		{3, 0, 120, 30, [2]float64{200, 300}, [2]float64{1.0, 1.3}},
		{3, 0, 120, 45, [2]float64{280, 380}, [2]float64{1.4, 1.7}},
		{3, 0, 120, 60, [2]float64{400, 550}, [2]float64{1.9, 2.4}},
		{4, 0, 120, 60, [2]float64{550, 750}, [2]float64{2.5, 3.0}},
		{3, 0, 140, 45, [2]float64{350, 480}, [2]float64{1.7, 2.0}},
		{9, 3, 120, 60, [2]float64{1000, 1600}, [2]float64{5, 8}},
	} {
		name := fmt.Sprintf("%d x %g x %g", c.sections, c.section, c.thickness)
		size := part.RadiatorSize{Sections: c.sections, Section: c.section / 1e3, Thickness: c.thickness / 1e3, Columns: c.columns}
		if err := size.Check(); err != nil {
			t.Error(err)
		}
		volume, mass := size.Volume(), size.Mass()
		inside(t, name+" coolant, mL", volume.Value*1e6, c.volume[0], c.volume[1])
		inside(t, name+" metal, kg", mass.Value, c.mass[0], c.mass[1])
		capacity := size.Capacity()
		inside(t, name+" capacity a kilogram", capacity.Value/mass.Value, 379, 381) // EN 12524: copper and brass 380
		if !(volume.Low < volume.Value && volume.Value < volume.High && capacity.Low < capacity.Value && capacity.Value < capacity.High) {
			t.Errorf("%s: %v, %v", name, volume, capacity)
		}
	}
}

func TestRadiatorOfOneMaterial(t *testing.T) {
	size := part.RadiatorSize{Sections: 3, Section: 0.120, Thickness: 0.030}
	copper, light := size.MassOf(part.Copper()), size.MassOf(part.Aluminium())
	near(t, "aluminium over copper", light.Value/copper.Value, 2800./8900, 1e-12)
	if !(size.MassOf(part.Brass()).Value < size.Mass().Value && size.Mass().Value < copper.Value) {
		t.Error("a mixed radiator does not weigh between one of copper and one of brass")
	}
}

func TestRadiatorSizeRefusals(t *testing.T) {
	for _, s := range []part.RadiatorSize{
		{0, 0.12, 0.03, 0}, {3, 0, 0.03, 0}, {3, 0.12, math.NaN(), 0}, {3, 0.12, 0.03, -1}, {3, 0.12, 0.03, 4},
	} {
		if s.Check() == nil {
			t.Errorf("%+v is a radiator", s)
		}
	}
}

func TestThicknessWords(t *testing.T) {
	last := 0.0
	for _, c := range part.ThicknessClasses() {
		if !(c.Thickness.Low > last) {
			t.Errorf("%s begins below %g m", c.Name, last)
		}
		last = c.Thickness.High
		if got, err := part.ThicknessNamed(c.Name); err != nil || got != c {
			t.Errorf("%s: %v", c.Name, err)
		}
	}
	if _, err := part.ThicknessNamed("slimm"); err == nil || !strings.Contains(err.Error(), `"slim" may be meant`) {
		t.Errorf("an unknown thickness gives %v", err)
	}
}

// wholeLoop adds up radiators, blocks, pumps, a reservoir and tube.
func wholeLoop(t *testing.T, radiators int, size part.RadiatorSize, graphics, pumps int, pumpSize, reservoir string, tube float64) (volume, metal float64) {
	t.Helper()
	processor := must[part.BlockClass](t)(part.BlockClassNamed("processor block"))
	cover := must[part.BlockClass](t)(part.BlockClassNamed("full-cover block"))
	pump := must[part.PumpClass](t)(part.PumpClassNamed(pumpSize))
	tank := must[part.ReservoirClass](t)(part.ReservoirClassNamed(reservoir))
	r, g, p := float64(radiators), float64(graphics), float64(pumps)
	volume = r*size.Volume().Value + processor.Holds.Value + g*cover.Holds.Value + p*pump.Holds.Value + tank.Volume.Value +
		part.TubeVolume(part.TubeBore().Value, tube)
	metal = r*size.Mass().Value + processor.Mass.Value + g*cover.Mass.Value + p*pump.Mass.Value
	return volume * 1e6, metal
}

// Whole loops hold 350 to 600, 900 to 1300 and 2000 to 4000 mL in 1.5 to 2.5,
// 3.5 to 5 and 8 to 12 kg of metal (common practice, no source).
func TestWholeLoops(t *testing.T) {
	section := func(n int, thickness float64) part.RadiatorSize {
		return part.RadiatorSize{Sections: n, Section: 0.120, Thickness: thickness}
	}
	volume, metal := wholeLoop(t, 1, section(2, 0.030), 0, 1, "large", "small", 1)
	inside(t, "small loop, mL", volume, 350, 600)
	inside(t, "small loop, kg", metal, 1.5, 2.5)
	volume, metal = wholeLoop(t, 2, section(3, 0.030), 1, 1, "large", "typical", 1.5)
	inside(t, "mid loop, mL", volume, 900, 1300)
	inside(t, "mid loop, kg", metal, 3.5, 5)
	volume, metal = wholeLoop(t, 3, section(4, 0.060), 2, 2, "large", "large", 3)
	inside(t, "large loop, mL", volume, 2000, 4000)
	inside(t, "large loop, kg", metal, 8, 12)
}

// 13/10, 14/10 and 16/10 mm tube weighs 50 to 170 g a metre (common practice, no
// source).
func TestTubeMass(t *testing.T) {
	for outside, m := range map[float64]part.Material{0.013: part.SoftPVC(), 0.014: part.Acrylic(), 0.016: part.EPDM()} {
		inside(t, m.Name+" tube, kg/m", part.TubeMass(0.010, outside, 1, m), 0.050, 0.170)
	}
	near(t, "16/10 mm of EPDM", part.TubeMass(0.010, 0.016, 2, part.EPDM()), 2*1150*math.Pi/4*156e-6, 1e-12)
}

func TestWeights(t *testing.T) {
	volume, mass, err := part.Weights(1.150, 1.400, 997.047013)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume", volume, 0.250/997.047013, 1e-12)
	near(t, "mass", mass, 1.150, 1e-15)
	for _, c := range [][3]float64{{0, 1, 1000}, {1, 1, 1000}, {1, math.NaN(), 1000}, {1, math.Inf(1), 1000}, {1, 2, 0}} {
		if _, _, err := part.Weights(c[0], c[1], c[2]); err == nil {
			t.Errorf("%v weighs a coolant", c)
		}
	}
}

func TestUnknownClasses(t *testing.T) {
	if _, err := part.BlockClassNamed("x"); err == nil || !strings.Contains(err.Error(), "processor block, full-cover block") {
		t.Errorf("an unknown block gives %v", err)
	}
	if _, err := part.ReservoirClassNamed("x"); err == nil || !strings.Contains(err.Error(), "small, typical, large") {
		t.Errorf("an unknown reservoir gives %v", err)
	}
}
