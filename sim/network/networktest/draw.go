package networktest

import (
	"math"
	"slices"
	"sync"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// Kinds says what a random network may have beyond lumps, conductances,
// circuits and sources.
type Kinds struct {
	Leaks  bool // powers that depend on temperature, exponential and linear
	Moving bool // boundaries and powers that change with time
	Laws   bool // circuits that follow operations, at work and at rest, and curves
	Air    bool // passes and streams of air, and sources in it
	Aux    bool // auxiliary states
	Tied   bool // every lump has a good conductance to a boundary, and leaks are too small to run away
}

// Draw returns a random network of 1 to 10 lumps: constant capacities and
// coolant of any kind; links between any two nodes, several between the same
// two among them, some with zero conductance; circuits that run in rings or
// from boundary to boundary, some of which part and join again, some at rest;
// sources on one or several lumps, several on the same. All lumps are between
// 275 and 365 K. CheckAir finds nothing wrong with the
// air but, in some cases, that it is overdrawn.
func Draw(t *rapid.T, kinds Kinds) *Case {
	d := drawer{t: t, c: &Case{Coolant: drawCoolant(t), Paths: rapid.IntRange(1, 3).Draw(t, "paths")}}
	for range rapid.IntRange(1, 10).Draw(t, "lumps") {
		d.lump()
	}
	for range rapid.IntRange(1, 3).Draw(t, "boundaries") {
		d.c.Inputs.Temperature = append(d.c.Inputs.Temperature, d.float("boundary", 280, 310))
		d.c.Inputs.Slope = append(d.c.Inputs.Slope, 0)
	}
	d.conducts(kinds.Tied)
	if len(d.coolant) > 0 {
		for range rapid.IntRange(0, 3).Draw(t, "circuits") {
			d.circuit()
		}
	}
	if kinds.Laws {
		d.laws()
	}
	for range rapid.IntRange(0, 4).Draw(t, "sources") {
		d.source()
	}
	if kinds.Air {
		d.air()
	}
	if kinds.Leaks {
		for range rapid.IntRange(0, 3).Draw(t, "leaks") {
			d.leak(kinds.Tied)
		}
	}
	if kinds.Aux {
		for range rapid.IntRange(0, 3).Draw(t, "auxiliaries") {
			d.auxiliary()
		}
	}
	if kinds.Moving {
		for k := range d.c.Inputs.Slope {
			d.c.Inputs.Slope[k] = d.float("slope", -0.02, 0.02)
		}
		for range d.c.Inputs.Power {
			d.c.Inputs.PowerSlope = append(d.c.Inputs.PowerSlope, d.float("ramp", -0.1, 0.1))
		}
		d.c.Inputs.Since = d.float("since", -100, 100)
	}
	return d.c
}

// drawer draws the parts of one case.
type drawer struct {
	t       *rapid.T
	c       *Case
	coolant []network.Node // the lumps that hold it
}

func (d *drawer) float(what string, low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(d.t, what)
}

// size draws a positive number over decades.
func (d *drawer) size(what string, low, high float64) float64 {
	return math.Exp(d.float(what, math.Log(low), math.Log(high)))
}

// drawCoolant draws a coolant by its index: a report of a failure prints what
// was drawn, and a table would fill pages.
func drawCoolant(t *rapid.T) *fluid.Table {
	all := coolants()
	return all[rapid.IntRange(0, len(all)-1).Draw(t, "coolant")].Fast()
}

// Coolants returns one coolant of each kind, the simplest first.
func Coolants() []*fluid.Coolant { return slices.Clone(coolants()) }

// coolants are those of Coolants, made once. They never change.
var coolants = sync.OnceValue(func() []*fluid.Coolant {
	constant, err := fluid.Constant(fluid.Properties{Density: 1000, SpecificHeat: 4180, Viscosity: 1e-3, Conductivity: 0.6})
	if err != nil {
		panic(err)
	}
	all := []*fluid.Coolant{constant, fluid.Water()}
	for _, kind := range []fluid.Kind{fluid.KindEthyleneGlycol, fluid.KindPropyleneGlycol} {
		glycol, err := fluid.New(kind, 0.35)
		if err != nil {
			panic(err)
		}
		all = append(all, glycol)
	}
	return all
})

func (d *drawer) lump() {
	temperature := d.float("state", 275, 365)
	if rapid.Bool().Draw(d.t, "holds coolant") {
		d.coolant = append(d.coolant, d.c.add(Lump{Mass: d.size("mass", 0.005, 2)}, temperature))
		return
	}
	d.c.add(Lump{Capacity: d.size("capacity", 1, 1e4)}, temperature)
}

// node draws a lump, or now and then a boundary.
func (d *drawer) node() network.Node {
	if rapid.IntRange(0, 3).Draw(d.t, "outside") == 0 {
		return d.boundary()
	}
	return d.anyLump()
}

func (d *drawer) boundary() network.Node {
	return network.Node(-1 - rapid.IntRange(0, len(d.c.Inputs.Temperature)-1).Draw(d.t, "boundary"))
}

func (d *drawer) anyLump() network.Node {
	return network.Node(rapid.IntRange(0, len(d.c.Lumps)-1).Draw(d.t, "lump"))
}

func (d *drawer) path() network.Path {
	return network.Path(rapid.IntRange(0, d.c.Paths-1).Draw(d.t, "path"))
}

func (d *drawer) conducts(tied bool) {
	for range rapid.IntRange(0, 2*len(d.c.Lumps)).Draw(d.t, "conductances") {
		a, b := d.node(), d.node()
		if a == b || a < 0 && b < 0 {
			continue
		}
		g := 0.0
		if rapid.IntRange(0, 9).Draw(d.t, "open") > 0 {
			g = d.size("conductance", 0.01, 100)
		}
		d.c.conduct(a, b, g, d.path())
	}
	if !tied {
		return
	}
	for i := range d.c.Lumps {
		d.c.conduct(network.Node(i), d.boundary(), d.size("tie", 5, 50), d.path())
	}
}

// circuit lets coolant run through lumps in a row, round or from boundary to
// boundary; it may part before one lump and join after it.
func (d *drawer) circuit() {
	lumps := rapid.Permutation(d.coolant).Draw(d.t, "run")
	lumps = lumps[:rapid.IntRange(1, len(lumps)).Draw(d.t, "length")]
	circuit := network.Circuit(len(d.c.Inputs.MassFlow))
	flow := 0.0
	if rapid.IntRange(0, 3).Draw(d.t, "flows") > 0 {
		flow = d.size("flow", 0.001, 0.2)
	}
	d.c.Inputs.MassFlow = append(d.c.Inputs.MassFlow, flow)
	if len(lumps) == 1 || rapid.Bool().Draw(d.t, "open run") {
		d.run(circuit, append(append([]network.Node{d.boundary()}, lumps...), d.boundary()))
		return
	}
	if len(lumps) >= 4 && rapid.Bool().Draw(d.t, "parts") {
		d.parting(circuit, lumps)
		return
	}
	d.c.ring(circuit, lumps...)
}

// run lets a circuit's coolant run from the first node to the last.
func (d *drawer) run(circuit network.Circuit, nodes []network.Node) {
	for i := range nodes[:len(nodes)-1] {
		d.c.Streams = append(d.c.Streams, Stream{From: nodes[i], To: nodes[i+1], Circuit: circuit, Share: 1, Path: d.path()})
	}
}

// parting makes a ring of which the second and third lump are side by side.
func (d *drawer) parting(circuit network.Circuit, lumps []network.Node) {
	share := d.float("share", 0, 1)
	for k, s := range []float64{share, 1 - share} {
		d.c.Streams = append(d.c.Streams,
			Stream{From: lumps[0], To: lumps[1+k], Circuit: circuit, Share: s},
			Stream{From: lumps[1+k], To: lumps[3], Circuit: circuit, Share: s})
	}
	d.run(circuit, append(lumps[3:len(lumps):len(lumps)], lumps[0]))
}

func (d *drawer) source() {
	var lumps []network.Node
	for range rapid.IntRange(1, 3).Draw(d.t, "heated") {
		lumps = append(lumps, d.anyLump())
	}
	d.c.Sources = append(d.c.Sources, lumps)
	d.c.Inputs.Power = append(d.c.Inputs.Power, d.float("power", 0, 300))
}

// leak draws a leak. A small one grows by at most 0.01 W/K at the temperature
// At, against ties of 5 W/K.
func (d *drawer) leak(small bool) {
	most := 50.0
	if small {
		most = 0.5
	}
	d.c.Leaks = append(d.c.Leaks, Leak{
		Lump:   d.anyLump(),
		Power:  d.float("leakage", 0, most),
		At:     d.float("at", 300, 370),
		Growth: d.float("growth", -0.01, 0.02),
		Linear: rapid.Bool().Draw(d.t, "linear"),
	})
}

// auxiliary draws a lag of nodes and of passes that have air, or an average.
func (d *drawer) auxiliary() {
	a := Auxiliary{Tau: d.size("tau", 0.5, 500), Value: d.float("value", 0, 400)}
	a.OfPower = len(d.c.Inputs.Power) > 0 && rapid.Bool().Draw(d.t, "of power")
	for range rapid.IntRange(1, 3).Draw(d.t, "signals") {
		s := Signal{Weight: d.float("weight", -2, 2)}
		switch {
		case a.OfPower:
			s.Source = network.Source(rapid.IntRange(0, len(d.c.Inputs.Power)-1).Draw(d.t, "source"))
		case len(d.c.Passes) > 0 && rapid.Bool().Draw(d.t, "of air"):
			s.Spot = Spot{AtInlet, 0, rapid.IntRange(0, len(d.c.Passes)-1).Draw(d.t, "pass")}
			if rapid.Bool().Draw(d.t, "at outlet") {
				s.Spot.At = AtOutlet
			}
			if d.c.Inputs.Air[s.Spot.Pass].Rate == 0 {
				s.Spot = Spot{Node: d.node()}
			}
		default:
			s.Spot.Node = d.node()
		}
		a.Signals = append(a.Signals, s)
	}
	d.c.Auxiliaries = append(d.c.Auxiliaries, a)
}
