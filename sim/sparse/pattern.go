package sparse

import (
	"fmt"
	"slices"
)

// Pattern is the structure of a sparse matrix in compressed rows: the columns
// of row i are Col[RowStart[i]:RowStart[i+1]], ascending. Values that belong
// to it are listed in the same order. There may be more rows than columns.
type Pattern struct {
	RowStart, Col []int
}

// Check reports the first defect of the pattern of a rows x cols matrix.
func (p Pattern) Check(rows, cols int) error {
	if len(p.RowStart) != rows+1 {
		return fmt.Errorf("sparse: Pattern.RowStart has length %d, need %d", len(p.RowStart), rows+1)
	}
	if p.RowStart[0] != 0 || p.RowStart[rows] != len(p.Col) {
		return fmt.Errorf("sparse: Pattern.RowStart runs from %d to %d, need 0 to len(Col) = %d", p.RowStart[0], p.RowStart[rows], len(p.Col))
	}
	for i := range rows {
		if p.RowStart[i+1] < p.RowStart[i] || p.RowStart[i+1] > len(p.Col) {
			return fmt.Errorf("sparse: Pattern.RowStart does not ascend at row %d", i)
		}
		last := -1
		for _, c := range p.Col[p.RowStart[i]:p.RowStart[i+1]] {
			if c <= last || c >= cols {
				return fmt.Errorf("sparse: Pattern row %d: column %d is out of order or not below %d", i, c, cols)
			}
			last = c
		}
	}
	return nil
}

// Equal reports whether two patterns are the same.
func (p Pattern) Equal(q Pattern) bool {
	return slices.Equal(p.RowStart, q.RowStart) && slices.Equal(p.Col, q.Col)
}

// Clone returns a pattern that shares nothing with p.
func (p Pattern) Clone() Pattern {
	return Pattern{RowStart: append([]int(nil), p.RowStart...), Col: append([]int(nil), p.Col...)}
}
