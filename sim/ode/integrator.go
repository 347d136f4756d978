package ode

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"soakledger/sim/sparse"
)

// Integrator advances one System step by step. All memory is allocated by New; no other method allocates
// (but for the error of a failure). An Integrator must not be used by two goroutines at once;
// different integrators are independent. What it computes is a pure function of its inputs: the same build on the
// same architecture gives the same bytes. Between architectures the last bits differ, because some compile
// a*b+c to one rounding.
type Integrator struct {
	sys  System
	n, m int
	set  Settings
	tab  tableau
	lu   *sparse.LU

	absTol, relTol []float64 // relTol is nil if all zero
	weight         []float64 // 1/absTol
	quadWeights    row       // of the quadrature slopes, for the step
	denseWeights   [3]row    // and for the interpolant
	rowStart, col  []int     // the pattern
	quadStart      []int     // row starts of G = dg/dy in jac
	quadCol        []int     // columns of G

	t, t0   float64
	started bool
	y, next []float64    // current and attempted values, two of store
	store   [3][]float64 // three vectors: the state, and both ends of the segment
	stats   Stats

	fresh         bool // slope[0], jac and dfdt belong to (t, y)
	timeDependent bool // df/dt is not zero
	jac, dfdt     []float64
	jacSize       float64 // sum of the magnitudes of the state rows of jac

	u          [maxStages][]float64 // stages, n each
	slope      [maxStages][]float64 // f and g at the stages, n+m each
	arg, extra []float64
	sumU       []float64
	k          [3][]float64

	control     controller
	h           float64 // proposed size of the next step; 0: not known
	restartSize float64 // that would have suited the first step after the last restart; 0: not known
	restartBend float64 // norm of J f + f_t there; 0: not known
	bend        float64 // and of the restart in hand
	seg         Segment
}

// New checks its arguments and allocates everything an integration of sys needs. A nil method means Rodas4.
// Settings are copied.
func New(sys System, m Method, s Settings) (*Integrator, error) {
	if sys == nil {
		return nil, errors.New("ode: System is nil")
	}
	if m == nil {
		m = Rodas4{}
	}
	n, q := sys.Dim()
	if n < 1 || q < 0 {
		return nil, fmt.Errorf("ode: Dim returned %d states and %d quadratures, need at least one state", n, q)
	}
	p := sys.Pattern().Clone()
	if err := p.Check(n+q, n); err != nil {
		return nil, fmt.Errorf("ode: the System's pattern: %w", err)
	}
	if err := s.check(n); err != nil {
		return nil, err
	}
	it := &Integrator{n: n, m: q, tab: m.tableau()}
	it.control.exponent = it.tab.errorOrder + 1
	it.lu = sparse.New(n, p, s.Order)
	it.allocate(p)
	it.prepare(sys, s)
	return it, nil
}

// Renew is New in the memory of an integrator that is no longer wanted, which may be nil. Where sys has another
// size or pattern, or the method or the order of elimination is another, it makes a new one.
func Renew(old *Integrator, sys System, m Method, s Settings) (*Integrator, error) {
	if m == nil {
		m = Rodas4{}
	}
	if old == nil || sys == nil || old.tab != m.tableau() || !slices.Equal(old.set.Order, s.Order) {
		return New(sys, m, s)
	}
	n, q := sys.Dim()
	if n != old.n || q != old.m || !sys.Pattern().Equal(Pattern{RowStart: old.rowStart, Col: old.col}) {
		return New(sys, m, s)
	}
	if err := s.check(n); err != nil {
		return nil, err
	}
	old.prepare(sys, s)
	old.started = false
	return old, nil
}

// prepare takes over the system and the settings.
func (it *Integrator) prepare(sys System, s Settings) {
	it.sys, it.set = sys, s
	if s.MaxSteps == 0 {
		it.set.MaxSteps = defaultMaxSteps
	}
	it.setTolerances()
}

// setTolerances expands the tolerances to one a state.
func (it *Integrator) setTolerances() {
	it.relTol = nil
	it.absTol = spread(it.set.AbsTol, it.n, 1)
	it.weight = make([]float64, it.n)
	for i, a := range it.absTol {
		it.weight[i] = 1 / a
	}
	for _, r := range it.set.RelTol {
		if r > 0 {
			it.relTol = spread(it.set.RelTol, it.n, 0)
		}
	}
	it.quadWeights = it.tab.slopeWeights(it.tab.resultWeights())
	for r := range it.denseWeights {
		it.denseWeights[r] = it.tab.slopeWeights(it.tab.dense[r])
	}
}

// allocate makes all vectors, the hot ones from one block.
func (it *Integrator) allocate(p Pattern) {
	n, all := it.n, it.n+it.m
	block := make([]float64, maxStages*(n+all)+8*all+3*n)
	take := func(k int) []float64 {
		v := block[:k:k]
		block = block[k:]
		return v
	}
	for s := range it.tab.stages {
		it.u[s] = take(n)
		it.slope[s] = take(all)
	}
	it.arg, it.extra, it.sumU, it.dfdt = take(all), take(n), take(n), take(all)
	for i := range it.store {
		it.store[i] = take(all)
		it.k[i] = take(all)
	}
	it.jac = make([]float64, len(p.Col))
	it.rowStart, it.col = p.RowStart, p.Col
	it.quadStart = p.RowStart[n:]
	it.quadCol = p.Col[p.RowStart[n]:]
	it.seg.it = it
	it.seg.coef = make([][5]float64, all)
	it.y = it.store[0]
	it.seg.collapse(0, it.y)
}

