package part

import (
	"math"

	"soakledger/sim/correlation"
)

// CoreShape is a radiator's core by its measures: flat tubes across a face, with
// fins folded between them. Lengths are in m. [CoreFiguresOf] has the usual ones.
type CoreShape struct {
	Width     float64 // of the face, along the tubes
	Height    float64 // of the face, across the tubes
	Depth     float64 // of the fins, in the direction of the air
	Thickness float64 // of the whole body with its frame; zero is Depth

	FinPitch     float64 // from one leg to the next, every leg counted: 25.4 mm over fins per inch
	FinThickness float64
	Fins         Material

	TubePitch     float64 // from one tube to the next, across the face
	TubeThickness float64 // outside, across the face
	TubeDepth     float64 // outside, in the direction of the air, of one row; zero is Depth over Rows
	TubeWall      float64
	Rows          int // of tubes one behind another, which the coolant fills side by side
	Passes        int // side by side in the face: the coolant runs through one after another, the air through all at once
	Tubes         Material

	Style        FinStyle
	Triangular   bool    // plain fins as a zigzag between the tubes; else upright
	LouvrePitch  float64 // of louvred fins
	LouvreAngle  float64 // of louvred fins, rad
	LouvreLength float64 // of louvred fins, across the leg
	StripLength  float64 // of strip fins, in the direction of the air

	TankLength float64 // inside, of each of the two tanks beside the face, along the tubes
	FrameWall  float64 // of tanks and side plates
	PortBore   float64 // of the two ports

	Blocked float64 // share of the passages that dust has closed, 0 to 0.95
	Covered float64 // share of the face that the fans blow on, 0.3 to 1; zero is all of it
}

// rowDepth returns the outside depth of one row's tubes, m.
func (s CoreShape) rowDepth() float64 {
	if s.TubeDepth == 0 && s.Rows > 0 {
		return s.Depth / float64(s.Rows)
	}
	return s.TubeDepth
}

// body returns the thickness of the whole body, m.
func (s CoreShape) body() float64 {
	if s.Thickness == 0 {
		return s.Depth
	}
	return s.Thickness
}

// covered returns the share of the face that the fans blow on.
func (s CoreShape) covered() float64 {
	if s.Covered == 0 {
		return 1
	}
	return s.Covered
}

// tubesAcross returns how many whole tubes stand across the face.
func (s CoreShape) tubesAcross() int { return int(s.Height/s.TubePitch + 1e-6) }

// flat returns the measures that the passages follow from.
func (s CoreShape) flat() correlation.FlatTubeCore {
	return correlation.FlatTubeCore{
		Width: s.Width, Height: s.Height, Depth: s.Depth,
		TubePitch: s.TubePitch, TubeThickness: s.TubeThickness,
		FinPitch: s.FinPitch, FinThickness: s.FinThickness,
	}
}

// bank returns the coolant's side.
func (s CoreShape) bank() TubeBank {
	return TubeBank{
		Tubes: s.tubesAcross() * s.Rows, Passes: s.Passes,
		Height: s.TubeThickness - 2*s.TubeWall, Width: s.rowDepth() - 2*s.TubeWall, Length: s.Width,
	}
}

// Core is what a core's measures say about its heat, its losses and its mass. It
// is immutable and an [AirResistance].
type Core struct {
	shape    CoreShape
	passages correlation.CorePassages
	bank     TubeBank
	law      finLaw
	open     float64 // share of the passages that carry air
	free     float64 // area of those passages, m2
}

// NewCore returns the core of a shape. The error names the first measure that
// cannot be, says what can, and gives an example.
func NewCore(s CoreShape) (*Core, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	flat := s.flat()
	passages, err := flat.Rectangular()
	if s.Style == PlainFins && s.Triangular {
		passages, err = flat.Triangular()
	}
	if err != nil {
		return nil, coreError("the fins and tubes", err.Error(), "they must leave passages for the air", "fins 0.05 mm thick every 1.6 mm between tubes 2 mm thick every 10 mm")
	}
	c := &Core{shape: s, passages: passages, bank: s.bank(), open: (1 - s.Blocked) * s.covered()}
	c.free = passages.FreeArea * s.Width * s.Height * c.open
	if c.law, err = newFinLaw(s, passages); err != nil {
		return nil, err
	}
	return c, nil
}

