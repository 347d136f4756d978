package correlation

import "math"

// FinParameter returns m = sqrt(2 h/(k δ)) in 1/m of a thin fin wetted on both
// faces: film coefficient in W/(m² K), conductivity of the fin in W/(m K),
// thickness in m (Bergman et al. 2011, section 3.6).
func FinParameter(film, conductivity, thickness float64) float64 {
	return math.Sqrt(2 * film / (conductivity * thickness))
}

// FinEfficiencyStraight returns the efficiency tanh(mL)/(mL) of a straight fin of
// constant thickness with an adiabatic tip; ml is the fin parameter times the fin
// length. For a corrugated fin between two tubes the length is half a leg, since
// the middle of the leg is a plane of symmetry. The result is 1 at ml = 0.
//
// Source: Bergman et al. 2011, eq. 3.89 (number from memory, not checked against
// the source).
func FinEfficiencyStraight(ml float64) float64 {
	if ml == 0 {
		return 1
	}
	return math.Tanh(ml) / ml
}

// SurfaceEfficiency returns the overall efficiency 1 - (Af/A)(1 - ηf) of a finned
// surface, of which the share Af/A (0..1) is fin of efficiency ηf (Bergman et al. 2011,
// eq. 3.102; number from memory, not checked against the source).
func SurfaceEfficiency(finEfficiency, finShare float64) float64 {
	return 1 - finShare*(1-finEfficiency)
}

// FinEfficiencyAnnular returns the efficiency of an annular fin of constant
// thickness with an adiabatic tip: m from [FinParameter] in 1/m, inner and outer
// radius in m, outer > inner. A fin without length has efficiency 1.
//
//	η = 2a/[m(b²-a²)] [K1(ma) I1(mb) - I1(ma) K1(mb)]/[K0(ma) I1(mb) + I0(ma) K1(mb)]
//
// Source: D.Q. Kern & A.D. Kraus, Extended Surface Heat Transfer, 1972.
func FinEfficiencyAnnular(m, inner, outer float64) float64 {
	length := outer - inner
	if m*length < 1e-8 {
		return 1
	}
	ma, mb := m*inner, m*outer
	// Every product is scaled by e^{-m(b-a)}, which cancels in the quotient.
	fade := math.Exp(-2 * m * length)
	num := besselK(1, ma)*besselI(1, mb) - fade*besselI(1, ma)*besselK(1, mb)
	den := besselK(0, ma)*besselI(1, mb) + fade*besselI(0, ma)*besselK(1, mb)
	return math.Min(1, 2*inner/(m*length*(outer+inner))*num/den)
}
