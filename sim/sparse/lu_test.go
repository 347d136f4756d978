package sparse

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// matrix is a sparse matrix: what LU factorises is shift I less it.
type matrix struct {
	n      int
	p      Pattern
	values []float64
}

// drawMatrix draws an n x n matrix with entries between low and 1, diagonal
// entries not necessarily in its pattern, and one more row, as of a quadrature,
// that LU is to leave alone.
func drawMatrix(t *rapid.T, low float64) matrix {
	m := matrix{n: rapid.IntRange(1, 14).Draw(t, "n"), p: Pattern{RowStart: []int{0}}}
	density := rapid.SampledFrom([]float64{0.05, 0.2, 0.5, 1}).Draw(t, "density")
	for range m.n + 1 {
		for j := range m.n {
			if rapid.Float64Range(0, 1).Draw(t, "filled") < density {
				m.p.Col = append(m.p.Col, j)
				m.values = append(m.values, rapid.Float64Range(low, 1).Draw(t, "value"))
			}
		}
		m.p.RowStart = append(m.p.RowStart, len(m.p.Col))
	}
	return m
}

// dense returns shift I - J.
func (m matrix) dense(shift float64) *mat.Dense {
	a := mat.NewDense(m.n, m.n, nil)
	for i := range m.n {
		a.Set(i, i, shift)
		for k := m.p.RowStart[i]; k < m.p.RowStart[i+1]; k++ {
			a.Set(i, m.p.Col[k], a.At(i, m.p.Col[k])-m.values[k])
		}
	}
	return a
}

// size bounds the entries.
func (m matrix) size() float64 {
	sum := 0.0
	for _, v := range m.values {
		sum += math.Abs(v)
	}
	return sum
}

// expanding makes f eliminate by expanded rows, whatever it chose.
func expanding(f *LU) *LU {
	f.tape, f.work = nil, make([]float64, f.n)
	return f
}

func identity(n int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	return order
}

// Diagonally dominant systems are solved as by gonum's dense LU with partial
// pivoting, for every pattern, elimination order and either way of eliminating.
// Their condition is below 100, so 1e-12 leaves room for rounding only.
func TestSolveAgainstDense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMatrix(t, -1)
		var order []int
		if rapid.Bool().Draw(t, "given order") {
			order = rapid.Permutation(identity(m.n)).Draw(t, "order")
		}
		f := New(m.n, m.p, order)
		if rapid.Bool().Draw(t, "expand rows") {
			expanding(f)
		}
		b, add, sum := make([]float64, m.n), make([]float64, m.n), make([]float64, m.n)
		for i := range b {
			b[i] = rapid.Float64Range(-10, 10).Draw(t, "b")
			add[i] = rapid.Float64Range(-10, 10).Draw(t, "add")
			sum[i] = b[i] + add[i]
		}
		for _, shift := range []float64{float64(m.n) + 1, 3*float64(m.n) + 1} { // twice: nothing may be left over
			if at := f.Factor(m.values, shift, m.size()); at != -1 {
				t.Fatalf("broke down at state %d", at)
			}
			var want mat.VecDense
			if err := want.SolveVec(m.dense(shift), mat.NewVecDense(m.n, sum)); err != nil {
				t.Fatal(err)
			}
			x := make([]float64, m.n)
			f.Solve(x, b, add)
			for i := range x {
				if !(math.Abs(x[i]-want.AtVec(i)) <= 1e-12*(1+math.Abs(want.AtVec(i)))) {
					t.Fatalf("x[%d] = %.15g, want %.15g", i, x[i], want.AtVec(i))
				}
			}
		}
	})
}

// The two ways of eliminating do the same operations in the same order.
func TestTapeAndRowsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMatrix(t, -1)
		a, b := New(m.n, m.p, nil), expanding(New(m.n, m.p, nil))
		a.Factor(m.values, float64(m.n)+1, m.size())
		b.Factor(m.values, float64(m.n)+1, m.size())
		if !slices.Equal(a.val[:a.nl+a.nu], b.val[:b.nl+b.nu]) || !slices.Equal(a.inv, b.inv) {
			t.Fatal("factors differ")
		}
	})
}

