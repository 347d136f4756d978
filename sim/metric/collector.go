package metric

import (
	"math"

	"soakledger/sim/record"
)

// The reasons why a figure that waits for something in its phase is missing.
const (
	notReached = "not reached in this phase"
	tooShort   = "the phase is shorter"
	noWay      = "the part changes by less than 0.01 K, so there is nothing to time"
)

// leastChange is the smallest way to a level that is worth timing, K.
const leastChange = 0.01

// Settings says what a collector watches. Indices are components of the
// state, those of parts also of what follows from it and stands behind it.
type Settings struct {
	Subject int       // whose soak is timed
	Nodes   []int     // other nodes with a level, a peak and a tail: dies, the coolant of other loops
	Coolant []int     // coolant cells
	Parts   []int     // what the subject's rise is made up of: each with a level and times to it
	Tail    float64   // s, window at the end of a phase; all of a shorter phase
	Marks   []float64 // K, temperatures of the subject to be timed
}

// Level is the equilibrium of a phase: one temperature a state (K), NaN where
// a lump has none, with the reason for the missing ones, and the parts in the
// order of the settings (K), likewise. A nil State is a level that is missing as a
// whole, a nil Parts that of all of them.
type Level struct {
	State   []float64
	Parts   []float64
	Why     string
	Kind    LevelKind
	Rising  float64 // K, of the subject, for a pair
	Falling float64 // K, likewise
}

// LevelKind says what a load leads to.
type LevelKind string

const (
	Continuous LevelKind = "continuous" // one level
	Pair       LevelKind = "pair"       // controllers with hysteresis may rest at any level from falling to rising
	Cycling    LevelKind = "cycle"      // none: something goes to and fro for ever
	NoLevel    LevelKind = "none"       // for another reason: the load changes, nothing fixes it, it runs away
)

// kind returns the kind, also of a level that does not state it.
func (l Level) kind() LevelKind {
	switch {
	case l.Kind != "":
		return l.Kind
	case l.State == nil:
		return NoLevel
	}
	return Continuous
}

// part returns the level of one of the parts.
func (l Level) part(i int) Figure {
	if l.Parts == nil || math.IsNaN(l.Parts[i]) {
		return Missing(l.Why)
	}
	return Known(l.Parts[i])
}

// at returns the level of one state.
func (l Level) at(i int) Figure {
	if l.State == nil || math.IsNaN(l.State[i]) {
		return Missing(l.Why)
	}
	return Known(l.State[i])
}

// Collector turns segments into the figures of one phase after the other.
type Collector struct {
	s       Settings
	phase   *Phase
	tail    float64             // s, where the tail window of the phase begins
	timed   bool                // there is a way to a level, to be timed
	outside [len(bands)]float64 // s, last time outside each band around the level; -Inf: never yet
	subject window
	nodes   []window
	cycle   *cycler
	step    piece // the component in hand
	roots   []float64
}

// NewCollector returns a collector; it keeps s.
func NewCollector(s Settings) *Collector {
	nodes := append([]int{s.Subject}, s.Nodes...)
	return &Collector{s: s, nodes: make([]window, len(s.Nodes)), roots: make([]float64, 0, 8), cycle: newCycler(nodes)}
}

// Begin starts a phase at time from that is planned to last until until, with
// the requested power (W), the state y at its start and the load's level. It
// copies what it needs of both.
func (c *Collector) Begin(from, until, power float64, y []float64, level Level) {
	p := &Phase{From: from, To: from, Power: power, Begin: y[c.s.Subject], End: y[c.s.Subject], Peak: y[c.s.Subject], PeakAt: from}
	p.Level, p.Kind = level.at(c.s.Subject), level.kind()
	p.Rising, p.Falling = Missing(""), Missing("")
	if p.Kind == Pair {
		p.Rising, p.Falling = Known(level.Rising), Known(level.Falling)
	}
	c.cycle.begin()
	p.Nodes = make([]Node, len(c.s.Nodes))
	for i, n := range c.s.Nodes {
		p.Nodes[i] = Node{Level: level.at(n), Peak: y[n], PeakAt: from}
		c.nodes[i] = window{}
	}
	p.Coolest, p.Hottest = c.extremes(level)
	p.Marks = make([]Figure, len(c.s.Marks))
	for i := range p.Marks {
		p.Marks[i] = Missing(notReached)
	}
	c.phase, c.tail, c.subject = p, max(from, until-c.s.Tail), window{}
	c.beginTimes(p)
	c.beginParts(p, y, level)
}

// beginParts starts the figures of the parts.
func (c *Collector) beginParts(p *Phase, y []float64, level Level) {
	if len(c.s.Parts) == 0 {
		return
	}
	p.Parts = make([]Part, len(c.s.Parts))
	for i, component := range c.s.Parts {
		part := &p.Parts[i]
		part.Begin, part.End, part.Level = y[component], y[component], level.part(i)
		why := notReached
		switch {
		case !part.Level.OK():
			why = part.Level.Why
		case math.Abs(part.Change()) < leastChange:
			why = noWay
		}
		for k := range part.Response {
			part.Response[k] = Missing(why)
		}
	}
}

