package ode

import (
	"errors"
	"fmt"
	"math"
)

// Step takes exactly one accepted step, never beyond tEnd and, where it reaches it, landing on it exactly.
// The last two steps before tEnd are balanced, so that none is tiny. If tEnd is the present time, Step
// does nothing. A failure is a *StepError; the integrator then still holds the last accepted state,
// and its segment is a span of length zero.
func (it *Integrator) Step(tEnd float64) error {
	if !it.started {
		return errors.New("ode: Step before Start")
	}
	if !(tEnd >= it.t) {
		return fmt.Errorf("ode: Step: end time %g lies before the present time %g", tEnd, it.t)
	}
	if tEnd == it.t {
		return nil
	}
	it.seg.collapse(it.t, it.y)
	it.next = it.free()
	if !it.fresh {
		it.refresh()
	}
	if it.control.accepted == 0 {
		it.h = it.restartedSize(tEnd - it.t)
	}
	return it.tryUntilAccepted(tEnd)
}

// tryUntilAccepted attempts steps, ever shorter ones, until one is good.
func (it *Integrator) tryUntilAccepted(tEnd float64) error {
	proposed := it.h
	for rejected := 0; ; rejected++ {
		if float64(it.stats.Steps+it.stats.Rejected) >= it.allowance() {
			return it.fail(StepLimit, it.h, -1)
		}
		h, last := it.size(tEnd)
		tiny := h <= it.smallest()
		if tiny && !last {
			return it.fail(it.diagnose(h))
		}
		err, shrink := it.try(h)
		if shrink == 0 {
			it.commit(h, err, last, tEnd)
			if h < proposed && rejected == 0 {
				it.keepProposal(proposed)
			}
			return nil
		}
		it.stats.Rejected++
		if shrink < 0 || tiny || it.set.Fixed > 0 {
			return it.fail(it.diagnose(h))
		}
		if rejected > 0 {
			shrink = max(shrink, 2)
		}
		it.h = h / shrink
	}
}

// keepProposal restores a proposed size after an accepted step that was cut for the sake of an end time,
// not of the error.
func (it *Integrator) keepProposal(h float64) {
	it.h = max(it.h, h)
	if it.control.accepted == 1 {
		it.restartSize = max(it.restartSize, h)
	}
}

// allowance returns the number of attempts allowed so far.
func (it *Integrator) allowance() float64 {
	return float64(it.set.MaxSteps) + it.set.MaxStepRate*(it.t-it.t0)
}

// size returns the size of the next attempt and whether it ends at tEnd.
func (it *Integrator) size(tEnd float64) (h float64, last bool) {
	remaining := tEnd - it.t
	if it.set.Fixed > 0 {
		return fitFixed(it.set.Fixed, remaining)
	}
	h = it.h
	if it.set.MaxStep > 0 {
		h = min(h, it.set.MaxStep)
	}
	return fit(h, remaining)
}

// smallest returns the size below which a step hardly changes t any more.
func (it *Integrator) smallest() float64 {
	return 0x1p-49 * max(math.Abs(it.t), 0x1p-900)
}

// refresh evaluates f and its derivatives at the present point.
func (it *Integrator) refresh() {
	it.sys.F(it.t, it.y, it.slope[0])
	it.sys.Jacobian(it.t, it.y, it.jac)
	it.timeDependent = it.sys.TimeDerivative(it.t, it.y, it.dfdt)
	it.jacSize = sumAbs(it.jac[:it.quadStart[0]])
	copy(it.arg[it.n:], it.y[it.n:])
	it.stats.FEvals++
	it.stats.JEvals++
	it.fresh = true
}

