package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"soakledger/scenarios/quantity"
	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/equilibrium"
	"soakledger/sim/metric"
	"soakledger/sim/study"
)

// cardNote is the key under which a dataset keeps its card.
const cardNote = "card"

// zeroCelsius is 0 degC in kelvin.
const zeroCelsius = 273.15

// card is a run's figures as people and machines read them: the text card, the
// --json output, and what show prints of an old dataset.
type card struct {
	Title        string        `json:"title,omitempty"`
	Status       string        `json:"status"`
	Reason       string        `json:"reason,omitempty"`
	Sentence     string        `json:"sentence"`
	Subject      string        `json:"subject"`
	AmbientC     float64       `json:"ambient_c"`
	Over         string        `json:"rise_over"`
	DurationS    float64       `json:"duration_s"`
	PhaseCount   int           `json:"phase_count"`
	TailS        float64       `json:"tail_s"`
	LeastW       float64       `json:"least_power_w"`
	Heating      *cardPhase    `json:"heating,omitempty"`
	Cooling      *cardPhase    `json:"cooling,omitempty"`
	Modes        []cardMode    `json:"time_constants,omitempty"`
	Loops        []cardLoop    `json:"loops,omitempty"`
	Band         *cardBand     `json:"level_band,omitempty"`
	BandMissing  string        `json:"level_band_missing,omitempty"`
	Swing        *cardSwing    `json:"swing,omitempty"`
	SwingMissing string        `json:"swing_missing,omitempty"`
	Air          []cardAir     `json:"air,omitempty"`
	Case         *cardCase     `json:"case,omitempty"`
	Cuts         []cardCut     `json:"cuts,omitempty"`
	Events       []cardEvent   `json:"events,omitempty"`
	Against      *cardAgainst  `json:"against,omitempty"`
	Speeds       []cardSpeed   `json:"speeds,omitempty"`
	Faults       bool          `json:"faults,omitempty"`
	InHand       *cardInHand   `json:"time_in_hand,omitempty"`
	NoiseDBA     *float64      `json:"noise_dba"`                // controlled fans at their speed at the level
	NoiseMostDBA *float64      `json:"noise_most_dba,omitempty"` // of controlled fans
	VolumeML     float64       `json:"coolant_volume_ml"`
	BuyML        float64       `json:"coolant_to_buy_ml"`
	Price        *float64      `json:"price"`
	CoolantJK    float64       `json:"coolant_capacity_j_k"`
	MetalJK      float64       `json:"metal_capacity_j_k"`
	MetalKG      float64       `json:"metal_mass_kg"`
	EnergyInJ    float64       `json:"energy_in_j"`
	HeatOutJ     float64       `json:"heat_out_j"`
	StoredJ      float64       `json:"stored_j"`
	Residual     float64       `json:"ledger_residual"`
	Steps        int           `json:"steps"`
	Rejected     int           `json:"rejected_steps"`
	Cautions     []string      `json:"cautions,omitempty"`
	Warnings     []string      `json:"warnings,omitempty"`
	Assumed      []cardAssumed `json:"assumed,omitempty"`
	ModesMissing string        `json:"time_constants_missing,omitempty"`
}

// bleeding is the coolant lost in filling and bleeding a loop, as a share of
// what it holds (common practice, no source).
const bleeding = 0.2

// cardPhase is one phase's figures. A figure without a value is null, and its
// reason stands in Missing.
type cardPhase struct {
	Number      int         `json:"phase"`
	FromS       float64     `json:"from_s"`
	ToS         float64     `json:"to_s"`
	PowerW      float64     `json:"power_w"`
	BeginC      float64     `json:"begin_c"`
	EndC        float64     `json:"end_c"`
	LevelC      *float64    `json:"level_c"`
	RiseK       *float64    `json:"rise_k"`
	Kind        string      `json:"level_kind"`
	RisingC     *float64    `json:"level_rising_c,omitempty"`
	FallingC    *float64    `json:"level_falling_c,omitempty"`
	Cycle       *cardCycle  `json:"cycle,omitempty"`
	ResponseS   [4]*float64 `json:"t63_t90_t95_t99_s"`
	WithinS     [3]*float64 `json:"to_within_1_0_5_0_1_k_s"`
	StillToCome *float64    `json:"still_to_come_k"`
	ShortfallK  [4]*float64 `json:"shortfall_5_10_15_30_min_k"`
	PeakC       float64     `json:"peak_c"`
	PeakAtS     float64     `json:"peak_at_s"`
	TailMeanC   *float64    `json:"tail_mean_c"`
	TailSDK     *float64    `json:"tail_sd_k"`
	Split       []cardPart  `json:"split,omitempty"`
	CoolestC    *float64    `json:"coolest_level_c"`
	HottestC    *float64    `json:"hottest_level_c"`
	Marks       []cardMark  `json:"marks,omitempty"`
	Nodes       []cardNode  `json:"nodes,omitempty"`
	Missing     whyMissing  `json:"missing,omitempty"`
}

