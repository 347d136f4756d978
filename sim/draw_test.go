package sim_test

import (
	"fmt"

	"pgregory.net/rapid"

	"soakledger/sim/spec"
)

// drawMachine draws a sound scenario: one or two chips under any work, one loop
// that cools them with its parts in any order, free lumps with coolant or
// without, held temperatures, streams and links between all of them.
func drawMachine(t *rapid.T) *spec.Scenario {
	d := drawer{t}
	s := base(d.number("ambient", 15, 30))
	s.Coolant = rapid.SampledFrom([]spec.Coolant{
		{}, {Fluid: "water"}, {Fluid: "propylene glycol", VolumeShare: spec.Some(0.3)}, {Fluid: "ethylene glycol", MassShare: spec.Some(0.2)},
		{Fluid: "constant", Density: spec.Some(1000), SpecificHeat: spec.Some(4000)},
	}).Draw(t, "coolant")
	s.Work = []spec.Work{d.work("w1"), d.work("w2")}
	var parts []spec.Part
	for i := range rapid.IntRange(0, 2).Draw(t, "chips") {
		name := fmt.Sprintf("chip%d", i)
		s.Chips = append(s.Chips, d.chip(name))
		parts = append(parts, blockOn("block_"+name, name, d.number("plate", 30, 300)))
	}
	if len(parts) > 0 || d.flip("a loop") {
		s.Loops = []spec.Loop{{Name: "main", Parts: d.parts(parts)}}
	}
	d.freeLumps(s)
	s.Duration = spec.Some(d.number("duration", 5, 600))
	s.Record.Every = spec.Some(rapid.SampledFrom([]float64{0.7, 1, 5}).Draw(t, "every"))
	s.Solver.Tolerance = spec.Some(rapid.SampledFrom([]float64{2e-4, 1e-5, 1e-2}).Draw(t, "tolerance")) // none of them matters to the ledger
	s.Start.Rule = rapid.SampledFrom([]string{"", "", "ambient", "idle", "level"}).Draw(t, "start")
	return s.Named()
}

// drawer draws what a machine is made of.
type drawer struct{ t *rapid.T }

func (d drawer) number(what string, low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(d.t, what)
}

func (d drawer) flip(what string) bool { return rapid.Bool().Draw(d.t, what) }

// work is steps, or on and off.
func (d drawer) work(name string) spec.Work {
	w := spec.Work{Name: name, Repeat: rapid.SampledFrom([]spec.Repeat{{}, {Count: 3}, forever}).Draw(d.t, "repeat")}
	if d.flip("on and off") {
		w.On, w.Off = spec.Some(d.number("on", 1, 200)), spec.Some(d.number("off", 1, 200))
		return w
	}
	for range rapid.IntRange(1, 4).Draw(d.t, "steps") {
		w.Steps = append(w.Steps, spec.Step{For: spec.Some(d.number("for", 1, 200)), Power: share(d.number("share", 0, 1))})
	}
	return w
}

func (d drawer) chip(name string) spec.Chip {
	c := spec.Chip{Name: name, Power: watts(d.number("power", 0, 200))}
	c.Work = rapid.SampledFrom([]string{"", "w1", "w2"}).Draw(d.t, "work")
	if d.flip("leakage") {
		c.Leakage = leak(d.number("leakage", 0, 20), 60, d.number("growth", 0, 0.02))
		c.Leakage.Form = rapid.SampledFrom([]string{"", "linear", "exponential"}).Draw(d.t, "form")
	}
	return c
}

// parts adds pump, radiators, tubes and reservoir to blocks, in any order.
func (d drawer) parts(parts []spec.Part) []spec.Part {
	parts = append(parts, pump("pump", rapid.SampledFrom([]float64{0, 0.1, 1, 4, 8}).Draw(d.t, "flow")))
	for i := range rapid.IntRange(0, 2).Draw(d.t, "radiators") {
		r := radiatorPart(fmt.Sprintf("rad%d", i), d.number("conductance", 2, 40))
		r.Radiator.Cells = spec.Some(float64(rapid.IntRange(1, 6).Draw(d.t, "cells")))
		if d.flip("powered radiator") {
			r.Power = watts(5)
		}
		parts = append(parts, r)
	}
	for i := range rapid.IntRange(0, 2).Draw(d.t, "tubes") {
		parts = append(parts, tube(fmt.Sprintf("tube%d", i), d.number("length", 0.05, 2)))
	}
	if d.flip("reservoir") {
		parts = append(parts, reservoir("res", d.number("volume", 20, 1000)))
	}
	return rapid.Permutation(parts).Draw(d.t, "order")
}

// freeLumps adds masses, pools with a stream through them and links.
func (d drawer) freeLumps(s *spec.Scenario) {
	ends := []string{"ambient"}
	for _, c := range s.Chips {
		ends = append(ends, c.Name+".die", c.Name+".spreader")
	}
	if len(s.Loops) > 0 {
		ends = append(ends, "pump.coolant")
	}
	add := func(l spec.Lump) {
		s.Lumps = append(s.Lumps, l)
		s.Links = append(s.Links, conduct(l.Name, rapid.SampledFrom(ends).Draw(d.t, "end"), d.number("link", 0, 20)))
		ends = append(ends, l.Name)
	}
	add(lump("iron", d.number("capacity", 1, 1e5)))
	if d.flip("board") {
		l := lump("board", d.number("capacity", 1, 1e4))
		l.Power = watts(d.number("board power", 0, 30))
		if len(s.Chips) > 0 && d.flip("a share") {
			l.Power = shareOf(0.1, s.Chips[0].Name)
		}
		add(l)
	}
	if d.flip("bath") {
		s.Lumps = append(s.Lumps, spec.Lump{Name: "bath", HeldAt: spec.Some(d.number("bath", 10, 50) + zeroCelsius)})
		ends = append(ends, "bath")
	}
	if d.flip("pools") {
		add(pool("p1", d.number("holds", 1, 2000)))
		add(pool("p2", d.number("holds", 1, 2000)))
		from := ends[0]
		if d.flip("from the bath") && ends[len(ends)-3] == "bath" {
			from = "bath"
		}
		litres := d.number("stream", 0, 5)
		s.Links = append(s.Links, flow(from, "p1", litres), flow("p1", "p2", litres), flow("p2", "ambient", litres))
	}
}

// silence takes every source of heat out of a scenario.
func silence(s *spec.Scenario) {
	for i := range s.Chips {
		s.Chips[i].Power, s.Chips[i].Leakage, s.Chips[i].Work, s.Chips[i].Idle = watts(0), spec.Leakage{}, "", spec.Number{}
	}
	for i := range s.Loops {
		for j := range s.Loops[i].Parts {
			s.Loops[i].Parts[j].Power = watts(0)
		}
	}
	for i := range s.Lumps {
		if s.Lumps[i].Power.Set() {
			s.Lumps[i].Power = watts(0)
		}
	}
}
