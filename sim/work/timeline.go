package work

import "math"

// Timeline is the requested power of several sources together. Its phases are
// the longest intervals over which no source changes.
type Timeline struct {
	patterns []Pattern
}

// NewTimeline joins the patterns of all sources, in the order of the network.
func NewTimeline(patterns []Pattern) Timeline {
	return Timeline{patterns: append([]Pattern(nil), patterns...)}
}

// Power writes the power of every source at time t (W) into dst, which must
// have one element a source; at a jump the levels that begin there.
func (l Timeline) Power(t float64, dst []float64) {
	for i, p := range l.patterns {
		dst[i] = p.At(t)
	}
}

// NextJump returns the first time after t at which some source's power really
// changes, s, and false if none does any more. A break point at which every
// level stays the same is passed over. Jumps that differ only by rounding, such
// as the end of 7 cycles of 0.7 s and the end of a step of 4.9 s, are one: at
// the last of them.
func (l Timeline) NextJump(t float64) (float64, bool) {
	for from := t; ; {
		next, ok := l.nextBreak(from)
		if !ok {
			return 0, false
		}
		if l.changes(t, next) {
			return l.last(next), true
		}
		from = next
	}
}

// Together reports whether t and a later time differ by no more than rounding:
// 1e-12 of them.
func Together(t, later float64) bool { return later-t <= 1e-12*t }

// last returns the last break point that differs from t by rounding at most.
func (l Timeline) last(t float64) float64 {
	for {
		next, ok := l.nextBreak(t)
		if !ok || !Together(t, next) {
			return t
		}
		t = next
	}
}

// nextBreak returns the first break point of any pattern after t.
func (l Timeline) nextBreak(t float64) (float64, bool) {
	next := math.Inf(1)
	for _, p := range l.patterns {
		if u, ok := p.Next(t); ok {
			next = math.Min(next, u)
		}
	}
	return next, !math.IsInf(next, 1)
}

// changes reports whether any source has another power at next than at t.
func (l Timeline) changes(t, next float64) bool {
	for _, p := range l.patterns {
		if p.At(t) != p.At(next) {
			return true
		}
	}
	return false
}

// End returns the time at which the last pattern that ends has ended, s.
// endless is true if some pattern runs for ever or if none does anything but
// rest; the work then has no end of its own.
func (l Timeline) End() (end float64, endless bool) {
	ends := false
	for _, p := range l.patterns {
		if p.Endless() {
			return 0, true
		}
		if e, ok := p.End(); ok {
			end, ends = math.Max(end, e), true
		}
	}
	return end, !ends
}

// Least writes the smallest power each source ever asks for (W) into dst: the
// idle load.
func (l Timeline) Least(dst []float64) {
	for i, p := range l.patterns {
		dst[i] = p.Least()
	}
}
