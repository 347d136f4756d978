package correlation

import (
	"fmt"
	"math"
)

// FlatTubeCore describes a core of flat tubes with corrugated fins between them.
// All lengths are in m.
type FlatTubeCore struct {
	Width         float64 // of the face, along the tubes
	Height        float64 // of the face, across the tubes
	Depth         float64 // in the direction of the air
	TubePitch     float64 // from one tube to the next
	TubeThickness float64 // of a tube across the face
	FinPitch      float64 // from one fin leg to the next: every leg is counted
	FinThickness  float64
}

// FinHeight returns the clear distance between two tubes in m.
func (c FlatTubeCore) FinHeight() float64 { return c.TubePitch - c.TubeThickness }

// CorePassages is the air side of a core as a bundle of equal passages.
type CorePassages struct {
	Legs              float64 // fin legs in the face, a mean and not a whole number
	HydraulicDiameter float64 // of a passage, m
	FlowArea          float64 // of a passage, m²
	FinArea           float64 // wetted fin surface, both faces, m²
	PrimaryArea       float64 // wetted tube surface, m²
	FreeArea          float64 // free flow area over face area, 0..1
	AreaDensity       float64 // wetted surface over core volume, 1/m
	FinLength         float64 // length of a leg over which heat flows to a tube, m
}

// Area returns the whole wetted surface in m².
func (p CorePassages) Area() float64 { return p.FinArea + p.PrimaryArea }

// FinShare returns the fin's share of the wetted surface, 0..1.
func (p CorePassages) FinShare() float64 { return p.FinArea / p.Area() }

// Rectangular returns the passages of a core whose fin legs stand upright between
// the tubes: passages a = pitch - thickness wide and b = fin height - thickness
// high. It is the plain geometry of Kays & London 1984, ch. 1; 4 σ V/A equals the
// hydraulic diameter. It fails with the name of the first length that cannot be.
func (c FlatTubeCore) Rectangular() (CorePassages, error) {
	if err := c.check(); err != nil {
		return CorePassages{}, fmt.Errorf("rectangular core passages: %w", err)
	}
	a := c.FinPitch - c.FinThickness
	b := c.FinHeight() - c.FinThickness
	p := c.passages(a*b, 2*(a+b), 2*b, 2*a)
	p.FinLength = b / 2
	return p, nil
}

// Triangular returns the passages of a core whose fin legs run straight from tube
// to tube in a zigzag: isosceles triangles of base 2 × pitch and of the fin's
// height, legs s = sqrt(height² + pitch²). It fails with the name of the first
// length that cannot be.
func (c FlatTubeCore) Triangular() (CorePassages, error) {
	if err := c.check(); err != nil {
		return CorePassages{}, fmt.Errorf("triangular core passages: %w", err)
	}
	s := math.Hypot(c.FinHeight(), c.FinPitch)
	area := c.FinPitch*c.FinHeight() - s*c.FinThickness
	if area <= 0 {
		return CorePassages{}, fmt.Errorf(
			"triangular core passages: fins %g m thick at a pitch of %g m leave no passage",
			c.FinThickness, c.FinPitch)
	}
	p := c.passages(area, 2*s+2*c.FinPitch, 2*s, 2*c.FinPitch)
	p.FinLength = s / 2
	return p, nil
}

// ApexAngle returns the angle in rad between two fin legs of the zigzag of
// [FlatTubeCore.Triangular].
func (c FlatTubeCore) ApexAngle() float64 {
	return 2 * math.Atan(c.FinPitch/c.FinHeight())
}

// passages gathers the totals from one leg's flow area, wetted perimeter and its
// parts on the fin and on the tube.
func (c FlatTubeCore) passages(area, perimeter, fin, primary float64) CorePassages {
	legs := c.Height / c.TubePitch * c.Width / c.FinPitch
	p := CorePassages{
		Legs:              legs,
		HydraulicDiameter: HydraulicDiameter(area, perimeter),
		FlowArea:          area,
		FinArea:           fin * c.Depth * legs,
		PrimaryArea:       primary * c.Depth * legs,
		FreeArea:          area * legs / (c.Width * c.Height),
	}
	p.AreaDensity = p.Area() / (c.Width * c.Height * c.Depth)
	return p
}

func (c FlatTubeCore) check() error {
	lengths := [...]struct {
		name  string
		value float64
	}{
		{"face width", c.Width}, {"face height", c.Height}, {"depth", c.Depth},
		{"tube pitch", c.TubePitch}, {"tube thickness", c.TubeThickness},
		{"fin pitch", c.FinPitch}, {"fin thickness", c.FinThickness},
	}
	for _, l := range lengths {
		if !(l.value > 0) || math.IsInf(l.value, 1) {
			return fmt.Errorf("%s %g m must be positive and finite", l.name, l.value)
		}
	}
	limits := [...]struct {
		name, limit      string
		value, mostValue float64
	}{
		{"tube thickness", "the tube pitch", c.TubeThickness, c.TubePitch},
		{"fin thickness", "the fin pitch", c.FinThickness, c.FinPitch},
		{"fin thickness", "the gap between tubes", c.FinThickness, c.FinHeight()},
		{"tube pitch", "the face height", c.TubePitch, c.Height},
		{"fin pitch", "the face width", c.FinPitch, c.Width},
	}
	for _, l := range limits {
		if l.value >= l.mostValue {
			return fmt.Errorf("%s %g m must be less than %s %g m", l.name, l.value, l.limit, l.mostValue)
		}
	}
	return nil
}
