package correlation

import "math"

// Friction in round pipes: Darcy factors. Roughness is relative, height over diameter,
// 0 (smooth) to 0.05.

// Turbulent laws are singular at small Reynolds numbers; they are held at this one.
const leastTurbulentRe = 100

// mostRoughness keeps the turbulent laws away from a logarithm of one.
const mostRoughness = 0.5

func turbulentRange(re, roughness float64) (float64, float64) {
	return math.Max(leastTurbulentRe, re), math.Max(0, math.Min(roughness, mostRoughness))
}

// DarcyLaminar returns 64/Re, the factor of laminar flow, valid below Re of about 2300.
func DarcyLaminar(re float64) float64 { return 64 / re }

// DarcyBlasius returns 0.3164 Re^{-1/4}, smooth pipes, 4e3 < Re < 1e5. The formula is
// continued outside.
//
// Source: H. Blasius, VDI Forschungsheft 131, 1913 (from memory, not checked against the
// source).
func DarcyBlasius(re float64) float64 { return 0.3164 / math.Sqrt(math.Sqrt(re)) }

// DarcyPetukhov returns (0.79 ln Re - 1.64)^-2, smooth pipes, 3e3 < Re < 5e6. Below
// Re = 100 the value for 100 is returned; above the range the formula is continued.
//
// Source: B.S. Petukhov, Advances in Heat Transfer 6:503, 1970 (from memory, not checked
// against the source).
func DarcyPetukhov(re float64) float64 {
	re, _ = turbulentRange(re, 0)
	root := 0.79*math.Log(re) - 1.64
	return 1 / (root * root)
}

// DarcyHaaland returns the turbulent factor, 4e3 < Re < 1e8,
//
//	1/√f = -1.8 log10[(e/3.7)^1.11 + 6.9/Re].
//
// Below Re = 100 the value for 100 is returned, above a roughness of 0.5 that for 0.5.
//
// Source: S.E. Haaland, J. Fluids Eng. 105:89, 1983 (from memory, not checked against the
// source).
func DarcyHaaland(re, roughness float64) float64 {
	re, roughness = turbulentRange(re, roughness)
	root := -1.8 * math.Log10(math.Pow(roughness/3.7, 1.11)+6.9/re)
	return 1 / (root * root)
}

// DarcyColebrook returns the turbulent factor, 4e3 < Re < 1e8, as the solution of
//
//	1/√f = -2 log10[e/3.7 + 2.51/(Re √f)]
//
// to full precision. Limits as in [DarcyHaaland].
//
// Source: C.F. Colebrook, J. Inst. Civil Engineers 11:133, 1939 (from memory, not checked
// against the source).
func DarcyColebrook(re, roughness float64) float64 {
	const perDecade = 2 / math.Ln10
	re, roughness = turbulentRange(re, roughness)
	a, b := roughness/3.7, 2.51/re
	x := 1 / math.Sqrt(DarcyHaaland(re, roughness))
	// Newton's method on x = 1/√f; the start is within a few per cent and the residual
	// is concave and rising, so four steps reach the rounding error.
	for range 5 {
		inside := a + b*x
		x -= (x + perDecade*math.Log(inside)) / (1 + perDecade*b/inside)
	}
	return 1 / (x * x)
}

// DarcyChurchill returns the factor of laminar, transitional and turbulent flow as one
// smooth function,
//
//	f = 8 [(8/Re)^12 + (A + B)^-1.5]^{1/12},
//	A = {2.457 ln[1/((7/Re)^0.9 + 0.27 e)]}^16,  B = (37530/Re)^16.
//
// Valid for every Re > 0. At Re = 0 it is infinite; see [DarcyReynoldsChurchill].
//
// Source: S.W. Churchill, Chemical Engineering 84(24):91, 1977.
func DarcyChurchill(re, roughness float64) float64 {
	return DarcyReynoldsChurchill(re, roughness) / re
}

// DarcyReynoldsChurchill returns f Re with f of [DarcyChurchill]. It is 64 in laminar
// flow and at Re = 0, so that a pressure drop f Re μ v L/(2 D²) is smooth through rest.
func DarcyReynoldsChurchill(re, roughness float64) float64 {
	fRe, _ := DarcyReynoldsChurchillSlope(re, roughness)
	return fRe
}

// DarcyReynoldsChurchillSlope returns f Re as [DarcyReynoldsChurchill] does, and its
// derivative with respect to Re.
func DarcyReynoldsChurchillSlope(re, roughness float64) (fRe, slope float64) {
	const laminar = 64
	if re < 100 { // the turbulent share is below 1e-40 of it
		return laminar, 0
	}
	smooth := math.Pow(7/re, 0.9)
	inside := smooth + 0.27*roughness
	root := 2.457 * math.Log(inside)
	root15 := power15(root)
	inverse := 37530 / re
	a, b := root15*root, power15(inverse)*inverse
	turbulent := 8 * re / math.Sqrt(math.Sqrt(math.Sqrt(a+b)))

	large, small := math.Max(laminar, turbulent), math.Min(laminar, turbulent)
	ratio := power12(small / large)
	fRe = large * math.Cbrt(math.Sqrt(math.Sqrt(1+ratio)))
	// ln A falls by 16 × 2.457/root × (dw/w) with w = inside; kept free of 1/root.
	dA := 16 * 2.457 * root15 * -0.9 * smooth / inside
	growth := 1 - (dA-16*b)/(8*(a+b)) // d ln T/d ln Re of T = 8 Re/(A+B)^(1/8)
	share := turbulent / fRe
	return fRe, power12(share) / share * turbulent / re * growth
}

func power12(x float64) float64 {
	x *= x * x // ^3
	x *= x
	return x * x
}

func power15(x float64) float64 {
	x *= x * x // ^3
	square := x * x
	return square * square * x
}
