package assemble

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"soakledger/sim/fluid"
	"soakledger/sim/spec"
)

const zeroCelsius = 273.15 // K

// coolantOf returns the fluid that a completed scenario names, or nil.
func coolantOf(s *spec.Scenario) (*fluid.Coolant, error) {
	c := s.Coolant
	kind := fluid.KindEthyleneGlycol
	switch c.Fluid {
	case "":
		return nil, nil
	case "water":
		return fluid.Water(), nil
	case "constant":
		// Nothing in the model asks a constant fluid for more than these two.
		return fluid.Constant(fluid.Properties{Density: c.Density.Value, SpecificHeat: c.SpecificHeat.Value, Viscosity: 1e-3, Conductivity: 0.6})
	case "propylene glycol":
		kind = fluid.KindPropyleneGlycol
	}
	share := c.MassShare.Value
	if c.VolumeShare.Set {
		var err error
		if share, err = fluid.MassShare(kind, c.VolumeShare.Value); err != nil {
			return nil, fmt.Errorf("reading the volume share: %w", err)
		}
	}
	return fluid.New(kind, share)
}

// inputs sets flows and fixed temperatures.
func (b *assembler) inputs() {
	in := b.plan.Network.NewInputs()
	copy(in.MassFlow, b.massFlow)
	in.Temperature[0] = b.plan.Scenario.Ambient.Temperature.Value
	for i, h := range b.held {
		in.Temperature[i+1] = h.temperature
	}
	copy(in.Air, b.inputAir.air)
	copy(in.Stream, b.inputAir.stream)
	b.checkAir(b.plan.Network, in)
	b.plan.Inputs = in
	b.plan.Network.SetInputs(in)
	b.plan.Network.SetReference(in.Temperature[0])
	for i := range b.plan.Loops {
		l := &b.plan.Loops[i]
		l.Flow = b.plan.FlowAt(*l, in.Temperature[0])
	}
}

// startTemperatures sets every lump to what is stated, or to ambient.
func (b *assembler) startTemperatures() {
	s := b.plan.Scenario
	start := make([]float64, len(b.plan.Nodes))
	for i := range start {
		start[i] = s.Ambient.Temperature.Value
	}
	for _, l := range s.Lumps {
		if l.Start.Set {
			for _, n := range b.plan.Find(l.Name) {
				start[n.Lump] = l.Start.Value
			}
		}
	}
	for _, stated := range s.Start.Nodes {
		nodes := b.plan.Find(stated.Node)
		if nodes == nil {
			b.problems.add("start."+stated.Node, "there is no lump %s; the lumps are %s", stated.Node, b.lumpList())
		}
		for _, n := range nodes {
			start[n.Lump] = stated.Temperature
		}
	}
	b.plan.Start = start
}

// reserved are the trace's own columns, without their units.
var reserved = []string{"coolant", "ambient"}

// checkColumns makes sure that no two nodes share a column of the trace, and no
// two marks one of the figures.
func (b *assembler) checkColumns() {
	var seen []string
	taken := slices.Clone(reserved)
	for _, w := range b.flows.list {
		taken = append(taken, w.part.Name+"_air_in", w.part.Name+"_air_out")
	}
	for _, n := range b.plan.Nodes {
		if slices.Contains(taken, n.Column) {
			b.problems.add(n.Part, "the name %s is taken by the trace's own column; choose another", n.Column)
		}
		if slices.Contains(seen, n.Column) {
			b.problems.add(n.Part, "two nodes would share the column %s_c of the trace; rename %s", n.Column, n.Part)
		}
		seen = append(seen, n.Column)
	}
	marks := map[float64]bool{}
	for _, m := range b.plan.Scenario.Figures.CoolantAt {
		at := math.Round((m.Value - zeroCelsius) * 1e3)
		if marks[at] {
			b.problems.add("figures.coolant_at", "%g degC is there twice", at/1e3)
		}
		marks[at] = true
	}
}

// subject finds the node whose soak is reported: the one the scenario names,
// else the first loop's coolant, else the first volume of coolant, else the
// first lump.
func (b *assembler) subject() {
	p := b.plan
	if of := p.Scenario.Figures.Of; of != "" {
		nodes := p.Find(of)
		if len(nodes) == 0 {
			b.problems.add("figures.of", "there is no lump %s; the lumps are %s", of, b.lumpList())
			return
		}
		p.Subject = nodes[len(nodes)-1]
		return
	}
	if len(p.Loops) > 0 {
		p.Subject = p.Nodes[p.Loops[0].Outlet]
		return
	}
	p.Subject = p.Nodes[0]
	for _, n := range p.Nodes {
		if n.Kind == CoolantCell {
			p.Subject = n
			return
		}
	}
}

// OneLine describes a ring in flow order: pump, tube_1, cpu_block on cpu, ...
// Branches stand in brackets, with a stroke between them.
func (l Loop) OneLine(s *spec.Scenario) string {
	cooled := map[string]string{}
	for p := range s.Parts() {
		if p.Block != nil && p.Block.Cools != "" {
			cooled[p.Name] = " on " + p.Block.Cools
		}
	}
	var text strings.Builder
	previous := forkBegin
	for _, word := range l.Parts {
		switch {
		case word == forkNext:
			text.WriteString(" ")
		case previous == forkNext:
			text.WriteString(" ")
		case word != forkEnd && previous != forkBegin:
			text.WriteString(", ")
		}
		text.WriteString(word + cooled[word])
		previous = word
	}
	return text.String()
}

// Marks of a parallel element among the names of a ring's parts.
const (
	forkBegin = "("
	forkNext  = "|"
	forkEnd   = ")"
)
