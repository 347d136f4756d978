package correlation

import "math"

// Developing laminar flow. The mean Nusselt numbers are on the hydraulic diameter
// and take the Graetz number of the whole duct, see [Graetz]. All fall to the fully
// developed value as the duct grows long and grow without limit as it grows short.

// NusseltHausen returns the mean Nusselt number of a circular tube at one wall
// temperature with a developed velocity profile,
//
//	Nu = 3.66 + 0.0668 Gz/(1 + 0.04 Gz^{2/3}).
//
// Source: H. Hausen, Z. VDI Beih. Verfahrenstechnik 4:91, 1943.
func NusseltHausen(gz float64) float64 {
	return 3.66 + 0.0668*gz/(1+0.04*math.Pow(gz, 2.0/3))
}

// NusseltSiederTateLaminar returns the mean Nusselt number of the entry of a circular
// tube at one wall temperature, without the viscosity factor (μ/μw)^0.14,
//
//	Nu = 1.86 Gz^{1/3}.
//
// It falls to zero in long tubes: use it only where the result is above 3.66.
//
// Source: E.N. Sieder & G.E. Tate, Ind. Eng. Chem. 28:1429, 1936.
func NusseltSiederTateLaminar(gz float64) float64 {
	return 1.86 * math.Cbrt(gz)
}

// NusseltBaehrStephan returns the mean Nusselt number of a circular tube at one wall
// temperature with velocity and temperature developing together, Pr > 0.1,
//
//	Nu = {3.657/tanh(2.264 Gz^{-1/3} + 1.7 Gz^{-2/3}) + 0.0499 Gz tanh(1/Gz)}
//	     / tanh(2.432 Pr^{1/6} Gz^{-1/6}).
//
// Source: H.D. Baehr & K. Stephan, Heat and Mass Transfer, 1998.
func NusseltBaehrStephan(gz, pr float64) float64 {
	third := 1 / math.Cbrt(gz)
	thermal := 3.657/math.Tanh(third*(2.264+1.7*third)) + 0.0499*gz*math.Tanh(1/gz)
	return thermal / math.Tanh(2.432*math.Pow(pr, 1.0/6)*math.Sqrt(third))
}

// NusseltPlatesStephan returns the mean Nusselt number between parallel plates of one
// temperature with velocity and temperature developing together, 0.1 < Pr < 1000;
// with X = 1/Gz,
//
//	Nu = 7.55 + 0.024 X^{-1.14}/(1 + 0.0358 Pr^{0.17} X^{-0.64}).
//
// Source: K. Stephan, Chem.-Ing.-Tech. 31:773, 1959 (from memory, not checked against
// the source).
func NusseltPlatesStephan(gz, pr float64) float64 {
	return 7.55 + 0.024*math.Pow(gz, 1.14)/(1+0.0358*math.Pow(pr, 0.17)*math.Pow(gz, 0.64))
}

// NusseltPlatesEdwards returns the mean Nusselt number between parallel plates of one
// temperature with a developed velocity profile, Re < 2800,
//
//	Nu = 7.54 + 0.03 Gz/(1 + 0.016 Gz^{2/3}).
//
// Source: D.K. Edwards, V.E. Denny & A.F. Mills, Transfer Processes, 2nd ed. 1979
// (from memory, not checked against the source).
func NusseltPlatesEdwards(gz float64) float64 {
	return 7.54 + 0.03*gz/(1+0.016*math.Pow(gz, 2.0/3))
}

// Wall is the thermal condition of a duct's wall.
type Wall int

// The two conditions of a wall.
const (
	WallTemperature Wall = iota // the wall has one temperature
	WallFlux                    // the heat flux is uniform
)

// DuctEntry is the case a Nusselt number of Muzychka & Yovanovich is wanted for.
type DuctEntry struct {
	Aspect float64 // ratio of the short to the long side, 0 < Aspect <= 1
	Wall   Wall
	Acute  bool // the section has acute corners, as a triangle has
	Local  bool // the local value at the end of the length, not the mean over it
}

