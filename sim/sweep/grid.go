package sweep

// grid takes every level of every group with every one of the others, the last
// group moving fastest. With one group, of axes that move together, it is a zip.
type grid struct {
	strides []int
	levels  []int
}

func newGrid(levels []int) grid {
	g := grid{strides: make([]int, len(levels)), levels: levels}
	stride := 1
	for k := len(levels) - 1; k >= 0; k-- {
		g.strides[k] = stride
		stride *= levels[k]
	}
	return g
}

func (g grid) at(i, group int) position {
	return onLevel(i / g.strides[group] % g.levels[group])
}
