package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
)

// print writes the card to stdout as the flags ask.
func (a *app) print(c *card, dir string, f runFlags) error {
	if f.quiet {
		return nil
	}
	if f.json {
		e := json.NewEncoder(a.stdout)
		e.SetIndent("", "  ")
		return e.Encode(c)
	}
	c.write(a.stdout)
	_, err := fmt.Fprintf(a.stdout, "\ndataset  %s\n", dir)
	return err
}

// write prints the card for people.
func (c *card) write(w io.Writer) {
	if c.Title != "" {
		fmt.Fprintf(w, "%s\n\n", c.Title)
	}
	if c.Reason != "" {
		fmt.Fprintf(w, "Ended early: %s.\n", c.Reason)
	}
	fmt.Fprintf(w, "%s\n\n", c.Sentence)
	line := func(label, format string, args ...any) {
		fmt.Fprintf(w, "%-15s %s\n", label, fmt.Sprintf(format, args...))
	}
	if h := c.Heating; h != nil {
		c.writeHeating(line, h)
		h.writeRepeats(line)
	}
	if k := c.Cooling; k != nil && !c.Faults {
		line("cool-down", "from %.1f degC towards %s; t95 %s; within 1 K %s, 0.5 K %s", k.BeginC, celsius(k.LevelC), time(k.ResponseS[2]), after(k.WithinS[0]), after(k.WithinS[1]))
	}
	c.writeSwing(line)
	c.writeModes(line)
	c.writeMachine(line)
	line("ledger", "%s; less than %s of it unaccounted for", joules(c.EnergyInJ, c.HeatOutJ, c.StoredJ), tenth(c.Residual))
	c.writeEvents(w)
	c.writeAgainst(w, line)
	c.writeLists(w)
}

// writeHeating prints the largest warming.
func (c *card) writeHeating(line func(label, format string, args ...any), h *cardPhase) {
	if h.LevelC != nil && c.Reason != "" {
		line("level", "%s would head for %.1f degC under %s; the model does not hold there", c.Subject, *h.LevelC, watts(h.PowerW))
	} else if h.LevelC != nil {
		line("level", "%s %.1f degC, %.1f K over %s (%.1f degC) under %s%s%s", c.Subject, *h.LevelC, *h.RiseK, c.Over, c.AmbientC, watts(h.PowerW), c.which(h), c.band())
		c.writeSplit(line, h)
		if c.BandMissing != "" {
			line("how sure", "not known: %s", c.BandMissing)
		}
		line("response", "t63 %s, t90 %s, t95 %s, t99 %s", time(h.ResponseS[0]), time(h.ResponseS[1]), time(h.ResponseS[2]), time(h.ResponseS[3]))
		line("stays within", "1 K %s, 0.5 K %s, 0.1 K %s", after(h.WithinS[0]), after(h.WithinS[1]), after(h.WithinS[2]))
		line("still to come", "%s K when the phase ends after %s", kelvin(*h.StillToCome), minutes(h.ToS-h.FromS))
		c.writeShortfall(line, h)
	} else {
		line("level", "none: %s", h.Missing["level_c"])
	}
	for _, m := range h.Marks {
		line("passes", "%.4g degC %s", m.AtC, after(m.AfterS))
	}
	for _, n := range h.Nodes {
		line(n.Node, "level %s, highest %s", celsius(n.LevelC), c.highest(h, n))
	}
}

// writeSplit prints what the rise is made of, each part with its own time.
func (c *card) writeSplit(line func(label, format string, args ...any), h *cardPhase) {
	var words []string
	for _, s := range h.Split {
		if s.LevelK == nil || math.Abs(*s.LevelK) < 0.05 {
			continue
		}
		text := fmt.Sprintf("%s %.1f K", s.Name, *s.LevelK)
		if s.T95S != nil {
			text += fmt.Sprintf(" (t95 %s)", minutes(*s.T95S))
		}
		words = append(words, text)
	}
	if len(words) > 0 {
		line("of which", "%s", strings.Join(words, ", "))
	}
}

