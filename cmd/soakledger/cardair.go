package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"soakledger/scenarios/quantity"
	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/spec"
	"soakledger/sim/study"
)

// cardAir is the air of one radiator.
type cardAir struct {
	Radiator   string   `json:"radiator"`
	From       string   `json:"from"`
	To         string   `json:"to"`
	AirflowM3H *float64 `json:"airflow_m3_h"`
	SpeedRPM   *float64 `json:"fan_rpm"`
	NoiseDBA   *float64 `json:"noise_dba"`
	WattPerK   float64  `json:"conductance_w_k"`
	BelowPct   *float64 `json:"conductance_below_percent"`
	AbovePct   *float64 `json:"conductance_above_percent"`
	StackMM    *float64 `json:"stack_mm"`
	Follows    bool     `json:"speed_follows,omitempty"`
}

// cardSpeed is a controlled speed.
type cardSpeed struct {
	Name     string   `json:"of"`
	LastRPM  float64  `json:"last_rpm"`
	PerHour  *float64 `json:"changes_per_h"`
	PeriodS  *float64 `json:"hunting_period_s"`
	SwingRPM *float64 `json:"hunting_swing_rpm"`
}

// cardCase is the air of the case.
type cardCase struct {
	PressurePa float64   `json:"pressure_pa"`
	VentsM3H   float64   `json:"vents_out_m3_h"`
	Fans       []cardFan `json:"fans,omitempty"`
}

// cardFan is a fan of the case.
type cardFan struct {
	Name       string  `json:"name"`
	Moves      string  `json:"moves"`
	AirflowM3H float64 `json:"airflow_m3_h"`
}

// cardBand is how sure the level is.
type cardBand struct {
	BelowK float64    `json:"below_k"`
	AboveK float64    `json:"above_k"`
	Terms  []cardTerm `json:"terms,omitempty"`
	Rest   int        `json:"other_assumed_figures"`
	Failed int        `json:"failed_variations,omitempty"`
}

// cardTerm is what one assumed figure does to the level.
type cardTerm struct {
	Path    string   `json:"path"`
	Value   string   `json:"value"`
	Range   string   `json:"range"`
	AtLowK  *float64 `json:"at_low_k"`
	AtHighK *float64 `json:"at_high_k"`
}

// air fills what is known of the air.
func (c *card) air(p *assemble.Plan) {
	set := func(x float64, known bool) *float64 {
		if !known || math.IsInf(x, 0) {
			return nil
		}
		return &x
	}
	for _, a := range p.Air {
		turned := a.Fans > 0
		c.Air = append(c.Air, cardAir{
			Radiator: a.Name, From: a.From, To: a.To, WattPerK: a.Conductance,
			Follows:    a.Follows,
			AirflowM3H: set(3600*a.Airflow, turned), SpeedRPM: set(60*a.Speed, turned), NoiseDBA: set(a.Level, turned), StackMM: set(1e3*a.Stack, a.Stack > 0),
		})
	}
	c.NoiseDBA = set(p.Noise(), true)
	if k := p.CaseAir; k != nil {
		c.Case = &cardCase{PressurePa: k.Pressure, VentsM3H: 3600 * k.Vents}
		for _, f := range k.Fans {
			c.Case.Fans = append(c.Case.Fans, cardFan{f.Name, f.Moves, 3600 * f.Flow})
		}
	}
}

// sure adds to the radiators how far their conductance may lie off.
func (c *card) sure(b *study.Band) {
	for _, one := range b.Cores {
		for i := range c.Air {
			if a := &c.Air[i]; a.Radiator == one.Radiator && one.Value > 0 {
				below, above := 100*one.Below/one.Value, 100*one.Above/one.Value
				a.BelowPct, a.AbovePct = &below, &above
			}
		}
	}
}

// worthNaming is the smallest effect of an assumed figure on a level that a card
// names, K.
const worthNaming = 0.05

// newBand reads the card's band off a study.
func newBand(b *study.Band, assumed int) *cardBand {
	c := &cardBand{BelowK: b.Subject.Below, AboveK: b.Subject.Above, Failed: b.Failed}
	for _, t := range b.Terms {
		one := cardTerm{Path: t.Path, Value: quantity.Brief(t.Value, t.Dimension), Range: rangeOf(t.Assumed)}
		largest := 0.0
		if f := t.AtLow; f.OK() {
			one.AtLowK, largest = &f.Value, math.Abs(f.Value)
		}
		if f := t.AtHigh; f.OK() {
			one.AtHighK, largest = &f.Value, math.Max(largest, math.Abs(f.Value))
		}
		if largest >= worthNaming || !t.OK() {
			c.Terms = append(c.Terms, one)
		}
	}
	c.Rest = assumed - len(c.Terms)
	return c
}

