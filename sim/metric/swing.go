package metric

import (
	"math"

	"soakledger/sim/record"
)

// Swing is how far a component goes to and fro over a cycle, peaks inside of steps
// included.
type Swing struct {
	Lowest    float64 // K
	LowestAt  float64 // s, from the start of the cycle
	Highest   float64 // K
	HighestAt float64 // s, likewise
	Mean      float64 // K, over time
}

// Swings finds the swings of some components over one cycle out of the segments that
// pass. Segments need not end where the cycle does.
type Swings struct {
	from, to   float64 // s
	components []int
	swings     []Swing   // Mean holds the integral so far (K s), less that of the reference
	reference  []float64 // K, the value at the start
	seen       float64   // s, up to where the cycle has been seen
}

// NewSwings prepares the swings of components over the cycle between two times (s).
func NewSwings(from, to float64, components []int) *Swings {
	w := &Swings{components: components, swings: make([]Swing, len(components)), reference: make([]float64, len(components))}
	w.Begin(from, to)
	return w
}

// Begin starts another cycle.
func (w *Swings) Begin(from, to float64) {
	w.from, w.to, w.seen = from, to, from
	for i := range w.swings {
		w.swings[i] = Swing{Lowest: math.Inf(1), Highest: math.Inf(-1)}
	}
}

// Span returns the start and the end of the cycle, s.
func (w *Swings) Span() (from, to float64) { return w.from, w.to }

// Add takes the next step. Those before the cycle and behind it cost next to nothing.
func (w *Swings) Add(s record.Segment) {
	start, end := s.Start(), s.End()
	if end <= w.from || start >= w.to || !(end > start) {
		return
	}
	first := math.Max(0, (w.from-start)/(end-start))
	final := math.Min(1, (w.to-start)/(end-start))
	length := (final - first) * (end - start)
	for i, component := range w.components {
		p := within(s.Poly(component), first, final)
		if w.seen == w.from {
			w.reference[i] = p[0]
		}
		w.swings[i].take(&p, math.Max(start, w.from)-w.from, length)
		p[0] -= w.reference[i]
		w.swings[i].Mean += length * (p[0] + p[1]/2 + p[2]/3 + p[3]/4 + p[4]/5)
	}
	w.seen = math.Min(end, w.to)
}

// take widens a swing by a step that begins at a time of the cycle and has a length, s.
func (w *Swing) take(p *record.Polynomial, start, length float64) {
	if p.Within(w.Lowest, w.Highest) {
		return
	}
	low, lowAt, high, highAt := p.Extremes()
	if low < w.Lowest {
		w.Lowest, w.LowestAt = low, start+lowAt*length
	}
	if high > w.Highest {
		w.Highest, w.HighestAt = high, start+highAt*length
	}
}

// Figures returns the swings in the order of the components, and false if the cycle
// was not seen to its end.
func (w *Swings) Figures() ([]Swing, bool) {
	if w.seen < w.to {
		return nil, false
	}
	all := make([]Swing, len(w.swings))
	for i, one := range w.swings {
		one.Mean = w.reference[i] + one.Mean/(w.to-w.from)
		all[i] = one
	}
	return all, true
}

// within returns what a polynomial does between two values of theta, over 0..1.
func within(p record.Polynomial, from, to float64) record.Polynomial {
	if from == 0 && to == 1 {
		return p
	}
	// Horner's scheme shifts the start to from, then powers of the width stretch it.
	for i := range p {
		for k := len(p) - 2; k >= i; k-- {
			p[k] += from * p[k+1]
		}
	}
	scale := 1.0
	for k := range p {
		p[k] *= scale
		scale *= to - from
	}
	return p
}
