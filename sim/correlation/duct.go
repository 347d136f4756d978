package correlation

import "math"

// Fully developed laminar flow in ducts of constant section: Fanning constants
// f Re and Nusselt numbers on the hydraulic diameter.
//
// NuT is for a wall of one temperature, NuH1 for a heat flux constant along the
// duct with one wall temperature around it. Unless a line says otherwise the source
// is R.K. Shah & A.L. London, Laminar Flow Forced Convection in Ducts, 1978 (values
// from memory, not checked against the source).
const (
	FanningConstantCircle = 16.0
	NusseltCircleNuT      = 3.657
	NusseltCircleNuH1     = 48.0 / 11
	FanningConstantPlates = 24.0
	NusseltPlatesNuT      = 7.541
	NusseltPlatesNuH1     = 8.235
)

// aspectRatio brings a ratio of sides into 0..1: a duct twice as wide as high is
// the duct twice as high as wide.
func aspectRatio(aspect float64) float64 {
	if aspect > 1 {
		return 1 / aspect
	}
	return math.Max(0, aspect)
}

// FanningConstantRectangle returns f Re of a rectangular duct with the given ratio of
// sides (0: parallel plates; a ratio above 1 means its inverse). The polynomial is
// within 0.07 % of the exact series. Its slope is not zero at a ratio of 1, so the
// value has a kink there.
//
// Source: Shah & London 1978 (coefficients from memory, not checked against the
// source; they agree with the exact series).
func FanningConstantRectangle(aspect float64) float64 {
	a := aspectRatio(aspect)
	return FanningConstantPlates *
		(1 - a*(1.3553-a*(1.9467-a*(1.7012-a*(0.9564-a*0.2537)))))
}

// NusseltRectangleNuH1 returns NuH1 of a rectangular duct; ratio of sides as in
// [FanningConstantRectangle].
//
// Source: Shah & London 1978.
func NusseltRectangleNuH1(aspect float64) float64 {
	a := aspectRatio(aspect)
	return NusseltPlatesNuH1 *
		(1 - a*(2.0421-a*(3.0853-a*(2.4765-a*(1.0578-a*0.1861)))))
}

// NusseltRectangleNuT returns NuT of a rectangular duct; ratio of sides as in
// [FanningConstantRectangle].
//
// Source: Shah & London 1978 (coefficients from memory, not checked against the
// source; within 0.15 % of finite-element values).
func NusseltRectangleNuT(aspect float64) float64 {
	a := aspectRatio(aspect)
	return NusseltPlatesNuT *
		(1 - a*(2.610-a*(4.970-a*(5.119-a*(2.702-a*0.548)))))
}

// triangleTable lists isosceles triangular ducts, computed with finite elements and
// Richardson extrapolation (not from a publication). f Re and NuH1 agree with Shah &
// London 1978 to four digits; their NuT is about 1 % lower, 5 % at 10 degrees.
var triangleTable = [...]struct{ apex, fanning, h1, t float64 }{
	{5, 12.255, 2.268, 1.430},
	{10, 12.474, 2.446, 1.694},
	{20, 12.822, 2.722, 2.050},
	{30, 13.065, 2.910, 2.271},
	{60, 13.333, 3.111, 2.495},
	{90, 13.153, 2.982, 2.357},
	{120, 12.739, 2.683, 2.027},
}

// TriangleRange is the range of apex angles in rad of the triangular duct functions.
// Outside it they return the value at its nearer end.
func TriangleRange() Range {
	return Range{5 * math.Pi / 180, 120 * math.Pi / 180}
}

// FanningConstantTriangle returns f Re of an isosceles triangular duct with the given
// apex angle in rad, between the table's angles by a cubic with continuous slope.
func FanningConstantTriangle(apex float64) float64 {
	return triangleAt(apex, func(i int) float64 { return triangleTable[i].fanning })
}

// NusseltTriangleNuH1 returns NuH1 of an isosceles triangular duct with the given
// apex angle in rad, interpolated as in [FanningConstantTriangle].
func NusseltTriangleNuH1(apex float64) float64 {
	return triangleAt(apex, func(i int) float64 { return triangleTable[i].h1 })
}

// NusseltTriangleNuT returns NuT of an isosceles triangular duct with the given apex
// angle in rad, interpolated as in [FanningConstantTriangle].
func NusseltTriangleNuT(apex float64) float64 {
	return triangleAt(apex, func(i int) float64 { return triangleTable[i].t })
}

// triangleAt interpolates one column of the table by cubic Hermite pieces whose
// slopes at the table's angles are those of the parabola through three neighbours.
func triangleAt(apex float64, column func(int) float64) float64 {
	last := len(triangleTable) - 1
	x := math.Max(triangleTable[0].apex, math.Min(apex*180/math.Pi, triangleTable[last].apex))
	i := 0
	for i < last-1 && x > triangleTable[i+1].apex {
		i++
	}
	width := triangleTable[i+1].apex - triangleTable[i].apex
	u := (x - triangleTable[i].apex) / width
	y0, y1 := column(i), column(i+1)
	m0, m1 := width*triangleSlope(i, column), width*triangleSlope(i+1, column)
	rise := y1 - y0
	return y0 + u*(m0+u*(3*rise-2*m0-m1+u*(m0+m1-2*rise)))
}

func triangleSlope(i int, column func(int) float64) float64 {
	mid := max(1, min(i, len(triangleTable)-2))
	x := func(j int) float64 { return triangleTable[j].apex }
	left := (column(mid) - column(mid-1)) / (x(mid) - x(mid-1))
	right := (column(mid+1) - column(mid)) / (x(mid+1) - x(mid))
	curve := (right - left) / (x(mid+1) - x(mid-1))
	return left + curve*(2*x(i)-x(mid)-x(mid-1))
}
