package ode_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

// conserving is y' = A y - b y^3 + amp cos(w t), of n states, with two quadratures that take up what leaves
// the weighted sum of the even and of the odd states: sum c_i f_i + g_0 + g_1 = 0 identically.
type conserving struct {
	n      int
	a      []float64 // n x n
	b, c   []float64
	amp, w float64
}

func drawConserving(t *rapid.T) *conserving {
	n := rapid.IntRange(2, 9).Draw(t, "n")
	s := &conserving{n: n, a: make([]float64, n*n), b: make([]float64, n), c: make([]float64, n)}
	for i := range n {
		fast := math.Pow(10, rapid.Float64Range(-2, 4).Draw(t, "rate"))
		for j := range n {
			if j != i && rapid.Bool().Draw(t, "coupled") {
				s.a[i*n+j] = fast * rapid.Float64Range(0, 1).Draw(t, "coupling") / float64(n)
			}
		}
		s.a[i*n+i] = -fast
		s.c[i] = math.Pow(10, rapid.Float64Range(0, 4).Draw(t, "capacity"))
		if rapid.Bool().Draw(t, "nonlinear") {
			s.b[i] = rapid.Float64Range(0, 2).Draw(t, "cubic")
		}
	}
	if rapid.Bool().Draw(t, "driven") {
		s.amp, s.w = rapid.Float64Range(0.1, 10).Draw(t, "amplitude"), rapid.Float64Range(0.1, 10).Draw(t, "frequency")
	}
	return s
}

func (s *conserving) Dim() (states, quadratures int) { return s.n, 2 }
func (s *conserving) Pattern() ode.Pattern           { return odetest.Dense(s.n+2, s.n) }

func (s *conserving) F(t float64, y, f []float64) {
	f[s.n], f[s.n+1] = 0, 0
	for i := range s.n {
		sum := s.amp*math.Cos(s.w*t) - s.b[i]*y[i]*y[i]*y[i]
		for j := range s.n {
			sum += s.a[i*s.n+j] * y[j]
		}
		f[i] = sum
		f[s.n+i%2] -= s.c[i] * sum
	}
}

func (s *conserving) Jacobian(_ float64, y, jac []float64) {
	n := s.n
	clear(jac[n*n:])
	for i := range n {
		for j := range n {
			v := s.a[i*n+j]
			if i == j {
				v -= 3 * s.b[i] * y[i] * y[i]
			}
			jac[i*n+j] = v
			jac[(n+i%2)*n+j] -= s.c[i] * v
		}
	}
}

func (s *conserving) TimeDerivative(t float64, _, dfdt []float64) bool {
	if s.amp == 0 {
		return false
	}
	dfdt[s.n], dfdt[s.n+1] = 0, 0
	for i := range s.n {
		dfdt[i] = -s.amp * s.w * math.Sin(s.w*t)
		dfdt[s.n+i%2] -= s.c[i] * dfdt[i]
	}
	return true
}

// balance returns sum c_i y_i + q_0 + q_1 and the sum of the magnitudes of its terms.
func (s *conserving) balance(y []float64) (sum, size float64) {
	for i, c := range s.c {
		sum += c * y[i]
		size += math.Abs(c * y[i])
	}
	for _, q := range y[s.n:] {
		sum += q
		size += math.Abs(q)
	}
	return sum, size
}

// A linear invariant between states and quadratures survives hundreds of steps, interpolation, truncation and jumps
// of the forcing to rounding.
func TestLinearInvariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawConserving(t)
		m := rapid.SampledFrom(methods).Draw(t, "method")
		it, err := ode.New(s, m, ode.Settings{AbsTol: []float64{1e-5}, MaxStep: 0.05})
		if err != nil {
			t.Fatal(err)
		}
		y := make([]float64, s.n+2)
		for i := range s.n {
			y[i] = rapid.Float64Range(-3, 3).Draw(t, "y0")
		}
		if err := it.Start(0, y); err != nil {
			t.Fatal(err)
		}
		first, largest := s.balance(y)
		for k := 0; it.Stats().Steps < 300; k++ {
			if err := it.Step(1e6); err != nil {
				t.Fatal(err)
			}
			seg := it.Segment()
			switch k % 10 {
			case 3:
				it.TruncateTo(seg.Start() + 0.7*(seg.End()-seg.Start()))
			case 7:
				s.amp = -s.amp
				it.Jump()
			}
			for _, at := range []float64{seg.End(), seg.Start() + 0.4*(seg.End()-seg.Start())} {
				seg.Into(at, y)
				sum, size := s.balance(y)
				largest = math.Max(largest, size)
				if drift := math.Abs(sum-first) / largest; !(drift < 1e-12) {
					t.Fatalf("%s: drift %g after %d steps", m.Name(), drift, it.Stats().Steps)
				}
			}
		}
	})
}

// The system of the property test has the derivatives it claims.
func TestConservingJacobian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawConserving(t)
		y := make([]float64, s.n+2)
		for i := range s.n {
			y[i] = rapid.Float64Range(0.5, 3).Draw(t, "y")
		}
		if w := odetest.CheckJacobian(s, rapid.Float64Range(0, 5).Draw(t, "t"), y); w.Relative > 1e-5 {
			t.Fatalf("%+v", w)
		}
	})
}
