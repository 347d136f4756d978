package work

import (
	"fmt"
	"math"
)

// Step is one level of a pattern.
type Step struct {
	For   float64 // s, > 0
	Power float64 // W
}

// Piece is a stretch of time over which power changes linearly.
type Piece struct {
	Length   float64 // s, > 0
	From, To float64 // W, at its start and just before its end
}

// Pattern is a piecewise linear power: a cycle of pieces run a number of
// times, then a rest level for ever. The zero Pattern is 0 W for ever.
//
// It may be asked about times up to 2^50 of its shortest piece (35 000 years
// for pieces of 1 ms), beyond which float64 cannot tell its pieces apart: there
// it rests.
type Pattern struct {
	script *script // one cycle; nil for a pattern that does nothing but rest
	cycles int     // how often the cycle runs; 0 with a script means for ever
	rest   float64 // value after the last cycle
	reach  float64 // s, when the rest begins
	zero   float64 // W at the value 0
	one    float64 // W at the value 1
}

// Constant returns a pattern that stays at power (W).
func Constant(power float64) Pattern { return Pattern{rest: power, one: 1} }

// New returns the pattern that runs steps one after the other, cycles times
// (cycles 0: for ever), and then rests at rest (W). Equal steps for ever are
// the same as a constant power. It fails on an empty list,
// a step that does not last, a negative count, or a value that is not finite.
func New(steps []Step, cycles int, rest float64) (Pattern, error) {
	pieces := make([]Piece, len(steps))
	for i, s := range steps {
		pieces[i] = Piece{Length: s.For, From: s.Power, To: s.Power}
	}
	return fromPieces("step", pieces, cycles, rest)
}

// FromPieces returns the pattern that runs pieces one after the other, cycles
// times (cycles 0: for ever), and then rests at rest (W). It fails as New does.
func FromPieces(pieces []Piece, cycles int, rest float64) (Pattern, error) {
	return fromPieces("piece", pieces, cycles, rest)
}

// fromPieces is FromPieces with the word that errors call a piece by.
func fromPieces(word string, pieces []Piece, cycles int, rest float64) (Pattern, error) {
	if len(pieces) == 0 {
		return Pattern{}, fmt.Errorf("work: a pattern needs at least one %s", word)
	}
	s := &script{starts: make([]float64, len(pieces)), first: make([]float64, len(pieces))}
	var end twofold
	for i, p := range pieces {
		s.starts[i] = end.hi
		end = end.plus(p.Length)
		switch {
		case !(p.Length > 0):
			return Pattern{}, fmt.Errorf("work: %s %d lasts %g s, but must last longer than zero", word, i+1, p.Length)
		case !finite(end.hi):
			return Pattern{}, fmt.Errorf("work: %s %d lasts %g s, which is too long", word, i+1, p.Length)
		case !(end.hi > s.starts[i]):
			return Pattern{}, fmt.Errorf("work: %s %d lasts %g s, which is lost in rounding after %g s", word, i+1, p.Length, s.starts[i])
		case !finite(p.From):
			return Pattern{}, fmt.Errorf("work: %s %d asks for %g W", word, i+1, p.From)
		case !finite(p.To):
			return Pattern{}, fmt.Errorf("work: %s %d asks for %g W", word, i+1, p.To)
		}
		s.first[i] = p.From
		if p.To != p.From && s.final == nil {
			s.final = append(make([]float64, 0, len(pieces)), s.first[:i]...)
		}
		if s.final != nil {
			s.final = append(s.final, p.To)
		}
	}
	s.length = end.hi
	return repeat(s, cycles, rest)
}

// finite reports whether v is a number.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// repeat returns the pattern that runs s cycles times and rests then.
func repeat(s *script, cycles int, rest float64) (Pattern, error) {
	if cycles < 0 {
		return Pattern{}, fmt.Errorf("work: a pattern cannot repeat %d times", cycles)
	}
	if !finite(rest) {
		return Pattern{}, fmt.Errorf("work: a pattern cannot rest at %g W", rest)
	}
	s.measure()
	p := Pattern{script: s, cycles: cycles, rest: rest, one: 1}
	p.reach = s.shortest * 0x1p50
	if cycles > 0 {
		p.reach = min(p.reach, float64(cycles)*s.length)
	}
	return p.settled(), nil
}

// settled returns p, or the constant that it amounts to if it repeats one level
// for ever: a search for a break in it would never end.
func (p Pattern) settled() Pattern {
	if !p.Endless() || p.power(p.script.least) != p.power(p.script.most) {
		return p
	}
	return Constant(p.power(p.script.least))
}

// period is the length of one cycle, s.
func (p Pattern) period() float64 { return p.script.length }

// Period returns the length after which the pattern repeats itself for ever, s:
// that of its cycle. ok is false for a constant and for a pattern that ends.
func (p Pattern) Period() (s float64, ok bool) {
	if !p.Endless() {
		return 0, false
	}
	return p.period(), true
}

// End returns the time after which the pattern only rests, s, and false if it
// never ends or never does anything but rest.
func (p Pattern) End() (float64, bool) {
	if p.script == nil || p.cycles == 0 {
		return 0, false
	}
	return float64(p.cycles) * p.period(), true
}

// Endless reports whether the pattern keeps changing for ever.
func (p Pattern) Endless() bool { return p.script != nil && p.cycles == 0 }

// Scaled returns the pattern with every power multiplied by factor. It shares
// the pieces.
func (p Pattern) Scaled(factor float64) Pattern {
	p.zero, p.one = factor*p.zero, factor*p.one
	if p.script == nil {
		return Constant(factor * p.rest)
	}
	return p.settled()
}

// Between returns the pattern that takes the values of p as shares: idle (W) at
// 0, full (W) at 1, exactly, and linear between and beyond. It shares the
// pieces.
func (p Pattern) Between(idle, full float64) Pattern {
	if p.script == nil {
		return Constant(mix(idle, full, p.rest))
	}
	p.zero, p.one = mix(idle, full, p.zero), mix(idle, full, p.one)
	return p.settled()
}

// mix returns what lies the share s of the way from a to b; both ends are
// exact. The conversions keep products from being fused with the sum.
func mix(a, b, s float64) float64 { return float64((1-s)*a) + float64(s*b) }

// power returns the power at a value of the script, W.
func (p Pattern) power(value float64) float64 { return mix(p.zero, p.one, value) }

// Least returns the smallest power of the pattern, its rest included only if
// the pattern ever rests, W.
func (p Pattern) Least() float64 {
	least, _ := p.extremes()
	return least
}

// Most returns the largest power of the pattern, its rest included only if the
// pattern ever rests, W. A ramp counts with both of its ends.
func (p Pattern) Most() float64 {
	_, most := p.extremes()
	return most
}

// extremes returns the smallest and the largest power, W.
func (p Pattern) extremes() (least, most float64) {
	rest := p.power(p.rest)
	if p.script == nil {
		return rest, rest
	}
	a, b := p.power(p.script.least), p.power(p.script.most)
	least, most = min(a, b), max(a, b)
	if p.Endless() {
		return least, most
	}
	return min(least, rest), max(most, rest)
}
