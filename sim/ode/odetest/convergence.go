package odetest

import (
	"fmt"
	"math"

	"soakledger/sim/ode"
)

// Errors are the errors of one run with fixed steps, each the maximum over its components.
type Errors struct {
	Steps  int
	State  float64 // of the states, at the end
	Quad   float64 // of the quadratures, at the end
	Inside float64 // of all components, of the interpolants at interior points of the steps
}

// Convergence integrates p, which must have Exact, with each number of equal steps and returns the errors.
func Convergence(p Problem, m ode.Method, steps ...int) ([]Errors, error) {
	var out []Errors
	for _, k := range steps {
		e, err := fixedRun(p, m, k, p.T1)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// Local integrates a single step of each given size and returns the errors. The order of an
// interpolant is one less than the power with which Inside goes to zero.
func Local(p Problem, m ode.Method, sizes ...float64) ([]Errors, error) {
	var out []Errors
	for _, h := range sizes {
		e, err := fixedRun(p, m, 1, p.T0+h)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// Order returns the power of the step size with which an error fell from coarse to fine, whose step sizes
// have the given ratio.
func Order(coarse, fine, ratio float64) float64 {
	return math.Log(coarse/fine) / math.Log(ratio)
}

func fixedRun(p Problem, m ode.Method, steps int, end float64) (Errors, error) {
	it, err := ode.New(p.System, m, ode.Settings{Fixed: (end - p.T0) / float64(steps)})
	if err != nil {
		return Errors{}, err
	}
	if err := it.Start(p.T0, p.Y0); err != nil {
		return Errors{}, err
	}
	n, _ := p.System.Dim()
	exact := make([]float64, len(p.Y0))
	e := Errors{Steps: steps}
	for it.Time() < end {
		if err := it.Step(end); err != nil {
			return Errors{}, fmt.Errorf("odetest: %s: %w", p.Name, err)
		}
		e.Inside = math.Max(e.Inside, insideError(p, it.Segment(), exact))
	}
	if got := it.Stats().Steps; got != steps {
		return Errors{}, fmt.Errorf("odetest: %s: took %d steps instead of %d", p.Name, got, steps)
	}
	p.Exact(end, exact)
	for i, v := range it.State() {
		d := math.Abs(v - exact[i])
		if i < n {
			e.State = math.Max(e.State, d)
		} else {
			e.Quad = math.Max(e.Quad, d)
		}
	}
	return e, nil
}

// insideError returns the largest error of the interpolant at some interior points.
func insideError(p Problem, seg *ode.Segment, exact []float64) float64 {
	worst := 0.0
	for _, theta := range []float64{0.15, 0.35, 0.5, 0.7, 0.9} {
		t := seg.Start() + theta*(seg.End()-seg.Start())
		p.Exact(t, exact)
		for i, v := range exact {
			worst = math.Max(worst, math.Abs(seg.At(i, t)-v))
		}
	}
	return worst
}
