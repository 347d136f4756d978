package assemble

import (
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// Complete returns a copy of s in which every figure that a run needs is set,
// and the list of those that were not stated. The copy is of the scenario by
// itself, without its study; s stays as it is.
func Complete(s *spec.Scenario) (*spec.Scenario, []spec.Assumed) {
	c := completer{s: s.Alone()}
	c.ambient()
	c.coolant()
	for i := range c.s.Chips {
		c.chip(&c.s.Chips[i])
	}
	c.surroundings()
	for i := range c.s.Loops {
		c.loop(&c.s.Loops[i])
	}
	for i := range c.s.Lumps {
		c.lump(&c.s.Lumps[i])
	}
	c.settings()
	return c.s, c.assumed
}

// ambient fills the room's first temperature.
func (c *completer) ambient() {
	a := &c.s.Ambient
	switch {
	case len(a.Schedule) > 0:
		a.Temperature = a.Schedule[0].Temperature
	case a.Log.Series != nil:
		a.Temperature = spec.Some(a.Log.Series.At(0))
	}
	c.number("ambient.temperature", &a.Temperature, part.Ambient())
}

// practice marks a figure of the trade that no publication backs.
const practice = "common practice, no source"

// completer fills a scenario in place.
type completer struct {
	s       *spec.Scenario
	assumed []spec.Assumed
}

// number sets n to the default if it is unset, and lists it.
func (c *completer) number(path string, n *spec.Number, d part.Default) {
	if n.Set {
		return
	}
	*n = spec.Some(d.Value)
	c.assumed = append(c.assumed, spec.Assumed{Path: path, Value: d.Value, Dimension: d.Dimension, Low: d.Low, High: d.High, Source: d.Source})
}

// text sets a word if it is unset, and lists it.
func (c *completer) text(path string, word *string, value, source string) {
	if *word != "" {
		return
	}
	*word = value
	c.assumed = append(c.assumed, spec.Assumed{Path: path, Text: value, Source: source})
}

// coolant fills the fluid where the scenario has something to fill.
func (c *completer) coolant() {
	if c.s.Coolant.Fluid != "" || !holdsCoolant(c.s) {
		return
	}
	c.text("coolant.fluid", &c.s.Coolant.Fluid, "water", practice)
}

// holdsCoolant reports whether any part or lump contains coolant.
func holdsCoolant(s *spec.Scenario) bool {
	for _, l := range s.Lumps {
		if l.Holds.Set {
			return true
		}
	}
	return len(s.Loops) > 0
}

// rests reports whether a chip that follows the named work draws its idle
// power at some time of the run, or is asked for it by the start.
func (c *completer) rests(name string) bool {
	w := findWork(c.s, name)
	switch {
	case w == nil:
		return false
	case w.Off.Set, w.Session != (spec.Session{}), w.Bursts.For.Set:
		return true
	case w.MeanOf != "":
		return c.rests(w.MeanOf)
	case w.Repeat.Forever:
		return false
	case c.s.Duration.Set || c.s.Start.Rule == "idle":
		return true
	}
	for i := range c.s.Work {
		if longer := &c.s.Work[i]; longer.Repeat.Forever || lasts(longer) > lasts(w) {
			return true
		}
	}
	return false
}

// lasts returns how long a pattern that ends runs, s.
func lasts(w *spec.Work) float64 {
	sum := w.On.Value + w.Off.Value
	for _, s := range w.Steps {
		sum += s.For.Value
	}
	if w.Log.Series != nil {
		sum += w.Log.Series.Duration()
	}
	return sum * float64(cycles(w.Repeat))
}

func (c *completer) leakage(at string, l *spec.Leakage) {
	if !l.Power.Set {
		return
	}
	c.number(at+"leakage.at", &l.At, part.LeakageAt())
	c.number(at+"leakage.growth", &l.Growth, part.LeakageGrowth())
	if l.Form == "" {
		l.Form = "exponential"
	}
}

func (c *completer) lump(l *spec.Lump) {
	c.leakage(l.Name+".", &l.Leakage)
}

// settings fills what describes the computation and not the machine; these are
// documented and not listed as assumed.
func (c *completer) settings() {
	set := func(n *spec.Number, v float64) {
		if !n.Set {
			*n = spec.Some(v)
		}
	}
	set(&c.s.Record.Every, 1)
	set(&c.s.Record.Resolution, 1.0/(1<<14))
	set(&c.s.Figures.Tail, 100)
	set(&c.s.Solver.Tolerance, 2e-4)
	set(&c.s.Solver.MaxStepsPerSecond, 1000)
	if c.s.Start.Rule == "" && len(c.s.Start.Nodes) == 0 {
		c.s.Start.Rule = "ambient"
	}
}

// findWork returns the named pattern, or nil.
func findWork(s *spec.Scenario, name string) *spec.Work {
	for i := range s.Work {
		if s.Work[i].Name == name && name != "" {
			return &s.Work[i]
		}
	}
	return nil
}
