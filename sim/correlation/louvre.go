package correlation

import (
	"fmt"
	"math"
)

// LouvredFin describes corrugated louvred fins between flat tubes. Lengths are in m.
// The Reynolds number of its two laws is on the louvre pitch and the core velocity.
type LouvredFin struct {
	Angle             float64 // of the louvres, rad
	FinPitch          float64
	LouvrePitch       float64
	FinLength         float64 // from tube to tube
	FinDepth          float64 // in the direction of the air; also the tube's depth
	LouvreLength      float64
	TubePitch         float64
	TubeThickness     float64 // across the air
	FinThickness      float64
	HydraulicDiameter float64
}

// thinnestFin is the least fin thickness per fin pitch the friction law can take: its
// logarithm of (δ/Fp)^0.5 + 0.9 reaches zero at 0.01.
const thinnestFin = 0.0125

// Check reports the first dimension the laws cannot use, by name and value.
func (l LouvredFin) Check() error {
	sizes := [...]struct {
		name  string
		value float64
	}{
		{"louvre angle", l.Angle}, {"fin pitch", l.FinPitch}, {"louvre pitch", l.LouvrePitch},
		{"fin length", l.FinLength}, {"fin depth", l.FinDepth}, {"louvre length", l.LouvreLength},
		{"tube pitch", l.TubePitch}, {"tube thickness", l.TubeThickness},
		{"fin thickness", l.FinThickness}, {"hydraulic diameter", l.HydraulicDiameter},
	}
	for _, s := range sizes {
		if !(s.value > 0) || math.IsInf(s.value, 1) {
			return fmt.Errorf("louvred fin: %s %g must be positive and finite", s.name, s.value)
		}
	}
	if l.Angle >= math.Pi/2 {
		return fmt.Errorf("louvred fin: louvre angle %g rad must be less than a right angle", l.Angle)
	}
	if l.TubeThickness >= l.TubePitch {
		return fmt.Errorf("louvred fin: tube thickness %g m must be less than the tube pitch %g m",
			l.TubeThickness, l.TubePitch)
	}
	if l.FinThickness < thinnestFin*l.FinPitch {
		return fmt.Errorf("louvred fin: fin thickness %g m must be at least %g of the fin pitch %g m",
			l.FinThickness, thinnestFin, l.FinPitch)
	}
	return nil
}

func (l LouvredFin) degrees() float64 { return l.Angle * 180 / math.Pi }

// ColburnLouvreRange is the range of the Reynolds number on louvre pitch of
// [ColburnLouvre].
func ColburnLouvreRange() Range { return Range{100, 3000} }

// ColburnLouvre returns the Colburn factor j = Nu/(Re Pr^{1/3}) of louvred fins,
//
//	j = Re^-0.49 (θ/90)^0.27 (Fp/Lp)^-0.14 (Fl/Lp)^-0.29 (Td/Lp)^-0.23
//	    (Ll/Lp)^0.68 (Tp/Lp)^-0.28 (δ/Lp)^-0.05,
//
// θ in degrees, Fp fin pitch, Lp louvre pitch, Fl fin length, Td tube depth, Ll louvre
// length, Tp tube pitch, δ fin thickness. About 90 % of the data lie within 15 %
// (statement from memory). Outside [ColburnLouvreRange] the power law is continued; it
// is known to be too high at low Re, where the air no longer follows the louvres.
//
// Source: Y.J. Chang & C.C. Wang, Int. J. Heat Mass Transfer 40:533, 1997.
func ColburnLouvre(l LouvredFin, re float64) float64 {
	p := l.LouvrePitch
	return math.Pow(re, -0.49) * math.Pow(l.degrees()/90, 0.27) *
		math.Pow(l.FinPitch/p, -0.14) * math.Pow(l.FinLength/p, -0.29) *
		math.Pow(l.FinDepth/p, -0.23) * math.Pow(l.LouvreLength/p, 0.68) *
		math.Pow(l.TubePitch/p, -0.28) * math.Pow(l.FinThickness/p, -0.05)
}

// FanningLouvreRange is the range of the Reynolds number on louvre pitch over which
// [FanningLouvre] is the published law (lower end as for [ColburnLouvreRange], from
// memory, not checked against the source).
func FanningLouvreRange() Range { return Range{100, 5000} }

