package sim_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/fluid"
	"soakledger/sim/spec"
)

// steady is a coolant whose figures are the same at every temperature, so that
// closed forms hold to rounding.
var steady = spec.Coolant{Fluid: "constant", Density: spec.Some(998), SpecificHeat: spec.Some(4180)}

// bench is a heated tube and one radiator in a ring of a fixed flow (L/min). Fans
// and pump draw nothing: all heat is that of the tube.
func bench(p spec.Part, litres, power float64) *spec.Scenario {
	s := base(22)
	s.Coolant = steady
	if p.Radiator.Fans.Power == (spec.Number{}) {
		p.Radiator.Fans.Power = spec.Some(0)
	}
	heat, driver := tube("heat", 0.1), pump("pump", litres)
	heat.Power, driver.Power = watts(power), watts(0)
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{driver, heat, p, reservoir("res", 20)}}}
	s.Duration = spec.Some(600)
	return s.Named()
}

// leads finds where the load at the start leads.
func leads(t testing.TB, s *spec.Scenario) airLevel {
	t.Helper()
	l, err := sim.LevelsOf(s.Named(), 0)
	if err != nil {
		t.Fatal(err)
	}
	return levelOf(l)
}

// airLevel is a machine at its level, with the network brought there.
type airLevel struct{ *sim.Levels }

func levelOf(l *sim.Levels) airLevel {
	n := l.Plan.Network
	at := make([]float64, len(l.Plan.Nodes))
	for i, node := range l.Plan.Nodes {
		at[i] = l.Of(node).Value
	}
	states, quads := n.Dim()
	y := make([]float64, states+quads)
	n.States(at, y[:states])
	n.Bring(0, y)
	return airLevel{l}
}

// of returns the level of the last node of a path, K.
func (l airLevel) of(path string) float64 {
	nodes := l.Plan.Find(path)
	return l.Of(nodes[len(nodes)-1]).Value
}

// way returns the air of a radiator.
func (l airLevel) way(name string) assemble.AirWay { return wayOf(l.Plan, name) }

func wayOf(p *assemble.Plan, name string) assemble.AirWay {
	for _, w := range p.Air {
		if w.Name == name {
			return w
		}
	}
	panic("no radiator " + name)
}

// air returns the temperatures (K) of a radiator's air at inlet and outlet, and
// the heat (W) that it takes up.
func (l airLevel) air(name string) (inlet, outlet, heat float64) {
	return l.Plan.Network.Air(l.way(name).Pass)
}

// airRate returns the capacity rate of a radiator's air, W/K.
func (l airLevel) airRate(name string) float64 { return l.Plan.Inputs.Air[l.way(name).Pass].Rate }

// into returns the level (K) of the coolant that comes to a radiator.
func (l airLevel) into(name string) float64 {
	cells := l.Plan.Loops[0].Cells
	first := l.Plan.Find(name + ".coolant")[0].Lump
	for i, c := range cells {
		if c == first {
			return l.Of(l.Plan.Nodes[cells[(i+len(cells)-1)%len(cells)]]).Value
		}
	}
	panic("no cell of " + name)
}

// coolantRate returns the capacity rate (W/K) of the first loop's coolant at a
// temperature (K).
func (l airLevel) coolantRate(temperature float64) float64 {
	mass, _ := l.Plan.Network.Quantity(l.Plan.Loops[0].Circuit, 0, temperature)
	return mass * l.Plan.Coolant.SpecificHeat(temperature)
}

// drawAir draws a sound machine with everything that air can do: a case or none,
// fans of the case, up to three radiators by any mount, behind one another or
// breathing mixtures, with fans that stand, run or have failed.
func drawAir(t *rapid.T) *spec.Scenario {
	d := drawer{t}
	s := base(d.number("ambient", 15, 30))
	s.Ambient.Altitude, s.Ambient.Humidity = spec.Some(d.number("altitude", 0, 3000)), spec.Some(d.number("humidity", 0.1, 0.9))
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(d.number("power", 20, 200))}}
	if d.flip("case") {
		s.Case = d.box()
	}
	if d.flip("room") {
		s.Room = &spec.Room{}
	}
	parts := []spec.Part{pump("pump", rapid.SampledFrom([]float64{0.5, 1, 3, 8}).Draw(t, "flow")), tube("tube", 0.3), cooling("cpu")}
	whole := map[string]bool{} // radiators of which another one breathes all
	for i := range rapid.IntRange(1, 3).Draw(t, "radiators") {
		parts = append(parts, d.airRadiator(s, i, whole))
	}
	s.Loops = []spec.Loop{{Name: "main", Parts: append(parts, reservoir("res", 100))}}
	s.Duration = spec.Some(d.number("duration", 5, 600))
	return s.Named()
}

