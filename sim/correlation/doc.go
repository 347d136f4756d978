// Package correlation holds the published laws a cooling loop is built from:
// effectiveness of heat exchangers, Nusselt numbers, friction factors, fins,
// ducts, core and minor losses, natural convection and radiation. One exported
// function stands for one published source.
//
// Every function is pure and allocates nothing. Arguments are SI: metres,
// pascals, kelvins, radians; dimensionless groups are plain numbers. A function
// given finite positive arguments never returns NaN. Where an argument lies
// outside the range of its source, the doc comment says whether the formula is
// simply continued or held at a limit.
//
// # Two friction factors
//
// The names say which one is meant. Darcy factors belong to
//
//	Δp = f (L/D) ρ v²/2
//
// and Fanning factors, used for ducts and finned surfaces, are a quarter of them:
//
//	Δp = 4 f (L/Dh) ρ v²/2
//
// A Fanning "constant" is the product f Re of laminar flow, on the hydraulic
// diameter unless another length is named.
//
// # Smoothness
//
// An implicit solver differentiates what it is given. The functions are
// continuously differentiable inside their range except where their comment
// says otherwise: [FanningLouvre] at the ends of its amended part,
// [NusseltGnielinskiTransition] at its two ends, [NusseltChurchillChuPlate] and
// [NusseltChurchillChuCylinder] at a Rayleigh number of zero, and every value
// held at a limit.
package correlation

// Range is a closed interval of an argument within which a source states its
// law to hold.
type Range struct {
	Low, High float64
}

// Contains reports whether x lies in the interval, ends included.
func (r Range) Contains(x float64) bool {
	return r.Low <= x && x <= r.High
}
