package work

// Cursor walks a timeline. It remembers where it was last asked about, so that
// going forward costs the same however long the patterns are. It may be asked
// about any time in any order and always answers as its timeline does; only the
// way there is longer. One run owns it; the timeline may be shared.
type Cursor struct {
	line  Timeline
	hints []place // one a pattern

	from  float64 // the time that next was found for
	next  Break
	more  bool // whether there is a next break
	asked bool // whether from, next and more hold anything
}

// NewCursor returns a cursor at the start of a timeline.
func NewCursor(l Timeline) *Cursor {
	return &Cursor{line: l, hints: make([]place, len(l.patterns))}
}

// Load is Timeline.Load.
func (c *Cursor) Load(t float64, power, slope []float64) { c.line.load(t, power, slope, c.hints) }

// Next is Timeline.NextBreak. Asked again before the break that it has found, it
// answers without a search.
func (c *Cursor) Next(t float64) (Break, bool) {
	if c.asked && t >= c.from && (!c.more || t < c.next.At) {
		return c.next, c.more
	}
	c.next, c.more = c.line.next(t, c.hints)
	c.from, c.asked = t, t >= 0 // before time zero no pattern has begun
	return c.next, c.more
}
