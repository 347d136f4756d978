package network

import "slices"

// airColumns is on which lumps the air of a pass may depend, at any inputs, and
// its derivatives with respect to their states, for which there is room for all
// lumps.
type airColumns struct {
	inletCols, outletCols []int32
	placeCols             []int32 // of the place behind it
	toCols                []int32 // of what goes from there to the nodes
	dInlet, dOutlet       []float64
	dPlace                []float64
	dBrought, dReturned   []float64 // W/K: see breath
}

// lumpSet is a set of lumps.
type lumpSet []bool

func (s lumpSet) add(all ...lumpSet) lumpSet {
	for _, other := range all {
		for i, in := range other {
			s[i] = s[i] || in
		}
	}
	return s
}

func (s lumpSet) list() (lumps []int32) {
	for i, in := range s {
		if in {
			lumps = append(lumps, int32(i))
		}
	}
	return lumps
}

// airSets finds on what air depends while the Jacobian's pattern is made: first
// of passes that run backward, from the last on, then of those that run forward.
type airSets struct {
	n         *Network
	backward  []lumpSet // outlet of each pass while it runs backward; nil if it never does
	forward   []lumpSet // outlet of each pass while it runs forward
	breathers [][]int32 // passes that breathe behind each
}

// findAirColumns fills in the columns of all passes that are not plain.
func (n *Network) findAirColumns() {
	count := len(n.passes)
	s := airSets{n: n, backward: make([]lumpSet, count), forward: make([]lumpSet, count), breathers: make([][]int32, count)}
	inlets := make([]lumpSet, count)
	for _, k := range n.order {
		inlets[k] = s.empty()
		for _, x := range n.passes[k].exhausts {
			s.breathers[x.pass] = append(s.breathers[x.pass], k)
		}
	}
	for _, k := range slices.Backward(n.order) { // as long as nothing runs, they are in ascending order
		if p := &n.passes[k]; !p.oneWay {
			inlet := s.ends(p.to).add(s.fed(k, k)...)
			s.backward[k] = s.empty().add(inlet, s.own(p))
			inlets[k].add(inlet)
		}
	}
	for _, k := range n.order {
		p := &n.passes[k]
		inlet := s.ends(p.from)
		for _, x := range p.exhausts {
			inlet.add(s.ends(n.passes[x.pass].to), s.forward[x.pass]).add(s.fed(x.pass, k)...)
		}
		s.forward[k] = s.empty().add(inlet, s.own(p))
		inlets[k].add(inlet)
	}
	for _, k := range n.order {
		s.keep(k, inlets[k])
	}
}

// keep lists the columns of pass k and makes room for its derivatives.
func (s *airSets) keep(k int32, inlet lumpSet) {
	p := &s.n.passes[k]
	if p.recirculation > 0 {
		inlet.add(s.own(p))
	}
	p.inletCols = inlet.list()
	p.outletCols = s.empty().add(s.forward[k], s.backward[k]).list()
	rest := s.empty().add(s.forward[k]).add(s.fed(k, k)...) // nodes that add air to a place get none from it
	p.placeCols = s.ends(p.to).add(rest).list()
	to := rest.add(s.backward[k])
	for _, q := range s.breathers[k] {
		to.add(s.forward[q])
	}
	p.toCols = to.list()
	for _, d := range []*[]float64{&p.dInlet, &p.dOutlet, &p.dPlace, &p.dBrought, &p.dReturned} {
		*d = make([]float64, len(s.n.names))
	}
}

func (s *airSets) empty() lumpSet { return make(lumpSet, len(s.n.names)) }

// ends is the set of the lumps among ends.
func (s *airSets) ends(ends []airEnd) lumpSet {
	set := s.empty()
	for i := range ends {
		if ends[i].lump {
			set[ends[i].node] = true
		}
	}
	return set
}

// own is what the heat of a pass's metal depends on beside its inlet.
func (s *airSets) own(p *passLink) lumpSet {
	set := s.empty()
	for _, t := range p.ties {
		set[t.metal], set[t.reference] = true, true
	}
	return set
}

// fed is on what the exhausts depend that backward passes, but for the pass
// besides, blow to the place behind pass k.
func (s *airSets) fed(k, besides int32) (sets []lumpSet) {
	for _, q := range s.breathers[k] {
		if q != besides && s.backward[q] != nil {
			sets = append(sets, s.backward[q])
		}
	}
	return sets
}

