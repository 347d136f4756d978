package odetest

import (
	"slices"

	"soakledger/sim/ode"
)

// sparse is a constant matrix under construction, the right-hand side of a linear system.
type sparse struct {
	cols [][]int     // by row, ascending
	vals [][]float64 // beside cols
}

func newSparse(rows int) *sparse {
	return &sparse{cols: make([][]int, rows), vals: make([][]float64, rows)}
}

// add adds v to entry (row, col).
func (s *sparse) add(row, col int, v float64) {
	at, found := slices.BinarySearch(s.cols[row], col)
	if found {
		s.vals[row][at] += v
		return
	}
	s.cols[row] = slices.Insert(s.cols[row], at, col)
	s.vals[row] = slices.Insert(s.vals[row], at, v)
}

func (s *sparse) pattern() ode.Pattern { return Rows(s.cols...) }

func (s *sparse) multiply(_ float64, y, f []float64) {
	for i, cols := range s.cols {
		sum := 0.0
		for e, c := range cols {
			sum += s.vals[i][e] * y[c]
		}
		f[i] = sum
	}
}

func (s *sparse) values(_ float64, _, jac []float64) {
	jac = jac[:0]
	for _, v := range s.vals {
		jac = append(jac, v...)
	}
}
