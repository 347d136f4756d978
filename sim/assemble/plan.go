package assemble

import (
	"math"
	"sort"

	"soakledger/sim/control"
	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// Plan is a scenario made ready to run.
type Plan struct {
	Scenario *spec.Scenario // completed
	Assumed  []spec.Assumed
	Warnings []string // what is carried beyond what was measured, each with what to do
	Network  *network.Network
	Inputs   network.Inputs // at time zero, before any work
	Timeline work.Timeline  // one pattern a source
	Start    []float64      // K, one a lump: as stated, ambient where nothing is stated

	Nodes      []Node // one a lump, in state order
	Chips      []Chip
	Loops      []Loop
	Air        []AirWay     // of every radiator, in file order
	CaseAir    *CaseAir     // nil without a case
	Controlled []Controlled // what follows a temperature, or has a fault that slows it
	Faults     []Fault
	// LostCoolant is the number among the network's paths of the one by which coolant
	// leaves that a fault loses, -1 where none does.
	LostCoolant int
	Subject     Node // whose soak is reported

	Coolant       *fluid.Coolant // nil if nothing holds any
	CoolantMass   float64        // kg, all lumps together
	CoolantVolume float64        // m3, at the density of the filling
	MetalMass     float64        // kg, of pumps, fittings, blocks and radiators

	stock *Stock
}

// Node is a lump as the scenario names it.
type Node struct {
	Lump   network.Node
	Path   string // cpu.die, front.coolant[2], backplate
	Column string // name in a trace without its unit: cpu_die, front_coolant_2
	Part   string // name of the part, chip or lump it belongs to
	Kind   NodeKind
}

// NodeKind says what a lump is made of.
type NodeKind uint8

// The kinds of lumps.
const (
	Die NodeKind = iota
	Spreader
	Metal
	CoolantCell
	Wall
	Free
)

// Chip is where a chip's die sits and when its own cut-out acts.
type Chip struct {
	Name     string
	Die      network.Node
	Source   network.Source // -1 if it asks for no power
	Shutdown float64        // K
	CutsOut  bool           // it was stated, so that it acts; one that was assumed is only watched

	Throttle *control.Throttle // nil for none
	Limits   control.PowerLimits
	Leak     int // number among the network's leaks, -1 for none
}

// Loop is a coolant ring.
type Loop struct {
	Name    string
	Circuit network.Circuit
	Flow    float64        // m3/s, with the coolant at the ambient temperature
	Outlet  network.Node   // the lump whose temperature counts as the coolant's: reservoir, else pump inlet
	Cells   []network.Node // in flow order
	Parts   []string       // in flow order
}

// AmbientAt returns the room's temperature (K) from time t (s) on, its slope (K/s)
// and the time until which it goes on like that, +Inf where it stays.
func (p *Plan) AmbientAt(t float64) (temperature, slope, until float64) {
	points := p.Scenario.Ambient.Schedule
	if s := p.Scenario.Ambient.Log.Series; s != nil {
		return alongSeries(s, t)
	}
	if len(points) == 0 {
		return p.Scenario.Ambient.Temperature.Value, 0, math.Inf(1)
	}
	for i, next := range points[1:] {
		from := points[i]
		if t < next.Time.Value {
			slope = (next.Temperature.Value - from.Temperature.Value) / (next.Time.Value - from.Time.Value)
			return from.Temperature.Value + slope*(t-from.Time.Value), slope, next.Time.Value
		}
	}
	return points[len(points)-1].Temperature.Value, 0, math.Inf(1)
}

// RoomMoves reports whether the room's temperature changes along a schedule or a
// log.
func (p *Plan) RoomMoves() bool {
	a := &p.Scenario.Ambient
	return len(a.Schedule) > 0 || a.Log.Series != nil
}

// alongSeries returns a series at a time, its slope and the time until which it
// goes on like that.
func alongSeries(s *spec.Series, t float64) (value, slope, until float64) {
	i := sort.SearchFloat64s(s.Times, t)
	if i < len(s.Times) && s.Times[i] == t {
		i++
	}
	switch {
	case i == 0:
		return s.Values[0], 0, s.Times[0]
	case i == len(s.Times):
		return s.Values[i-1], 0, math.Inf(1)
	case s.Hold:
		return s.Values[i-1], 0, s.Times[i]
	}
	slope = (s.Values[i] - s.Values[i-1]) / (s.Times[i] - s.Times[i-1])
	return s.Values[i-1] + slope*(t-s.Times[i-1]), slope, s.Times[i]
}

// FlowAt returns a loop's flow with its coolant at a temperature (K), m3/s.
func (p *Plan) FlowAt(l Loop, temperature float64) float64 {
	mass, ok := p.Network.Quantity(l.Circuit, 0, temperature)
	if !ok {
		return 0
	}
	density, _ := p.Coolant.Fast().Density(temperature)
	return mass / density
}

// HeatCapacity returns the heat capacity of the coolant and of the metal and
// walls of the loops and chips at the ambient temperature, J/K. Case, room and
// free lumps count only where there is no loop.
func (p *Plan) HeatCapacity() (coolant, metal float64) {
	t := p.Scenario.Ambient.Temperature.Value
	for _, n := range p.Nodes {
		c := p.Network.Capacity(n.Lump, t)
		switch {
		case p.Network.HoldsCoolant(n.Lump):
			coolant += c
		case n.Kind != Free || len(p.Loops) == 0:
			metal += c
		}
	}
	return coolant, metal
}

// Watched returns the nodes beside the subject whose level and peak are
// figures of their own: every die and the outlet of every loop.
func (p *Plan) Watched() []Node {
	var all []Node
	for _, c := range p.Chips {
		all = append(all, p.Nodes[c.Die])
	}
	for _, l := range p.Loops {
		if l.Outlet != p.Subject.Lump {
			all = append(all, p.Nodes[l.Outlet])
		}
	}
	return all
}

// Find returns the nodes that a path names: all cells of front.coolant, the
// one of front.coolant[2] or of cpu.die.
func (p *Plan) Find(path string) []Node { return findNodes(p.Nodes, path) }

func findNodes(all []Node, path string) []Node {
	var found []Node
	for _, n := range all {
		if n.Path == path || (len(n.Path) > len(path) && n.Path[:len(path)] == path && n.Path[len(path)] == '[') {
			found = append(found, n)
		}
	}
	return found
}
