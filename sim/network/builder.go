package network

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"soakledger/sim/fluid"
)

// Node is one end of a link: a lump (zero or above) or a boundary, whose
// temperature is an input.
type Node int

// boundary returns the index of a boundary node and whether it is one.
func (n Node) boundary() (int, bool) { return -1 - int(n), n < 0 }

// Source, Circuit and Path number the sources, the coolant circuits and the
// ways by which energy leaves, in the order in which they were added.
type (
	Source  int
	Circuit int
	Path    int
)

// Builder collects the lumps and links of a network. Names serve messages and
// results. Whatever is wrong is kept until Build, which reports it all.
type Builder struct {
	coolant    *fluid.Table
	lumps      []lump
	boundaries []string
	sources    []sourceOf
	circuits   []string
	paths      []string
	conducts   []conduct
	streams    []stream
	leaks      []leak
	operations map[Circuit]*operation
	laws       []lawOf
	flows      []flowOf
	curves     []curveOf
	passes     []passOf
	airStreams []streamOfAir

	auxiliaries []auxOf
	settings    []settingOf
	followed    []*operation // laws of their own
	drives      []driveOf
	airBy       *airBy
	errs        []error
}

// lump is a store of heat.
type lump struct {
	name     string
	coolant  bool
	capacity float64 // J/K; 0 for coolant
	mass     float64 // kg of coolant; 0 for a constant capacity
}

// sourceOf is a requested power and what it heats: lumps, over which it spreads
// evenly, or air.
type sourceOf struct {
	name   string
	into   intake
	lumps  []Node
	pass   Pass
	stream Stream
}

// intake is what a source heats.
type intake uint8

const (
	intoLumps  intake = iota
	intoPass          // air before a core
	behindPass        // air behind it
	intoStream        // air of a stream
)

// conduct is a link with a constant conductance; path counts only if one end
// is a boundary.
type conduct struct {
	a, b Node
	g    float64 // W/K
	path Path
}

// stream carries a share of a circuit's coolant one way; path counts only if
// one end is a boundary.
type stream struct {
	from, to Node
	circuit  Circuit
	share    float64
	path     Path
}

// leak is a power that grows with the temperature of its lump.
type leak struct {
	name   string
	lump   Node
	power  float64 // W at the reference temperature
	at     float64 // K
	growth float64 // 1/K
	linear bool
}

// NewBuilder returns an empty builder for a network filled with coolant. The
// table may be nil if no lump holds coolant.
func NewBuilder(coolant *fluid.Table) *Builder { return &Builder{coolant: coolant} }

// Lump adds a store with a constant heat capacity (J/K, > 0).
func (b *Builder) Lump(name string, capacity float64) Node {
	if !(capacity > 0) || math.IsInf(capacity, 1) {
		b.fail("lump %s: a heat capacity of %g J/K is not above zero and finite", name, capacity)
	}
	b.lumps = append(b.lumps, lump{name: name, capacity: capacity})
	return Node(len(b.lumps) - 1)
}

// CoolantLump adds a well-mixed mass of coolant (kg, > 0). Its capacity
// follows the specific heat at its own temperature.
func (b *Builder) CoolantLump(name string, mass float64) Node {
	if !(mass > 0) || math.IsInf(mass, 1) {
		b.fail("lump %s: %g kg of coolant is not above zero and finite", name, mass)
	}
	if b.coolant == nil {
		b.fail("lump %s holds coolant, but the network has none", name)
	}
	b.lumps = append(b.lumps, lump{name: name, coolant: true, mass: mass})
	return Node(len(b.lumps) - 1)
}

// Boundary adds a node whose temperature is an input.
func (b *Builder) Boundary(name string) Node {
	b.boundaries = append(b.boundaries, name)
	return Node(-len(b.boundaries))
}

// Circuit adds a coolant circuit, whose mass flow is an input, or follows the
// operation that Operate gives it.
func (b *Builder) Circuit(name string) Circuit {
	b.circuits = append(b.circuits, name)
	return Circuit(len(b.circuits) - 1)
}

// Path adds a named way by which energy leaves the network; several links may
// share it. A name that is known already gives the path that has it.
func (b *Builder) Path(name string) Path {
	if i := slices.Index(b.paths, name); i >= 0 {
		return Path(i)
	}
	b.paths = append(b.paths, name)
	return Path(len(b.paths) - 1)
}

// Conduct ties two nodes by a conductance g (W/K, >= 0). The path names where
// the heat goes if one end is a boundary and is ignored between two lumps.
// Links between the same two nodes add up.
func (b *Builder) Conduct(from, to Node, g float64, path Path) {
	if !b.joins("link", from, to, path) {
		return
	}
	if !(g >= 0) || math.IsInf(g, 1) {
		b.fail("link %s to %s: %g W/K is not a conductance", b.nodeName(from), b.nodeName(to), g)
	}
	if from < 0 {
		from, to = to, from
	}
	b.conducts = append(b.conducts, conduct{a: from, b: to, g: g, path: path})
}

// Stream lets a share (>= 0) of a circuit's mass flow run from one node to
// another. Lumps at its ends must hold coolant, and every circuit must bring
// into a lump what it takes out. The path names where the enthalpy comes from
// or goes if one end is a boundary.
func (b *Builder) Stream(from, to Node, circuit Circuit, share float64, path Path) {
	if !b.joins("stream", from, to, path) {
		return
	}
	if circuit < 0 || int(circuit) >= len(b.circuits) {
		b.fail("stream %s to %s: there is no circuit %d", b.nodeName(from), b.nodeName(to), circuit)
		return
	}
	if !(share >= 0) || math.IsInf(share, 1) {
		b.fail("stream %s to %s: a share of %g is not zero or above", b.nodeName(from), b.nodeName(to), share)
	}
	for _, n := range []Node{from, to} {
		if n >= 0 && !b.lumps[n].coolant {
			b.fail("stream %s to %s: %s holds no coolant", b.nodeName(from), b.nodeName(to), b.nodeName(n))
			return
		}
	}
	b.streams = append(b.streams, stream{from: from, to: to, circuit: circuit, share: share, path: path})
}

