package correlation

// OffsetStripFin describes rectangular offset strip fins by its three ratios.
type OffsetStripFin struct {
	Spacing   float64 // α = s/h, gap between fins over their height
	Thickness float64 // δ = t/l, fin thickness over strip length
	Gap       float64 // γ = t/s, fin thickness over gap
}

// StripHydraulicDiameter returns the hydraulic diameter in m the strip-fin laws are
// written on: gap s, height h, fin thickness t and strip length l in m,
//
//	Dh = 4 s h l/[2(s l + h l + t h) + t s].
//
// Source: R.M. Manglik & A.E. Bergles, Exp. Thermal Fluid Sci. 10:171, 1995.
func StripHydraulicDiameter(s, h, t, l float64) float64 {
	return 4 * s * h * l / (2*(s*l+h*l+t*h) + t*s)
}

// StripRange is the range of the Reynolds number on the hydraulic diameter of
// [ColburnStrip] and [FanningStrip], within which the data lie within 20 %.
func StripRange() Range { return Range{120, 1e4} }

// ColburnStrip returns the Colburn factor of offset strip fins,
//
//	j = 0.6522 Re^-0.5403 α^-0.1541 δ^0.1499 γ^-0.0678
//	    [1 + 5.269e-5 Re^1.340 α^0.504 δ^0.456 γ^-1.055]^0.1.
//
// Outside [StripRange] the formula is continued.
//
// Source: R.M. Manglik & A.E. Bergles, Exp. Thermal Fluid Sci. 10:171, 1995, eq. 34.
func ColburnStrip(s OffsetStripFin, re float64) float64 {
	return NewStripLaws(s).Colburn(re)
}

// FanningStrip returns the Fanning factor of offset strip fins,
//
//	f = 9.6243 Re^-0.7422 α^-0.1856 δ^0.3053 γ^-0.2659
//	    [1 + 7.669e-8 Re^4.429 α^0.920 δ^3.767 γ^0.236]^0.1.
//
// Outside [StripRange] the formula is continued.
//
// Source: R.M. Manglik & A.E. Bergles, Exp. Thermal Fluid Sci. 10:171, 1995, eq. 35.
func FanningStrip(s OffsetStripFin, re float64) float64 {
	f, _ := NewStripLaws(s).Fanning(re)
	return f
}
