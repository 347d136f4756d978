package part

import "math"

// settled is the relative length of a step of Newton's method after which its
// error, which shrinks with the square, is below rounding.
const settled = 1e-9

// least is the length of a step over the interval of the search below which
// there is nothing left to find: far below what rounding leaves of a root whose
// function is of the size that it has at the ends.
const least = 1e-26

// falling returns where a function that falls is zero, between low, where it is
// not below zero, and high, where it is not above, from a start x between them;
// and the slope there, but for the last step's share of settled. It reports
// false for a function that is not a number.
func falling(low, high, x float64, f func(x float64) (y, dy float64)) (root, slope float64, ok bool) {
	left, short := newBracket(low, high), least*(high-low)
	for range mostSteps {
		y, dy := f(x)
		if math.IsNaN(y) {
			return x, dy, false
		}
		if y == 0 {
			return x, dy, true
		}
		newton := x - y/dy
		if math.IsInf(dy, 0) {
			newton = math.NaN() // at a step or a kink, which says nothing of the root
		}
		next, done := left.next(x, newton, y > 0)
		step := math.Abs(next - x)
		if done || step <= short || next == newton && step <= settled*math.Abs(next) {
			return next, dy, true
		}
		x = next
	}
	return x, math.NaN(), false
}
