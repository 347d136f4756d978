package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"soakledger/sim"
	"soakledger/sim/fit"
	"soakledger/sim/spec"
)

// cardAgainst is a measured log beside the run. Differences are measured minus
// modelled.
type cardAgainst struct {
	Log    string         `json:"log"`
	Fitted bool           `json:"fitted"` // always false: the scenario is run as it is
	StartS float64        `json:"log_start_s"`
	RunToS float64        `json:"run_to_s"`
	TailBy string         `json:"tail_by"`
	Nodes  []cardMeasured `json:"nodes"`
	Notes  []string       `json:"notes,omitempty"`
}

// cardMeasured is one measured temperature. Times count from the start of the run.
type cardMeasured struct {
	Node       string         `json:"node"`
	Heading    string         `json:"column"`
	LogFromS   float64        `json:"log_from_s"`
	LogToS     float64        `json:"log_to_s"`
	FromS      float64        `json:"compared_from_s"`
	ToS        float64        `json:"compared_to_s"`
	Samples    int            `json:"samples"`
	Gaps       int            `json:"gaps"`
	GapsS      float64        `json:"gaps_s"`
	TailS      float64        `json:"tail_s"`
	OffsetK    float64        `json:"offset_k"`
	Difference cardDifference `json:"difference"`
	LessOffset cardDifference `json:"less_offset"`
	Mostly     bool           `json:"mostly_offset"`
}

// cardDifference sums up a difference.
type cardDifference struct {
	MeanK      float64 `json:"mean_k"`
	RMSK       float64 `json:"rms_k"`
	LargestK   float64 `json:"largest_k"`
	LargestAtS float64 `json:"largest_at_s"`
	TailK      float64 `json:"tail_k"`
}

func newDifference(d fit.Difference) cardDifference {
	return cardDifference{MeanK: d.Mean, RMSK: d.RMS, LargestK: d.Largest, LargestAtS: d.LargestAt, TailK: d.Tail}
}

// Where the length of a tail comes from.
const (
	tailShare  = "a tenth of what is compared"
	tailStated = "as figures.tail states"
	tailCut    = "as figures.tail states, or all of what is compared"
)

// against adds a comparison with a log to the card, if there is one.
func (c *card) against(a *against, r *sim.Result, x *fit.Comparison, tail spec.Number) {
	if a == nil {
		return
	}
	b := &cardAgainst{Log: a.name, StartS: a.start, RunToS: x.RunTo, TailBy: tailShare, Notes: slices.Clone(a.notes)}
	if tail.Set {
		b.TailBy = tailStated
	}
	if text := a.coarse(r.Plan.Scenario.Record.Every.Value); text != "" {
		b.Notes = append(b.Notes, text)
	}
	for i, n := range x.Nodes {
		if tail.Set && n.Tail < tail.Value {
			b.TailBy = tailCut
		}
		b.Nodes = append(b.Nodes, cardMeasured{
			Node: n.Path, Heading: a.readings[i].Heading,
			LogFromS: n.Log.From, LogToS: n.Log.To, FromS: n.Common.From, ToS: n.Common.To, Samples: n.Samples,
			Gaps: n.Gaps, GapsS: n.Missing, TailS: n.Tail, OffsetK: n.Offset,
			Difference: newDifference(n.All), LessOffset: newDifference(n.Less), Mostly: n.MostlyOffset(),
		})
	}
	c.Against = b
}

// writeAgainst prints the comparison with a log.
func (c *card) writeAgainst(w io.Writer, line func(label, format string, args ...any)) {
	b := c.Against
	if b == nil {
		return
	}
	fmt.Fprintf(w, "\nAgainst %s: measured minus modelled; nothing was fitted.\n", b.Log)
	span := ""
	for i := range b.Nodes {
		n := &b.Nodes[i]
		if text := n.compared(b.RunToS); text != span {
			line("compared", "%s", text)
			span = text
		}
		line(n.Node, "offset %s K at the start; %s (column %q%s)", signed(n.OffsetK), n.Difference.text(), n.Heading, n.gaps())
		line("less offset", "%s%s", n.LessOffset.text(), n.verdict())
	}
	line("tail", "the last %s, %s", b.tails(), b.TailBy)
	for _, note := range b.Notes {
		fmt.Fprintf(w, "note: %s: %s\n", b.Log, note)
	}
}

// tails says how long the tail is, of each node if they differ.
func (b *cardAgainst) tails() string {
	same := true
	var each []string
	for _, n := range b.Nodes {
		same = same && minutes(n.TailS) == minutes(b.Nodes[0].TailS)
		each = append(each, minutes(n.TailS)+" of "+n.Node)
	}
	if same {
		return minutes(b.Nodes[0].TailS)
	}
	return strings.Join(each, ", ")
}

// compared says over what a node was compared, and why no further.
func (n *cardMeasured) compared(runTo float64) string {
	return fmt.Sprintf("%s, where the run (%s) and the log (%s) overlap",
		spanText(fit.Span{From: n.FromS, To: n.ToS}), spanText(fit.Span{To: runTo}), spanText(fit.Span{From: n.LogFromS, To: n.LogToS}))
}

// gaps says what of the log is missing.
func (n *cardMeasured) gaps() string {
	switch n.Gaps {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf(", a gap of %s left out", minutes(n.GapsS))
	}
	return fmt.Sprintf(", %d gaps of %s together left out", n.Gaps, minutes(n.GapsS))
}

// verdict says when the offset at the start explains most of the difference, where
// that is worth speaking of.
func (n *cardMeasured) verdict() string {
	if !n.Mostly || n.Difference.RMSK < worthNaming {
		return ""
	}
	return "; the offset at the start alone explains most of it"
}

// text writes the figures on one line.
func (d cardDifference) text() string {
	return fmt.Sprintf("mean %s, rms %s, largest %s at %s, tail %s K", signed(d.MeanK), kelvin(d.RMSK), signed(d.LargestK), clockText(d.LargestAtS), signed(d.TailK))
}

// signed writes a difference with its sign.
func signed(k float64) string {
	text := kelvin(k)
	if k > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// clockText writes a time of the run, which is below zero before it begins.
func clockText(s float64) string {
	if s < 0 {
		return "-" + minutes(-s)
	}
	return minutes(s)
}

// spanText writes an interval.
func spanText(s fit.Span) string { return clockText(s.From) + " to " + clockText(s.To) }
