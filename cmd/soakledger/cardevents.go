package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"soakledger/sim"
	"soakledger/sim/metric"
	"soakledger/sim/study"
)

// cardSpeed is a controlled speed.
type cardSpeed struct {
	Name     string   `json:"of"`
	LastRPM  float64  `json:"last_rpm"`
	PerHour  *float64 `json:"changes_per_h"`
	PeriodS  *float64 `json:"hunting_period_s"`
	SwingRPM *float64 `json:"hunting_swing_rpm"`
}

// speeds reads what became of controlled speeds.
func (c *card) speeds(r *sim.Result) {
	for _, s := range r.Speeds {
		one := cardSpeed{Name: s.Name, LastRPM: 60 * s.Last}
		if v := s.Verdict; s.Sampled {
			one.PerHour = &v.PerHour
			if v.Hunts {
				swing := 60 * v.Swing
				one.PeriodS, one.SwingRPM = &v.Period, &swing
			}
		}
		c.Speeds = append(c.Speeds, one)
	}
}

// writeSpeeds prints them.
func (c *card) writeSpeeds(line func(label, format string, args ...any)) {
	for _, s := range c.Speeds {
		text := fmt.Sprintf("%.0f rpm at the end", s.LastRPM)
		if s.PerHour != nil {
			text += fmt.Sprintf("; %.0f changes an hour", *s.PerHour)
		}
		if s.PeriodS != nil {
			text += fmt.Sprintf("; it hunts every %s by %.0f rpm", minutes(*s.PeriodS), *s.SwingRPM)
		}
		line(s.Name, "%s", text)
	}
}

// cardEvent is something that happened in a run.
type cardEvent struct {
	TimeS float64 `json:"time_s"`
	Kind  string  `json:"kind"`
	Text  string  `json:"text"`
}

// writeEvents prints the first of what happened, in order. What happens more than
// twice stands there once.
func (c *card) writeEvents(w io.Writer) {
	if len(c.Events) == 0 {
		return
	}
	const most = 16
	type row struct {
		first, last float64
		text        string
		times       int
	}
	times := map[string]int{}
	for _, e := range c.Events {
		times[e.Text]++
	}
	var rows []row
	for _, e := range c.Events {
		i := slices.IndexFunc(rows, func(r row) bool { return r.text == e.Text })
		if i < 0 || times[e.Text] <= 2 {
			i = len(rows)
			rows = append(rows, row{first: e.TimeS, text: e.Text})
		}
		rows[i].last = e.TimeS
		rows[i].times++
	}
	fmt.Fprintf(w, "\nevents:\n")
	for _, r := range rows[:min(most, len(rows))] {
		fmt.Fprintf(w, "  %14s  %s", moment(r.first), r.text)
		if r.times > 1 {
			fmt.Fprintf(w, " (%d times, the last at %s)", r.times, moment(r.last))
		}
		fmt.Fprintln(w)
	}
	if more := len(rows) - most; more > 0 {
		fmt.Fprintf(w, "  and %d more, in the dataset's events\n", more)
	}
}

// moment writes a time in a run to a tenth of a second.
func moment(s float64) string {
	tenths := math.Round(10 * s)
	switch minute := math.Floor(tenths / 600); {
	case minute >= 60:
		return fmt.Sprintf("%.0f h %02.0f min %02.0f s", math.Floor(minute/60), math.Mod(minute, 60), math.Floor(math.Mod(tenths, 600)/10))
	case minute > 0:
		return fmt.Sprintf("%.0f min %04.1f s", minute, math.Mod(tenths, 600)/10)
	}
	return fmt.Sprintf("%.1f s", tenths/10)
}

// cardCut is what cutting a chip's power came to.
type cardCut struct {
	Chip   string   `json:"chip"`
	LostJ  float64  `json:"lost_j"`
	Share  float64  `json:"lost_share"`
	HeldS  float64  `json:"cut_s"`
	FirstS *float64 `json:"first_s"`
}

// cuts reads what chips lost to throttles and limits.
func (c *card) cuts(r *sim.Result) {
	for _, p := range r.Protections {
		one := cardCut{Chip: p.Chip, LostJ: p.Lost, Share: p.Share, HeldS: p.Held}
		if !math.IsNaN(p.First) {
			one.FirstS = &p.First
		}
		c.Cuts = append(c.Cuts, one)
	}
}

// writeCuts prints them.
func (c *card) writeCuts(line func(label, format string, args ...any)) {
	for _, p := range c.Cuts {
		if p.FirstS == nil {
			line(p.Chip, "never throttled or limited")
			continue
		}
		line(p.Chip, "cut first after %s, for %s in all; %.1f %% of its work lost", minutes(*p.FirstS), minutes(p.HeldS), 100*p.Share)
	}
}

// cardInHand is how long a machine has after its first fault. The longer times are
// null where nothing is reached while the run lasts.
type cardInHand struct {
	ShortestS *float64    `json:"shortest_s"`
	LongestS  *float64    `json:"longest_s"`
	Mark      string      `json:"first,omitempty"`
	Terms     []cardDelay `json:"matters,omitempty"`
	Failed    int         `json:"not_run"`
}

// cardDelay is what an assumed figure does to that time.
type cardDelay struct {
	Path    string   `json:"path"`
	AtLowS  *float64 `json:"at_low_s"`
	AtHighS *float64 `json:"at_high_s"`
}

