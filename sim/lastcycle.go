package sim

import (
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// Cycle is what one cycle of work that repeats itself does to the subject and to the
// other watched nodes, in the order of Plan.Watched.
type Cycle struct {
	From, To float64 // s, in the run
	Subject  metric.Swing
	Nodes    []metric.Swing
}

// cycleOf returns the load that a run of a plan is repeating at its end (s). The same
// random bursts over and over count as none: they stand for others like them.
func cycleOf(p *assemble.Plan, end float64) (work.Cycle, bool) {
	if bursts(p) {
		return work.Cycle{}, false
	}
	return p.Timeline.Cycle(end)
}

// bursts reports whether anything follows random bursts.
func bursts(p *assemble.Plan) bool {
	s := p.Scenario
	random := func(name string) bool {
		return slices.ContainsFunc(s.Work, func(w spec.Work) bool { return w.Name == name && w.Bursts.For.Set })
	}
	for part := range s.Parts() {
		if random(part.Work) {
			return true
		}
	}
	return s.Case != nil && random(s.Case.Work) ||
		slices.ContainsFunc(s.Chips, func(c spec.Chip) bool { return random(c.Work) }) ||
		slices.ContainsFunc(s.Lumps, func(l spec.Lump) bool { return random(l.Work) })
}

// watchLastCycle prepares to see the last whole cycle of the run, if there is one. A
// machine that faults change has none.
func (s *Simulation) watchLastCycle() {
	c, ok := cycleOf(s.Plan, s.end)
	if !ok || len(s.faults) > 0 {
		return
	}
	const little = 1e-9 // of a cycle, for rounding
	last := math.Floor(math.Min(c.To, s.end)/c.Length + little)
	from, to := (last-1)*c.Length, math.Min(last*c.Length, s.end)
	if from >= c.From-little*c.Length {
		w := s.watched()
		s.swings = metric.NewSwings(from, to, append([]int{w.Subject}, w.Nodes...))
	}
}

// lastCycle returns what the last whole cycle did, nil if there was none.
func (s *Simulation) lastCycle() *Cycle {
	if s.swings == nil {
		return nil
	}
	all, seen := s.swings.Figures()
	if !seen {
		return nil
	}
	c := &Cycle{Subject: all[0], Nodes: all[1:]}
	c.From, c.To = s.swings.Span()
	return c
}
