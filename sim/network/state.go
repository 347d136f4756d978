package network

// State returns the state of a lump at temperature t (K). An auxiliary state, whose
// index is also taken here and below, is what it is, and stores no energy.
func (n *Network) State(lump Node, t float64) float64 {
	if n.mass[lump] == 0 {
		return t
	}
	return n.scale.Of(t)
}

// Temperature returns the temperature (K) of a lump in a state. That of the
// state at a temperature is the temperature to rounding, and exactly where
// SetReference has set it.
func (n *Network) Temperature(lump Node, state float64) float64 {
	if n.mass[lump] == 0 {
		return state
	}
	t, _ := n.scale.Temperature(state)
	return t + n.shift
}

// Slope returns the derivative of a lump's temperature with respect to its
// state: 1, or c0/cp of coolant.
func (n *Network) Slope(lump Node, state float64) float64 {
	if n.mass[lump] == 0 {
		return 1
	}
	_, slope := n.scale.Temperature(state)
	return slope
}

// States writes the states of all lumps at the given temperatures (K) to dst,
// which has one element a lump and may be the same slice. Auxiliary states behind
// them, if there is room for them, are copied.
func (n *Network) States(temperatures, dst []float64) {
	copy(dst, temperatures)
	for _, lump := range n.cells {
		dst[lump] = n.scale.Of(temperatures[lump])
	}
}

// Temperatures writes the temperatures (K) of all lumps in the given states to
// dst, which has one element a lump and may be the same slice. Auxiliary states
// behind them are copied as far as there is room; quadratures are left aside.
func (n *Network) Temperatures(states, dst []float64) {
	copy(dst, states[:len(dst)])
	for _, lump := range n.cells {
		dst[lump] = n.Temperature(Node(lump), states[lump])
	}
}

// Capacity returns the heat capacity of a lump at temperature t (K), J/K:
// coolant's mass times its specific heat there.
func (n *Network) Capacity(lump Node, t float64) float64 {
	if n.mass[lump] == 0 {
		return n.capacity[lump]
	}
	return n.capacity[lump] / n.Slope(lump, n.scale.Of(t))
}

// StatedEnergy returns the energy a lump takes up between two of its states, J.
func (n *Network) StatedEnergy(lump Node, from, to float64) float64 {
	return n.capacity[lump] * (to - from)
}

// StoredEnergy returns the energy a lump takes up from temperature from to
// temperature to (K), J.
func (n *Network) StoredEnergy(lump Node, from, to float64) float64 {
	return n.capacity[lump] * (n.State(lump, to) - n.State(lump, from))
}