// cardPart is one part of the rise, with its own time.
type cardPart struct {
	Name   string   `json:"of"`
	LevelK *float64 `json:"level_k"`
	T95S   *float64 `json:"t95_s"`
}

// cardMark is when the subject first passed a temperature.
type cardMark struct {
	AtC    float64  `json:"at_c"`
	AfterS *float64 `json:"after_s"`
}

// cardNode is another watched node's figures.
type cardNode struct {
	Node      string   `json:"node"`
	LevelC    *float64 `json:"level_c"`
	PeakC     float64  `json:"peak_c"`
	PeakAtS   float64  `json:"peak_at_s"`
	TailMeanC *float64 `json:"tail_mean_c"`
	TailSDK   *float64 `json:"tail_sd_k"`
}

// cardMode is a time constant with the masses that own it.
type cardMode struct {
	TauS    float64     `json:"tau_s"`
	PeriodS float64     `json:"period_s,omitempty"`
	Owners  []cardOwner `json:"owners"`
}

// cardOwner is a mass's share of a mode.
type cardOwner struct {
	Name  string  `json:"name"`
	Share float64 `json:"share"`
}

// cardLoop is a ring in flow order.
type cardLoop struct {
	Name   string  `json:"name"`
	Order  string  `json:"order"`
	FlowLM float64 `json:"flow_l_min"`
}

// cardAssumed is a figure that was filled in, in trade units.
type cardAssumed struct {
	Path   string `json:"path"`
	Value  string `json:"value"`
	Range  string `json:"range,omitempty"`
	Source string `json:"source"`
}

// newCard reads the card off a result and, unless it is nil, off a study of how
// sure its level is; without one, why says why.
func newCard(r *sim.Result, band *study.Band, why string) *card {
	p := r.Plan
	c := &card{
		Title: p.Scenario.Title, Status: string(r.Status), Reason: r.Reason, Subject: subjectName(p),
		AmbientC: p.Scenario.Ambient.Temperature.Value - zeroCelsius, DurationS: r.Duration, PhaseCount: len(r.Phases), TailS: p.Scenario.Figures.Tail.Value,
		VolumeML: p.CoolantVolume * 1e6, Residual: r.Ledger.Relative(), Steps: int(r.Stats.Steps), Rejected: int(r.Stats.Rejected),
		Cautions: r.Cautions(), Warnings: p.Warnings, Assumed: assumedList(p), ModesMissing: r.ModesWhy,
	}
	c.Over = "the room"
	if p.Scenario.Room != nil || p.RoomMoves() {
		c.Over = "the room at the start"
	}
	c.LeastW = slices.MinFunc(r.Phases, func(a, b metric.Phase) int { return cmp.Compare(a.Power, b.Power) }).Power
	c.CoolantJK, c.MetalJK = p.HeatCapacity()
	c.MetalKG = p.MetalMass
	c.BuyML = c.VolumeML * (1 + bleeding)
	if sum, stated := r.Price(); stated {
		c.Price = &sum
	}
	c.EnergyInJ, c.HeatOutJ, c.StoredJ = r.Totals()
	c.Heating, c.Cooling = phaseOf(r, r.Heating), phaseOf(r, r.Cooling)
	for _, m := range r.Modes[:min(3, len(r.Modes))] {
		c.Modes = append(c.Modes, cardMode{TauS: m.Tau, PeriodS: m.Period, Owners: owners(p, m)})
	}
	for i, l := range p.Loops {
		c.Loops = append(c.Loops, cardLoop{Name: l.Name, Order: l.OneLine(p.Scenario), FlowLM: r.Flows[i] * 6e4})
	}
	c.air(p)
	if noise, known := r.Noise(); known {
		c.NoiseDBA = &noise
	}
	c.speeds(r)
	c.cuts(r)
	c.Faults = len(p.Faults) > 0
	for _, e := range r.Events {
		c.Events = append(c.Events, cardEvent{e.Time, e.Kind, e.Text})
	}
	c.BandMissing = why
	if band != nil {
		c.Band = newBand(band, len(p.Assumed))
		c.sure(band)
	}
	c.Sentence = c.sentence()
	return c
}

