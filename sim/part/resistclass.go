package part

import "soakledger/sim/spec"

// StatedFlow is the flow at which the pressure drops of parts are quoted, one
// US gallon a minute, m3/s.
const StatedFlow = 3.785411784e-3 / 60

// ResistanceClass is what is usual for the pressure drop of a part at 3.79
// L/min (1 US gal/min) of water at 25 degC.
type ResistanceClass struct {
	Name string
	Drop Default // Pa
}

// ResistanceClasses returns the parts whose drop is usually measured.
func ResistanceClasses() []ResistanceClass {
	kPa := func(value, low, high float64) Default {
		return Default{1e3 * value, 1e3 * low, 1e3 * high, spec.Pressure, practice}
	}
	return []ResistanceClass{
		{"processor block", kPa(10, 5, 20)},
		{"full-cover block", kPa(6, 3, 12)},
		{"slim radiator", kPa(5, 2, 10)},
		{"thick radiator", kPa(2.8, 1.5, 6)},
		{"coupling pair", kPa(4, 2, 6)},
	}
}

// ResistanceClassNamed returns the class called word. The error lists the
// words.
func ResistanceClassNamed(word string) (ResistanceClass, error) {
	return named("pressure drop", word, ResistanceClasses(), func(c ResistanceClass) string { return c.Name })
}

// Points returns the class's drop at every flow.
func (c ResistanceClass) Points() (Points, error) {
	return NewPoints([]float64{StatedFlow}, []float64{c.Drop.Value})
}

// FittingLoss is the loss coefficient of a fitting, on the bore of the tube it
// holds: a short narrowing, and a widening behind it.
func FittingLoss() Default { return Default{0.8, 0.3, 1.5, spec.Factor, practice} }

// TubeRoughness is the height of roughness of drawn or extruded tubing.
func TubeRoughness() Default {
	return Default{1.5e-6, 0.5e-6, 10e-6, spec.Length,
		"L.F. Moody, Trans. ASME 66:671, 1944, drawn tubing (from memory, not checked against the source)"}
}
