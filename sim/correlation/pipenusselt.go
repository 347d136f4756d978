package correlation

import "math"

// Nusselt numbers of round pipes, fully developed unless an entry is named. Factors f
// are Darcy.

// GnielinskiRange is the range of the Reynolds number of [NusseltGnielinski]; Pr lies
// within 0.5 to 2000.
func GnielinskiRange() Range { return Range{3000, 5e6} }

// NusseltGnielinski returns the Nusselt number of turbulent pipe flow,
//
//	Nu = (f/8)(Re - 1000) Pr/[1 + 12.7 √(f/8) (Pr^{2/3} - 1)].
//
// Below Re = 1000 it is 0; a Pr below 0.5 is taken as 0.5 in the denominator, which
// would otherwise vanish.
//
// Source: V. Gnielinski, Int. Chem. Eng. 16:359, 1976 (from memory, not checked against
// the source).
func NusseltGnielinski(re, pr, f float64) float64 {
	film := math.Max(pr, 0.5)
	// With Pr = 0.5 the bracket falls to zero at f = 0.36, beyond any pipe.
	den := math.Max(0.1, 1+12.7*math.Sqrt(f/8)*(math.Cbrt(film*film)-1))
	return f / 8 * math.Max(0, re-1000) * pr / den
}

// GnielinskiEntry returns the factor 1 + (D/L)^{2/3} by which the mean Nusselt number of
// a short pipe exceeds that of a long one (Gnielinski 1976; from memory, not checked
// against the source).
func GnielinskiEntry(diameter, length float64) float64 {
	ratio := math.Cbrt(diameter / length)
	return 1 + ratio*ratio
}

// GnielinskiProperty returns the factor (Pr/Prw)^0.11 for a liquid whose wall is at
// another temperature (Gnielinski 1976; from memory, not checked against the source).
func GnielinskiProperty(pr, prWall float64) float64 {
	return math.Pow(pr/prWall, 0.11)
}

// TransitionRange is the range of the Reynolds number over which
// [NusseltGnielinskiTransition] interpolates.
func TransitionRange() Range { return Range{2300, 4000} }

// NusseltGnielinskiTransition returns the Nusselt number between laminar and turbulent
// flow from the laminar value at Re = 2300 and the turbulent value at Re = 4000,
//
//	Nu = (1-g) Nu_lam(2300) + g Nu_turb(4000),  g = (Re - 2300)/1700.
//
// Outside [TransitionRange] it returns the value at the nearer end. The value is
// continuous with both laws; the slope jumps at both ends. [NusseltChurchill] is smooth.
//
// Source: V. Gnielinski, Int. J. Heat Mass Transfer 63:134, 2013 (from memory, not
// checked against the source).
func NusseltGnielinskiTransition(re, laminar2300, turbulent4000 float64) float64 {
	g := math.Max(0, math.Min((re-2300)/1700, 1))
	return (1-g)*laminar2300 + g*turbulent4000
}

// NusseltChurchill returns the Nusselt number of laminar, transitional and turbulent pipe
// flow as one smooth function of Re,
//
//	Nu^10 = Nl^10 + [e^{(2200-Re)/365}/Nl² + Nt^-2]^-5,
//	Nt = 4.8 + 0.079 Re √(f/8) Pr/(1 + Pr^0.8)^{5/6},
//
// with f of [DarcyChurchill] and the laminar value Nl: 3.657 for a wall of one
// temperature in a long pipe. Re >= 0.
//
// Source: S.W. Churchill, Ind. Eng. Chem. Fundam. 16:109, 1977 (from memory, not checked
// against the source).
func NusseltChurchill(re, pr, f, laminar float64) float64 {
	shape := math.Pow(1+math.Pow(pr, 0.8), 5.0/6)
	turbulent := 4.8 + 0.079*re*math.Sqrt(f/8)*pr/shape
	ratio := laminar / turbulent
	transition := laminar / math.Sqrt(math.Exp((2200-re)/365)+ratio*ratio)
	return blend(laminar, transition, 10)
}

// NusseltDittusBoelter returns 0.023 Re^0.8 Pr^n, n = 0.4 where the fluid is heated and
// 0.3 where it is cooled; Re > 1e4, 0.7 < Pr < 160. The formula is continued outside.
//
// Source: F.W. Dittus & L.M.K. Boelter, 1930, in the form of W.H. McAdams, Heat
// Transmission, 2nd ed. 1942.
func NusseltDittusBoelter(re, pr float64, heated bool) float64 {
	exponent := 0.3
	if heated {
		exponent = 0.4
	}
	return 0.023 * math.Pow(re, 0.8) * math.Pow(pr, exponent)
}

// NusseltSiederTate returns 0.027 Re^0.8 Pr^{1/3} (μ/μw)^0.14 of turbulent flow with the
// ratio of the viscosity of the stream to that at the wall; Re > 1e4, 0.7 < Pr < 16700.
//
// Source: E.N. Sieder & G.E. Tate, Ind. Eng. Chem. 28:1429, 1936 (from memory, not checked
// against the source).
func NusseltSiederTate(re, pr, viscosityRatio float64) float64 {
	return 0.027 * math.Pow(re, 0.8) * math.Cbrt(pr) * math.Pow(viscosityRatio, 0.14)
}

// NusseltGnielinskiSmooth returns Gnielinski's shorter forms for smooth pipes, continuous
// in Re but not at Pr = 1.5,
//
//	Nu = 0.0214 (Re^0.8 - 100) Pr^0.4  for 0.5 < Pr <= 1.5, 1e4 < Re < 5e6,
//	Nu = 0.012 (Re^0.87 - 280) Pr^0.4  for 1.5 < Pr < 500, 3e3 < Re < 1e6.
//
// Where the bracket is negative (Re below about 650) the result is 0.
//
// Source: V. Gnielinski, Int. Chem. Eng. 16:359, 1976.
func NusseltGnielinskiSmooth(re, pr float64) float64 {
	if pr <= 1.5 {
		return 0.0214 * math.Max(0, math.Pow(re, 0.8)-100) * math.Pow(pr, 0.4)
	}
	return 0.012 * math.Max(0, math.Pow(re, 0.87)-280) * math.Pow(pr, 0.4)
}