// Shape returns the measures of the core.
func (c *Core) Shape() CoreShape { return c.shape }

// Bank returns the coolant's side: its wetted surface, its Reynolds number and
// the conductance between coolant and tubes.
func (c *Core) Bank() TubeBank { return c.bank }

// Face returns the area of the face, m2.
func (c *Core) Face() float64 { return c.shape.Width * c.shape.Height }

// Surface returns the surface that faces moving air, m2.
func (c *Core) Surface() float64 { return c.passages.Area() * c.open }

// FreeArea returns the open flow area of the air over the area of the face.
func (c *Core) FreeArea() float64 { return c.free / c.Face() }

// CoreAirSide is a core's air side at one airflow. Beyond is empty, or says which
// published range is left there and what stands in for it.
type CoreAirSide struct {
	Conductance       float64 // from the tubes to the air, h times surface and its efficiency, W/K
	CapacityRate      float64 // of the air, W/K
	Film              float64 // h, W/(m2 K)
	FinEfficiency     float64
	SurfaceEfficiency float64 // fins and tubes together
	Drop, Slope       float64 // as of [Core.Drop], Pa and Pa s/m3
	Ends              float64 // the part of Drop from entry and exit, Pa; below zero where the exit regains more
	Velocity          float64 // mean over the whole face, m/s
	Reynolds          float64 // in the passages, on the length that the fins' law is written on
	Beyond            string
}

// Air returns the air side at a flow q (m3/s, either sign) of air at the state in
// which it enters; how it changes as it warms is left out. At rest the film is
// that of developed laminar flow.
func (c *Core) Air(q float64, a Air) CoreAirSide {
	v := math.Abs(q) / c.free
	s := CoreAirSide{
		CapacityRate: correlation.CapacityRate(a.Density, math.Abs(q), a.SpecificHeat),
		Film:         c.law.film(v, a),
		Ends:         c.law.ends(v, a).dp * direction(q),
		Velocity:     math.Abs(q) / c.Face(),
	}
	s.FinEfficiency, s.SurfaceEfficiency = c.efficiency(s.Film)
	s.Conductance = s.SurfaceEfficiency * s.Film * c.Surface()
	s.Drop, s.Slope = c.Drop(q, a)
	s.Reynolds, s.Beyond = c.law.beyond(v, a)
	return s
}

// airSide returns the conductance of [Core.Air] alone.
func (c *Core) airSide(q float64, a Air) float64 {
	film := c.law.film(math.Abs(q)/c.free, a)
	_, surface := c.efficiency(film)
	return surface * film * c.Surface()
}

// efficiency returns that of the fins and that of the whole surface at a film
// coefficient (W/(m2 K)).
func (c *Core) efficiency(film float64) (fin, surface float64) {
	m := correlation.FinParameter(film, c.shape.Fins.Conductivity, c.shape.FinThickness)
	fin = correlation.FinEfficiencyStraight(m * c.passages.FinLength)
	return fin, correlation.SurfaceEfficiency(fin, c.passages.FinShare())
}

// Drop returns the core's pressure loss (Pa) at a flow q (m3/s) of air, with its
// slope (Pa s/m3): the friction of the passages, entry and exit. It is odd in q,
// strictly rising, continuous in its slope and zero at rest.
func (c *Core) Drop(q float64, a Air) (dp, slope float64) {
	v := math.Abs(q) / c.free
	total := c.law.friction(v, a)
	ends := c.law.ends(v, a)
	return (total.dp + ends.dp) * direction(q), (total.slope + ends.slope) / c.free
}

// direction is the sign of a flow.
func direction(q float64) float64 { return math.Copysign(1, q) }