// Start begins an integration at time t with y, the n states and m quadratures, which is copied.
// It forgets everything of an integration before. Both must be finite.
func (it *Integrator) Start(t float64, y []float64) error {
	if len(y) != it.n+it.m {
		return fmt.Errorf("ode: Start: y has length %d, need %d (states + quadratures)", len(y), it.n+it.m)
	}
	if !finite(t) {
		return fmt.Errorf("ode: Start: t = %g is not finite", t)
	}
	if i := firstNonFinite(y); i >= 0 {
		return fmt.Errorf("ode: Start: y[%d] = %g is not finite", i, y[i])
	}
	it.t, it.t0, it.started = t, t, true
	it.y = it.store[0]
	copy(it.y, y)
	it.stats = Stats{}
	it.fresh = false
	it.control.forget()
	it.h, it.restartSize, it.restartBend = it.set.FirstStep, it.set.FirstStep, 0
	it.seg.collapse(t, it.y)
	return nil
}

// Jump says that f has changed discontinuously, because the caller has changed its inputs: what was
// remembered of f is dropped and the next step starts at full order, with a size learnt from the
// first step after the last restart.
func (it *Integrator) Jump() {
	it.stats.Restarts++
	it.fresh = false
	if it.control.accepted == 0 {
		return // nothing was learnt since the last restart
	}
	it.control.forget()
	it.h = it.restartSize
}

// Kink says that f has changed by next to nothing: what was remembered of it is
// dropped, and the size of steps goes on.
func (it *Integrator) Kink() { it.fresh = false }

// SetState replaces all n+m values at the present time, then acts as Jump. y is copied.
func (it *Integrator) SetState(y []float64) {
	if len(y) != it.n+it.m {
		panic("ode: SetState: wrong length of y")
	}
	it.y = it.free()
	copy(it.y, y)
	it.Jump()
}

// Replace goes on at the present time with another System of the same size and pattern, from the n+m values y,
// which are copied; then it acts as Jump.
func (it *Integrator) Replace(sys System, y []float64) error {
	if n, m := sys.Dim(); n != it.n || m != it.m {
		return fmt.Errorf("ode: Replace: the System has %d states and %d quadratures, not %d and %d", n, m, it.n, it.m)
	}
	if !sys.Pattern().Equal(Pattern{RowStart: it.rowStart, Col: it.col}) {
		return errors.New("ode: Replace: the System's pattern is another")
	}
	it.sys = sys
	it.SetState(y)
	return nil
}

// TruncateTo undoes the part of the last step after t: time and state become t and the interpolant there, and the
// segment ends there. Then it acts as Jump. A t outside the last step is moved to its nearer end.
func (it *Integrator) TruncateTo(t float64) {
	it.stats.Truncations++
	s := &it.seg
	if t < s.end {
		t = max(t, s.start)
		y := it.free()
		s.Into(t, y)
		s.truncate(t, y)
		it.t, it.y = t, y
	}
	it.Jump()
}

// free returns a vector that holds neither the state nor an end of the segment.
func (it *Integrator) free() []float64 {
	for _, v := range it.store {
		if &v[0] != &it.y[0] && &v[0] != &it.seg.y0[0] && &v[0] != &it.seg.y1[0] {
			return v
		}
	}
	// State set twice at the same time: the state itself is no end of the segment and may be overwritten.
	return it.y
}

// Time returns the time reached.
func (it *Integrator) Time() float64 { return it.t }

// State returns the n states and m quadratures at Time, a view that is valid until the next call of
// another method and must not be changed.
func (it *Integrator) State() []float64 { return it.y }

// Segment returns the interpolant of the last step, a view that is valid until the next Step. Before the first
// step, and after a failed one, it is a span of length zero.
func (it *Integrator) Segment() *Segment { return &it.seg }

// Stats returns the work done since Start.
func (it *Integrator) Stats() Stats { return it.stats }

func finite(x float64) bool { return x-x == 0 }

// firstNonFinite returns the index of the first NaN or infinity, or -1.
func firstNonFinite(v []float64) int {
	for i, x := range v {
		if !finite(x) {
			return i
		}
	}
	return -1
}

// sumAbs returns the sum of magnitudes, which is not finite if an element is not. It adds up in four sums,
// so that additions overlap.
func sumAbs(v []float64) float64 {
	var a, b, c, d float64
	for len(v) >= 4 {
		a += math.Abs(v[0])
		b += math.Abs(v[1])
		c += math.Abs(v[2])
		d += math.Abs(v[3])
		v = v[4:]
	}
	for _, x := range v {
		a += math.Abs(x)
	}
	return (a + b) + (c + d)
}
