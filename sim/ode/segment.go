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
	coef       [][5]float64 // of every component, as Poly returns them
	ready      bool         // coef is formed for the states
	readyQuads bool         // and for the quadratures, which are asked for less often
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
	c := s.Coefficients(i)
	th := (t - s.start) * s.invH
	return c[0] + th*(c[1]+th*(c[2]+th*(c[3]+th*c[4])))
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
	s.form()
	th := (t - s.start) * s.invH
	coef := s.coef[:len(dst)]
	for i := range dst {
		c := &coef[i]
		dst[i] = c[0] + th*(c[1]+th*(c[2]+th*(c[3]+th*c[4])))
	}
}

// Poly returns the coefficients p of component i: its value is sum p[k] theta^k with
// theta = (t-Start)/(End-Start), constant for a span of length zero.
func (s *Segment) Poly(i int) [5]float64 { return *s.Coefficients(i) }

// Coefficients returns what Poly returns, as a view that changes as the segment does and must not be changed.
func (s *Segment) Coefficients(i int) *[5]float64 {
	if i < s.it.n {
		s.formStates()
	} else {
		s.formQuads()
	}
	return &s.coef[i]
}

// Bounds writes to low and high, two slices of one length, an interval that contains the values over the span of each
// of as many components, from the first on. It is cheap: the span of the values at both ends, widened by a
// bound of how far the interpolant bends away from the straight line between them.
func (s *Segment) Bounds(low, high []float64) {
	if s.formStates(); len(low) > s.it.n {
		s.formQuads()
	}
	high = high[:len(low)]
	y1, coef := s.y1[:len(low)], s.coef[:len(low)]
	for i := range low {
		// The polynomial is from + theta (to-from) + theta (1-theta) (a + theta (b + theta c)).
		p := &coef[i]
		from, to := p[0], y1[i]
		a := p[1] - (to - from)
		off := 0.25 * (abs(a) + abs(p[2]+a) + abs(p[4]))
		low[i], high[i] = min(from, to)-off, max(from, to)+off
	}
}

// collapse makes s the zero-length segment at t with value y.
func (s *Segment) collapse(t float64, y []float64) {
	s.start, s.end, s.invH = t, t, 0
	s.y0, s.y1 = y, y
	s.ready, s.readyQuads = false, false
}

// form computes all coefficients from the stages of the step.
func (s *Segment) form() {
	s.formStates()
	s.formQuads()
}

func (s *Segment) formStates() {
	if s.ready {
		return
	}
	for r := range s.it.tab.denseRows {
		if s.invH != 0 {
			s.it.denseStates(r)
		}
	}
	s.fill(0, s.it.n)
	s.ready = true
}

func (s *Segment) formQuads() {
	if s.readyQuads {
		return
	}
	it := s.it
	for r := range it.tab.denseRows {
		if s.invH != 0 {
			it.combineSlopes(&it.denseWeights[r], s.h, it.k[r][it.n:])
		}
	}
	s.fill(it.n, len(s.coef))
	s.readyQuads = true
}

// fill writes the coefficients of the components from first up to last.
func (s *Segment) fill(first, last int) {
	coef := s.coef[first:last]
	y0, y1 := s.y0[first:last], s.y1[first:last]
	if s.invH == 0 {
		for i, y := range y1 {
			coef[i] = [5]float64{y}
		}
		return
	}
	k1, k2, k3 := s.it.k[0][first:last], s.it.k[1][first:last], s.it.k[2][first:last] // k3 stays zero if there are two rows
	for i := range coef {
		from, a, b, c := y0[i], k1[i], k2[i], k3[i]
		p := &coef[i]
		p[0], p[1], p[2], p[3], p[4] = from, y1[i]-from+a, b-a, c-b, -c
	}
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
	s.form()
	r := (t - s.start) * s.invH
	r2 := r * r
	for i := range s.coef {
		c := &s.coef[i]
		c[1] *= r
		c[2] *= r2
		c[3] *= r2 * r
		c[4] *= r2 * r2
	}
	s.end, s.invH = t, 1/(t-s.start)
	s.y1 = y
}