// encode returns the card as JSON.
func (c *card) encode() string {
	text, err := json.Marshal(c)
	if err != nil { // a card holds only finite numbers and texts
		panic(fmt.Sprintf("encoding the card: %v", err))
	}
	return string(text)
}

// ended returns errPartly for a run that did not end as planned.
func (c *card) ended() error {
	if c.Status != string(sim.Done) {
		return errPartly
	}
	return nil
}

// subjectName is what the figures speak of.
func subjectName(p *assemble.Plan) string {
	if p.Scenario.Figures.Of == "" && len(p.Loops) > 0 {
		return "coolant"
	}
	return p.Subject.Path
}

// whyMissing says of figures without a value why, by their names.
type whyMissing map[string]string

// value returns a figure less an offset, or nil with its reason noted.
func (r whyMissing) value(name string, f metric.Figure, offset float64) *float64 {
	if !f.OK() {
		r[name] = f.Why
		return nil
	}
	v := f.Value - offset
	return &v
}

// phaseOf returns the card of a phase, or nil.
func phaseOf(r *sim.Result, i int) *cardPhase {
	if i < 0 {
		return nil
	}
	p := &r.Phases[i]
	c := &cardPhase{
		Number: i + 1, FromS: p.From, ToS: p.To, PowerW: p.Power, BeginC: p.Begin - zeroCelsius, EndC: p.End - zeroCelsius,
		PeakC: p.Peak - zeroCelsius, PeakAtS: p.PeakAt, Missing: whyMissing{},
	}
	c.LevelC = c.Missing.value("level_c", p.Level, zeroCelsius)
	c.repeats(r, p)
	c.RiseK = c.Missing.value("rise_k", p.Level, r.Plan.Scenario.Ambient.Temperature.Value)
	for k, name := range []string{"t63_s", "t90_s", "t95_s", "t99_s"} {
		c.ResponseS[k] = c.Missing.value(name, p.Response[k], 0)
	}
	for k, name := range []string{"to_within_1_k_s", "to_within_0_5_k_s", "to_within_0_1_k_s"} {
		c.WithinS[k] = c.Missing.value(name, p.Within[k], 0)
	}
	c.StillToCome = c.Missing.value("still_to_come_k", p.StillToCome, 0)
	for k, name := range []string{"shortfall_5_min_k", "shortfall_10_min_k", "shortfall_15_min_k", "shortfall_30_min_k"} {
		c.ShortfallK[k] = c.Missing.value(name, p.Shortfall[k], 0)
	}
	c.TailMeanC = c.Missing.value("tail_mean_c", p.TailMean, zeroCelsius)
	c.TailSDK = c.Missing.value("tail_sd_k", p.TailSD, 0)
	c.CoolestC = c.Missing.value("coolest_level_c", p.Coolest, zeroCelsius)
	c.HottestC = c.Missing.value("hottest_level_c", p.Hottest, zeroCelsius)
	for k, name := range []string{"loop", "case", "room"}[:len(p.Parts)] {
		f := &p.Parts[k]
		c.Split = append(c.Split, cardPart{Name: name, LevelK: c.Missing.value(name+"_rise_k", f.Level, 0), T95S: c.Missing.value(name+"_t95_s", f.Response[2], 0)})
	}
	c.marksAndNodes(r, p)
	return c
}

