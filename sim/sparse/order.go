package sparse

import (
	"cmp"
	"slices"
)

// elimination is the outcome of the symbolic factorisation of an n x n matrix with diagonal pivots.
// Indices are those of the user's states.
type elimination struct {
	perm  []int32   // perm[k] is the state eliminated at position k
	upper [][]int32 // upper[k]: columns right of pivot k in its row, fill included
	lower [][]int32 // lower[k]: rows below pivot k in its column, fill included
}

// eliminationGraph holds, for the states not yet eliminated, the off-diagonal nonzeros of the reduced matrix.
type eliminationGraph struct {
	rows, cols [][]int32 // ascending
	active     []int32   // states not yet eliminated, ascending
	touched    []int     // position of the last elimination that changed a state's row or column
}

// eliminate eliminates all states in the given order, or, if order is nil, in a minimum-degree order
// (Markowitz 1957: least product of the row's and the column's other nonzeros). Among equals the state whose
// neighbourhood was left alone longest goes first, which keeps the chains of dependent operations short.
func eliminate(n int, p Pattern, order []int) elimination {
	g := newEliminationGraph(n, p)
	e := elimination{
		perm:  make([]int32, 0, n),
		upper: make([][]int32, 0, n),
		lower: make([][]int32, 0, n),
	}
	for k := range n {
		var pivot int32
		if order != nil {
			pivot = int32(order[k])
		} else {
			pivot = g.cheapest()
		}
		e.perm = append(e.perm, pivot)
		e.upper = append(e.upper, g.rows[pivot])
		e.lower = append(e.lower, g.cols[pivot])
		g.remove(pivot, k)
	}
	return e.byLevel()
}

// byLevel sorts the eliminations so that those that wait for the fewest others come first, and, among those, rows of
// one length stand together. It is the same elimination: no pivot moves ahead of one it depends on.
func (e elimination) byLevel() elimination {
	n := len(e.perm)
	level, length := make([]int, n), make([]int, n) // by state
	for k, s := range e.perm {
		for _, i := range e.lower[k] {
			level[i] = max(level[i], level[s]+1)
			length[i]++
		}
		for _, j := range e.upper[k] {
			level[j] = max(level[j], level[s]+1)
		}
	}
	at := make([]int, n) // old positions in new order
	for k := range at {
		at[k] = k
	}
	slices.SortStableFunc(at, func(a, b int) int {
		sa, sb := e.perm[a], e.perm[b]
		return cmp.Or(cmp.Compare(level[sa], level[sb]), cmp.Compare(length[sa], length[sb]))
	})
	var out elimination
	for _, k := range at {
		out.perm = append(out.perm, e.perm[k])
		out.upper = append(out.upper, e.upper[k])
		out.lower = append(out.lower, e.lower[k])
	}
	return out
}

// backwardOrder returns the positions in an order for the backward substitution: those that wait for the fewest others first,
// and, among those, rows of one length together. position is that of each state.
func (e elimination) backwardOrder(position []int32) []int {
	n := len(e.perm)
	level, order := make([]int, n), make([]int, n)
	for k := n - 1; k >= 0; k-- {
		order[n-1-k] = k
		for _, j := range e.upper[k] {
			level[k] = max(level[k], level[position[j]]+1)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(level[a], level[b]), cmp.Compare(len(e.upper[a]), len(e.upper[b])))
	})
	return order
}

func newEliminationGraph(n int, p Pattern) *eliminationGraph {
	g := &eliminationGraph{rows: make([][]int32, n), cols: make([][]int32, n), active: make([]int32, n), touched: make([]int, n)}
	for i := range n {
		g.active[i] = int32(i)
		g.touched[i] = -1
		for _, j := range p.Col[p.RowStart[i]:p.RowStart[i+1]] {
			if j != i {
				g.rows[i] = append(g.rows[i], int32(j))
				g.cols[j] = append(g.cols[j], int32(i))
			}
		}
	}
	return g
}

// cheapest returns the active state of least Markowitz cost.
func (g *eliminationGraph) cheapest() int32 {
	best := g.active[0]
	bestCost := len(g.rows[best]) * len(g.cols[best])
	for _, i := range g.active[1:] {
		cost := len(g.rows[i]) * len(g.cols[i])
		if cost < bestCost || cost == bestCost && g.touched[i] < g.touched[best] {
			best, bestCost = i, cost
		}
	}
	return best
}

// remove eliminates pivot at position k: every row of its column takes over the columns of its row.
func (g *eliminationGraph) remove(pivot int32, k int) {
	at, _ := slices.BinarySearch(g.active, pivot)
	g.active = slices.Delete(g.active, at, at+1)
	row, col := g.rows[pivot], g.cols[pivot]
	for _, i := range col {
		g.rows[i] = join(g.rows[i], row, pivot, i)
		g.touched[i] = k
	}
	for _, j := range row {
		g.cols[j] = join(g.cols[j], col, pivot, j)
		g.touched[j] = k
	}
}

// join returns the union of the ascending lists a and b without the two values drop and self.
// It reuses a where nothing is added.
func join(a, b []int32, drop, self int32) []int32 {
	if at, found := slices.BinarySearch(a, drop); found {
		a = slices.Delete(a, at, at+1)
	}
	if covers(a, b, self) {
		return a
	}
	out := make([]int32, 0, len(a)+len(b))
	for len(a) > 0 || len(b) > 0 {
		var v int32
		switch {
		case len(b) == 0 || len(a) > 0 && a[0] < b[0]:
			v, a = a[0], a[1:]
		case len(a) == 0 || b[0] < a[0]:
			v, b = b[0], b[1:]
		default:
			v, a, b = a[0], a[1:], b[1:]
		}
		if v != self {
			out = append(out, v)
		}
	}
	return out
}

// covers reports whether every value of b other than self is in a; both ascend.
func covers(a, b []int32, self int32) bool {
	for _, v := range b {
		if v == self {
			continue
		}
		for len(a) > 0 && a[0] < v {
			a = a[1:]
		}
		if len(a) == 0 || a[0] != v {
			return false
		}
	}
	return true
}
