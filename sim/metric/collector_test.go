package metric_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/metric"
	"soakledger/sim/record"
)

// One node: t_x = -tau ln(1-x), what is still to come after t is change
// e^(-t/tau), and it stays within b from tau ln(change/b) on (closed form, e.g.
// Bergman et al. 2011, eq. 5.6). The same holds when it cools.
func TestFiguresOfAnExponential(t *testing.T) {
	const begin, tau, end = 300.0, 270.0, 2000.0
	for _, change := range []float64{30, -30, 0.6} {
		p := phaseOf(plain, levelAt(begin+change), "", exponential(begin, change, tau, end))
		for i, x := range []float64{1 - 1/math.E, 0.9, 0.95, 0.99} {
			is(t, "response time", p.Response[i], -tau*math.Log1p(-x), 1e-7)
		}
		for i, band := range []float64{1, 0.5, 0.1} {
			is(t, "settling time", p.Within[i], math.Max(0, tau*math.Log(math.Abs(change)/band)), 1e-6)
		}
		for i, after := range []float64{300, 600, 900, 1800} {
			is(t, "shortfall", p.Shortfall[i], change*math.Exp(-after/tau), 1e-10)
		}
		is(t, "still to come", p.StillToCome, change*math.Exp(-end/tau), 1e-10)
		peak, at := begin-change*math.Expm1(-end/tau), end
		if change < 0 {
			peak, at = begin, 0
		}
		is(t, "peak", metric.Known(p.Peak), peak, 1e-10)
		is(t, "time of the peak", metric.Known(p.PeakAt), at, 1e-9)
		if p.Heating() != (change > 0) || p.Cooling() != (change < 0) {
			t.Errorf("a change of %g K: heating %v, cooling %v", change, p.Heating(), p.Cooling())
		}
	}
}

// The times count from the phase's own start, whenever that is.
func TestTimesCountFromThePhase(t *testing.T) {
	p := phaseOf(metric.Settings{Tail: 100, Marks: []float64{306}}, levelAt(310), "", polyline([2]float64{1000, 300}, [2]float64{1400, 310}))
	is(t, "t90", p.Response[1], 360, 1e-9)
	is(t, "mark", p.Marks[0], 240, 1e-9)
	is(t, "settling within 1 K", p.Within[0], 360, 1e-9)
	is(t, "shortfall after 5 min", p.Shortfall[0], 2.5, 1e-9)
	is(t, "time of the peak, from the run's start", metric.Known(p.PeakAt), 1400, 0)
}

// Of peaks that differ by rounding the first is the peak; a higher one takes its place.
func TestFirstOfEqualPeaks(t *testing.T) {
	for later, at := range map[float64]float64{309: 10, 310: 10, 310 + 5e-9: 10, 310 + 1e-7: 30} {
		p := phaseOf(plain, levelAt(310), "", polyline([2]float64{0, 300}, [2]float64{10, 310}, [2]float64{20, 305}, [2]float64{30, later}, [2]float64{40, 305}))
		is(t, fmt.Sprintf("time of the peak of 310 and %g K", later), metric.Known(p.PeakAt), at, 1e-9)
		is(t, "peak", metric.Known(p.Peak), max(310, later), 1e-8)
	}
}

