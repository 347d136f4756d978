package part

import (
	"fmt"
	"math"

	"soakledger/sim/spec"
)

// RadiatorSize is a radiator by the trade's measures.
type RadiatorSize struct {
	Sections  int     // fans' worth of face, at least one
	Section   float64 // edge of a section, 0.120 or 0.140 m
	Thickness float64 // m
	Columns   int     // sections in a row along the tubes; zero is all of them
}

// Geometry and fitted figures behind volume and mass. They put radiators from
// one to nine sections inside the ranges seen in the trade (common practice, no
// source).
const (
	coolantShare = 0.165 // of the core's volume, inside its tubes
	tankDepth    = 2.5e-3
	coreDensity  = 650 // kg of metal per m3 of core
	faceMass     = 2.5 // side plates, kg/m2 of face
	tankMass     = 0.12
	sizeSpread   = 0.2 // of volume and mass about the figure
	finShare     = 0.55
)

// Check reports a size that cannot be.
func (r RadiatorSize) Check() error {
	if r.Sections < 1 || !(r.Section > 0) || !(r.Thickness > 0) || r.Columns < 0 || r.Columns > r.Sections {
		return fmt.Errorf("part: a radiator of %d sections of %g mm, %g mm thick, %d in a row cannot be", r.Sections, 1e3*r.Section, 1e3*r.Thickness, r.Columns)
	}
	return nil
}

// Face returns the face area, m2.
func (r RadiatorSize) Face() float64 { return float64(r.Sections) * r.Section * r.Section }

// rows returns how many rows of sections lie side by side along a tank.
func (r RadiatorSize) rows() float64 {
	if r.Columns == 0 {
		return 1
	}
	return math.Ceil(float64(r.Sections) / float64(r.Columns))
}

// Volume returns the coolant inside (m3): the tubes' share of the core, and two
// tanks.
func (r RadiatorSize) Volume() Default {
	tanks := 2 * tankDepth * r.rows() * r.Section * r.Thickness
	return spread(coolantShare*r.Face()*r.Thickness+tanks, spec.Volume)
}

// Mass returns the mass of metal (kg) of copper fins on brass tubes.
func (r RadiatorSize) Mass() Default {
	return spread(coreDensity*r.Face()*r.Thickness+faceMass*r.Face()+tankMass, spec.Mass)
}

// MassOf returns the mass of metal (kg) of a radiator made of one material
// throughout: the same volume of metal.
func (r RadiatorSize) MassOf(m Material) Default {
	mixed := 1 / (finShare/Copper().Density + (1-finShare)/Brass().Density)
	return scaled(r.Mass(), m.Density/mixed, spec.Mass)
}

// Capacity returns the heat capacity (J/K) of copper fins on brass tubes, a
// little over half of it fins.
func (r RadiatorSize) Capacity() Default {
	mixed := finShare*Copper().SpecificHeat + (1-finShare)*Brass().SpecificHeat
	return scaled(r.Mass(), mixed, spec.HeatCapacity)
}

// spread is a figure from size with the range of its kind.
func spread(value float64, d spec.Dimension) Default {
	return Default{value, value * (1 - sizeSpread), value * (1 + sizeSpread), d, practice}
}

// scaled multiplies a default by a figure that is known.
func scaled(d Default, by float64, to spec.Dimension) Default {
	return Default{d.Value * by, d.Low * by, d.High * by, to, d.Source}
}

// ThicknessClass is a word for a radiator's thickness.
type ThicknessClass struct {
	Name      string
	Thickness Default // m
}

// ThicknessClasses returns the words from thin to thick.
func ThicknessClasses() []ThicknessClass {
	mm := func(value, low, high float64) Default {
		return Default{1e-3 * value, 1e-3 * low, 1e-3 * high, spec.Length, practice}
	}
	return []ThicknessClass{
		{"slim", mm(28, 20, 30)},
		{"mid", mm(44, 38, 45)},
		{"thick", mm(58, 54, 60)},
		{"very thick", mm(84, 80, 86)},
	}
}

// ThicknessNamed returns the thickness called word. The error lists the words.
func ThicknessNamed(word string) (ThicknessClass, error) {
	return named("thickness", word, ThicknessClasses(), func(c ThicknessClass) string { return c.Name })
}

// Weights returns what weighing a part empty and full (kg) tells: the coolant
// inside (m3), from its density (kg/m3), and the mass of the part itself (kg).
func Weights(empty, full, density float64) (volume, mass float64, err error) {
	switch {
	case !(empty > 0) || math.IsInf(full, 0):
		return 0, 0, fmt.Errorf("part: an empty weight of %g kg cannot be; it must be above zero", empty)
	case !(full > empty):
		return 0, 0, fmt.Errorf("part: filled with coolant it weighs %g kg, empty %g kg; full must be more than empty", full, empty)
	case !(density > 0):
		return 0, 0, fmt.Errorf("part: a coolant of %g kg/m3 cannot be", density)
	}
	return (full - empty) / density, empty, nil
}

// TubeMass returns the mass (kg) of a tube's wall from bore, outside diameter
// and length (m).
func TubeMass(bore, outside, length float64, m Material) float64 {
	return m.Density * math.Pi / 4 * (outside*outside - bore*bore) * length
}
