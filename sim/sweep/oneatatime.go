package sweep

// oneAtATime leaves the scenario as it is stated in design 0, and then moves one
// group after the other through its levels while the others stay.
type oneAtATime struct{ first, levels []int } // design of its first level

func newOneAtATime(levels []int) oneAtATime {
	o := oneAtATime{levels: levels, first: make([]int, len(levels))}
	next := 1
	for g, n := range levels {
		o.first[g] = next
		next += n
	}
	return o
}

func (o oneAtATime) at(i, group int) position {
	if level := i - o.first[group]; level >= 0 && level < o.levels[group] {
		return onLevel(level)
	}
	return asStated
}
