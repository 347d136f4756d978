package assemble

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// ringBuilder adds one loop to the network.
type ringBuilder struct {
	*assembler
	resolver *resolver
	flow     *ringFlow
	ring     Loop
	links    []flowLink        // conductances that depend on the flow
	settings []network.Setting // speeds of the pumps that are controlled
	laws     []radiatorLaw
	streams  []ringStream
	pumped   bool         // a pump has been added
	inlet    []end        // what comes to the first pump; nil while it is not known
	loose    []*spec.Part // fittings whose metal waits for coolant
}

// radiatorLaw is a radiator through which the air may change.
type radiatorLaw struct {
	way           *airWay
	op            *moving
	cells, metals []network.Node
}

// flowLink is a conductance of the loop's operation, to be added when all of
// its quantities are known.
type flowLink struct {
	from, to network.Node
	air      bool         // it goes to the air of a pass
	pass     network.Pass // then
	value    quantity
	share    float64
}

// ringStream is coolant carried from one cell to another.
type ringStream struct {
	from, to network.Node
	value    quantity
}

// end is a cell at the beginning or the end of a run of parts, and what flows
// through it.
type end struct {
	cell  network.Node
	value quantity
}

// loop adds the parts of one ring in flow order and the coolant that circles
// through them.
func (b *assembler) loop(l *spec.Loop, r *resolver) {
	rb := &ringBuilder{assembler: b, resolver: r}
	rb.flow = &ringFlow{coolant: b.plan.Coolant, table: b.plan.Coolant.Fast(), fixed: -1}
	rb.ring = Loop{Name: l.Name, Circuit: b.net.Circuit(l.Name), Outlet: -1}
	if !rb.pumps(l) {
		return
	}
	first, last, ring := rb.run(l.Name+".parts", l.Parts, inRing, quantity{})
	rb.flow.ring = ring
	rb.join(last, first) // a pump holds coolant, so there are ends
	if rb.inlet == nil {
		rb.inlet = last
	}
	rb.finish()
}

// pumps takes over the loop's pumps: a fixed flow, or curves and speeds.
func (b *ringBuilder) pumps(l *spec.Loop) bool {
	var fixed, driven []*spec.Part
	for p := range l.All() {
		switch {
		case p.Pump == nil:
		case p.Pump.Flow.Set:
			fixed = append(fixed, p)
		default:
			driven = append(driven, p)
		}
	}
	switch {
	case !b.pumpsInRing(l):
		return false
	case len(fixed)+len(driven) == 0:
		b.problems.add(l.Name, "a loop needs a pump, e.g. - {part: pump, head: 3.6 m, free_flow: 900 L/h}; a stopped one has speed: 0 %%")
		return false
	case len(fixed) > 0 && len(driven) > 0:
		b.problems.add(driven[0].Name, "%s states a fixed flow, so every pump of the ring must; state heads instead to let both drive", fixed[0].Name)
		return false
	case len(fixed) > 0:
		return b.fixedFlow(fixed)
	}
	for _, p := range driven {
		curve, ok := b.pumpCurve(p)
		if !ok {
			return false
		}
		if c, faulty := &p.Pump.Control, b.faulty(p.Name); controls(c) || faulty {
			d := device{name: p.Name, path: p.Name + ".control", control: c, rated: p.Pump.Rated.Or(pumpClass(p.Pump).Rated.Value), loop: len(b.plan.Loops), faulty: faulty, held: heldAt(c, b.speedRatio(p)), least: leastPump}
			low, high := d.span()
			number := len(b.pumpSettings)
			b.pumpSettings = append(b.pumpSettings, b.net.Setting(p.Name, low, math.Max(high, low+1e-6)))
			b.settings = append(b.settings, b.pumpSettings[number])
			b.flow.moving = append(b.flow.moving, len(b.flow.pumps))
			d.pump = &number
			b.devices = append(b.devices, d)
		}
		b.flow.pumps = append(b.flow.pumps, curve)
		b.flow.speeds = append(b.flow.speeds, b.speedRatio(p))
	}
	return true
}

