package part

import (
	"fmt"
	"math"

	"soakledger/sim/correlation"
)

// FinStyle is the kind of a core's fins.
type FinStyle int

// The kinds of fins.
const (
	PlainFins   FinStyle = iota // smooth channels from front to back
	LouvredFins                 // cut and turned into slats
	StripFins                   // cut into strips, every other one set over by half a pitch
)

// FinStyles returns the words for the kinds of fins, each at its own number.
func FinStyles() []string { return []string{"plain", "louvred", "strip"} }

// String returns the word for a kind of fins.
func (s FinStyle) String() string {
	if words := FinStyles(); int(s) >= 0 && int(s) < len(words) {
		return words[s]
	}
	return fmt.Sprintf("fin style %d", int(s))
}

// FinStyleNamed returns the kind of fins called word. The error lists the words.
func FinStyleNamed(word string) (FinStyle, error) {
	return named("fin style", word, []FinStyle{PlainFins, LouvredFins, StripFins}, FinStyle.String)
}

// finLaw is the heat transfer and the losses of a kind of fins at a velocity v
// (m/s, not below zero) in the passages.
type finLaw interface {
	film(v float64, a Air) float64     // W/(m2 K)
	friction(v float64, a Air) airLoss // of the passages
	ends(v float64, a Air) airLoss     // of entry and exit
	beyond(v float64, a Air) (reynolds float64, what string)
}

// airLoss is a pressure loss (Pa) and its slope against the velocity (Pa s/m).
type airLoss struct{ dp, slope float64 }

// newFinLaw returns the law of a shape's fins.
func newFinLaw(s CoreShape, p correlation.CorePassages) (finLaw, error) {
	plain := newPlainFins(s, p)
	switch s.Style {
	case LouvredFins:
		cut, err := newLouvredFins(s, p)
		if err != nil {
			return nil, err
		}
		return joinFins(plain, cut), nil
	case StripFins:
		return joinFins(plain, newStripFins(s, p)), nil
	}
	return plain, nil
}

// plainFins are smooth passages in which laminar flow develops from the entry:
// Muzychka & Yovanovich 2004, mean over the length, wall of one temperature.
type plainFins struct {
	duct     correlation.MuzychkaDuct
	root     float64 // square root of a passage's area, m: the length scale of the law
	diameter float64 // hydraulic, m
	depth    float64 // m
	mouth    coreMouth
	wide     string // what is said above the range
}

func newPlainFins(s CoreShape, p correlation.CorePassages) *plainFins {
	a, b := s.FinPitch-s.FinThickness, s.TubePitch-s.TubeThickness-s.FinThickness
	entry := correlation.DuctEntry{Aspect: math.Min(a/b, b/a)}
	if s.Style == PlainFins && s.Triangular {
		base, height := 2*s.FinPitch, s.TubePitch-s.TubeThickness
		entry = correlation.DuctEntry{Aspect: math.Min(base/height, height/base), Acute: true}
	}
	return &plainFins{
		duct:     correlation.NewMuzychkaDuct(entry),
		root:     math.Sqrt(p.FlowArea),
		diameter: p.HydraulicDiameter,
		depth:    s.Depth,
		mouth:    newCoreMouth(p.FreeArea*(1-s.Blocked), entry),
		wide: fmt.Sprintf("plain fins: the Reynolds number in the passages is above %.0f, where flow ceases to be laminar; the laminar laws are continued and understate heat and loss",
			correlation.TransitionRange().Low),
	}
}

// reynolds returns the Reynolds number on a length (m).
func reynolds(v, length float64, a Air) float64 {
	return correlation.Reynolds(v, length, a.Viscosity/a.Density)
}

func (p *plainFins) film(v float64, a Air) float64 {
	return p.nusselt(reynolds(v, p.root, a), a.Prandtl()) * a.Conductivity / p.root
}

// nusselt takes and returns numbers on the root of the area.
func (p *plainFins) nusselt(re, pr float64) float64 {
	return p.duct.Nusselt(p.depth/(p.root*re*pr), pr)
}

// apparent returns f Re on the root of the area with the slope of its logarithm
// against that of Re.
func (p *plainFins) apparent(re float64) (fRe, slope float64) {
	developed := p.duct.FanningConstant()
	fRe = p.duct.FanningApparent(p.depth / (p.root * re))
	return fRe, (1 - developed*developed/(fRe*fRe)) / 2
}

// friction is 4 f L/Dh ρ v²/2, written with f Re so that it is smooth at rest.
func (p *plainFins) friction(v float64, a Air) airLoss {
	fRe, growth := p.apparent(reynolds(v, p.root, a))
	rate := 2 * a.Viscosity * p.depth / (p.root * p.diameter) * fRe
	return airLoss{rate * v, rate * (1 + growth)}
}

func (p *plainFins) ends(v float64, a Air) airLoss {
	return p.mouth.loss(v, a, reynolds(v, p.diameter, a)*p.diameter/p.depth)
}

func (p *plainFins) beyond(v float64, a Air) (float64, string) {
	re := reynolds(v, p.diameter, a)
	if re > correlation.TransitionRange().Low {
		return re, p.wide
	}
	return re, ""
}

// coreMouth holds what entry and exit of a core lose, on the head in the passages:
// the contraction at the entry by Kays 1950 with a flat profile, since apparent
// friction already holds the profile's growth; the exit by Kays 1950 with the
// profile that has grown by then.
//
// The profile's momentum goes from flat to developed with the weight x²/(x² + C),
// x = L/(Dh Re), that Shah 1978 gives developed flow in apparent friction; taking
// it for the momentum, and straight lines over the aspect between the values of
// plates and of other ducts, are this model's.
type coreMouth struct {
	free     float64 // free flow area over face
	entry    float64 // Kc
	momentum float64 // Kd of developed flow
	shape    float64 // C
}

func newCoreMouth(free float64, d correlation.DuctEntry) coreMouth {
	m := coreMouth{free: free, entry: correlation.CoreEntranceLoss(free, correlation.MomentumTurbulent)}
	if d.Acute {
		m.momentum, m.shape = correlation.MomentumTriangle, correlation.ShahCircle().Shape
		return m
	}
	plates, five := correlation.ShahPlates().Shape, correlation.ShahRectangle5().Shape
	m.momentum = correlation.MomentumPlates + d.Aspect*(correlation.MomentumSquare-correlation.MomentumPlates)
	m.shape = plates + d.Aspect/0.2*(five-plates)
	return m
}

// loss returns what entry and exit lose at a velocity v at which Re Dh/L is inverse.
func (m coreMouth) loss(v float64, a Air, inverse float64) airLoss {
	y := m.shape * inverse * inverse
	excess := (m.momentum - 1) / (1 + y)
	k := m.entry + correlation.CoreExitLoss(m.free, 1+excess)
	growth := 4 * m.free * excess * y / (1 + y) // v dk/dv
	head := a.Density * v / 2
	return airLoss{k * head * v, (2*k + growth) * head}
}
