package ode

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawPattern draws the pattern of an n x n matrix, diagonal entries not necessarily among it.
func drawPattern(t *rapid.T, n int, density float64) Pattern {
	p := Pattern{RowStart: []int{0}}
	for range n {
		for j := range n {
			if rapid.Float64Range(0, 1).Draw(t, "entry") < density {
				p.Col = append(p.Col, j)
			}
		}
		p.RowStart = append(p.RowStart, len(p.Col))
	}
	return p
}

// residual returns the largest |E x - b| relative to the sizes of the terms of its row, E = shift I - J.
func residual(p Pattern, jac []float64, shift float64, x, b []float64) float64 {
	worst := 0.0
	for i := range x {
		sum, size := shift*x[i]-b[i], math.Abs(shift*x[i])+math.Abs(b[i])
		for e := p.RowStart[i]; e < p.RowStart[i+1]; e++ {
			sum -= jac[e] * x[p.Col[e]]
			size += math.Abs(jac[e] * x[p.Col[e]])
		}
		worst = math.Max(worst, math.Abs(sum)/(size+1e-300))
	}
	return worst
}

// Systems whose diagonal dominates are solved to rounding, for every pattern, elimination order and either way
// of eliminating.
func TestFactorAndSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 14).Draw(t, "n")
		p := drawPattern(t, n, rapid.SampledFrom([]float64{0.05, 0.2, 0.5, 1}).Draw(t, "density"))
		var order []int
		if rapid.Bool().Draw(t, "given order") {
			order = rapid.Permutation(identity(n)).Draw(t, "order")
		}
		f := newFactors(n, p, order)
		if rapid.Bool().Draw(t, "expand rows") {
			f.tape, f.work = nil, make([]float64, n)
		}
		jac := make([]float64, len(p.Col))
		for e := range jac {
			jac[e] = rapid.Float64Range(-1, 1).Draw(t, "value")
		}
		shift := float64(n) + 1
		b, add, x := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range b {
			b[i] = rapid.Float64Range(-10, 10).Draw(t, "b")
			add[i] = rapid.Float64Range(-10, 10).Draw(t, "add")
		}
		for range 2 { // twice: nothing must be left over from the first time
			if at := f.factor(jac, shift, sumAbs(jac)); at != -1 {
				t.Fatalf("broke down at state %d", at)
			}
			f.solve(x, b, add)
			for i := range b {
				b[i] += add[i]
			}
			if r := residual(p, jac, shift, x, b); r > 1e-14 {
				t.Fatalf("residual %g", r)
			}
			shift *= 2
		}
	})
}

func identity(n int) []int {
	v := make([]int, n)
	for i := range v {
		v[i] = i
	}
	return v
}

// The two ways of eliminating do the same operations in the same order.
func TestTapeAndRowsAgree(t *testing.T) {
	s := loop16()
	a, b := newFactors(16, s.p, nil), newFactors(16, s.p, nil)
	b.tape, b.work = nil, make([]float64, 16)
	a.factor(s.vals, 2, 100)
	b.factor(s.vals, 2, 100)
	if !slices.Equal(a.val[:a.nl+a.nu], b.val[:b.nl+b.nu]) || !slices.Equal(a.inv, b.inv) {
		t.Error("factors differ")
	}
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
		{"grown", []float64{2 - 1e-14, 1, 1, 0}, 1},
	} {
		for _, expand := range []bool{false, true} {
			f := newFactors(2, two, []int{0, 1})
			if expand {
				f.tape, f.work = nil, make([]float64, 2)
			}
			if got := f.factor(c.jac, 2, sumAbs(c.jac)); got != c.want {
				t.Errorf("%s (expand %v): broke down at %d, want %d", c.name, expand, got, c.want)
			}
		}
	}
}

// Work and storage of chains and rings grow in proportion to their length.
func TestLinearCost(t *testing.T) {
	for _, closed := range []bool{false, true} {
		per := func(n int) (storage, updates float64) {
			f := newFactors(n, chain(n, closed).p, nil)
			return float64(len(f.val)) / float64(n), float64(len(f.tape)) / float64(n)
		}
		smallStorage, smallUpdates := per(50)
		storage, updates := per(2000)
		if storage > 5 || storage > 1.1*smallStorage || updates > 4 || updates > 1.1*smallUpdates+0.1 {
			t.Errorf("closed %v: %g entries and %g updates a cell for 2000 cells, %g and %g for 50",
				closed, storage, updates, smallStorage, smallUpdates)
		}
	}
}

// The minimum-degree order finds an order without fill for a tree given in the worst order, and keeps to a given one.
func TestEliminationOrder(t *testing.T) {
	var star []link
	for i := 1; i < 40; i++ {
		star = append(star, link{0, i, 1, false})
	}
	s := newLinear(40, star)
	if f := newFactors(40, s.p, nil); f.nl+f.nu+40 != len(s.p.Col) {
		t.Errorf("star of 40: %d entries in the factors, %d in the matrix", f.nl+f.nu+40, len(s.p.Col))
	}
	if f := newFactors(40, s.p, identity(40)); f.nl+f.nu+40 != 1600 {
		t.Errorf("star of 40 from its centre: %d entries, want full 1600", f.nl+f.nu+40)
	}
	l := loop16()
	if f := newFactors(16, l.p, nil); f.nl+f.nu+16 > len(l.p.Col)+20 {
		t.Errorf("cooling loop: %d entries in the factors, %d in the matrix", f.nl+f.nu+16, len(l.p.Col))
	}
}

// A full matrix needs storage in proportion to its nonzeros, not to its elimination work.
func TestDenseStorage(t *testing.T) {
	const n = 200
	p := Pattern{RowStart: []int{0}}
	for range n {
		p.Col = append(p.Col, identity(n)...)
		p.RowStart = append(p.RowStart, len(p.Col))
	}
	f := newFactors(n, p, nil)
	if f.tape != nil || len(f.val) != n*n {
		t.Fatalf("%d values, tape of %d", len(f.val), len(f.tape))
	}
	jac := make([]float64, n*n)
	for e := range jac {
		jac[e] = math.Sin(float64(e))
	}
	if at := f.factor(jac, 2*n, sumAbs(jac)); at >= 0 {
		t.Fatal("broke down")
	}
	x, b, zero := make([]float64, n), make([]float64, n), make([]float64, n)
	b[n/2] = 1
	f.solve(x, b, zero)
	if r := residual(p, jac, 2*n, x, b); r > 1e-14 {
		t.Errorf("residual %g", r)
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
