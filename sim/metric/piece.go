package metric

import "soakledger/sim/record"

// piece is one component over one step.
type piece struct {
	start, end float64 // s
	poly       record.Polynomial
	low, high  float64 // bounds of the values, K
}

// take takes component i out of a step.
func (p *piece) take(s record.Segment, i int) {
	p.poly = s.Poly(i)
	p.low, p.high = p.poly.Bounds()
}

// time returns the time at theta = 0..1, s.
func (p *piece) time(theta float64) float64 { return p.start + theta*(p.end-p.start) }

// theta is the inverse of time.
func (p *piece) theta(t float64) float64 { return (t - p.start) / (p.end - p.start) }

// samePeak is by how much (K) a later peak must be higher to count: a throttle lets a die
// come to its limit again and again, and which of these is highest is rounding.
const samePeak = 1e-8

// raise lifts a peak and its time to the step's own, if that is higher.
func (p *piece) raise(peak, at *float64) {
	if p.high <= *peak+samePeak {
		return
	}
	if _, _, high, theta := p.poly.Extremes(); high > *peak+samePeak {
		*peak, *at = high, p.time(theta)
	}
}
