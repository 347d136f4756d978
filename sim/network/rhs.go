package network

// F writes the rates of change at time t (s) and state y into dydt: K/s for
// the lumps, W for the quadratures. Both have Dim's length in all.
//
// What a link takes from one lump it gives to the other, or to its path, as
// the same number, so the sum over lumps of capacity times rate, plus the
// paths, less the leaks and the requested powers, is zero to rounding at any
// state.
func (n *Network) F(t float64, y, dydt []float64) {
	temp := y[:len(n.names)]
	heat, quad := dydt[:len(temp)], dydt[len(temp):]
	copy(heat, n.sourceHeat)
	clear(quad)
	n.evaluateCoolant(temp)
	n.evaluateBoundaries(t)
	conductInner(n.inner, temp, heat)
	n.conductOuter(n.outer, temp, heat, quad)
	n.carry(heat, quad)
	n.leakInto(temp, heat, quad[len(n.paths):])
	inv := n.invCapacity[:len(heat)]
	for i := range heat {
		heat[i] *= inv[i]
	}
}

// evaluateCoolant brings the properties of every coolant lump up to date.
func (n *Network) evaluateCoolant(temp []float64) {
	for i := range n.cells {
		c := &n.cells[i]
		h, cp, dcp := n.coolant.Enthalpy(temp[c.lump])
		c.dcp = dcp
		n.enthalpy[c.lump] = h - n.refH
		n.specificHeat[c.lump] = cp
		n.invCapacity[c.lump] = 1 / (c.mass * cp)
	}
}

// evaluateBoundaries moves the boundaries to time t.
func (n *Network) evaluateBoundaries(t float64) {
	if !n.moving {
		return // SetInputs has set them
	}
	for k := range n.fixed {
		n.fixed[k] = n.BoundaryTemperature(k, t)
	}
}

// conductInner adds the heat that inner links carry, W.
func conductInner(links []innerLink, temp, heat []float64) {
	heat = heat[:len(temp)]
	for i := range links {
		l := &links[i]
		q := l.g * (temp[l.a] - temp[l.b])
		heat[l.a] -= q
		heat[l.b] += q
	}
}

// conductOuter adds the heat that outer links carry, W.
func (n *Network) conductOuter(links []outerLink, temp, heat, quad []float64) {
	fixed, heat := n.fixed, heat[:len(temp)]
	for i := range links {
		l := &links[i]
		q := l.g * (temp[l.lump] - fixed[l.boundary])
		heat[l.lump] -= q
		quad[l.path] += q
	}
}

// carry adds the enthalpy that coolant carries, W. As much coolant comes into
// a lump as goes out of it, so the reference of the enthalpy drops out; one
// close to the temperatures at hand keeps rounding small.
func (n *Network) carry(heat, quad []float64) {
	enthalpy := n.enthalpy
	heat = heat[:len(enthalpy)]
	for i := range n.rings {
		s := &n.rings[i]
		q := s.flow * enthalpy[s.from]
		heat[s.from] -= q
		heat[s.to] += q
	}
	for i := range n.outflows {
		s := &n.outflows[i]
		q := s.flow * enthalpy[s.lump]
		heat[s.lump] -= q
		quad[s.path] += q
	}
	for i := range n.inflows {
		s := &n.inflows[i]
		h, _, _ := n.coolant.Enthalpy(n.fixed[s.boundary])
		q := s.flow * (h - n.refH)
		heat[s.lump] += q
		quad[s.path] -= q
	}
}

// leakInto adds the powers of the leaks, W.
func (n *Network) leakInto(temp, heat, quad []float64) {
	for i := range n.leaks {
		l := &n.leaks[i]
		p := l.power
		if x := l.growth * (temp[l.lump] - l.at); l.linear {
			p *= max(1+x, 0)
		} else {
			p *= exponential(x)
		}
		heat[l.lump] += p
		quad[i] = p
	}
}

// slope returns the derivative (W/K) of the leak where its power is p (W).
func (l *leak) slope(p float64) float64 {
	switch {
	case !l.linear:
		return l.growth * p
	case p > 0:
		return l.growth * l.power
	}
	return 0
}

// TimeDerivative writes the partial derivative of F with respect to time into
// dfdt and reports true; it leaves dfdt alone and reports false while no
// boundary moves.
func (n *Network) TimeDerivative(t float64, y, dfdt []float64) bool {
	if !n.moving {
		return false
	}
	clear(dfdt)
	lumps := len(n.names)
	n.evaluateCoolant(y[:lumps])
	for i := range n.outer {
		l := &n.outer[i]
		q := l.g * n.in.Slope[l.boundary]
		dfdt[l.lump] += q
		dfdt[lumps+int(l.path)] -= q
	}
	for i := range n.inflows {
		s := &n.inflows[i]
		_, cp, _ := n.coolant.Enthalpy(n.BoundaryTemperature(int(s.boundary), t))
		q := s.flow * cp * n.in.Slope[s.boundary]
		dfdt[s.lump] += q
		dfdt[lumps+int(s.path)] -= q
	}
	for i, inv := range n.invCapacity {
		dfdt[i] *= inv
	}
	return true
}
