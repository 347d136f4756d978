package work

import (
	"fmt"
	"math"
)

// mostPieces bounds what a generator makes.
const mostPieces = 10_000_000

// Pulse is the shape of regular bursts.
type Pulse struct {
	On, Off float64 // s, > 0: how long a burst and the pause after it last
	Ratio   float64 // power of a burst over that of a pause, >= 1; +Inf for pauses of 0 W
}

// Flat returns the constant power with the same energy as p from time 0 to
// duration (s, > 0).
func (p Pattern) Flat(duration float64) ([]Piece, error) {
	if err := checkDuration(duration); err != nil {
		return nil, err
	}
	mean := p.Mean(0, duration)
	return []Piece{{Length: duration, From: mean, To: mean}}, nil
}

// Pulsed returns regular bursts with the same energy as p from time 0 to
// duration (s, > 0). They begin with a burst; what does not fit is cut, and the
// powers are those that give the same energy with the cut.
func (p Pattern) Pulsed(duration float64, u Pulse) ([]Piece, error) {
	if err := checkDuration(duration); err != nil {
		return nil, err
	}
	switch {
	case !(u.On > 0 && u.Off > 0) || math.IsInf(u.On+u.Off, 0):
		return nil, fmt.Errorf("work: bursts cannot last %g s, with pauses of %g s", u.On, u.Off)
	case !(u.Ratio >= 1):
		return nil, fmt.Errorf("work: bursts cannot ask for %g times the power of pauses", u.Ratio)
	case duration/(u.On+u.Off) > mostPieces/2:
		return nil, fmt.Errorf("work: bursts of %g s, with pauses of %g s, are too many for %g s", u.On, u.Off, duration)
	}
	cycles, burst, pause := u.fit(duration)
	on := float64(cycles)*u.On + burst
	off := float64(cycles)*u.Off + pause
	high := p.Energy(0, duration) / (on + off/u.Ratio)
	low := high / u.Ratio
	pieces := make([]Piece, 0, 2*cycles+2)
	for range cycles {
		pieces = append(pieces, Piece{u.On, high, high}, Piece{u.Off, low, low})
	}
	return appendLevel(append(pieces, Piece{burst, high, high}), pause, low), nil
}

// fit returns how many whole cycles come before the last one, and the burst and
// the pause of that, s. What only rounding leaves over goes to the last piece.
func (u Pulse) fit(duration float64) (cycles int, burst, pause float64) {
	sliver := 1e-12 * duration
	cycles = max(0, int(math.Ceil((duration-sliver)/(u.On+u.Off)))-1)
	left := duration - float64(cycles)*(u.On+u.Off)
	if left <= u.On+sliver {
		return cycles, left, 0
	}
	return cycles, u.On, left - u.On
}

// checkDuration refuses what is no length of time.
func checkDuration(s float64) error {
	if !(s > 0) || math.IsInf(s, 0) {
		return fmt.Errorf("work: a companion of equal energy cannot last %g s", s)
	}
	return nil
}