// markAir marks the structural nonzeros of passes and streams of air.
func (n *Network) markAir(mark func(row int, col int32)) {
	n.findAirColumns()
	for _, k := range n.order {
		p := &n.passes[k]
		for _, t := range p.ties {
			mark(int(t.metal), t.reference)
			markAll(mark, t.metal, p.inletCols)
		}
		for i := range p.from {
			markAll(mark, p.from[i].row, p.outletCols)
		}
		for i := range p.to {
			markAll(mark, p.to[i].row, p.toCols)
		}
	}
	for i := range n.airStreams {
		l := &n.airStreams[i]
		if l.from.lump {
			mark(int(l.to.row), l.from.node)
		}
		if l.to.lump {
			mark(int(l.from.row), l.to.node)
		}
	}
}

func markAll(mark func(row int, col int32), row int32, cols []int32) {
	for _, col := range cols {
		mark(int(row), col)
	}
}

// placeAir looks up where their derivatives go.
func (n *Network) placeAir() {
	for _, k := range n.order {
		p := &n.passes[k]
		for i := range p.ties {
			t := &p.ties[i]
			t.diag, t.ref, t.entry = n.diagonal(t.metal), n.entry(int(t.metal), t.reference), n.entries(t.metal, p.inletCols)
		}
		for i := range p.from {
			n.placeEnd(&p.from[i], p.outletCols)
		}
		for i := range p.to {
			n.placeEnd(&p.to[i], p.toCols)
		}
	}
	for i := range n.airStreams {
		l := &n.airStreams[i]
		n.placeEnd(&l.from, nil)
		n.placeEnd(&l.to, nil)
		if l.from.lump {
			l.toFr = n.entry(int(l.to.row), l.from.node)
		}
		if l.to.lump {
			l.fromTo = n.entry(int(l.from.row), l.to.node)
		}
	}
}

// placeEnd looks up the entries of an end.
func (n *Network) placeEnd(e *airEnd, cols []int32) {
	e.entry = n.entries(e.row, cols)
	if e.lump {
		e.diag = n.diagonal(e.row)
	}
}

// entries returns the positions of a row's columns among the values.
func (n *Network) entries(row int32, cols []int32) (all []int32) {
	for _, col := range cols {
		all = append(all, n.entry(int(row), col))
	}
	return all
}

// streamAir adds the derivatives of the streams of air at their present rates to the
// Jacobian. The lumps at their ends hold no coolant, so
// their states are their temperatures.
func (n *Network) streamAir(jac []float64) {
	for i := range n.airStreams {
		l := &n.airStreams[i]
		if !l.upstream().lump {
			continue
		}
		out, in := l.from.diag, l.toFr
		if l.rate < 0 {
			out, in = l.fromTo, l.to.diag
		}
		jac[out] -= l.rate * n.perRow[l.from.row]
		jac[in] += l.rate * n.perRow[l.to.row]
	}
}

// addAirDerivatives adds the derivatives of all passes to the Jacobian. All must
// be up to date at the state and the time, the quantities' slopes too.
func (n *Network) addAirDerivatives(jac []float64) {
	n.breathe(n.nodes, n.airRest, n.fanNow)
	for _, k := range n.order {
		p := &n.passes[k]
		clear(p.dBrought)
		clear(p.dReturned)
	}
	for _, k := range n.order {
		n.differentiateAir(&n.passes[k], &n.breaths[k])
	}
	for _, k := range n.order {
		n.scatterAir(&n.passes[k], &n.breaths[k], jac)
	}
}

// differentiateAir is the part of breathe that a pass has, for derivatives with
// respect to states.
func (n *Network) differentiateAir(p *passLink, b *breath) {
	if p.backward {
		p.differentiatePlace()
		copy(p.dInlet, p.dPlace)
		n.differentiateWarm(p, b)
		addScaled(p.dReturned, p.draught(), p.dOutlet, p.outletCols)
		for _, x := range p.exhausts {
			addScaled(n.passes[x.pass].dBrought, x.share*p.forced, p.dOutlet, p.outletCols)
		}
		return
	}
	clear(p.dInlet)
	for i := range p.from {
		if e := &p.from[i]; e.lump {
			p.dInlet[e.node] += e.share
		}
	}
	for _, x := range p.exhausts {
		behind := &n.passes[x.pass]
		addScaled(p.dInlet, x.share, behind.dPlace, behind.placeCols)
	}
	n.differentiateWarm(p, b)
	addScaled(p.dBrought, p.forced, p.dOutlet, p.outletCols)
	p.differentiatePlace()
	for _, x := range p.exhausts {
		addScaled(n.passes[x.pass].dReturned, x.share*p.draught(), p.dOutlet, p.outletCols)
	}
}

