package metric_test

import (
	"math"
	"testing"

	"soakledger/sim/metric"
	"soakledger/sim/record"
)

// span is a step whose components are polynomials in its own theta.
type span struct {
	start, end float64
	poly       []record.Polynomial
}

func (s span) Start() float64          { return s.start }
func (s span) End() float64            { return s.end }
func (s span) Poly(i int) [5]float64   { return s.poly[i] }
func (s span) theta(t float64) float64 { return (t - s.start) / (s.end - s.start) }
func (s span) At(i int, t float64) float64 {
	return s.poly[i].At(s.theta(t))
}

// hermite is the cubic through values and slopes at both ends of a span of a
// length.
func hermite(a, da, b, db, length float64) record.Polynomial {
	da, db = da*length, db*length
	return record.Polynomial{a, da, 3*(b-a) - 2*da - db, 2*(a-b) + da + db}
}

// exponential is begin + change (1 - e^(-t/tau)) from 0 to end, in pieces of
// tau/500, where a cubic is exact to 1e-13 of the change.
func exponential(begin, change, tau, end float64) []record.Segment {
	value := func(t float64) float64 { return begin - change*math.Expm1(-t/tau) }
	slope := func(t float64) float64 { return change / tau * math.Exp(-t/tau) }
	var all []record.Segment
	n := int(math.Ceil(500 * end / tau))
	for i := range n {
		from, to := end*float64(i)/float64(n), end*float64(i+1)/float64(n)
		all = append(all, span{from, to, []record.Polynomial{hermite(value(from), slope(from), value(to), slope(to), to-from)}})
	}
	return all
}

// polyline joins points (s, K) by straight steps.
func polyline(points ...[2]float64) []record.Segment {
	var all []record.Segment
	for i := range points[1:] {
		a, b := points[i], points[i+1]
		all = append(all, span{a[0], b[0], []record.Polynomial{{a[1], b[1] - a[1]}}})
	}
	return all
}

// phaseOf runs one phase over segments, with the subject as component 0 and
// the given settings.
func phaseOf(s metric.Settings, level metric.Level, cut string, segments []record.Segment) metric.Phase {
	c := metric.NewCollector(s)
	first, last := segments[0], segments[len(segments)-1]
	var y []float64
	for _, p := range first.(span).poly {
		y = append(y, p[0])
	}
	c.Begin(first.Start(), last.End(), 100, y, level)
	for _, seg := range segments {
		c.Add(seg)
	}
	return c.Finish(cut)
}

// plain watches component 0 alone, with a tail of 100 s.
var plain = metric.Settings{Tail: 100}

func levelAt(t float64) metric.Level { return metric.Level{State: []float64{t}} }

// is checks a figure's value.
func is(t *testing.T, what string, f metric.Figure, want, tolerance float64) {
	t.Helper()
	if !f.OK() || !(math.Abs(f.Value-want) <= tolerance) {
		t.Errorf("%s is %.12g (%s), want %.12g", what, f.Value, f.Why, want)
	}
}

// missing checks that a figure has no value, for a reason.
func missing(t *testing.T, what string, f metric.Figure, why string) {
	t.Helper()
	if f.OK() || f.Why != why {
		t.Errorf("%s is %g, missing because %q; want the reason %q", what, f.Value, f.Why, why)
	}
}