// Source adds a requested power that is spread evenly over lumps; a lump named
// twice gets two parts of it.
func (b *Builder) Source(name string, lumps ...Node) Source {
	for _, n := range lumps {
		b.heats("source "+name, n)
	}
	if len(lumps) == 0 {
		b.fail("source %s heats nothing", name)
	}
	b.sources = append(b.sources, sourceOf{name: name, lumps: slices.Clone(lumps)})
	return Source(len(b.sources) - 1)
}

// Leak adds a power that depends on the temperature T of its lump:
// power exp(growth (T - at)), or power (1 + growth (T - at)), never below
// zero, if linear (Liu, Dick, Shang & Yang 2007: linear is adequate over tens
// of kelvin). power in W, >= 0; at in K, > 0; growth in 1/K.
func (b *Builder) Leak(name string, lump Node, power, at, growth float64, linear bool) {
	b.heats("leakage "+name, lump)
	if !(power >= 0) || math.IsInf(power, 1) {
		b.fail("leakage %s: a power of %g W is not zero or above", name, power)
	}
	if !(at > 0) || math.IsInf(at, 1) {
		b.fail("leakage %s: %g K is not a temperature", name, at)
	}
	if math.IsNaN(growth) || math.IsInf(growth, 0) {
		b.fail("leakage %s: a growth of %g 1/K is not finite", name, growth)
	}
	b.leaks = append(b.leaks, leak{name: name, lump: lump, power: power, at: at, growth: growth, linear: linear})
}

// Build checks the whole and returns the network, with all inputs at zero
// flow, zero power and boundaries at 293.15 K. The error joins all that is
// wrong.
func (b *Builder) Build() (*Network, error) {
	if len(b.lumps) == 0 {
		b.fail("a network needs at least one lump")
	}
	if len(b.errs) == 0 { // a stream that was refused would be missed here again
		b.checkStreams()
		b.checkDrives()
		b.tabulateAll()
	}
	if len(b.errs) > 0 {
		return nil, errors.Join(b.errs...)
	}
	n := newNetwork(b)
	n.buildPattern()
	in := n.NewInputs()
	for i := range in.Temperature {
		in.Temperature[i] = reference
	}
	n.SetInputs(in)
	n.SetReference(reference)
	if n.err != nil {
		return nil, n.err
	}
	return n, nil
}

// reference is the temperature (K) at which a coolant's state is its
// temperature, and, until they are set, that of the boundaries and of coolant
// that carries no energy.
const reference = 293.15

// checkStreams makes sure that every circuit brings as much coolant into a
// lump as it takes out: a mass of coolant never changes.
func (b *Builder) checkStreams() {
	type key struct {
		node    Node
		circuit Circuit
	}
	in, out := map[key]float64{}, map[key]float64{}
	for _, s := range b.streams {
		if b.operations[s.circuit] != nil {
			b.fail("stream %s to %s: the flow of circuit %s follows its operation, not the inputs", b.nodeName(s.from), b.nodeName(s.to), b.circuits[s.circuit])
		}
		out[key{s.from, s.circuit}] += s.share
		in[key{s.to, s.circuit}] += s.share
	}
	for i, l := range b.lumps {
		for c, name := range b.circuits {
			k := key{Node(i), Circuit(c)}
			if math.Abs(in[k]-out[k]) > 1e-9*(in[k]+out[k]) {
				b.fail("circuit %s: %s takes in %g but gives out %g of its flow, so its mass would change", name, l.name, in[k], out[k])
			}
		}
	}
}

// joins reports whether a link or stream can run between two nodes, and records
// why not.
func (b *Builder) joins(kind string, from, to Node, path Path) bool {
	for _, n := range []Node{from, to} {
		if !b.known(n) {
			b.fail("%s %s to %s: there is no node %d", kind, b.nodeName(from), b.nodeName(to), n)
			return false
		}
	}
	switch {
	case from < 0 && to < 0:
		b.fail("%s %s to %s joins two fixed temperatures and moves nothing", kind, b.nodeName(from), b.nodeName(to))
	case from == to:
		b.fail("%s %s to %s joins a lump to itself", kind, b.nodeName(from), b.nodeName(to))
	case (from < 0 || to < 0) && (path < 0 || int(path) >= len(b.paths)):
		b.fail("%s %s to %s: there is no path %d", kind, b.nodeName(from), b.nodeName(to), path)
	default:
		return true
	}
	return false
}

// heats records why a power cannot go into a node, if so.
func (b *Builder) heats(what string, n Node) {
	switch {
	case !b.known(n):
		b.fail("%s: there is no node %d", what, n)
	case n < 0:
		b.fail("%s heats %s, whose temperature is fixed", what, b.nodeName(n))
	}
}

// known reports whether a node was added.
func (b *Builder) known(n Node) bool {
	if k, ok := n.boundary(); ok {
		return k < len(b.boundaries)
	}
	return int(n) < len(b.lumps)
}

// nodeName names a node for messages.
func (b *Builder) nodeName(n Node) string {
	if !b.known(n) {
		return "?"
	}
	if k, ok := n.boundary(); ok {
		return b.boundaries[k]
	}
	return b.lumps[n].name
}

// fail records an error; Build reports them all.
func (b *Builder) fail(format string, args ...any) {
	b.errs = append(b.errs, fmt.Errorf("network: "+format, args...))
}
