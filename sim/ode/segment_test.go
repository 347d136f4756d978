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
	for i := range y {
		if seg.At(i, seg.Start()) != before[i] || seg.At(i, seg.End()) != after[i] {
			t.Fatalf("component %d: ends %v, %v, states %v, %v", i, seg.At(i, seg.Start()), seg.At(i, seg.End()), before[i], after[i])
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
