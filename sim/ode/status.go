package ode

import (
	"fmt"
	"strings"
)

// Status says how an integration ended.
type Status int

// The ways an integration can end.
const (
	// Running means that no end was reached yet.
	Running Status = iota
	// Finished means that the end time was reached.
	Finished
	// EventStop means that a terminal event stopped the run; the result holds the state at the event.
	EventStop
	// StepLimit means that the allowed number of attempted steps was used up.
	StepLimit
	// StepTooSmall means that the error stayed above the tolerance down to the smallest step that still changes t.
	StepTooSmall
	// NonFinite means that f, g or a derivative is NaN or infinite and shorter steps did not avoid it.
	NonFinite
	// Singular means that the matrix I/(gamma h) - J could not be factorised even with tiny steps.
	Singular
)

var statusText = [...]struct{ name, try string }{
	Running:      {"running", ""},
	Finished:     {"end time reached", ""},
	EventStop:    {"stopped by an event", ""},
	StepLimit:    {"step limit reached", "look for inputs that switch back and forth (add hysteresis or declare the jumps); otherwise loosen the tolerance or raise MaxSteps or MaxStepRate"},
	StepTooSmall: {"step size too small", "look for a discontinuity that is not declared as a jump, a wrong Jacobian entry, or a tolerance below the rounding error of the state"},
	NonFinite:    {"right-hand side not finite", "check the model where the state has just moved to: division by zero, logarithm or root of a negative number, runaway growth"},
	Singular:     {"singular matrix", "check the Jacobian for wrong or enormous entries in the row named"},
}

// String returns the status in words.
func (s Status) String() string {
	if s < 0 || int(s) >= len(statusText) {
		return fmt.Sprintf("unknown status %d", int(s))
	}
	return statusText[s].name
}

// Hint says what to try after a failure; it is empty for an end that is none.
func (s Status) Hint() string {
	if s < 0 || int(s) >= len(statusText) {
		return ""
	}
	return statusText[s].try
}

// Failed reports whether the integration stopped before it was done.
func (s Status) Failed() bool { return s >= StepLimit }

// StepError is the error of a step that could not be taken. The integrator stays at time T
// with the last accepted state.
type StepError struct {
	Status Status
	T      float64 // time reached
	H      float64 // size of the last attempt, in units of t
	Worst  int     // component (state, or states + quadrature) that stood in the way, -1 if none can be named
	Steps  int     // steps attempted since Start
}

// Error names the status, place, size and component, and says what to try.
func (e *StepError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "ode: %v at t = %g (step %.3g, %d attempted", e.Status, e.T, e.H, e.Steps)
	if e.Worst >= 0 {
		fmt.Fprintf(&b, ", component %d", e.Worst)
	}
	b.WriteString(")")
	if hint := e.Status.Hint(); hint != "" {
		b.WriteString(": ")
		b.WriteString(hint)
	}
	return b.String()
}
