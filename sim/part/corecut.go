package part

import (
	"fmt"
	"math"

	"soakledger/sim/correlation"
)

// cutFins is a published law of fins that are cut into louvres or strips, within
// its range of the Reynolds number.
type cutFins interface {
	colburn(re float64) float64
	fanning(re float64) (f, slope float64) // slope of ln f against ln Re
	measures() cutMeasures
}

// cutMeasures is what a law is written on and where it holds.
type cutMeasures struct {
	fins         string // louvred or strip
	length       lawLength
	diameter     float64           // hydraulic, with which f becomes a loss, m
	published    correlation.Range // of the Reynolds number, for heat and loss
	corners      []float64         // Reynolds numbers at which the slope of the published friction jumps
	closed       float64           // loss coefficient of entry and exit, where f does not hold them
	lowered      string            // why less than the published friction is taken; empty if it is not
	loweredBelow float64           // Reynolds number
	samples      string            // which dimension the law's data did not cover; empty if all
}

// lawLength is the length of a law's Reynolds number, m, and what it is called.
type lawLength struct {
	name  string
	value float64
}

// common returns the range in which two laws both hold.
func common(a, b correlation.Range) correlation.Range {
	return correlation.Range{Low: math.Max(a.Low, b.Low), High: math.Min(a.High, b.High)}
}

// louvredFins is Chang & Wang 1997 and Chang et al. 2000 with the amendment of 2006.
type louvredFins struct {
	first    float64 // j at Re = 1
	power    float64 // of Re in j
	friction correlation.LouvredFriction
	cutMeasures
}

func newLouvredFins(s CoreShape, p correlation.CorePassages) (*louvredFins, error) {
	fin := correlation.LouvredFin{
		Angle: s.LouvreAngle, FinPitch: s.FinPitch, LouvrePitch: s.LouvrePitch, FinLength: s.TubePitch - s.TubeThickness,
		FinDepth: s.Depth, LouvreLength: s.LouvreLength, TubePitch: s.TubePitch, TubeThickness: s.TubeThickness,
		FinThickness: s.FinThickness, HydraulicDiameter: p.HydraulicDiameter,
	}
	if err := fin.Check(); err != nil {
		return nil, coreError("fin style", err.Error(), "the friction law of louvred fins needs what it says", "fins 0.05 mm thick every 1.6 mm, louvres every 1.2 mm at 27 degrees")
	}
	l := &louvredFins{first: correlation.ColburnLouvre(fin, 1), friction: correlation.NewLouvredFriction(fin)}
	l.power = math.Log10(correlation.ColburnLouvre(fin, 10) / l.first) // j is a power law
	l.cutMeasures = cutMeasures{
		fins: "louvred", length: lawLength{"louvre pitch", s.LouvrePitch}, diameter: p.HydraulicDiameter,
		published: common(correlation.ColburnLouvreRange(), correlation.FanningLouvreRange()), corners: []float64{130, 230},
	}
	if share := l.friction.LowShare(); share < 1 {
		l.loweredBelow = l.corners[1] * (1 + cornerWidth)
		l.lowered = fmt.Sprintf("louvred fins: below a Reynolds number on the louvre pitch of 230 the published friction would make the loss fall with the speed; its low branch is taken by %.0f %%", 100*share)
	}
	if d, yes := correlation.LouvreDataBeyond(fin); yes {
		l.samples = dataBeyond("louvred fins", d)
	}
	return l, nil
}

func (l *louvredFins) colburn(re float64) float64 { return l.first * math.Pow(re, l.power) }

func (l *louvredFins) fanning(re float64) (f, slope float64) {
	return l.friction.Fanning(re)
}

func (l *louvredFins) measures() cutMeasures { return l.cutMeasures }

// stripFins is Manglik & Bergles 1995.
type stripFins struct {
	laws correlation.StripLaws
	cutMeasures
}

func newStripFins(s CoreShape, p correlation.CorePassages) *stripFins {
	gap, height := s.FinPitch-s.FinThickness, s.TubePitch-s.TubeThickness-s.FinThickness
	diameter := correlation.StripHydraulicDiameter(gap, height, s.FinThickness, s.StripLength)
	fin := correlation.OffsetStripFin{Spacing: gap / height, Thickness: s.FinThickness / s.StripLength, Gap: s.FinThickness / gap}
	f := &stripFins{laws: correlation.NewStripLaws(fin)}
	free := p.FreeArea * (1 - s.Blocked)
	f.cutMeasures = cutMeasures{
		fins: "strip", length: lawLength{"hydraulic diameter", diameter}, diameter: diameter, published: correlation.StripRange(),
		// Strips start the profile anew all the way: it is flat at both ends.
		closed: correlation.CoreEntranceLoss(free, correlation.MomentumTurbulent) + correlation.CoreExitLoss(free, correlation.MomentumTurbulent),
	}
	if d, yes := correlation.StripDataBeyond(fin); yes {
		f.samples = dataBeyond("strip fins", d)
	}
	return f
}

// dataBeyond says which dimension of a fin lies outside the data of its law.
func dataBeyond(fins string, d correlation.DataRange) string {
	return fmt.Sprintf("%s: the %s lies outside the %s of the samples behind the laws, which are continued", fins, d.Name, d.Printed)
}

func (s *stripFins) colburn(re float64) float64 { return s.laws.Colburn(re) }

func (s *stripFins) fanning(re float64) (f, slope float64) { return s.laws.Fanning(re) }

func (s *stripFins) measures() cutMeasures { return s.cutMeasures }
