package sparse

import "math"

// LU is the sparse factorisation E = L D U (L and U with unit diagonals) of E = shift I - J,
// with diagonal pivots in a fixed order. Everything but the numbers is settled once, by New; factoring and
// solving do not allocate. One goroutine at a time.
//
// val holds L by rows in elimination order, then U by rows in the order of the backward
// substitution, then the pivots.
type LU struct {
	n, nl, nu int
	val       []float64
	inv       []float64 // reciprocals of the pivots, by position
	scale     []float64 // the same, by state

	perm   []int32 // perm[k] is the state eliminated at position k
	col    []int32 // of every entry of L and U: column, as a state
	pos    []int32 // the same column, as a position in the elimination order
	lEnd   []int32 // by position: where that row of L ends in val; it begins where the row before ends
	uStart []int32 // by position: where that row of U begins in val
	uEnd   []int32 // by position: where it ends
	uRow   []int32 // of every entry of U: its row, as a position

	lower, upper triangle

	assemble []int32 // where in val each nonzero of J goes

	// Of the two ways to eliminate, tape lists for every entry of L, in order, where the products with
	// the row of U it multiplies go. It is nil where that list would be much longer than val
	// (heavy fill); then rows are expanded into work, one at a time.
	tape []int32
	work []float64
}

// growthLimit bounds |pivot| relative to the entries of E. Beyond it so many digits are lost
// that the step had better be shortened.
const growthLimit = 1e12

// New settles the structure for the first n rows of p, whose columns are below n. A nil order means minimum
// degree; otherwise order lists the states as they are to be eliminated, each once.
func New(n int, p Pattern, order []int) *LU {
	e := eliminate(n, p, order)
	position := make([]int32, n)
	for k, s := range e.perm {
		position[s] = int32(k)
	}
	f := &LU{n: n, perm: e.perm, inv: make([]float64, n), scale: make([]float64, n)}
	f.layOut(e, position)
	f.val = make([]float64, f.nl+f.nu+n)
	f.placeJacobian(p, position)
	f.planUpdates()
	return f
}

// layOut lists the entries of L and U in their storage order.
func (f *LU) layOut(e elimination, position []int32) {
	rows := make([][]int32, f.n) // L by rows: positions of the columns, ascending because k ascends
	for k, below := range e.lower {
		for _, s := range below {
			rows[position[s]] = append(rows[position[s]], int32(k))
		}
	}
	f.lEnd, f.uStart, f.uEnd = make([]int32, f.n), make([]int32, f.n), make([]int32, f.n)
	for k, row := range rows {
		for _, at := range row {
			f.pos = append(f.pos, at)
			f.col = append(f.col, e.perm[at])
		}
		f.lEnd[k] = int32(len(f.pos))
		f.lower.add(e.perm[k], len(row))
	}
	f.nl = len(f.pos)
	for _, k := range e.backwardOrder(position) {
		f.uStart[k] = int32(len(f.pos))
		for _, s := range e.upper[k] {
			f.pos = append(f.pos, position[s])
			f.col = append(f.col, s)
			f.uRow = append(f.uRow, int32(k))
		}
		f.uEnd[k] = int32(len(f.pos))
		f.upper.add(e.perm[k], len(e.upper[k]))
	}
	f.nu = len(f.pos) - f.nl
}

// placeJacobian finds the place in val of each nonzero of the state rows of p.
func (f *LU) placeJacobian(p Pattern, position []int32) {
	place := make([]int32, f.n) // by column position, for the row at hand
	f.assemble = make([]int32, p.RowStart[f.n])
	for k := range f.n {
		f.markRow(k, place)
		s := f.perm[k]
		for e := p.RowStart[s]; e < p.RowStart[s+1]; e++ {
			f.assemble[e] = place[position[p.Col[e]]]
		}
	}
}

// markRow writes to place, by column position, where in val the entries of row k are.
func (f *LU) markRow(k int, place []int32) {
	for e := f.lStart(k); e < f.lEnd[k]; e++ {
		place[f.pos[e]] = e
	}
	for e := f.uStart[k]; e < f.uEnd[k]; e++ {
		place[f.pos[e]] = e
	}
	place[k] = int32(f.nl + f.nu + k)
}

func (f *LU) lStart(k int) int32 {
	if k == 0 {
		return 0
	}
	return f.lEnd[k-1]
}

// planUpdates chooses between the tape and row expansion, and writes the tape.
func (f *LU) planUpdates() {
	updates := 0
	for e := range f.nl {
		k := f.pos[e]
		updates += int(f.uEnd[k] - f.uStart[k])
	}
	if updates > 16*(f.nl+f.nu+f.n)+1024 {
		f.work = make([]float64, f.n)
		return
	}
	f.tape = make([]int32, 0, updates)
	place := make([]int32, f.n)
	for k := range f.n {
		f.markRow(k, place)
		for e := f.lStart(k); e < f.lEnd[k]; e++ {
			at := f.pos[e]
			for u := f.uStart[at]; u < f.uEnd[at]; u++ {
				f.tape = append(f.tape, place[f.pos[u]])
			}
		}
	}
}

