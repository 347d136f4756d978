package network

import "soakledger/sim/fluid"

// Network is a built network. Its state vector holds the temperature of every
// lump (K) and, behind them, the quadratures: energy that has left by each
// path (J), then energy released by each leak (J).
type Network struct {
	names      []string // of the lumps
	sources    []sourceOf
	boundaries []string
	circuits   []string
	paths      []string
	coolant    *fluid.Table

	capacity []float64 // J/K, 0 for coolant
	mass     []float64 // kg of coolant, 0 otherwise

	inner    []innerLink // conductances between two lumps, those with coolant first
	outer    []outerLink // conductances to a boundary, those with coolant first
	wetInner int         // number of inner links that touch coolant
	wetOuter int
	cells    []cell // lumps that hold coolant
	rings    []ringLink
	inflows  []boundaryLink
	outflows []boundaryLink
	leaks    []leakLink

	rowStart, col []int     // structural nonzeros of the Jacobian
	base          []float64 // its constant part, see fillBase

	in         Inputs
	moving     bool      // a boundary has a slope
	fixed      []float64 // K, of every boundary at the time last evaluated
	sourceHeat []float64 // W into every lump from the requested powers
	refH       float64   // J/kg: enthalpy of coolant that carries no energy

	// By lump, at the state last evaluated.
	invCapacity  []float64 // K/J
	enthalpy     []float64 // J/kg above refH; 0 without coolant
	specificHeat []float64 // J/(kg K); 0 without coolant

	scratch []float64 // one right-hand side, for the Jacobian
	group   []int32   // for AppendUndetermined
}

// innerLink is a constant conductance between two lumps.
type innerLink struct {
	a, b int32
	g    float64
}

// outerLink is a constant conductance from a lump to a boundary.
type outerLink struct {
	lump, boundary, path int32
	g                    float64
}

// cell is the working data of a coolant lump.
type cell struct {
	lump int32
	diag int32   // of its row, in the Jacobian's values
	mass float64 // kg
	dcp  float64 // J/(kg K2) at the state last evaluated
}

// ringLink carries coolant from one lump to another.
type ringLink struct {
	from, to         int32
	fromDiag, toFrom int32 // entries (from, from) and (to, from) of the Jacobian
	circuit          int32
	share            float64
	flow             float64 // kg/s at the present inputs
}

// boundaryLink carries coolant between a lump and a boundary.
type boundaryLink struct {
	lump, boundary, path int32
	diag, quad           int32 // entries (lump, lump) and (path, lump) of the Jacobian; of an outflow only
	circuit              int32
	share                float64
	flow                 float64 // kg/s at the present inputs
}

// leakLink is the working data of a leak.
type leakLink struct {
	leak
	diag, quad int32 // entries (lump, lump) and (quadrature, lump) of the Jacobian
}

// newNetwork copies a checked builder into working form.
func newNetwork(b *Builder) *Network {
	lumps := len(b.lumps)
	n := &Network{
		sources: b.sources, boundaries: b.boundaries, circuits: b.circuits, paths: b.paths, coolant: b.coolant,
		invCapacity: make([]float64, lumps), enthalpy: make([]float64, lumps), specificHeat: make([]float64, lumps),
		sourceHeat: make([]float64, lumps), fixed: make([]float64, len(b.boundaries)),
		scratch: make([]float64, lumps+len(b.paths)+len(b.leaks)), group: make([]int32, lumps+1),
	}
	for i, l := range b.lumps {
		n.names = append(n.names, l.name)
		n.mass = append(n.mass, l.mass)
		n.capacity = append(n.capacity, l.capacity)
		if l.coolant {
			n.cells = append(n.cells, cell{lump: int32(i), mass: l.mass})
			continue
		}
		n.invCapacity[i] = 1 / l.capacity
	}
	n.addConducts(b)
	for _, s := range b.streams {
		n.addStream(s)
	}
	for _, l := range b.leaks {
		n.leaks = append(n.leaks, leakLink{leak: l})
	}
	n.in = n.NewInputs()
	return n
}

// addConducts sorts the conductances into inner and outer ones, those that
// touch coolant first: the Jacobian needs the heat of coolant lumps alone.
func (n *Network) addConducts(b *Builder) {
	for _, wet := range []bool{true, false} {
		for _, c := range b.conducts {
			k, out := c.b.boundary()
			if touches := n.mass[c.a] > 0 || !out && n.mass[c.b] > 0; touches != wet {
				continue
			}
			if out {
				n.outer = append(n.outer, outerLink{lump: int32(c.a), boundary: int32(k), path: int32(c.path), g: c.g})
				continue
			}
			n.inner = append(n.inner, innerLink{a: int32(c.a), b: int32(c.b), g: c.g})
		}
		if wet {
			n.wetInner, n.wetOuter = len(n.inner), len(n.outer)
		}
	}
}

// addStream sorts a stream by its.last.
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

// Dim returns the number of lumps and of quadratures.
func (n *Network) Dim() (states, quadratures int) {
	return len(n.names), len(n.paths) + len(n.leaks)
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

// Capacity returns the heat capacity of a lump at temperature t (K), J/K.
func (n *Network) Capacity(lump Node, t float64) float64 {
	if n.mass[lump] == 0 {
		return n.capacity[lump]
	}
	_, cp, _ := n.coolant.Enthalpy(t)
	return n.mass[lump] * cp
}

// StoredEnergy returns the energy a lump takes up from temperature from to
// temperature to (K), J.
func (n *Network) StoredEnergy(lump Node, from, to float64) float64 {
	if n.mass[lump] == 0 {
		return n.capacity[lump] * (to - from)
	}
	h0, _, _ := n.coolant.Enthalpy(from)
	h1, _, _ := n.coolant.Enthalpy(to)
	return n.mass[lump] * (h1 - h0)
}
