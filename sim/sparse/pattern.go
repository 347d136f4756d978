package sparse

// Pattern is the structure of a sparse matrix in compressed rows: the columns
// of row i are Col[RowStart[i]:RowStart[i+1]], ascending. Values that belong
// to it are listed in the same order. There may be more rows than columns.
type Pattern struct {
	RowStart, Col []int
}
