package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"soakledger/sim"
	"soakledger/sim/metric"
	"soakledger/sim/study"
)

// comparison is a table of designs as people and machines read it.
type comparison struct {
	Title     string      `json:"title,omitempty"`
	Subject   string      `json:"subject"`
	Reference string      `json:"reference"` // the design that the others are compared with
	Designs   []designRow `json:"designs"`
	Notes     []string    `json:"notes,omitempty"`
	Faults    bool        `json:"faults,omitempty"` // something goes wrong in one of them

	reference int // its place among the designs
}

// refer makes a design the one that the others are compared with.
func (c *comparison) refer(to int) { c.reference, c.Reference = to, c.Designs[to].Design }

// referred returns what it is called where the others are spoken of.
func (c *comparison) referred() string {
	if c.reference == 0 {
		return "the first design"
	}
	return "the reference"
}

// newComparison reads the table off a study.
func newComparison(title string, found *study.Comparison) *comparison {
	c := &comparison{Title: title}
	for _, r := range found.Rows {
		c.Designs = append(c.Designs, newDesignRow(r))
		c.Faults = c.Faults || r.Result != nil && len(r.Result.Plan.Faults) > 0
	}
	c.refer(found.Reference)
	c.subject()
	c.remark(found)
	return c
}

// designRow is one design. A figure without a value is null, and its reason stands
// in Missing.
type designRow struct {
	Design     string            `json:"design"`
	Varied     []string          `json:"varied,omitempty"`
	Status     string            `json:"status"`
	Reason     string            `json:"reason,omitempty"`
	Subject    string            `json:"subject,omitempty"`
	Phase      int               `json:"phase,omitempty"`
	FromS      *float64          `json:"from_s"`
	PowerW     *float64          `json:"power_w"`
	AmbientC   *float64          `json:"ambient_c"`
	LevelC     *float64          `json:"level_c"`
	RiseK      *float64          `json:"rise_k"`
	Kind       string            `json:"level_kind,omitempty"`
	PeakC      *float64          `json:"peak_c"`
	SoakedS    *float64          `json:"to_within_0_5_k_s"`
	CooledS    *float64          `json:"cool_to_within_0_5_k_s"`
	NoiseDBA   *float64          `json:"noise_dba"` // of controlled fans at the level
	follows    bool              // the speed of fans follows a temperature
	VolumeML   *float64          `json:"coolant_volume_ml"`
	StackMM    *float64          `json:"stack_mm"`
	Price      *float64          `json:"price"`
	Missing    whyMissing        `json:"missing,omitempty"`
	Difference *designDifference `json:"difference,omitempty"`

	run  int      // its number in a dataset
	told []string // of what is varied, what tells it from the others
}

// designDifference is how far a design lies from the reference.
type designDifference struct {
	Of          string         `json:"of,omitempty"`
	K           *float64       `json:"k"`
	Missing     string         `json:"missing,omitempty"`
	BelowK      *float64       `json:"below_k"`
	AboveK      *float64       `json:"above_k"`
	BandMissing string         `json:"band_missing,omitempty"`
	Failed      int            `json:"failed,omitempty"`
	Verdict     string         `json:"verdict"`
	Effects     []designEffect `json:"effects,omitempty"`
}

// designEffect is what an assumed figure does to a difference.
type designEffect struct {
	Path    string   `json:"path"`
	In      string   `json:"open_in"`
	Range   string   `json:"range"`
	AtLowK  *float64 `json:"at_low_k"`
	AtHighK *float64 `json:"at_high_k"`
}

// statusOf words how a run ended.
func statusOf(r study.Row) (status, reason string) {
	if r.Err != nil {
		return string(sim.Failed), strings.ReplaceAll(r.Err.Error(), "\n", "; ")
	}
	return string(r.Result.Status), r.Result.Reason
}

// newDesignRow reads a row off a study.
func newDesignRow(r study.Row) designRow {
	d := designRow{Design: r.Name, Missing: whyMissing{}}
	d.Status, d.Reason = statusOf(r)
	if r.Result != nil {
		d.machine(r.Result)
		d.phase(r)
		d.unsettle()
	}
	if r.Difference != nil {
		d.Difference = newDesignDifference(r.Difference)
	}
	return d
}

// machine fills what is known of a design before its run.
func (d *designRow) machine(r *sim.Result) {
	p := r.Plan
	known := func(x float64) *float64 { return &x }
	d.Subject = subjectName(p)
	d.AmbientC = known(p.Scenario.Ambient.Temperature.Value - zeroCelsius)
	if p.CoolantVolume > 0 {
		d.VolumeML = known(p.CoolantVolume * 1e6)
	}
	d.follows = p.FansFollow()
	if noise, known := r.Noise(); known {
		d.NoiseDBA = &noise
	}
	deepest := 0.0
	for _, a := range p.Air {
		deepest = max(deepest, a.Stack)
	}
	if deepest > 0 {
		d.StackMM = known(deepest * 1e3)
	}
	if sum, stated := r.Price(); stated {
		d.Price = &sum
	}
}