// marksAndNodes fills the lists of a phase.
func (c *cardPhase) marksAndNodes(r *sim.Result, p *metric.Phase) {
	for k, mark := range r.Plan.Scenario.Figures.CoolantAt {
		at := mark.Value - zeroCelsius
		c.Marks = append(c.Marks, cardMark{AtC: at, AfterS: c.Missing.value(fmt.Sprintf("marks[%d]", k), p.Marks[k], 0)})
	}
	for k, n := range r.Plan.Watched() {
		f := p.Nodes[k]
		c.Nodes = append(c.Nodes, cardNode{
			Node: n.Path, PeakC: f.Peak - zeroCelsius, PeakAtS: f.PeakAt,
			LevelC:    c.Missing.value(n.Path+" level_c", f.Level, zeroCelsius),
			TailMeanC: c.Missing.value(n.Path+" tail_mean_c", f.TailMean, zeroCelsius),
			TailSDK:   c.Missing.value(n.Path+" tail_sd_k", f.TailSD, 0),
		})
	}
}

// leastShare is the smallest share of a mode worth naming.
const leastShare = 0.1

// owners sums a mode's shares by mass: all coolant together, other lumps by
// the part they belong to. The largest come first.
func owners(p *assemble.Plan, m equilibrium.Mode) []cardOwner {
	var all []cardOwner
	for _, n := range p.Nodes {
		name := n.Part
		if n.Kind == assemble.CoolantCell && len(p.Loops) > 0 {
			name = "coolant"
		}
		i := slices.IndexFunc(all, func(o cardOwner) bool { return o.Name == name })
		if i < 0 {
			i = len(all)
			all = append(all, cardOwner{Name: name})
		}
		all[i].Share += m.Shares[n.Lump]
	}
	slices.SortStableFunc(all, func(a, b cardOwner) int { return cmp.Compare(b.Share, a.Share) })
	return slices.DeleteFunc(all, func(o cardOwner) bool { return o.Share < leastShare })
}

// assumedList writes what was filled in, in trade units.
func assumedList(p *assemble.Plan) []cardAssumed {
	var all []cardAssumed
	for _, a := range p.Assumed {
		one := cardAssumed{Path: a.Path, Value: a.Text, Source: a.Source}
		if a.Text == "" {
			one.Value = quantity.Brief(a.Value, a.Dimension)
			one.Range = rangeOf(a)
		}
		all = append(all, one)
	}
	return all
}

// sentence says in words what the run found.
func (c *card) sentence() string {
	if c.InHand != nil {
		return c.faultSentence()
	}
	h := c.Heating
	if h == nil {
		return fmt.Sprintf("Nothing warms: %s stays at or below where it began.", c.Subject)
	}
	var b strings.Builder
	b.WriteString(c.soaked(h))
	if k := c.Cooling; k != nil && !c.Faults { // a fault may cool, and ends no load
		if k.WithinS[0] != nil {
			fmt.Fprintf(&b, " Back within 1 K of %s %s after the load ends.", c.rest(k), minutes(*k.WithinS[0]))
		} else if k.StillToCome != nil {
			fmt.Fprintf(&b, " Not back within 1 K of %s when that phase ends after %s.", c.rest(k), minutes(k.ToS-k.FromS))
		}
	}
	if s := h.ShortfallK[1]; s != nil && c.Reason == "" {
		fmt.Fprintf(&b, " A 10-minute test would read %s K low.", kelvin(*s))
	}
	return b.String()
}

// rest names the level that a cooling phase leads to: idle, if no phase asks
// for less.
func (c *card) rest(k *cardPhase) string {
	if k.PowerW <= c.LeastW {
		return "idle"
	}
	return "its level at " + watts(k.PowerW)
}

// soaked is the sentence about the heating phase.
func (c *card) soaked(h *cardPhase) string {
	switch {
	case c.Reason != "":
		return fmt.Sprintf("%s at %s took %s from %.1f to %.1f degC.", minutes(h.ToS-h.FromS), watts(h.PowerW), c.Subject, h.BeginC, h.EndC)
	case h.LevelC == nil:
		return fmt.Sprintf("No level at %s: %s. After %s %s is at %.1f degC.", watts(h.PowerW), h.Missing["level_c"], minutes(h.ToS-h.FromS), c.Subject, h.EndC)
	case h.WithinS[1] == nil:
		return fmt.Sprintf("Not soaked after %s at %s: %s is still %s K below its level of %.1f K over %s.", minutes(h.ToS-h.FromS), watts(h.PowerW), c.Subject, kelvin(*h.StillToCome), *h.RiseK, c.Over)
	}
	return fmt.Sprintf("Soaked within 0.5 K after %s at %s, %.1f K over %s.", minutes(*h.WithinS[1]), watts(h.PowerW), *h.RiseK, c.Over)
}
