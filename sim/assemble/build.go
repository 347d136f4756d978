package assemble

import (
	"fmt"
	"slices"
	"strings"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// Build completes s and assembles it. The scenario must be sound by itself
// (spec.Check) and all its things named; it is not changed. The error is of type
// Problems if the scenario is at fault.
func Build(s *spec.Scenario) (*Plan, error) { return BuildFrom(nil, s) }

// BuildFrom is Build with a stock of what many machines have in common, which may be nil.
// It makes the same plan.
func BuildFrom(stock *Stock, s *spec.Scenario) (*Plan, error) {
	completed, assumed := Complete(s)
	return build(&Plan{Scenario: completed, Assumed: assumed, stock: stock}, nil)
}

// build fills in a plan that has its completed scenario, of a machine with a damage.
func build(plan *Plan, d damage) (*Plan, error) {
	b := assembler{plan: plan, damage: d}
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
	b.describeAir()
	b.startTemperatures()
	b.checkColumns()
	b.subject()
	if d == nil && b.problems == nil {
		b.checkFaults()
	}
	return b.plan, b.problems.err()
}

// assembler builds a plan.
type assembler struct {
	plan         *Plan
	net          *network.Builder
	density      float64      // kg/m3 of the coolant when filled
	air          *fluid.Table // around the machine
	airState     part.Air     // of the room, at its first temperature
	benchAir     part.Air     // in which radiators are measured
	ways         map[string]*airWay
	damage       damage // what faults have done so far
	flows        airFlows
	leaks        int      // added so far
	devices      []device // that are controlled
	pumpSettings []network.Setting
	inputAir     struct {
		air    []network.AirFlow // by pass
		stream []float64         // by stream
	}
	patterns []work.Pattern
	massFlow []float64 // kg/s, one a circuit; those of loops follow their pumps

	ambient   network.Node // the room, or what lies around it
	roomNode  network.Node // what radiators breathe
	caseNode  network.Node // the air of the case
	around    network.Node // what lies around tubes and reservoirs: the case, or the room
	held      []heldNode
	junctions int
	problems  Problems
}

// heldNode is a free lump with a fixed temperature.
type heldNode struct {
	name        string
	node        network.Node
	temperature float64 // K
}

// fill chooses the coolant and starts the network.
func (b *assembler) fill() {
	c, err := b.plan.stock.coolantShelf().get(b.plan.Scenario.Coolant, func() (*fluid.Coolant, error) { return coolantOf(b.plan.Scenario) })
	if err != nil {
		b.problems.add("coolant", "%v", err)
		return
	}
	b.outside()
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
	b.net = network.NewBuilder(c.Fast())
}

// lumpsAndLinks adds everything the scenario states, leaves before the ring.
func (b *assembler) lumpsAndLinks() {
	s := b.plan.Scenario
	b.ambient = b.net.Boundary("ambient")
	resolver := newResolver(s, &b.problems)
	b.surroundings(resolver)
	b.airWays()
	blocks := b.chipBlocks()
	for _, c := range s.Chips {
		b.chip(c, resolver)
	}
	for i := range s.Loops {
		b.loop(&s.Loops[i], resolver)
		b.massFlow = append(b.massFlow, 0)
	}
	for _, c := range s.Chips {
		if plate, ok := blocks[c.Name]; ok {
			b.onPlate(c, plate)
		}
	}
	if b.problems == nil {
		b.drives()
		b.faults()
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
	for p := range b.plan.Scenario.Parts() {
		if p.Block != nil && p.Block.Cools != "" {
			blocks[p.Block.Cools] = p.Name
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

// columnOf makes the name of a column of a path.
var columnOf = strings.NewReplacer(".", "_", "[", "_", "]", "")

// node lists a lump under its path.
func (b *assembler) node(owner, suffix string, kind NodeKind, lump network.Node) network.Node {
	path := owner
	if suffix != "" {
		path += "." + suffix
	}
	column := columnOf.Replace(path)
	b.plan.Nodes = append(b.plan.Nodes, Node{Lump: lump, Path: path, Column: column, Part: owner, Kind: kind})
	return lump
}

// constantSource adds a power (W) that nothing but the machine's settings asks for.
func (b *assembler) constantSource(name string, power float64, add func(name string) network.Source) network.Source {
	b.patterns = append(b.patterns, work.Constant(power))
	return add(name)
}

// source adds the named part's requested power to lumps, if it asks for any.
func (b *assembler) source(name string, r *resolver, lumps ...network.Node) network.Source {
	return b.scaledSource(name, 1, r, lumps...)
}

// scaledSource adds a part's requested power times a factor.
func (b *assembler) scaledSource(name string, factor float64, r *resolver, lumps ...network.Node) network.Source {
	p, ok := r.pattern(name)
	if !ok {
		return -1
	}
	if factor != 1 {
		p = p.Scaled(factor)
	}
	b.patterns = append(b.patterns, p)
	return b.net.Source(name, lumps...)
}

// Names of the nodes of the sections room and case.
const (
	roomName = "room"
	caseName = "case"
)

// surroundings adds the room and the case as lumps where they are stated.
func (b *assembler) surroundings(r *resolver) {
	s := b.plan.Scenario
	b.roomNode = b.ambient
	if s.Room != nil {
		b.roomNode = b.node(roomName, "", Free, b.net.Lump(roomName, s.Room.Capacity.Value))
		b.net.Conduct(b.roomNode, b.ambient, s.Room.Conductance.Value, b.net.Path("room walls"))
	}
	b.around = b.roomNode
	if s.Case != nil {
		b.caseLumps(s.Case, r)
	}
}

// caseLumps adds the air of the case, which has all other links of its own, its
// boards and its chassis.
func (b *assembler) caseLumps(box *spec.Case, r *resolver) {
	b.caseNode = b.node(caseName, "", Free, b.net.Lump(caseName, box.Volume.Value*b.heatOfAir()))
	b.around = b.caseNode
	boards := b.node(caseName, "boards", Free, b.net.Lump(caseName+".boards", box.Boards.Capacity.Value))
	chassis := b.node(caseName, "chassis", Free, b.net.Lump(caseName+".chassis", box.Chassis.Capacity.Value))
	b.net.Conduct(boards, b.caseNode, box.Boards.Conductance.Value, 0)
	b.net.Conduct(chassis, b.caseNode, box.Chassis.Conductance.Value, 0)
	b.net.Conduct(chassis, b.roomNode, box.Conductance.Value, b.net.Path(caseName))
	b.source(caseName, r, boards)
}

// chip adds die and spreader.
func (b *assembler) chip(c spec.Chip, r *resolver) {
	die := b.node(c.Name, "die", Die, b.net.Lump(c.Name+".die", c.DieCapacity.Value))
	spreader := b.node(c.Name, "spreader", Spreader, b.net.Lump(c.Name+".spreader", c.SpreaderCapacity.Value))
	dieSpreader, _ := part.DieToSpreader(c.DieToPlate.Value, c.DieShare.Value)
	b.net.Conduct(die, spreader, dieSpreader, 0)
	source := b.source(c.Name, r, die)
	b.leakage(c.Name, die, c.Leakage)
	chip := Chip{Name: c.Name, Die: die, Source: source, Shutdown: c.Shutdown.Value, CutsOut: !b.filledIn(c.Name + ".shutdown"), Leak: -1}
	if c.Leakage.Power.Set {
		chip.Leak = b.leaks - 1
	}
	b.protection(c, &chip)
	b.plan.Chips = append(b.plan.Chips, chip)
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
		b.leaks++
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
