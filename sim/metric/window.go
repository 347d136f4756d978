package metric

import "math"

// window integrates a component and its square over the end of a phase.
type window struct {
	reference, length float64 // K, s
	sum, squares      float64 // K s, K2 s, of the difference to the reference
}

// Nodes and weights of Gauss-Legendre quadrature with five points on 0..1,
// exact up to degree nine (Abramowitz & Stegun 1972, table 25.4).
var gauss = [5][2]float64{
	{0.5, 0.5688888888888889 / 2},
	{0.5 - 0.5384693101056831/2, 0.4786286704993665 / 2},
	{0.5 + 0.5384693101056831/2, 0.4786286704993665 / 2},
	{0.5 - 0.9061798459386640/2, 0.2369268850561891 / 2},
	{0.5 + 0.9061798459386640/2, 0.2369268850561891 / 2},
}

// add takes the part of a step that lies behind from.
func (w *window) add(step *piece, from float64) {
	if step.end <= from {
		return
	}
	first := max(0, step.theta(from))
	rest := 1 - first
	if w.length == 0 {
		w.reference = step.poly.At(first)
	}
	length := rest * (step.end - step.start)
	sum, squares := 0.0, 0.0
	for i := range gauss {
		node := &gauss[i]
		d := step.poly.At(first+node[0]*rest) - w.reference
		weighted := node[1] * d
		sum += weighted
		squares += weighted * d
	}
	w.sum += length * sum
	w.squares += length * squares
	w.length += length
}

// figures returns mean and standard deviation over the window.
func (w *window) figures(cut string) (mean, sd Figure) {
	if cut != "" {
		return Missing(cut), Missing(cut)
	}
	if w.length == 0 {
		return Missing("the phase has no length"), Missing("the phase has no length")
	}
	m := w.sum / w.length
	return Known(w.reference + m), Known(math.Sqrt(math.Max(0, w.squares/w.length-m*m)))
}
