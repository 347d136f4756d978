package part

import (
	"fmt"
	"slices"
	"strings"
)

// Sources of material figures.
const (
	en12524    = "EN 12524:2000 (now ISO 10456)"
	incroperaA = "Bergman et al. 2011, Table A.1 (from memory, not checked against the source)"
)

// Material is what a part is made of. Figures hold near 300 K.
type Material struct {
	Name         string
	Density      float64 // kg/m3
	SpecificHeat float64 // J/(kg K)
	Conductivity float64 // W/(m K)
	Emissivity   float64 // of the surface a part usually shows, 0..1; from memory, not checked against a source
	Source       string  // of density, specific heat and conductivity
}

// VolumetricCapacity returns the heat capacity of a volume, J/(m3 K).
func (m Material) VolumetricCapacity() float64 { return m.Density * m.SpecificHeat }

// Capacity returns the heat capacity of a mass (kg) of the material, J/K.
func (m Material) Capacity(mass float64) float64 { return mass * m.SpecificHeat }

// Copper is copper, dull from handling.
func Copper() Material { return Material{"copper", 8900, 380, 380, 0.30, en12524} }

// Brass is brass, dull.
func Brass() Material { return Material{"brass", 8400, 380, 120, 0.20, en12524} }

// Aluminium is an aluminium alloy, anodised.
func Aluminium() Material { return Material{"aluminium", 2800, 880, 160, 0.80, en12524} }

// Steel is steel, painted.
func Steel() Material { return Material{"steel", 7800, 450, 50, 0.90, en12524} }

// StainlessSteel is stainless steel, bright.
func StainlessSteel() Material { return Material{"stainless steel", 7900, 460, 17, 0.20, en12524} }

// NickelPlatedCopper is copper under a layer of nickel too thin to count for
// anything but the look of its surface.
func NickelPlatedCopper() Material {
	m := Copper()
	m.Name, m.Emissivity = "nickel-plated copper", 0.06
	return m
}

// Acrylic is PMMA.
func Acrylic() Material { return Material{"acrylic", 1180, 1500, 0.18, 0.90, en12524} }

// Acetal is POM. The standard prints its figures as "polyacetate".
func Acetal() Material { return Material{"acetal", 1410, 1400, 0.30, 0.90, en12524} }

// SoftPVC is polyvinyl chloride with 40 % softener.
func SoftPVC() Material { return Material{"soft pvc", 1200, 1000, 0.14, 0.90, en12524} }

// EPDM is ethylene-propylene rubber.
func EPDM() Material { return Material{"epdm", 1150, 1000, 0.25, 0.90, en12524} }

// Glass is soda-lime glass.
func Glass() Material { return Material{"glass", 2500, 750, 1.0, 0.90, en12524} }

// Silicon is the die.
func Silicon() Material { return Material{"silicon", 2330, 712, 148, 0.60, incroperaA} }

// materials is what Materials returns.
var materials = []Material{
	Copper(), Brass(), Aluminium(), Steel(), StainlessSteel(), NickelPlatedCopper(),
	Acrylic(), Acetal(), SoftPVC(), EPDM(), Glass(), Silicon(),
}

// Materials returns all materials in the order in which messages list them.
func Materials() []Material { return slices.Clone(materials) }

// otherWord turns the trade's other words into the names of [Materials].
func otherWord(word string) string {
	w := strings.ToLower(strings.Join(strings.Fields(word), " "))
	switch w {
	case "aluminum":
		return "aluminium"
	case "stainless":
		return "stainless steel"
	case "nickel", "nickel plated copper", "plated copper":
		return "nickel-plated copper"
	case "pmma":
		return "acrylic"
	case "pom":
		return "acetal"
	case "pvc", "pvc soft", "vinyl":
		return "soft pvc"
	case "rubber":
		return "epdm"
	}
	return w
}

// MaterialNamed returns the material of the trade's word for it: copper,
// PMMA, POM and so on, in any case. The error lists the words.
func MaterialNamed(word string) (Material, error) {
	m, err := named("material", otherWord(word), materials, func(m Material) string { return m.Name })
	if err != nil {
		return Material{}, unknownWord("material", word, materialWords())
	}
	return m, nil
}

func materialWords() []string {
	var words []string
	for _, m := range materials {
		words = append(words, m.Name)
	}
	return words
}

// MixedMetals reports whether the materials of one loop's wetted parts pair
// aluminium with copper, brass or nickel: joined by one coolant the aluminium
// is the anode and corrodes, and dissolved copper pits it (common practice, no
// source). It returns the second metal of the pair. An unknown word is an
// error.
func MixedMetals(words ...string) (with string, mixed bool, err error) {
	aluminium := false
	for _, w := range words {
		m, err := MaterialNamed(w)
		if err != nil {
			return "", false, fmt.Errorf("looking for mixed metals: %w", err)
		}
		switch m.Name {
		case "aluminium":
			aluminium = true
		case "copper", "brass", "nickel-plated copper":
			if with == "" {
				with = m.Name
			}
		}
	}
	if !aluminium || with == "" {
		return "", false, nil
	}
	return with, true, nil
}