// Settling is the last time that the subject comes into the band.
func TestSettlingIsTheLastEntry(t *testing.T) {
	for _, c := range []struct {
		name    string
		points  [][2]float64
		within1 float64
	}{
		{"enters and stays", [][2]float64{{0, 300}, {10, 310}, {20, 310}}, 9},
		{"enters, leaves above, enters", [][2]float64{{0, 300}, {10, 310}, {20, 312}, {30, 310}}, 25},
		{"enters, leaves below, enters", [][2]float64{{0, 320}, {10, 310}, {20, 308}, {30, 310}}, 25},
		{"begins inside and leaves", [][2]float64{{0, 309.5}, {10, 312}, {20, 310}}, 15},
		{"begins inside and stays", [][2]float64{{0, 309.5}, {10, 310.5}, {20, 310}}, 0},
		{"begins on the edge and stays", [][2]float64{{0, 309}, {10, 310}, {20, 310}}, 0},
	} {
		p := phaseOf(plain, levelAt(310), "", polyline(c.points...))
		is(t, c.name, p.Within[0], c.within1, 1e-9)
	}
	p := phaseOf(plain, levelAt(310), "", polyline([2]float64{0, 300}, [2]float64{10, 310}, [2]float64{20, 310.2}))
	is(t, "within 0.5 K", p.Within[1], 9.5, 1e-9)
	missing(t, "within 0.1 K of a phase that ends outside", p.Within[2], "not reached in this phase")
}

// A step may leave a band and come back, pass a mark twice and peak, all
// inside: 310 + 48 theta (1-theta)(1/2-theta) turns where theta = 1/2 +-
// 1/sqrt(12) and its extremes are 310 +- 48/(6 sqrt(12)) = 310 +- 2.3094.
func TestWhatHappensInsideAStep(t *testing.T) {
	wave := span{0, 100, []record.Polynomial{{310, 24, -72, 48}}}
	p := phaseOf(metric.Settings{Tail: 100, Marks: []float64{311, 309.99}}, levelAt(310), "", []record.Segment{wave})
	is(t, "peak", metric.Known(p.Peak), 310+48/(6*math.Sqrt(12)), 1e-12)
	is(t, "time of the peak", metric.Known(p.PeakAt), 100*(0.5-1/math.Sqrt(12)), 1e-9)
	if first := p.Marks[0].Value; !p.Marks[0].OK() || !(first > 0 && first < 21) || math.Abs(wave.At(0, first)-311) > 1e-12 {
		t.Errorf("the first passing of 311 K is at %g s (%s), where it is %.15g K", first, p.Marks[0].Why, wave.At(0, first))
	}
	if at := p.Marks[1].Value; !p.Marks[1].OK() || math.Abs(wave.At(0, at)-309.99) > 1e-12 {
		t.Errorf("the falling passing of 309.99 K is at %g s (%s)", at, p.Marks[1].Why)
	}
	last := p.Within[0].Value
	if !p.Within[0].OK() || !(last > 79 && last < 100) || math.Abs(wave.At(0, last)-309) > 1e-12 {
		t.Errorf("stays within 1 K from %g s (%s) on, where it is %.15g K", last, p.Within[0].Why, wave.At(0, last))
	}
}

// integral returns the integral of x^k over a..b.
func integral(k int, a, b float64) float64 {
	n := float64(k + 1)
	return (math.Pow(b, n) - math.Pow(a, n)) / n
}

// Property: mean and standard deviation over the tail are those of the
// polynomial, integrated term by term, however the phase is cut into steps.
func TestTailIsExactForPolynomials(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p record.Polynomial
		p[0] = rapid.Float64Range(280, 350).Draw(t, "begin")
		for k := range p[1:] {
			p[k+1] = rapid.Float64Range(-10, 10).Draw(t, "coefficient")
		}
		const end = 400.0
		tail := rapid.Float64Range(1, 600).Draw(t, "tail")
		from := math.Max(0, 1-tail/end)
		mean, square := 0.0, 0.0 // of the difference to the begin
		for j := 1; j < 5; j++ {
			mean += p[j] * integral(j, from, 1) / (1 - from)
			for k := 1; k < 5; k++ {
				square += p[j] * p[k] * integral(j+k, from, 1) / (1 - from)
			}
		}
		sd := math.Sqrt(math.Max(0, square-mean*mean))
		cut := rapid.Float64Range(0.05, 0.95).Draw(t, "cut")
		for _, segments := range [][]record.Segment{
			{span{0, end, []record.Polynomial{p}}},
			{span{0, end * cut, []record.Polynomial{part(p, 0, cut)}}, span{end * cut, end, []record.Polynomial{part(p, cut, 1)}}},
		} {
			got := phaseOf(metric.Settings{Tail: tail}, levelAt(310), "", segments)
			if d := got.TailMean.Value - (p[0] + mean); !got.TailMean.OK() || math.Abs(d) > 1e-10 {
				t.Fatalf("mean differs by %g K (%s)", d, got.TailMean.Why)
			}
			if d := got.TailSD.Value - sd; !got.TailSD.OK() || math.Abs(d) > 1e-7+1e-9*sd {
				t.Fatalf("standard deviation %g differs by %g K", sd, d)
			}
		}
	})
}

