package network

// markLaws marks the structural nonzeros of links that follow operations or
// curves.
func (n *Network) markLaws(mark func(row int, col int32)) {
	for _, l := range n.laws {
		n.markPair(&l.pair, mark)
		mark(int(l.a), l.reference)
		mark(int(l.row), l.reference)
	}
	for _, s := range n.flows {
		mark(int(s.to), s.from)
		mark(int(s.from), s.reference)
		mark(int(s.to), s.reference)
	}
	for _, l := range n.curves {
		n.markPair(&l.pair, mark)
	}
}

// markPair marks the structural nonzeros of a link between two nodes.
func (n *Network) markPair(p *pair, mark func(row int, col int32)) {
	mark(int(p.row), p.a)
	if p.col != noColumn {
		mark(int(p.a), p.col)
		mark(int(p.row), p.col)
	}
}

// placeLaws looks up where their derivatives go.
func (n *Network) placeLaws() {
	for i := range n.laws {
		l := &n.laws[i]
		n.placePair(&l.pair)
		l.aRef, l.rowRef = n.entry(int(l.a), l.reference), n.entry(int(l.row), l.reference)
	}
	for i := range n.flows {
		s := &n.flows[i]
		s.fromDiag, s.toFrom = n.diagonal(s.from), n.entry(int(s.to), s.from)
		s.fromRef, s.toRef = n.entry(int(s.from), s.reference), n.entry(int(s.to), s.reference)
	}
	for i := range n.curves {
		n.placePair(&n.curves[i].pair)
	}
}

// placePair looks up the entries of a link between two nodes.
func (n *Network) placePair(p *pair) {
	p.aa, p.ra = n.diagonal(p.a), n.entry(int(p.row), p.a)
	p.ab, p.rb = p.aa, p.ra
	if p.col != noColumn {
		p.ab, p.rb = n.entry(int(p.a), p.col), n.entry(int(p.row), p.col)
	}
}

// addLawDerivatives adds the derivatives of links that follow operations or
// curves to the Jacobian. All must be up to date at the state and the time.
func (n *Network) addLawDerivatives(state, jac []float64) {
	for i := range n.laws {
		l, share := &n.laws[i], n.lawful.share[i]
		n.addPair(&l.pair, share*n.quantity[l.value], jac)
		byRef := share * n.growth[l.value] * (n.nodes[l.a] - n.nodes[l.b]) * n.slope[l.reference]
		jac[l.aRef] -= byRef * n.perRow[l.a]
		jac[l.rowRef] += byRef * n.perRow[l.row]
	}
	for i := range n.flows {
		s := &n.flows[i]
		carry := n.quantity[s.value] * n.c0
		byRef := n.growth[s.value] * n.c0 * (state[s.from] - n.rest) * n.slope[s.reference]
		jac[s.fromDiag] -= carry * n.perRow[s.from]
		jac[s.toFrom] += carry * n.perRow[s.to]
		jac[s.fromRef] -= byRef * n.perRow[s.from]
		jac[s.toRef] += byRef * n.perRow[s.to]
	}
	for i := range n.curves {
		l := &n.curves[i]
		n.addPair(&l.pair, l.curve.slope(n.nodes[l.a]-n.nodes[l.b]), jac)
	}
}

// addPair adds the derivatives of a conductance g (W/K) between two nodes. The
// slope of what depends on no lump is zero, so it adds nothing where it has no
// entry.
func (n *Network) addPair(p *pair, g float64, jac []float64) {
	da, db := g*n.slope[p.a], g*n.slope[p.b]
	jac[p.aa] -= da * n.perRow[p.a]
	jac[p.ra] += da * n.perRow[p.row]
	jac[p.ab] += db * n.perRow[p.a]
	jac[p.rb] -= db * n.perRow[p.row]
}
