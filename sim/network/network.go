package network

import (
	"math"
	"slices"

	"soakledger/sim/fluid"
)

// Network is a built network. Its state vector holds one value a lump and,
// behind them, one an auxiliary state; then come the quadratures: energy that has
// left by each path (J), then energy released by each leak (J).
//
// The state of a lump is its temperature (K), except that a lump of coolant is
// described by its specific enthalpy, written as the temperature it would have
// with the specific heat c0 of the reference temperature T0 throughout:
// T0 + (h(T) - h(T0)) / c0. Every lump then stores energy in proportion to its
// state, so that an integrator that conserves linear sums conserves energy to
// rounding, and coolant streams are linear. States and Temperatures convert.
type Network struct {
	names      []string // of the lumps
	states     int      // lumps and auxiliary states
	sources    []sourceOf
	boundaries []string
	circuits   []string
	paths      []string
	coolant    *fluid.Table

	capacity []float64      // J/K, energy per state; of coolant mass times c0; 0 of auxiliary states
	mass     []float64      // kg of coolant, 0 otherwise
	scale    *fluid.Inverse // temperature of coolant over its state
	c0       float64        // J/(kg K), specific heat in states

	inner    innerLinks // conductances between two lumps
	aside    innerLinks // those that are not part of chains
	chains   []chain
	outer    []outerLink // conductances to a boundary
	cells    []int32     // lumps that hold coolant
	rings    []ringLink
	inflows  []boundaryLink
	outflows []boundaryLink
	leaks    []leakLink

	operation    []*operated // that a circuit has, nil if its flow is an input
	operated     []*operated // those that are not nil, and those of laws
	blended      []*operated // those whose settings move
	lawOperation []*operated
	lawNames     []string
	laws         []lawLink
	lawful       lawColumns // the same, for F
	stated       int        // laws before those of plain passes
	rises        []riseLink // of those
	flows        []flowLink
	curves       []curveLink

	passes     []passLink
	order      []int32 // of the passes that are not plain, as their air is found
	breaths    []breath
	airStreams []airLink
	airScratch []float64 // for CheckAir

	auxiliaries []auxLink

	settings []settingOf
	drives   []driveLink
	airBy    *airBy
	steering steering
	steered  bool  // a drive follows its law
	err      error // why a table or the air could not be made

	rowStart, col []int      // structural nonzeros of the Jacobian
	dry           []float64  // its part that depends on nothing, see fillDry
	steady        []float64  // its part at the present inputs: dry and the streams
	wet           []wetEntry // its part that follows the coolant's slopes

	in         Inputs
	moving     bool      // a boundary has a slope
	ramping    bool      // a power has a slope
	sourceHeat []float64 // W into every row from the requested powers at the time of the inputs
	heatSlope  []float64 // W/s, its change
	fan        []airHeat // into the air of every pass, likewise
	fanSlope   []airHeat
	fanNow     []airHeat // at the time last evaluated
	rest       float64   // state of coolant that carries no energy, K
	shift      float64   // K, added to the coolant's temperatures, see SetReference
	airRest    float64   // K, temperature of air that carries no energy

	perRow      []float64 // what a row's heat is multiplied by: K/J of a lump, 1 of a quadrature
	invCapacity []float64 // K/J, by lump: the beginning of perRow
	state       []float64 // last evaluated, by lump
	nodes       []float64 // K, of the lumps there, then of the boundaries and the inlets of plain passes at the time last evaluated
	temp, fixed []float64 // its first two parts
	slope       []float64 // derivative of nodes with respect to the lump's own state; 0 of boundaries
	drift       []float64 // derivative of nodes with respect to time at a given state, K/s: 0 of lumps
	quantity    []float64 // of all operations, at the state last evaluated; the last is 1
	moves       []bool    // whether a quantity is ever above zero
	growth      []float64 // derivatives with respect to their references' temperatures, 1/K; Jacobian's scratch
	group       []int32   // for AppendUndetermined
}

// innerLinks are constant conductances g (W/K) between lumps a and b, one an
// index. F is faster to go through them as columns.
type innerLinks struct {
	a, b []uint32
	g    []float64
}

// outerLink is a constant conductance from a lump to a boundary.
type outerLink struct {
	lump, boundary, path int32
	g                    float64
}

// wetEntry is the part of an entry of the Jacobian in the column of a lump of
// coolant that conductances make: g times the slope of that lump.
type wetEntry struct {
	entry, lump int32
	g           float64
}

// ringLink carries coolant from one lump to another.
type ringLink struct {
	from, to         int32
	fromDiag, toFrom int32 // entries (from, from) and (to, from) of the Jacobian
	circuit          int32
	share            float64
	carry            float64 // W per kelvin of state at the present inputs: mass flow times c0
}

