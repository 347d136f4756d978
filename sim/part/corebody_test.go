package part_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"soakledger/sim/part"
)

// usualCore is a core of usual measures behind sections of an edge, in rows of columns.
func usualCore(t *testing.T, sections, columns int, edge, thickness float64) *part.Core {
	t.Helper()
	width, height := float64(sections)*edge, edge
	if columns > 0 {
		width, height = float64(columns)*edge, float64(sections/columns)*edge
	}
	return must[*part.Core](t)(part.NewCore(part.CoreFiguresOf(thickness).Shape(width, height, thickness)))
}

// Coolant (mL) and metal (kg) of copper and brass radiators as usually built (common
// practice, no source), against usual measures of a core of that size. Metal may miss the
// range by a tenth: solder, screws and ports are left out of one side, thick plates of
// the other.
func TestUsualCores(t *testing.T) {
	for _, r := range []struct {
		sections, columns int
		edge, thickness   float64 // mm
		volume, mass      [2]float64
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
		name := fmt.Sprintf("%d x %g x %g", r.sections, r.edge, r.thickness)
		b := usualCore(t, r.sections, r.columns, r.edge/1e3, r.thickness/1e3).Body()
		t.Logf("%s: %.0f mL, %.2f kg (fins %.2f, tubes %.2f, frame %.2f)", name, b.Volume()*1e6, b.Mass(), b.Fins, b.Tubes, b.Frame)
		inside(t, name+" coolant, mL", b.Volume()*1e6, r.volume[0], r.volume[1])
		inside(t, name+" metal, kg", b.Mass(), .9*r.mass[0], 1.1*r.mass[1])
		size := part.RadiatorSize{Sections: r.sections, Section: r.edge / 1e3, Thickness: r.thickness / 1e3, Columns: r.columns}
		inside(t, name+" coolant over that of its size", b.Volume()/size.Volume().Value, .75, 1.25)
		inside(t, name+" metal over that of its size", b.Mass()/size.Mass().Value, .75, 1.25)
		near(t, name+" capacity", b.Capacity, 380*b.Mass(), 1e-12) // copper and brass both 380 J/(kg K)
	}
}

// Three cores of two sections, 20.5 mm at 22, 35.5 mm at 18 and 45 mm at 13 fins per inch,
// hold 108, 164 and 232 mL (common practice, no source): usual measures come within a
// quarter, and filled the last weighs above 1.7 times the first.
func TestThreeTwoSectionCores(t *testing.T) {
	var filled []float64
	for _, r := range []struct{ thickness, fins, holds float64 }{{.0205, 22, 108}, {.0355, 18, 164}, {.045, 13, 232}} {
		s := part.CoreFiguresOf(r.thickness).Shape(.240, .120, r.thickness)
		s.FinPitch = part.FinPitchOf(r.fins)
		b := must[*part.Core](t)(part.NewCore(s)).Body()
		t.Logf("%g mm, %g fins per inch: %.0f mL for %g, %.2f kg empty, %.2f kg filled", 1e3*r.thickness, r.fins, b.Volume()*1e6, r.holds, b.Mass(), b.Filled(997))
		inside(t, "coolant, mL", b.Volume()*1e6, .75*r.holds, 1.25*r.holds)
		filled = append(filled, b.Filled(997))
	}
	t.Logf("filled, last over first: %.2f", filled[2]/filled[0])
	inside(t, "filled, last over first", filled[2]/filled[0], 1.7, 2.5)
}

// Volumes and masses of the reference core by hand.
func TestBodyByHand(t *testing.T) {
	s := referenceShape()
	s.TankLength, s.FrameWall, s.Thickness = .006, .001, .029
	b := must[*part.Core](t)(part.NewCore(s)).Body()
	near(t, "tubes hold", b.TubeVolume, 12*1.6e-3*24.6e-3*.24, 1e-12)
	near(t, "tanks hold", b.TankVolume, 2*.12*.027*.006, 1e-12)
	near(t, "fins", b.Fins, 8900*1814.1732*(7.95e-3+1.5875e-3)*.025*.05e-3, 1e-6)
	near(t, "tubes", b.Tubes, 8400*12*(2e-3*25e-3-1.6e-3*24.6e-3)*.24, 1e-12)
	sheet := 4*(.12*.027+.12*.006+.027*.006) + 2*.24*(.029+.016)
	near(t, "frame", b.Frame, 8400*sheet*.001, 1e-12)
	near(t, "filled", b.Filled(1000), b.Mass()+1000*b.Volume(), 1e-15)
	s.Triangular = true
	tri := must[*part.Core](t)(part.NewCore(s)).Body()
	near(t, "zigzag fins", tri.Fins, 8900*1814.1732*8.155989e-3*.025*.05e-3, 1e-6)
	s.Fins = part.Aluminium()
	light := must[*part.Core](t)(part.NewCore(s)).Body()
	near(t, "capacity of aluminium fins", light.Capacity, 880*light.Fins+380*(light.Tubes+light.Frame), 1e-12)
}

