package work

import "math"

// Cycle is a load that repeats itself.
type Cycle struct {
	From, To float64  // s, between which a timeline repeats it; To is +Inf where it does for ever
	Length   float64  // s
	Load     Timeline // the same sources, repeating it for ever; its cycles begin at whole numbers of Length
}

// Cycle returns the load that a timeline is repeating when it comes to a time (s,
// > 0, or +Inf), or that it repeated last before, and false if it repeats none.
//
// A source repeats if it has run its changes at least twice by its end, or does so
// for ever. Those that go on until then, or longest, make the cycle; the others must
// be constant beside them, be it at rest: what ends earlier moves From on. The cycles
// of all must have a common multiple, see Period, for which there is time twice.
func (l Timeline) Cycle(until float64) (c Cycle, ok bool) {
	last := 0.0 // s, the end of what repeats longest
	for _, p := range l.patterns {
		if p.repeats() {
			last = math.Max(last, p.reaches())
		}
	}
	c.To = math.Min(until, last)
	for _, p := range l.patterns {
		if end, ends := p.End(); ends && end < c.To && !Together(end, c.To) {
			c.From = math.Max(c.From, end)
		}
	}
	for _, p := range l.patterns {
		switch {
		case p.repeats() && (p.reaches() >= c.To || Together(p.reaches(), c.To)):
			p = p.forEver()
		case !(Timeline{[]Pattern{p}}).Steady(c.From, c.To):
			return Cycle{}, false
		default:
			p = Constant(p.At(c.From))
		}
		c.Load.patterns = append(c.Load.patterns, p)
	}
	_, c.Length, ok = c.Load.Period()
	twice := c.From + 2*c.Length
	if !ok || last < twice && !Together(last, twice) {
		return Cycle{}, false
	}
	return c, true
}

// repeats reports whether a pattern runs changes of power more than once.
func (p Pattern) repeats() bool {
	return p.script != nil && p.cycles != 1 && p.power(p.script.least) != p.power(p.script.most)
}

// reaches returns the time up to which a pattern runs its cycles, s.
func (p Pattern) reaches() float64 {
	if end, ends := p.End(); ends {
		return end
	}
	return math.Inf(1)
}

// forEver returns the pattern that runs the cycles of p without end.
func (p Pattern) forEver() Pattern {
	p.cycles, p.reach = 0, p.script.shortest*0x1p50
	return p
}
