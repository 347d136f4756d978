package sim

import (
	"soakledger/sim/network"
	"soakledger/sim/ode"
	"soakledger/sim/record"
)

// view shows a step of the integrator in temperatures (K), where the network's
// states of coolant are enthalpies; the energies behind them stay as they are.
// It is worked out once a step, for all that look at it.
type view struct {
	net        *network.Network
	coolant    []network.Node
	start, end float64 // s
	poly       []record.Polynomial
}

var _ record.Segment = (*view)(nil)

// newView prepares a view of a network.
func newView(n *network.Network) *view {
	lumps, energies := n.Dim()
	v := &view{net: n, poly: make([]record.Polynomial, lumps+energies)}
	for i := range network.Node(lumps) {
		if n.HoldsCoolant(i) {
			v.coolant = append(v.coolant, i)
		}
	}
	return v
}

// read takes over a step, or what is left of it.
func (v *view) read(seg *ode.Segment) {
	v.start, v.end = seg.Start(), seg.End()
	for i := range v.poly {
		v.poly[i] = seg.Poly(i)
	}
	for _, lump := range v.coolant {
		v.convert(lump)
	}
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
func (v *view) Start() float64 { return v.start }

// End returns the time at which it ended, s.
func (v *view) End() float64 { return v.end }

// Poly returns component i as a polynomial over the step.
func (v *view) Poly(i int) [5]float64 { return v.poly[i] }

// here returns the present temperatures (K) and, behind them, energies (J), in
// a slice that is valid until the next call.
func (s *Simulation) here() []float64 {
	copy(s.present, s.it.State())
	s.Plan.Network.Temperatures(s.present, s.present[:len(s.lowest)])
	return s.present
}
