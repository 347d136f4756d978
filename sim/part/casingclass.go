package part

import "soakledger/sim/spec"

// discharge is the share of an opening's area that the air stream through it
// fills: of a sharp edge, common practice, no source.
const discharge = 0.6

// Vent returns the loss of an opening (m2, above zero) with a sharp edge: flow
// is 0.6 A √(2Δp/ρ), its loss coefficient so 1/0.6² on the open area.
func Vent(area float64) AirLoss { return AirLoss{K: 1 / (discharge * discharge), Area: area} }

// VentArea is the open area of a case beside its fans: perforated covers,
// slots, gaps.
func VentArea() Default { return Default{0.015, 0.003, 0.05, spec.Area, practice} }

// AirLossClass is what is usual for the loss of a grille or filter, on the area
// of the face that it covers.
type AirLossClass struct {
	Name string
	Loss Default // loss coefficient K
}

// GrilleClasses returns what may stand before a fan's opening: nothing, a mesh
// that is open to some 65 %, a punched sheet that is open to some 45 %.
func GrilleClasses() []AirLossClass {
	return []AirLossClass{
		{"none", Default{0, 0, 0, spec.Factor, practice}},
		{"open mesh", Default{1, 0.5, 2, spec.Factor, practice}},
		{"punched sheet", Default{5, 2.5, 10, spec.Factor, practice}},
	}
}

// FilterClasses returns dust filters, clean: none, a coarse mesh, a fine one.
func FilterClasses() []AirLossClass {
	return []AirLossClass{
		{"none", Default{0, 0, 0, spec.Factor, practice}},
		{"coarse", Default{4, 2, 8, spec.Factor, practice}},
		{"fine", Default{12, 6, 25, spec.Factor, practice}},
	}
}

// GrilleLoss returns the loss coefficient of the grille called kind. The error
// lists the words.
func GrilleLoss(kind string) (Default, error) {
	c, err := named("grille", kind, GrilleClasses(), func(c AirLossClass) string { return c.Name })
	return c.Loss, err
}

// FilterLoss returns the loss coefficient of the filter called kind. The error
// lists the words.
func FilterLoss(kind string) (Default, error) {
	c, err := named("filter", kind, FilterClasses(), func(c AirLossClass) string { return c.Name })
	return c.Loss, err
}
