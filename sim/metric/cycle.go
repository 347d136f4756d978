package metric

import (
	"math"

	"soakledger/sim/record"
)

// What counts as a cycle that has come round. Our choice, no source.
const (
	leastCycles = 3   // intervals between marks that must be there
	likeCycle   = 1.1 // the longest of the last three over the shortest
)

// Cycle is what repeats where a load leads to no level: a throttle or a fan that goes
// on and off for ever. All are missing, with the reason, of a phase with a level, or
// one that ends before the cycle has come round three times in the same time.
type Cycle struct {
	Period Figure   // s
	Nodes  []Repeat // the subject, then the other watched nodes
}

// Repeat is a node over the last whole cycle.
type Repeat struct {
	Mean  Figure // K
	Swing Figure // K, highest less lowest
}

// cycler watches nodes between the marks of a cycle, where something switches on.
type cycler struct {
	nodes   []int
	from    float64 // s, the last mark; NaN before the first
	lengths []float64
	now     []turn // since the last mark
	last    []turn // of the last whole cycle
}

// turn is a node over a cycle: its integral (K s) and its extremes (K).
type turn struct{ sum, low, high float64 }

func newCycler(nodes []int) *cycler {
	return &cycler{nodes: nodes, now: make([]turn, len(nodes)), last: make([]turn, len(nodes))}
}

// begin forgets what was before a phase.
func (c *cycler) begin() {
	c.from, c.lengths = math.NaN(), c.lengths[:0]
}

// add takes the next step.
func (c *cycler) add(s record.Segment) {
	if math.IsNaN(c.from) {
		return
	}
	length := s.End() - s.Start()
	for k, i := range c.nodes {
		p := record.Polynomial(s.Poly(i))
		low, _, high, _ := p.Extremes()
		t := &c.now[k]
		t.sum += length * (p[0] + p[1]/2 + p[2]/3 + p[3]/4 + p[4]/5)
		t.low, t.high = math.Min(t.low, low), math.Max(t.high, high)
	}
}

// mark ends a cycle at time t, and begins the next.
func (c *cycler) mark(t float64) {
	if !math.IsNaN(c.from) {
		c.lengths = append(c.lengths, t-c.from)
		copy(c.last, c.now)
	}
	c.from = t
	for k := range c.now {
		c.now[k] = turn{low: math.Inf(1), high: math.Inf(-1)}
	}
}

// figures returns what has repeated.
func (c *cycler) figures() Cycle {
	n := len(c.lengths)
	if n < leastCycles {
		return noCycle(len(c.nodes), "the phase ends before its cycle has come round three times")
	}
	shortest, longest := math.Inf(1), 0.0
	for _, l := range c.lengths[n-leastCycles:] {
		shortest, longest = math.Min(shortest, l), math.Max(longest, l)
	}
	if longest > likeCycle*shortest {
		return noCycle(len(c.nodes), "its cycles are not of one length yet when the phase ends")
	}
	length := c.lengths[n-1]
	found := Cycle{Period: Known(length), Nodes: make([]Repeat, len(c.nodes))}
	for k, t := range c.last {
		found.Nodes[k] = Repeat{Known(t.sum / length), Known(t.high - t.low)}
	}
	return found
}

// noCycle is the cycle of a phase that has none.
func noCycle(nodes int, why string) Cycle {
	c := Cycle{Period: Missing(why), Nodes: make([]Repeat, nodes)}
	for k := range c.Nodes {
		c.Nodes[k] = Repeat{Missing(why), Missing(why)}
	}
	return c
}
