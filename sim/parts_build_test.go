package sim_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// The parts of these tests are driven by the head of their pump and know their
// class alone, unless a test needs more.

// drive is a pump of a class at a share of its rated speed. It draws nothing, so
// that a faster one brings no more heat.
func drive(class string, speed float64) spec.Part {
	return spec.Part{Kind: "pump", Name: "pump", Power: watts(0),
		Pump: &spec.Pump{Class: class, Speed: spec.Speed{Share: spec.Some(speed)}}}
}

// cooling is a block of its usual figures on a chip.
func cooling(chip string) spec.Part {
	return spec.Part{Kind: "block", Name: "block_" + chip, Block: &spec.Block{Cools: chip}}
}

// sized is a slim radiator by its size (mm) and the speed of its fans (rpm).
func sized(name string, size, rpm float64) spec.Part {
	return spec.Part{Kind: "radiator", Name: name,
		Radiator: &spec.Radiator{Size: spec.Some(size * 1e-3), Fans: spec.Fans{Speed: turns(rpm)}}}
}

// desktop is one chip in a small loop with a radiator of 240 mm.
func desktop(power, speed, rpm float64) *spec.Scenario {
	s := base(22)
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(power)}}
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{
		reservoir("res", 150), drive("small", speed), tube("tube_1", 0.3), cooling("cpu"), tube("tube_2", 0.3), sized("top", 240, rpm), tube("tube_3", 0.3),
	}}}
	s.Duration = spec.Some(3600)
	return s
}

// settled is a machine at its level.
type settled struct {
	*sim.Result
	t testing.TB
}

// atLevel starts a scenario from its level, keeps it there for a minute, and
// makes sure that it stays.
func atLevel(t testing.TB, s *spec.Scenario) settled {
	t.Helper()
	s = s.Clone()
	s.Start, s.Duration = spec.Start{Rule: "level"}, spec.Some(60)
	s.Record.Resolution = spec.Some(0)
	l := settled{run(t, s), t}
	for i, n := range l.Plan.Nodes {
		if moved := l.Highest[i] - l.Lowest[i]; !(moved < 1e-4) {
			t.Errorf("%s moves by %g K from the level", n.Path, moved)
		}
	}
	return l
}

// of returns the level of a node, degC.
func (l settled) of(path string) float64 {
	l.t.Helper()
	nodes := l.Plan.Find(path)
	if len(nodes) == 0 {
		l.t.Fatalf("there is no %s", path)
	}
	return l.Trace.Floats(l.Trace.Col(nodes[len(nodes)-1].Column + "_c"))[0]
}

// flow returns the flow of a loop at the level, m3/s.
func (l settled) flow(loop int) float64 {
	q := l.Plan.Loops[loop]
	return l.Plan.FlowAt(q, l.of(l.Plan.Nodes[q.Outlet].Path)+zeroCelsius)
}

// drawRing draws a sound loop of classes, sizes and branches on one chip, with
// its pump at a given share of its speed.
func drawRing(t *rapid.T, speed float64) *spec.Scenario {
	d := drawer{t}
	s := base(d.number("ambient", 15, 30))
	s.Coolant = rapid.SampledFrom([]spec.Coolant{
		{}, {Fluid: "propylene glycol", MassShare: spec.Some(0.4)}, {Fluid: "ethylene glycol", VolumeShare: spec.Some(0.2)},
	}).Draw(t, "coolant")
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(d.number("power", 0, 150))}}
	s.Chips[0].Class = rapid.SampledFrom([]string{"", "compact desktop", "workstation", "bare die graphics"}).Draw(t, "chip")
	block := cooling("cpu")
	block.Block.Class = rapid.SampledFrom([]string{"", "processor block", "full-cover block"}).Draw(t, "block")
	parts := []spec.Part{drive(rapid.SampledFrom([]string{"small", "large"}).Draw(t, "pump"), speed)}
	if d.flip("block in a branch") {
		parts = append(parts, spec.Part{Branches: []spec.Branch{{Parts: []spec.Part{block}}, {Parts: d.way("beside")}}})
	} else {
		parts = append(parts, block)
	}
	for i := range rapid.IntRange(1, 2).Draw(t, "radiators") {
		parts = append(parts, d.radiator(fmt.Sprintf("rad%d", i)))
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "ways") {
		parts = append(parts, d.way(fmt.Sprintf("way%d", i))...)
	}
	if d.flip("reservoir") {
		parts = append(parts, reservoir("res", d.number("volume", 20, 1000)))
	}
	s.Loops = []spec.Loop{{Name: "main", Parts: rapid.Permutation(parts).Draw(t, "order")}}
	if d.flip("case") {
		s.Case = &spec.Case{OtherHeat: watts(d.number("other heat", 0, 60))}
	}
	if d.flip("room") {
		s.Room = &spec.Room{}
	}
	s.Duration = spec.Some(d.number("duration", 5, 600))
	return s.Named()
}

