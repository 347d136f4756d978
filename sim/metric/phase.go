package metric

import "math"

// The standard fractions, bands and test lengths of the figures.
var (
	fractions   = [...]float64{1 - 1/math.E, 0.90, 0.95, 0.99}
	bands       = [...]float64{1, 0.5, 0.1}         // K
	testLengths = [...]float64{300, 600, 900, 1800} // s
)

// Phase is the soak figures of one interval of constant requested load.
type Phase struct {
	From, To float64 // s; To is where it really ended
	Power    float64 // W requested, all sources together
	Begin    float64 // K, the subject when the phase began
	End      float64 // K, and when it ended
	Level    Figure  // K, the subject at equilibrium under this load

	Kind    LevelKind // of the level
	Rising  Figure    // K, the highest at which the subject comes to rest as it warms, and
	Falling Figure    // K, the lowest as it cools; missing unless the kind is a pair
	Cycle   Cycle

	Response    [len(fractions)]Figure   // s from the phase's start to 63.2, 90, 95, 99 % of the way to the level
	Within      [len(bands)]Figure       // s from the phase's start to staying within 1, 0.5, 0.1 K of the level
	StillToCome Figure                   // K: level minus the end
	Shortfall   [len(testLengths)]Figure // K: level minus the reading after 5, 10, 15, 30 min

	Peak, PeakAt float64  // K, s: highest of the subject, to 1e-8 K, and the first time of it
	TailMean     Figure   // K, over the tail window at the phase's end
	TailSD       Figure   // K
	Marks        []Figure // s from the phase's start to the first passing of each marked temperature, either way
	Nodes        []Node   // the other watched nodes, in the order of the settings
	Parts        []Part   // what the subject's rise is made up of, in the order of the settings
	Coolest      Figure   // K: the coolest and the hottest coolant at the level
	Hottest      Figure
}

// Node is the figures of another watched node, a die for instance, in a phase.
type Node struct {
	Level        Figure // K
	Peak, PeakAt float64
	TailMean     Figure // K
	TailSD       Figure // K
}

// Part is the figures of a part of the subject's rise in a phase.
type Part struct {
	Begin, End float64                // K
	Level      Figure                 // K
	Response   [len(fractions)]Figure // s, as of the subject
}

// Change returns how far the phase leads the part, K, as for the subject.
func (p *Part) Change() float64 {
	if p.Level.OK() {
		return p.Level.Value - p.Begin
	}
	return p.End - p.Begin
}

// Heating reports whether the subject was warming, towards its level or, if
// there is none, to the end. A loaded phase that begins at its level counts: it
// is one that has arrived.
func (p *Phase) Heating() bool {
	return p.Change() >= leastChange || p.Power > 0 && !p.Cooling()
}

// Cooling reports whether the subject was cooling by more than is lost in the
// level's own accuracy.
func (p *Phase) Cooling() bool { return p.Change() <= -leastChange }

// Change returns how far the phase leads the subject, K: to its level, or to
// its end if there is none.
func (p *Phase) Change() float64 {
	if p.Level.OK() {
		return p.Level.Value - p.Begin
	}
	return p.End - p.Begin
}

// giveUp replaces the reason of every figure that was still waited for.
func (p *Phase) giveUp(cut string) {
	for _, figures := range [...][]Figure{p.Response[:], p.Shortfall[:], p.Marks} {
		stopWaiting(figures, cut)
	}
	for i := range p.Parts {
		stopWaiting(p.Parts[i].Response[:], cut)
	}
}

// stopWaiting replaces the reason of those of the figures that were waited for.
func stopWaiting(figures []Figure, cut string) {
	for i := range figures {
		if why := figures[i].Why; why == notReached || why == tooShort {
			figures[i].Why = cut
		}
	}
}

// Largest returns the index of the phase with the largest warming, and of the
// first cooling phase after it; -1 where there is none.
func Largest(phases []Phase) (heating, cooling int) {
	heating, cooling = -1, -1
	for i := range phases {
		if phases[i].Heating() && (heating < 0 || phases[i].Change() > phases[heating].Change()) {
			heating = i
		}
	}
	for i := heating + 1; heating >= 0 && i < len(phases); i++ {
		if phases[i].Cooling() {
			return heating, i
		}
	}
	return heating, cooling
}
