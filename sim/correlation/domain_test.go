package correlation_test

import (
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// The package's promise: finite positive arguments never give NaN, within many decades
// around any use.
func TestNeverNaN(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := positive(t, "a", -30, 30), positive(t, "b", -30, 30)
		c, d := positive(t, "c", -30, 30), positive(t, "d", -30, 30)
		duct := correlation.DuctEntry{Aspect: c, Wall: correlation.WallFlux, Acute: a > b, Local: c > d}
		strip := correlation.OffsetStripFin{Spacing: b, Thickness: c, Gap: d}
		shah := correlation.ShahEntry{FanningConstant: b, Excess: c, Shape: d}
		for name, value := range map[string]float64{
			"fin straight":      correlation.FinEfficiencyStraight(a),
			"fin annular":       correlation.FinEfficiencyAnnular(a, 1, 1+b),
			"rectangle f":       correlation.FanningConstantRectangle(a),
			"rectangle H1":      correlation.NusseltRectangleNuH1(a),
			"rectangle T":       correlation.NusseltRectangleNuT(a),
			"triangle f":        correlation.FanningConstantTriangle(a),
			"triangle H1":       correlation.NusseltTriangleNuH1(a),
			"triangle T":        correlation.NusseltTriangleNuT(a),
			"Hausen":            correlation.NusseltHausen(a),
			"Sieder-Tate":       correlation.NusseltSiederTateLaminar(a),
			"Baehr-Stephan":     correlation.NusseltBaehrStephan(a, b),
			"plates Stephan":    correlation.NusseltPlatesStephan(a, b),
			"plates Edwards":    correlation.NusseltPlatesEdwards(a),
			"Muzychka Nu":       correlation.NusseltMuzychka(duct, a, b),
			"Muzychka f":        correlation.FanningApparentMuzychka(a, b),
			"Shah":              correlation.FanningApparentShah(shah, a),
			"louvre j":          correlation.ColburnLouvre(louvredFin(), a),
			"louvre f":          correlation.FanningLouvre(louvredFin(), a),
			"strip j":           correlation.ColburnStrip(strip, a),
			"strip f":           correlation.FanningStrip(strip, a),
			"Kc":                correlation.CoreEntranceLoss(a, b),
			"Ke":                correlation.CoreExitLoss(a, b),
			"Blasius":           correlation.DarcyBlasius(a),
			"Petukhov":          correlation.DarcyPetukhov(a),
			"Haaland":           correlation.DarcyHaaland(a, b),
			"Colebrook":         correlation.DarcyColebrook(a, b),
			"Churchill f":       correlation.DarcyChurchill(a, b),
			"Gnielinski":        correlation.NusseltGnielinski(a, b, c),
			"Gnielinski short":  correlation.NusseltGnielinskiSmooth(a, b),
			"Churchill Nu":      correlation.NusseltChurchill(a, b, c, d),
			"Dittus-Boelter":    correlation.NusseltDittusBoelter(a, b, a > c),
			"Sieder-Tate turb.": correlation.NusseltSiederTate(a, b, c),
			"plate":             correlation.NusseltChurchillChuPlate(a, b),
			"cylinder":          correlation.NusseltChurchillChuCylinder(a, b),
			"plate laminar":     correlation.NusseltChurchillChuLaminar(a, b),
			"radiation":         correlation.RadiationCoefficient(a, b, c),
			"counter passes":    correlation.EffectivenessCounterPasses(a, b, 3),
		} {
			if value != value {
				t.Fatalf("%s of %g, %g, %g, %g is NaN", name, a, b, c, d)
			}
		}
	})
}

// Within the conditions of a cooling loop every factor is also finite and positive.
func TestPositiveInUse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		re, pr := positive(t, "re", -2, 6), positive(t, "pr", -.3, 2.3)
		gz := positive(t, "gz", -3, 5)
		roughness := positive(t, "roughness", -7, -1.3)
		f := correlation.DarcyChurchill(re, roughness)
		duct := correlation.DuctEntry{Aspect: positive(t, "aspect", -2, 0)}
		for name, value := range map[string]float64{
			"Churchill f":   f,
			"Churchill Nu":  correlation.NusseltChurchill(re, pr, f, 3.657),
			"Colebrook":     correlation.DarcyColebrook(re, roughness),
			"Baehr-Stephan": correlation.NusseltBaehrStephan(gz, pr),
			"Stephan":       correlation.NusseltPlatesStephan(gz, pr),
			"Muzychka":      correlation.NusseltMuzychka(duct, 1/gz, pr),
			"apparent":      correlation.FanningApparentMuzychka(duct.Aspect, 1/gz),
			"plate":         correlation.NusseltChurchillChuPlate(re, pr),
		} {
			if !(value > 0) || !finite(value) {
				t.Fatalf("%s = %g at Re %g, Pr %g, Gz %g", name, value, re, pr, gz)
			}
		}
	})
}