// FanningConstantMuzychka returns the Fanning constant f Re of any duct on the length
// scale sqrt(A), A the flow area,
//
//	f Re = 12 / {sqrt(a)(1+a)[1 - 192 a/π⁵ tanh(π/2a)]},
//
// with the ratio of sides a of the rectangle that encloses the section. It grows
// without limit as a falls to 0.
//
// Source: Y.S. Muzychka & M.M. Yovanovich, J. Heat Transfer 126:54, 2004 (from memory,
// not checked against the source).
func FanningConstantMuzychka(aspect float64) float64 {
	a := aspectRatio(aspect)
	pi5 := math.Pow(math.Pi, 5)
	return 12 / (math.Sqrt(a) * (1 + a) * (1 - 192*a/pi5*math.Tanh(math.Pi/(2*a))))
}

// NusseltMuzychka returns the Nusselt number on sqrt(A) of laminar flow in a duct of
// any section, velocity and temperature developing together, stated to be within
// 15 %. With zStar = (L/√A)/(Re_√A Pr) and f Re of [FanningConstantMuzychka],
//
//	Nu = {[C4 F/√z*]^m + ([C2 C3 (f Re/z*)^{1/3}]⁵ + [C1 f Re/(8 √π a^γ)]⁵)^{m/5}}^{1/m},
//	m = 2.27 + 1.65 Pr^{1/3},  F = Fo/[1 + (Fp Pr^{1/6})^{9/2}]^{2/9},
//
// C1 = 3.24, C3 = 0.409, Fo = 0.564, Fp = 1.664 for a wall of one temperature; 3.86,
// 0.501, 0.886, 1.909 for uniform flux; C2 = 1.5, C4 = 2 for the mean and 1, 1 for the
// local value; γ = 1/10, or -3/10 with acute corners. Valid for Pr > 0.1 and laminar
// flow.
//
// Source: Y.S. Muzychka & M.M. Yovanovich, J. Heat Transfer 126:54, 2004 (from memory,
// not checked against the source).
func NusseltMuzychka(d DuctEntry, zStar, pr float64) float64 {
	return NewMuzychkaDuct(d).Nusselt(zStar, pr)
}

// blend returns (a^m + b^m)^{1/m} for positive a and b without overflow.
func blend(a, b, m float64) float64 {
	large, small := math.Max(a, b), math.Min(a, b)
	return large * math.Pow(1+math.Pow(small/large, m), 1/m)
}

// FanningApparentMuzychka returns the apparent Fanning factor times Re, on sqrt(A), of
// the entry of a duct of any section, entrance pressure drop included,
//
//	f_app Re = sqrt(f Re² + 3.44²/z⁺),  zPlus = (L/√A)/Re_√A.
//
// Source: Y.S. Muzychka & M.M. Yovanovich, J. Heat Transfer 126:54, 2004 (from memory,
// not checked against the source).
func FanningApparentMuzychka(aspect, zPlus float64) float64 {
	return MuzychkaDuct{fanning: FanningConstantMuzychka(aspect)}.FanningApparent(zPlus)
}

// ShahEntry holds the three constants of Shah's entry law for one section.
type ShahEntry struct {
	FanningConstant float64 // f Re of developed flow
	Excess          float64 // K, the incremental pressure drop number of a long duct
	Shape           float64 // C
}

// Constants of [FanningApparentShah], R.K. Shah 1978 (from memory, not checked against
// the source).

// ShahPlates returns the constants of parallel plates.
func ShahPlates() ShahEntry { return ShahEntry{FanningConstantPlates, 0.674, 2.9e-5} }

// ShahCircle returns the constants of a circular tube.
func ShahCircle() ShahEntry { return ShahEntry{FanningConstantCircle, 1.25, 2.12e-4} }

// ShahRectangle5 returns the constants of a rectangular duct five times as wide as
// high.
func ShahRectangle5() ShahEntry { return ShahEntry{19.071, 0.931, 7.6e-5} }

// FanningApparentShah returns the apparent Fanning factor times Re, on the hydraulic
// diameter, of the laminar entry of a duct, with xPlus = L/(Dh Re),
//
//	f_app Re = 3.44/√x⁺ + [K/(4x⁺) + f Re - 3.44/√x⁺]/(1 + C/x⁺²).
//
// Source: R.K. Shah, J. Fluids Eng. 100:177, 1978 (from memory, not checked against
// the source).
func FanningApparentShah(s ShahEntry, xPlus float64) float64 {
	entry := 3.44 / math.Sqrt(xPlus)
	// The quotient by x⁺² is written as a product, which stays finite at both ends.
	settled := xPlus * xPlus / (xPlus*xPlus + s.Shape)
	return entry + (s.Excess/(4*xPlus)+s.FanningConstant-entry)*settled
}
