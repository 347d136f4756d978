package part

import (
	"math"

	"soakledger/sim/correlation"
	"soakledger/sim/fluid"
)

// Losses of the coolant's way through a core, on the velocity head of the channel
// they belong to (from memory, not checked against a source).
const (
	tubeEnds = correlation.LossEntranceSharp + correlation.LossExit // of a tube between two tanks
	portEnds = correlation.LossExit + correlation.LossEntranceSharp // into one tank, out of the other
)

// CoreTubes is the pressure drop of the coolant in a core: friction in the tubes of
// all passes, their ends, the turns in the tanks between them (which lose the
// head of the tubes, and so are an end and a new entry), and the two ports.
type CoreTubes struct {
	Bank TubeBank
	Port float64 // bore of the ports, m; zero leaves them out
}

// Tubes returns the coolant's side as a [Resistance].
func (c *Core) Tubes() CoreTubes { return CoreTubes{c.bank, c.shape.PortBore} }

// Liquid returns the conductance between coolant and tubes (W/K) at a flow q
// (m3/s, either sign) and a coolant temperature t (K), with its slopes against q
// and t; see [TubeBank.Conductance].
func (c *Core) Liquid(coolant *fluid.Table, q, t float64) (g, perFlow, perKelvin float64) {
	return c.bank.Conductance(coolant, q, t)
}

// Drop is the pressure drop of the coolant.
//
// Friction is that of a round tube by Churchill 1977 at the Reynolds number on the
// laminar equivalent diameter, at which laminar flow has the f Re of the flat tube
// exactly (O.C. Jones, J. Fluids Eng. 98:173, 1976; from memory, not checked
// against the source): laminar to turbulent without a jump. The profile that
// develops anew in each pass loses Shah's excess K more, between those of plates
// and of a duct five times as wide as high.
func (t CoreTubes) Drop(q float64, l Liquid) (dp, slope float64) {
	b := t.Bank
	area := float64(b.Tubes) / float64(b.Passes) * b.Height * b.Width
	diameter, passes := b.diameter(), float64(b.Passes)
	v := q / area

	stretch := correlation.FanningConstantCircle / correlation.FanningConstantRectangle(b.Height/b.Width)
	perVelocity := stretch * l.Density * diameter / l.Viscosity
	re := math.Abs(v) * perVelocity
	fRe, perRe := correlation.DarcyReynoldsChurchillSlope(re, 0)
	rate := passes * l.Viscosity * b.Length / (2 * diameter * diameter * stretch)
	dp = rate * fRe * v
	slope = rate * (fRe + re*perRe) / area

	ends, perFlow := channelLoss(passes*(tubeEnds+profileExcess(b.Height/b.Width)), area, diameter, q, l)
	dp, slope = dp+ends, slope+perFlow
	if t.Port > 0 {
		ports, perFlow := Loss{portEnds, t.Port}.Drop(q, l)
		dp, slope = dp+ports, slope+perFlow
	}
	return dp, slope
}

// profileExcess returns Shah's K of the profile's growth in a flat tube.
func profileExcess(aspect float64) float64 {
	plates, five := correlation.ShahPlates().Excess, correlation.ShahRectangle5().Excess
	return plates + math.Min(1, aspect/0.2)*(five-plates)
}

// channelLoss is a local loss K ρ v²/2 in channels of an area together (m2) and a
// hydraulic diameter (m) each, linear about rest as [Loss] is.
func channelLoss(k, area, diameter, q float64, l Liquid) (dp, slope float64) {
	rest := creep * l.Viscosity / (l.Density * diameter) * area
	size := math.Hypot(q, rest)
	rate := k * l.Density / (2 * area * area)
	return rate * q * size, rate * (size + q*q/size)
}
