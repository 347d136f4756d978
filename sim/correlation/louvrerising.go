package correlation

import "math"

// LouvredFriction is [FanningLouvre] of one fin with what does not depend on the flow
// already worked out, and with one remedy: for many fins the published branches lie so
// far apart that between 130 and 230 a faster flow would lose less, the low branch being
// too high. Its low branch is then taken by a share at which the loss rises at all
// speeds. The remedy is this package's and not published; see [LouvredFriction.LowShare].
type LouvredFriction struct {
	share               float64
	turn                float64 // below it f Re is constant
	low, high           float64 // f at 130, by the share, and at 230
	lowPower, highPower float64 // of Re in f1 of the two branches
}

// Ends of the amended part of [FanningLouvre].
const louvreLowEnd, louvreHighEnd = 130, 230

// mostLouvreFall is the largest ratio of f at the two ends of the amended part at which
// the loss rises there safely: f falls as Re^-1.44 at the steepest. At 1.66 it falls as
// Re^-2, and the loss with it.
const mostLouvreFall = 1.5

// NewLouvredFriction returns the friction of a fin.
func NewLouvredFriction(l LouvredFin) LouvredFriction {
	low, high := fanningLouvreLow(l, louvreLowEnd), fanningLouvreHigh(l, louvreHighEnd)
	share := math.Min(1, mostLouvreFall*high/low)
	return LouvredFriction{
		share: share, turn: fanningLouvreTurn(l), low: share * low, high: high,
		lowPower: louvreLowPower(l), highPower: louvreHighPower(l),
	}
}

// LowShare returns the share of the published low branch that is taken, 1 if it needs no
// remedy.
func (f LouvredFriction) LowShare() float64 { return f.share }

// Fanning returns the factor at a Reynolds number on the louvre pitch, with the slope of
// its logarithm against ln Re. The slope jumps at 130 and 230 and there belongs to the
// part above.
func (f LouvredFriction) Fanning(re float64) (factor, slope float64) {
	switch {
	case re >= louvreHighEnd:
		grown := math.Log(0.3*re) / math.Log(0.3*louvreHighEnd)
		factor = f.high * math.Pow(re/louvreHighEnd, f.highPower) * math.Pow(grown, -2.966)
		return factor, f.highPower - 2.966/math.Log(0.3*re)
	case re >= louvreLowEnd:
		factor = louvreAmended(f.low, f.high, re)
		return factor, re * 0.005 * (f.high*f.high - f.low*f.low) / (factor * factor)
	case re < f.turn:
		least, _ := f.lowBranch(f.turn)
		return least * f.turn / re, -1
	}
	return f.lowBranch(re)
}

func (f LouvredFriction) lowBranch(re float64) (factor, slope float64) {
	grown := math.Log(0.5*re) / math.Log(0.5*louvreLowEnd)
	factor = f.low * math.Pow(re/louvreLowEnd, f.lowPower) * math.Pow(grown, -3.01)
	return factor, f.lowPower - 3.01/math.Log(0.5*re)
}