// highest writes a node's peak, with its time unless the node has come to rest
// there, and its mean over the tail.
func (c *card) highest(h *cardPhase, n cardNode) string {
	text := fmt.Sprintf("%.1f degC", n.PeakC)
	if n.TailMeanC == nil || n.PeakC-*n.TailMeanC > 0.05 {
		text += fmt.Sprintf(" %s into the phase", minutes(n.PeakAtS-h.FromS))
	}
	if n.TailMeanC != nil {
		text += fmt.Sprintf("; mean of the last %.0f s %.1f, sd %.2f K", c.TailS, *n.TailMeanC, *n.TailSDK)
	}
	return text
}

// which says which phase the figures belong to, where there are more than a
// load and its cool-down.
func (c *card) which(p *cardPhase) string {
	if c.PhaseCount <= 2 {
		return ""
	}
	return fmt.Sprintf(" (phase %d of %d, from %s to %s)", p.Number, c.PhaseCount, minutes(p.FromS), minutes(p.ToS))
}

// writeShortfall prints what shorter tests would read low.
func (c *card) writeShortfall(line func(label, format string, args ...any), h *cardPhase) {
	var words []string
	for k, length := range []string{"5", "10", "15", "30"} {
		if h.ShortfallK[k] != nil {
			words = append(words, fmt.Sprintf("%s min %s K", length, kelvin(*h.ShortfallK[k])))
		}
	}
	if len(words) > 0 {
		line("reads low by", "%s", strings.Join(words, ", "))
	}
}

// writeModes prints the slowest time constants with their owners.
func (c *card) writeModes(line func(label, format string, args ...any)) {
	if len(c.Modes) == 0 {
		if c.ModesMissing != "" {
			line("time constants", "none: %s", c.ModesMissing)
		}
		return
	}
	var words []string
	last := math.Inf(1)
	for _, m := range c.Modes {
		if m.TauS > 0.9*last {
			continue // a twin tells a reader nothing new
		}
		last = m.TauS
		var who []string
		for _, o := range m.Owners {
			who = append(who, fmt.Sprintf("%s %.0f %%", o.Name, 100*o.Share))
		}
		words = append(words, fmt.Sprintf("%s (%s)", minutes(m.TauS), strings.Join(who, ", ")))
	}
	line("time constants", "%s", strings.Join(words, "; "))
}

// writeMachine prints flow, volume and capacity.
func (c *card) writeMachine(line func(label, format string, args ...any)) {
	for _, l := range c.Loops {
		label := "loop"
		if len(c.Loops) > 1 {
			label = l.Name
		}
		line(label, "%s, and round again; %.1f L/min", l.Order, l.FlowLM)
	}
	c.writeAir(line)
	c.writeSpeeds(line)
	c.writeCuts(line)
	c.writeInHand(line)
	if h := c.Heating; h != nil && h.CoolestC != nil && h.HottestC != nil {
		line("coolant", "%.0f mL; between %.1f and %.1f degC at the level", c.VolumeML, *h.CoolestC, *h.HottestC)
	}
	if c.VolumeML > 0 {
		line("to buy", "%s", c.toBuy())
	}
	if total := c.CoolantJK + c.MetalJK; c.CoolantJK > 0 {
		line("heat capacity", "%s: coolant %.0f %%, metal and walls %.0f %%; %.1f kg of metal", capacity(total), 100*c.CoolantJK/total, 100*c.MetalJK/total, c.MetalKG)
	} else {
		line("heat capacity", "%s", capacity(total))
	}
}

// toBuy writes the coolant to buy, and what the parts cost if that is stated.
func (c *card) toBuy() string {
	text := fmt.Sprintf("%.0f mL of coolant, 20 %% for bleeding included", math.Ceil(c.BuyML/50)*50)
	if c.Price != nil {
		text += fmt.Sprintf("; parts %.2f in the currency of the file", *c.Price)
	}
	return text
}

// writeLists prints cautions and what was assumed.
func (c *card) writeLists(w io.Writer) {
	for _, warning := range c.Warnings {
		fmt.Fprintf(w, "\nnote: %s\n", warning)
	}
	for _, caution := range c.Cautions {
		fmt.Fprintf(w, "\ncaution: %s\n", caution)
	}
	c.writeAssumed(w)
	fmt.Fprint(w, closing(c.Faults))
}

