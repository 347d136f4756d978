package ode_test

import (
	"math"
	"testing"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

// interpolant is what other packages expect of a segment.
type interpolant interface {
	Start() float64
	End() float64
	At(i int, t float64) float64
	Into(t float64, dst []float64)
	Poly(i int) [5]float64
	Coefficients(i int) *[5]float64
	Bounds(low, high []float64)
}

var _ interpolant = (*ode.Segment)(nil)

// checkSegment compares the three ways to read a segment, and its ends with the states there.
func checkSegment(t *testing.T, seg *ode.Segment, before, after []float64) {
	t.Helper()
	y := make([]float64, len(before))
	h := seg.End() - seg.Start()
	for _, th := range []float64{0, 0.1, 0.25, 0.5, 0.9, 1, -0.1, 1.2} {
		at := seg.Start() + th*h
		if th == 1 {
			at = seg.End()
		}
		seg.Into(at, y)
		for i := range y {
			if got := seg.At(i, at); got != y[i] {
				t.Fatalf("At and Into differ in component %d at theta %g: %v, %v", i, th, got, y[i])
			}
			p := seg.Poly(i)
			poly := p[0] + th*(p[1]+th*(p[2]+th*(p[3]+th*p[4])))
			if size := math.Abs(p[0]) + math.Abs(p[1]) + math.Abs(p[2]) + math.Abs(p[3]); math.Abs(poly-y[i]) > 1e-13*size {
				t.Fatalf("Poly gives %v for component %d at theta %g, At %v", poly, i, th, y[i])
			}
		}
	}
	checkBounds(t, seg, len(y))
	for i := range y {
		if p := seg.Poly(i); p != *seg.Coefficients(i) {
			t.Fatalf("Poly gives %v for component %d, Coefficients %v", p, i, *seg.Coefficients(i))
		}
		if seg.At(i, seg.Start()) != before[i] || seg.At(i, seg.End()) != after[i] {
			t.Fatalf("component %d: ends %v, %v, states %v, %v", i, seg.At(i, seg.Start()), seg.At(i, seg.End()), before[i], after[i])
		}
	}
}

// checkBounds samples the first n components of a segment within their bounds, and the
// bounds of fewer must be the same.
func checkBounds(t *testing.T, seg *ode.Segment, n int) {
	t.Helper()
	low, high := make([]float64, n), make([]float64, n)
	seg.Bounds(low, high)
	first, last := make([]float64, 1), make([]float64, 1)
	if seg.Bounds(first, last); first[0] != low[0] || last[0] != high[0] {
		t.Fatalf("bounds of component 0: %g to %g alone, %g to %g among all", first[0], last[0], low[0], high[0])
	}
	for i := range n {
		p := seg.Coefficients(i)
		slack := 1e-14 * (math.Abs(low[i]) + math.Abs(high[i]))
		most := math.Abs(p[1]) + 2*math.Abs(p[2]) + 3*math.Abs(p[3]) + 4*math.Abs(p[4])
		if high[i]-low[i] > 2*most+slack {
			t.Fatalf("component %d: bounds %g to %g for slopes up to %g", i, low[i], high[i], most)
		}
		for k := range 41 {
			theta := float64(k) / 40
			if v := p[0] + theta*(p[1]+theta*(p[2]+theta*(p[3]+theta*p[4]))); v < low[i]-slack || v > high[i]+slack {
				t.Fatalf("component %d is %g at theta %g, bounds %g to %g", i, v, theta, low[i], high[i])
			}
		}
	}
}

// The bounds of a straight line and of a parabola are exact; those of a span of no length are the value.
func TestBoundsOfSimpleSegments(t *testing.T) {
	sys := &odetest.Functions{
		States: 1, Quadratures: 1, Nonzeros: odetest.Rows(nil, nil),
		RHS: func(t float64, _, f []float64) { f[0], f[1] = 1-2*t, 3 },
		Jac: func(_ float64, _, _ []float64) {},
		Dt:  func(_ float64, _, d []float64) { d[0], d[1] = -2, 0 },
	}
	low, high := make([]float64, 2), make([]float64, 2)
	it := started(t, sys, nil, ode.Settings{Fixed: 1}, 5, 7)
	it.Segment().Bounds(low, high)
	if low[0] != 5 || high[0] != 5 || low[1] != 7 || high[1] != 7 {
		t.Errorf("before the first step: %v to %v", low, high)
	}
	mustStep(t, it, 1) // y = 5 + t - t^2 and 7 + 3 t
	it.Segment().Bounds(low, high)
	for i, want := range [][2]float64{{4.75, 5.25}, {7, 10}} {
		if math.Abs(low[i]-want[0]) > 1e-12 || math.Abs(high[i]-want[1]) > 1e-12 {
			t.Errorf("component %d: %g to %g, want %v", i, low[i], high[i], want)
		}
	}
}

func TestSegmentReadings(t *testing.T) {
	for _, m := range methods {
		p := odetest.Mixed()
		it := started(t, p.System, m, p.Settings(1e-5), p.Y0...)
		before := append([]float64(nil), p.Y0...)
		for it.Time() < p.T1 {
			mustStep(t, it, p.T1)
			checkSegment(t, it.Segment(), before, it.State())
			copy(before, it.State())
		}
		mustStep(t, it, p.T1+1)
		seg := it.Segment()
		it.TruncateTo(seg.Start() + 0.01)
		checkSegment(t, seg, before, it.State())
	}
}

// A method of order 4 integrates polynomials in t exactly, and so does its interpolant up to its own order.
func TestPolynomialsAreExact(t *testing.T) {
	for _, m := range methods {
		degree := m.Order() - 1
		sys := &odetest.Functions{
			States: 1, Quadratures: 1, Nonzeros: odetest.Rows(nil, nil),
			RHS: func(t float64, _, f []float64) {
				f[0] = float64(degree) * math.Pow(t, float64(degree-1))
				f[1] = f[0]
			},
			Jac: func(_ float64, _, _ []float64) {},
			Dt: func(t float64, _, d []float64) {
				d[0] = float64(degree*(degree-1)) * math.Pow(t, float64(degree-2))
				d[1] = d[0]
			},
		}
		it := started(t, sys, m, ode.Settings{Fixed: 1}, 0, 0)
		mustStep(t, it, 1)
		for _, at := range []float64{0.2, 0.5, 0.8, 1} {
			for i := range 2 {
				if got, want := it.Segment().At(i, at), math.Pow(at, float64(degree)); math.Abs(got-want) > 1e-13 {
					t.Errorf("%s: t^%d at %g in component %d: error %g", m.Name(), degree, at, i, got-want)
				}
			}
		}
	}
}

func TestIntoChecksLength(t *testing.T) {
	it := started(t, &heater{}, nil, heaterTol, 0, 0, 0)
	defer func() {
		if recover() == nil {
			t.Error("Into with a wrong length did not panic")
		}
	}()
	it.Segment().Into(0, make([]float64, 2))
}
