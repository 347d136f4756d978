package sim

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/floats"

	"soakledger/sim/network"
	"soakledger/sim/work"
)

// shortest is the length (s) below which an interval of constant load is no phase
// of its own: nothing soaks in it, and a log of 250 Hz would have a million of them.
const shortest = 1.0

// breakAfter returns the first time after t at which the load turns, or the end of
// the run. A break that only rounding keeps before that end is none.
func (s *Simulation) breakAfter(t float64) float64 {
	if next, ok := s.cursor.Next(t); ok && !work.Together(next.At, s.end) {
		return next.At
	}
	return s.end
}

// steady reports whether the load stays the same from t to the break at next, for
// long enough to be a phase.
func (s *Simulation) steady(t, next float64) bool {
	return (next-t >= shortest || next >= s.end) && s.Plan.Timeline.Steady(t, next)
}

// phaseAfter returns the end of the phase that begins at t, s, and whether the load
// is constant in it. Ramps and intervals too short are gathered into one phase.
func (s *Simulation) phaseAfter(t float64) (end float64, constant bool) {
	if s.period > 0 {
		return s.roundAfter(), false
	}
	next := s.breakAfter(t)
	if s.steady(t, next) {
		return next, true
	}
	for end = next; end < s.end; end = next {
		if next = s.breakAfter(end); next-end >= shortest && s.steady(end, next) {
			break
		}
	}
	return end, false
}

// beginPhase sets the load that holds from t on and starts its figures.
func (s *Simulation) beginPhase(t float64) {
	s.phaseFrom = t
	for _, p := range s.protectors {
		p.leakSlope = 0 // of another load
	}
	s.phaseEnd, s.constant = s.phaseAfter(t)
	s.setInputs(t)
	power := floats.Sum(s.in.Power)
	if !s.constant {
		s.Plan.Timeline.Mean(t, s.phaseEnd, s.asked)
		power = floats.Sum(s.asked) + floats.Sum(s.drawn)
	}
	s.findLevel(t)
	s.collector.Begin(t, s.phaseEnd, power, s.here(), s.level)
}

// setInputs sets what goes on along straight lines from time t on, and finds out
// until when it does.
func (s *Simulation) setInputs(t float64) {
	s.in.Since = t
	s.in.Temperature[0], s.in.Slope[0], s.heldUntil = s.Plan.AmbientAt(t)
	s.in.Temperature[0] += s.ambientStep
	s.heldUntil = min(s.heldUntil, s.faultAfter(t))
	s.cursor.Load(t, s.in.Power, s.in.PowerSlope)
	s.heldUntil = min(s.heldUntil, s.breakAfter(t))
	s.protect(t)
	if len(s.controllers) > 0 {
		s.setSpeeds()
		s.Plan.Network.SetInputs(s.in)
		s.Plan.Network.Bring(t, s.it.State())
		s.book(t)
	}
	s.Plan.Network.SetInputs(s.in)
	if s.trace != nil {
		s.trace.jump(t, s.in.Power, s.in.PowerSlope, s.askedAt(t))
	}
}

// askedAt returns the energy (J) that every source was asked for up to a time in the
// phase in hand, valid until the next call.
func (s *Simulation) askedAt(t float64) []float64 {
	s.Plan.Timeline.Energy(s.phaseFrom, t, s.asked)
	floats.Add(s.asked, s.requested)
	for _, p := range s.protectors {
		s.asked[p.chip.Source] -= p.lostAt(t) - p.lostBefore
	}
	for k := range s.drawn { // what was drawn by controlled speeds since the phase began
		s.asked[k] += s.used[k] - s.usedBefore[k] + s.drew(k, t)
	}
	return s.asked
}

// setLevelInputs sets what the level of a load refers to: the room as it is when
// the phase ends, at rest. A room that moves along a schedule so counts as one
// that warms does.
func (s *Simulation) setLevelInputs(t, phaseEnd float64) {
	s.in.Since = t
	s.in.Temperature[0], _, _ = s.Plan.AmbientAt(phaseEnd)
	s.in.Temperature[0] += s.ambientStep
	s.in.Slope[0] = 0
	clear(s.in.PowerSlope)
	s.freeSpeeds()
	s.levelRequests()
	s.Plan.Network.SetInputs(s.in)
}

// solveLevel finds the level of the inputs that are set, from temperatures at hand.
// Fans and pumps heat by a few watt that go with their speeds there.
func (s *Simulation) solveLevel(t float64, from []float64) (loose []network.Node, err error) {
	const most = 8 // rounds, of which each makes the error a hundredth
	for range most {
		loose, err = s.levels.Level(t, from, s.levelAt)
		if err != nil || len(loose) > 0 {
			break
		}
		moved := len(s.controllers) > 0 && s.levelPowers(t, s.levelAt)
		moved = s.levelLimits(t, s.levelAt) || moved
		if !moved {
			break
		}
		s.Plan.Network.SetInputs(s.in)
		from = s.levelAt
	}
	return loose, err
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
	copy(s.requested, s.askedAt(s.it.Time()))
	s.book(s.it.Time())
	copy(s.usedBefore, s.used)
	for _, p := range s.protectors {
		p.lostBefore = p.lostAt(s.it.Time())
	}
	s.phases = append(s.phases, s.collector.Finish(cut))
	last := len(s.phases) - 1
	if p := &s.phases[last]; p.Heating() && (s.warmest < 0 || p.Change() > s.phases[s.warmest].Change()) {
		s.warmest, s.soakedLevel = last, s.level
		if s.level.State != nil {
			copy(s.soakedAt, s.levelAt)
			s.soakedLevel.State = s.soakedAt
			s.soakedTurning = append(s.soakedTurning[:0], s.turningAt...)
		}
	}
}
