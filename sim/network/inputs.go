package network

import "slices"

// Inputs is all that may change while a network runs. Between two calls of
// SetInputs powers and flows are constant and boundary temperatures move on
// straight lines.
type Inputs struct {
	Power       []float64 // W, one a source
	MassFlow    []float64 // kg/s, one a circuit, zero or above: streams do not turn round; of no effect on one with an operation
	Temperature []float64 // K, one a boundary, at time Since
	Slope       []float64 // K/s, one a boundary
	Since       float64   // s
}

// NewInputs returns inputs of the network's lengths, all zero.
func (n *Network) NewInputs() Inputs {
	return Inputs{
		Power:       make([]float64, len(n.sources)),
		MassFlow:    make([]float64, len(n.circuits)),
		Temperature: make([]float64, len(n.boundaries)),
		Slope:       make([]float64, len(n.boundaries)),
	}
}

// SetInputs copies in. It panics if a length is not the network's own.
func (n *Network) SetInputs(in Inputs) {
	if len(in.Power) != len(n.sources) || len(in.MassFlow) != len(n.circuits) ||
		len(in.Temperature) != len(n.boundaries) || len(in.Slope) != len(n.boundaries) {
		panic("network: inputs of another network")
	}
	copy(n.in.Power, in.Power)
	copy(n.in.MassFlow, in.MassFlow)
	copy(n.in.Temperature, in.Temperature)
	copy(n.in.Slope, in.Slope)
	n.in.Since = in.Since
	n.moving = false
	for _, slope := range in.Slope {
		n.moving = n.moving || slope != 0
	}
	clear(n.sourceHeat)
	for k, s := range n.sources {
		for _, lump := range s.lumps {
			n.sourceHeat[lump] += in.Power[k] / float64(len(s.lumps))
		}
	}
	n.setFlows()
	n.evaluateBoundaries(in.Since)
}

// setFlows spreads the circuits' mass flows over the streams.
func (n *Network) setFlows() {
	for i := range n.rings {
		s := &n.rings[i]
		s.carry = s.share * n.in.MassFlow[s.circuit] * n.c0
	}
	for _, links := range [...][]boundaryLink{n.inflows, n.outflows} {
		for i := range links {
			links[i].carry = links[i].share * n.in.MassFlow[links[i].circuit] * n.c0
		}
	}
	n.fillSteady()
}

// Inputs returns a copy of what was set last.
func (n *Network) Inputs() Inputs {
	in := n.in
	in.Power = slices.Clone(in.Power)
	in.MassFlow = slices.Clone(in.MassFlow)
	in.Temperature = slices.Clone(in.Temperature)
	in.Slope = slices.Clone(in.Slope)
	return in
}

// SetReference sets the temperature (K) at which coolant counts as carrying no
// energy, 293.15 K to begin with. Of the results only the split between energy
// in and out across boundaries depends on it. At the temperature of a machine
// at rest it makes all rates there exactly zero.
func (n *Network) SetReference(t float64) {
	if n.coolant == nil {
		return
	}
	n.rest = n.scale.Of(t)
	// There and back may end in a neighbour of t, and heat would flow between
	// coolant and what is exactly at t. So all of the coolant is moved by as much.
	at, _ := n.scale.Temperature(n.rest)
	n.shift = t - at
	n.forget()
}

// BoundaryTemperature returns the temperature of boundary k at time t, K.
func (n *Network) BoundaryTemperature(k int, t float64) float64 {
	return n.in.Temperature[k] + n.in.Slope[k]*(t-n.in.Since)
}
