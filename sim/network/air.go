package network

// passLink is the working data of a pass; see airplain.go for a plain one.
type passLink struct {
	name          string
	from, to      []airEnd
	exhausts      []exhaustShare // behind which it breathes
	recirculation float64
	oneWay        bool
	ties          []airTie
	plain         bool
	firstLaw      int   // of its ties among the laws, if it is plain
	inlet         int32 // node of the air at its inlet, if it is plain
	airRates
	airColumns
}

// airEnd is a node at which a pass or stream takes and gives air.
type airEnd struct {
	node  int32   // among Network.nodes
	row   int32   // where its energy is counted: of the lump, or of the path
	share float64 // of the pass's air
	lump  bool    // it is a lump, and no boundary
	diag  int32   // entry (row, row) of the Jacobian, of a lump
	entry []int32 // entries of the row at the columns of the pass's outlet, or of its place
}

// exhaustShare is the share of a pass's air that it breathes behind another.
type exhaustShare struct {
	pass  int32
	share float64
}

// airTie is the conductance between metal and the air into a pass.
type airTie struct {
	metal, value, reference int32
	share                   float64
	diag, ref               int32   // entries (metal, metal) and (metal, reference) of the Jacobian
	entry                   []int32 // entries (metal, columns of the pass's inlet)
}

// airRates is what the present inputs make of a pass. All are W/K: mass flow
// times specific heat.
type airRates struct {
	backward bool
	rate     float64 // through the core
	fresh    float64 // into the pass from outside of it
	forced   float64 // of that, what goes on to the other side; the rest is a draught, which goes back
	in, out  float64 // by passes into and out of the place behind it
}

// through is the rate that goes through the place behind the pass.
func (a *airRates) through() float64 {
	if a.in > a.out {
		return a.in
	}
	return a.out
}

// alone reports whether nothing comes to the place but the pass's own exhaust.
func (a *airRates) alone() bool { return a.in == a.forced && a.out <= a.in && !a.backward }

// draught is the rate that goes back to where it came from.
func (a *airRates) draught() float64 { return a.fresh - a.forced }

// lack is the rate that the nodes behind a place add to what passes bring there.
func (a *airRates) lack() float64 {
	if a.out > a.in {
		return a.out - a.in
	}
	return 0
}

// rest is the rate that passes leave of what is brought there.
func (a *airRates) rest() float64 {
	if a.in > a.out {
		return a.in - a.out
	}
	return 0
}

// breath is the air of a pass at a state. Temperatures are in kelvin over the
// reference of enthalpy.
type breath struct {
	inlet, outlet float64
	place         float64 // temperature of the place behind it
	brought       float64 // W, enthalpy that passes bring there
	returned      float64 // W, enthalpy of draughts that go back to the nodes behind it
}

// airHeat is the power of sources into a pass, W, or its change with time, W/s.
type airHeat struct{ before, behind float64 }

// airLink is a stream of air. Its rate is in W/K, below zero if it runs from to to
// from.
type airLink struct {
	from, to     airEnd
	rate         float64
	fromTo, toFr int32 // entries (from, to) and (to, from) of the Jacobian; -1 where there is none
}

// upstream returns the end from which the stream comes.
func (l *airLink) upstream() *airEnd {
	if l.rate < 0 {
		return &l.to
	}
	return &l.from
}

// downstream returns the end to which it goes.
func (l *airLink) downstream() *airEnd {
	if l.rate < 0 {
		return &l.from
	}
	return &l.to
}

