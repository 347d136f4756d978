package assemble

import (
	"fmt"

	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// part adds one part and returns its coolant cells in flow order.
func (b *ringBuilder) part(p *spec.Part, place flowPlace) []network.Node {
	switch {
	case p.Radiator != nil:
		return b.radiator(p, place)
	case p.Block != nil:
		return b.block(p, place)
	case p.Tube != nil:
		return b.tube(p)
	case p.Reservoir != nil:
		return b.reservoir(p)
	case p.Fitting != nil:
		b.fitting(p)
		return nil
	}
	return b.pumpBody(p)
}

// coolantOf adds a volume of coolant (m3) of a part, or what it has left of it.
func (b *ringBuilder) coolantOf(p *spec.Part, volume float64) network.Node {
	volume *= b.kept(p)
	cell := b.node(p.Name, "coolant", CoolantCell, b.net.CoolantLump(p.Name+".coolant", volume*b.density))
	b.addCoolant(volume)
	return cell
}

// fitting keeps a fitting's metal until there is coolant to tie it to: its own
// is that of the parts it joins.
func (b *ringBuilder) fitting(p *spec.Part) {
	if p.Holds.Set || p.Empty.Set || p.Full.Set {
		b.problems.add(p.Name, "a fitting has no coolant and no mass of its own here; count them with the tube it ends, e.g. a tube with holds: 40 mL")
	}
	if p.Power.Set() || p.Work != "" {
		b.problems.add(p.Name+".power", "a fitting has no coolant of its own that could take up heat; give the power to the tube or the part it leads to")
	}
	b.loose = append(b.loose, p)
}

// tieLoose ties the metal of the fittings met last to the coolant behind them.
func (b *ringBuilder) tieLoose(cell network.Node) {
	for _, p := range b.loose {
		count := p.Fitting.Count.Value
		mass := count * part.FittingMass(p.Fitting.Class).Value
		b.plan.MetalMass += mass
		b.body(p.Name, cell, part.Brass().Capacity(mass), count*part.FittingTie().Value)
	}
	b.loose = nil
}

// body adds metal that follows a part's coolant by a conductance (W/K).
func (b *ringBuilder) body(name string, cell network.Node, capacity, tie float64) {
	body := b.node(name, "body", Metal, b.net.Lump(name+".body", capacity))
	b.net.Conduct(cell, body, tie, 0)
}

// pumpBody adds a pump: its coolant, and the share of its metal that follows
// it. Its electrical power, by its speed, ends in the coolant.
func (b *ringBuilder) pumpBody(p *spec.Part) []network.Node {
	cell := b.coolantOf(p, b.volumeOf(p, p.Holds.Value))
	mass := massOf(p, pumpClass(p.Pump).Mass.Value)
	b.plan.MetalMass += mass
	b.body(p.Name, cell, part.Steel().Capacity(part.PumpTied().Value*mass), part.PumpTie().Value)
	scale := 1.0
	if !p.Pump.Flow.Set {
		drive := part.PumpDrive{Rated: 1, Power: 1, Floor: part.PumpFloor().Value}
		scale, _ = drive.Electrical(b.speedRatio(p))
	}
	if d := b.deviceNamed(p.Name); d != nil && p.Work == "" && p.Power.Watts.Set {
		rated := part.PumpDrive{Rated: 1, Power: p.Power.Watts.Value, Floor: part.PumpFloor().Value}
		source := b.constantSource(p.Name, 0, func(name string) network.Source { return b.net.Source(name, cell) })
		d.source = append(d.source, Powered{source, func(ratio float64) float64 {
			power, _ := rated.Electrical(ratio)
			return power
		}})
		return []network.Node{cell}
	}
	b.scaledSource(p.Name, scale, b.resolver, cell)
	return []network.Node{cell}
}

// tube adds a tube: its coolant, its wall, and what the wall loses to the air
// around.
func (b *ringBuilder) tube(p *spec.Part) []network.Node {
	t := p.Tube
	bore, length := t.Bore.Value, t.Length.Value
	cell := b.coolantOf(p, b.volumeOf(p, part.TubeVolume(bore, length)))
	b.source(p.Name, b.resolver, cell)
	if m, ok := b.material(p.Name, t.Material); ok {
		outside := bore + 2*t.Wall.Value
		mass := massOf(p, part.TubeMass(bore, outside, length, m))
		b.wall(p.Name, cell, m.Capacity(mass), part.TubeSkin(bore, outside, length, m))
	}
	return []network.Node{cell}
}

// reservoir adds a reservoir with its wall. Of one that was weighed a share
// follows the coolant.
func (b *ringBuilder) reservoir(p *spec.Part) []network.Node {
	volume := b.volumeOf(p, p.Reservoir.Volume.Value)
	cell := b.coolantOf(p, volume)
	b.source(p.Name, b.resolver, cell)
	if m, ok := b.material(p.Name, p.Reservoir.Material); ok {
		skin := part.ReservoirSkin(volume, m)
		mass := part.ReservoirWallMass(skin, m)
		if weighed(p) {
			mass = part.ReservoirTied().Value * p.Empty.Value
		}
		b.wall(p.Name, cell, m.Capacity(mass), skin)
	}
	return []network.Node{cell}
}

// material looks up what the wall of a part is made of.
func (b *ringBuilder) material(name, word string) (part.Material, bool) {
	m, err := part.MaterialNamed(word)
	if err != nil {
		b.problems.add(name+".material", "%s", plain(err))
	}
	return m, err == nil
}

// wall adds a wall between coolant and the air around it: half of its
// resistance lies on either side of its heat capacity.
func (b *ringBuilder) wall(name string, cell network.Node, capacity float64, skin part.Skin) {
	wall := b.node(name, "wall", Wall, b.net.Lump(name+".wall", capacity))
	b.net.Conduct(cell, wall, 2*skin.Through, 0)
	half := part.Skin{Through: 2 * skin.Through, Outside: skin.Outside}
	air := b.plan.Scenario.Ambient.Temperature.Value
	b.net.Curve(wall, b.around, b.net.Path("walls"), func(difference float64) (q, slope float64) {
		q, slope, _ = half.Loss(b.air, air+difference, air)
		return q, slope
	})
}

// leastBody is the least mass of a block beside its plate that is worth a lump,
// kg.
const leastBody = 0.01

// block adds a cold plate with its coolant, and the rest of the block.
func (b *ringBuilder) block(p *spec.Part, place flowPlace) []network.Node {
	capacity := plateCapacity(p.Block)
	plate := b.node(p.Name, "plate", Metal, b.net.Lump(p.Name+".plate", capacity))
	cell := b.coolantOf(p, b.volumeOf(p, p.Holds.Value))
	plateMass := capacity / capacityOf(p.Block.Material, 1)
	mass := max(massOf(p, blockClass(p.Block).Mass.Value), plateMass)
	b.plan.MetalMass += mass
	if rest := mass - plateMass; rest > leastBody {
		b.body(p.Name, cell, capacityOf(p.Block.Material, rest), part.BlockTie().Value)
	}
	film, err := filmOf(p.Block.FilmConductance.Value, p.Block.TestFlow.Value)
	if err != nil {
		b.problems.add(p.Name+".film_conductance", "%s", plain(err))
	}
	b.links = append(b.links, flowLink{from: plate, to: cell, value: quantity{blockFilm, len(b.flow.films)}, share: 1})
	b.flow.films = append(b.flow.films, filmValue{film, place})
	b.source(p.Name, b.resolver, plate)
	return []network.Node{cell}
}

// radiator adds n cells of coolant in flow order, each with its share of the
// metal behind a film, and the metal's way to the air that enters it.
func (b *ringBuilder) radiator(p *spec.Part, place flowPlace) []network.Node {
	model, ok := b.exchangeOf(p)
	if !ok {
		return nil
	}
	w, number := b.ways[p.Name], len(b.flow.cores)
	if !w.moves {
		b.flow.cores = append(b.flow.cores, exchangeAt{model, place})
	}
	n, volume := int(p.Radiator.Cells.Value), b.kept(p)*b.volumeOf(p, p.Holds.Value)
	share := 1 / float64(n)
	var cells, metals []network.Node
	for i := range n {
		suffix := ""
		if n > 1 {
			suffix = fmt.Sprintf("[%d]", i+1)
		}
		cell := b.net.CoolantLump(p.Name+".coolant"+suffix, share*volume*b.density)
		cells = append(cells, b.node(p.Name, "coolant"+suffix, CoolantCell, cell))
		metal := b.net.Lump(p.Name+".metal"+suffix, share*p.Radiator.MetalCapacity.Value)
		metals = append(metals, b.node(p.Name, "metal"+suffix, Metal, metal))
		if !w.moves {
			b.links = append(b.links,
				flowLink{from: cell, to: metal, value: quantity{coreFilm, number}, share: share},
				flowLink{from: metal, air: true, pass: w.pass, value: quantity{coreAir, number}, share: share})
		}
	}
	if w.moves {
		op := &moving{ring: b.flow, place: place, base: *model.(*geometric), way: w, air: b.airState, bench: b.benchOf(w)}
		b.laws = append(b.laws, radiatorLaw{w, op, cells, metals})
	}
	b.addCoolant(volume)
	b.plan.MetalMass += massOf(p, p.Radiator.MetalCapacity.Value/capacityOf(p.Radiator.Material, 1))
	b.source(p.Name, b.resolver, metals...)
	return cells
}
