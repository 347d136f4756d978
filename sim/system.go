package sim

import (
	"soakledger/sim/network"
	"soakledger/sim/ode"
)

// system lets the integrator see a network, and neither know the other.
type system struct{ *network.Network }

// Pattern returns the structural nonzeros of the network's Jacobian.
func (s system) Pattern() ode.Pattern {
	p := s.Network.Pattern()
	return ode.Pattern{RowStart: p.RowStart, Col: p.Col}
}
