package network

// pair is the two ends of a link whose conductance changes. Its nodes are the
// lumps and, behind them, the boundaries: see Network.nodes.
type pair struct {
	a, b   int32 // a is a lump
	row    int32 // that receives what a gives: of b, or of the path
	aa, ra int32 // entries (a, a) and (row, a) of the Jacobian
	ab, rb int32 // and those of b; of a boundary, which is no state, those of a again
}

// lawLink is a conductance that follows an operation: share of a quantity.
type lawLink struct {
	pair
	value     int32 // number among the quantities of the network
	reference int32
	aRef      int32 // entries (a, reference) and (row, reference)
	rowRef    int32
	share     float64
}

// curveLink is a heat flow that depends on a difference.
type curveLink struct {
	pair
	curve *curve
}

// flowLink is a stream that follows an operation.
type flowLink struct {
	from, to         int32
	value            int32
	reference        int32
	fromDiag, toFrom int32 // entries (from, from) and (to, from) of the Jacobian
	fromRef, toRef   int32 // and of the reference
}

// evaluateLaws brings all quantities up to date at the temperatures in hand.
func (n *Network) evaluateLaws() {
	for _, o := range n.operated {
		o.evaluate(n.nodes[o.reference], n.quantity[o.first:])
	}
}

// addLawHeat adds the heat of links that follow operations or curves, W.
func (n *Network) addLawHeat(state, dydt []float64) {
	nodes, quantity, laws, flows, curves := n.nodes, n.quantity, n.laws, n.flows, n.curves
	for i := range laws {
		l := &laws[i]
		q := l.share * quantity[l.value] * (nodes[l.a] - nodes[l.b])
		dydt[l.a] -= q
		dydt[l.row] += q
	}
	c0, rest := n.c0, n.rest
	for i := range flows {
		s := &flows[i]
		q := quantity[s.value] * c0 * (state[s.from] - rest)
		dydt[s.from] -= q
		dydt[s.to] += q
	}
	for i := range curves {
		l := &curves[i]
		q := l.curve.heat(nodes[l.a] - nodes[l.b])
		dydt[l.a] -= q
		dydt[l.row] += q
	}
}

// addLawDrift adds what moving boundaries change of laws and curves, W/s. All
// must be up to date at the state and the time.
func (n *Network) addLawDrift(dfdt []float64) {
	lumps := int32(len(n.names))
	drift := func(p *pair, g float64) {
		if p.b < lumps {
			return
		}
		q := g * n.in.Slope[p.b-lumps]
		dfdt[p.a] += q
		dfdt[p.row] -= q
	}
	for i := range n.laws {
		l := &n.laws[i]
		drift(&l.pair, l.share*n.quantity[l.value])
	}
	for i := range n.curves {
		l := &n.curves[i]
		drift(&l.pair, l.curve.slope(n.nodes[l.a]-n.nodes[l.b]))
	}
}