// newInHand reads the card's time in hand off a study.
func newInHand(h *study.InHand) *cardInHand {
	reached := func(t float64) *float64 {
		if math.IsInf(t, 0) || math.IsNaN(t) {
			return nil
		}
		return &t
	}
	c := &cardInHand{ShortestS: reached(h.Shortest), LongestS: reached(h.Longest), Mark: h.Name, Failed: h.Failed}
	const most = 5
	for _, d := range h.Terms[:min(most, len(h.Terms))] {
		if d.AtLow != d.AtHigh {
			c.Terms = append(c.Terms, cardDelay{d.Path, reached(d.AtLow), reached(d.AtHigh)})
		}
	}
	return c
}

// writeInHand prints it, the shortest time first.
func (c *card) writeInHand(line func(label, format string, args ...any)) {
	h := c.InHand
	switch {
	case h == nil && c.Faults:
		line("time in hand", "left out: it is known as a range only, which --quick skips")
	case h == nil:
	case h.ShortestS == nil:
		line("time in hand", "nothing that is watched is reached while the run lasts, whatever is assumed")
	case h.LongestS == nil:
		line("time in hand", "%s at the least, if %s; by what is assumed it may not come to that while the run lasts", moment(*h.ShortestS), h.Mark)
	default:
		line("time in hand", "%s at the least and %s at the most by what is assumed, from the first fault until %s", moment(*h.ShortestS), moment(*h.LongestS), h.Mark)
	}
	if h == nil {
		return
	}
	var words []string
	for _, d := range h.Terms {
		words = append(words, fmt.Sprintf("%s (%s, %s)", d.Path, orNever(d.AtLowS), orNever(d.AtHighS)))
	}
	if len(words) > 0 {
		line("which hangs on", "%s at either end of its range", strings.Join(words, "; "))
	}
	if h.Failed > 0 {
		line("", "%d variations could not run: the range may be wider", h.Failed)
	}
}

// faultSentence says how long the machine has from the first fault on.
func (c *card) faultSentence() string {
	h := c.InHand
	began := "The fault never comes"
	if i := slices.IndexFunc(c.Events, func(e cardEvent) bool { return e.Kind == "fault" }); i >= 0 {
		began = fmt.Sprintf("After %s %s", moment(c.Events[i].TimeS), c.Events[i].Text)
	}
	switch {
	case h.ShortestS == nil:
		return began + ": nothing that is watched is reached while the run lasts."
	case h.LongestS == nil:
		return fmt.Sprintf("%s: at the least %s until %s, or not while the run lasts.", began, moment(*h.ShortestS), h.Mark)
	}
	return fmt.Sprintf("%s: at the least %s, at the most %s until %s.", began, moment(*h.ShortestS), moment(*h.LongestS), h.Mark)
}

// orNever writes a time in a run that may never come.
func orNever(s *float64) string {
	if s == nil {
		return "not reached"
	}
	return moment(*s)
}

// cardCycle is what goes to and fro where there is no level. Figures are null, with the
// reason, where it has not come round often enough.
type cardCycle struct {
	PeriodS *float64     `json:"period_s"`
	Nodes   []cardRepeat `json:"nodes,omitempty"`
	Missing string       `json:"missing,omitempty"`
}

// cardRepeat is a node over a cycle.
type cardRepeat struct {
	Node   string  `json:"node"`
	MeanC  float64 `json:"mean_c"`
	SwingK float64 `json:"swing_k"`
}

// repeats reads the kind of a phase's level, and what there is beside or instead of it.
func (c *cardPhase) repeats(r *sim.Result, p *metric.Phase) {
	c.Kind = string(p.Kind)
	switch p.Kind {
	case metric.Pair:
		rising, falling := p.Rising.Value-zeroCelsius, p.Falling.Value-zeroCelsius
		c.RisingC, c.FallingC = &rising, &falling
	case metric.Cycling:
		c.Cycle = &cardCycle{}
		if !p.Cycle.Period.OK() {
			c.Cycle.Missing = p.Cycle.Period.Why
			return
		}
		c.Cycle.PeriodS = &p.Cycle.Period.Value
		names := []string{subjectName(r.Plan)}
		for _, n := range r.Plan.Watched() {
			names = append(names, n.Path)
		}
		for k, n := range p.Cycle.Nodes {
			c.Cycle.Nodes = append(c.Cycle.Nodes, cardRepeat{names[k], n.Mean.Value - zeroCelsius, n.Swing.Value})
		}
	}
}

// writeRepeats prints it.
func (c *cardPhase) writeRepeats(line func(label, format string, args ...any)) {
	if c.RisingC != nil {
		line("hysteresis", "lets it rest anywhere from %.1f to %.1f degC: %.1f is where a warming machine stops at the latest, %.1f a cooling one", *c.FallingC, *c.RisingC, *c.RisingC, *c.FallingC)
	}
	if c.Cycle == nil {
		return
	}
	if c.Cycle.PeriodS == nil {
		line("goes round", "not known: %s", c.Cycle.Missing)
		return
	}
	var words []string
	for _, n := range c.Cycle.Nodes {
		words = append(words, fmt.Sprintf("%s %.1f degC in the mean, swing %s K", n.Node, n.MeanC, kelvin(n.SwingK)))
	}
	line("goes round", "every %s: %s", minutes(*c.Cycle.PeriodS), strings.Join(words, "; "))
}
