package part

import (
	"fmt"
	"math"

	"soakledger/sim/correlation"
	"soakledger/sim/fluid"
)

// TubeBank is the coolant side of a radiator: equal flat tubes, filled pass by
// pass. Lengths are inside measures in m.
type TubeBank struct {
	Tubes  int     // in all passes together
	Passes int     // that the coolant runs through one after another
	Height float64 // of a tube, its short side
	Width  float64 // of a tube, its long side
	Length float64 // of a tube
}

// Check reports the first figure that cannot be.
func (b TubeBank) Check() error {
	switch {
	case b.Passes < 1 || b.Tubes < b.Passes:
		return fmt.Errorf("part: %d tubes in %d passes cannot be; a pass has one tube or more", b.Tubes, b.Passes)
	case !(b.Height > 0) || !(b.Width >= b.Height) || !(b.Length > 0) || math.IsInf(b.Width+b.Length, 0):
		return fmt.Errorf("part: tubes %g m high, %g m wide and %g m long cannot be; the height is the short side", b.Height, b.Width, b.Length)
	}
	return nil
}

// Area returns the wetted surface, m2.
func (b TubeBank) Area() float64 {
	return float64(b.Tubes) * 2 * (b.Height + b.Width) * b.Length
}

// diameter returns the hydraulic diameter, m.
func (b TubeBank) diameter() float64 {
	return correlation.HydraulicDiameter(b.Height*b.Width, 2*(b.Height+b.Width))
}

// Reynolds returns the Reynolds number on the hydraulic diameter at a flow
// (m3/s) of a liquid.
func (b TubeBank) Reynolds(q float64, l Liquid) float64 {
	area := float64(b.Tubes) / float64(b.Passes) * b.Height * b.Width
	return correlation.Reynolds(math.Abs(q)/area, b.diameter(), l.Viscosity/l.Density)
}

// Conductance returns the conductance between coolant and tube wall (W/K) at a
// flow q (m3/s, either sign) and a coolant temperature t (K), with its slopes
// against q and t.
//
// The Nusselt number is that of Churchill 1977 for laminar to turbulent flow.
// Its laminar value is that of a rectangle at one wall temperature (Shah &
// London 1978) times the growth that developing flow has between plates
// (Edwards, Denny & Mills 1979). At rest the developed laminar value stays: it
// is conduction across the tube. The slopes of the Nusselt number are central
// differences in logarithms, right to about 1e-9.
func (b TubeBank) Conductance(c *fluid.Table, q, t float64) (g, perFlow, perKelvin float64) {
	rho, drho := c.Density(t)
	mu, dmu := c.Viscosity(t)
	k, dk := c.Conductivity(t)
	_, cp, dcp := c.Enthalpy(t)
	flowing := b.Reynolds(q, Liquid{rho, mu})
	re := math.Hypot(flowing, 1) // smooth through rest, where the entry law has a kink
	pr := mu * cp / k
	nu, perRe, perPr := b.nusselt(re, pr)
	g = nu * k / b.diameter() * b.Area()
	moving := perRe * flowing * flowing / (re * re) // d ln Nu/d ln q
	if q != 0 {
		perFlow = g * moving / q
	}
	perKelvin = g * (dk/k + moving*(drho/rho-dmu/mu) + perPr*(dmu/mu+dcp/cp-dk/k))
	return g, perFlow, perKelvin
}

// nusselt returns the Nusselt number and the slopes of its logarithm against
// those of Re and Pr.
func (b TubeBank) nusselt(re, pr float64) (nu, perRe, perPr float64) {
	const step = 1e-5
	up, down := math.Exp(step), math.Exp(-step)
	perRe = math.Log(b.nusseltAt(re*up, pr)/b.nusseltAt(re*down, pr)) / (2 * step)
	perPr = math.Log(b.nusseltAt(re, pr*up)/b.nusseltAt(re, pr*down)) / (2 * step)
	return b.nusseltAt(re, pr), perRe, perPr
}

func (b TubeBank) nusseltAt(re, pr float64) float64 {
	gz := correlation.Graetz(b.diameter(), b.Length, re, pr)
	entry := correlation.NusseltPlatesEdwards(gz) / correlation.NusseltPlatesEdwards(0)
	laminar := correlation.NusseltRectangleNuT(b.Height/b.Width) * entry
	return correlation.NusseltChurchill(re, pr, correlation.DarcyChurchill(re, 0), laminar)
}
