package network

import (
	"math"
	"slices"
)

// F writes the rates of change at time t (s) and state y into dydt: K/s (of
// the state) for the lumps, those of the auxiliary states, W for the quadratures.
// Both have Dim's length in all.
//
// What a link takes from one lump it gives to the other, or to its path, as
// the same number, so the sum over lumps of capacity times rate, plus the
// paths, less the leaks and the requested powers, is zero to rounding at any
// state.
func (n *Network) F(t float64, y, dydt []float64) {
	state := y[:len(n.names)]
	heat, quad := dydt[:len(state)], dydt[n.states:]
	n.evaluate(state)
	if n.moving { // or else SetInputs has set them
		n.evaluateBoundaries(t)
	}
	if n.steered {
		n.steer(y)
	}
	n.evaluateLaws()
	copy(dydt, n.sourceHeat)
	if n.ramping {
		n.evaluateFans(t)
		n.addRamps(t, dydt)
	}
	n.warmInlets()
	temp := n.temp[:len(state)]
	n.aside.conduct(temp, heat)
	conductOuter(n.outer, n.fixed, temp, heat, quad)
	for i := range n.chains {
		n.chains[i].carry(n.quantity, n.rest, state, temp, heat)
	}
	n.carryOuter(state, heat, quad)
	n.lawful.conduct(n.quantity, n.nodes, dydt)
	addCurves(n.curves, n.nodes, dydt)
	if len(n.order) > 0 || len(n.airStreams) > 0 {
		n.breathe(n.nodes, n.airRest, n.fanNow)
		n.blow(n.nodes, n.airRest, dydt)
	}
	n.follow(t, y, dydt)
	released := quad[len(n.paths):]
	for i := range n.leaks {
		l := &n.leaks[i]
		heat[l.lump] += l.p
		released[i] = l.p
	}
	inv := n.invCapacity[:len(heat)]
	for i := range heat {
		heat[i] *= inv[i]
	}
	if n.err != nil {
		for i := range dydt {
			dydt[i] = math.NaN()
		}
	}
}

// evaluate brings what follows from the lumps' states alone up to date: temperatures
// and the powers of leaks. The slopes of the coolant's temperatures are left to
// differentiate, as F needs none.
func (n *Network) evaluate(state []float64) {
	copy(n.state, state)
	temp := n.temp[:len(state)]
	copy(temp, state)
	scale, shift := n.scale, n.shift
	for _, lump := range n.cells {
		t, _ := scale.Temperature(state[lump])
		temp[lump] = t + shift
	}
	for i := range n.leaks {
		l := &n.leaks[i]
		l.p = l.share * l.powerAt(temp[l.lump])
	}
}

// bring brings everything up to date at time t and state y, if it is not.
func (n *Network) bring(t float64, y []float64) {
	stale := false
	if state := y[:len(n.names)]; !slices.Equal(state, n.state) {
		stale = true
		n.evaluate(state)
	}
	if n.moving {
		n.evaluateBoundaries(t)
	}
	if n.steered && n.steer(y) {
		stale = true
	}
	if stale {
		n.evaluateLaws()
	}
	if n.ramping {
		n.evaluateFans(t)
	}
	n.warmInlets()
}

// addRamps adds what requested powers have changed by since their inputs were set, W.
func (n *Network) addRamps(t float64, dydt []float64) {
	since := t - n.in.Since
	for i, slope := range n.heatSlope {
		dydt[i] += since * slope
	}
}

// evaluateBoundaries moves the boundaries to time t.
func (n *Network) evaluateBoundaries(t float64) {
	for k := range n.fixed {
		n.fixed[k] = n.BoundaryTemperature(k, t)
	}
	for i := range n.inflows {
		s := &n.inflows[i]
		s.state = n.scale.Of(n.fixed[s.boundary])
	}
}

// conduct adds the heat that the links carry, W.
func (l *innerLinks) conduct(temp, heat []float64) {
	heat = heat[:len(temp)]
	from, to := l.a[:len(l.g)], l.b[:len(l.g)]
	for i, g := range l.g {
		a, b := from[i], to[i]
		q := g * (temp[a] - temp[b])
		heat[a] -= q
		heat[b] += q
	}
}

// conductOuter adds the heat that links to boundaries carry, W.
func conductOuter(links []outerLink, fixed, temp, heat, quad []float64) {
	heat = heat[:len(temp)]
	for i := range links {
		l := &links[i]
		q := l.g * (temp[l.lump] - fixed[l.boundary])
		heat[l.lump] -= q
		quad[l.path] += q
	}
}

// carryOuter adds the enthalpy that coolant carries across boundaries, W.
func (n *Network) carryOuter(state, heat, quad []float64) {
	for i := range n.outflows {
		s := &n.outflows[i]
		q := s.carry * (state[s.lump] - n.rest)
		heat[s.lump] -= q
		quad[s.path] += q
	}
	for i := range n.inflows {
		s := &n.inflows[i]
		q := s.carry * (s.state - n.rest)
		heat[s.lump] += q
		quad[s.path] -= q
	}
}

// powerAt returns the leak's power at temperature t (K), W.
func (l *leak) powerAt(t float64) float64 {
	x := l.growth * (t - l.at)
	if l.linear {
		return l.power * max(1+x, 0)
	}
	return l.power * exponential(x)
}

// slope returns the derivative (W/K) of the leak where its power is p (W).
func (l *leakLink) slope(p float64) float64 {
	switch {
	case !l.linear:
		return l.growth * p
	case p > 0:
		return l.share * l.growth * l.power
	}
	return 0
}

// TimeDerivative writes the partial derivative of F with respect to time into
// dfdt and reports true; it leaves dfdt alone and reports false while no
// boundary moves and no power changes.
func (n *Network) TimeDerivative(t float64, y, dfdt []float64) bool {
	if !n.moving && !n.ramping {
		return false
	}
	n.bring(t, y)
	copy(dfdt, n.heatSlope)
	for i := range n.outer {
		l := &n.outer[i]
		q := l.g * n.in.Slope[l.boundary]
		dfdt[l.lump] += q
		dfdt[n.pathRow(l.path)] -= q
	}
	for i := range n.inflows {
		s := &n.inflows[i]
		_, dt := n.scale.Temperature(s.state)
		q := s.carry * n.in.Slope[s.boundary] / dt
		dfdt[s.lump] += q
		dfdt[n.pathRow(s.path)] -= q
	}
	n.addLawDrift(dfdt)
	n.breathe(n.drift, 0, n.fanSlope)
	n.blow(n.drift, 0, dfdt)
	n.addAuxDrift(dfdt)
	if n.steered {
		n.addDriveDrift(y, dfdt)
	}
	for i, inv := range n.invCapacity {
		dfdt[i] *= inv
	}
	return true
}
