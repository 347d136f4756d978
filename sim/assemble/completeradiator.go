package assemble

import (
	"math"

	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// radiator fills a radiator: by what is stated of its conductance, or by its
// size, thickness and fan speed.
func (c *completer) radiator(at string, l *spec.Loop, p *spec.Part) {
	r := p.Radiator
	c.text(at+"per", &r.Per, "inlet", practice)
	c.number(at+"test_flow", &r.TestFlow, part.RadiatorTestFlow())
	unknown := !r.Conductance.Set && len(r.Points) == 0
	if unknown {
		c.number(at+"size", &r.Size, part.RadiatorLength())
	}
	c.radiatorBody(at, p)
	if unknown || len(r.Points) > 0 {
		c.number(at+"fans.speed", &r.Fans.Speed, part.FanSpeed())
	}
	if unknown {
		c.number(at+"conductance", &r.Conductance, usualConductance(r))
	}
	c.number(at+"film_conductance", &r.FilmConductance, times(part.RadiatorFilm(), largestConductance(r), spec.Conductance))
	if hydraulic(l) {
		c.drop(at, &r.Drop, usualDrop(r))
	}
	if !r.Cells.Set {
		r.Cells = spec.Some(part.RadiatorCells().Value) // a matter of the model, not of the machine
	}
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
	one, passive := part.SectionConductance(r.Fans.Speed.Value, size.Section), part.SectionPassive()
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
