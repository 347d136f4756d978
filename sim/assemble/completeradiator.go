package assemble

import (
	"math"

	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// radiator fills a radiator: by what is stated of its conductance, by the
// geometry of its core and its fans, or by both.
func (c *completer) radiator(at string, l *spec.Loop, p *spec.Part) {
	r := p.Radiator
	if r.Conductance.Set || len(r.Points) > 0 {
		c.text(at+"per", &r.Per, "inlet", practice)
		c.number(at+"test_flow", &r.TestFlow, part.RadiatorTestFlow())
	}
	c.sides(at, p)
	if hasCore(r) {
		c.core(at, r)
		c.coreBody(at, p)
	} else {
		c.radiatorBody(at, p)
		c.number(at+"film_conductance", &r.FilmConductance, times(part.RadiatorFilm(), largestConductance(r), spec.Conductance))
		if hydraulic(l) {
			c.drop(at, &r.Drop, usualDrop(r))
		}
	}
	if hasFans(c.s, r) {
		c.radiatorFans(at, r)
	} else if len(r.Points) > 0 {
		c.speed(at+"fans.speed", &r.Fans.Speed, part.FanSpeed())
	}
	if hasCore(r) {
		c.factors(at, r)
	}
	if !r.Cells.Set {
		r.Cells = spec.Some(part.RadiatorCells().Value) // a matter of the model, not of the machine
	}
}

// hasCore reports whether a radiator is modelled by the geometry of its core. A
// stated conductance alone says nothing of that, nor do points without a size.
func hasCore(r *spec.Radiator) bool {
	return !r.Conductance.Set && (len(r.Points) == 0 || r.Size.Set || r.Core.Face.Width.Set)
}

// core fills the geometry, by size and thickness.
func (c *completer) core(at string, r *spec.Radiator) {
	k := &r.Core
	if !k.Face.Width.Set {
		c.number(at+"size", &r.Size, part.RadiatorLength())
	}
	if !k.Thickness.Set {
		c.thickness(at, r)
	}
	figures := part.CoreFiguresOf(thicknessOf(r))
	if !k.FinsPerInch.Set {
		c.number(at+"fins_per_inch", &r.FinsPerInch, figures.FinsPerInch)
	}
	c.text(at+"core.fins", &k.Fins, part.FinStyles()[0], practice)
	c.text(at+"material", &r.Material, copperAndBrass, practice)
	if k.FinMaterial == "" {
		k.FinMaterial = "copper"
		if r.Material == part.Aluminium().Name {
			k.FinMaterial = r.Material
		}
	}
	c.number(at+"core.depth", &k.Depth, figures.Depth)
	c.number(at+"core.fin_thickness", &k.FinThickness, figures.FinThickness)
	c.number(at+"core.tube_pitch", &k.TubePitch, figures.TubePitch)
	c.number(at+"core.tube_thickness", &k.TubeThickness, figures.TubeThickness)
	c.number(at+"core.tube_wall", &k.TubeWall, figures.TubeWall)
	c.number(at+"core.rows", &k.Rows, figures.Rows)
	c.number(at+"core.passes", &k.Passes, figures.Passes)
	switch k.Fins {
	case "louvred":
		c.number(at+"core.louvre_pitch", &k.LouvrePitch, figures.LouvrePitch)
		c.number(at+"core.louvre_angle", &k.LouvreAngle, figures.LouvreAngle)
		c.number(at+"core.louvre_length", &k.LouvreLength, part.LouvreLengthOf(k.TubePitch.Value-k.TubeThickness.Value))
	case "strip":
		c.number(at+"core.strip_length", &k.StripLength, figures.StripLength)
	}
	c.number(at+"core.tank_length", &k.TankLength, figures.TankLength)
}

// coreBody fills coolant and metal from the geometry, where they were not
// measured. A core that cannot be is told when it is built.
func (c *completer) coreBody(at string, p *spec.Part) {
	r := p.Radiator
	if weighed(p) && !r.MetalCapacity.Set {
		r.MetalCapacity = spec.Some(capacityOf(r.Material, p.Empty.Value))
	}
	core, err := part.NewCore(coreShape(r))
	if err != nil {
		return
	}
	body := core.Body()
	c.holds(at, p, derived(body.Volume(), spec.Volume))
	c.number(at+"metal_capacity", &r.MetalCapacity, derived(body.Capacity, spec.HeatCapacity))
}

// derived is a figure that follows from geometry, with the band of the usual
// measures it follows from.
func derived(value float64, to spec.Dimension) part.Default {
	const band = 0.25 // by which the geometry's own ranges move it (this model)
	return part.Default{Value: value, Low: (1 - band) * value, High: (1 + band) * value, Dimension: to, Source: "derived from the core's geometry"}
}

// factors fills the two factors by which model and truth differ, with the bands
// of the laws and of fans.
func (c *completer) factors(at string, r *spec.Radiator) {
	c.number(at+"covered", &r.Covered, part.FaceShare(part.FanArrangement(r.Fans.Arrangement), r.Gap.Value))
	band := part.MeasuredFactor()
	if len(r.Points) == 0 {
		band, _ = finStyle(r).Scatter(beyondLaws(r))
	}
	c.number(at+"core_factor", &r.CoreFactor, band)
	c.number(at+"airflow_factor", &r.AirflowFactor, part.AirflowFactor())
}

// beyondLaws reports whether the laws of louvred or strip fins are left at the
// face velocities of usual fans.
func beyondLaws(r *spec.Radiator) bool {
	core, err := part.NewCore(coreShape(r))
	const usual = 1.0 // m/s
	return err == nil && core.Air(usual*core.Face(), part.AirAt(zeroCelsius+25, standardPressure, 0)).Beyond != ""
}

const standardPressure = 101325.0 // Pa

// finStyle returns the kind of a radiator's fins.
func finStyle(r *spec.Radiator) part.FinStyle {
	for i, word := range part.FinStyles() {
		if word == r.Core.Fins {
			return part.FinStyle(i)
		}
	}
	return part.PlainFins
}

// coreShape returns a completed radiator's geometry.
func coreShape(r *spec.Radiator) part.CoreShape {
	k := &r.Core
	width, height := faceOf(r)
	shape := part.CoreFiguresOf(thicknessOf(r)).Shape(width, height, thicknessOf(r))
	shape.Depth = k.Depth.Value
	shape.FinPitch, shape.FinThickness = part.FinPitchOf(k.FinsPerInch.Or(r.FinsPerInch.Value)), k.FinThickness.Value
	shape.Fins, shape.Tubes = materialOr(k.FinMaterial, part.Copper()), part.Brass()
	if r.Material == part.Aluminium().Name {
		shape.Tubes = part.Aluminium()
	}
	shape.TubePitch, shape.TubeThickness, shape.TubeWall = k.TubePitch.Value, k.TubeThickness.Value, k.TubeWall.Value
	shape.Rows, shape.Passes = int(k.Rows.Value), int(k.Passes.Value)
	shape.Style = finStyle(r)
	shape.LouvrePitch, shape.LouvreAngle, shape.LouvreLength = k.LouvrePitch.Value, k.LouvreAngle.Value, k.LouvreLength.Value
	shape.StripLength = k.StripLength.Value
	shape.TankLength = k.TankLength.Or(shape.TankLength)
	shape.Blocked, shape.Covered = r.Blocked.Value, r.Covered.Value
	return shape
}

// thicknessOf returns the thickness of a radiator with a core, m: in either of
// its two places.
func thicknessOf(r *spec.Radiator) float64 { return r.Core.Thickness.Or(r.Thickness.Value) }

// faceOf returns the face of a radiator with a core, m.
func faceOf(r *spec.Radiator) (width, height float64) {
	if f := r.Core.Face; f.Width.Set {
		return f.Width.Value, f.Height.Value
	}
	size := sizeOf(r)
	return float64(size.Sections) * size.Section, size.Section
}

// materialOr returns a material by its word.
func materialOr(word string, otherwise part.Material) part.Material {
	if m, err := part.MaterialNamed(word); err == nil {
		return m
	}
	return otherwise
}

// radiatorBody fills the coolant and the metal: what was weighed, else what a
// radiator of its size has, else that of any radiator.
func (c *completer) radiatorBody(at string, p *spec.Part) {
	r := p.Radiator
	holds, metal := part.RadiatorVolume(), part.RadiatorMetal()
	if r.Size.Set && !weighed(p) && !(p.Holds.Set && r.MetalCapacity.Set) {
		c.thickness(at, r)
	}
	if (r.Size.Set || weighed(p)) && !r.MetalCapacity.Set {
		c.text(at+"material", &r.Material, copperAndBrass, practice)
	}
	if r.Size.Set {
		holds, metal = sizeOf(r).Volume(), usualMetal(r)
	}
	c.holds(at, p, holds)
	if weighed(p) && !r.MetalCapacity.Set {
		r.MetalCapacity = spec.Some(capacityOf(r.Material, p.Empty.Value))
	}
	c.number(at+"metal_capacity", &r.MetalCapacity, metal)
}

// thickness fills the thickness of a radiator of known size.
func (c *completer) thickness(at string, r *spec.Radiator) {
	if r.Thickness.Set {
		return
	}
	c.text(at+"class", &r.Class, part.ThicknessClasses()[0].Name, practice)
	if class, err := part.ThicknessNamed(r.Class); err == nil {
		c.number(at+"thickness", &r.Thickness, class.Thickness)
	}
}

// usualMetal returns the heat capacity of a radiator of its size and material.
func usualMetal(r *spec.Radiator) part.Default {
	if r.Material == part.Aluminium().Name {
		return times(sizeOf(r).MassOf(part.Aluminium()), part.Aluminium().SpecificHeat, spec.HeatCapacity)
	}
	return sizeOf(r).Capacity()
}

// usualDrop returns the class of a radiator's pressure drop: deep ones have
// more tubes side by side.
func usualDrop(r *spec.Radiator) string {
	thick := r.Class != "" && r.Class != part.ThicknessClasses()[0].Name
	if r.Thickness.Set {
		thick = r.Thickness.Value > slimmest
	}
	if thick {
		return "thick radiator"
	}
	return "slim radiator"
}

// slimmest is the thickness (m) above which a radiator counts as thick, between
// slim and mid ones.
const slimmest = 0.034

// sizeOf returns a radiator's size in sections of 120 or 140 mm.
func sizeOf(r *spec.Radiator) part.RadiatorSize {
	size := part.RadiatorSize{Sections: 1, Section: 0.120, Thickness: r.Thickness.Value}
	for _, edge := range []float64{0.120, 0.140} {
		n := math.Round(r.Size.Value / edge)
		if n >= 1 && math.Abs(r.Size.Value-n*edge) < 1e-3 {
			size.Section, size.Sections = edge, int(n)
			return size
		}
	}
	return size
}

// usualConductance returns what a radiator of its size usually carries at the
// speed of its fans.
func usualConductance(r *spec.Radiator) part.Default {
	size := sizeOf(r)
	one, passive := part.SectionConductance(fanRate(&r.Fans), size.Section), part.SectionPassive()
	one.Value, one.Low, one.High = max(one.Value, passive.Value), max(one.Low, passive.Low), max(one.High, passive.High)
	return times(one, float64(size.Sections), spec.Conductance)
}

// largestConductance returns the largest conductance that is stated, W/K.
func largestConductance(r *spec.Radiator) float64 {
	g := r.Conductance.Value
	for _, p := range r.Points {
		g = max(g, p.Conductance.Value)
	}
	return g
}

// times returns a default times a figure that is known.
func times(d part.Default, by float64, to spec.Dimension) part.Default {
	return part.Default{Value: d.Value * by, Low: d.Low * by, High: d.High * by, Dimension: to, Source: d.Source}
}
