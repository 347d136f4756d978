package record

import (
	"fmt"
	"math"
)

// Bound says how far the straight lines between the kept rows of a thinned
// trace may be from the rows that were left out.
type Bound struct {
	// Kelvin bounds columns whose unit is degC or K: at least MinKelvin. A
	// column stored on a grid needs a bound of more than the grid.
	Kelvin float64
	// Share bounds every other Float column: this share (0 < Share < 1) of the
	// column's span in the run, and at least a millionth of its largest
	// magnitude, so that rounding noise on a constant is no signal; one grid
	// step is added where the column is stored on a grid.
	Share float64
}

// MinKelvin is the smallest bound for temperatures, K: far above the rounding
// of doubles, so that the bound holds in whatever way a reader interpolates.
const MinKelvin = 1e-4

// steadyShare of the largest magnitude of a column is no change.
const steadyShare = 1e-6

// patience is how many rows the search goes on behind the last possible end of
// a line. Longer lines are rare, and the search stays linear in the rows.
const patience = 64

func (b Bound) check() error {
	if !(b.Kelvin >= MinKelvin && b.Kelvin <= 100) {
		return fmt.Errorf("bound %g K: want %g K to 100 K", b.Kelvin, MinKelvin)
	}
	if !(b.Share > 0 && b.Share < 1) {
		return fmt.Errorf("share %g: want more than 0 and less than 1", b.Share)
	}
	return nil
}

// thinner finds the rows of a trace that linear interpolation in time needs.
//
// One set of rows serves all columns. From a kept row a funnel of slopes is
// carried along for each column: the slopes whose line passes every row since
// within the bound. The next kept row is the last whose own slope lies inside
// of every funnel. It is the swinging door of process historians (Bristol,
// "Swinging door trending: adaptive trend recording?", ISA National Conference
// Proceedings, 1990; value from memory, not checked against the source), with
// ends that are rows of the trace instead of corners of the door.
type thinner struct {
	bound Bound
	time  int   // column
	run   int   // column
	lines []int // Float columns that are interpolated
	exact []int // other columns: both rows at a change are kept

	eps    []float64 // of lines, for the run in hand
	lo, hi []float64 // funnel of lines: slopes
	kept   []int
}

func newThinner(t Table, b Bound) *thinner {
	th := &thinner{bound: b, time: t.Index(timeName), run: t.Index(runName)}
	for i, c := range t.Columns {
		switch {
		case i == th.time || i == th.run:
		case c.Kind == Float:
			th.lines = append(th.lines, i)
		default:
			th.exact = append(th.exact, i)
		}
	}
	n := len(th.lines)
	th.eps, th.lo, th.hi = make([]float64, n), make([]float64, n), make([]float64, n)
	return th
}

// rows returns the rows of f to keep, rising; valid until the next call. Each
// run of f keeps its first and last row.
func (th *thinner) rows(f *Frame) []int {
	th.kept = th.kept[:0]
	for first := 0; first < f.Rows(); {
		end := first + 1
		for end < f.Rows() && f.Ints(th.run)[end] == f.Ints(th.run)[first] {
			end++
		}
		th.setBounds(f, first, end)
		th.kept = append(th.kept, first)
		for at := first; at < end-1; {
			at = th.next(f, at, end)
			th.kept = append(th.kept, at)
		}
		first = end
	}
	return th.kept
}

// setBounds finds how far each column may be off in rows first to end-1. What
// rounding to the grid adds, half a step at each of two places, is taken off,
// so that the bound holds for the values as they are stored.
func (th *thinner) setBounds(f *Frame, first, end int) {
	for i, col := range th.lines {
		c := f.Table().Columns[col]
		if c.Unit == "degC" || c.Unit == "K" {
			th.eps[i] = th.bound.Kelvin - c.Grid
		} else {
			low, high := math.Inf(1), math.Inf(-1)
			for row := first; row < end; row++ {
				if !f.IsNull(col, row) {
					v := f.Floats(col)[row]
					low, high = min(low, v), max(high, v)
				}
			}
			th.eps[i] = max(th.bound.Share*(high-low), steadyShare*max(-low, high), 0)
		}
		th.eps[i] *= 1 - 1e-8 // for the rounding of slopes and of the reader's interpolation
	}
}

// next returns the row after at, below end, that the line from at goes to.
func (th *thinner) next(f *Frame, at, end int) int {
	for i := range th.lines {
		th.lo[i], th.hi[i] = math.Inf(-1), math.Inf(1)
	}
	best := at + 1
	for row := at + 1; row < end && row-best <= patience; row++ {
		if th.breaks(f, row) {
			if row > at+1 {
				return best
			}
			return row
		}
		possible, open := th.advance(f, at, row)
		if possible {
			best = row
		}
		if !open {
			break
		}
	}
	return best
}

// breaks reports whether no line may lead into row from the row before: a value
// appears or goes, or a column that is no Float changes.
func (th *thinner) breaks(f *Frame, row int) bool {
	for _, col := range th.lines {
		if nulls := f.Nulls(col); nulls != nil && nulls[row] != nulls[row-1] {
			return true
		}
	}
	for _, col := range th.exact {
		if !sameValue(f, col, row, row-1) {
			return true
		}
	}
	return false
}

func sameValue(f *Frame, col, a, b int) bool {
	if f.IsNull(col, a) != f.IsNull(col, b) {
		return false
	}
	switch f.Table().Columns[col].Kind {
	case Int:
		return f.Ints(col)[a] == f.Ints(col)[b]
	case Text:
		return f.Texts(col)[a] == f.Texts(col)[b]
	default:
		return f.Flags(col)[a] == f.Flags(col)[b]
	}
}

// advance narrows the funnels from row at by the given row. It reports whether
// a line may end there, and whether one may still lead beyond it.
func (th *thinner) advance(f *Frame, at, row int) (possible, open bool) {
	times := f.Floats(th.time)
	perSecond := 1 / (times[row] - times[at])
	possible, open = true, true
	for i, col := range th.lines {
		if nulls := f.Nulls(col); nulls != nil && nulls[row] {
			continue
		}
		values := f.Floats(col)
		change := values[row] - values[at]
		if slope := change * perSecond; slope < th.lo[i] || slope > th.hi[i] {
			possible = false
		}
		th.lo[i] = max(th.lo[i], (change-th.eps[i])*perSecond)
		th.hi[i] = min(th.hi[i], (change+th.eps[i])*perSecond)
		open = open && th.lo[i] <= th.hi[i]
	}
	return possible, open
}