// box is a case with up to three fans of its own.
func (d drawer) box() *spec.Case {
	c := &spec.Case{Volume: spec.Some(d.number("volume", 5e-3, 80e-3)), Vents: spec.Some(rapid.SampledFrom([]float64{0, 0.002, 0.02}).Draw(d.t, "vents"))}
	if d.flip("other heat") {
		c.OtherHeat = watts(d.number("heat in the case", 0, 100))
	}
	for i := range rapid.IntRange(0, 3).Draw(d.t, "case fans") {
		c.Fans = append(c.Fans, spec.Fan{
			Name: fmt.Sprintf("fan%d", i), Moves: rapid.SampledFrom([]string{"in", "out"}).Draw(d.t, "moves"),
			Count: spec.Some(float64(rapid.IntRange(1, 3).Draw(d.t, "count"))), Size: spec.Some(rapid.SampledFrom([]float64{0.12, 0.14}).Draw(d.t, "frame")),
			Speed: turns(d.rpm()), Grille: d.word("grille", "none", "open mesh", "punched sheet"), Filter: d.word("filter", "none", "coarse", "fine"),
		})
	}
	return c
}

// rpm is a speed of fans, or none.
func (d drawer) rpm() float64 {
	return rapid.SampledFrom([]float64{0, 400, 700, 1000, 1400, 1800}).Draw(d.t, "rpm")
}

// word is one of several, or none.
func (d drawer) word(what string, words ...string) string {
	return rapid.SampledFrom(append([]string{""}, words...)).Draw(d.t, what)
}

// airRadiator is one by its core or, now and then, by a conductance, that takes
// its air from somewhere.
func (d drawer) airRadiator(s *spec.Scenario, i int, whole map[string]bool) spec.Part {
	p := sized(fmt.Sprintf("rad%d", i), rapid.SampledFrom([]float64{120, 140, 240, 280, 360}).Draw(d.t, "size"), d.rpm())
	r := p.Radiator
	r.Cells = spec.Some(float64(rapid.IntRange(1, 5).Draw(d.t, "cells")))
	r.Fans.Arrangement = d.word("arrangement", "push", "pull", "push-pull")
	if d.flip("failed") {
		r.Fans.Failed = spec.Some(1)
	}
	if rapid.IntRange(0, 4).Draw(d.t, "known by") == 0 {
		r.Conductance = spec.Some(d.number("conductance", 2, 30))
	} else {
		d.core(r)
	}
	d.breath(s, r, i, whole)
	return p
}

// core draws the geometry of a radiator and what stands before it.
func (d drawer) core(r *spec.Radiator) {
	r.Thickness, r.FinsPerInch = spec.Some(d.number("thickness", 0.02, 0.07)), spec.Some(d.number("fins", 8, 25))
	r.Core.Fins = d.word("style", "plain", "louvred", "strip")
	r.Grille, r.Filter = d.word("grille", "none", "open mesh", "punched sheet"), d.word("filter", "none", "coarse", "fine")
	if d.flip("gap") {
		r.Gap = spec.Some(d.number("shroud", 0, 0.03))
	}
	if d.flip("dust") {
		r.Blocked = spec.Some(d.number("blocked", 0, 0.6))
	}
	if d.flip("recirculation") {
		r.Recirculation = spec.Some(d.number("recirculated", 0, 0.5))
	}
}

// breath draws where a radiator's air comes from and goes to: by its mount, or
// room, case or the exhaust of one before it, or a mixture.
func (d drawer) breath(s *spec.Scenario, r *spec.Radiator, i int, whole map[string]bool) {
	sides := []string{"room"}
	if s.Case != nil {
		sides = append(sides, "case")
		r.Mount = d.word("mount", "bottom", "top", "front", "rear", "outside")
		r.Exhausts = d.word("exhausts", sides...)
	}
	from := append([]string{}, sides...)
	for k := range i {
		from = append(from, fmt.Sprintf("rad%d", k))
	}
	r.Breathes.From = d.word("from", from...)
	one := r.Breathes.From
	if len(from) > 1 && one != "" && d.flip("mixture") {
		r.Breathes.Share = spec.Some(d.number("share", 0.05, 0.95))
		r.Breathes.Rest = rapid.SampledFrom(from).Filter(func(word string) bool { return word != one }).Draw(d.t, "rest")
		return
	}
	if whole[one] {
		r.Breathes.From = "room" // a second one cannot breathe all of it
	}
	whole[one] = one != "" && one != "room" && one != "case"
}

// waterAt25 returns water's figures at 25 degC: density times specific heat,
// J/(m3 K).
func waterAt25() float64 {
	w := fluid.Water()
	return w.Density(298.15) * w.SpecificHeat(298.15)
}