func TestBreakdownIsReported(t *testing.T) {
	two := Pattern{RowStart: []int{0, 2, 4}, Col: []int{0, 1, 0, 1}}
	for _, c := range []struct {
		name string
		jac  []float64
		want int
	}{
		{"regular", []float64{0, 1, 1, 0}, -1},
		{"first pivot zero", []float64{2, 1, 1, 0}, 0},
		{"second pivot zero", []float64{0, 2, 2, 0}, 1},
		{"NaN", []float64{math.NaN(), 0, 0, 0}, 0},
		{"infinite", []float64{0, 0, 0, math.Inf(1)}, 1},
		{"grown beyond 1e12", []float64{2 - 1e-14, 1, 1, 0}, 1},
	} {
		for _, f := range []*LU{New(2, two, identity(2)), expanding(New(2, two, identity(2)))} {
			size := 0.0
			for _, v := range c.jac {
				size += math.Abs(v)
			}
			if got := f.Factor(c.jac, 2, size); got != c.want {
				t.Errorf("%s (by tape %v): broke down at %d, want %d", c.name, f.tape != nil, got, c.want)
			}
			// And nothing of it stays.
			if got := f.Factor([]float64{0, 1, 1, 0}, 2, 2); got != -1 {
				t.Errorf("%s (by tape %v): a regular matrix after it breaks down at %d", c.name, f.tape != nil, got)
			}
		}
	}
}

// Without entries below zero off the diagonal, the pivots are all positive
// exactly where the shift is above the largest real part of an eigenvalue,
// which gonum's dense solver finds.
func TestPositive(t *testing.T) {
	both := map[bool]int{}
	rapid.Check(t, func(t *rapid.T) {
		m := drawMatrix(t, 0)
		for i := range m.n { // any sign on the diagonal
			for k := m.p.RowStart[i]; k < m.p.RowStart[i+1]; k++ {
				if m.p.Col[k] == i {
					m.values[k] = rapid.Float64Range(-3, 1).Draw(t, "diagonal")
				}
			}
		}
		a := m.dense(0)
		a.Scale(-1, a)
		var eig mat.Eigen
		if !eig.Factorize(a, mat.EigenNone) {
			t.Fatal("no eigenvalues")
		}
		largest := math.Inf(-1)
		for _, v := range eig.Values(nil) {
			largest = math.Max(largest, real(v))
		}
		shift := rapid.Float64Range(0.1, 10).Draw(t, "shift")
		if math.Abs(shift-largest) < 1e-3 {
			shift += 0.1
		}
		f := New(m.n, m.p, nil)
		if f.Factor(m.values, shift, m.size()) >= 0 {
			return // a pivot of zero
		}
		both[shift > largest]++
		if got := f.Positive(); got != (shift > largest) {
			t.Fatalf("%v with shift %g and largest eigenvalue %g", got, shift, largest)
		}
	})
	if both[true] == 0 || both[false] == 0 {
		t.Errorf("one-sided: %v", both)
	}
}

func TestPositiveOfNaN(t *testing.T) {
	f := New(1, Pattern{RowStart: []int{0, 1}, Col: []int{0}}, nil)
	f.Factor([]float64{0}, 1, 0)
	if !f.Positive() {
		t.Error("the identity has a pivot that is not positive")
	}
	f.inv[0] = math.NaN()
	if f.Positive() {
		t.Error("NaN counts as positive")
	}
}

// chain is n cells in a row, or in a ring, each tied to its neighbours.
func chain(n int, closed bool) matrix {
	m := matrix{n: n, p: Pattern{RowStart: []int{0}}}
	for i := range n {
		row := map[int]float64{i: -2.5}
		for _, j := range []int{i - 1, i + 1} {
			if closed || j >= 0 && j < n {
				row[(j+n)%n] = 1
			}
		}
		for j := range n {
			if v, ok := row[j]; ok {
				m.p.Col, m.values = append(m.p.Col, j), append(m.values, v)
			}
		}
		m.p.RowStart = append(m.p.RowStart, len(m.p.Col))
	}
	return m
}

// Storage and work of chains and rings grow in proportion to their length.
func TestLinearCost(t *testing.T) {
	for _, closed := range []bool{false, true} {
		per := func(n int) (storage, updates float64) {
			f := New(n, chain(n, closed).p, nil)
			return float64(len(f.val)) / float64(n), float64(len(f.tape)) / float64(n)
		}
		smallStorage, smallUpdates := per(50)
		storage, updates := per(1000)
		if storage > 5 || storage > 1.1*smallStorage || updates > 4 || updates > 1.1*smallUpdates+0.1 {
			t.Errorf("closed %v: %g entries and %g updates a cell for 1000 cells, %g and %g for 50",
				closed, storage, updates, smallStorage, smallUpdates)
		}
	}
}

