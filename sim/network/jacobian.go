package network

import (
	"slices"

	"soakledger/sim/sparse"
)

// Pattern returns the structural nonzeros of the Jacobian: one row a lump and
// one a quadrature, one column a lump. The caller must not change it.
func (n *Network) Pattern() sparse.Pattern {
	return sparse.Pattern{RowStart: n.rowStart, Col: n.col}
}

// buildPattern finds the structural nonzeros, where every link's derivative
// goes, and the part of the Jacobian that never changes.
func (n *Network) buildPattern() {
	lumps, quads := n.Dim()
	rows := make([][]int, lumps+quads)
	mark := func(row int, col int32) { rows[row] = append(rows[row], int(col)) }
	for i := range lumps {
		mark(i, int32(i))
	}
	for _, l := range n.inner {
		mark(int(l.a), l.b)
		mark(int(l.b), l.a)
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
		mark(lumps+len(n.paths)+i, int32(n.leaks[i].lump))
	}
	n.rowStart = []int{0}
	for i := range rows {
		slices.Sort(rows[i])
		n.col = append(n.col, slices.Compact(rows[i])...)
		n.rowStart = append(n.rowStart, len(n.col))
	}
	n.placeEntries()
	n.fillBase()
}

// pathRow returns the row of a path's quadrature.
func (n *Network) pathRow(path int32) int { return len(n.names) + int(path) }

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
	for i := range n.cells {
		n.cells[i].diag = n.diagonal(n.cells[i].lump)
	}
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
		l.diag, l.quad = n.diagonal(lump), n.entry(n.pathRow(int32(len(n.paths)+i)), lump)
	}
}

// fillBase sums the derivatives of constant conductances: rows of constant
// capacity in 1/s, rows of coolant and of quadratures in W/K.
func (n *Network) fillBase() {
	n.base = make([]float64, len(n.col))
	for _, l := range n.inner {
		n.base[n.diagonal(l.a)] -= l.g
		n.base[n.entry(int(l.a), l.b)] += l.g
		n.base[n.diagonal(l.b)] -= l.g
		n.base[n.entry(int(l.b), l.a)] += l.g
	}
	for _, l := range n.outer {
		n.base[n.diagonal(l.lump)] -= l.g
		n.base[n.entry(n.pathRow(l.path), l.lump)] += l.g
	}
	for i, capacity := range n.capacity {
		if n.mass[i] > 0 {
			continue
		}
		for k := n.rowStart[i]; k < n.rowStart[i+1]; k++ {
			n.base[k] /= capacity
		}
	}
}

// Jacobian writes the derivatives of F with respect to the lumps' temperatures
// into jac, in the order of Pattern: 1/s for the lumps, W/K for the
// quadratures.
func (n *Network) Jacobian(t float64, y, jac []float64) {
	temp := y[:len(n.names)]
	copy(jac, n.base)
	heat, leaks := n.coolantHeat(t, temp)
	for i := range n.rings {
		s := &n.rings[i]
		d := s.flow * n.specificHeat[s.from]
		jac[s.fromDiag] -= d
		jac[s.toFrom] += d
	}
	for i := range n.outflows {
		s := &n.outflows[i]
		d := s.flow * n.specificHeat[s.lump]
		jac[s.diag] -= d
		jac[s.quad] += d
	}
	for i := range n.cells {
		c := &n.cells[i]
		inv := n.invCapacity[c.lump]
		row := jac[n.rowStart[c.lump]:n.rowStart[c.lump+1]]
		for k := range row {
			row[k] *= inv
		}
		// The capacity m cp in the denominator of the rate: -Q m dcp / (m cp)^2.
		jac[c.diag] -= heat[c.lump] * inv * inv * c.mass * c.dcp
	}
	for i := range n.leaks {
		l := &n.leaks[i]
		dp := l.slope(leaks[i])
		jac[l.diag] += dp * n.invCapacity[l.lump]
		jac[l.quad] += dp
	}
}

// coolantHeat returns the heat that flows into every lump, W, as far as it
// concerns coolant: that of other lumps is left incomplete. It also returns the
// powers of the leaks, W.
func (n *Network) coolantHeat(t float64, temp []float64) (heat, leaks []float64) {
	heat, quad := n.scratch[:len(temp)], n.scratch[len(temp):]
	leaks = quad[len(n.paths):]
	copy(heat, n.sourceHeat)
	clear(quad)
	n.evaluateCoolant(temp)
	n.evaluateBoundaries(t)
	conductInner(n.inner[:n.wetInner], temp, heat)
	n.conductOuter(n.outer[:n.wetOuter], temp, heat, quad)
	n.carry(heat, quad)
	n.leakInto(temp, heat, leaks)
	return heat, leaks
}
