package work

// Energy returns the integral of the power from one time to another, J, exact
// for the straight lines a pattern is made of and to a few units of rounding of
// itself. It is negative for a time that runs backwards.
func (p Pattern) Energy(from, to float64) float64 {
	if to < from {
		return -p.Energy(to, from)
	}
	before := min(to, 0) - min(from, 0)
	after := max(to, p.reach) - max(from, p.reach)
	energy := p.power(p.rest) * (before + after)
	from, to = max(from, 0), min(to, p.reach)
	if from < to {
		whole := p.script.integral(from, to)
		energy += p.zero*((to-from)-whole) + p.one*whole
	}
	return energy
}

// Mean returns the mean power from one time to a later one, W, and the power at
// that time if both are the same.
func (p Pattern) Mean(from, to float64) float64 {
	if from == to {
		return p.At(from)
	}
	return p.Energy(from, to) / (to - from)
}

// integral returns the integral of the script's value from one time to a later
// one, both within the pattern's work.
func (s *script) integral(from, to float64) float64 {
	a, b := s.find(from), s.find(to)
	if a == b {
		return (to - from) * (0.5*s.value(from, a) + 0.5*s.value(to, a))
	}
	head := (s.end(a) - from) * (0.5*s.value(from, a) + 0.5*s.last(a.piece))
	tail := (to - s.start(b)) * (0.5*s.first[b.piece] + 0.5*s.value(to, b))
	switch {
	case b == s.after(a): // the common case of a phase between two breaks
		return head + tail
	case a.cycle == b.cycle:
		return head + s.upTo(b.piece).minus(s.upTo(a.piece+1)) + tail
	}
	rest := s.whole.minus(s.upTo(a.piece + 1))
	return head + rest + float64(b.cycle-a.cycle-1)*s.whole.hi + s.upTo(b.piece).hi + tail
}

// value returns the script's value at t, which lies at a place.
func (s *script) value(t float64, at place) float64 {
	first, final := s.first[at.piece], s.last(at.piece)
	start, end := s.start(at), s.end(at)
	return first + (final-first)*((t-start)/(end-start))
}