// A thousand cells in a row, heated at one end and held at the other by a
// conductance: solved against the tridiagonal recursion.
func TestLongChain(t *testing.T) {
	const n, shift = 1000, 0.25
	m := chain(n, false)
	f := New(n, m.p, nil)
	if at := f.Factor(m.values, shift, m.size()); at >= 0 {
		t.Fatalf("broke down at %d", at)
	}
	b, zero, x := make([]float64, n), make([]float64, n), make([]float64, n)
	b[0] = 1
	f.Solve(x, b, zero)
	// -x[i-1] + 2.75 x[i] - x[i+1] = 0 decays by the smaller root of r + 1/r = 2.75.
	r := (2.75 - math.Sqrt(2.75*2.75-4)) / 2
	for i := range 40 {
		if want := math.Pow(r, float64(i+1)); math.Abs(x[i]-want) > 1e-13*want {
			t.Errorf("x[%d] = %.15g, want %.15g", i, x[i], want)
		}
	}
}

// The minimum-degree order finds an order without fill for a tree given in the
// worst order, and keeps to a given one.
func TestEliminationOrder(t *testing.T) {
	const n = 40
	star := Pattern{RowStart: []int{0}, Col: identity(n)}
	star.RowStart = append(star.RowStart, n)
	for i := 1; i < n; i++ {
		star.Col = append(star.Col, 0, i)
		star.RowStart = append(star.RowStart, len(star.Col))
	}
	if f := New(n, star, nil); len(f.val) != len(star.Col) {
		t.Errorf("star of 40: %d entries in the factors, %d in the matrix", len(f.val), len(star.Col))
	}
	if f := New(n, star, identity(n)); len(f.val) != n*n {
		t.Errorf("star of 40 from its centre: %d entries, want full 1600", len(f.val))
	}
}

// A full matrix needs storage in proportion to its nonzeros, not to its
// elimination work.
func TestDenseStorage(t *testing.T) {
	const n = 120
	m := matrix{n: n, p: Pattern{RowStart: []int{0}}}
	for i := range n {
		m.p.Col = append(m.p.Col, identity(n)...)
		m.p.RowStart = append(m.p.RowStart, len(m.p.Col))
		for j := range n {
			m.values = append(m.values, math.Sin(float64(n*i+j)))
		}
	}
	f := New(n, m.p, nil)
	if f.tape != nil || len(f.val) != n*n {
		t.Fatalf("%d values, tape of %d", len(f.val), len(f.tape))
	}
	if f.Factor(m.values, 2*n, m.size()) >= 0 {
		t.Fatal("broke down")
	}
	x, b, zero := make([]float64, n), make([]float64, n), make([]float64, n)
	b[n/2] = 1
	f.Solve(x, b, zero)
	var want mat.VecDense
	if err := want.SolveVec(m.dense(2*n), mat.NewVecDense(n, b)); err != nil {
		t.Fatal(err)
	}
	for i := range x {
		if math.Abs(x[i]-want.AtVec(i)) > 1e-14 {
			t.Errorf("x[%d] = %g, want %g", i, x[i], want.AtVec(i))
		}
	}
}

func TestFactorAndSolveDoNotAllocate(t *testing.T) {
	m := chain(30, true)
	x, b, zero := make([]float64, 30), make([]float64, 30), make([]float64, 30)
	for _, f := range []*LU{New(30, m.p, nil), expanding(New(30, m.p, nil))} {
		if got := testing.AllocsPerRun(20, func() {
			f.Factor(m.values, 1, 10)
			f.Solve(x, b, zero)
			f.Positive()
		}); got != 0 {
			t.Errorf("by tape %v: %g allocations", f.tape != nil, got)
		}
	}
}

func TestJoin(t *testing.T) {
	for _, c := range []struct {
		a, b       []int32
		drop, self int32
		want       []int32
	}{
		{nil, nil, 0, 1, nil},
		{[]int32{1, 3, 5}, []int32{2, 3, 9}, 5, 9, []int32{1, 2, 3}},
		{[]int32{0, 4}, []int32{4, 7}, 0, 7, []int32{4}},
		{[]int32{2}, []int32{1}, 2, 0, []int32{1}},
		{[]int32{1, 2}, nil, 9, 0, []int32{1, 2}},
	} {
		if got := join(slices.Clone(c.a), c.b, c.drop, c.self); !slices.Equal(got, c.want) {
			t.Errorf("join(%v, %v, %d, %d) = %v, want %v", c.a, c.b, c.drop, c.self, got, c.want)
		}
	}
}