// rangeOf writes the range of an assumed figure.
func rangeOf(a spec.Assumed) string {
	return quantity.Brief(a.Low, a.Dimension) + " to " + quantity.Brief(a.High, a.Dimension)
}

// writeAir prints the radiators' air, the case and the noise.
func (c *card) writeAir(line func(label, format string, args ...any)) {
	for _, a := range c.Air {
		if a.AirflowM3H == nil {
			line(a.Radiator, "%.1f W/K as stated; %s to %s", a.WattPerK, a.From, a.To)
			continue
		}
		upTo := ""
		if a.Follows {
			upTo = "up to "
		}
		band := ""
		if a.BelowPct != nil {
			band = fmt.Sprintf(" (-%.0f +%.0f %%)", *a.BelowPct, *a.AbovePct)
		}
		text := fmt.Sprintf("%.1f W/K%s at "+upTo+"%s; %s of air, %s to %s", a.WattPerK, band, rpm(*a.SpeedRPM), airflow(*a.AirflowM3H), a.From, a.To)
		if a.NoiseDBA != nil {
			text += fmt.Sprintf("; %.0f dBA", *a.NoiseDBA)
		}
		if a.StackMM != nil {
			text += fmt.Sprintf("; %.0f mm deep with its fans", *a.StackMM)
		}
		line(a.Radiator, "%s", text)
	}
	if k := c.Case; k != nil {
		var words []string
		for _, f := range k.Fans {
			words = append(words, fmt.Sprintf("%s %s %s", f.Name, airflow(f.AirflowM3H), f.Moves))
		}
		way, vents := "out", k.VentsM3H
		if vents < 0 {
			way, vents = "in", -vents
		}
		words = append(words, fmt.Sprintf("vents %s %s", airflow(vents), way))
		line("case", "%s; %+.1f Pa over the room", strings.Join(words, ", "), k.PressurePa)
	}
	if c.NoiseDBA != nil {
		line("noise", "%.0f dBA, all fans together near 1 m; good for comparing, +-3 dB", *c.NoiseDBA)
	}
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

// writeEvents prints the first of what happened, in order.
func (c *card) writeEvents(w io.Writer) {
	if len(c.Events) == 0 {
		return
	}
	const most = 12
	fmt.Fprintf(w, "\nevents:\n")
	for _, e := range c.Events[:min(most, len(c.Events))] {
		fmt.Fprintf(w, "  %9s  %s\n", minutes(e.TimeS), e.Text)
	}
	if more := len(c.Events) - most; more > 0 {
		fmt.Fprintf(w, "  and %d more, in the dataset's events\n", more)
	}
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

// airflow writes an airflow in m3/h.
func airflow(f float64) string {
	if math.Abs(f) < 0.05 {
		return "no air"
	}
	return fmt.Sprintf("%.0f m3/h", f)
}

// rpm writes a speed, or that fans stand.
func rpm(n float64) string {
	if n == 0 {
		return "0 rpm (fans stand)"
	}
	return fmt.Sprintf("%.0f rpm", n)
}

// band writes how far the level may lie from what was found.
func (c *card) band() string {
	switch {
	case c.Band == nil:
		return ""
	case len(c.Band.Terms) == 0:
		return "; no assumed figure moves it"
	}
	return fmt.Sprintf("; -%s +%s K by what is assumed", kelvin(c.Band.BelowK), kelvin(c.Band.AboveK))
}

// writeTerms prints the assumed figures that move the level.
func (b *cardBand) lines() []string {
	var lines []string
	change := func(k *float64) string {
		if k == nil {
			return "no level"
		}
		return fmt.Sprintf("%+.1f K", *k)
	}
	width := 0
	for _, t := range b.Terms {
		width = max(width, len(t.Path))
	}
	for _, t := range b.Terms {
		lines = append(lines, strings.TrimRight(fmt.Sprintf("  %-*s  %-14s %-26s %s to %s", width, t.Path, t.Value, t.Range, change(t.AtLowK), change(t.AtHighK)), " "))
	}
	return lines
}