// try attempts one step and returns its error. shrink is 0 if the step is good, else by what to divide its
// size, or -1 if no shorter step can be better.
func (it *Integrator) try(h float64) (err, shrink float64) {
	const blind = 4 // where the error says nothing about a better size
	it.stats.Factorisations++
	if it.lu.Factor(it.jac, 1/(h*it.tab.gamma), it.jacSize) >= 0 {
		return 0, it.unlessHopeless(blind)
	}
	err = it.attempt(h)
	if it.set.Fixed > 0 && finite(err) {
		err = 1
	}
	switch {
	case err <= 1:
		if it.quadratures(h) {
			return err, 0
		}
	case finite(err):
		return err, max(it.control.divisor(err), 1.1)
	}
	return err, it.unlessHopeless(blind)
}

// unlessHopeless returns shrink, or -1 if what was evaluated at the present point is itself not finite.
func (it *Integrator) unlessHopeless(shrink float64) float64 {
	if firstNonFinite(it.slope[0]) >= 0 || firstNonFinite(it.jac) >= 0 ||
		it.timeDependent && firstNonFinite(it.dfdt) >= 0 {
		return -1
	}
	return shrink
}

// commit makes the attempt of size h and error err the present state.
func (it *Integrator) commit(h, err float64, last bool, tEnd float64) {
	start := it.t
	it.t += h
	if last {
		it.t = tEnd
	}
	s := &it.seg
	s.start, s.end, s.invH, s.h = start, it.t, 1/(it.t-start), h
	s.y0, s.y1 = it.y, it.next
	s.ready, s.readyQuads = false, false
	it.y = it.next
	it.stats.Steps++
	it.fresh = false
	if it.control.accepted == 0 {
		it.restartSize, it.restartBend = h/it.control.divisor(err), it.bend
	}
	it.h = it.control.accept(h, err)
}

// restartedSize returns the size of a first step after Start or a restart: that which suited the last one, for
// as much error. As the error is about in proportion to what the restart has changed, J f + f_t tells how much
// larger or smaller the step may be.
func (it *Integrator) restartedSize(remaining float64) float64 {
	const alike = 1e4 // a ratio beyond which the last restart says nothing about this one
	slope, bend := it.rates()
	it.bend = bend
	ratio := it.restartBend / bend
	switch {
	case it.restartSize == 0:
		return it.firstSize(slope, bend, remaining)
	case !(it.restartBend > 0 && bend > 0): // the size was set, or this or the last restart was at rest
		return it.restartSize
	case ratio > alike || ratio < 1/alike:
		return it.firstSize(slope, bend, remaining)
	}
	return it.restartSize * it.control.root(ratio)
}

// rates returns the weighted maximum norms of the slope f and of its rate of change J f + f_t.
func (it *Integrator) rates() (slope, bend float64) {
	e := 0
	for i := range it.n {
		w := it.weight[i]
		if it.relTol != nil {
			w = 1 / (it.absTol[i] + it.relTol[i]*abs(it.y[i]))
		}
		second := 0.0
		for ; e < it.rowStart[i+1]; e++ {
			second += it.jac[e] * it.slope[0][it.col[e]]
		}
		if it.timeDependent {
			second += it.dfdt[i]
		}
		slope = max(slope, w*abs(it.slope[0][i]))
		bend = max(bend, w*abs(second))
	}
	return slope, bend
}

// firstSize estimates the size of a first step from the slope and its rate of change, as rates returns them: if
// both go on in that proportion, the error of the step is about the tolerance.
func (it *Integrator) firstSize(d1, d2, remaining float64) float64 {
	h := math.Inf(1)
	switch {
	case d1 > 0 && d2 > 0:
		p := float64(it.tab.errorOrder)
		h = 0.5 * math.Pow(d1*math.Pow(d2/d1, p), -1/(p+1))
		// From a slope of next to nothing the proportion says nothing. Until the bend has made
		// something of it, any step is good.
		h = max(h, 0.5e-3/math.Sqrt(d2))
	case d2 > 0:
		h = 0.5 / math.Sqrt(d2)
	case d1 > 0:
		h = 1000 / d1
	}
	if finite(h) && h > 0 {
		return h
	}
	if finite(remaining) {
		return remaining
	}
	return max(1, abs(it.t))
}
