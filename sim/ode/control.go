package ode

import "math"

// controller proposes step sizes by Gustafsson's predictive rule (Hairer & Wanner, Solving ODEs II, 2nd ed.,
// eq. IV.8.14), which takes the trend of the error to go on. Where it is bolder than the elementary
// rule, as after a transient, it is followed only up to a quarter more: that saves an eighth of the steps of a
// load in bursts and makes no more rejections; further, rejections eat what it saves.
type controller struct {
	exponent int // the error of a step goes with this power of its size

	accepted int     // steps accepted since the last restart
	lastSize float64 // of the last accepted step
	lastErr  float64 // its error, at least 0.01
}

// The bounds of a change of size and the safety factor are those of the code RODAS.
const (
	safety    = 0.9
	maxShrink = 5.0 // divides the step size
	maxGrow   = 6.0 // multiplies it
	boldest   = 0.8 // of the elementary rule's divisor, the least that the predictive one may propose
)

// forget drops what is known of the steps before a restart.
func (c *controller) forget() { c.accepted = 0 }

// root returns x to the power 1/exponent.
func (c *controller) root(x float64) float64 {
	switch c.exponent {
	case 4:
		return math.Sqrt(math.Sqrt(x))
	default:
		return math.Pow(x, 1/float64(c.exponent))
	}
}

// divisor returns by what to divide the size of a step whose error was err.
func (c *controller) divisor(err float64) float64 {
	return min(maxShrink, max(1/maxGrow, c.root(err)/safety))
}

// accept records an accepted step of size h and error err and returns the size proposed for the next.
func (c *controller) accept(h, err float64) float64 {
	div := c.divisor(err)
	if c.accepted > 0 {
		predicted := c.lastSize / h * c.root(err*err/c.lastErr) / safety
		div = min(maxShrink, max(predicted, boldest*div, 1/maxGrow))
	}
	c.accepted++
	c.lastSize = h
	c.lastErr = max(0.01, err)
	return h / div
}

// fit cuts a proposed step so that it ends at the end of the remaining span, or halves the span
// so that the last step is no shorter than the one before. last says that the step ends the span.
func fit(h, remaining float64) (size float64, last bool) {
	switch {
	case h >= remaining:
		return remaining, true
	case 2*h > remaining:
		return remaining / 2, false
	}
	return h, false
}

// fitFixed is fit for steps of a fixed size: it forgives rounding in the number of steps.
func fitFixed(h, remaining float64) (size float64, last bool) {
	if h >= remaining*(1-1e-9) {
		return remaining, true
	}
	return h, false
}
