package assemble

import (
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// What is derived from stated figures is neither assumed nor written into the
// completed scenario beside them: it would state the same thing twice.

// weighed reports whether a part was weighed empty and full.
func weighed(p *spec.Part) bool { return p.Empty.Set && p.Full.Set }

// volumeOf returns the coolant in a part (m3): as measured, as weighed, or
// otherwise.
func (b *assembler) volumeOf(p *spec.Part, otherwise float64) float64 {
	if !weighed(p) {
		return p.Holds.Or(otherwise)
	}
	volume, _, err := part.Weights(p.Empty.Value, p.Full.Value, b.density)
	if err != nil {
		b.problems.add(p.Name+".full", "%s", plain(err))
	}
	return volume
}

// massOf returns the mass of a part without coolant (kg): as weighed, or
// otherwise.
func massOf(p *spec.Part, otherwise float64) float64 {
	if weighed(p) {
		return p.Empty.Value
	}
	return otherwise
}

// plateCapacity returns the heat capacity of a block's plate, J/K.
func plateCapacity(b *spec.Block) float64 {
	if b.PlateMass.Set {
		return capacityOf(b.Material, b.PlateMass.Value)
	}
	return b.PlateCapacity.Value
}

// copperAndBrass is what most radiators are made of, about half and half, and
// both of the same specific heat.
const copperAndBrass = "copper and brass"

// capacityOf returns the heat capacity (J/K) of a mass (kg) of a material. A
// word that is none counts as copper: it was refused before.
func capacityOf(material string, mass float64) float64 {
	if material == copperAndBrass {
		return part.Copper().Capacity(mass)
	}
	m, err := part.MaterialNamed(material)
	if err != nil {
		m = part.Copper()
	}
	return m.Capacity(mass)
}
