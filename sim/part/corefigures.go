package part

import (
	"fmt"
	"math"

	"soakledger/sim/spec"
)

// inch is the length that fins are counted on, m.
const inch = 0.0254

// FinPitchOf returns the distance of neighbouring legs (m) from fins per inch,
// every leg counted.
func FinPitchOf(finsPerInch float64) float64 { return inch / finsPerInch }

// CoreFigures are the usual measures of a core whose thickness is known, all
// common practice without a source.
type CoreFigures struct {
	Depth         Default // of fins and tubes, m
	FinsPerInch   Default
	FinThickness  Default // m
	TubePitch     Default // m
	TubeThickness Default // m
	TubeWall      Default // m
	Rows          Default
	Passes        Default
	TankLength    Default // m, inside, each
	FrameWall     Default // m
	PortBore      Default // m
	LouvrePitch   Default // m
	LouvreAngle   Default // rad
	StripLength   Default // m
}

// CoreFiguresOf returns the usual measures of a core in a body of a thickness (m,
// above zero): the frame stands over fins and tubes by 4 mm in all, and thin
// bodies have their fins closer together.
func CoreFiguresOf(thickness float64) CoreFigures {
	length := func(value, low, high float64) Default {
		return Default{1e-3 * value, 1e-3 * low, 1e-3 * high, spec.Length, practice}
	}
	count := func(value, low, high float64) Default { return Default{value, low, high, spec.Count, practice} }
	const degree = math.Pi / 180
	return CoreFigures{
		Depth:         coreDepth(thickness),
		FinsPerInch:   finsPerInch(thickness),
		FinThickness:  length(0.05, 0.03, 0.08),
		TubePitch:     length(10, 8, 12),
		TubeThickness: length(2, 1.6, 2.4),
		TubeWall:      length(0.2, 0.12, 0.3),
		Rows:          count(1, 1, 2),
		Passes:        count(2, 1, 4),
		TankLength:    length(6, 4, 12),
		FrameWall:     length(1, 0.7, 1.5),
		PortBore:      length(9, 8, 11),
		LouvrePitch:   length(1.2, 0.8, 2),
		LouvreAngle:   Default{27 * degree, 20 * degree, 35 * degree, spec.Angle, practice},
		StripLength:   length(3, 2, 6),
	}
}

// coreDepth returns the depth of fins and tubes in a body.
func coreDepth(thickness float64) Default {
	margin := func(m float64) float64 { return math.Max(thickness-m, 0.6*thickness) }
	return Default{margin(4e-3), math.Min(margin(10e-3), 0.9*margin(4e-3)), math.Max(margin(2e-3), 0.7*thickness), spec.Length, practice}
}

// finsPerInch returns the usual density of fins by the words of
// [ThicknessClasses], to the nearer of which a thickness belongs.
func finsPerInch(thickness float64) Default {
	densities := [...]Default{
		{16, 11, 22, spec.Factor, practice}, {14, 9, 20, spec.Factor, practice},
		{12, 8, 17, spec.Factor, practice}, {10, 7, 16, spec.Factor, practice},
	}
	best, away := densities[0], math.Inf(1)
	for i, c := range ThicknessClasses() {
		if d := math.Abs(math.Log(thickness / c.Thickness.Value)); d < away {
			best, away = densities[i], d
		}
	}
	return best
}

// LouvreLengthOf returns the usual length of louvres in fins that reach over a gap
// between tubes (m).
func LouvreLengthOf(gap float64) Default {
	return Default{0.85 * gap, 0.7 * gap, 0.95 * gap, spec.Length, practice}
}

