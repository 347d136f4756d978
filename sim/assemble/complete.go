package assemble

import (
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// Complete returns a copy of s in which every figure that a run needs is set,
// and the list of those that were not stated. s itself stays as it is.
func Complete(s *spec.Scenario) (*spec.Scenario, []spec.Assumed) {
	c := completer{s: s.Clone()}
	c.number("ambient.temperature", &c.s.Ambient.Temperature, part.Ambient())
	c.coolant()
	for i := range c.s.Chips {
		c.chip(&c.s.Chips[i])
	}
	for i := range c.s.Loops {
		for j := range c.s.Loops[i].Parts {
			c.part(&c.s.Loops[i].Parts[j])
		}
	}
	for i := range c.s.Lumps {
		c.lump(&c.s.Lumps[i])
	}
	c.settings()
	return c.s, c.assumed
}

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

// coolant fills the fluid where the scenario has something to fill.
func (c *completer) coolant() {
	if c.s.Coolant.Fluid != "" || !holdsCoolant(c.s) {
		return
	}
	c.s.Coolant.Fluid = "water"
	c.assumed = append(c.assumed, spec.Assumed{Path: "coolant.fluid", Text: "water", Source: "common practice, no source"})
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

func (c *completer) chip(chip *spec.Chip) {
	at := chip.Name + "."
	c.number(at+"die_to_plate", &chip.DieToPlate, part.DieToPlate())
	c.number(at+"die_share", &chip.DieShare, part.DieShare())
	c.number(at+"die_capacity", &chip.DieCapacity, part.DieCapacity())
	c.number(at+"spreader_capacity", &chip.SpreaderCapacity, part.SpreaderCapacity())
	c.number(at+"shutdown", &chip.Shutdown, part.Shutdown())
	if c.rests(chip.Work) {
		c.number(at+"idle", &chip.Idle, part.ChipIdle())
	}
	c.leakage(at, &chip.Leakage)
}

// rests reports whether a chip that follows the named work draws its idle
// power at some time of the run, or is asked for it by the start.
func (c *completer) rests(name string) bool {
	w := findWork(c.s, name)
	switch {
	case w == nil:
		return false
	case w.Off.Set:
		return true
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

func (c *completer) part(p *spec.Part) {
	at := p.Name + "."
	switch {
	case p.Pump != nil:
		c.number(at+"flow", &p.Pump.Flow, part.PumpFlow())
		if !p.Power.Set() && p.Work == "" {
			c.number(at+"power", &p.Power.Watts, part.PumpPower())
		}
		c.number(at+"holds", &p.Holds, part.PumpVolume())
	case p.Tube != nil:
		if !p.Holds.Set {
			c.number(at+"bore", &p.Tube.Bore, part.TubeBore())
			c.number(at+"length", &p.Tube.Length, part.TubeLength())
		}
	case p.Block != nil:
		c.number(at+"film_conductance", &p.Block.FilmConductance, part.BlockFilm())
		c.number(at+"plate_capacity", &p.Block.PlateCapacity, part.PlateCapacity())
		c.number(at+"holds", &p.Holds, part.BlockVolume())
	case p.Radiator != nil:
		c.radiator(at, p)
	case p.Reservoir != nil:
		if !p.Holds.Set {
			c.number(at+"volume", &p.Reservoir.Volume, part.ReservoirVolume())
		}
	}
}

func (c *completer) radiator(at string, p *spec.Part) {
	r := p.Radiator
	if r.Per == "" {
		r.Per = "inlet"
		c.assumed = append(c.assumed, spec.Assumed{Path: at + "per", Text: "inlet", Source: "common practice, no source"})
	}
	c.number(at+"test_flow", &r.TestFlow, part.RadiatorTestFlow())
	film := part.RadiatorFilm()
	if r.Conductance.Set {
		g := r.Conductance.Value
		c.number(at+"film_conductance", &r.FilmConductance, part.Default{
			Value: g * film.Value, Low: g * film.Low, High: g * film.High, Dimension: spec.Conductance, Source: film.Source,
		})
	}
	c.number(at+"metal_capacity", &r.MetalCapacity, part.RadiatorMetal())
	c.number(at+"holds", &p.Holds, part.RadiatorVolume())
	if !r.Cells.Set {
		r.Cells = spec.Some(part.RadiatorCells().Value) // a matter of the model, not of the machine
	}
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
