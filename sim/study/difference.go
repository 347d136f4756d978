package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"soakledger/sim"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
)

// Difference is how far the rise of a design lies from that of the reference, and how
// sure that is.
//
// An assumed figure that both designs leave open, under one path and with one
// range, is one figure: it is set to either end in both machines at once, and only
// the change of the difference counts. What it does to both alike cancels. A figure
// that one of them states, or for which they have different ranges, counts with
// what it does to the level of its design alone. Changes combine as those of a Band
// do; where hysteresis lets a design rest at other levels than the one its run comes
// to, how far these lie off counts as one change more.
type Difference struct {
	Of           Compared      // what was compared
	Value        metric.Figure // K, this design's rise over its room less the reference's
	Below, Above float64       // K, zero or more: how far the true difference may lie below and above
	Unknown      string        // why there is no band; Below and Above then mean nothing
	Effects      []Effect      // what makes the band, the largest first
	Failed       int           // how many of them miss a change; the band is then at least as wide as it says
}

// Compared says what of the subject was compared.
type Compared string

const (
	Levels Compared = "level" // where the load of the phase leads, if both designs have that
	Peaks  Compared = "peak"  // else the highest in the phase; no band is known of those
)

// Effect is what one assumed figure does to a difference, K.
type Effect struct {
	spec.Assumed
	Change
	In Whose
}

// Whose says which of two designs leave a figure open.
type Whose string

const (
	Both  Whose = "both"      // it is off the same way in both
	Other Whose = "reference" // open in the reference alone, or there with a range of its own
	This  Whose = "this"      // likewise in the other
)

// LeastDifference is the smallest difference that is worth telling apart, K; below
// it two designs tie whatever the band. A good bench repeats within 0.1 to 0.3 K
// (common practice, no source), so nobody could see less.
const LeastDifference = 0.05

// Verdict is what a difference amounts to.
type Verdict string

const (
	Tie         Verdict = "tie"     // they cannot be told apart
	Cooler      Verdict = "cooler"  // than the reference
	Warmer      Verdict = "warmer"  // likewise
	Undecidable Verdict = "unknown" // there is no difference, or none whose band is known
)

// Verdict says what the difference amounts to. Two designs tie where the band
// reaches from the difference to zero or beyond, or the difference is below
// LeastDifference.
func (d *Difference) Verdict() Verdict {
	x := d.Value.Value
	switch {
	case !d.Value.OK():
		return Undecidable
	case math.Abs(x) < LeastDifference:
		return Tie
	case d.Unknown != "":
		return Undecidable
	case x-d.Below <= 0 && x+d.Above >= 0:
		return Tie
	case x < 0:
		return Cooler
	}
	return Warmer
}

// newDifference compares a design with the reference, which comes first.
func newDifference(first, this *candidate) *Difference {
	d := &Difference{Unknown: "there is no difference"}
	why := cmp.Or(first.incomparable(first.called), this.incomparable("it"))
	if why == "" {
		why = unlike(first, this)
	}
	if why != "" {
		d.Value = metric.Missing(why)
		return d
	}
	a, b := first.phase(), this.phase()
	rooms := this.room() - first.room()
	if !a.Level.OK() || !b.Level.OK() {
		d.Of, d.Value = Peaks, metric.Known(b.Peak-a.Peak-rooms)
		d.Unknown = "peaks are compared, since " + unsettled(first, this) + "; how sure a peak is takes runs"
		return d
	}
	d.Of, d.Value = Levels, metric.Known(b.Level.Value-a.Level.Value-rooms)
	switch {
	case first.varied == nil:
		d.Unknown = "of " + first.called + ": " + strings.TrimPrefix(first.unknown, "study: ")
	case this.varied == nil:
		d.Unknown = strings.TrimPrefix(this.unknown, "study: ")
	default:
		d.Unknown, d.Effects = "", effects(first.varied, this.varied)
		d.combine(a, b)
	}
	return d
}

