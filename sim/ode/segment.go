package ode

// Segment is the interpolant of one accepted step: on [Start, End] a polynomial of degree 3 (Rodas4) or
// 4 (Rodas5P) for every state and quadrature, of the method's own dense output. It meets the states at both
// ends exactly and conserves the same linear invariants as the step. Outside the span it extrapolates.
//
// A segment obtained from an Integrator is a view: it changes with the next Step, Start or TruncateTo.
// Its methods must not run at the same time in two goroutines, because the coefficients are formed
// when first asked for.
type Segment struct {
	start, end float64
	invH       float64 // 1/(end-start), 0 for a span of length zero
	y0, y1     []float64
	coef       [][4]float64 // of theta, theta^2, theta^3, theta^4 for each component
	ready      bool         // coef is formed
	it         *Integrator
	h          float64 // size of the step before any truncation
}

// Start returns the time at which the step began.
func (s *Segment) Start() float64 { return s.start }

// End returns the time at which the step, truncated or not, ended.
func (s *Segment) End() float64 { return s.end }

// At returns the value of component i (the states first, the quadratures after them) at time t.
func (s *Segment) At(i int, t float64) float64 {
	if t == s.end {
		return s.y1[i]
	}
	if !s.ready {
		s.form()
	}
	th := (t - s.start) * s.invH
	c := &s.coef[i]
	return s.y0[i] + th*(c[0]+th*(c[1]+th*(c[2]+th*c[3])))
}

// Into writes all n+m components at time t to dst; len(dst) must be n+m.
func (s *Segment) Into(t float64, dst []float64) {
	if len(dst) != len(s.y0) {
		panic("ode: Segment.Into: wrong length of dst")
	}
	if t == s.end {
		copy(dst, s.y1)
		return
	}
	if !s.ready {
		s.form()
	}
	th := (t - s.start) * s.invH
	y0, coef := s.y0[:len(dst)], s.coef[:len(dst)]
	for i := range dst {
		c := &coef[i]
		dst[i] = y0[i] + th*(c[0]+th*(c[1]+th*(c[2]+th*c[3])))
	}
}

// Poly returns the coefficients p of component i: its value is sum p[k] theta^k with
// theta = (t-Start)/(End-Start), constant for a span of length zero.
func (s *Segment) Poly(i int) [5]float64 {
	if s.invH == 0 {
		return [5]float64{s.y1[i]}
	}
	if !s.ready {
		s.form()
	}
	c := &s.coef[i]
	return [5]float64{s.y0[i], c[0], c[1], c[2], c[3]}
}

// collapse makes s the zero-length segment at t with value y.
func (s *Segment) collapse(t float64, y []float64) {
	s.start, s.end, s.invH = t, t, 0
	s.y0, s.y1 = y, y
	s.ready = true
}

// form computes the coefficients from the stages of the step.
func (s *Segment) form() {
	it := s.it
	rows := it.tab.denseRows
	for r := range rows {
		it.denseStates(r)
		it.combineSlopes(&it.denseWeights[r], s.h, it.k[r][it.n:])
	}
	k1, k2, k3 := it.k[0], it.k[1], it.k[2] // k3 stays zero if rows is 2
	for i := range s.coef {
		a, b, c := k1[i], k2[i], k3[i]
		s.coef[i] = [4]float64{s.y1[i] - s.y0[i] + a, b - a, c - b, -c}
	}
	s.ready = true
}

// denseStates writes the states' part of k_r = sum dense[r]_j u_j.
func (it *Integrator) denseStates(r int) {
	w := &it.tab.dense[r]
	k := it.k[r][:it.n]
	u0, u1, u2, u3, u4 := it.u[0][:len(k)], it.u[1][:len(k)], it.u[2][:len(k)], it.u[3][:len(k)], it.u[4][:len(k)]
	w0, w1, w2, w3, w4 := w[0], w[1], w[2], w[3], w[4]
	for i := range k {
		k[i] = (w0*u0[i] + w1*u1[i]) + (w2*u2[i] + w3*u3[i]) + w4*u4[i]
	}
	for j := 5; j < it.tab.stages; j++ {
		if w[j] == 0 {
			continue
		}
		wj, uj := w[j], it.u[j][:len(k)]
		for i := range k {
			k[i] += wj * uj[i]
		}
	}
}

// truncate cuts the segment at t, where its value is y.
func (s *Segment) truncate(t float64, y []float64) {
	if !(t > s.start) {
		s.collapse(t, y)
		return
	}
	if !s.ready {
		s.form()
	}
	r := (t - s.start) * s.invH
	r2 := r * r
	for i := range s.coef {
		c := &s.coef[i]
		c[0] *= r
		c[1] *= r2
		c[2] *= r2 * r
		c[3] *= r2 * r2
	}
	s.end, s.invH = t, 1/(t-s.start)
	s.y1 = y
}
