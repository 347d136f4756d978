package networktest

import (
	"fmt"
	"slices"

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

	Passes     []Pass
	AirStreams []AirStream
	Fans       []Fan // sources after Sources

	Auxiliaries []Auxiliary

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

// Pass is air over metal, see network.AirPass.
type Pass struct {
	From, To      []AirShare
	Recirculation float64
	OneWay        bool
	Ties          []Tie
}

// AirShare is a share of air of a node or, if Exhaust, of the place behind a pass.
type AirShare struct {
	Node    network.Node
	Exhaust bool
	Pass    network.Pass
	Share   float64
}

// Tie is a conductance between metal and a pass's air: a share of a quantity, or
// without one G (W/K).
type Tie struct {
	Metal   network.Node
	G       float64
	Follows bool
	Circuit network.Circuit
	Value   int
	Share   float64
}

// AirStream is a stream of air between two nodes.
type AirStream struct {
	From, To network.Node
	Path     network.Path
}

// Fan is a source that heats the air of a pass, before or behind its core, or
// of a stream.
type Fan struct {
	InStream bool
	Stream   network.Stream
	Pass     network.Pass
	Behind   bool
}

// Auxiliary is a state that follows, with the time constant Tau (s), the sum of
// its signals: temperatures, or powers if OfPower. Value is what it is.
type Auxiliary struct {
	Tau, Value float64
	OfPower    bool
	Signals    []Signal
}

// Signal is Weight times the temperature of a spot (a node, an inlet or an
// outlet), or the power of a source.
type Signal struct {
	Weight float64
	Spot   Spot
	Source network.Source
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
	c.breathe(b)
	for k, l := range c.Leaks {
		b.Leak(fmt.Sprintf("leak %d", k), l.Lump, l.Power, l.At, l.Growth, l.Linear)
	}
	c.sense(b)
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

// breathe adds passes and streams of air, and the sources that heat them.
func (c *Case) breathe(b *network.Builder) {
	for k, p := range c.Passes {
		pass := b.AirPass(PassName(k), network.AirPass{
			From: shares(p.From), To: shares(p.To), Recirculation: p.Recirculation, OneWay: p.OneWay,
		})
		for _, t := range p.Ties {
			if t.Follows {
				b.AirConductOf(t.Metal, pass, t.Circuit, t.Value, t.Share)
			} else {
				b.AirConduct(t.Metal, pass, t.G)
			}
		}
	}
	for _, s := range c.AirStreams {
		b.AirStream(s.From, s.To, s.Path)
	}
	for k, f := range c.Fans {
		name := fmt.Sprintf("fan %d", k)
		if f.InStream {
			b.SourceIntoStream(name, f.Stream)
		} else {
			b.SourceInto(name, f.Pass, f.Behind)
		}
	}
}

func shares(list []AirShare) (all []network.AirShare) {
	for _, s := range list {
		if s.Exhaust {
			all = append(all, network.ExhaustOf(s.Pass, s.Share))
		} else {
			all = append(all, network.AirOf(s.Node, s.Share))
		}
	}
	return all
}

// PassName is the name of pass k, and of the path that counts the energy of its
// air at boundaries.
func PassName(k int) string { return fmt.Sprintf("pass %d", k) }

// PassPath returns the number of the path of pass k, and whether it has one.
// Those of the passes follow the others.
func (c *Case) PassPath(k int) (network.Path, bool) {
	path, own := network.Path(c.Paths), false
	for _, p := range c.Passes[:k+1] {
		own = slices.ContainsFunc(append(slices.Clone(p.From), p.To...), func(s AirShare) bool { return !s.Exhaust && s.Node < 0 })
		if own {
			path++
		}
	}
	return path - 1, own
}

// AllPaths returns the number of paths, with those of the passes.
func (c *Case) AllPaths() int {
	count := c.Paths
	for k := range c.Passes {
		if _, own := c.PassPath(k); own {
			count++
		}
	}
	return count
}

// BuildWithState returns the network and its state at the case's temperatures,
// with all quadratures at zero.
func (c *Case) BuildWithState() (*network.Network, []float64) {
	n, y := c.Build(), make([]float64, c.States()+c.AllPaths()+len(c.Leaks))
	n.States(c.Temperatures, y[:len(c.Lumps)])
	for k, a := range c.Auxiliaries {
		y[len(c.Lumps)+k] = a.Value
	}
	return n, y
}

// States returns the number of lumps and auxiliary states.
func (c *Case) States() int { return len(c.Lumps) + len(c.Auxiliaries) }

// sense adds auxiliary states.
func (c *Case) sense(b *network.Builder) {
	for k, a := range c.Auxiliaries {
		var signals []network.Signal
		for _, s := range a.Signals {
			switch pass := network.Pass(s.Spot.Pass); {
			case a.OfPower:
				signals = append(signals, network.PowerOf(s.Source, s.Weight))
			case s.Spot.At == AtInlet:
				signals = append(signals, network.InletOf(pass, s.Weight))
			case s.Spot.At == AtOutlet:
				signals = append(signals, network.OutletOf(pass, s.Weight))
			default:
				signals = append(signals, network.TemperatureOf(s.Spot.Node, s.Weight))
			}
		}
		if a.OfPower {
			b.Average(fmt.Sprintf("average %d", k), a.Tau, signals...)
		} else {
			b.Lag(fmt.Sprintf("lag %d", k), a.Tau, signals...)
		}
	}
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