// Every measure that cannot be is refused by its name, with what was given, what can be,
// and an example.
func TestCoreRefusals(t *testing.T) {
	louvred := func(s *part.CoreShape) {
		s.Style, s.LouvrePitch, s.LouvreAngle, s.LouvreLength = part.LouvredFins, 1.2e-3, .47, 6.5e-3
	}
	for _, r := range []struct {
		change func(*part.CoreShape)
		want   []string
	}{
		{func(s *part.CoreShape) { s.FinThickness = 2e-3 }, []string{"fin thickness: 2 mm", "less than the fin pitch of 1.587 mm"}},
		{func(s *part.CoreShape) { s.TubePitch = .2 }, []string{"tube pitch: 200 mm", "a face 120 mm high takes one tube or more"}},
		{func(s *part.CoreShape) { s.TubeThickness = .012 }, []string{"tube thickness: 12 mm", "tube pitch of 10 mm"}},
		{func(s *part.CoreShape) { s.Depth = 1.5e-3 }, []string{"depth: 1.5 mm", "as deep as its tubes are thick, 2 mm"}},
		{func(s *part.CoreShape) { s.Rows = 20 }, []string{"rows: 20", "1 to 10"}},
		{func(s *part.CoreShape) { s.Rows = 0 }, []string{"rows: 0"}},
		{func(s *part.CoreShape) { s.Rows, s.TubeDepth = 2, .02 }, []string{"tube depth: 20 mm", "2 of it must fit into the depth of 25 mm"}},
		{func(s *part.CoreShape) { s.Passes = 13 }, []string{"passes: 13", "12 tubes across the face make 1 to 12"}},
		{func(s *part.CoreShape) { s.Passes = 0 }, []string{"passes: 0"}},
		{func(s *part.CoreShape) { s.TubeWall = 1e-3 }, []string{"tube wall: 1 mm", "leave a channel inside"}},
		{func(s *part.CoreShape) { s.Width = -1 }, []string{"width: -1000 mm", "above zero", "240 mm"}},
		{func(s *part.CoreShape) { s.Height = math.NaN() }, []string{"height: NaN mm"}},
		{func(s *part.CoreShape) { s.Depth = math.Inf(1) }, []string{"depth: +Inf mm"}},
		{func(s *part.CoreShape) { s.FinPitch = .3 }, []string{"fin pitch: 300 mm", "less than the width"}},
		{func(s *part.CoreShape) { s.FinPitch, s.FinThickness = .02, .009 }, []string{"fin thickness: 9 mm", "the gap of 8 mm"}},
		{func(s *part.CoreShape) { s.Fins = part.Material{} }, []string{"fin material", "copper"}},
		{func(s *part.CoreShape) { s.Tubes.Density = 0 }, []string{"tube material", `"brass"`}},
		{func(s *part.CoreShape) { s.Blocked = 1 }, []string{"blocked: 100 %", "0 to 95 %"}},
		{func(s *part.CoreShape) { s.Blocked = -.1 }, []string{"blocked: -10 %"}},
		{func(s *part.CoreShape) { s.Covered = .1 }, []string{"covered: 10 %", "30 to 100 %"}},
		{func(s *part.CoreShape) { s.Thickness = .02 }, []string{"thickness: 20 mm", "25 mm"}},
		{func(s *part.CoreShape) { s.TankLength = -.01 }, []string{"tank length: -10 mm"}},
		{func(s *part.CoreShape) { s.FrameWall = .02 }, []string{"frame wall: 20 mm"}},
		{func(s *part.CoreShape) { s.PortBore = 0 }, []string{"port bore: 0 mm"}},
		{func(s *part.CoreShape) { s.Style = 9 }, []string{"fin style: number 9", "plain, louvred or strip"}},
		{func(s *part.CoreShape) { louvred(s); s.LouvrePitch = .03 }, []string{"louvre pitch: 30 mm", "below the depth"}},
		{func(s *part.CoreShape) { louvred(s); s.LouvreAngle = 1.6 }, []string{"louvre angle: 91.7 degrees"}},
		{func(s *part.CoreShape) { louvred(s); s.LouvreLength = 9e-3 }, []string{"louvre length: 9 mm", "fit into a leg of 7.95 mm"}},
		{func(s *part.CoreShape) { louvred(s); s.FinThickness = 1e-5 }, []string{"fin style", "fin thickness", "0.0125 of the fin pitch"}},
		{func(s *part.CoreShape) { s.Style, s.StripLength = part.StripFins, .03 }, []string{"strip length: 30 mm", "at most the depth"}},
		{func(s *part.CoreShape) { s.Style, s.StripLength = part.StripFins, 4e-5 }, []string{"strip length: 0.04 mm", "more than the fin thickness"}},
		{func(s *part.CoreShape) { s.Triangular, s.FinPitch, s.FinThickness = true, 1e-3, .995e-3 }, []string{"leave no passage"}},
	} {
		s := referenceShape()
		r.change(&s)
		c, err := part.NewCore(s)
		if err == nil {
			t.Errorf("%v: accepted, %+v", r.want, c.Shape())
			continue
		}
		for _, want := range append(r.want, "part: core: ", "cannot be", "e.g. ") {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("error %q lacks %q", err, want)
			}
		}
	}
}
