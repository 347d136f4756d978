package assemble

import (
	"slices"

	"soakledger/sim/control"
	"soakledger/sim/network"
	"soakledger/sim/spec"
)

// Fault is something that goes wrong once in a run. Its effects on speeds have the
// place in Plan.Controlled as their target; those on the machine itself have Of.
type Fault struct {
	control.Fault                // its only observation is the hottest of Nodes
	Of            string         // the part, fan or loop that it is about, or nothing
	Nodes         []network.Node // that it waits for
}

// Changes reports whether the fault makes another machine of it, as Plan.After
// builds it: it does more than slow something or warm the room.
func (f *Fault) Changes() bool { return slices.ContainsFunc(f.Effects, changes) }

func changes(e control.Effect) bool {
	switch e.Kind {
	case control.PumpSpeed, control.FanSpeed, control.AmbientStep:
		return false
	}
	return true
}

// damage is what faults have done to the machine itself so far.
type damage map[damaged]float64

// damaged is a kind of damage to something by name.
type damaged struct {
	kind control.EffectKind
	of   string
}

// of returns the damage of a kind to a name: neutral where there is none.
func (d damage) of(kind control.EffectKind, name string) float64 {
	if value, ok := d[damaged{kind, name}]; ok {
		return value
	}
	return kind.Neutral()
}

// add joins what a fault does.
func (d damage) add(f *Fault) {
	for _, e := range f.Effects {
		if changes(e) {
			d[damaged{e.Kind, f.Of}] = e.Onto(d.of(e.Kind, f.Of))
		}
	}
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

// changesAir reports whether a fault changes what the air flows through, so that it
// may turn round somewhere.
func (b *assembler) changesAir() bool {
	return slices.ContainsFunc(b.plan.Scenario.Faults, func(f spec.Fault) bool { return f.Failed.Set || f.Blocked.Set })
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
	b.plan.LostCoolant = -1
	if slices.ContainsFunc(b.plan.Scenario.Faults, func(f spec.Fault) bool { return f.Lost.Set }) {
		b.plan.LostCoolant = int(b.net.Path("lost coolant"))
	}
	for _, f := range b.plan.Scenario.Faults {
		fault := Fault{Fault: control.Fault{Name: f.Name, At: f.At.Value}, Of: b.sufferer(f)}
		if f.When.Node != "" || f.When.Above.Set || f.When.Below.Set {
			fault.When, fault.Nodes = b.condition(f)
		}
		if f.Speed.Set {
			fault.Effects = append(fault.Effects, b.slowing(f))
		}
		for _, e := range []struct {
			kind   control.EffectKind
			stated spec.Number
		}{
			{control.FansFailed, f.Failed}, {control.CoreBlocked, f.Blocked}, {control.FlowRestriction, f.Restriction},
			{control.CoolantLost, f.Lost}, {control.AmbientStep, f.Ambient},
		} {
			if e.stated.Set {
				fault.Effects = append(fault.Effects, control.Effect{Kind: e.kind, Value: e.stated.Value})
			}
		}
		b.suffers(f)
		if b.problems == nil {
			if err := fault.Check(1); err != nil {
				b.problems.add(f.Name, "%v", err)
			}
		}
		b.plan.Faults = append(b.plan.Faults, fault)
	}
}

// sufferer returns the name of what a fault is about: of lost coolant, its loop.
func (b *assembler) sufferer(f spec.Fault) string {
	if !f.Lost.Set {
		return f.Of
	}
	for i := range b.plan.Scenario.Loops {
		l := &b.plan.Scenario.Loops[i]
		for p := range l.All() {
			if p.Name == f.Of {
				return l.Name
			}
		}
	}
	return f.Of
}

// slowing returns the effect of a fault on the speed of a pump or of fans.
func (b *assembler) slowing(f spec.Fault) control.Effect {
	i := slices.IndexFunc(b.plan.Controlled, func(c Controlled) bool { return c.Name == f.Of })
	if i < 0 {
		b.problems.add(f.Name+".of", "%s has no speed that could change: a pump needs head and free_flow instead of a fixed flow, a radiator fans and a core", f.Of)
		return control.Effect{}
	}
	kind := control.FanSpeed
	if b.plan.Controlled[i].Pump {
		kind = control.PumpSpeed
	}
	return control.Effect{Kind: kind, Target: i, Value: f.Speed.Value}
}

// suffers refuses what would change nothing.
func (b *assembler) suffers(f spec.Fault) {
	for p := range b.plan.Scenario.Parts() {
		if p.Name != f.Of {
			continue
		}
		w := b.ways[p.Name]
		switch {
		case f.Restriction.Set && b.fixedFlowAt(p):
			b.problems.add(f.Name+".restriction", "the pump of its loop states a fixed flow, which nothing restricts; state its head and free_flow instead")
		case f.Restriction.Set && !b.resists(p):
			b.problems.add(f.Name+".restriction", "nothing in %s resists the flow, so there is nothing to multiply; state its drop, e.g. drop: [[4 L/min, 3 kPa]]", f.Of)
		case f.Blocked.Set && w != nil && w.core == nil:
			b.problems.add(f.Name+".blocked", "a stated conductance holds whatever its face does; let size, thickness and fans say what %s carries", f.Of)
		}
	}
}

// fixedFlowAt reports whether the pumps of a part's loop state a fixed flow.
func (b *assembler) fixedFlowAt(p *spec.Part) bool {
	for other := range b.plan.Scenario.Loops[b.loopOf(p)].All() {
		if other.Pump != nil && other.Pump.Flow.Set {
			return true
		}
	}
	return false
}

// condition returns what a fault waits for, and the nodes whose hottest that is.
func (b *assembler) condition(f spec.Fault) (*control.Condition, []network.Node) {
	c := control.Condition{Crossing: control.Crossing{Level: f.When.Above.Value, Rising: true}}
	if f.When.Below.Set {
		c.Crossing = control.Crossing{Level: f.When.Below.Value}
	}
	var nodes []network.Node
	switch f.When.Node {
	case "", "coolant":
		if len(b.plan.Loops) > 0 {
			nodes = append(nodes, b.plan.Loops[0].Outlet)
		}
	case "hottest die":
		for _, chip := range b.plan.Chips {
			nodes = append(nodes, chip.Die)
		}
	default:
		if found := findNodes(b.plan.Nodes, f.When.Node); len(found) > 0 {
			nodes = append(nodes, found[len(found)-1].Lump)
		}
	}
	if len(nodes) == 0 {
		b.problems.add(f.Name+".when.node", "there is no node %s; it may be coolant, hottest die, or one of %s", f.When.Node, b.lumpList())
	}
	return &c, nodes
}
