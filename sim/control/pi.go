package control

import "math"

// PI is a slow controller that moves its output until the input meets a
// setpoint: output = Gain (e + the integral of e / Integral), e = input less
// setpoint, with the integral summed by the period.
//
// Anti-windup is by conditional integration: a sample at which the output is at
// its limit and the error pushes it on does not count into the integral. Start,
// stop and slew are outside that loop.
//
// Source of the law and of conditional integration: K.J. Åström & T. Hägglund,
// PID Controllers: Theory, Design, and Tuning, 2nd ed. 1995, chapter 3 (value
// from memory, not checked against the source).
type PI struct {
	Setpoint float64 // input to hold, in its unit
	Gain     float64 // output per unit of input, above 0: output rises with the input
	Integral float64 // integral time, s, above 0
}

// check reports a figure out of its range.
func (p PI) check() error {
	return outside(
		bound{name: "setpoint", value: p.Setpoint, low: -math.MaxFloat64, high: math.MaxFloat64},
		bound{name: "gain", value: p.Gain, high: math.MaxFloat64, open: true},
		bound{name: "integral time", value: p.Integral, high: math.MaxFloat64, open: true},
	)
}

// next returns the output for an input, in low to high, and the integral for
// the sample after it.
func (p PI) next(integral, input, period, low, high float64) (output, after float64) {
	e := input - p.Setpoint
	u := p.Gain*e + integral
	if u >= high && e > 0 || u <= low && e < 0 {
		return min(max(u, low), high), integral
	}
	return min(max(u, low), high), integral + p.Gain*e*period/p.Integral
}

// integralFor returns the integral with which the output for an input is the
// one given.
func (p PI) integralFor(output, input float64) float64 {
	return output - p.Gain*(input-p.Setpoint)
}
