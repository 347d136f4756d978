package assemble

import (
	"fmt"

	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// loop adds the parts of one ring in flow order and the coolant that circles
// through them.
func (b *assembler) loop(l *spec.Loop, r *resolver) {
	flow, ok := b.loopFlow(l)
	if !ok {
		return
	}
	ring := Loop{Name: l.Name, Circuit: b.net.Circuit(l.Name), Flow: flow, Outlet: -1}
	b.massFlow = append(b.massFlow, flow*b.density)
	reservoir, pump := network.Node(-1), -1
	for i := range l.Parts {
		p := &l.Parts[i]
		ring.Parts = append(ring.Parts, p.Name)
		if p.Pump != nil && pump < 0 {
			pump = len(ring.Cells)
		}
		cells := b.part(p, flow, r)
		ring.Cells = append(ring.Cells, cells...)
		if p.Reservoir != nil && reservoir < 0 && len(cells) > 0 {
			reservoir = cells[0]
		}
	}
	if len(ring.Cells) == 0 {
		return
	}
	b.circulate(&ring)
	ring.Outlet = reservoir
	if reservoir < 0 {
		ring.Outlet = ring.Cells[(pump-1+len(ring.Cells))%len(ring.Cells)]
	}
	b.plan.Loops = append(b.plan.Loops, ring)
}

// circulate lets the coolant flow around the ring, and ties neighbours by the
// little that conducts without flow.
func (b *assembler) circulate(ring *Loop) {
	n := len(ring.Cells)
	if n < 2 {
		return
	}
	for i, cell := range ring.Cells {
		next := ring.Cells[(i+1)%n]
		b.net.Stream(cell, next, ring.Circuit, 1, 0)
		if n > 2 || i == 0 {
			b.net.Conduct(cell, next, part.AxialConductance, 0)
		}
	}
}

// loopFlow returns the flow that the loop's pumps state (m3/s).
func (b *assembler) loopFlow(l *spec.Loop) (float64, bool) {
	var pumps []*spec.Part
	for i := range l.Parts {
		if l.Parts[i].Pump != nil {
			pumps = append(pumps, &l.Parts[i])
		}
	}
	if len(pumps) == 0 {
		b.problems.add(l.Name, "a loop needs a pump, e.g. - {part: pump, flow: 4 L/min}; a stopped one has flow: 0 L/min")
		return 0, false
	}
	for _, p := range pumps[1:] {
		if p.Pump.Flow != pumps[0].Pump.Flow {
			b.problems.add(p.Name+".flow", "pumps in one ring share one flow, but %s states another", pumps[0].Name)
			return 0, false
		}
	}
	return pumps[0].Pump.Flow.Value, true
}

// part adds one part and returns its coolant cells in flow order.
func (b *assembler) part(p *spec.Part, flow float64, r *resolver) []network.Node {
	switch {
	case p.Radiator != nil:
		return b.radiator(p, flow, r)
	case p.Block != nil:
		return b.block(p, r)
	case p.Tube != nil:
		volume := part.TubeVolume(p.Tube.Bore.Value, p.Tube.Length.Value)
		return b.volume(p, p.Holds.Or(volume), r)
	case p.Reservoir != nil:
		return b.volume(p, p.Holds.Or(p.Reservoir.Volume.Value), r)
	}
	return b.volume(p, p.Holds.Value, r)
}

// volume adds a part that is coolant only, and its power into it.
func (b *assembler) volume(p *spec.Part, volume float64, r *resolver) []network.Node {
	cell := b.node(p.Name, "coolant", CoolantCell, b.net.CoolantLump(p.Name+".coolant", volume*b.density))
	b.addCoolant(volume)
	b.source(p.Name, r, cell)
	return []network.Node{cell}
}

// block adds a cold plate with its coolant.
func (b *assembler) block(p *spec.Part, r *resolver) []network.Node {
	plate := b.node(p.Name, "plate", Metal, b.net.Lump(p.Name+".plate", p.Block.PlateCapacity.Value))
	cell := b.node(p.Name, "coolant", CoolantCell, b.net.CoolantLump(p.Name+".coolant", p.Holds.Value*b.density))
	b.addCoolant(p.Holds.Value)
	b.net.Conduct(plate, cell, p.Block.FilmConductance.Value, 0)
	b.source(p.Name, r, plate)
	return []network.Node{cell}
}

// radiator adds n cells of coolant in flow order, each with its share of the
// metal behind a film, and the metal's way to the room.
func (b *assembler) radiator(p *spec.Part, flow float64, r *resolver) []network.Node {
	g, air, ok := b.radiatorConductance(p, flow)
	if !ok {
		return nil
	}
	n := int(p.Radiator.Cells.Value)
	path := b.net.Path(p.Name)
	var cells, metals []network.Node
	for i := range n {
		suffix := ""
		if n > 1 {
			suffix = fmt.Sprintf("[%d]", i+1)
		}
		cell := b.net.CoolantLump(p.Name+".coolant"+suffix, p.Holds.Value*b.density/float64(n))
		metal := b.net.Lump(p.Name+".metal"+suffix, p.Radiator.MetalCapacity.Value/float64(n))
		cells = append(cells, b.node(p.Name, "coolant"+suffix, CoolantCell, cell))
		metals = append(metals, b.node(p.Name, "metal"+suffix, Metal, metal))
		b.net.Conduct(cell, metal, g/float64(n), 0)
		b.net.Conduct(metal, b.ambient, air/float64(n), path)
	}
	b.addCoolant(p.Holds.Value)
	b.source(p.Name, r, metals...)
	return cells
}

// radiatorConductance returns the coolant-to-metal and the metal-to-air
// conductance of a radiator at the loop's flow, W/K.
func (b *assembler) radiatorConductance(p *spec.Part, flow float64) (film, air float64, ok bool) {
	r := p.Radiator
	if !r.Conductance.Set {
		b.problems.add(p.Name+".conductance", "state what the radiator carries, e.g. conductance: 18 W/K or 180 W per 10 K")
		return 0, 0, false
	}
	rating := part.Rating{Conductance: r.Conductance.Value, CapacityRate: r.TestFlow.Value * b.capRate, PerMean: r.Per == "mean"}
	ua, err := rating.Exponent()
	if err != nil {
		b.problems.add(p.Name+".conductance", "%.4g W/K is more than %.4g L/min of coolant can bring (%.4g W/K over the inlet); check the unit, or state the test_flow",
			r.Conductance.Value, r.TestFlow.Value*6e4, rating.Most())
		return 0, 0, false
	}
	g := part.CellConductance(ua, flow*b.capRate, int(r.Cells.Value))
	air, err = part.AirConductance(g, r.FilmConductance.Value)
	if err != nil {
		b.problems.add(p.Name+".film_conductance", "%.4g W/K between coolant and metal cannot carry the radiator's %.4g W/K; it must be larger", r.FilmConductance.Value, g)
		return 0, 0, false
	}
	return r.FilmConductance.Value, air, true
}
