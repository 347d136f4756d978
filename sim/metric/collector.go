package metric

import (
	"math"

	"soakledger/sim/record"
)

// notReached is why most times are missing.
const notReached = "not reached in this phase"

// leastChange is the smallest way to a level that is worth timing, K.
const leastChange = 0.01

// Settings says what a collector watches. Indices are components of the
// state.
type Settings struct {
	Subject int       // whose soak is timed
	Nodes   []int     // other nodes with a level, a peak and a tail: dies, the coolant of other loops
	Coolant []int     // coolant cells
	Tail    float64   // s, window at the end of a phase
	Marks   []float64 // K, temperatures of the subject to be timed
}

// Level is the equilibrium of a phase: one temperature a state (K), NaN where
// a lump has none, with the reason for the missing ones.
type Level struct {
	State []float64
	Why   string
}

// at returns the level of one state.
func (l Level) at(i int) Figure {
	if l.State == nil || math.IsNaN(l.State[i]) {
		return Missing("%s", l.Why)
	}
	return Known(l.State[i])
}

// Collector turns segments into the figures of one phase after the other.
type Collector struct {
	s       Settings
	phase   *Phase
	until   float64 // planned end of the phase, s
	timed   bool    // there is a way to a level, to be timed
	outside [len(bands)]float64
	subject window
	nodes   []window
	roots   []float64
}

// NewCollector returns a collector; it keeps s.
func NewCollector(s Settings) *Collector {
	return &Collector{s: s, nodes: make([]window, len(s.Nodes)), roots: make([]float64, 0, 8)}
}

// Begin starts a phase at time from that is planned to last until until, with
// the state y at its start and the load's level.
func (c *Collector) Begin(from, until, power float64, y []float64, level Level) {
	p := &Phase{From: from, To: from, Power: power, Begin: y[c.s.Subject], End: y[c.s.Subject], Peak: y[c.s.Subject], PeakAt: from}
	p.Level = level.at(c.s.Subject)
	for i, n := range c.s.Nodes {
		p.Nodes = append(p.Nodes, Node{Level: level.at(n), Peak: y[n], PeakAt: from})
		c.nodes[i] = window{}
	}
	p.Coolest, p.Hottest = c.extremes(level)
	for range c.s.Marks {
		p.Marks = append(p.Marks, Missing(notReached))
	}
	c.phase, c.until, c.subject = p, until, window{}
	c.beginTimes(p)
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
		p.Response[i] = Missing("%s", why)
	}
	for i, b := range bands {
		c.outside[i] = math.Inf(-1)
		if p.Level.OK() && math.Abs(p.Change()) > b {
			c.outside[i] = p.From
		}
	}
	for i := range testLengths {
		p.Shortfall[i] = Missing("the phase is shorter")
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
	poly := record.Polynomial(s.Poly(c.s.Subject))
	c.time(s, &poly)
	p.Peak, p.PeakAt = higher(s, &poly, p.Peak, p.PeakAt)
	tail := math.Max(p.From, c.until-c.s.Tail)
	c.subject.add(s, &poly, tail)
	for i, n := range c.s.Nodes {
		poly := record.Polynomial(s.Poly(n))
		node := &p.Nodes[i]
		node.Peak, node.PeakAt = higher(s, &poly, node.Peak, node.PeakAt)
		c.nodes[i].add(s, &poly, tail)
	}
	p.To, p.End = s.End(), poly.At(1)
}

// time looks for the passings of the subject in one step.
func (c *Collector) time(s record.Segment, poly *record.Polynomial) {
	p := c.phase
	start, length := s.Start(), s.End()-s.Start()
	for i := range c.s.Marks {
		if !p.Marks[i].OK() {
			if c.roots = poly.Crossings(c.s.Marks[i], c.roots[:0]); len(c.roots) > 0 {
				p.Marks[i] = Known(start + c.roots[0]*length - p.From)
			}
		}
	}
	if !p.Level.OK() {
		return
	}
	level := p.Level.Value
	for i, f := range fractions {
		if c.timed && !p.Response[i].OK() {
			if c.roots = poly.Crossings(p.Begin+f*(level-p.Begin), c.roots[:0]); len(c.roots) > 0 {
				p.Response[i] = Known(start + c.roots[0]*length - p.From)
			}
		}
	}
	for i, b := range bands {
		c.settle(i, b, s, poly)
	}
	for i, after := range testLengths {
		if t := p.From + after; t > start && t <= s.End() {
			p.Shortfall[i] = Known(level - poly.At((t-start)/length))
		}
	}
}

// settle moves the last time outside band i on.
func (c *Collector) settle(i int, band float64, s record.Segment, poly *record.Polynomial) {
	level := c.phase.Level.Value
	low, high := poly.Bounds()
	if high <= level+band && low >= level-band {
		return
	}
	if math.Abs(poly.At(1)-level) > band {
		c.outside[i] = s.End()
		return
	}
	for _, edge := range [...]float64{level - band, level + band} {
		if c.roots = poly.Crossings(edge, c.roots[:0]); len(c.roots) > 0 {
			last := c.roots[len(c.roots)-1]
			c.outside[i] = math.Max(c.outside[i], s.Start()+last*(s.End()-s.Start()))
		}
	}
}

// higher returns the larger of a peak and the step's own, and its time.
func higher(s record.Segment, poly *record.Polynomial, peak, at float64) (float64, float64) {
	if _, bound := poly.Bounds(); bound <= peak {
		return peak, at
	}
	if _, _, high, theta := poly.Extremes(); high > peak {
		return high, s.Start() + theta*(s.End()-s.Start())
	}
	return peak, at
}

// Finish ends the phase in hand and returns its figures. cut is the reason why
// it ended before its time, or empty.
func (c *Collector) Finish(cut string) Phase {
	p := c.phase
	p.StillToCome = p.Level.Minus(p.End)
	for i := range bands {
		switch {
		case !p.Level.OK():
			p.Within[i] = p.Level
		case math.Abs(p.StillToCome.Value) > bands[i]:
			p.Within[i] = Missing(notReached)
		default:
			p.Within[i] = Known(math.Max(c.outside[i], p.From) - p.From)
		}
	}
	p.TailMean, p.TailSD = c.subject.figures(cut)
	for i := range p.Nodes {
		p.Nodes[i].TailMean, p.Nodes[i].TailSD = c.nodes[i].figures(cut)
	}
	c.phase = nil
	return *p
}
