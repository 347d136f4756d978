package network

import (
	"slices"

	"soakledger/sim/sparse"
)

// Pattern returns the structural nonzeros of the Jacobian: one row a state and
// one a quadrature, one column a state. Unless a drive follows an auxiliary
// state, no lump depends on one, so that the rows and columns of the lumps stand for
// themselves. The caller must not change it.
func (n *Network) Pattern() sparse.Pattern {
	return sparse.Pattern{RowStart: n.rowStart, Col: n.col}
}

// buildPattern finds the structural nonzeros, where every link's derivative
// goes, and the part of the Jacobian that never changes.
func (n *Network) buildPattern() {
	states, quads := n.Dim()
	rows := make([][]int, states+quads)
	mark := func(row int, col int32) { rows[row] = append(rows[row], int(col)) }
	for i := range n.names {
		mark(i, int32(i))
	}
	for i, a := range n.inner.a {
		b := n.inner.b[i]
		mark(int(a), int32(b))
		mark(int(b), int32(a))
	}
	for _, l := range n.outer {
		mark(n.pathRow(l.path), l.lump)
	}
	for _, s := range n.rings {
		mark(int(s.to), s.from)
	}
	for _, s := range n.outflows {
		mark(n.pathRow(s.path), s.lump)
	}
	for i := range n.leaks {
		mark(n.leakRow(i), int32(n.leaks[i].lump))
	}
	n.markLaws(mark)
	n.markAir(mark)
	n.markAuxiliaries(mark)
	n.markDrives(mark)
	n.rowStart = []int{0}
	for i := range rows {
		slices.Sort(rows[i])
		n.col = append(n.col, slices.Compact(rows[i])...)
		n.rowStart = append(n.rowStart, len(n.col))
	}
	n.placeEntries()
	n.placeLaws()
	n.placeAir()
	n.placeAuxiliaries()
	n.placeDrives()
	n.fillDry()
}

// pathRow returns the row of a path's quadrature.
func (n *Network) pathRow(path int32) int { return n.states + int(path) }

// leakRow returns the row of leak i's quadrature.
func (n *Network) leakRow(i int) int { return n.states + len(n.paths) + i }

// entry returns the position of (row, col) among the values.
func (n *Network) entry(row int, col int32) int32 {
	cols := n.col[n.rowStart[row]:n.rowStart[row+1]]
	i, ok := slices.BinarySearch(cols, int(col))
	if !ok {
		panic("network: an entry outside the pattern")
	}
	return int32(n.rowStart[row] + i)
}

// diagonal returns the position of (lump, lump) among the values.
func (n *Network) diagonal(lump int32) int32 { return n.entry(int(lump), lump) }

// placeEntries looks up where the changing derivatives go.
func (n *Network) placeEntries() {
	for i := range n.rings {
		s := &n.rings[i]
		s.fromDiag, s.toFrom = n.diagonal(s.from), n.entry(int(s.to), s.from)
	}
	for i := range n.outflows {
		s := &n.outflows[i]
		s.diag, s.quad = n.diagonal(s.lump), n.entry(n.pathRow(s.path), s.lump)
	}
	for i := range n.leaks {
		l := &n.leaks[i]
		lump := int32(l.lump)
		l.diag, l.quad = n.diagonal(lump), n.entry(n.leakRow(i), lump)
	}
}

// fillDry sums the derivatives of conductances, 1/s and of quadratures W/K: in
// the columns of lumps that hold no coolant into dry, in those of coolant, whose
// state is not their temperature, into wet.
func (n *Network) fillDry() {
	n.dry, n.steady = make([]float64, len(n.col)), make([]float64, len(n.col))
	for i, g := range n.inner.g {
		a, b := int32(n.inner.a[i]), int32(n.inner.b[i])
		n.dry[n.diagonal(a)] -= g
		n.dry[n.entry(int(a), b)] += g
		n.dry[n.diagonal(b)] -= g
		n.dry[n.entry(int(b), a)] += g
	}
	for _, l := range n.outer {
		n.dry[n.diagonal(l.lump)] -= l.g
		n.dry[n.entry(n.pathRow(l.path), l.lump)] += l.g
	}
	for k := range n.auxiliaries {
		n.dry[n.diagonal(int32(len(n.names)+k))] = -1 / n.auxiliaries[k].tau
	}
	for i, inv := range n.invCapacity {
		for k := n.rowStart[i]; k < n.rowStart[i+1]; k++ {
			n.dry[k] *= inv
		}
	}
	for e, col := range n.col {
		if n.mass[col] > 0 && n.dry[e] != 0 {
			n.wet = append(n.wet, wetEntry{entry: int32(e), lump: int32(col), g: n.dry[e]})
			n.dry[e] = 0
		}
	}
}

// fillSteady adds the derivatives of the streams at the present inputs to those
// of dry.
func (n *Network) fillSteady() {
	copy(n.steady, n.dry)
	for i := range n.rings {
		s := &n.rings[i]
		n.steady[s.fromDiag] -= s.carry * n.invCapacity[s.from]
		n.steady[s.toFrom] += s.carry * n.invCapacity[s.to]
	}
	for i := range n.outflows {
		s := &n.outflows[i]
		n.steady[s.diag] -= s.carry * n.invCapacity[s.lump]
		n.steady[s.quad] += s.carry
	}
	if n.airBy == nil { // or else it is not steady
		n.streamAir(n.steady)
	}
}

// Jacobian writes the derivatives of F with respect to the states into
// jac, in the order of Pattern: 1/s for the lumps, W/K for the quadratures. It
// is cheapest right after F at the same state.
func (n *Network) Jacobian(t float64, y, jac []float64) {
	n.bring(t, y)
	copy(jac, n.steady)
	if n.airBy != nil {
		n.streamAir(jac)
	}
	n.differentiate()
	for i := range n.wet {
		w := &n.wet[i]
		jac[w.entry] += w.g * n.slope[w.lump]
	}
	for i := range n.leaks {
		l := &n.leaks[i]
		dp := l.slope(l.p) * n.slope[l.lump]
		jac[l.diag] += dp * n.invCapacity[l.lump]
		jac[l.quad] += dp
	}
	n.addLawDerivatives(y[:len(n.names)], jac)
	if len(n.order) > 0 {
		n.addAirDerivatives(jac)
	}
	n.addAuxDerivatives(jac)
	if n.steered {
		n.addDriveDerivatives(y, jac)
	}
}

// differentiate brings the slopes of the coolant's temperatures, and those of all
// quantities, up to date at the state last evaluated.
func (n *Network) differentiate() {
	for _, lump := range n.cells {
		_, n.slope[lump] = n.scale.Temperature(n.state[lump])
	}
	for _, o := range n.operated {
		o.differentiate(n.nodes[o.reference], n.growth[o.first:])
	}
}