// boundaryLink carries coolant between a lump and a boundary.
type boundaryLink struct {
	lump, boundary, path int32
	diag, quad           int32 // entries (lump, lump) and (path, lump) of the Jacobian; of an outflow only
	circuit              int32
	share                float64
	carry                float64 // W per kelvin of state at the present inputs
	state                float64 // K, of the boundary at the time last evaluated; of an inflow only
}

// leakLink is the working data of a leak.
type leakLink struct {
	leak
	diag, quad int32   // entries (lump, lump) and (quadrature, lump) of the Jacobian
	share      float64 // of its power, see Inputs.Leak
	p          float64 // W, at the state last evaluated
}

// newNetwork copies a checked builder into working form.
func newNetwork(b *Builder) *Network {
	lumps, states := len(b.lumps), len(b.lumps)+len(b.auxiliaries)
	rows, nodes := states+len(b.paths)+len(b.leaks), lumps+len(b.boundaries)+b.countRises()
	n := &Network{
		states: states, capacity: make([]float64, states), mass: make([]float64, states),
		sources: b.sources, boundaries: b.boundaries, circuits: b.circuits, paths: b.paths, coolant: b.coolant,
		perRow: slices.Repeat([]float64{1}, rows), state: make([]float64, lumps), nodes: make([]float64, nodes),
		slope: make([]float64, nodes), drift: make([]float64, nodes),
		sourceHeat: make([]float64, rows), heatSlope: make([]float64, rows), group: make([]int32, lumps+1+2*len(b.passes)),
	}
	n.invCapacity, n.temp, n.fixed = n.perRow[:lumps], n.nodes[:lumps], n.nodes[lumps:lumps+len(b.boundaries)]
	if n.coolant != nil {
		n.scale, n.c0 = n.coolant.Scaled(reference)
	}
	for i, l := range b.lumps {
		n.names = append(n.names, l.name)
		n.mass[i], n.capacity[i] = l.mass, l.capacity
		n.slope[i] = 1
		if l.coolant {
			n.cells = append(n.cells, int32(i))
			n.capacity[i] = l.mass * n.c0
		}
		n.invCapacity[i] = 1 / n.capacity[i]
	}
	n.addConducts(b)
	for _, s := range b.streams {
		n.addStream(s)
	}
	for _, l := range b.leaks {
		n.leaks = append(n.leaks, leakLink{leak: l, share: 1})
	}
	n.addLaws(b)
	n.addAir(b)
	n.addChains()
	n.addAuxiliaries(b)
	n.addDrives(b)
	n.in = n.NewInputs()
	n.forget()
	return n
}

// forget makes the state last evaluated one that no other equals.
func (n *Network) forget() { n.state[0] = math.NaN() }

// addConducts sorts the conductances into inner and outer ones.
func (n *Network) addConducts(b *Builder) {
	for _, c := range b.conducts {
		if k, out := c.b.boundary(); out {
			n.outer = append(n.outer, outerLink{lump: int32(c.a), boundary: int32(k), path: int32(c.path), g: c.g})
			continue
		}
		n.inner.a = append(n.inner.a, uint32(c.a))
		n.inner.b = append(n.inner.b, uint32(c.b))
		n.inner.g = append(n.inner.g, c.g)
	}
}

// addStream sorts a stream by its ends.
func (n *Network) addStream(s stream) {
	from, fromOutside := s.from.boundary()
	to, toOutside := s.to.boundary()
	circuit, path := int32(s.circuit), int32(s.path)
	switch {
	case fromOutside:
		n.inflows = append(n.inflows, boundaryLink{lump: int32(s.to), boundary: int32(from), path: path, circuit: circuit, share: s.share})
	case toOutside:
		n.outflows = append(n.outflows, boundaryLink{lump: int32(s.from), boundary: int32(to), path: path, circuit: circuit, share: s.share})
	default:
		n.rings = append(n.rings, ringLink{from: int32(s.from), to: int32(s.to), circuit: circuit, share: s.share})
	}
}

// Dim returns the number of lumps and auxiliary states together, and of
// quadratures.
func (n *Network) Dim() (states, quadratures int) {
	return n.states, len(n.paths) + len(n.leaks)
}

// Lumps returns the names of the lumps in state order; the caller must not
// change them.
func (n *Network) Lumps() []string { return n.names }

// Sources returns the names of the requested powers in input order.
func (n *Network) Sources() []string {
	names := make([]string, len(n.sources))
	for i, s := range n.sources {
		names[i] = s.name
	}
	return names
}

// Paths returns the names of the ways out, in quadrature order; the caller
// must not change them.
func (n *Network) Paths() []string { return n.paths }

// Leaks returns the names of the leaks, whose quadratures follow the paths.
func (n *Network) Leaks() []string {
	names := make([]string, len(n.leaks))
	for i := range n.leaks {
		names[i] = n.leaks[i].name
	}
	return names
}

// HoldsCoolant reports whether a lump is a mass of coolant.
func (n *Network) HoldsCoolant(lump Node) bool { return n.mass[lump] > 0 }
