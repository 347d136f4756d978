package networktest

import (
	"fmt"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// Case is a network in plain data, with inputs and temperatures. Nodes are those of
// the network that Build returns: lump i is i, boundary k is -1-k.
type Case struct {
	Coolant  *fluid.Table // nil if no lump holds coolant
	Lumps    []Lump
	Conducts []Conduct
	Streams  []Stream
	Leaks    []Leak
	Sources  [][]network.Node // the lumps that share each requested power evenly
	Paths    int

	Operations []Operation
	Laws       []Law
	Flows      []Flow
	Curves     []Curve

	Inputs       network.Inputs
	Temperatures []float64 // K, one a lump
}

// Lump is a store of heat: a capacity (J/K), or else a mass of coolant (kg).
type Lump struct{ Capacity, Mass float64 }

// Conduct is a conductance G (W/K) between two nodes.
type Conduct struct {
	A, B network.Node
	G    float64
	Path network.Path
}

// Stream is a share of a circuit's mass flow from one node to another.
type Stream struct {
	From, To network.Node
	Circuit  network.Circuit
	Share    float64
	Path     network.Path
}

// Leak is a power (W) at the temperature At (K) that grows by Growth (1/K).
type Leak struct {
	Lump              network.Node
	Power, At, Growth float64
	Linear            bool
}

// Operation is what a circuit's quantities are over the temperature of the
// lump Reference.
type Operation struct {
	Circuit   network.Circuit
	Reference network.Node
	Low, High float64 // K
	network.Operation
}

// Law is a share of a conductance that an operation gives as its quantity Value.
type Law struct {
	A, B    network.Node
	Circuit network.Circuit
	Value   int
	Share   float64
	Path    network.Path
}

// Flow is a mass flow that an operation gives as its quantity Value.
type Flow struct {
	From, To network.Node
	Circuit  network.Circuit
	Value    int
}

// Curve is a heat flow G d + Cube d³ (W) at a difference d (K) of temperatures.
type Curve struct {
	A, B    network.Node
	G, Cube float64
	Path    network.Path
}

// Heat returns the heat (W) and its slope (W/K) at a difference d (K).
func (c Curve) Heat(d float64) (q, slope float64) {
	return d * (c.G + c.Cube*d*d), c.G + 3*c.Cube*d*d
}

// Build returns the network, with the case's inputs set. It panics if the case
// is not a valid network.
func (c *Case) Build() *network.Network {
	b := network.NewBuilder(c.Coolant)
	for i, l := range c.Lumps {
		name := fmt.Sprintf("lump %d", i)
		if l.Mass > 0 {
			b.CoolantLump(name, l.Mass)
			continue
		}
		b.Lump(name, l.Capacity)
	}
	for k := range c.Inputs.Temperature {
		b.Boundary(fmt.Sprintf("boundary %d", k))
	}
	for k := range c.Inputs.MassFlow {
		b.Circuit(fmt.Sprintf("circuit %d", k))
	}
	for k := range c.Paths {
		b.Path(fmt.Sprintf("path %d", k))
	}
	for _, l := range c.Conducts {
		b.Conduct(l.A, l.B, l.G, l.Path)
	}
	for _, s := range c.Streams {
		b.Stream(s.From, s.To, s.Circuit, s.Share, s.Path)
	}
	c.follow(b)
	for k, lumps := range c.Sources {
		b.Source(fmt.Sprintf("source %d", k), lumps...)
	}
	for k, l := range c.Leaks {
		b.Leak(fmt.Sprintf("leak %d", k), l.Lump, l.Power, l.At, l.Growth, l.Linear)
	}
	n, err := b.Build()
	if err != nil {
		panic(err)
	}
	n.SetInputs(c.Inputs)
	return n
}

// follow adds operations and what follows them, and curves.
func (c *Case) follow(b *network.Builder) {
	for _, o := range c.Operations {
		b.Operate(o.Circuit, o.Reference, o.Operation, o.Low, o.High)
	}
	for _, l := range c.Laws {
		b.ConductOf(l.A, l.B, l.Circuit, l.Value, l.Share, l.Path)
	}
	for _, f := range c.Flows {
		b.StreamOf(f.From, f.To, f.Circuit, f.Value)
	}
	for _, l := range c.Curves {
		b.Curve(l.A, l.B, l.Path, l.Heat)
	}
}

// BuildWithState returns the network and its state at the case's temperatures,
// with all quadratures at zero.
func (c *Case) BuildWithState() (*network.Network, []float64) {
	n, y := c.Build(), make([]float64, len(c.Lumps)+c.Paths+len(c.Leaks))
	n.States(c.Temperatures, y[:len(c.Lumps)])
	return n, y
}

// add appends a lump at temperature t (K).
func (c *Case) add(l Lump, t float64) network.Node {
	c.Lumps = append(c.Lumps, l)
	c.Temperatures = append(c.Temperatures, t)
	return network.Node(len(c.Lumps) - 1)
}

// ring lets a circuit run through lumps and back to the first.
func (c *Case) ring(circuit network.Circuit, lumps ...network.Node) {
	for i, n := range lumps {
		c.Streams = append(c.Streams, Stream{From: n, To: lumps[(i+1)%len(lumps)], Circuit: circuit, Share: 1})
	}
}

// conduct ties two nodes.
func (c *Case) conduct(a, b network.Node, g float64, path network.Path) {
	c.Conducts = append(c.Conducts, Conduct{A: a, B: b, G: g, Path: path})
}
