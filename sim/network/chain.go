package network

import "slices"

// chain is coolant that runs in one stream from lump to lump, and what they conduct
// beside it: most links of a machine, in one way through the lumps. F goes along
// chains; all else about streams and conductances stands in flows, rings and inner.
//
// A lump gets what the one before it gives less what it gives itself, so that it is looked
// up and written once.
type chain struct {
	lumps  []uint32  // as coolant runs through them; the first again at the end of a ring
	g      []float64 // W/K, conductance from each to the next
	value  int32     // quantity that is the mass flow; that of constants if it is an input
	ring   int32     // one of rings, whose carry it has, if it is an input
	factor float64   // W/K per unit of the quantity
}

// carry adds the heat that goes along, W: enthalpy relative to the state rest, at
// which coolant carries none. As much coolant comes into a lump as goes out of it, so
// that rest drops out; one close to the states at hand keeps rounding small.
func (c *chain) carry(quantity []float64, rest float64, state, temp, heat []float64) {
	temp, heat = temp[:len(state)], heat[:len(state)]
	carry := c.factor * quantity[c.value]
	from := c.lumps[0]
	next, t, q := c.lumps[1:][:len(c.g)], temp[from], 0.0
	for i, g := range c.g {
		to := next[i]
		beyond, before := temp[to], q
		q = carry*(state[from]-rest) + g*(t-beyond)
		heat[from] += before - q
		from, t = to, beyond
	}
	heat[from] += q
}

// addChains sorts the flows, the rings and the conductances beside them into chains,
// and the conductances that are left into aside.
func (n *Network) addChains() {
	constant := int32(len(n.quantity) - 1)
	var hops []hop
	for i := range n.flows {
		f := &n.flows[i]
		hops = append(hops, hop{from: f.from, to: f.to, value: f.value})
	}
	for i := range n.rings {
		r := &n.rings[i]
		hops = append(hops, hop{from: r.from, to: r.to, value: constant, circuit: r.circuit, share: r.share, ring: int32(i)})
	}
	beside := n.besides()
	for len(hops) > 0 {
		first := max(0, slices.IndexFunc(hops, func(h hop) bool { return follower(hops, h.from, h, true) < 0 }))
		n.chains = append(n.chains, n.newChain(&hops, first, beside))
	}
	n.leaveAside(beside)
}

// hop is one stream between two lumps.
type hop struct {
	from, to int32
	value    int32
	circuit  int32 // of a ring
	share    float64
	ring     int32
}

// follower returns which of hops has the same flow as like and begins (or, backward, ends) at a
// lump; -1 if none has.
func follower(hops []hop, lump int32, like hop, backward bool) int {
	return slices.IndexFunc(hops, func(h hop) bool {
		end := h.from
		if backward {
			end = h.to
		}
		return end == lump && h.value == like.value && h.circuit == like.circuit && h.share == like.share
	})
}

// newChain takes a chain out of hops, from the given one on as far as it leads.
func (n *Network) newChain(hops *[]hop, at int, beside map[[2]uint32]float64) chain {
	like := (*hops)[at]
	c := chain{lumps: []uint32{uint32(like.from)}, value: like.value, ring: like.ring, factor: n.c0}
	for at >= 0 {
		h := (*hops)[at]
		*hops = slices.Delete(*hops, at, at+1)
		ends := between(uint32(h.from), uint32(h.to))
		c.lumps, c.g = append(c.lumps, uint32(h.to)), append(c.g, beside[ends])
		delete(beside, ends)
		at = follower(*hops, h.to, like, false)
	}
	return c
}

// between is a pair of lumps, whichever way round.
func between(a, b uint32) [2]uint32 { return [2]uint32{min(a, b), max(a, b)} }

// besides returns the sum of conductances between every two lumps.
func (n *Network) besides() map[[2]uint32]float64 {
	all := make(map[[2]uint32]float64, len(n.inner.g))
	for i, g := range n.inner.g {
		all[between(n.inner.a[i], n.inner.b[i])] += g
	}
	return all
}

// leaveAside keeps for F the conductances that no chain has.
func (n *Network) leaveAside(left map[[2]uint32]float64) {
	for i, g := range n.inner.g {
		a, b := n.inner.a[i], n.inner.b[i]
		if _, kept := left[between(a, b)]; kept {
			n.aside.a = append(n.aside.a, a)
			n.aside.b = append(n.aside.b, b)
			n.aside.g = append(n.aside.g, g)
		}
	}
}

// setChains brings the chains whose mass flow is an input up to date with rings.
func (n *Network) setChains() {
	constant := int32(len(n.quantity) - 1)
	for i := range n.chains {
		if c := &n.chains[i]; c.value == constant {
			c.factor = n.rings[c.ring].carry
		}
	}
}
