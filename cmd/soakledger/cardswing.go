package main

import (
	"fmt"
	"math"
	"strings"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/metric"
)

// cardSwing is the periodic steady state that work leads to which repeats itself.
type cardSwing struct {
	PeriodS float64         `json:"period_s"`
	Rounds  int             `json:"repeats_after_cycles"`
	Cycles  int             `json:"cycles_integrated"`
	Nodes   []cardSwingNode `json:"nodes"` // what the figures are of first
	LastS   *[2]float64     `json:"last_cycle_from_to_s"`
}

// cardSwingNode is how far a node swings, and how far it did in the last whole cycle of
// the run, if there was one. What the mean still lacks is told where one cycle is like
// the next.
type cardSwingNode struct {
	Node string `json:"node"`
	cardRange
	Last        *cardRange `json:"last_cycle"`
	StillToCome *float64   `json:"mean_still_to_come_k"`
}

// cardRange is a swing. Times count from the start of the cycle.
type cardRange struct {
	LowestC    float64 `json:"lowest_c"`
	LowestAtS  float64 `json:"lowest_at_s"`
	HighestC   float64 `json:"highest_c"`
	HighestAtS float64 `json:"highest_at_s"`
	MeanC      float64 `json:"mean_c"`
}

// rangeOfSwing reads a swing.
func rangeOfSwing(w metric.Swing) cardRange {
	return cardRange{w.Lowest - zeroCelsius, w.LowestAt, w.Highest - zeroCelsius, w.HighestAt, w.Mean - zeroCelsius}
}

// newSwing reads the card's swing off what was found, and off the last cycle of the run
// itself, which may be nil.
func newSwing(p *assemble.Plan, subject string, w *sim.Swing, last *sim.Cycle) *cardSwing {
	c := &cardSwing{PeriodS: w.Period, Rounds: w.Rounds, Cycles: w.Cycles, Nodes: []cardSwingNode{{Node: subject, cardRange: rangeOfSwing(w.Subject)}}}
	for i, n := range p.Watched() {
		c.Nodes = append(c.Nodes, cardSwingNode{Node: n.Path, cardRange: rangeOfSwing(w.Nodes[i])})
	}
	if last == nil {
		return c
	}
	c.LastS = &[2]float64{last.From, last.To}
	for i, run := range append([]metric.Swing{last.Subject}, last.Nodes...) {
		got := rangeOfSwing(run)
		c.Nodes[i].Last = &got
		if left := c.Nodes[i].MeanC - got.MeanC; w.Rounds == 1 {
			c.Nodes[i].StillToCome = &left
		}
	}
	return c
}

// writeSwing prints it: where repeating work leads, and how far the run itself came.
func (c *card) writeSwing(line func(label, format string, args ...any)) {
	s := c.Swing
	switch {
	case s == nil && c.SwingMissing != "":
		line("swing", "none: %s", c.SwingMissing)
	case s != nil:
		line("swing", "in the end, every %s: %s", s.every(), s.ranges(func(n *cardSwingNode) *cardRange { return &n.cardRange }))
	}
	switch {
	case s == nil || s.LastS == nil:
	case s.reached():
		line("last cycle", "like that within %g K", worthNaming)
	default:
		text := s.ranges(func(n *cardSwingNode) *cardRange { return n.Last })
		if left := s.Nodes[0].StillToCome; left != nil {
			text += fmt.Sprintf("; %s K of the mean still to come", kelvin(*left))
		}
		line("last cycle", "%s", text)
	}
}

// every says after what the machine repeats itself.
func (s *cardSwing) every() string {
	if s.Rounds == 1 {
		return minutes(s.PeriodS)
	}
	return fmt.Sprintf("%d cycles of %s", s.Rounds, minutes(s.PeriodS))
}

// reached reports whether the last cycle of the run is where the work leads, as far as
// is worth naming.
func (s *cardSwing) reached() bool {
	for _, n := range s.Nodes {
		off := max(math.Abs(n.LowestC-n.Last.LowestC), math.Abs(n.HighestC-n.Last.HighestC), math.Abs(n.MeanC-n.Last.MeanC))
		if off >= worthNaming {
			return false
		}
	}
	return true
}

// ranges lists one of the ranges of all nodes, with the time at which the first is
// highest if it swings by as much as is worth naming.
func (s *cardSwing) ranges(of func(n *cardSwingNode) *cardRange) string {
	var words []string
	for i := range s.Nodes {
		r := of(&s.Nodes[i])
		text := fmt.Sprintf("%s %.1f to %.1f degC", s.Nodes[i].Node, r.LowestC, r.HighestC)
		if i == 0 && r.HighestC-r.LowestC >= worthNaming {
			text += fmt.Sprintf(" (highest %s into it)", minutes(r.HighestAtS))
		}
		words = append(words, text)
	}
	return strings.Join(words, ", ")
}
