package network

// grid splits a range into intervals of unequal width. All begin and end at
// multiples of a cell, so that an index of the cells finds the interval of a
// place without a search.
type grid struct {
	low, perUnit float64   // lower end, and cells in a unit of the argument
	index        []uint16  // interval of every cell
	begin        []float64 // of every interval, in cells
	inverse      []float64 // of every interval's width, in cells
}

// newGrid returns the grid whose intervals have the widths (cells), the first
// of them beginning at low; a cell is as wide as step.
func newGrid(low, step float64, widths []int) grid {
	g := grid{low: low, perUnit: 1 / step}
	for k, w := range widths {
		g.begin = append(g.begin, float64(len(g.index)))
		g.inverse = append(g.inverse, 1/float64(w))
		for range w {
			g.index = append(g.index, uint16(k))
		}
	}
	return g
}

// locate returns the interval of x and the place in it, from 0 to 1; the nearest
// end if x lies outside.
func (g *grid) locate(x float64) (k int, u float64) {
	place := (x - g.low) * g.perUnit
	if !(place > 0) { // nor a number, in a step that fails
		return 0, 0
	}
	last := len(g.index) - 1
	if place >= float64(last+1) {
		return len(g.begin) - 1, 1
	}
	k = int(g.index[min(int(place), last)])
	return k, (place - g.begin[k]) * g.inverse[k]
}

// perPlace returns what a derivative over the place in interval k is multiplied
// by to become one over the argument.
func (g *grid) perPlace(k int) float64 { return g.perUnit * g.inverse[k] }

// knot returns the argument at which interval k begins, or the last one ends.
func (g *grid) knot(k int) float64 {
	if k == len(g.begin) {
		return g.low + float64(len(g.index))/g.perUnit
	}
	return g.low + g.begin[k]/g.perUnit
}

// knots returns where all intervals begin, and where the last one ends.
func (g *grid) knots() []float64 {
	all := make([]float64, g.intervals()+1)
	for k := range all {
		all[k] = g.knot(k)
	}
	return all
}

// intervals returns their number.
func (g *grid) intervals() int { return len(g.begin) }

// cubic is a polynomial over the place u in an interval: c0 + c1 u + c2 u² + c3 u³.
type cubic [4]float64

// hermite returns the cubic with values y0 and y1 and slopes d0 and d1 (over the
// whole interval) at its ends.
func hermite(y0, y1, d0, d1 float64) cubic {
	rise := y1 - y0
	return cubic{y0, d0, 3*rise - 2*d0 - d1, d0 + d1 - 2*rise}
}

func (c *cubic) at(u float64) float64 { return c[0] + u*(c[1]+u*(c[2]+u*c[3])) }

// slope is that over the whole interval.
func (c *cubic) slope(u float64) float64 { return c[1] + u*(2*c[2]+3*u*c[3]) }

// falls reports whether the cubic falls anywhere in its interval by more than
// rounding.
func (c *cubic) falls() bool {
	least := min(c.slope(0), c.slope(1))
	if c[3] > 0 {
		if u := -c[2] / (3 * c[3]); u > 0 && u < 1 {
			least = min(least, c.slope(u))
		}
	}
	return !(least >= -1e-12*max(c.slope(0), c.slope(1), 0))
}
