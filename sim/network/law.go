package network

// pair is the two ends of a link whose conductance changes: see Network.nodes.
type pair struct {
	a, b   int32 // a is a lump
	row    int32 // that receives what a gives: of b, or of the path
	aa, ra int32 // entries (a, a) and (row, a) of the Jacobian
	col    int32 // lump on whose state b depends, noColumn of what depends on none
	ab, rb int32 // entries (a, col) and (row, col); without a column those of a again
}

// noColumn stands for a column where there is none.
const noColumn = -1

// lawLink is a conductance that follows an operation: a share of a quantity.
type lawLink struct {
	pair
	value     int32 // number among the quantities of the network
	reference int32
	aRef      int32 // entries (a, reference) and (row, reference)
	rowRef    int32
}

// lawColumns are laws as F goes through them, one an index, with the shares, which
// stand here only.
type lawColumns struct {
	a, b, row, value []uint32
	share            []float64
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

// addLaw adds a law.
func (n *Network) addLaw(l lawLink, share float64) {
	n.laws = append(n.laws, l)
	c := &n.lawful
	c.a, c.b, c.row = append(c.a, uint32(l.a)), append(c.b, uint32(l.b)), append(c.row, uint32(l.row))
	c.value, c.share = append(c.value, uint32(l.value)), append(c.share, share)
}

// conduct adds the heat that the laws carry, W.
func (l *lawColumns) conduct(quantity, nodes, dydt []float64) {
	from, to := l.a[:len(l.share)], l.b[:len(l.share)]
	row, value := l.row[:len(l.share)], l.value[:len(l.share)]
	for i, share := range l.share {
		a := from[i]
		q := share * quantity[value[i]] * (nodes[a] - nodes[to[i]])
		dydt[a] -= q
		dydt[row[i]] += q
	}
}

// addCurves adds the heat of curves, W.
func addCurves(links []curveLink, nodes, dydt []float64) {
	for i := range links {
		l := &links[i]
		q := l.curve.heat(nodes[l.a] - nodes[l.b])
		dydt[l.a] -= q
		dydt[l.row] += q
	}
}

// addLawDrift adds what moving boundaries change of laws and curves, W/s. All
// must be up to date at the state and the time.
func (n *Network) addLawDrift(dfdt []float64) {
	drift := func(p *pair, g float64) {
		q := g * n.drift[p.b]
		dfdt[p.a] += q
		dfdt[p.row] -= q
	}
	for i := range n.laws {
		l := &n.laws[i]
		drift(&l.pair, n.lawful.share[i]*n.quantity[l.value])
	}
	for i := range n.curves {
		l := &n.curves[i]
		drift(&l.pair, l.curve.slope(n.nodes[l.a]-n.nodes[l.b]))
	}
}
