package work

import "sort"

// place is where in a pattern a time falls. The zero place is its start.
type place struct {
	cycle int
	piece int // resting if the pattern rests
}

const resting = -1

// start returns the start of a place's piece, s. The end of a cycle and the
// start of the next are the same expression, so that both are the same number.
// The conversion keeps the product from being fused with the sum.
func (s *script) start(at place) float64 {
	return float64(float64(at.cycle)*s.length) + s.starts[at.piece]
}

// end returns the end of a place's piece, s.
func (s *script) end(at place) float64 { return s.start(s.after(at)) }

// after returns the place of the next piece.
func (s *script) after(at place) place {
	if at.piece+1 < len(s.starts) {
		return place{at.cycle, at.piece + 1}
	}
	return place{at.cycle + 1, 0}
}

// before returns the place of the piece before, or at itself if it is the
// pattern's first.
func (s *script) before(at place) place {
	switch {
	case at.piece > 0:
		return place{at.cycle, at.piece - 1}
	case at.cycle > 0:
		return place{at.cycle - 1, len(s.starts) - 1}
	}
	return at
}

// locate returns the place of time t (the later piece at a break). It is found
// at once if the hint, a place that was right for another time, is no more than
// a piece away.
func (p Pattern) locate(t float64, hint place) place {
	if !(t >= 0 && t < p.reach) {
		return place{piece: resting}
	}
	if hint.piece >= 0 {
		if at, ok := p.script.near(t, hint); ok {
			return at
		}
	}
	return p.script.find(t)
}

// near looks for t in the hint's piece and its neighbours.
func (s *script) near(t float64, hint place) (place, bool) {
	start := s.start(hint)
	if t < start {
		hint = s.before(hint)
		return hint, s.start(hint) <= t
	}
	next := s.after(hint)
	if t < s.start(next) {
		return hint, true
	}
	return next, t < s.end(next)
}

// find searches the place of t >= 0 as if the script ran for ever.
func (s *script) find(t float64) place {
	cycle := int(t / s.length)
	// The division may round across a cycle's end; the products decide.
	for cycle > 0 && s.start(place{cycle, 0}) > t {
		cycle--
	}
	for s.start(place{cycle + 1, 0}) <= t {
		cycle++
	}
	later := sort.Search(len(s.starts), func(i int) bool { return s.start(place{cycle, i}) > t })
	return place{cycle, later - 1}
}

// line returns power and slope (W, W/s) at t, which lies at a place.
func (p Pattern) line(t float64, at place) (power, slope float64) {
	first, final := p.ends(at)
	if first == final {
		return first, 0
	}
	start, end := p.script.start(at), p.script.end(at)
	return first + float64((final-first)*((t-start)/(end-start))), (final - first) / (end - start)
}

// ends returns the power at the start of a place and just before its end, W.
func (p Pattern) ends(at place) (first, final float64) {
	if at.piece < 0 {
		rest := p.power(p.rest)
		return rest, rest
	}
	first = p.power(p.script.first[at.piece])
	if at.piece >= len(p.script.final) {
		return first, first
	}
	return first, p.power(p.script.final[at.piece])
}

// slope returns the slope of a place's piece from its place in the cycle, W/s,
// so that it is the same in every cycle.
func (p Pattern) slope(at place) float64 {
	if at.piece < 0 || at.piece >= len(p.script.final) {
		return 0
	}
	first, final := p.ends(at)
	return (final - first) / (p.script.stop(at.piece) - p.script.starts[at.piece])
}

// change is what happens to a power at a break.
type change int

const (
	nothing change = iota
	kink           // its slope changes
	jump           // its power changes at once
)

// turn returns what happens between two places that follow each other.
func (p Pattern) turn(from, to place) change {
	_, before := p.ends(from)
	after, _ := p.ends(to)
	switch {
	case before != after:
		return jump
	case p.slope(from) != p.slope(to):
		return kink
	}
	return nothing
}

// At returns the power at time t, W; at a jump the power that begins there.
func (p Pattern) At(t float64) float64 {
	power, _ := p.Load(t)
	return power
}

// Load returns the power at time t, W, and its slope, W/s; at a break those
// that begin there.
func (p Pattern) Load(t float64) (power, slope float64) {
	return p.line(t, p.locate(t, place{}))
}

// Next returns the first time after t at which the pattern may change, s, and
// false if it never does again.
func (p Pattern) Next(t float64) (float64, bool) {
	at := p.locate(t, place{})
	if at.piece < 0 {
		return 0, false
	}
	return p.script.end(at), true
}
