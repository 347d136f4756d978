package ode

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Problem is an initial value problem on [T0, T1].
type Problem struct {
	System System
	T0, T1 float64   // T1 >= T0, both finite
	Y0     []float64 // the n states and m quadratures at T0

	// Jumps are times at which f is discontinuous in t. No step crosses one. Those outside (T0, T1) are ignored.
	Jumps []float64
	// AtJump, if not nil, is called at every jump, after the step that ends there has been observed and before f is
	// evaluated again. It may change inputs of System, and the state y in place.
	AtJump func(t float64, y []float64)

	Events []Event
	// Observe, if not nil, is called with the interpolant of every accepted step, in order of time. After a
	// terminal event the segment ends at the event. The segment is valid during the call only.
	Observe func(seg *Segment)
}

// Crossing is an event that took place.
type Crossing struct {
	Event int     // index in Problem.Events
	T     float64 // time, located to about 1e-12 of the step, after the crossing
	Y     []float64
}

// Result is the outcome of Solve.
type Result struct {
	Status    Status
	T         float64   // time reached
	Y         []float64 // the n states and m quadratures there
	Crossings []Crossing
	Stats     Stats
}

// Solve integrates p from T0 to T1 or to the first terminal event. A nil method means Rodas4.
// After a failed step it returns the result so far together with the *StepError.
func Solve(p Problem, m Method, s Settings) (*Result, error) {
	if !finite(p.T0) || !finite(p.T1) || p.T1 < p.T0 {
		return nil, fmt.Errorf("ode: Solve: span from %g to %g, need finite times in ascending order", p.T0, p.T1)
	}
	it, err := New(p.System, m, s)
	if err != nil {
		return nil, err
	}
	if err := it.Start(p.T0, p.Y0); err != nil {
		return nil, err
	}
	stops, err := p.stops()
	if err != nil {
		return nil, err
	}
	run := solveRun{problem: p, it: it, y: make([]float64, len(p.Y0)), result: &Result{Status: Running}}
	err = run.through(stops)
	return run.finish(err)
}

// stops returns the jump times in (T0, T1), ascending, followed by T1.
func (p *Problem) stops() ([]float64, error) {
	var stops []float64
	for i, t := range p.Jumps {
		if math.IsNaN(t) {
			return nil, fmt.Errorf("ode: Solve: Jumps[%d] is NaN", i)
		}
		if t > p.T0 && t < p.T1 {
			stops = append(stops, t)
		}
	}
	slices.Sort(stops)
	return append(slices.Compact(stops), p.T1), nil
}

// solveRun is the state of one call of Solve.
type solveRun struct {
	problem Problem
	it      *Integrator
	y       []float64 // scratch for events and jumps
	result  *Result
}

// through steps from stop to stop.
func (r *solveRun) through(stops []float64) error {
	for i, stop := range stops {
		for r.it.Time() < stop {
			if err := r.it.Step(stop); err != nil {
				return err
			}
			if r.watch() {
				r.result.Status = EventStop
				return nil
			}
		}
		if i < len(stops)-1 {
			r.jump(stop)
		}
	}
	r.result.Status = Finished
	return nil
}

// jump lets the caller change inputs and state at a jump.
func (r *solveRun) jump(t float64) {
	if r.problem.AtJump == nil {
		r.it.Jump()
		return
	}
	copy(r.y, r.it.State())
	r.problem.AtJump(t, r.y)
	r.it.SetState(r.y)
}

// watch records the crossings of the last step in order of time, passes the step to Observe, and
// reports whether a terminal event has cut it.
func (r *solveRun) watch() (stopped bool) {
	seg := r.it.Segment()
	first := len(r.result.Crossings)
	for k := range r.problem.Events {
		r.collect(seg, k)
	}
	found := r.result.Crossings[first:]
	slices.SortStableFunc(found, func(a, b Crossing) int {
		switch {
		case a.T < b.T:
			return -1
		case a.T > b.T:
			return 1
		}
		return 0
	})
	for i, c := range found {
		if r.problem.Events[c.Event].Terminal {
			r.it.TruncateTo(c.T)
			r.result.Crossings = r.result.Crossings[:first+i+1]
			stopped = true
			break
		}
	}
	if r.problem.Observe != nil {
		r.problem.Observe(seg)
	}
	return stopped
}

// collect appends every crossing of event k within the segment, in order of time.
func (r *solveRun) collect(seg *Segment, k int) {
	e := &r.problem.Events[k]
	g := func(t float64) float64 {
		seg.Into(t, r.y)
		return e.G(t, r.y)
	}
	from := seg.Start()
	for {
		t, found := FirstCrossing(seg, from, g, e.Direction)
		if !found {
			return
		}
		y := make([]float64, len(r.y))
		seg.Into(t, y)
		r.result.Crossings = append(r.result.Crossings, Crossing{Event: k, T: t, Y: y})
		if e.Terminal {
			return
		}
		from = t
	}
}

// finish fills in the result; err is that of the last step.
func (r *solveRun) finish(err error) (*Result, error) {
	res := r.result
	res.T = r.it.Time()
	res.Y = slices.Clone(r.it.State())
	res.Stats = r.it.Stats()
	var step *StepError
	if errors.As(err, &step) {
		res.Status = step.Status
	}
	return res, err
}
