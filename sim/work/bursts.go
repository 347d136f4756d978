package work

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

// Bursts are levels of random length and power in turn: a burst, a pause, a
// burst. The same Bursts and streams give the same pieces, bit for bit, on
// every platform and for ever: the generator is PCG-DXSM of math/rand/v2, whose
// sequence is fixed; each draw takes the upper 53 bits of one of its numbers; and
// what is computed from them rounds in the same way everywhere.
type Bursts struct {
	Seed  uint64
	For   float64      // s, total length, > 0; the last piece is cut there
	Burst Distribution // s, from above zero
	Pause Distribution // s, from above zero; zero for none: burst follows burst
	High  Distribution // of bursts, W or shares
	Low   Distribution // of pauses, W or shares; zero for 0
}

// Streams says which random numbers of a seed a source draws. Sources with the
// same stream of lengths have the same breaks; sources with the same stream of
// levels draw the same share of their own distributions (fully correlated),
// others draw independently. Lengths and levels never share numbers.
type Streams struct {
	Lengths uint64
	Levels  uint64
}

// Pieces returns what a source with the given streams asks for. It fails if a
// distribution is missing, a length may be zero, or there would be more than
// ten million pieces.
func (b Bursts) Pieces(s Streams) ([]Piece, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	lengths, levels := b.random(1, s.Lengths), b.random(2, s.Levels)
	var pieces []Piece
	var end twofold
	for pause := false; ; pause = !pause {
		length, level := b.Burst, b.High
		if pause {
			length, level = b.Pause, b.Low
		}
		if length.IsZero() {
			continue
		}
		p := Piece{Length: length.At(share(lengths))}
		if !level.IsZero() {
			p.From = level.At(share(levels))
		}
		p.To = p.From
		left := b.For - end.hi
		if left-p.Length <= 1e-12*b.For { // no sliver is left for a next piece
			p.Length = left
			return append(pieces, p), nil
		}
		end = end.plus(p.Length)
		pieces = append(pieces, p)
	}
}

// Mean returns the mean power in the long run: that of bursts and pauses
// weighted by their mean lengths, by the renewal-reward theorem.
func (b Bursts) Mean() float64 {
	burst, pause := b.Burst.Mean(), b.Pause.Mean()
	return (burst*b.High.Mean() + pause*b.Low.Mean()) / (burst + pause)
}

// check reports what cannot be drawn.
func (b Bursts) check() error {
	if !(b.For > 0) || math.IsInf(b.For, 0) {
		return fmt.Errorf("work: bursts cannot go on for %g s", b.For)
	}
	if b.Burst.IsZero() || b.High.IsZero() {
		return errors.New("work: bursts need lengths and levels")
	}
	shortest, _ := b.Burst.Bounds()
	pause, _ := b.Pause.Bounds()
	if !(shortest > 0) || !b.Pause.IsZero() && !(pause > 0) {
		return errors.New("work: bursts and pauses need a shortest length above zero")
	}
	if b.For/(shortest+pause) > mostPieces/2 {
		return fmt.Errorf("work: bursts as short as %g s are too many for %g s", shortest, b.For)
	}
	return nil
}

// random returns the generator of a stream for lengths (1) or levels (2). Seed
// and stream are scrambled first, since PCG's own sequences from neighbouring
// seeds are neighbours too.
func (b Bursts) random(purpose, stream uint64) *rand.PCG {
	return rand.NewPCG(scramble(b.Seed), scramble(scramble(stream)+purpose))
}

// scramble spreads every bit of x over all: the finaliser of SplitMix64, after
// G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number
// generators", OOPSLA 2014, with the constants of its variant 13.
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// share returns the next random number of [0, 1), a multiple of 2^-53.
func share(r *rand.PCG) float64 { return float64(r.Uint64()>>11) * 0x1p-53 }
