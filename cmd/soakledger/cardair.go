package main

import (
	"fmt"
	"math"
	"strings"

	"soakledger/scenarios/quantity"
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
	c.NoiseDBA = set(p.Noise(), !p.FansFollow())
	c.NoiseMostDBA = set(p.Noise(), p.FansFollow())
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
	const what = "all fans together near 1 m; good for comparing, +-3 dB"
	switch at, most := c.NoiseDBA, c.NoiseMostDBA; {
	case at != nil && most != nil:
		line("noise", "%.0f dBA at the level, %.0f dBA at the most, %s", *at, *most, what)
	case at != nil:
		line("noise", "%.0f dBA, %s", *at, what)
	case most != nil:
		line("noise", "up to %.0f dBA, %s", *most, what)
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
