package sim

import (
	"fmt"
	"strings"

	"soakledger/sim/metric"
	"soakledger/sim/network"
	"soakledger/sim/work"
)

// phaseAfter returns the end of the phase that begins at t, s. A jump that only
// rounding keeps before the end of the run begins no phase of its own.
func (s *Simulation) phaseAfter(t float64) float64 {
	if next, ok := s.Plan.Timeline.NextJump(t); ok && !work.Together(next, s.end) {
		return next
	}
	return s.end
}

// beginPhase sets the load that holds from t on and starts its figures.
func (s *Simulation) beginPhase(t float64) {
	s.phaseFrom, s.phaseEnd = t, s.phaseAfter(t)
	s.Plan.Timeline.Power(t, s.in.Power)
	s.setInputs(t)
	power := 0.0
	for _, p := range s.in.Power {
		power += p
	}
	s.findLevel(t)
	s.collector.Begin(t, s.phaseEnd, power, s.here(), s.level)
	if s.trace != nil {
		s.trace.jump(t, s.in.Power, s.requested)
	}
}

// setInputs sets what goes on along straight lines from time t on, and finds out
// until when it does.
func (s *Simulation) setInputs(t float64) {
	s.in.Since = t
	s.in.Temperature[0], s.in.Slope[0], s.heldUntil = s.Plan.AmbientAt(t)
	s.Plan.Network.SetInputs(s.in)
}

// setLevelInputs sets what the level of a load refers to: the room as it is when
// the phase ends, at rest. A room that moves along a schedule so counts as one
// that warms does.
func (s *Simulation) setLevelInputs(t, phaseEnd float64) {
	s.in.Since = t
	s.in.Temperature[0], _, _ = s.Plan.AmbientAt(phaseEnd)
	s.in.Slope[0] = 0
	s.Plan.Network.SetInputs(s.in)
}

// findLevel finds where the load in hand leads, from the present state.
func (s *Simulation) findLevel(t float64) {
	if len(s.Plan.Scenario.Ambient.Schedule) > 0 {
		s.setLevelInputs(t, s.phaseEnd)
		defer s.setInputs(t)
	}
	loose, err := s.levels.Level(t, s.here()[:len(s.levelAt)], s.levelAt)
	switch {
	case err != nil:
		s.level = metric.Level{Why: err.Error()}
	case len(loose) > 0:
		s.level = metric.Level{State: s.levelAt, Why: s.tiedToNothing(loose)}
	default:
		s.level = metric.Level{State: s.levelAt}
	}
	if s.level.State != nil {
		s.level.Parts = s.levelParts(t)
	}
}

// tiedToNothing says which lumps have no level.
func (s *Simulation) tiedToNothing(loose []network.Node) string {
	const most = 3
	var names []string
	for _, n := range loose[:min(most, len(loose))] {
		names = append(names, s.Plan.Nodes[n].Path)
	}
	list := strings.Join(names, ", ")
	switch {
	case len(loose) > most:
		return fmt.Sprintf("%s and %d more lumps are tied to nothing that would fix their level", list, len(loose)-most)
	case len(loose) > 1:
		return list + " are tied to nothing that would fix their level"
	}
	return list + " is tied to nothing that would fix its level"
}

// endPhase closes the figures of the phase in hand and books its energy. cut
// is why it ended before its time, or empty.
func (s *Simulation) endPhase(cut string) {
	length := s.it.Time() - s.phaseFrom
	for k, p := range s.in.Power {
		s.requested[k] += p * length
	}
	s.phases = append(s.phases, s.collector.Finish(cut))
	last := len(s.phases) - 1
	if p := &s.phases[last]; p.Heating() && (s.warmest < 0 || p.Change() > s.phases[s.warmest].Change()) {
		s.warmest, s.soaked = last, s.level
		if s.level.State != nil {
			copy(s.soakedAt, s.levelAt)
			s.soaked.State = s.soakedAt
		}
	}
}