// Shape returns a core of copper fins on brass tubes with these measures, behind a
// face (m) in a body of a thickness (m).
func (f CoreFigures) Shape(width, height, thickness float64) CoreShape {
	return CoreShape{
		Width: width, Height: height, Depth: f.Depth.Value, Thickness: thickness,
		FinPitch: FinPitchOf(f.FinsPerInch.Value), FinThickness: f.FinThickness.Value, Fins: Copper(),
		TubePitch: f.TubePitch.Value, TubeThickness: f.TubeThickness.Value, TubeWall: f.TubeWall.Value,
		Rows: int(f.Rows.Value), Passes: int(f.Passes.Value), Tubes: Brass(),
		LouvrePitch: f.LouvrePitch.Value, LouvreAngle: f.LouvreAngle.Value,
		LouvreLength: LouvreLengthOf(f.TubePitch.Value - f.TubeThickness.Value).Value,
		StripLength:  f.StripLength.Value,
		TankLength:   f.TankLength.Value, FrameWall: f.FrameWall.Value, PortBore: f.PortBore.Value,
	}
}

// Scatter returns the factors by which the true conductance of the air side and
// the true pressure loss of a core differ from what the laws of its fins give: 1,
// with the band that is published for them, about two standard deviations. It does
// not hold what is assumed of the geometry.
//
// Where a core runs outside the published range ([CoreAirSide].Beyond), the band
// is twice as wide, which is this model's and not published.
func (s FinStyle) Scatter(beyond bool) (conductance, drop Default) {
	band, heat, loss := 0.15, "", ""
	switch s {
	case LouvredFins:
		heat = "Y.J. Chang & C.C. Wang, Int. J. Heat Mass Transfer 40:533, 1997: about 90 % of the data within 15 % (statement from memory)"
		loss = "Y.J. Chang et al., Int. J. Heat Mass Transfer 43:2237, 2000: some 83 % of the data within 15 % (statement from memory)"
	case StripFins:
		band = 0.20
		heat = "R.M. Manglik & A.E. Bergles, Exp. Thermal Fluid Sci. 10:171, 1995: data within 20 %"
		loss = heat
	default:
		heat = "Y.S. Muzychka & M.M. Yovanovich, J. Heat Transfer 126:54, 2004: within 15 % (statement from memory)"
		loss = heat + ", taken for friction too"
	}
	if beyond {
		band *= 2
		heat, loss = "this model: outside the published range, twice its band: "+heat, "this model: outside the published range, twice its band: "+loss
	}
	of := func(source string) Default { return Default{1, 1 - band, 1 + band, spec.Factor, source} }
	return of(heat), of(loss)
}

// CoreEntries returns the measures of cores by thickness, and the bands of their
// laws, as the catalogue lists them.
func CoreEntries() []Entry {
	var e []Entry
	for _, c := range ThicknessClasses() {
		f := CoreFiguresOf(c.Thickness.Value)
		e = append(e, Entry{"core", c.Name, "depth of fins and tubes", f.Depth}, Entry{"core", c.Name, "fins_per_inch", f.FinsPerInch})
	}
	f := CoreFiguresOf(ThicknessClasses()[0].Thickness.Value)
	e = append(e,
		Entry{"core", "", "fin_thickness", f.FinThickness}, Entry{"core", "", "tube_pitch", f.TubePitch},
		Entry{"core", "", "tube_thickness", f.TubeThickness}, Entry{"core", "", "tube_wall", f.TubeWall},
		Entry{"core", "", "rows", f.Rows}, Entry{"core", "", "passes", f.Passes},
		Entry{"core", "", "length of a tank", f.TankLength}, Entry{"core", "", "wall of the frame", f.FrameWall},
		Entry{"core", "", "bore of a port", f.PortBore}, Entry{"core", "louvred", "louvre_pitch", f.LouvrePitch},
		Entry{"core", "louvred", "louvre_angle", f.LouvreAngle},
		Entry{"core", "louvred", "louvre_length", LouvreLengthOf(f.TubePitch.Value - f.TubeThickness.Value)},
		Entry{"core", "strip", "strip_length", f.StripLength})
	for i, word := range FinStyles() {
		for _, beyond := range []bool{false, true} {
			conductance, drop := FinStyle(i).Scatter(beyond)
			class := word
			if beyond {
				class = fmt.Sprintf("%s, outside the published range", word)
			}
			e = append(e, Entry{"core", class, "factor on the air side", conductance}, Entry{"core", class, "factor on the pressure loss", drop})
		}
	}
	return e
}