// way is a tube, one with a fitting, or a fork of tubes.
func (d drawer) way(name string) []spec.Part {
	one := func(name string) spec.Part {
		p := tube(name, d.number("length", 0.05, 2))
		p.Tube.Bore = spec.Some(d.number("bore", 0.006, 0.013))
		p.Tube.Material = rapid.SampledFrom([]string{"", "soft pvc", "glass", "copper"}).Draw(d.t, "material")
		return p
	}
	switch rapid.IntRange(0, 2).Draw(d.t, "way") {
	case 0:
		return []spec.Part{one(name)}
	case 1:
		class := rapid.SampledFrom([]string{"", "elbow", "coupling pair"}).Draw(d.t, "fitting")
		return []spec.Part{one(name), {Kind: "fitting", Name: name + "_ends", Fitting: &spec.Fitting{Class: class, Count: spec.Some(2)}}}
	}
	return []spec.Part{{Branches: []spec.Branch{{Parts: []spec.Part{one(name + "_a")}}, {Parts: []spec.Part{one(name + "_b")}}}}}
}

// radiator is one by size, by points or by a conductance.
func (d drawer) radiator(name string) spec.Part {
	p := sized(name, rapid.SampledFrom([]float64{120, 140, 240, 280, 360}).Draw(d.t, "size"), rapid.SampledFrom([]float64{0, 500, 1000, 1800}).Draw(d.t, "fans"))
	r := p.Radiator
	r.Class = rapid.SampledFrom([]string{"", "slim", "thick"}).Draw(d.t, "class")
	r.Cells = spec.Some(float64(rapid.IntRange(1, 8).Draw(d.t, "cells")))
	switch rapid.IntRange(0, 2).Draw(d.t, "known by") {
	case 0:
		sections := math.Floor(r.Size.Value / 0.12) // more than this the air of usual fans does not carry
		r.Points = []spec.SpeedConductance{
			{Speed: spec.Some(500.0 / 60), Conductance: spec.Some(sections * d.number("slow", 1.2, 2.8))},
			{Speed: spec.Some(1500.0 / 60), Conductance: spec.Some(sections * d.number("fast", 4, 9))},
		}
		r.Per = rapid.SampledFrom([]string{"", "inlet", "mean"}).Draw(d.t, "per")
	case 1:
		r.Conductance = spec.Some(d.number("conductance", 2, 60))
	}
	if d.flip("weighed") {
		p.Empty, p.Full = spec.Some(d.number("empty", 0.4, 2)), spec.Some(d.number("full", 2.05, 2.5))
	}
	return p
}

// finite fails where a trace holds anything that is no number.
func finite(t *rapid.T, r *sim.Result) {
	for k, c := range r.Trace.Table().Columns {
		if k == 0 {
			continue // the run
		}
		for _, x := range r.Trace.Floats(k) {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%s is %g", c.Name, x)
			}
		}
	}
}
