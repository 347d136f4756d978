package assemble

import (
	"soakledger/sim/control"
	"soakledger/sim/network"
	"soakledger/sim/spec"
)

// Fault is something that goes wrong once in a run.
type Fault struct {
	Name string
	At   float64 // s, when it happens, unless it waits for a temperature
	When *FaultCondition
	// Controlled is what it slows, by its number among Plan.Controlled, -1 for nothing.
	Controlled int
	Speed      float64 // share of the speed it is told that is left
	Ambient    float64 // K by which the room becomes warmer
}

// FaultCondition is a node's temperature that a fault waits for.
type FaultCondition struct {
	Node network.Node
	control.Crossing
}

// faulty reports whether a fault slows the named pump or fans.
func (b *assembler) faulty(name string) bool {
	for _, f := range b.plan.Scenario.Faults {
		if f.Of == name && f.Speed.Set {
			return true
		}
	}
	return false
}

// heldAt returns the speed over the rated one at which a device is held that
// nothing controls, 0 where something does.
func heldAt(c *spec.Control, ratio float64) float64 {
	if controls(c) {
		return 0
	}
	return ratio
}

// faults takes over what goes wrong. All drives must be there.
func (b *assembler) faults() {
	for _, f := range b.plan.Scenario.Faults {
		fault := Fault{Name: f.Name, At: f.At.Value, Controlled: -1, Speed: f.Speed.Or(1), Ambient: f.Ambient.Value}
		if f.When.Node != "" {
			fault.When = b.condition(f)
		}
		for _, later := range []struct {
			key string
			set bool
			now string
		}{
			{"failed", f.Failed.Set, "fans.failed lets fans stand from the start"},
			{"blocked", f.Blocked.Set, "blocked on the radiator closes its face from the start"},
			{"restriction", f.Restriction.Set, "drop states another pressure drop from the start"},
			{"lost", f.Lost.Set, "holds states less coolant from the start"},
		} {
			if later.set {
				b.problems.add(f.Name+"."+later.key, "this version does not change that during a run; %s", later.now)
			}
		}
		if f.Speed.Set {
			for i, c := range b.plan.Controlled {
				if c.Name == f.Of {
					fault.Controlled = i
				}
			}
			if fault.Controlled < 0 {
				b.problems.add(f.Name+".of", "%s has no speed that could change: a pump needs head and free_flow instead of a fixed flow, a radiator fans and a core", f.Of)
			}
		}
		b.plan.Faults = append(b.plan.Faults, fault)
	}
}

// condition returns what a fault waits for.
func (b *assembler) condition(f spec.Fault) *FaultCondition {
	c := FaultCondition{Crossing: control.Crossing{Level: f.When.Above.Value, Rising: true}}
	if f.When.Below.Set {
		c.Crossing = control.Crossing{Level: f.When.Below.Value}
	}
	if f.When.Node == "coolant" && len(b.plan.Loops) > 0 {
		c.Node = b.plan.Loops[0].Outlet
		return &c
	}
	nodes := findNodes(b.plan.Nodes, f.When.Node)
	if len(nodes) == 0 {
		b.problems.add(f.Name+".when.node", "there is no node %s; the nodes are coolant, %s", f.When.Node, b.lumpList())
		return nil
	}
	c.Node = nodes[len(nodes)-1].Lump
	return &c
}
