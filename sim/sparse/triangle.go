package sparse

// triangle is the row structure of a triangular matrix with unit diagonal, in an order in which it can be substituted.
// Rows without entries are left out.
type triangle []rowEnd

// rowEnd says to which state a row belongs and where its entries end; they begin where the row before ended.
type rowEnd struct{ state, end int32 }

// add appends the row of a state with the given number of entries.
func (t *triangle) add(state int32, entries int) {
	if entries == 0 {
		return
	}
	begin := int32(0)
	if k := len(*t); k > 0 {
		begin = (*t)[k-1].end
	}
	*t = append(*t, rowEnd{state, begin + int32(entries)})
}

// substitute replaces x by the solution z of T z = x, for the entries val in the columns col, row after row.
// The first entry of a row stands before its loop because most rows have one or two.
func (t triangle) substitute(x, val []float64, col []int32) {
	col = col[:len(val)]
	e := 0
	for _, row := range t {
		s := x[row.state] - val[e]*x[col[e]]
		e++
		for end := int(row.end); e < end; e++ {
			s -= val[e] * x[col[e]]
		}
		x[row.state] = s
	}
}
