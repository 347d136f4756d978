package part_test

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim/part"
)

// Volumetric heat capacities in MJ/(m3 K): plastics computed independently from
// EN 12524:2000; copper, brass and aluminium computed from Bergman et al. 2011,
// Table A.1 (from memory, not checked against the source), which the standard's
// rounded figures meet within 2 %.
func TestMaterialCapacities(t *testing.T) {
	for _, c := range []struct {
		m         part.Material
		want, tol float64
	}{
		{part.Acetal(), 1.974, 5e-4}, {part.Acrylic(), 1.770, 5e-4}, {part.EPDM(), 1.150, 5e-4},
		{part.Copper(), 3.439, 0.02}, {part.Brass(), 3.241, 0.02}, {part.Aluminium(), 2.440, 0.02},
	} {
		near(t, c.m.Name, c.m.VolumetricCapacity()/1e6, c.want, c.tol)
	}
}

// EN 12524:2000 and, for silicon, Bergman et al. 2011, Table A.1 (from memory,
// not checked against the source): density, specific heat, conductivity.
func TestMaterialTable(t *testing.T) {
	for word, want := range map[string][3]float64{
		"copper": {8900, 380, 380}, "brass": {8400, 380, 120}, "aluminium": {2800, 880, 160}, "steel": {7800, 450, 50},
		"stainless steel": {7900, 460, 17}, "nickel-plated copper": {8900, 380, 380}, "acrylic": {1180, 1500, .18},
		"acetal": {1410, 1400, .3}, "soft PVC": {1200, 1000, .14}, "EPDM": {1150, 1000, .25}, "glass": {2500, 750, 1},
		"silicon": {2330, 712, 148},
	} {
		m, err := part.MaterialNamed(word)
		if err != nil {
			t.Error(err)
			continue
		}
		if got := [3]float64{m.Density, m.SpecificHeat, m.Conductivity}; got != want {
			t.Errorf("%s: %v, want %v", word, got, want)
		}
		inside(t, word+" emissivity", m.Emissivity, 0.01, 0.99)
		if m.Source == "" {
			t.Errorf("%s names no source", word)
		}
	}
	near(t, "capacity of 0.2 kg of copper", part.Copper().Capacity(0.2), 76, 1e-12)
}

func TestMaterialWords(t *testing.T) {
	for word, want := range map[string]string{
		"Aluminum": "aluminium", "  POM ": "acetal", "PMMA": "acrylic", "pvc  soft": "soft pvc", "Stainless": "stainless steel",
		"nickel": "nickel-plated copper", "plated copper": "nickel-plated copper", "vinyl": "soft pvc", "rubber": "epdm",
	} {
		if m, err := part.MaterialNamed(word); err != nil || m.Name != want {
			t.Errorf("%q: got %q, %v", word, m.Name, err)
		}
	}
	_, err := part.MaterialNamed("coper")
	if err == nil {
		t.Fatal("coper is a material")
	}
	for _, m := range part.Materials() {
		if !strings.Contains(err.Error(), m.Name) {
			t.Errorf("%q does not list %s", err, m.Name)
		}
	}
	if !strings.Contains(err.Error(), `"copper" may be meant`) {
		t.Errorf("%q does not guess copper", err)
	}
}

func TestMixedMetals(t *testing.T) {
	for _, c := range []struct {
		words []string
		with  string
		mixed bool
	}{
		{[]string{"aluminum", "copper"}, "copper", true},
		{[]string{"brass", "acetal", "aluminium"}, "brass", true},
		{[]string{"nickel", "aluminium"}, "nickel-plated copper", true},
		{[]string{"copper", "brass", "nickel"}, "", false},
		{[]string{"aluminium", "POM", "stainless steel", "EPDM"}, "", false},
		{nil, "", false},
	} {
		with, mixed, err := part.MixedMetals(c.words...)
		if err != nil || with != c.with || mixed != c.mixed {
			t.Errorf("%v: %q, %v, %v", c.words, with, mixed, err)
		}
	}
	if _, _, err := part.MixedMetals("copper", "unobtainium"); err == nil || !strings.Contains(err.Error(), "unobtainium") {
		t.Errorf("an unknown metal gives %v", err)
	}
}

// The order of the trade's materials by conductivity is common practice, no source.
func TestMaterialOrder(t *testing.T) {
	last := math.Inf(1)
	for _, m := range []part.Material{part.Copper(), part.Aluminium(), part.Brass(), part.Steel(), part.StainlessSteel(), part.Glass(), part.EPDM(), part.SoftPVC()} {
		if !(m.Conductivity < last) {
			t.Errorf("%s conducts %g W/(m K), no less than the one before", m.Name, m.Conductivity)
		}
		last = m.Conductivity
	}
}
