package sim

import (
	"fmt"
	"math"

	"soakledger/sim/assemble"
)

// fault is one in a run.
type fault struct {
	assemble.Fault
	happened bool
	met      bool // its condition was met in the last step
}

// newFaults prepares what goes wrong.
func (s *Simulation) newFaults() {
	for _, f := range s.Plan.Faults {
		s.faults = append(s.faults, &fault{Fault: f})
	}
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

// await cuts the step at hand where the condition of a fault is first met.
func (s *Simulation) await() bool {
	start, end := s.view.Start(), s.view.End()
	cut := math.Inf(1)
	var first *fault
	for _, f := range s.faults {
		if f.happened || f.When == nil {
			continue
		}
		node := *s.view.of(int(f.When.Node))
		at := math.Inf(1)
		if f.When.Met(node.At(0)) {
			at = start
		} else if s.roots = node.Crossings(f.When.Level, s.roots[:0]); len(s.roots) > 0 {
			at = start + s.roots[0]*(end-start)
		} else if f.When.Met(node.At(1)) {
			at = end
		}
		if at < cut {
			cut, first = at, f
		}
	}
	if first == nil {
		return false
	}
	if cut > start && cut < end {
		s.it.TruncateTo(cut)
		s.view.read(s.it.Segment())
	}
	first.met = true
	return true
}

// fail lets everything happen that is due at time t, before anything else at that time.
func (s *Simulation) breakDown(t float64) (any bool) {
	for _, f := range s.faults {
		due := f.When == nil && f.At <= t || f.met
		if f.happened || !due {
			continue
		}
		f.happened, any = true, true
		s.ambientStep += f.Ambient
		if f.Controlled >= 0 {
			c := s.controllers[f.Controlled]
			c.slowed = f.Speed * s.Plan.Network.Speed(c.Drive)
			c.left = math.Min(c.left, f.Speed)
		}
		s.events = append(s.events, Event{Time: t, Kind: "fault", Text: s.faultText(f)})
	}
	return any
}

// faultText says what has gone wrong.
func (s *Simulation) faultText(f *fault) string {
	switch {
	case f.Controlled >= 0 && f.Speed == 0:
		return fmt.Sprintf("%s: %s stops", f.Name, s.controllers[f.Controlled].Name)
	case f.Controlled >= 0:
		return fmt.Sprintf("%s: %s slows to %.0f %% of its speed", f.Name, s.controllers[f.Controlled].Name, 100*f.Speed)
	}
	return fmt.Sprintf("%s: the room becomes %.1f K warmer", f.Name, f.Ambient)
}
