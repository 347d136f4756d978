package part

// CoreBody is what a core with its tanks and frame holds and weighs.
type CoreBody struct {
	TubeVolume, TankVolume float64 // coolant, m3
	Fins, Tubes, Frame     float64 // metal, kg; the frame is tanks and side plates
	Capacity               float64 // of all metal, J/K
}

// Volume returns the coolant inside, m3.
func (b CoreBody) Volume() float64 { return b.TubeVolume + b.TankVolume }

// Mass returns the mass of metal, kg.
func (b CoreBody) Mass() float64 { return b.Fins + b.Tubes + b.Frame }

// Filled returns the mass with a coolant of a density (kg/m3) inside, kg.
func (b CoreBody) Filled(density float64) float64 { return b.Mass() + density*b.Volume() }

// flange is how far a side plate is folded over front and back to take screws, m
// (common practice, no source).
const flange = 0.008

// Body returns volumes and masses from the measures: sheets of fins with their
// crests on the tubes, tubes with their walls, a box of tank at either end and a
// plate on either side, folded over front and back. Screws, solder and ports are
// left out. The frame is of the tubes' material.
func (c *Core) Body() CoreBody {
	s := c.shape
	inside := c.bank.Height * c.bank.Width
	tubes := float64(c.bank.Tubes)
	outside := s.TubeThickness * s.rowDepth()

	leg := s.TubePitch - s.TubeThickness - s.FinThickness + s.FinPitch
	if s.Style == PlainFins && s.Triangular {
		leg = 2 * c.passages.FinLength
	}
	across, deep, long := s.Height, s.body()-2*s.FrameWall, s.TankLength
	sheet := 2 * s.Width * (s.body() + 2*flange)
	if long > 0 {
		sheet += 2 * 2 * (across*deep + across*long + deep*long)
	}
	b := CoreBody{
		TubeVolume: tubes * inside * s.Width,
		TankVolume: 2 * across * deep * long,
		Fins:       s.Fins.Density * c.passages.Legs * leg * s.Depth * s.FinThickness,
		Tubes:      s.Tubes.Density * tubes * (outside - inside) * s.Width,
		Frame:      s.Tubes.Density * sheet * s.FrameWall,
	}
	b.Capacity = s.Fins.Capacity(b.Fins) + s.Tubes.Capacity(b.Tubes+b.Frame)
	return b
}