// Factor computes the factors of shift I - J, with jac in Pattern order and size a bound of its entries.
// It returns -1, or the state at whose pivot it broke down (zero, not finite, or grown beyond growthLimit).
func (f *LU) Factor(jac []float64, shift, size float64) int {
	val := f.val
	clear(val)
	jac = jac[:len(f.assemble)]
	for e, at := range f.assemble {
		val[at] = -jac[e]
	}
	diag := val[f.nl+f.nu:]
	for k := range diag {
		diag[k] += shift
	}
	limit := growthLimit * (shift + size)
	if f.tape != nil {
		return f.runTape(limit)
	}
	return f.expandRows(limit)
}

// runTape eliminates with the update list made by planUpdates.
func (f *LU) runTape(limit float64) int {
	val, tape := f.val, f.tape
	inv := f.inv
	diag := val[f.nl+f.nu:][:len(inv)]
	uStart, uEnd, lEnd := f.uStart[:len(inv)], f.uEnd[:len(inv)], f.lEnd[:len(inv)]
	low := val[:f.nl]
	pos := f.pos[:len(low)]
	e := 0
	for k := range inv {
		for end := int(lEnd[k]); e < end; e++ {
			at := pos[e]
			l := low[e] * inv[at]
			low[e] = l
			u := val[uStart[at]:uEnd[at]]
			to := tape[:len(u)]
			tape = tape[len(u):]
			for j, v := range u {
				val[to[j]] -= l * v
			}
		}
		d := diag[k]
		if a := math.Abs(d); !(a > smallestPivot && a < limit) {
			return int(f.perm[k])
		}
		inv[k] = 1 / d
	}
	f.scaleUpper()
	return -1
}

// smallestPivot keeps reciprocals finite.
const smallestPivot = 1e-290

// expandRows eliminates row by row in a full-length work vector.
func (f *LU) expandRows(limit float64) int {
	val, w, inv := f.val, f.work, f.inv
	diag := val[f.nl+f.nu:]
	for k := range inv {
		begin, end, us, ue := f.lStart(k), f.lEnd[k], f.uStart[k], f.uEnd[k]
		for e := begin; e < end; e++ {
			w[f.pos[e]] = val[e]
		}
		for e := us; e < ue; e++ {
			w[f.pos[e]] = val[e]
		}
		w[k] = diag[k]
		for e := begin; e < end; e++ {
			at := f.pos[e]
			l := w[at] * inv[at]
			val[e] = l
			u := val[f.uStart[at]:f.uEnd[at]]
			to := f.pos[f.uStart[at]:f.uEnd[at]]
			for j, v := range u {
				w[to[j]] -= l * v
			}
		}
		for e := us; e < ue; e++ {
			val[e] = w[f.pos[e]]
		}
		d := w[k]
		if a := math.Abs(d); !(a > smallestPivot && a < limit) {
			return int(f.perm[k])
		}
		inv[k] = 1 / d
	}
	f.scaleUpper()
	return -1
}

// Positive reports whether all pivots of the last Factor are above zero. If no off-diagonal entry of J is
// below zero, that is so exactly if shift is above the real parts of all eigenvalues of J (E is then a
// nonsingular M-matrix; Berman & Plemmons 1979, Nonnegative Matrices in the Mathematical Sciences, ch. 6);
// with shift 0 it tells a stable J. After a breakdown the answer has no meaning.
func (f *LU) Positive() bool {
	for _, v := range f.inv {
		if !(v > 0) {
			return false
		}
	}
	return true
}

// scaleUpper divides the rows of U by their pivots. It comes last because the elimination needs them unscaled.
func (f *LU) scaleUpper() {
	inv := f.inv
	perm := f.perm[:len(inv)]
	for k, s := range inv {
		f.scale[perm[k]] = s
	}
	u := f.val[f.nl : f.nl+f.nu]
	rows := f.uRow[:len(u)]
	for e := range u {
		u[e] *= inv[rows[e]]
	}
}

// Solve solves E x = b + add; x, b and add have at least n elements, in state order. x may be neither b nor add.
func (f *LU) Solve(x, b, add []float64) {
	x, b, add = x[:f.n], b[:f.n], add[:f.n]
	for i := range x {
		x[i] = b[i] + add[i]
	}
	f.lower.substitute(x, f.val[:f.nl], f.col[:f.nl])
	scale := f.scale[:len(x)]
	for i := range x {
		x[i] *= scale[i]
	}
	f.upper.substitute(x, f.val[f.nl:f.nl+f.nu], f.col[f.nl:])
}