// pumpsInRing refuses pumps inside branches.
func (b *ringBuilder) pumpsInRing(l *spec.Loop) bool {
	ok := true
	for i := range l.Parts {
		if !l.Parts[i].Parallel() {
			continue
		}
		inside := spec.Loop{Parts: l.Parts[i : i+1]}
		for p := range inside.All() {
			if p.Pump != nil {
				b.problems.add(p.Name, "a pump inside a branch is not modelled; put it before or behind the parallel element, or give its branch a loop of its own")
				ok = false
			}
		}
	}
	return ok
}

// fixedFlow takes the flow that all pumps state.
func (b *ringBuilder) fixedFlow(pumps []*spec.Part) bool {
	b.flow.fixed = pumps[0].Pump.Flow.Value
	for _, p := range pumps[1:] {
		if p.Pump.Flow != pumps[0].Pump.Flow {
			b.problems.add(p.Name+".flow", "pumps in one ring share one flow, but %s states another", pumps[0].Name)
			return false
		}
	}
	return true
}

// run adds parts one behind the other. It returns the cells at both ends, none
// if no part holds coolant, and the resistances.
func (b *ringBuilder) run(path string, parts []spec.Part, place flowPlace, value quantity) (first, last []end, resistances part.Series) {
	for i := range parts {
		p := &parts[i]
		if p.Pump != nil && !b.pumped {
			b.pumped, b.inlet = true, last
		}
		var begin, finish []end
		if p.Parallel() {
			var r part.Resistance
			begin, finish, r = b.fork(fmt.Sprintf("%s[%d]", path, i), p, place)
			resistances = append(resistances, r)
		} else {
			begin, finish = b.element(p, place, value)
			resistances = append(resistances, b.resistance(p))
		}
		if len(begin) == 0 {
			continue
		}
		if len(first) == 0 {
			first = begin
		} else {
			b.join(last, begin)
		}
		last = finish
	}
	return first, last, resistances
}

// fork adds a parallel element. Its own number comes before those of forks in
// its branches, so that flows are shared from the outside in.
func (b *ringBuilder) fork(path string, p *spec.Part, place flowPlace) (first, last []end, r part.Resistance) {
	number, base := len(b.flow.forks), b.flow.branches()
	f := &fork{within: place, flows: make([]float64, len(p.Branches))}
	b.flow.forks = append(b.flow.forks, f)
	branches := make([]part.Resistance, len(p.Branches))
	b.ring.Parts = append(b.ring.Parts, forkBegin)
	for k := range p.Branches {
		if k > 0 {
			b.ring.Parts = append(b.ring.Parts, forkNext)
		}
		at := fmt.Sprintf("%s.parallel[%d]", path, k)
		begin, finish, series := b.run(at+".parts", p.Branches[k].Parts, flowPlace{number, k}, quantity{branchFlow, base + k})
		b.checkBranch(at, begin, series)
		first, last = append(first, begin...), append(last, finish...)
		branches[k] = series
	}
	b.ring.Parts = append(b.ring.Parts, forkEnd)
	var err error
	if f.split, err = part.NewParallel(branches...); err != nil {
		b.problems.add(path, "%s", plain(err))
	}
	return first, last, f.split
}

// checkBranch refuses a branch that holds no coolant, or that would take all of
// the flow since nothing in it resists.
func (b *ringBuilder) checkBranch(path string, cells []end, resistances part.Series) {
	const someFlow = 1e-5 // m3/s
	if len(cells) == 0 {
		b.problems.add(path, "this branch holds no coolant; add a tube or a block to it")
		return
	}
	if drop, _ := resistances.Drop(someFlow, part.TestWater()); !(drop > 0) {
		b.problems.add(path, "nothing in this branch resists the flow, so it would take all of it; add the tube that leads to it")
	}
}