// beginTimes sets the figures that wait for a passing.
func (c *Collector) beginTimes(p *Phase) {
	why := notReached
	c.timed = p.Level.OK() && math.Abs(p.Change()) >= leastChange
	switch {
	case !p.Level.OK():
		why = p.Level.Why
	case !c.timed:
		why = "the phase begins within 0.01 K of its level, so there is nothing to time"
	}
	for i := range fractions {
		p.Response[i] = Missing(why)
	}
	for i, b := range bands {
		c.outside[i] = math.Inf(-1)
		if p.Level.OK() && math.Abs(p.Change()) > b {
			c.outside[i] = p.From
		}
	}
	for i := range testLengths {
		p.Shortfall[i] = Missing(tooShort)
		if !p.Level.OK() {
			p.Shortfall[i] = p.Level
		}
	}
}

// extremes returns the coolest and the hottest coolant at the level.
func (c *Collector) extremes(level Level) (coolest, hottest Figure) {
	if len(c.s.Coolant) == 0 {
		missing := Missing("the scenario has no coolant")
		return missing, missing
	}
	for k, i := range c.s.Coolant {
		f := level.at(i)
		if !f.OK() {
			return f, f
		}
		if k == 0 || f.Value < coolest.Value {
			coolest = f
		}
		if k == 0 || f.Value > hottest.Value {
			hottest = f
		}
	}
	return coolest, hottest
}

// Add takes the next step of the phase in hand.
func (c *Collector) Add(s record.Segment) {
	p := c.phase
	step := &c.step
	step.start, step.end = s.Start(), s.End()
	if p.Kind == Cycling {
		c.cycle.add(s)
	}
	step.take(s, c.s.Subject)
	c.time(step)
	step.raise(&p.Peak, &p.PeakAt)
	c.subject.add(step, c.tail)
	p.To, p.End = step.end, step.poly.At(1)
	for i, n := range c.s.Nodes {
		step.take(s, n)
		step.raise(&p.Nodes[i].Peak, &p.Nodes[i].PeakAt)
		c.nodes[i].add(step, c.tail)
	}
	for i, component := range c.s.Parts {
		step.take(s, component)
		c.addPart(&p.Parts[i], step)
	}
}

// Turn says that, at time t, the end of the last step, something that goes to and fro
// has switched on: where a load leads to no level, a cycle ends there and another begins.
func (c *Collector) Turn(t float64) {
	if c.phase.Kind == Cycling {
		c.cycle.mark(t)
	}
}

// addPart looks for the passings of a part in one step.
func (c *Collector) addPart(p *Part, step *piece) {
	p.End = step.poly.At(1)
	if !p.Level.OK() || math.Abs(p.Change()) < leastChange {
		return
	}
	for i, f := range fractions {
		c.pass(&p.Response[i], step, p.Begin+f*p.Change())
	}
}

// time looks for the passings of the subject in one step.
func (c *Collector) time(step *piece) {
	p := c.phase
	for i, mark := range c.s.Marks {
		c.pass(&p.Marks[i], step, mark)
	}
	if !p.Level.OK() {
		return
	}
	level := p.Level.Value
	if c.timed {
		for i, f := range fractions {
			c.pass(&p.Response[i], step, p.Begin+f*(level-p.Begin))
		}
	}
	for i, b := range bands {
		c.settle(i, step, level-b, level+b)
	}
	for i, after := range testLengths {
		if t := p.From + after; t > step.start && t <= step.end {
			p.Shortfall[i] = Known(level - step.poly.At(step.theta(t)))
		}
	}
}

// pass fills in when the component in hand first passes a temperature, if it is still
// waited for.
func (c *Collector) pass(f *Figure, step *piece, at float64) {
	if f.OK() || at < step.low || at > step.high {
		return
	}
	if c.roots = step.poly.Crossings(at, c.roots[:0]); len(c.roots) > 0 {
		*f = Known(step.time(c.roots[0]) - c.phase.From)
	}
}

// settle moves the last time outside band i on.
func (c *Collector) settle(i int, step *piece, low, high float64) {
	if step.high <= high && step.low >= low {
		return
	}
	if last := step.poly.At(1); last < low || last > high {
		c.outside[i] = step.end
		return
	}
	for _, edge := range [...]float64{low, high} {
		if c.roots = step.poly.Crossings(edge, c.roots[:0]); len(c.roots) > 0 {
			c.outside[i] = max(c.outside[i], step.time(c.roots[len(c.roots)-1]))
		}
	}
}

// Finish ends the phase in hand and returns its figures. cut is the reason why
// it ended before its time, or empty: figures that the rest of the phase would
// have decided are then missing for that reason.
func (c *Collector) Finish(cut string) Phase {
	p := c.phase
	p.StillToCome = p.Level.Minus(p.End)
	for i := range bands {
		switch {
		case !p.Level.OK():
			p.Within[i] = p.Level
		case cut != "":
			p.Within[i] = Missing(cut)
		case c.outside[i] >= p.To:
			p.Within[i] = Missing(notReached)
		default:
			p.Within[i] = Known(max(c.outside[i], p.From) - p.From)
		}
	}
	p.Cycle = noCycle(1+len(c.s.Nodes), "")
	if p.Kind == Cycling {
		p.Cycle = c.cycle.figures()
	}
	p.TailMean, p.TailSD = c.subject.figures(cut)
	for i := range p.Nodes {
		p.Nodes[i].TailMean, p.Nodes[i].TailSD = c.nodes[i].figures(cut)
	}
	if cut != "" {
		p.giveUp(cut)
	}
	c.phase = nil
	return *p
}