// part returns p over a..b of its theta, in a theta of its own.
func part(p record.Polynomial, a, b float64) record.Polynomial {
	var q record.Polynomial
	w := b - a
	for k := range p {
		// (a + w x)^k by the binomial theorem
		for j, c := 0, 1.0; j <= k; j++ {
			q[j] += p[k] * c * math.Pow(a, float64(k-j)) * math.Pow(w, float64(j))
			c *= float64(k-j) / float64(j+1)
		}
	}
	return q
}

// Property: where a phase is cut into steps changes none of its figures.
func TestFiguresDoNotDependOnTheSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := record.Polynomial{300}
		for k := range p[1:] {
			p[k+1] = rapid.Float64Range(-30, 30).Draw(t, "coefficient")
		}
		level := levelAt(rapid.Float64Range(290, 320).Draw(t, "level"))
		cut := rapid.Float64Range(0.1, 0.9).Draw(t, "cut")
		s := metric.Settings{Tail: 100, Marks: []float64{302, 297}}
		one := phaseOf(s, level, "", []record.Segment{span{0, 1000, []record.Polynomial{p}}})
		two := phaseOf(s, level, "", []record.Segment{
			span{0, 1000 * cut, []record.Polynomial{part(p, 0, cut)}}, span{1000 * cut, 1000, []record.Polynomial{part(p, cut, 1)}},
		})
		for _, pair := range [][2][]metric.Figure{
			{one.Response[:], two.Response[:]}, {one.Within[:], two.Within[:]}, {one.Shortfall[:], two.Shortfall[:]}, {one.Marks, two.Marks},
			{{one.StillToCome, metric.Known(one.Peak)}, {two.StillToCome, metric.Known(two.Peak)}},
		} {
			for i, f := range pair[0] {
				if g := pair[1][i]; f.Why != g.Why || math.Abs(f.Value-g.Value) > 1e-5 {
					t.Fatalf("figure %d is %+v in one step and %+v in two", i, f, g)
				}
			}
		}
	})
}

// Nodes beside the subject have their own level, peak and tail.
func TestOtherNodes(t *testing.T) {
	s := span{0, 200, []record.Polynomial{{300, 10}, {350, 0, 4, -4}}}
	level := metric.Level{State: []float64{312, 355}}
	p := phaseOf(metric.Settings{Tail: 100, Nodes: []int{1}, Coolant: []int{0, 1}}, level, "", []record.Segment{s})
	is(t, "level", p.Nodes[0].Level, 355, 0)
	// 4 x^2 - 4 x^3 is largest at 2/3: 16/27; its mean over 1/2..1 is
	// 8 (7/24 - 15/64) = 0.458333.
	is(t, "peak", metric.Known(p.Nodes[0].Peak), 350+16.0/27, 1e-12)
	is(t, "time of the peak", metric.Known(p.Nodes[0].PeakAt), 400.0/3, 1e-6)
	is(t, "tail", p.Nodes[0].TailMean, 350+8*(7.0/24-15.0/64), 1e-12)
	is(t, "coolest", p.Coolest, 312, 0)
	is(t, "hottest", p.Hottest, 355, 0)
	is(t, "end of the subject", metric.Known(p.End), 310, 0)
}
