package correlation

import "math"

// DataRange is the range a dimension or ratio had in the data of a law.
type DataRange struct {
	Name string
	Range
	Printed string // in the units of the source
}

// louvreData are the dimensions of the samples behind the two louvre laws, in m and
// rad (from memory, not checked against the source).
var louvreData = [...]struct {
	DataRange
	of func(LouvredFin) float64
}{
	{DataRange{"louvre angle", Range{8.4 * math.Pi / 180, 35 * math.Pi / 180}, "8.4 to 35 degrees"}, func(l LouvredFin) float64 { return l.Angle }},
	{DataRange{"fin pitch", Range{0.51e-3, 3.33e-3}, "0.51 to 3.33 mm"}, func(l LouvredFin) float64 { return l.FinPitch }},
	{DataRange{"louvre pitch", Range{0.5e-3, 3.0e-3}, "0.5 to 3 mm"}, func(l LouvredFin) float64 { return l.LouvrePitch }},
	{DataRange{"fin length", Range{2.84e-3, 20e-3}, "2.84 to 20 mm"}, func(l LouvredFin) float64 { return l.FinLength }},
	{DataRange{"fin depth", Range{15.6e-3, 57.4e-3}, "15.6 to 57.4 mm"}, func(l LouvredFin) float64 { return l.FinDepth }},
	{DataRange{"louvre length", Range{2.13e-3, 18.5e-3}, "2.13 to 18.5 mm"}, func(l LouvredFin) float64 { return l.LouvreLength }},
	{DataRange{"tube pitch", Range{7.51e-3, 25e-3}, "7.51 to 25 mm"}, func(l LouvredFin) float64 { return l.TubePitch }},
	{DataRange{"hydraulic diameter", Range{0.82e-3, 5.02e-3}, "0.82 to 5.02 mm"}, func(l LouvredFin) float64 { return l.HydraulicDiameter }},
}

// LouvreDataBeyond returns the first dimension of a fin that lies outside those of the
// samples behind [ColburnLouvre] and [FanningLouvre], with its range; false if none does.
//
// Source: Y.J. Chang & C.C. Wang, Int. J. Heat Mass Transfer 40:533, 1997; Y.J. Chang et
// al., ibid. 43:2237, 2000 (ranges from memory, not checked against the source).
func LouvreDataBeyond(l LouvredFin) (DataRange, bool) {
	for _, d := range louvreData {
		if !d.Contains(d.of(l)) {
			return d.DataRange, true
		}
	}
	return DataRange{}, false
}

// StripDataBeyond returns the first ratio of a fin that lies outside those of the samples
// behind [ColburnStrip] and [FanningStrip], with its range; false if none does.
//
// Source: R.M. Manglik & A.E. Bergles, Exp. Thermal Fluid Sci. 10:171, 1995 (ranges from
// memory, not checked against the source).
func StripDataBeyond(s OffsetStripFin) (DataRange, bool) {
	for _, d := range [...]struct {
		DataRange
		value float64
	}{
		{DataRange{"gap over height", Range{0.134, 0.997}, "0.134 to 0.997"}, s.Spacing},
		{DataRange{"fin thickness over strip length", Range{0.012, 0.048}, "0.012 to 0.048"}, s.Thickness},
		{DataRange{"fin thickness over gap", Range{0.041, 0.121}, "0.041 to 0.121"}, s.Gap},
	} {
		if !d.Contains(d.value) {
			return d.DataRange, true
		}
	}
	return DataRange{}, false
}
