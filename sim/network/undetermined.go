package network

// Undetermined returns the lumps whose level the boundaries do not fix at the
// present inputs, because no link with a conductance or a flow ties them, even
// through others, to a boundary. They come in state order; nil if there are
// none.
func (n *Network) Undetermined() []Node { return n.AppendUndetermined(nil) }

// AppendUndetermined appends to dst what Undetermined returns; it allocates
// only to make dst longer.
func (n *Network) AppendUndetermined(dst []Node) []Node {
	outside := int32(len(n.names)) // the boundaries, as one more lump
	g := groups(n.group)
	g.reset()
	for i, a := range n.inner.a {
		g.join(int32(a), int32(n.inner.b[i]), n.inner.g[i] > 0)
	}
	for _, l := range n.outer {
		g.join(l.lump, outside, l.g > 0)
	}
	// A stream fixes the lump it runs into, not the one it comes from. But no
	// lump gains or loses coolant, so wherever coolant comes from it gets back
	// to, and all that it runs through hang together both ways; and what flows
	// out has flowed in.
	for i := range n.rings {
		s := &n.rings[i]
		g.join(s.from, s.to, s.carry > 0)
	}
	for i := range n.inflows {
		g.join(n.inflows[i].lump, outside, n.inflows[i].carry > 0)
	}
	n.refreshMoves()
	n.joinLaws(g, outside)
	n.joinAir(g, outside)
	tied := g.root(outside)
	for i := range outside {
		if g.root(i) != tied {
			dst = append(dst, Node(i))
		}
	}
	return dst
}

// refreshMoves finds which quantities are above zero at the present settings.
func (n *Network) refreshMoves() {
	for _, o := range n.blended {
		for v := range o.count {
			n.moves[o.first+v] = o.by.moves(v)
		}
	}
}

// joinLaws joins what hangs together by links that follow operations or curves.
func (n *Network) joinLaws(g groups, outside int32) {
	for i := range n.laws[:n.stated] { // the others are air's
		l := &n.laws[i]
		g.join(l.a, min(l.b, outside), n.lawful.share[i] > 0 && n.moves[l.value])
	}
	for i := range n.flows {
		s := &n.flows[i]
		g.join(s.from, s.to, n.moves[s.value])
	}
	for i := range n.curves {
		l := &n.curves[i]
		g.join(l.a, min(l.b, outside), l.curve.carries())
	}
}

// joinAir joins what hangs together by air. As much of it comes into a lump as goes
// out, so all that it runs through hangs together both ways, as with coolant. Behind
// the boundaries stand the air of every pass and the place behind every pass.
func (n *Network) joinAir(g groups, outside int32) {
	air := func(k int) int32 { return outside + 1 + int32(k) }
	place := func(k int) int32 { return air(len(n.passes) + k) }
	joinEnds := func(with int32, ends []airEnd, tied bool) {
		for i := range ends {
			g.join(with, min(ends[i].node, outside), tied && ends[i].share > 0)
		}
	}
	for k := range n.passes {
		p := &n.passes[k]
		take, give := p.atFront()
		joinEnds(air(k), p.from, take > 0 || give > 0)
		joinEnds(place(k), p.to, p.lack() > 0 || p.rest() > 0)
		g.join(air(k), place(k), p.backward && p.fresh > 0 || !p.backward && p.forced > 0)
		joinEnds(air(k), p.to, p.backward && p.draught() > 0)
		for _, x := range p.exhausts {
			g.join(air(k), place(int(x.pass)), x.share > 0 && (take > 0 || give > 0))
			joinEnds(air(k), n.passes[x.pass].to, !p.backward && x.share*p.draught() > 0)
		}
		for _, t := range p.ties {
			g.join(t.metal, air(k), p.rate > 0 && t.share > 0 && n.moves[t.value])
		}
	}
	for i := range n.airStreams {
		l := &n.airStreams[i]
		g.join(min(l.from.node, outside), min(l.to.node, outside), l.rate != 0)
	}
}

// groups is a forest over lumps: each points to another of its group, or to
// itself if it stands for the group.
type groups []int32

// reset puts everything into a group of its own.
func (g groups) reset() {
	for i := range g {
		g[i] = int32(i)
	}
}

// root returns the lump that stands for i's group. It halves the way there, so
// that long chains stay cheap.
func (g groups) root(i int32) int32 {
	for g[i] != i {
		g[i] = g[g[i]]
		i = g[i]
	}
	return i
}

// join makes one group of those of a and b, if they are tied.
func (g groups) join(a, b int32, tied bool) {
	if tied {
		g[g.root(a)] = g.root(b)
	}
}