// differentiatePlace is placeOf for derivatives.
func (p *passLink) differentiatePlace() {
	clear(p.dPlace)
	through := p.through()
	if through == 0 {
		return
	}
	for _, col := range p.placeCols {
		p.dPlace[col] = p.dBrought[col] / through
	}
	for i := range p.to {
		if e := &p.to[i]; e.lump {
			p.dPlace[e.node] += p.lack() / through * e.share
		}
	}
}

// differentiateWarm is warm for derivatives. Those of the source are in dInlet.
func (n *Network) differentiateWarm(p *passLink, b *breath) {
	if p.rate == 0 {
		copy(p.dOutlet, p.dInlet)
		return
	}
	r, sum := p.recirculation, 0.0
	for i := range p.ties {
		sum += p.ties[i].share * n.quantity[p.ties[i].value]
	}
	bySource, byOffer := p.fresh/(p.fresh+r*sum), r/(p.fresh+r*sum)
	for _, col := range p.inletCols {
		p.dInlet[col] *= bySource
	}
	clear(p.dOutlet)
	for i := range p.ties { // dOutlet holds what changes the offer at a given inlet, W/K, at first
		t := &p.ties[i]
		p.dOutlet[t.metal] += t.share * n.quantity[t.value] * n.slope[t.metal]
		p.dOutlet[t.reference] += n.byReference(t, b)
	}
	if r > 0 {
		addScaled(p.dInlet, byOffer, p.dOutlet, p.inletCols)
	}
	for _, col := range p.outletCols {
		p.dOutlet[col] = p.dInlet[col]*(1-sum/p.rate) + p.dOutlet[col]/p.rate
	}
}

// byReference returns what a tie's heat changes with the state of its
// reference, W/K.
func (n *Network) byReference(t *airTie, b *breath) float64 {
	return t.share * n.growth[t.value] * (n.nodes[t.metal] - n.airRest - b.inlet) * n.slope[t.reference]
}

// scatterAir is the part of blow that a pass has, for derivatives.
func (n *Network) scatterAir(p *passLink, b *breath, jac []float64) {
	if p.rate > 0 {
		for i := range p.ties {
			t := &p.ties[i]
			g, perRow := t.share*n.quantity[t.value], n.perRow[t.metal]
			jac[t.diag] -= g * n.slope[t.metal] * perRow
			jac[t.ref] -= n.byReference(t, b) * perRow
			for c, at := range t.entry {
				jac[at] += g * p.dInlet[p.inletCols[c]] * perRow
			}
		}
	}
	take, give := p.atFront()
	for i := range p.from {
		n.scatterEnd(&p.from[i], take, give, p.dOutlet, p.outletCols, jac)
	}
	for _, col := range p.toCols {
		p.dReturned[col] += p.rest() * p.dPlace[col]
	}
	for i := range p.to {
		n.scatterEnd(&p.to[i], p.lack(), 1, p.dReturned, p.toCols, jac)
	}
}

// scatterEnd adds the derivatives of what an end takes, at its own temperature, and
// of what it gets back.
func (n *Network) scatterEnd(e *airEnd, take, give float64, by []float64, cols []int32, jac []float64) {
	perRow := e.share * n.perRow[e.row]
	if e.lump {
		jac[e.diag] -= take * perRow
	}
	if give == 0 {
		return
	}
	for c, at := range e.entry {
		jac[at] += give * by[cols[c]] * perRow
	}
}

// addScaled adds factor times by to sum at the given columns.
func addScaled(sum []float64, factor float64, by []float64, cols []int32) {
	if factor == 0 {
		return
	}
	for _, col := range cols {
		sum[col] += factor * by[col]
	}
}
