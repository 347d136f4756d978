package sim

import (
	"context"
	"errors"
	"fmt"

	"soakledger/sim/ode"
)

// Run steps to the end and returns the result. It stops early, with the
// context's error, when ctx is done; another Run then goes on. A run that
// leaves the model's range is a result with a status, not an error. Where the
// integration cannot go on, Run returns both: what was found up to there, and
// the error.
func (s *Simulation) Run(ctx context.Context) (*Result, error) {
	for n := 0; ; n++ {
		if n%256 == 0 && ctx.Err() != nil {
			return nil, fmt.Errorf("running the scenario: %w", ctx.Err())
		}
		if ended, _ := s.Step(); ended {
			return s.result()
		}
	}
}

// Step takes one step of the integrator and reports whether the run has
// ended. The error of a run that has failed is returned again by later calls.
func (s *Simulation) Step() (ended bool, err error) {
	if s.status != Running {
		return true, s.failure
	}
	if err := s.it.Step(min(s.phaseEnd, s.heldUntil)); err != nil {
		if cause := s.controlError(); cause != nil {
			err = cause
		}
		return true, s.fail(err)
	}
	s.view.read(s.it.Segment())
	guarded := s.guard()
	if len(s.faults) > 0 {
		s.await()
	}
	turned := len(s.controllers) > 0 && s.sample()
	if len(s.protectors) > 0 {
		switched, err := s.settleGuard()
		if err != nil {
			return true, s.fail(err)
		}
		turned = turned || switched || guarded
	}
	left := s.watch()
	s.watchMarks()
	s.collector.Add(s.view)
	if s.swings != nil {
		s.swings.Add(s.view)
	}
	if s.trace != nil {
		s.trace.add(s.view)
	}
	if turned && left == "" && s.it.Time() < s.end {
		s.turnAll(s.it.Time())
	}
	if s.switchedOn {
		s.switchedOn = false
		s.collector.Turn(s.it.Time())
	}
	broken := len(s.faults) > 0 && s.due(s.it.Time())
	switch t := s.it.Time(); {
	case left != "":
		s.finish(LeftRange, left)
	case t >= s.end:
		s.finish(Done, "")
	case t >= s.phaseEnd, broken: // what goes wrong leads to another level
		s.endPhase("")
		if broken {
			s.keepSoak() // what follows is another machine
			if err := s.breakDown(t); err != nil {
				s.beginPhase(t) // one that ends at once
				return true, s.fail(err)
			}
		}
		s.beginPhase(t)
		s.it.Jump()
	case t < s.heldUntil && !turned && s.drifted():
		s.setInputs(t)
		s.it.Kink()
	case t >= s.heldUntil, turned:
		s.setInputs(t)
		s.it.Jump() // what follows bends otherwise: a long step across would be a bad guess
	}
	return s.status != Running, nil
}

// finish closes the last phase and the trace.
func (s *Simulation) finish(status Status, reason string) {
	s.status, s.reason = status, reason
	s.endPhase(reason)
	if s.trace != nil {
		s.trace.finish(s.it.Time(), s.here())
	}
}

// fail ends the run with the integrator's reason, in the scenario's words.
func (s *Simulation) fail(err error) error {
	reason := err.Error()
	var step *ode.StepError
	if errors.As(err, &step) {
		where := ""
		if step.Worst >= 0 && step.Worst < len(s.Plan.Nodes) {
			where = " at " + s.Plan.Nodes[step.Worst].Path
		}
		reason = fmt.Sprintf("%s at %.6g s%s after %d steps; %s", step.Status, step.T, where, step.Steps, step.Status.Hint())
	}
	s.finish(Failed, reason)
	s.failure = fmt.Errorf("integrating: %s", reason)
	return s.failure
}
