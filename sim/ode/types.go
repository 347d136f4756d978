package ode

import (
	"errors"
	"fmt"
	"math"
)

// Method is a one-step method of this package: Rodas4 or Rodas5P.
type Method interface {
	// Name is the method's usual name in the literature.
	Name() string
	// Order is the classical order of convergence of the states and quadratures.
	Order() int
	tableau() tableau
}

// Settings controls accuracy, step sizes and limits of an integration.
// The zero value of every field but AbsTol is a documented default.
type Settings struct {
	// AbsTol is the absolute tolerance of each state, in the state's own unit, > 0:
	// one value a state, or a single value for all. It may be empty only in a run with Fixed steps.
	AbsTol []float64
	// RelTol is the relative tolerance of each state, >= 0: one value a state,
	// a single value for all, or nil for 0 (purely absolute control).
	RelTol []float64

	// FirstStep is the size of the first step after Start, in units of t; 0 lets the integrator choose it.
	FirstStep float64
	// MaxStep bounds every step, in units of t; 0 is unlimited.
	MaxStep float64

	// MaxSteps is the base allowance of attempted steps (accepted and rejected) since Start; 0 is 1,000,000.
	MaxSteps int
	// MaxStepRate is added to the allowance for every unit of t passed since Start, in steps per unit of t; 0 adds nothing.
	// Together they stop a run that chatters without end, however often it is restarted.
	MaxStepRate float64

	// Fixed, if > 0, takes steps of exactly this size without error control (the last one before
	// an end time is cut to land on it). It serves tests of the order of convergence.
	Fixed float64

	// Order is an elimination order of the states for the sparse factorisation, a permutation of 0..n-1
	// in which Order[0] is eliminated first; nil finds a minimum-degree order.
	Order []int
}

// Stats counts the work done since the last Start.
type Stats struct {
	Steps          int // accepted steps
	Rejected       int // attempted steps that were not accepted, for whatever reason
	FEvals         int // calls of System.F
	JEvals         int // calls of System.Jacobian
	Factorisations int // sparse factorisations
	Solves         int // solves with a factorised matrix
	Restarts       int // calls of Jump, SetState and TruncateTo
	Truncations    int // calls of TruncateTo
}

const defaultMaxSteps = 1_000_000

// check reports the first setting that is out of its range for n states.
func (s *Settings) check(n int) error {
	if len(s.AbsTol) != n && len(s.AbsTol) != 1 && (len(s.AbsTol) != 0 || s.Fixed <= 0) {
		return fmt.Errorf("ode: AbsTol has %d values, need 1 or %d (one a state)", len(s.AbsTol), n)
	}
	for i, v := range s.AbsTol {
		if !(v > 0) || math.IsInf(v, 0) {
			return fmt.Errorf("ode: AbsTol[%d] = %g, must be positive and finite", i, v)
		}
	}
	if k := len(s.RelTol); k != 0 && k != 1 && k != n {
		return fmt.Errorf("ode: RelTol has %d values, need none, 1 or %d (one a state)", k, n)
	}
	for i, v := range s.RelTol {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("ode: RelTol[%d] = %g, must be finite and not negative", i, v)
		}
	}
	for _, f := range []struct {
		name  string
		value float64
	}{{"FirstStep", s.FirstStep}, {"MaxStep", s.MaxStep}, {"MaxStepRate", s.MaxStepRate}, {"Fixed", s.Fixed}} {
		if !(f.value >= 0) || math.IsInf(f.value, 0) {
			return fmt.Errorf("ode: %s = %g, must be finite and not negative", f.name, f.value)
		}
	}
	if s.MaxSteps < 0 {
		return fmt.Errorf("ode: MaxSteps = %d, must not be negative", s.MaxSteps)
	}
	return checkOrder(s.Order, n)
}

// checkOrder reports whether order is nil or a permutation of 0..n-1.
func checkOrder(order []int, n int) error {
	if order == nil {
		return nil
	}
	seen := make([]bool, n)
	for _, k := range order {
		if k < 0 || k >= n || seen[k] {
			return errors.New("ode: Order is not a permutation of the states")
		}
		seen[k] = true
	}
	if len(order) != n {
		return fmt.Errorf("ode: Order has %d entries for %d states", len(order), n)
	}
	return nil
}

// spread returns n values from v, which holds n values, one for all, or none (then fill).
func spread(v []float64, n int, fill float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		switch len(v) {
		case 0:
			out[i] = fill
		case 1:
			out[i] = v[0]
		default:
			out[i] = v[i]
		}
	}
	return out
}