// join lets coolant flow from the ends of one run to the beginnings of the
// next. Where several meet several they mix in a junction.
func (b *ringBuilder) join(from, to []end) {
	if len(from) > 1 && len(to) > 1 {
		b.junctions++
		name := fmt.Sprintf("junction_%d", b.junctions)
		cell := b.node(name, "", CoolantCell, b.net.CoolantLump(name, part.JunctionVolume*b.density))
		b.addCoolant(part.JunctionVolume)
		b.ring.Cells = append(b.ring.Cells, cell)
		b.join(from, []end{{cell: cell}})
		b.join([]end{{cell: cell}}, to)
		return
	}
	for _, f := range from {
		for _, t := range to {
			value := f.value
			if len(to) > 1 {
				value = t.value
			}
			b.streams = append(b.streams, ringStream{f.cell, t.cell, value})
		}
	}
}

// element adds one part.
func (b *ringBuilder) element(p *spec.Part, place flowPlace, value quantity) (first, last []end) {
	b.ring.Parts = append(b.ring.Parts, p.Name)
	cells := b.part(p, place)
	if len(cells) == 0 {
		return nil, nil
	}
	b.tieLoose(cells[0])
	if p.Reservoir != nil && place == inRing && b.ring.Outlet < 0 {
		b.ring.Outlet = cells[0]
	}
	for i, c := range cells[1:] {
		b.streams = append(b.streams, ringStream{cells[i], c, value})
	}
	b.ring.Cells = append(b.ring.Cells, cells...)
	return []end{{cells[0], value}}, []end{{cells[len(cells)-1], value}}
}

// outlet returns the cell whose temperature counts as the coolant's: the
// reservoir that all of the coolant passes, else what comes to the first pump.
// Where that comes from several branches, they mix in the pump.
func (b *ringBuilder) outlet() network.Node {
	switch {
	case b.ring.Outlet >= 0:
		return b.ring.Outlet
	case len(b.inlet) == 1:
		return b.inlet[0].cell
	}
	for _, s := range b.streams {
		if s.from == b.inlet[0].cell {
			return s.to
		}
	}
	return b.inlet[0].cell
}

// finish numbers the quantities of the operation and adds what depends on
// them.
func (b *ringBuilder) finish() {
	b.tieLoose(b.ring.Cells[0])
	b.ring.Outlet = b.outlet()
	low, high := b.plan.Coolant.Range()
	low, high = max(low, lowestTable), min(high, highestTable)
	if len(b.settings) > 0 {
		b.net.OperateBy(b.ring.Circuit, b.ring.Outlet, b.flow, b.settings, low, high)
	} else {
		b.net.Operate(b.ring.Circuit, b.ring.Outlet, b.flow, low, high)
	}
	for _, r := range b.laws {
		if len(b.settings) > 1 {
			b.problems.add(r.way.part.Name+".fans.curve", "two controlled pumps in one ring leave no room for controlled fans here; let one pump follow, or give the pumps a loop each")
			continue
		}
		law := b.net.Follow(r.way.part.Name, b.ring.Outlet, r.op, append(slices.Clone(b.settings), r.way.setting), low, high)
		share := 1 / float64(len(r.cells))
		for i, cell := range r.cells {
			b.net.ConductOfLaw(cell, r.metals[i], law, 0, share, 0)
			b.net.AirConductOfLaw(r.metals[i], r.way.pass, law, 1, share)
		}
	}
	joined := map[[2]network.Node]bool{}
	for _, s := range b.streams {
		if s.from == s.to {
			continue // the only cell of a ring
		}
		b.net.StreamOf(s.from, s.to, b.ring.Circuit, b.flow.place(s.value))
		if !joined[[2]network.Node{s.to, s.from}] {
			b.net.Conduct(s.from, s.to, part.AxialConductance, 0)
		}
		joined[[2]network.Node{s.from, s.to}] = true
	}
	for _, l := range b.links {
		if l.air {
			b.net.AirConductOf(l.from, l.pass, b.ring.Circuit, b.flow.place(l.value), l.share)
			continue
		}
		b.net.ConductOf(l.from, l.to, b.ring.Circuit, b.flow.place(l.value), l.share, 0)
	}
	b.plan.Loops = append(b.plan.Loops, b.ring)
}

// A constant fluid has no range of its own that would make sense of a table.
const (
	lowestTable  = zeroCelsius - 40 // K
	highestTable = zeroCelsius + 95 // K
)
