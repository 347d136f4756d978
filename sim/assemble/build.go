package assemble

import (
	"fmt"
	"slices"
	"strings"

	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// Build completes s and assembles it. The scenario must be sound by itself
// (spec.Check) and all its things named; it is not changed. The error is of type
// Problems if the scenario is at fault.
func Build(s *spec.Scenario) (*Plan, error) {
	completed, assumed := Complete(s)
	b := assembler{plan: &Plan{Scenario: completed, Assumed: assumed}, flow: map[string]float64{}}
	b.fill()
	if err := b.problems.err(); err != nil {
		return nil, err
	}
	b.lumpsAndLinks()
	if err := b.problems.err(); err != nil {
		return nil, err
	}
	n, err := b.net.Build()
	if err != nil {
		return nil, fmt.Errorf("assembling the network: %w", err)
	}
	b.plan.Network = n
	b.plan.Timeline = work.NewTimeline(b.patterns)
	b.inputs()
	b.startTemperatures()
	b.checkColumns()
	b.subject()
	return b.plan, b.problems.err()
}

// assembler builds a plan.
type assembler struct {
	plan     *Plan
	net      *network.Builder
	density  float64            // kg/m3 of the coolant when filled
	capRate  float64            // J/(m3 K) of the coolant when filled
	flow     map[string]float64 // m3/s of every loop
	patterns []work.Pattern
	massFlow []float64 // kg/s, one a circuit
	ambient  network.Node
	held     []heldNode
	problems Problems
}

// heldNode is a free lump with a fixed temperature.
type heldNode struct {
	name        string
	node        network.Node
	temperature float64 // K
}

// fill chooses the coolant and starts the network.
func (b *assembler) fill() {
	c, err := coolantOf(b.plan.Scenario)
	if err != nil {
		b.problems.add("coolant", "%v", err)
		return
	}
	b.plan.Coolant = c
	if c == nil {
		b.net = network.NewBuilder(nil)
		return
	}
	t := b.plan.Scenario.Ambient.Temperature.Value
	if low := c.FreezingPoint(); t < low {
		b.problems.add("ambient.temperature", "%.1f degC is below the freezing point of %s, %.1f degC", t-zeroCelsius, c.Name(), low-zeroCelsius)
		return
	}
	b.density = c.Density(t)
	b.capRate = b.density * c.SpecificHeat(t)
	b.net = network.NewBuilder(c.Fast())
}

// lumpsAndLinks adds everything the scenario states, leaves before the ring.
func (b *assembler) lumpsAndLinks() {
	s := b.plan.Scenario
	b.ambient = b.net.Boundary("ambient")
	resolver := newResolver(s, &b.problems)
	blocks := b.chipBlocks()
	for _, c := range s.Chips {
		b.chip(c, resolver)
	}
	for i := range s.Loops {
		b.loop(&s.Loops[i], resolver)
	}
	for _, c := range s.Chips {
		if plate, ok := blocks[c.Name]; ok {
			b.onPlate(c, plate)
		}
	}
	for _, l := range s.Lumps {
		b.freeLump(l, resolver)
	}
	b.freeLinks()
	for _, c := range s.Chips {
		if _, ok := blocks[c.Name]; !ok && !b.linked(c.Name) {
			b.problems.add(c.Name, "no block cools this chip: add one to the loop, e.g. - {part: block, cools: %s}", c.Name)
		}
	}
	if len(b.plan.Nodes) == 0 {
		b.problems.add("loop", "nothing here stores heat: state a loop, a chip or a lump")
	}
}

// chipBlocks returns the block that cools each chip.
func (b *assembler) chipBlocks() map[string]string {
	blocks := map[string]string{}
	for _, l := range b.plan.Scenario.Loops {
		for _, p := range l.Parts {
			if p.Block != nil && p.Block.Cools != "" {
				blocks[p.Block.Cools] = p.Name
			}
		}
	}
	return blocks
}

// linked reports whether a free link ends at a node of the named part.
func (b *assembler) linked(name string) bool {
	for _, l := range b.plan.Scenario.Links {
		if strings.HasPrefix(l.From, name+".") || strings.HasPrefix(l.To, name+".") {
			return true
		}
	}
	return false
}

// node lists a lump under its path.
func (b *assembler) node(owner, suffix string, kind NodeKind, lump network.Node) network.Node {
	path := owner
	if suffix != "" {
		path += "." + suffix
	}
	column := strings.NewReplacer(".", "_", "[", "_", "]", "").Replace(path)
	b.plan.Nodes = append(b.plan.Nodes, Node{Lump: lump, Path: path, Column: column, Part: owner, Kind: kind})
	return lump
}

// source adds the named part's requested power to lumps, if it asks for any.
func (b *assembler) source(name string, r *resolver, lumps ...network.Node) network.Source {
	p, ok := r.pattern(name)
	if !ok {
		return -1
	}
	b.patterns = append(b.patterns, p)
	return b.net.Source(name, lumps...)
}

// chip adds die and spreader.
func (b *assembler) chip(c spec.Chip, r *resolver) {
	die := b.node(c.Name, "die", Die, b.net.Lump(c.Name+".die", c.DieCapacity.Value))
	spreader := b.node(c.Name, "spreader", Spreader, b.net.Lump(c.Name+".spreader", c.SpreaderCapacity.Value))
	dieSpreader, _ := part.DieToSpreader(c.DieToPlate.Value, c.DieShare.Value)
	b.net.Conduct(die, spreader, dieSpreader, 0)
	source := b.source(c.Name, r, die)
	b.leakage(c.Name, die, c.Leakage)
	b.plan.Chips = append(b.plan.Chips, Chip{Name: c.Name, Die: die, Source: source, Shutdown: c.Shutdown.Value})
}

// onPlate ties a chip's spreader to the cold plate of its block.
func (b *assembler) onPlate(c spec.Chip, block string) {
	_, spreaderPlate := part.DieToSpreader(c.DieToPlate.Value, c.DieShare.Value)
	spreader := findNodes(b.plan.Nodes, c.Name+".spreader")
	plate := findNodes(b.plan.Nodes, block+".plate")
	if len(spreader) == 1 && len(plate) == 1 {
		b.net.Conduct(spreader[0].Lump, plate[0].Lump, spreaderPlate, 0)
	}
}

// leakage adds a power that grows with the lump's temperature.
func (b *assembler) leakage(name string, lump network.Node, l spec.Leakage) {
	if l.Power.Set {
		b.net.Leak(name+" leakage", lump, l.Power.Value, l.At.Value, l.Growth.Value, l.Form == "linear")
	}
}

// freeLump adds a mass, a volume of coolant or a fixed temperature.
func (b *assembler) freeLump(l spec.Lump, r *resolver) {
	switch {
	case l.HeldAt.Set:
		b.held = append(b.held, heldNode{l.Name, b.net.Boundary(l.Name), l.HeldAt.Value})
		if l.Power.Set() || l.Work != "" || l.Leakage.Power.Set {
			b.problems.add(l.Name+".power", "%s is held at a fixed temperature, so a power in it changes nothing", l.Name)
		}
		return
	case l.Holds.Set:
		lump := b.node(l.Name, "", CoolantCell, b.net.CoolantLump(l.Name, l.Holds.Value*b.density))
		b.addCoolant(l.Holds.Value)
		b.source(l.Name, r, lump)
		b.leakage(l.Name, lump, l.Leakage)
	default:
		lump := b.node(l.Name, "", Free, b.net.Lump(l.Name, l.Capacity.Value))
		b.source(l.Name, r, lump)
		b.leakage(l.Name, lump, l.Leakage)
	}
}

// addCoolant counts a volume of coolant (m3).
func (b *assembler) addCoolant(volume float64) {
	b.plan.CoolantVolume += volume
	b.plan.CoolantMass += volume * b.density
}

// freeLinks adds the conductances and streams that the scenario states.
func (b *assembler) freeLinks() {
	var streams []spec.Link
	for _, l := range b.plan.Scenario.Links {
		from, to := b.ends(l.Name+".from", l.From), b.ends(l.Name+".to", l.To)
		if from == nil || to == nil {
			continue
		}
		if l.Flow.Set {
			streams = append(streams, l)
			continue
		}
		b.conductAll(l, from, to)
	}
	b.freeStreams(streams)
}

// conductAll shares one stated conductance among all pairs of cells at its
// ends.
func (b *assembler) conductAll(l spec.Link, from, to []network.Node) {
	if len(from) > 1 && len(to) > 1 && len(from) != len(to) {
		b.problems.add(l.Name, "joins %d cells of %s to %d cells of %s; name one of them, e.g. %s[1]", len(from), l.From, len(to), l.To, l.From)
		return
	}
	n := max(len(from), len(to))
	for i := range n {
		a, c := from[min(i, len(from)-1)], to[min(i, len(to)-1)]
		if a == c {
			b.problems.add(l.Name, "joins %s to itself", l.From)
			return
		}
		if a < 0 && c < 0 {
			b.problems.add(l.Name, "joins %s and %s, both at fixed temperatures, and so moves nothing that the model follows", l.From, l.To)
			return
		}
		b.net.Conduct(a, c, l.Conductance.Value/float64(n), b.net.Path(l.Name))
	}
}

// freeStreams adds the stated coolant streams and checks that no mass of
// coolant grows or shrinks by them.
func (b *assembler) freeStreams(streams []spec.Link) {
	if len(streams) == 0 {
		return
	}
	circuit := b.net.Circuit("links")
	b.massFlow = append(b.massFlow, 1)
	balance := map[string]float64{}
	size := map[string]float64{}
	for _, l := range streams {
		from, to := b.ends(l.Name+".from", l.From), b.ends(l.Name+".to", l.To)
		if len(from) != 1 || len(to) != 1 || !b.canFlow(l, l.From) || !b.canFlow(l, l.To) {
			continue
		}
		if from[0] == to[0] || from[0] < 0 && to[0] < 0 {
			b.problems.add(l.Name, "a flow from %s to %s moves nothing that the model follows", l.From, l.To)
			continue
		}
		b.net.Stream(from[0], to[0], circuit, l.Flow.Value*b.density, b.net.Path(l.Name))
		for name, d := range map[string]float64{l.From: -l.Flow.Value, l.To: l.Flow.Value} {
			balance[name] += d
			size[name] += l.Flow.Value
		}
	}
	for _, l := range b.plan.Scenario.Lumps {
		if d := balance[l.Name]; l.Holds.Set && (d > 1e-9*size[l.Name] || -d > 1e-9*size[l.Name]) {
			b.problems.add(l.Name, "takes in %.4g L/min but gives out %.4g L/min of coolant; make the flows of its links equal",
				(size[l.Name]+d)/2*6e4, (size[l.Name]-d)/2*6e4)
		}
	}
}

// canFlow reports whether coolant can flow through the named node: a free lump
// that holds coolant, or a fixed temperature.
func (b *assembler) canFlow(l spec.Link, name string) bool {
	if name == "ambient" || slices.ContainsFunc(b.held, func(h heldNode) bool { return h.name == name }) {
		return true
	}
	for _, lump := range b.plan.Scenario.Lumps {
		if lump.Name == name && lump.Holds.Set {
			return true
		}
	}
	b.problems.add(l.Name, "a flow runs between free lumps that hold coolant, ambient and fixed temperatures, and %s is none of these; give a lump coolant by e.g. holds: 1 L", name)
	return false
}

// ends returns the nodes that one end of a link names, or nil.
func (b *assembler) ends(path, name string) []network.Node {
	if name == "ambient" {
		return []network.Node{b.ambient}
	}
	for _, h := range b.held {
		if h.name == name {
			return []network.Node{h.node}
		}
	}
	var nodes []network.Node
	for _, n := range findNodes(b.plan.Nodes, name) {
		nodes = append(nodes, n.Lump)
	}
	if nodes == nil {
		b.problems.add(path, "there is no node %s; the nodes are %s", name, b.nodeList())
	}
	return nodes
}

// nodeList names everything a link can end at, cells once.
func (b *assembler) nodeList() string {
	names := []string{"ambient"}
	for _, h := range b.held {
		names = append(names, h.name)
	}
	return strings.Join(names, ", ") + ", " + b.lumpList()
}

// lumpList names everything that stores heat, cells once.
func (b *assembler) lumpList() string {
	var names []string
	for _, n := range b.plan.Nodes {
		name, _, _ := strings.Cut(n.Path, "[")
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}
