package sim

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/control"
	"soakledger/sim/network"
	"soakledger/sim/record"
	"soakledger/sim/work"
)

// fault is one in a run.
type fault struct {
	assemble.Fault
	happened bool
	met      float64 // s, when its condition is met in the last step; +Inf if it is not
}

// newFaults prepares what goes wrong.
func (s *Simulation) newFaults() {
	for _, f := range s.Plan.Faults {
		s.faults = append(s.faults, &fault{Fault: f, met: math.Inf(1)})
	}
}

// warmsRoom reports whether a fault warms the room.
func warmsRoom(p *assemble.Plan) bool {
	return slices.ContainsFunc(p.Faults, func(f assemble.Fault) bool {
		return slices.ContainsFunc(f.Effects, func(e control.Effect) bool { return e.Kind == control.AmbientStep })
	})
}

// faultAfter returns the time of the first fault after t that waits for a time, +Inf
// if there is none.
func (s *Simulation) faultAfter(t float64) float64 {
	first := math.Inf(1)
	for _, f := range s.faults {
		if f.When == nil && !f.happened && f.At > t {
			first = math.Min(first, f.At)
		}
	}
	return first
}

// await finds when in the step at hand the conditions of faults are met, and cuts it at
// the first. Something else may then cut it earlier still.
func (s *Simulation) await() {
	start, end := s.view.Start(), s.view.End()
	cut := math.Inf(1)
	for _, f := range s.faults {
		f.met = math.Inf(1)
		if !f.happened && f.When != nil {
			f.met = start + s.metAt(f)*(end-start)
			cut = math.Min(cut, f.met)
		}
	}
	if cut < end {
		s.it.TruncateTo(cut)
		s.view.read(s.it.Segment())
	}
}

// metAt returns where in the step at hand (theta) the hottest node of a fault's
// condition first meets its level, +Inf where it does not.
func (s *Simulation) metAt(f *fault) float64 {
	s.roots = s.roots[:0]
	s.hot = s.hot[:0]
	for _, n := range f.Nodes {
		p := *s.view.of(int(n))
		s.hot = append(s.hot, p)
		s.roots = p.Crossings(f.When.Level, s.roots)
	}
	slices.Sort(s.roots)
	if f.When.Met(hottest(s.hot, 0)) {
		return 0
	}
	for _, theta := range s.roots {
		// A node that crosses is at the level to rounding; the others decide.
		if f.When.Rising || math.Abs(hottest(s.hot, theta)-f.When.Level) < 1e-6 {
			return theta
		}
	}
	if f.When.Met(hottest(s.hot, 1)) {
		return 1
	}
	return math.Inf(1)
}

// hottest returns the largest of polynomials at theta.
func hottest(all []record.Polynomial, theta float64) float64 {
	largest := math.Inf(-1)
	for i := range all {
		largest = math.Max(largest, all[i].At(theta))
	}
	return largest
}

// due reports whether something goes wrong at time t.
func (s *Simulation) due(t float64) bool {
	return slices.ContainsFunc(s.faults, func(f *fault) bool { return f.due(t) })
}

// due reports whether the fault happens at time t, the end of the last step.
func (f *fault) due(t float64) bool {
	if f.When != nil {
		return !f.happened && f.met <= t
	}
	return !f.happened && f.At <= t
}

// breakDown lets everything happen that is due at time t, before anything else at that
// time.
func (s *Simulation) breakDown(t float64) error {
	rebuild := false
	for _, f := range s.faults {
		if !f.due(t) {
			continue
		}
		f.happened = true
		s.faultMarks(t)
		rebuild = rebuild || f.Changes()
		for _, e := range f.Effects {
			s.suffer(e)
			s.events = append(s.events, Event{Time: t, Kind: "fault", Text: f.Name + ": " + s.effectText(f, e)})
		}
	}
	if !rebuild {
		return nil
	}
	if err := s.rebuild(); err != nil {
		return fmt.Errorf("at %g s: %w", t, err)
	}
	return nil
}

// suffer applies what needs no other machine.
func (s *Simulation) suffer(e control.Effect) {
	switch e.Kind {
	case control.AmbientStep:
		s.ambientStep = e.Onto(s.ambientStep)
	case control.PumpSpeed, control.FanSpeed:
		c := s.controllers[e.Target]
		if c.left == 1 {
			c.whole = s.Plan.Network.Speed(c.Drive)
		}
		c.left = e.Onto(c.left)
	}
}

// effectText says what has gone wrong.
func (s *Simulation) effectText(f *fault, e control.Effect) string {
	switch e.Kind {
	case control.AmbientStep:
		return fmt.Sprintf("the room becomes %.1f K warmer", e.Value)
	case control.FansFailed:
		return fmt.Sprintf("%.0f of the fans of %s stop", e.Value, f.Of)
	case control.CoreBlocked:
		return fmt.Sprintf("%.0f %% of the face of %s is closed", 100*e.Value, f.Of)
	case control.FlowRestriction:
		return fmt.Sprintf("%s resists the flow %.3g times as much", f.Of, e.Value)
	case control.CoolantLost:
		return fmt.Sprintf("%.0f %% of the coolant of %s is lost, from reservoirs first", 100*e.Value, f.Of)
	}
	if e.Value == 0 {
		return f.Of + " stops"
	}
	return fmt.Sprintf("%s slows to %.0f %% of its speed", f.Of, 100*e.Value)
}

// rebuild goes on with the machine that faults have made, from the temperatures at
// hand. Coolant that is lost takes along the energy that it has taken up since the
// start.
func (s *Simulation) rebuild() error {
	var happened []int
	for i, f := range s.faults {
		if f.happened {
			happened = append(happened, i)
		}
	}
	next, err := s.Plan.After(happened...)
	if err != nil {
		return err
	}
	before, after := s.Plan.Network, next.Network
	state := slices.Clone(s.it.State())
	if path := next.LostCoolant; path >= 0 {
		row := len(s.lowest) + path
		for i := range next.Nodes {
			state[row] += before.StatedEnergy(network.Node(i), s.y0[i], state[i]) - after.StatedEnergy(network.Node(i), s.y0[i], state[i])
		}
	}
	copy(s.in.MassFlow, next.Inputs.MassFlow)
	copy(s.in.Air, next.Inputs.Air)
	copy(s.in.Stream, next.Inputs.Stream)
	after.SetInputs(s.in)
	if err := s.it.Replace(after, state); err != nil {
		return err
	}
	s.Plan, s.levels = next, s.set.Memory.solverOf(next)
	s.cursor = work.NewCursor(next.Timeline)
	s.view.replace(after)
	for i, c := range s.controllers {
		c.Controlled = next.Controlled[i]
	}
	if s.trace != nil {
		s.trace.plan = next
	}
	return nil
}
