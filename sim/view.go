package sim

import (
	"soakledger/sim/network"
	"soakledger/sim/ode"
	"soakledger/sim/record"
)

// view shows a step of the integrator in temperatures (K), where the network's
// states of coolant are enthalpies; the energies behind them stay as they are.
// Each component is worked out when it is first asked for, once a step.
type view struct {
	net       *network.Network
	wet       []bool // of every component: it is the state of coolant
	seg       *ode.Segment
	poly      []record.Polynomial
	known     []bool    // poly is that of this step
	low, high []float64 // bounds of every lump's state in this step
}

var _ record.Segment = (*view)(nil)

// newView prepares a view of a network.
func newView(n *network.Network) *view {
	lumps, energies := n.Dim()
	all := lumps + energies
	v := &view{net: n, wet: make([]bool, all), poly: make([]record.Polynomial, all), known: make([]bool, all),
		low: make([]float64, lumps), high: make([]float64, lumps)}
	for i := range lumps {
		v.wet[i] = n.HoldsCoolant(network.Node(i))
	}
	return v
}

// read takes over a step, or what is left of it. The segment must stay as it is
// as long as it is looked at.
func (v *view) read(seg *ode.Segment) {
	v.seg = seg
	clear(v.known)
}

// of returns the polynomial of component i.
func (v *view) of(i int) *record.Polynomial {
	p := &v.poly[i]
	if !v.known[i] {
		*p = v.seg.Poly(i)
		if v.wet[i] {
			v.convert(network.Node(i))
		}
		v.known[i] = true
	}
	return p
}

// astray appends the lumps whose temperature may, in this step, leave the range
// between the states low and high, without working out any polynomial.
func (v *view) astray(low, high []float64, dst []int) []int {
	v.seg.Bounds(v.low, v.high)
	for i, from := range v.low {
		to := v.high[i]
		if v.wet[i] { // what convert leaves, with much to spare
			margin := 1e-4 * (to - from) * (to - from)
			from, to = from-margin, to+margin
		}
		if from < low[i] || to > high[i] {
			dst = append(dst, i)
		}
	}
	return dst
}

// convert replaces a polynomial of the coolant's state by one of its
// temperature: the quartic that meets the temperature and its slope at both ends
// of the step and its value in the middle. What is left grows with the square
// of the terms: 3e-5 K at the worst where they reach 1 K, 1e-4 K at 2 K.
func (v *view) convert(lump network.Node) {
	p := &v.poly[lump]
	end := p.At(1)
	t0, t1 := v.net.Temperature(lump, p[0]), v.net.Temperature(lump, end)
	d0 := v.net.Slope(lump, p[0]) * p[1]
	d1 := v.net.Slope(lump, end) * (p[1] + 2*p[2] + 3*p[3] + 4*p[4])
	middle := v.net.Temperature(lump, p.At(0.5))
	// The cubic through both ends, and the quartic that mends its middle.
	quartic := 16 * (middle - (t0+t1)/2 - (d0-d1)/8)
	*p = record.Polynomial{t0, d0, 3*(t1-t0) - 2*d0 - d1 + quartic, d0 + d1 - 2*(t1-t0) - 2*quartic, quartic}
}

// Start returns the time at which the step began, s.
func (v *view) Start() float64 { return v.seg.Start() }

// End returns the time at which it ended, s.
func (v *view) End() float64 { return v.seg.End() }

// Poly returns component i as a polynomial over the step.
func (v *view) Poly(i int) [5]float64 { return *v.of(i) }

// here returns the present temperatures (K) and, behind them, energies (J), in
// a slice that is valid until the next call.
func (s *Simulation) here() []float64 {
	copy(s.present, s.it.State())
	s.Plan.Network.Temperatures(s.present, s.present[:len(s.lowest)])
	return s.present
}
