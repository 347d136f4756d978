package network

import (
	"fmt"
	"math"
	"slices"
)

// A table begins with coarse intervals, and halves each until the cubic over it
// meets the value in its middle to within tolerance of that, or until its halves
// are cells. What depends on flow changes slowly with the coolant's viscosity,
// except where the flow turns turbulent: there intervals become short. The
// middles become knots, too, so that most of the table is far better than
// tolerance, and all of it as good (tested for water and glycol).
const (
	coarse    = 8    // intervals at first
	finest    = 32   // cells in each of them
	stencil   = 5    // knots that make a slope
	tolerance = 1e-4 // of a value
)

// sample is a knot of a table in the making.
type sample struct {
	place int       // in cells
	row   []float64 // the quantities
	open  bool      // whether the interval that begins here is to be halved
}

// tabulate returns the table of count quantities between temperatures low and high
// (K), which op writes to dst. The error tells where op fails, or gives what
// cannot be.
func tabulate(count int, op func(t float64, dst []float64) error, low, high float64) (table, error) {
	step := (high - low) / (coarse * finest)
	compute := func(place int) ([]float64, error) {
		t, row := low+float64(place)*step, make([]float64, count)
		if err := op(t, row); err != nil {
			return nil, fmt.Errorf("finding the flow at %.0f K: %w", t, err)
		}
		for v, x := range row {
			if !(x >= 0) || math.IsInf(x, 1) {
				return nil, fmt.Errorf("quantity %d at %.0f K is %g, not zero or above and finite", v, t, x)
			}
		}
		return row, nil
	}
	samples := make([]sample, coarse+1)
	for k := range samples {
		row, err := compute(k * finest)
		if err != nil {
			return table{}, err
		}
		samples[k] = sample{place: k * finest, row: row, open: k < coarse}
	}
	for slices.ContainsFunc(samples, func(s sample) bool { return s.open }) {
		var err error
		if samples, err = halve(samples, compute); err != nil {
			return table{}, err
		}
	}
	o := table{count: count}
	o.fill(samples, low, step)
	return o, nil
}

// halve puts a knot into the middle of every open interval. The halves are open
// again where the cubic missed it.
func halve(samples []sample, compute func(place int) ([]float64, error)) ([]sample, error) {
	slopes := slopesAt(samples)
	var finer []sample
	for k, s := range samples {
		if !s.open {
			finer = append(finer, s)
			continue
		}
		next := samples[k+1]
		width := next.place - s.place
		row, err := compute(s.place + width/2)
		if err != nil {
			return nil, err
		}
		again := width > 2 && misses(s.row, next.row, slopes[k], slopes[k+1], float64(width), row)
		finer = append(finer, sample{s.place, s.row, again}, sample{s.place + width/2, row, again})
	}
	level(finer)
	return finer, nil
}

// misses reports whether the cubic between two knots misses a row in the middle.
func misses(y0, y1, d0, d1 []float64, width float64, row []float64) bool {
	for v, want := range row {
		got := (y0[v]+y1[v])/2 + width*(d0[v]-d1[v])/8
		if math.Abs(got-want) > tolerance*want {
			return true
		}
	}
	return false
}

// level opens intervals more than twice as wide as one beside them: a slope is
// only as good as the widest interval it is made of.
func level(samples []sample) {
	width := func(k int) int { return samples[k+1].place - samples[k].place }
	for k := range samples[:len(samples)-1] {
		beside := width(k)
		if k > 0 {
			beside = min(beside, width(k-1))
		}
		if k+2 < len(samples) {
			beside = min(beside, width(k+1))
		}
		samples[k].open = samples[k].open || width(k) > 2*beside
	}
}

// slopesAt returns the slopes of all quantities at all knots, per cell: those of
// the polynomial through five neighbours, and less where a quantity could fall
// below zero. They are then less of all quantities, which keeps sums.
func slopesAt(samples []sample) [][]float64 {
	slopes := make([][]float64, len(samples))
	for k := range samples {
		slopes[k] = make([]float64, len(samples[k].row))
		first := min(max(k-stencil/2, 0), len(samples)-stencil)
		near := samples[first : first+stencil]
		for j, weight := range weights(near, k-first) {
			for v, y := range near[j].row {
				slopes[k][v] += weight * y
			}
		}
		limit(slopes[k], samples[k].row, widest(samples, k))
	}
	return slopes
}

// weights returns what each of five knots counts in the slope at knot k of them
// (the derivatives of Lagrange's polynomials; exact for powers up to the fourth).
func weights(near []sample, k int) (w [stencil]float64) {
	x := func(j int) float64 { return float64(near[j].place) }
	for j := range near {
		if j == k {
			continue
		}
		w[j] = 1 / (x(j) - x(k))
		for m := range near {
			if m != j && m != k {
				w[j] *= (x(k) - x(m)) / (x(j) - x(m))
			}
		}
		w[k] -= w[j]
	}
	return w
}

// widest returns the wider of the intervals beside knot k, in cells.
func widest(samples []sample, k int) float64 {
	w := 0
	if k > 0 {
		w = samples[k].place - samples[k-1].place
	}
	if k < len(samples)-1 {
		w = max(w, samples[k+1].place-samples[k].place)
	}
	return float64(w)
}

// limit scales the slopes at a knot so that no quantity falls below zero within
// the width of an interval: a cubic stays above zero whose slope is below three
// times its value over that width; twice, for the ends, where a slope runs out.
func limit(slopes, row []float64, width float64) {
	share := 1.0
	for v, d := range slopes {
		if most := 2 * row[v]; math.Abs(d)*width > most {
			share = min(share, most/(math.Abs(d)*width))
		}
	}
	for v := range slopes {
		slopes[v] *= share
	}
}

// fill makes the cubics between the samples, and at both ends those by which the
// slopes run out.
func (o *table) fill(samples []sample, low, step float64) {
	slopes := slopesAt(samples)
	last := len(samples) - 1
	begin, end := samples[1].place, samples[last].place-samples[last-1].place
	widths := []int{begin}
	o.moves = make([]bool, o.count)
	for v, y := range samples[0].row {
		d := slopes[0][v] * float64(begin)
		o.cubic = append(o.cubic, cubic{y - d/2, 0, d / 2, 0})
	}
	for k, s := range samples[:last] {
		next, width := samples[k+1], samples[k+1].place-s.place
		widths = append(widths, width)
		for v := range s.row {
			o.cubic = append(o.cubic, hermite(s.row[v], next.row[v], slopes[k][v]*float64(width), slopes[k+1][v]*float64(width)))
			o.moves[v] = o.moves[v] || s.row[v] > 0 || next.row[v] > 0
		}
	}
	widths = append(widths, end)
	for v, y := range samples[last].row {
		d := slopes[last][v] * float64(end)
		o.cubic = append(o.cubic, cubic{y, d, -d / 2, 0})
	}
	o.grid = newGrid(low-float64(begin)*step, step, widths)
}
