package odetest

import "math"

// ProtheroRobinson is y' = lambda (y - phi(t)) + phi'(t) with phi = sin(t + 1), whose solution from phi(0) is phi for
// every lambda (Prothero & Robinson, Math. Comput. 28 (1974) 145). With lambda h << -1 it shows the reduction of
// the order of a method.
func ProtheroRobinson(lambda float64) Problem {
	return Problem{
		Name:   "Prothero-Robinson",
		Source: "Prothero & Robinson, Math. Comput. 28 (1974) 145",
		System: &Functions{
			States:   1,
			Nonzeros: Rows([]int{0}),
			RHS: func(t float64, y, f []float64) {
				f[0] = lambda*(y[0]-math.Sin(t+1)) + math.Cos(t+1)
			},
			Jac: func(_ float64, _, jac []float64) { jac[0] = lambda },
			Dt: func(t float64, _, dfdt []float64) {
				dfdt[0] = -lambda*math.Cos(t+1) - math.Sin(t+1)
			},
		},
		T1:    2,
		Y0:    []float64{math.Sin(1)},
		Exact: func(t float64, y []float64) { y[0] = math.Sin(t + 1) },
		Scale: []float64{1},
	}
}

// Mixed is nonlinear and non-autonomous, 3 states and 2 quadratures: the problem of Kaps with eps = 1
// (Dekker & Verwer, Stability of Runge-Kutta Methods for Stiff Nonlinear Differential Equations, 1984, p. 152)
//
//	y0' = -3 y0 + y1^2,  y1' = y0 - y1 - y1^2,  solution exp(-2t), exp(-t)
//
// beside y2' = -2 t y2^2, solution 1/(1+t^2), and the quadratures of y1 and t y1.
func Mixed() Problem {
	return Problem{
		Name:   "Mixed",
		Source: "closed form",
		System: &Functions{
			States: 3, Quadratures: 2,
			Nonzeros: Rows([]int{0, 1}, []int{0, 1}, []int{2}, []int{1}, []int{1}),
			RHS: func(t float64, y, f []float64) {
				f[0] = -3*y[0] + y[1]*y[1]
				f[1] = y[0] - y[1] - y[1]*y[1]
				f[2] = -2 * t * y[2] * y[2]
				f[3] = y[1]
				f[4] = t * y[1]
			},
			Jac: func(t float64, y, jac []float64) {
				copy(jac, []float64{-3, 2 * y[1], 1, -1 - 2*y[1], -4 * t * y[2], 1, t})
			},
			Dt: func(_ float64, y, dfdt []float64) {
				clear(dfdt)
				dfdt[2] = -2 * y[2] * y[2]
				dfdt[4] = y[1]
			},
		},
		T1: 1.5,
		Y0: []float64{1, 1, 1, 0, 0},
		Exact: func(t float64, y []float64) {
			y[0], y[1], y[2] = math.Exp(-2*t), math.Exp(-t), 1/(1+t*t)
			y[3], y[4] = 1-math.Exp(-t), 1-(1+t)*math.Exp(-t)
		},
		Scale: []float64{1, 1, 1},
	}
}

// Cascade is n equal stirred cells in series that are fed with 1 from rest: y_k' = y_{k-1} - y_k, with the outflow as
// quadrature. Cell k, from 0, follows 1 - exp(-t) sum_{j<=k} t^j/j! (the Erlang distribution). The matrix is defective.
func Cascade(n int) Problem {
	rows := make([][]int, n+1)
	for i := range n {
		rows[i] = []int{i - 1, i}
	}
	rows[0] = []int{0}
	rows[n] = []int{n - 1}
	return Problem{
		Name:   "Cascade",
		Source: "closed form",
		System: &Functions{
			States: n, Quadratures: 1,
			Nonzeros: Rows(rows...),
			RHS: func(_ float64, y, f []float64) {
				f[0] = 1 - y[0]
				for i := 1; i < n; i++ {
					f[i] = y[i-1] - y[i]
				}
				f[n] = y[n-1]
			},
			Jac: func(_ float64, _, jac []float64) {
				jac[0] = -1
				for i := 1; i < n; i++ {
					jac[2*i-1], jac[2*i] = 1, -1
				}
				jac[2*n-1] = 1
			},
		},
		T1: float64(n),
		Y0: make([]float64, n+1),
		Exact: func(t float64, y []float64) {
			term, sum, stored := math.Exp(-t), 0.0, 0.0
			for k := range n {
				sum += term
				term *= t / float64(k+1)
				y[k] = 1 - sum
				stored += y[k]
			}
			y[n] = t - stored // what went in and is not in the cells
		},
		Scale: spread(n, 1),
	}
}

// Ring is n equal cells in a closed ring that conduct to both neighbours, are flushed around, and lose heat:
//
//	y_k' = conduct (y_{k-1} - 2 y_k + y_{k+1}) + flow (y_{k-1} - y_k) - loss y_k
//
// with the total loss as quadrature. It starts from 2 plus one wave, which turns and decays:
// 2 exp(-loss t) + exp(-(loss+s) t) cos(a k - w t), a = 2 pi/n, s = (2 conduct + flow)(1 - cos a), w = flow sin a. n >= 3.
func Ring(n int, conduct, flow, loss float64) Problem {
	a := 2 * math.Pi / float64(n)
	s, w := (2*conduct+flow)*(1-math.Cos(a)), flow*math.Sin(a)
	exact := func(t float64, y []float64) {
		mean, wave := 2*math.Exp(-loss*t), math.Exp(-(loss+s)*t)
		for k := range n {
			y[k] = mean + wave*math.Cos(a*float64(k)-w*t)
		}
		y[n] = float64(n) * (2 - mean)
	}
	y0 := make([]float64, n+1)
	exact(0, y0)
	return Problem{
		Name:   "Ring",
		Source: "closed form",
		System: newRing(n, conduct, flow, loss),
		T1:     3 / (loss + s),
		Y0:     y0,
		Exact:  exact,
		Scale:  spread(n, 1),
	}
}

func newRing(n int, conduct, flow, loss float64) *Functions {
	at := func(k int) int { return (k + n) % n }
	b := newSparse(n + 1)
	for k := range n {
		b.add(k, at(k-1), conduct+flow)
		b.add(k, at(k+1), conduct)
		b.add(k, k, -2*conduct-flow-loss)
		b.add(n, k, loss)
	}
	return &Functions{
		States: n, Quadratures: 1,
		Nonzeros: b.pattern(),
		RHS:      b.multiply,
		Jac:      b.values,
	}
}

func spread(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}