// closing ends what is printed of results: of such with faults, that nobody should try
// them.
func closing(faults bool) string {
	if faults {
		return "\nA calculation: do not try this on a machine, and keep the makers' cut-outs\nworking. Makers' instructions, local codes and licensed practice come first.\n"
	}
	return "\nA calculation, not a safety case: makers' instructions, local codes and\nlicensed practice come first.\n"
}

// writeAssumed prints what was not stated: where a band was found, the figures
// that move the level by as much as is worth naming, and the others by number.
func (c *card) writeAssumed(w io.Writer) {
	if len(c.Assumed) == 0 {
		return
	}
	if c.Band == nil {
		fmt.Fprintf(w, "\nassumed, because not stated (usual range):\n")
		for _, s := range c.Assumed {
			fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("  %-28s %-22s %s", s.Path, s.Value, s.Range), " "))
		}
		return
	}
	if len(c.Band.Terms) > 0 {
		fmt.Fprintf(w, "\nassumed, because not stated (usual range, and what either end does to the level):\n")
		for _, text := range c.Band.lines() {
			fmt.Fprintln(w, text)
		}
	}
	if c.Band.Rest > 0 {
		fmt.Fprintf(w, "%d assumed figures move the level by less than %g K, or are words; check lists them all\n", c.Band.Rest, worthNaming)
	}
}

// time writes a time in minutes or seconds, or that it was not reached.
func time(s *float64) string {
	if s == nil {
		return "not reached"
	}
	return minutes(*s)
}

// after writes when something happened, or that it did not.
func after(s *float64) string {
	if s == nil {
		return "not reached"
	}
	return "after " + minutes(*s)
}

// minutes writes a time (s) as a person would say it.
func minutes(s float64) string {
	switch {
	case s == 0:
		return "0 s"
	case s < 10:
		return fmt.Sprintf("%.1f s", s)
	case s < 99.5:
		return fmt.Sprintf("%.0f s", s)
	case s < 3600*3:
		return fmt.Sprintf("%.1f min", s/60)
	}
	return fmt.Sprintf("%.1f h", s/3600)
}

// kelvin writes a difference with the decimals it deserves.
func kelvin(k float64) string {
	switch a := math.Abs(k); {
	case a < 0.005:
		return "0.00"
	case a < 1:
		return fmt.Sprintf("%.2f", k)
	}
	return fmt.Sprintf("%.1f", k)
}

// celsius writes a temperature, or that there is none.
func celsius(t *float64) string {
	if t == nil {
		return "none"
	}
	return fmt.Sprintf("%.1f degC", *t)
}

// watts writes a power.
func watts(p float64) string { return fmt.Sprintf("%.0f W", p) }

// joules writes the three sums of a ledger in one unit, so that they can be
// added up by eye.
func joules(in, out, stored float64) string {
	unit, scale := "J", 1.0
	switch a := max(math.Abs(in), math.Abs(out), math.Abs(stored)); {
	case a >= 1e7:
		unit, scale = "MJ", 1e6
	case a >= 1e4:
		unit, scale = "kJ", 1e3
	}
	return fmt.Sprintf("%.1f %s in, %.1f %s out, %.1f %s stored", in/scale, unit, out/scale, unit, stored/scale, unit)
}

// tenth writes the power of ten above a ledger's residual: its digits are
// rounding, and differ between machines. Nobody needs less than 1e-12.
func tenth(residual float64) string {
	for e := -12; e < 0; e++ {
		if residual < math.Pow10(e) {
			return fmt.Sprintf("1e%d", e)
		}
	}
	return "1"
}

// capacity writes a heat capacity.
func capacity(c float64) string {
	if c >= 1000 {
		return fmt.Sprintf("%.2f kJ/K", c/1e3)
	}
	if c >= 10 {
		return fmt.Sprintf("%.0f J/K", c)
	}
	return fmt.Sprintf("%.2f J/K", c)
}
