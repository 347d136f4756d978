package network

// Bring brings the network to time t and state y, for Air to tell of. Any other
// call that is given a state, or sets inputs or reference, undoes it.
func (n *Network) Bring(t float64, y []float64) {
	n.bring(t, y)
	n.breathe(n.nodes, n.airRest, n.fanNow)
}

// Air returns, where Bring has brought the network, the temperature (K) of a
// pass's air at the inlet of the core, that at its outlet, both with the heat
// of sources before them, and the heat (W) that the air takes up from metal.
// Where there is no air, both are the temperature of what it would breathe.
func (n *Network) Air(p Pass) (inlet, outlet, heat float64) {
	l := &n.passes[p]
	if l.plain {
		inlet = n.nodes[l.inlet]
	} else {
		b := &n.breaths[p]
		inlet, outlet = b.inlet+n.airRest, b.outlet+n.airRest
	}
	if l.rate > 0 {
		for i := range l.ties {
			t := &l.ties[i]
			heat += t.share * n.quantity[t.value] * (n.nodes[t.metal] - inlet)
		}
	}
	if l.plain {
		outlet = inlet
		if l.rate > 0 {
			outlet += (heat + n.fanNow[p].behind) / l.rate
		}
	}
	return inlet, outlet, heat
}

// Passes returns the names of the passes in input order.
func (n *Network) Passes() []string {
	names := make([]string, len(n.passes))
	for i := range n.passes {
		names[i] = n.passes[i].name
	}
	return names
}
