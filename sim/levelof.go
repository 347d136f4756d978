package sim

import (
	"fmt"
	"math"

	"soakledger/sim/assemble"
	"soakledger/sim/equilibrium"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// Levels is where the load of one moment leads, of every lump.
type Levels struct {
	Plan *assemble.Plan // what was assembled; not to be changed
	Time float64        // s, the moment

	temperatures []float64 // K, one a lump; NaN of those without a level
	loose        string    // says which those are
	limits       []limit
}

// LevelsOf finds where the load that is requested at a time (s, from 0 on) of
// the run leads if it lasts, without running: it assembles the scenario and
// solves for the equilibrium. A run that comes to a phase finds its level from
// where it then is, LevelsOf from where the run starts; that is the same unless
// leaks leave several levels, or one beside a runaway.
//
// The scenario must be as New wants it; it is not changed. The error is of type
// assemble.Problems where the scenario is at fault, and wraps
// equilibrium.ErrNoLevel where the load leads nowhere.
func LevelsOf(s *spec.Scenario, time float64) (*Levels, error) {
	if !(time >= 0) || math.IsInf(time, 1) {
		return nil, fmt.Errorf("finding the level: no run comes to %g s", time)
	}
	plan, err := assemble.Build(s)
	if err != nil {
		return nil, err
	}
	states, _ := plan.Network.Dim()
	sm := &Simulation{
		cursor: work.NewCursor(plan.Timeline),
		Plan:   plan, in: plan.Network.Inputs(), levels: equilibrium.NewSolver(plan.Network), limits: modelLimits(plan),
		initial: make([]float64, states), levelAt: make([]float64, states),
	}
	sm.present = make([]float64, states)
	sm.newControllers()
	if err := sm.newProtectors(); err != nil {
		return nil, fmt.Errorf("preparing what protects chips: %w", err)
	}
	if err := sm.start(); err != nil {
		return nil, err
	}
	sm.settleControllers(sm.initial)
	plan.Timeline.Power(time, sm.in.Power)
	if sm.end = plan.Scenario.Duration.Or(math.Inf(1)); math.IsInf(sm.end, 1) {
		if end, endless := plan.Timeline.End(); !endless {
			sm.end = end
		}
	}
	for _, p := range sm.protectors {
		p.request = sm.in.Power[p.chip.Source]
	}
	end, _ := sm.phaseAfter(time)
	sm.setLevelInputs(time, end)
	loose, err := sm.settleProtected(time, sm.initial)
	if err != nil {
		return nil, fmt.Errorf("finding the level: %w", err)
	}
	l := &Levels{Plan: plan, Time: time, temperatures: sm.levelAt, limits: sm.limits}
	if len(loose) > 0 {
		l.loose = sm.tiedToNothing(loose)
	}
	return l, nil
}

// Of returns the level (K) of a node of the plan. It is missing where nothing
// fixes it.
func (l *Levels) Of(n assemble.Node) metric.Figure {
	t := l.temperatures[n.Lump]
	if math.IsNaN(t) {
		return metric.Missing(l.loose)
	}
	return metric.Known(t)
}

// Beyond says which lump first, in state order, has a level outside the model's
// valid range, which a run would leave on its way there; it is empty if none
// has.
func (l *Levels) Beyond() string {
	for i, t := range l.temperatures {
		if why := l.limits[i].beyond(t); why != "" {
			return fmt.Sprintf("%s would settle at %.1f degC, %s", l.limits[i].path, t-zeroCelsius, why)
		}
	}
	return ""
}