// addAir copies what a checked builder has of passes and streams of air.
func (n *Network) addAir(b *Builder) {
	for i := range b.passes {
		n.passes = append(n.passes, n.newPass(&b.passes[i]))
		if b.plain(&b.passes[i]) {
			n.layPlain(i, b.rises(&b.passes[i]))
		}
	}
	for _, s := range b.airStreams {
		n.airStreams = append(n.airStreams, airLink{from: n.newAirEnd(s.from, s.path, 1), to: n.newAirEnd(s.to, s.path, 1)})
	}
	n.breaths = make([]breath, len(b.passes))
	n.airScratch = make([]float64, max(2*len(b.lumps), len(b.passes)))
	n.fan, n.fanSlope, n.fanNow = make([]airHeat, len(b.passes)), make([]airHeat, len(b.passes)), make([]airHeat, len(b.passes))
	for i := range n.passes {
		if !n.passes[i].plain {
			n.order = append(n.order, int32(i))
		}
	}
}

// newPass copies a pass.
func (n *Network) newPass(s *passOf) passLink {
	p := passLink{name: s.name, recirculation: s.Recirculation, oneWay: s.OneWay}
	for _, from := range s.From {
		if from.exhaust {
			p.exhausts = append(p.exhausts, exhaustShare{int32(from.pass), from.share})
		} else {
			p.from = append(p.from, n.newAirEnd(from.node, s.path, from.share))
		}
	}
	for _, to := range s.To {
		p.to = append(p.to, n.newAirEnd(to.node, s.path, to.share))
	}
	for _, t := range s.ties {
		// A constant is a share of the last quantity, which is 1, and follows nothing:
		// its own lump as well as any.
		tie := airTie{metal: int32(t.metal), value: int32(len(n.quantity) - 1), reference: int32(t.metal), share: t.share}
		if t.circuit != noCircuit {
			o := n.operatedBy(t.circuit)
			tie.value, tie.reference = int32(o.first+t.value), o.reference
		}
		p.ties = append(p.ties, tie)
	}
	return p
}

// newAirEnd numbers a node at which air is taken and given.
func (n *Network) newAirEnd(node Node, path Path, share float64) airEnd {
	if k, out := node.boundary(); out {
		return airEnd{node: int32(len(n.names) + k), row: int32(n.pathRow(int32(path))), share: share}
	}
	return airEnd{node: int32(node), row: int32(node), share: share, lump: true}
}

// setAir works out the rates of all passes and streams at the present inputs, and
// the order in which their air is found. What breathes behind a pass
// that runs forward comes after it, and what a backward pass blows to, too: first
// those that run backward, the last of them first, then the others. Since
// nothing leads from one that runs forward to one that runs backward, that
// serves any mixture of both.
func (n *Network) setAir() {
	for i := range n.airStreams {
		n.airStreams[i].rate = n.in.Stream[i]
	}
	n.spreadAir(n.in.Air)
	count := 0
	for i := len(n.passes) - 1; i >= 0; i-- {
		if p := &n.passes[i]; p.backward && !p.plain {
			n.order[count] = int32(i)
			count++
		}
	}
	for i := range n.passes {
		p := &n.passes[i]
		switch {
		case p.plain:
			n.setPlain(p)
		case !p.backward:
			n.order[count] = int32(i)
			count++
		}
	}
}

// flowOfPass returns that of pass i: none if flows is empty.
func flowOfPass(flows []AirFlow, i int) AirFlow {
	if len(flows) == 0 {
		return AirFlow{}
	}
	return flows[i]
}

// spreadAir works out the rates of all passes from their flows.
func (n *Network) spreadAir(flows []AirFlow) {
	for i := range n.passes {
		p, f := &n.passes[i], flowOfPass(flows, i)
		fresh := (1 - p.recirculation) * f.Rate
		p.airRates = airRates{backward: f.Backward, rate: f.Rate, fresh: fresh, forced: f.Forced * fresh}
	}
	for i := range n.passes {
		p := &n.passes[i]
		if p.backward {
			p.out += p.fresh
		} else {
			p.in += p.forced
		}
		for _, x := range p.exhausts {
			if p.backward {
				n.passes[x.pass].in += x.share * p.forced
			} else {
				n.passes[x.pass].out += x.share * p.fresh
			}
		}
	}
}