// room returns the room's temperature at the start, K.
func (r *Row) room() float64 { return r.Result.Plan.Scenario.Ambient.Temperature.Value }

// incomparable says why a design, called who, has no figures to compare, or nothing.
func (c *candidate) incomparable(who string) string {
	switch {
	case c.Err != nil:
		return who + " could not be run"
	case c.Result.Status != sim.Done:
		return who + " ended early: " + c.Result.Reason
	case c.Phase < 0:
		return "nothing warms in " + who
	}
	return ""
}

// unlike says that the figures of two designs are of different things, or nothing.
func unlike(first, this *candidate) string {
	a, b := first.Result.Plan, this.Result.Plan
	if a.Scenario.Figures.Of == b.Scenario.Figures.Of && a.Subject.Kind == b.Subject.Kind {
		return ""
	}
	return fmt.Sprintf("its figures are of %s, those of %s of %s", b.Subject.Path, first.called, a.Subject.Path)
}

// unsettled says which of two designs has no level, and why.
func unsettled(first, this *candidate) string {
	if f := first.phase().Level; !f.OK() {
		return first.called + " has no level: " + f.Why
	}
	return "it has no level: " + this.phase().Level.Why
}

// effects pairs the changes of two designs' levels: figures that are the reference's or
// both's in its order, then those that are the other's alone.
func effects(first, this *variations) []Effect {
	var all []Effect
	shared := make(map[int]bool)
	for i, f := range first.varied {
		at := func(v *variations, i, end int) metric.Figure { return v.changes[ends*i+end][0] }
		e := Effect{Assumed: f.Assumed, In: Other}
		k := slices.IndexFunc(this.varied, func(g figure) bool { return oneFigure(f.Assumed, g.Assumed) })
		for end, change := range []*metric.Figure{&e.AtLow, &e.AtHigh} {
			if k < 0 {
				*change = less(metric.Known(0), at(first, i, end))
				continue
			}
			e.In, shared[k] = Both, true
			*change = less(at(this, k, end), at(first, i, end))
		}
		all = append(all, e)
	}
	for k, g := range this.varied {
		if !shared[k] {
			changes := Change{AtLow: this.changes[ends*k+low][0], AtHigh: this.changes[ends*k+high][0]}
			all = append(all, Effect{Assumed: g.Assumed, In: This, Change: changes})
		}
	}
	return all
}

// oneFigure reports whether two designs leave the same figure open.
func oneFigure(a, b spec.Assumed) bool {
	return a.Path == b.Path && a.Dimension == b.Dimension && a.Low == b.Low && a.High == b.High
}

// less returns f - g, or whichever of them is missing.
func less(f, g metric.Figure) metric.Figure {
	if !g.OK() {
		return g
	}
	return f.Minus(g.Value)
}

// combine makes the band of the effects and of where the two designs may rest, and
// sorts the effects by size.
func (d *Difference) combine(first, this *metric.Phase) {
	for _, e := range d.Effects {
		below, above := e.reach()
		d.Below, d.Above = math.Hypot(d.Below, below), math.Hypot(d.Above, above)
		if !e.OK() {
			d.Failed++
		}
	}
	lower, higher := rests(this)
	d.Below, d.Above = math.Hypot(d.Below, lower), math.Hypot(d.Above, higher)
	lower, higher = rests(first)
	d.Below, d.Above = math.Hypot(d.Below, higher), math.Hypot(d.Above, lower)
	slices.SortStableFunc(d.Effects, func(a, b Effect) int { return cmp.Compare(b.size(), a.size()) })
}

// rests returns how far below and above its level hysteresis lets a subject rest, K.
func rests(p *metric.Phase) (lower, higher float64) {
	if p.Kind != metric.Pair || !p.Rising.OK() || !p.Falling.OK() {
		return 0, 0
	}
	return max(0, p.Level.Value-p.Falling.Value), max(0, p.Rising.Value-p.Level.Value)
}
