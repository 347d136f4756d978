package sim

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/network"
	"soakledger/sim/record"
)

// Mark is a temperature that a run should not come to, and when it did. A mark of
// several nodes belongs to the first of them that does.
type Mark struct {
	Name  string  // what comes there: cpu throttles, coolant passes 60 degC
	Level float64 // K
	First float64 // s, when it first came there; NaN if never
	// AfterFault is likewise the first time at or after the first fault, and less that
	// fault's time: the time in hand. +Inf if it did not come there while the run lasted,
	// NaN if nothing went wrong.
	AfterFault float64

	nodes []network.Node
	where []string // of each node, for the text of the event; empty where Name says it
	kind  string   // of the event, empty for none: something else tells of it
}

// newMarks lists what is watched: where a chip throttles, where it shuts down, and the
// coolant.
func newMarks(p *assemble.Plan) []Mark {
	var all []Mark
	add := func(m Mark) {
		m.First, m.AfterFault = math.NaN(), math.NaN()
		all = append(all, m)
	}
	for i := range p.Chips {
		c := &p.Chips[i]
		die := []network.Node{c.Die}
		if c.Throttle != nil {
			add(Mark{Name: fmt.Sprintf("%s throttles at %.0f degC", c.Name, c.Throttle.At-zeroCelsius), Level: c.Throttle.At, nodes: die})
		}
		m := Mark{Name: fmt.Sprintf("%s shuts down at %.0f degC", c.Name, c.Shutdown-zeroCelsius), Level: c.Shutdown, nodes: die}
		if !c.CutsOut || c.Source < 0 {
			m.Name = fmt.Sprintf("%s passes %.0f degC, where such chips shut down (assumed, so it runs on)", c.Name, c.Shutdown-zeroCelsius)
			m.kind = "limit"
		}
		add(m)
	}
	coolant := Mark{Name: fmt.Sprintf("coolant passes %g degC", warmCoolant-zeroCelsius), Level: warmCoolant, kind: "coolant"}
	for _, n := range p.Nodes {
		if n.Kind == assemble.CoolantCell {
			coolant.nodes, coolant.where = append(coolant.nodes, n.Lump), append(coolant.where, n.Path)
		}
	}
	if len(coolant.nodes) > 0 {
		add(coolant)
	}
	return all
}

// begin notes what is beyond a mark from the start.
func (s *Simulation) beginMarks() {
	for i := range s.marks {
		m := &s.marks[i]
		for k, n := range m.nodes {
			if s.initial[n] >= m.Level && math.IsNaN(m.First) {
				s.pass(m, k, 0)
			}
		}
	}
}

// faultMarks starts the time in hand at time t, where the first fault happens.
func (s *Simulation) faultMarks(t float64) {
	if !math.IsNaN(s.faultAt) {
		return
	}
	s.faultAt = t
	here := s.here()
	for i := range s.marks {
		m := &s.marks[i]
		m.AfterFault = math.Inf(1)
		if slices.ContainsFunc(m.nodes, func(n network.Node) bool { return here[n] >= m.Level }) {
			m.AfterFault = 0
		}
	}
}

// watchMarks looks at the step at hand: at what goes where it has not been, and after a
// fault at all that is not past its mark yet.
func (s *Simulation) watchMarks() {
	for i := range s.marks {
		m := &s.marks[i]
		if !math.IsNaN(m.First) && !math.IsInf(m.AfterFault, 1) {
			continue
		}
		if k, at, met := s.meets(m); met {
			if math.IsNaN(m.First) {
				s.pass(m, k, at)
			}
			if math.IsInf(m.AfterFault, 1) {
				m.AfterFault = at - s.faultAt
			}
		}
	}
}

// farBelow is how far below a mark the bounds of a lump's state show, at any
// temperature, that its temperature stays below it, K.
const farBelow = 5.0

// meets returns which of a mark's nodes first meets it in the step, and when.
func (s *Simulation) meets(m *Mark) (node int, at float64, met bool) {
	start, end := s.view.Start(), s.view.End()
	at = math.Inf(1)
	for k, n := range m.nodes {
		if s.view.high[n] < m.Level-farBelow {
			continue
		}
		if theta := firstAbove(s.view.of(int(n)), m.Level); start+theta*(end-start) < at {
			node, at = k, start+theta*(end-start)
		}
	}
	return node, at, !math.IsInf(at, 1)
}

// firstAbove returns the first theta at which a polynomial is at a level or above it,
// +Inf if it never is.
func firstAbove(p *record.Polynomial, level float64) float64 {
	if p.At(0) >= level {
		return 0
	}
	var store [4]float64
	for _, theta := range p.Crossings(level, store[:0]) {
		return theta
	}
	if p.At(1) >= level {
		return 1
	}
	return math.Inf(1)
}

// pass records that a node of a mark has come to it.
func (s *Simulation) pass(m *Mark, node int, at float64) {
	m.First = at
	if m.kind == "" {
		return
	}
	text := m.Name
	if m.where != nil {
		text += ", first at " + m.where[node]
	}
	s.events = append(s.events, Event{Time: at, Kind: m.kind, Text: text})
}

// InHand is the time from the first fault of a run to the first mark that it came to.
type InHand struct {
	After float64 // s; +Inf where it came to none while it lasted
	Name  string  // of the mark, empty where there is none
}

// InHand returns the time in hand. A run whose fault never happened has all of it.
func (r *Result) InHand() InHand {
	first := InHand{After: math.Inf(1)}
	for _, m := range r.Marks {
		if m.AfterFault < first.After {
			first = InHand{m.AfterFault, m.Name}
		}
	}
	return first
}