// FanningLouvre returns the Fanning factor of louvred fins, entrance and exit included.
// It is the low branch of Chang, Hsu, Lin & Wang up to Re = 130, their high branch from
// 230, and between them, since the branches do not meet,
//
//	f = sqrt{[(1+w) f(130)² + (1-w) f(230)²]/2},  w = 3.6 - 0.02 Re.
//
// The value is continuous everywhere; the slope jumps at 130 and 230. Towards low Re the
// published branch grows faster than any drag can and is infinite at Re = 2: where its
// slope reaches that of f Re = constant (at 100 at the latest) the latter is used instead,
// which is this package's continuation and not published. A fin thinner than 1/80 of its
// pitch is taken as 1/80, see [LouvredFin.Check].
//
// Sources: Y.J. Chang, K.C. Hsu, Y.T. Lin & C.C. Wang, Int. J. Heat Mass Transfer
// 43:2237, 2000; amendment: Y.J. Chang, W.J. Chang, M.C. Li & C.C. Wang, ibid. 49:4250,
// 2006 (authors from memory).
func FanningLouvre(l LouvredFin, re float64) float64 {
	switch {
	case re >= 230:
		return fanningLouvreHigh(l, re)
	case re > 130:
		return louvreAmended(fanningLouvreLow(l, 130), fanningLouvreHigh(l, 230), re)
	}
	if least := fanningLouvreTurn(l); re < least {
		return fanningLouvreLow(l, least) * least / re
	}
	return fanningLouvreLow(l, re)
}

// fanningLouvreTurn returns the Reynolds number at which the low branch falls as 1/Re:
// its logarithmic slope is -0.805 Fp/Fl - 3.01/ln(Re/2).
func fanningLouvreTurn(l LouvredFin) float64 {
	rest := 1 - 0.805*l.FinPitch/l.FinLength
	if rest <= 0 {
		return 100
	}
	return math.Min(100, 2*math.Exp(3.01/rest))
}

// louvreAmended returns the part between the branches from their values at 130 and 230.
func louvreAmended(low, high, re float64) float64 {
	w := 3.6 - 0.02*re
	return math.Sqrt(((1+w)*low*low + (1-w)*high*high) / 2)
}

// louvreLowPower and louvreHighPower return the powers of Re in f1 of the two branches.
func louvreLowPower(l LouvredFin) float64 { return -0.805 * l.FinPitch / l.FinLength }

func louvreHighPower(l LouvredFin) float64 { return 0.6049 - 1.064/math.Pow(l.degrees(), 0.2) }

func fanningLouvreLow(l LouvredFin, re float64) float64 {
	thin := math.Max(thinnestFin, l.FinThickness/l.FinPitch)
	f1 := 14.39 * math.Pow(re, louvreLowPower(l)) *
		math.Pow(math.Log(1+l.FinPitch/l.LouvrePitch), 3.04)
	f2 := math.Pow(math.Log(math.Pow(thin, 0.48)+0.9), -1.435) *
		math.Pow(l.HydraulicDiameter/l.LouvrePitch, -3.01) *
		math.Pow(math.Log(0.5*re), -3.01)
	f3 := math.Pow(l.FinPitch/l.LouvreLength, -0.308) *
		math.Pow(l.FinDepth/l.LouvreLength, -0.308) *
		math.Exp(-0.1167*l.TubePitch/l.TubeThickness) *
		math.Pow(l.degrees(), 0.35)
	return f1 * f2 * f3
}

func fanningLouvreHigh(l LouvredFin, re float64) float64 {
	thin := math.Max(thinnestFin, l.FinThickness/l.FinPitch)
	theta := l.degrees()
	f1 := 4.97 * math.Pow(re, louvreHighPower(l)) *
		math.Pow(math.Log(math.Sqrt(thin)+0.9), -0.527)
	f2 := math.Pow(l.HydraulicDiameter/l.LouvrePitch*math.Log(0.3*re), -2.966) *
		math.Pow(l.FinPitch/l.LouvreLength, -0.7931*l.TubePitch/(l.TubePitch-l.TubeThickness))
	f3 := math.Pow(l.TubePitch/l.TubeThickness, -0.0446) *
		math.Pow(math.Log(1.2+math.Pow(l.LouvrePitch/l.FinPitch, 1.4)), -3.553) *
		math.Pow(theta, -0.477)
	return f1 * f2 * f3
}
