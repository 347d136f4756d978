package record

import "math"

// Grid is the sequence of times 0, every, 2 every, ... at which a trace is
// kept. The k-th time is a product, so that late times are as exact as early
// ones.
type Grid struct {
	every float64 // s, > 0
	next  int64
}

// NewGrid returns the grid of an interval (s, > 0).
func NewGrid(every float64) Grid { return Grid{every: every} }

// Next returns the next time of the grid, s.
func (g *Grid) Next() float64 { return float64(g.next) * g.every }

// Advance moves on by one.
func (g *Grid) Advance() { g.next++ }

// Count returns how many times of the grid lie in 0 <= t <= end.
func (g *Grid) Count(end float64) int64 { return int64(math.Floor(end/g.every)) + 1 }
