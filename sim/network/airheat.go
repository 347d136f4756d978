package network

// breathe finds the air of all passes at the temperatures nodes (K), with rest
// the reference of enthalpy, and the powers heat. Everything is linear in those
// three at given conductances, so that it gives derivatives with time, too: of
// rates of change, with a reference of zero.
func (n *Network) breathe(nodes []float64, rest float64, heat []airHeat) {
	for _, k := range n.order {
		b := &n.breaths[k]
		b.brought, b.returned = 0, 0
	}
	for _, k := range n.order {
		p, b := &n.passes[k], &n.breaths[k]
		if p.backward {
			b.place = p.placeOf(b, nodes, rest)
			n.warm(p, b, b.place, nodes, rest, heat[k])
			b.returned += p.draught() * b.outlet
			for _, x := range p.exhausts {
				n.breaths[x.pass].brought += x.share * p.forced * b.outlet
			}
			continue
		}
		source := mixOf(p.from, nodes, rest)
		for _, x := range p.exhausts {
			source += x.share * n.breaths[x.pass].place
		}
		n.warm(p, b, source, nodes, rest, heat[k])
		b.brought += p.forced * b.outlet
		b.place = p.placeOf(b, nodes, rest)
		for _, x := range p.exhausts {
			n.breaths[x.pass].returned += x.share * p.draught() * b.outlet
		}
	}
}

// mixOf returns the temperature of air from nodes by their shares.
func mixOf(ends []airEnd, nodes []float64, rest float64) float64 {
	sum := 0.0
	for i := range ends {
		sum += ends[i].share * (nodes[ends[i].node] - rest)
	}
	return sum
}

// placeOf returns the temperature of the place behind a pass, from what passes
// bring there and what the nodes behind add; zero if no air comes there.
func (p *passLink) placeOf(b *breath, nodes []float64, rest float64) float64 {
	through, sum := p.through(), b.brought
	switch {
	case through == 0:
		return 0
	case p.alone():
		return b.outlet
	}
	if lack := p.lack(); lack > 0 {
		sum += lack * mixOf(p.to, nodes, rest)
	}
	return sum / through
}

// warm finds the air at inlet and outlet of a core that breathes air of the
// temperature source. With the fresh rate f, the conductances g to metal, their
// sum G, and the part r of recirculated air,
//
//	rate inlet  = f source + r rate outlet + heat before
//	rate outlet = rate inlet + sum of g (metal - inlet) + heat behind
//
// of which the second in the first gives the inlet. Without r there is less to do.
func (n *Network) warm(p *passLink, b *breath, source float64, nodes []float64, rest float64, heat airHeat) {
	b.inlet, b.outlet = source, source
	if p.rate == 0 {
		return
	}
	sum, offered := 0.0, heat.behind
	for i := range p.ties {
		t := &p.ties[i]
		g := t.share * n.quantity[t.value]
		sum += g
		offered += g * (nodes[t.metal] - rest)
	}
	if r := p.recirculation; r == 0 {
		b.inlet += heat.before / p.rate
	} else {
		b.inlet = (p.fresh*source + r*offered + heat.before) / (p.fresh + r*sum)
	}
	b.outlet = b.inlet + (offered-sum*b.inlet)/p.rate
}

// blow adds the heat between metal and air, and what air takes from nodes and
// brings there, W, at what breathe has found.
func (n *Network) blow(nodes []float64, rest float64, dydt []float64) {
	for _, k := range n.order {
		p, b := &n.passes[k], &n.breaths[k]
		if p.rate > 0 {
			for i := range p.ties {
				t := &p.ties[i]
				dydt[t.metal] -= t.share * n.quantity[t.value] * (nodes[t.metal] - rest - b.inlet)
			}
		}
		take, give := p.atFront()
		give *= b.outlet
		for i := range p.from {
			e := &p.from[i]
			dydt[e.row] -= e.share * (take*(nodes[e.node]-rest) - give)
		}
		take, give = p.lack(), p.rest()*b.place+b.returned
		for i := range p.to {
			e := &p.to[i]
			dydt[e.row] -= e.share * (take*(nodes[e.node]-rest) - give)
		}
	}
	for i := range n.airStreams {
		l := &n.airStreams[i]
		q := l.rate * (nodes[l.upstream().node] - rest)
		dydt[l.from.row] -= q
		dydt[l.to.row] += q
	}
}

// atFront returns the rates that a pass takes from where it breathes, and gives
// back there: its draught, or all of its exhaust if it runs backward.
func (p *passLink) atFront() (take, give float64) {
	if p.backward {
		return 0, p.forced
	}
	return p.fresh, p.draught()
}

// evaluateFans brings the powers into the air of passes to time t.
func (n *Network) evaluateFans(t float64) {
	since := t - n.in.Since
	for k := range n.fanNow {
		n.fanNow[k] = airHeat{n.fan[k].before + since*n.fanSlope[k].before, n.fan[k].behind + since*n.fanSlope[k].behind}
	}
	n.evaluateRises()
}
