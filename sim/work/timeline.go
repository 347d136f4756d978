package work

import "math"

// Timeline is the requested power of several sources together. Its phases are
// the longest intervals over which no source changes.
type Timeline struct {
	patterns []Pattern
}

// Break is a time at which the load of a timeline turns.
type Break struct {
	At   float64 // s
	Jump bool    // some source's power changes at once; if not, only slopes do
}

// NewTimeline joins the patterns of all sources, in the order of the network.
func NewTimeline(patterns []Pattern) Timeline {
	return Timeline{patterns: append([]Pattern(nil), patterns...)}
}

// Power writes the power of every source at time t (W) into dst, which must
// have one element a source; at a jump the powers that begin there.
func (l Timeline) Power(t float64, dst []float64) {
	for i, p := range l.patterns {
		dst[i] = p.At(t)
	}
}

// Load writes power (W) and slope (W/s) of every source at time t into slices
// of one element a source; at a break those that begin there. They hold up to
// the next break.
func (l Timeline) Load(t float64, power, slope []float64) { l.load(t, power, slope, nil) }

// load is Load with hints where to look; see place.
func (l Timeline) load(t float64, power, slope []float64, hints []place) {
	for i := range l.patterns {
		power[i], slope[i] = l.patterns[i].line(t, l.locate(i, t, hints))
	}
}

// NextBreak returns the first time after t at which some source's power or
// slope really changes, and false if none does any more. The end of a piece
// after which all goes on as before is passed over. Breaks that differ only by
// rounding, such as the end of 7 cycles of 0.7 s and the end of a step of
// 4.9 s, are one: at the last of them.
func (l Timeline) NextBreak(t float64) (Break, bool) { return l.next(t, nil) }

// NextJump returns the time of NextBreak. While no pattern has a ramp every
// break is a jump; where some have, kinks count too.
func (l Timeline) NextJump(t float64) (float64, bool) {
	b, ok := l.next(t, nil)
	return b.At, ok
}

// Steady reports whether every requested power stays the same from one time up
// to a later one, a break just there or only rounding before it left out.
func (l Timeline) Steady(from, to float64) bool {
	for _, p := range l.patterns {
		if _, slope := p.Load(from); slope != 0 {
			return false
		}
	}
	next, ok := l.NextBreak(from)
	return !ok || next.At >= to || Together(next.At, to)
}

// Together reports whether t and a later time differ by no more than rounding:
// 1e-12 of them.
func Together(t, later float64) bool { return later-t <= 1e-12*t }

// next is NextBreak with hints where to look.
func (l Timeline) next(t float64, hints []place) (Break, bool) {
	at, what, ok := l.pieceEnd(t, hints)
	for ok && what == nothing {
		at, what, ok = l.pieceEnd(at, hints)
	}
	if !ok {
		return Break{}, false
	}
	for {
		later, also, ok := l.pieceEnd(at, hints)
		if !ok || !Together(at, later) {
			return Break{At: at, Jump: what == jump}, true
		}
		at, what = later, max(what, also)
	}
}

// pieceEnd returns the first end of a piece of any pattern after t and the most
// that happens to any power there.
func (l Timeline) pieceEnd(t float64, hints []place) (at float64, what change, ok bool) {
	at = math.Inf(1)
	for i := range l.patterns {
		p := &l.patterns[i]
		here := l.locate(i, t, hints)
		if here.piece < 0 {
			continue
		}
		end := p.script.end(here)
		if end > at {
			continue
		}
		if end < at {
			at, what = end, nothing
		}
		what = max(what, p.turn(here, p.locate(end, here)))
	}
	return at, what, !math.IsInf(at, 1)
}

// locate returns the place of t in a pattern and keeps it as the next hint.
func (l Timeline) locate(pattern int, t float64, hints []place) place {
	if hints == nil {
		return l.patterns[pattern].locate(t, place{})
	}
	hints[pattern] = l.patterns[pattern].locate(t, hints[pattern])
	return hints[pattern]
}

// Energy writes the energy that every source asks for from one time to another
// (J) into dst; see Pattern.Energy.
func (l Timeline) Energy(from, to float64, dst []float64) {
	for i, p := range l.patterns {
		dst[i] = p.Energy(from, to)
	}
}

// Mean writes the mean power of every source from one time to a later one (W)
// into dst.
func (l Timeline) Mean(from, to float64, dst []float64) {
	for i, p := range l.patterns {
		dst[i] = p.Mean(from, to)
	}
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
			end, ends = max(end, e), true
		}
	}
	return end, !ends
}

// Period returns the length after which the whole load repeats itself, s, and
// the time from which it does: when the last pattern that ends has ended. ok is
// false if nothing repeats for ever, or if the cycles of the patterns that do
// have no common multiple within 1000 of the longest. Cycles count as
// commensurable if they meet to within rounding (see Together).
func (l Timeline) Period() (from, length float64, ok bool) {
	for _, p := range l.patterns {
		if e, ends := p.End(); ends {
			from = max(from, e)
		}
		if s, repeats := p.Period(); repeats {
			length = max(length, s)
		}
	}
	const most = 1000
	for k := 1; k <= most && length > 0; k++ {
		if common := float64(k) * length; l.repeatsAfter(common) {
			return from, common, true
		}
	}
	return 0, 0, false
}

// repeatsAfter reports whether s is a whole number of cycles of every pattern
// that repeats for ever.
func (l Timeline) repeatsAfter(s float64) bool {
	for _, p := range l.patterns {
		cycle, repeats := p.Period()
		if !repeats {
			continue
		}
		met := math.Round(s/cycle) * cycle
		if !Together(min(s, met), max(s, met)) {
			return false
		}
	}
	return true
}

// Least writes the smallest power each source ever asks for (W) into dst: the
// idle load.
func (l Timeline) Least(dst []float64) {
	for i, p := range l.patterns {
		dst[i] = p.Least()
	}
}

// Most writes the largest power each source ever asks for (W) into dst.
func (l Timeline) Most(dst []float64) {
	for i, p := range l.patterns {
		dst[i] = p.Most()
	}
}