// phase fills the figures of the compared phase and of the cooling one after it.
func (d *designRow) phase(r study.Row) {
	if r.Phase < 0 {
		d.Missing["level_c"] = "nothing warms"
		return
	}
	p := &r.Result.Phases[r.Phase]
	d.Phase, d.FromS, d.PowerW = r.Phase+1, &p.From, &p.Power
	d.Kind = string(p.Kind)
	d.LevelC = d.Missing.value("level_c", p.Level, zeroCelsius)
	d.RiseK = d.Missing.value("rise_k", p.Level, *d.AmbientC+zeroCelsius)
	d.PeakC = d.Missing.value("peak_c", metric.Known(p.Peak), zeroCelsius)
	d.SoakedS = d.Missing.value("to_within_0_5_k_s", p.Within[1], 0)
	if r.Cooling < 0 {
		d.Missing["cool_to_within_0_5_k_s"] = "no cooling phase follows"
		return
	}
	d.CooledS = d.Missing.value("cool_to_within_0_5_k_s", r.Result.Phases[r.Cooling].Within[1], 0)
}

// unsettle drops the level of a run that ended early: the model does not hold there.
func (d *designRow) unsettle() {
	if d.Status != string(sim.Done) && d.LevelC != nil {
		d.LevelC, d.RiseK = nil, nil
		d.Missing["level_c"], d.Missing["rise_k"] = d.Reason, d.Reason
	}
}

// newDesignDifference reads a difference off a study, with the effects that are worth
// naming.
func newDesignDifference(from *study.Difference) *designDifference {
	d := &designDifference{Of: string(from.Of), Verdict: string(from.Verdict()), Failed: from.Failed}
	if !from.Value.OK() {
		d.Missing = from.Value.Why
		return d
	}
	d.K = &from.Value.Value
	if from.Unknown != "" {
		d.BandMissing = from.Unknown
		return d
	}
	d.BelowK, d.AboveK = &from.Below, &from.Above
	for _, e := range from.Effects {
		one := designEffect{Path: e.Path, In: string(e.In), Range: rangeOf(e.Assumed)}
		most := 0.0
		if e.AtLow.OK() {
			one.AtLowK, most = &e.AtLow.Value, math.Abs(e.AtLow.Value)
		}
		if e.AtHigh.OK() {
			one.AtHighK, most = &e.AtHigh.Value, max(most, math.Abs(e.AtHigh.Value))
		}
		if most >= worthNaming || !e.OK() {
			d.Effects = append(d.Effects, one)
		}
	}
	return d
}

// ended returns errPartly where a design has no result or did not end as planned.
func (c *comparison) ended() error {
	for _, d := range c.Designs {
		if d.Status != string(sim.Done) {
			return errPartly
		}
	}
	return nil
}

// subject finds what the figures are of.
func (c *comparison) subject() {
	for _, d := range c.Designs {
		if c.Subject == "" {
			c.Subject = d.Subject
		}
	}
}

// remark notes what a reader of the rows should know, in their order.
func (c *comparison) remark(found *study.Comparison) {
	for i := range c.Designs {
		c.Notes = append(c.Notes, c.Designs[i].remarks(&c.Designs[c.reference], c.referred())...)
	}
	told := map[string][]string{}
	var texts []string
	for _, r := range found.Rows {
		if r.Result == nil {
			continue
		}
		for _, text := range slices.Concat(r.Result.Plan.Warnings, cautions(r.Result)) {
			if told[text] == nil {
				texts = append(texts, text)
			}
			told[text] = append(told[text], r.Name)
		}
	}
	for _, text := range texts {
		if len(told[text]) == len(found.Rows) {
			c.Notes = append(c.Notes, "in all designs: "+text)
			continue
		}
		c.Notes = append(c.Notes, strings.Join(told[text], ", ")+": "+text)
	}
}

// cautions lists those of a run. That it ended early is in its row.
func cautions(r *sim.Result) []string {
	all := r.Cautions()
	if r.Status != sim.Done {
		all = all[1:]
	}
	return all
}

// remarks says what a row leaves open beside the one it is compared with.
func (d *designRow) remarks(first *designRow, called string) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, d.Design+": "+fmt.Sprintf(format, args...)) }
	if d.Reason != "" {
		say("%s", d.ending())
	} else if why := d.Missing["level_c"]; why != "" {
		say("no level: %s", why)
	}
	if d.Kind == string(metric.Pair) {
		say("hysteresis lets it rest at other levels, too; how far they lie off is in the band")
	}
	if d.FromS != nil && first.FromS != nil && *d.FromS != *first.FromS {
		say("what is compared begins %s into the run, in %s %s", minutes(*d.FromS), called, minutes(*first.FromS))
	}
	x := d.Difference
	if x == nil {
		return all
	}
	if x.Missing != "" && d.Reason == "" {
		say("no difference: %s", x.Missing)
	}
	if x.BandMissing != "" {
		say("no band: %s", x.BandMissing)
	}
	if x.Failed > 0 {
		lead, of := "lead", "their"
		if x.Failed == 1 {
			lead, of = "leads", "its"
		}
		say("at least that unsure: %d of the assumed figures %s to no level at an end of %s range", x.Failed, lead, of)
	}
	if x.Verdict == string(study.Tie) && len(x.Effects) > 0 {
		say("%s", x.Effects[0].advice(called))
	}
	return all
}

// ending says how a design ended early.
func (d *designRow) ending() string {
	if d.Status == string(sim.LeftRange) {
		return "ended early: " + d.Reason
	}
	return "could not be run: " + d.Reason
}

// advice says which figure to state to be surer of a difference.
func (e *designEffect) advice(called string) string {
	where := map[string]string{
		string(study.Both):  "in both",
		string(study.Other): "in " + called,
		string(study.This):  "in this design",
	}
	return fmt.Sprintf("of what is assumed %s (%s), open %s, does most to the band; state it and look again", e.Path, e.Range, where[e.In])
}

// price writes a sum of money.
func price(x float64) string { return strings.TrimSuffix(fmt.Sprintf("%.2f", x), ".00") }
