package ode

import "sort"

// fail builds the error of a step that could not be taken.
func (it *Integrator) fail(status Status, h float64, worst int) error {
	return &StepError{Status: status, T: it.t, H: h, Worst: worst, Steps: it.stats.Steps + it.stats.Rejected}
}

// diagnose names what stood in the way of the last attempt, of size h. Nothing of this
// is watched during a step, for the sake of speed.
func (it *Integrator) diagnose(h float64) (Status, float64, int) {
	if i := firstNonFinite(it.slope[0]); i >= 0 {
		return NonFinite, h, i
	}
	if e := firstNonFinite(it.jac); e >= 0 {
		return NonFinite, h, it.rowOf(e)
	}
	if i := firstNonFinite(it.dfdt); it.timeDependent && i >= 0 {
		return NonFinite, h, i
	}
	if state := it.lu.Factor(it.jac, 1/(h*it.tab.gamma), it.jacSize); state >= 0 {
		return Singular, h, state
	}
	for s := 1; s < it.tab.stages; s++ {
		if i := firstNonFinite(it.slope[s]); i >= 0 {
			return NonFinite, h, i
		}
	}
	if i := firstNonFinite(it.next); i >= 0 {
		return NonFinite, h, i
	}
	return StepTooSmall, h, it.worst()
}

// rowOf returns the row of entry e of the Jacobian.
func (it *Integrator) rowOf(e int) int {
	return sort.SearchInts(it.rowStart, e+1) - 1
}

// worst returns the state with the largest weighted error in the last attempt.
func (it *Integrator) worst() int {
	worst, at := -1.0, -1
	last := it.u[it.tab.stages-1]
	for i := range it.n {
		w := it.weight[i]
		if it.relTol != nil {
			w = 1 / (it.absTol[i] + it.relTol[i]*max(abs(it.y[i]), abs(it.next[i])))
		}
		if r := abs(last[i]) * w; r > worst {
			worst, at = r, i
		}
	}
	return at
}
