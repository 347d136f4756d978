package network

// A plain pass breathes at a single node and blows back there as it is, with nobody
// else in between. Whatever its rate, all the heat of its metal ends in that
// node, and that of its sources too, without a detour. So the ties are laws between metal and
// the air at the inlet, and in F nothing is left to be done for the pass.
//
// Sources before the core make that air warmer than the node, by their power over the rate.
// It is then a node of its own, behind the boundaries (riseLink): it stands for the other
// in what temperatures make of it, and has no row, as the heat goes to the
// other's.

// riseLink is the air at the inlet of a plain pass that sources heat.
type riseLink struct {
	inlet, node int32 // among Network.nodes
	pass        int32
	rise        float64 // K, by which the inlet is warmer, at the time last evaluated
}

// plain reports whether a pass is plain.
func (b *Builder) plain(p *passOf) bool {
	return len(p.From) == 1 && len(p.To) == 1 && !p.From[0].exhaust && p.From[0].node == p.To[0].node &&
		p.Recirculation == 0 && !p.breathed && !p.sensed && !(p.heated && b.airBy != nil)
}

// rises reports whether the air of a plain pass is warmer at the inlet than where it
// is breathed. Where the rate follows drives, so would the rise: such a pass is not
// plain, as its derivatives are found with those of all other air.
func (b *Builder) rises(p *passOf) bool { return b.plain(p) && p.heated }

// countRises returns how many passes have a node for the air at their inlet.
func (b *Builder) countRises() int {
	count := 0
	for i := range b.passes {
		if b.rises(&b.passes[i]) {
			count++
		}
	}
	return count
}

// layPlain makes laws of the ties of pass k, which is plain.
func (n *Network) layPlain(k int, rises bool) {
	p := &n.passes[k]
	end := &p.from[0]
	p.plain, p.firstLaw, p.inlet = true, len(n.laws), end.node
	if rises {
		p.inlet = int32(len(n.names) + len(n.boundaries) + len(n.rises))
		n.slope[p.inlet] = n.slope[end.node] // as air is no coolant
		n.rises = append(n.rises, riseLink{inlet: p.inlet, node: end.node, pass: int32(k)})
	}
	col := int32(noColumn)
	if end.lump {
		col = end.node
	}
	for _, t := range p.ties {
		n.addLaw(lawLink{pair: pair{a: t.metal, b: p.inlet, row: end.row, col: col}, value: t.value, reference: t.reference}, t.share)
	}
}

// setPlain lets the laws of a plain pass carry heat while it has air.
func (n *Network) setPlain(p *passLink) {
	for i, t := range p.ties {
		share := t.share
		if p.rate == 0 {
			share = 0
		}
		n.lawful.share[p.firstLaw+i] = share
	}
}

// evaluateRises works out by how much sources warm the inlets, at their powers at the time in hand.
func (n *Network) evaluateRises() {
	for i := range n.rises {
		l := &n.rises[i]
		l.rise = n.passes[l.pass].risen(n.fanNow[l.pass])
	}
}

// risen returns by how much heat before the core warms the air of a plain pass, K (or its change, K/s).
func (p *passLink) risen(heat airHeat) float64 {
	if p.rate == 0 {
		return 0
	}
	return heat.before / p.rate
}

// warmInlets brings the inlets to the temperatures of where they breathe.
func (n *Network) warmInlets() {
	for i := range n.rises {
		l := &n.rises[i]
		n.nodes[l.inlet] = n.nodes[l.node] + l.rise
	}
}

// driftInlets finds how the inlets change with time at a given state, K/s.
func (n *Network) driftInlets() {
	for i := range n.rises {
		l := &n.rises[i]
		n.drift[l.inlet] = n.drift[l.node] + n.passes[l.pass].risen(n.fanSlope[l.pass])
	}
}
