package sim

import (
	"math"

	"soakledger/sim/network"
	"soakledger/sim/ode"
	"soakledger/sim/record"
)

// view shows a step of the integrator in temperatures (K), where the network's
// states of coolant are enthalpies; the energies behind them stay as they are, and
// behind those stand the signals.
// Each component is worked out when it is first asked for, once a step; the
// signals all at once, while the network still has the inputs of the step.
type view struct {
	net       *network.Network
	wet       []bool // of every component: it is worked out, as the state of coolant or a signal
	seg       *ode.Segment
	poly      []record.Polynomial
	known     []bool    // poly is that of this step
	low, high []float64 // bounds of every lump's state in this step
	ends      []end     // of the last steps in which each lump was converted
	signals   *signals  // nil if nobody asks for any
	sampled   bool      // their polynomials are those of this step
}

// end is the state of a lump of coolant at the end of a step, where mostly the
// next begins, and what was worked out there: temperature (K) and its slope.
type end struct{ state, t, slope float64 }

var _ record.Segment = (*view)(nil)

// newView prepares a view of a network and of the signals in it, which may be nil.
func newView(n *network.Network, s *signals) *view {
	lumps, energies := n.Dim()
	all := lumps + energies
	v := &view{net: n, wet: make([]bool, all+s.count()), poly: make([]record.Polynomial, all+s.count()), known: make([]bool, all),
		low: make([]float64, lumps), high: make([]float64, lumps), ends: make([]end, lumps), signals: s}
	for i := range lumps {
		v.wet[i] = n.HoldsCoolant(network.Node(i))
		v.ends[i].state = math.NaN() // none yet
	}
	for i := all; i < len(v.wet); i++ {
		v.wet[i] = true
	}
	return v
}

// replace goes on with a network of the same states.
func (v *view) replace(n *network.Network) {
	v.net = n
	if v.signals != nil {
		v.signals.net = n
	}
}

// read takes over a step, or what is left of it. The segment must stay as it is
// as long as it is looked at.
func (v *view) read(seg *ode.Segment) {
	v.seg = seg
	clear(v.known)
	v.sampled = false
}

// of returns the polynomial of component i, valid until the next step.
func (v *view) of(i int) *record.Polynomial {
	if !v.wet[i] {
		return (*record.Polynomial)(v.seg.Coefficients(i))
	}
	switch {
	case i >= len(v.known):
		v.sample()
	case !v.known[i]:
		v.convert(network.Node(i), (*record.Polynomial)(v.seg.Coefficients(i)), v.seg.At(i, v.seg.End()))
		v.known[i] = true
	}
	return &v.poly[i]
}

// astray appends the lumps whose temperature may, in this step, leave the range
// between the states low and high, without working out any polynomial.
func (v *view) astray(low, high []float64, dst []int) []int {
	v.seg.Bounds(v.low, v.high)
	for i, from := range v.low {
		to := v.high[i]
		if v.wet[i] {
			left := mostLeft(from, to)
			from, to = from-left, to+left
		}
		if from < low[i] || to > high[i] {
			dst = append(dst, i)
		}
	}
	return dst
}

// mostLeft bounds what convert leaves (K), for a state within bounds from the
// segment: many times what was ever found, for bends that fill the bounds.
func mostLeft(low, high float64) float64 { return 1e-4 * (high - low) * (high - low) }

// state returns the state of a lump at theta, where its temperature is t. At
// the end of the step, where most extremes are, nothing needs to be inverted.
func (v *view) state(lump int, theta, t float64) float64 {
	switch {
	case !v.wet[lump]:
		return t
	case theta == 1:
		return v.seg.At(lump, v.seg.End())
	}
	return v.net.State(network.Node(lump), t)
}

// convert writes the polynomial of a lump's temperature, for one of coolant's
// state that ends at last: the quartic that meets the temperature and its slope
// at both ends of the step and its value in the middle. What is left grows with
// the square of the terms: 3e-5 K at the worst where they reach 1 K, 1e-4 K at
// 2 K. Which temperature a state has must not change during a run.
func (v *view) convert(lump network.Node, state *record.Polynomial, last float64) {
	at := &v.ends[lump]
	if at.state != state[0] {
		*at = v.look(lump, state[0])
	}
	t0, d0 := at.t, at.slope*state[1]
	*at = v.look(lump, last)
	t1, d1 := at.t, at.slope*(state[1]+2*state[2]+3*state[3]+4*state[4])
	middle := v.net.Temperature(lump, state.At(0.5))
	// The cubic through both ends, and the quartic that mends its middle.
	quartic := 16 * (middle - (t0+t1)/2 - (d0-d1)/8)
	p := &v.poly[lump]
	p[0], p[1], p[4] = t0, d0, quartic
	p[2], p[3] = 3*(t1-t0)-2*d0-d1+quartic, d0+d1-2*(t1-t0)-2*quartic
}

// look works out a state of coolant.
func (v *view) look(lump network.Node, state float64) end {
	return end{state, v.net.Temperature(lump, state), v.net.Slope(lump, state)}
}

// add adds n components, from the first on, to sum.
func (v *view) add(first, n int, sum *record.Polynomial) {
	for i := first; i < first+n; i++ {
		for k, c := range v.of(i) {
			sum[k] += c
		}
	}
}

// Start returns the time at which the step began, s.
func (v *view) Start() float64 { return v.seg.Start() }

// End returns the time at which it ended, s.
func (v *view) End() float64 { return v.seg.End() }

// Poly returns component i as a polynomial over the step.
func (v *view) Poly(i int) [5]float64 { return *v.of(i) }

// here returns the present temperatures (K) and, behind them, energies (J) and
// signals, in a slice that is valid until the next call.
func (s *Simulation) here() []float64 {
	state := s.it.State()
	copy(s.present, state)
	s.Plan.Network.Temperatures(s.present, s.present[:len(s.lowest)])
	if of := s.view.signals; of != nil {
		of.at(s.it.Time(), state, s.present[len(state):])
	}
	return s.present
}

// levelParts returns the parts of the rise (K) at the level just found, at time t,
// in a slice that is valid until the next call; nil if nobody asks for them. The
// network must still have the inputs that the level refers to.
func (s *Simulation) levelParts(t float64) []float64 {
	of := s.view.signals
	if of == nil || !of.split {
		return nil
	}
	of.levels(t, s.levelAt, s.here(), s.partsAt)
	return s.partsAt
}
