package ode

// maxStages is the largest number of stages of any method here.
const maxStages = 8

// row is one row of a tableau.
type row [maxStages]float64

// tableau holds a stiffly accurate Rosenbrock method in the form that needs no product with J
// (Hairer & Wanner, Solving ODEs II, 2nd ed., eq. IV.7.25): with E = I/(gamma h) - J, each stage solves
//
//	E u_i = f(t + alpha_i h, y + sum_j a_ij u_j) + sum_j (c_ij/h) u_j + d_i h f_t
//
// The argument of every stage after stage base is that of the stage before plus its u,
// the new value is the argument of the last stage plus its u, and that u is the error estimate.
type tableau struct {
	stages     int
	base       int // index of the last stage whose argument is a full combination
	errorOrder int // order of the embedded formula
	gamma      float64
	alpha, d   row
	a, c       [maxStages]row

	// The interpolant at theta = (t-t0)/h is
	// (1-theta) y0 + theta (y1 + (1-theta)(k_1 + theta (k_2 + theta k_3))), k_r = sum_j dense[r]_j u_j.
	dense     [3]row
	denseRows int
}

// For a quadrature the u_i are not needed. In the method's original form, with k_i the slopes,
// u = h Gamma k, and the slope of a quadrature is g at the stage + G u_i + d_i h g_t, with G = dg/dy. A combination
// sum m_i u_i of its stage values is therefore h sum b_i (slope)_i with b = m Gamma, where Gamma^-1 = I/gamma - C.

// slopeWeights solves b (I/gamma - C) = m for the weights of the slopes.
func (t *tableau) slopeWeights(m row) row {
	var b row
	for j := t.stages - 1; j >= 0; j-- {
		sum := m[j]
		for i := j + 1; i < t.stages; i++ {
			sum += b[i] * t.c[i][j]
		}
		b[j] = t.gamma * sum
	}
	return b
}

// resultWeights returns the m of y1 = y0 + sum m_i u_i.
func (t *tableau) resultWeights() row {
	m := t.a[t.base]
	for i := t.base; i < t.stages; i++ {
		m[i] = 1
	}
	return m
}

// attempt computes one step of size h from the current state with the current factors, into it.next.
// It returns the weighted error, NaN if something was not finite.
func (it *Integrator) attempt(h float64) float64 {
	tab := &it.tab
	invH := 1 / h
	n := it.n
	u := &it.u
	it.timeTerm(0, h, true)
	it.lu.Solve(u[0], it.slope[0], it.extra)
	for s := 1; s < tab.stages; s++ {
		c := tab.c[s]
		for j := range s {
			c[j] *= invH
		}
		if s <= tab.base {
			combine(s, it.arg[:n], it.extra, it.y, u, &tab.a[s], &c)
		} else {
			advance(s, it.arg[:n], it.extra, u, &c)
		}
		if it.timeDependent {
			it.timeTerm(s, h, false)
		}
		it.sys.F(it.t+tab.alpha[s]*h, it.arg, it.slope[s])
		it.lu.Solve(u[s], it.slope[s], it.extra)
	}
	it.stats.FEvals += tab.stages - 1
	it.stats.Solves += tab.stages
	return it.finish(u[tab.stages-1])
}

// timeTerm adds d_s h f_t to it.extra, or, if first, sets it.
func (it *Integrator) timeTerm(s int, h float64, first bool) {
	extra := it.extra
	if first {
		clear(extra)
	}
	hd := h * it.tab.d[s]
	if !it.timeDependent || hd == 0 {
		return
	}
	dfdt := it.dfdt[:len(extra)]
	for i := range extra {
		extra[i] += hd * dfdt[i]
	}
}

// finish writes the new states and returns the weighted maximum norm of the error estimate last.
func (it *Integrator) finish(last []float64) float64 {
	next, arg := it.next[:it.n], it.arg[:it.n]
	last, y := last[:it.n], it.y[:it.n]
	if it.relTol != nil {
		return finishRelative(next, arg, last, y, it.absTol, it.relTol)
	}
	weight := it.weight[:it.n]
	worst, sum := 0.0, 0.0
	for i, a := range arg {
		e := last[i]
		next[i] = a + e
		r := abs(e * weight[i])
		sum += r // unlike the comparison, the sum cannot lose a NaN
		if r > worst {
			worst = r
		}
	}
	return worst + (sum - sum)
}

// finishRelative is finish where a relative tolerance is set.
func finishRelative(next, arg, last, y, absTol, relTol []float64) float64 {
	arg, last, y = arg[:len(next)], last[:len(next)], y[:len(next)]
	absTol, relTol = absTol[:len(next)], relTol[:len(next)]
	worst, sum := 0.0, 0.0
	for i := range next {
		e := last[i]
		v := arg[i] + e
		next[i] = v
		r := abs(e) / (absTol[i] + relTol[i]*max(abs(y[i]), abs(v)))
		sum += r
		if r > worst {
			worst = r
		}
	}
	return worst + (sum - sum)
}

// quadratures writes the new quadrature values of an attempt of size h to it.next
// and reports whether they are finite.
func (it *Integrator) quadratures(h float64) bool {
	if it.m == 0 {
		return true
	}
	next := it.next[it.n:]
	it.combineSlopes(&it.quadWeights, h, next)
	sum := 0.0
	for j, q := range it.y[it.n:] {
		next[j] += q
		sum += next[j] - next[j]
	}
	return sum == 0
}

// combineSlopes writes h sum b_i (slope)_i of each quadrature to dst, for the stages of the last attempt.
// The products with G are summed first, because sum b_i G u_i = G sum b_i u_i.
func (it *Integrator) combineSlopes(b *row, h float64, dst []float64) {
	stages := it.tab.stages
	v := it.sumU
	combineStages(stages, v, 0, &it.u, b)
	combineStages(stages, dst, it.n, &it.slope, b)
	if it.timeDependent {
		it.addTimeTerm(b, h, dst)
	}
	jac := it.jac[it.quadStart[0]:][:len(it.quadCol)]
	e := 0
	for j := range dst {
		sum := dst[j]
		for end := it.quadStart[j+1] - it.quadStart[0]; e < end; e++ {
			sum += jac[e] * v[it.quadCol[e]]
		}
		dst[j] = h * sum
	}
}

// addTimeTerm adds sum b_i d_i h g_t of each quadrature to dst.
func (it *Integrator) addTimeTerm(b *row, h float64, dst []float64) {
	weight := 0.0
	for s, w := range b {
		weight += w * it.tab.d[s]
	}
	for j := range dst {
		dst[j] += weight * h * it.dfdt[it.n+j]
	}
}
