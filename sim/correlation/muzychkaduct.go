package correlation

import "math"

// MuzychkaDuct is one duct of the laws of Muzychka & Yovanovich with what does not
// depend on the flow already worked out: [NusseltMuzychka] and
// [FanningApparentMuzychka] for many flows through the same duct.
type MuzychkaDuct struct {
	fanning   float64 // f Re of developed flow on √A
	developed float64 // Nu of developed flow
	entry     float64 // Nu of the developing temperature, times z*^{1/3}
	boundary  float64 // C4 Fo
	prandtl   float64 // Fp
}

// NewMuzychkaDuct returns the duct of a case.
func NewMuzychkaDuct(d DuctEntry) MuzychkaDuct {
	c1, c3, fo, fp := 3.24, 0.409, 0.564, 1.664
	if d.Wall == WallFlux {
		c1, c3, fo, fp = 3.86, 0.501, 0.886, 1.909
	}
	c2, c4 := 1.5, 2.0
	if d.Local {
		c2, c4 = 1, 1
	}
	gamma := 0.1
	if d.Acute {
		gamma = -0.3
	}
	fRe := FanningConstantMuzychka(d.Aspect)
	return MuzychkaDuct{
		fanning:   fRe,
		developed: c1 * fRe / (8 * math.Sqrt(math.Pi) * math.Pow(aspectRatio(d.Aspect), gamma)),
		entry:     c2 * c3 * math.Cbrt(fRe),
		boundary:  c4 * fo,
		prandtl:   fp,
	}
}

// FanningConstant returns f Re of developed flow on √A, see [FanningConstantMuzychka].
func (m MuzychkaDuct) FanningConstant() float64 { return m.fanning }

// Nusselt is [NusseltMuzychka] for this duct. In an infinitely long one (zStar = +Inf)
// it is the developed value.
func (m MuzychkaDuct) Nusselt(zStar, pr float64) float64 {
	// (Fp Pr^{1/6})^{9/2} is Fp^{9/2} Pr^{3/4}.
	sharp := math.Sqrt(m.prandtl)
	sharp *= m.prandtl * m.prandtl * m.prandtl * m.prandtl
	root := math.Sqrt(pr)
	wall := math.Pow(1+sharp*root*math.Sqrt(root), -2.0/9)
	boundary := m.boundary * wall / math.Sqrt(zStar)
	entry := m.entry / math.Cbrt(zStar)
	share := entry / m.developed
	square := share * share
	rest := m.developed * math.Pow(1+square*square*share, 1.0/5)
	return blend(boundary, rest, 2.27+1.65*math.Cbrt(pr))
}

// FanningApparent is [FanningApparentMuzychka] for this duct.
func (m MuzychkaDuct) FanningApparent(zPlus float64) float64 {
	return math.Hypot(m.fanning, 3.44/math.Sqrt(zPlus))
}
