package assemble

import (
	"slices"

	"soakledger/sim/network"
	"soakledger/sim/spec"
)

// freeLinks adds the conductances and streams that the scenario states.
func (b *assembler) freeLinks() {
	var streams []spec.Link
	for _, l := range b.plan.Scenario.Links {
		from, to := b.ends(l.Name+".from", l.From), b.ends(l.Name+".to", l.To)
		if from == nil || to == nil {
			continue
		}
		if l.Flow.Set {
			streams = append(streams, l)
			continue
		}
		b.conductAll(l, from, to)
	}
	b.freeStreams(streams)
}

// conductAll shares one stated conductance among all pairs of cells at its
// ends.
func (b *assembler) conductAll(l spec.Link, from, to []network.Node) {
	if len(from) > 1 && len(to) > 1 && len(from) != len(to) {
		b.problems.add(l.Name, "joins %d cells of %s to %d cells of %s; name one of them, e.g. %s[1]", len(from), l.From, len(to), l.To, l.From)
		return
	}
	n := max(len(from), len(to))
	for i := range n {
		a, c := from[min(i, len(from)-1)], to[min(i, len(to)-1)]
		if a == c {
			b.problems.add(l.Name, "joins %s to itself", l.From)
			return
		}
		if a < 0 && c < 0 {
			b.problems.add(l.Name, "joins %s and %s, both at fixed temperatures, and so moves nothing that the model follows", l.From, l.To)
			return
		}
		b.net.Conduct(a, c, l.Conductance.Value/float64(n), b.net.Path(l.Name))
	}
}

// freeStreams adds the stated coolant streams and checks that no mass of
// coolant grows or shrinks by them.
func (b *assembler) freeStreams(streams []spec.Link) {
	if len(streams) == 0 {
		return
	}
	circuit := b.net.Circuit("links")
	b.massFlow = append(b.massFlow, 1)
	balance := map[string]float64{}
	size := map[string]float64{}
	for _, l := range streams {
		from, to := b.ends(l.Name+".from", l.From), b.ends(l.Name+".to", l.To)
		if len(from) != 1 || len(to) != 1 || !b.canFlow(l, l.From) || !b.canFlow(l, l.To) {
			continue
		}
		if from[0] == to[0] || from[0] < 0 && to[0] < 0 {
			b.problems.add(l.Name, "a flow from %s to %s moves nothing that the model follows", l.From, l.To)
			continue
		}
		b.net.Stream(from[0], to[0], circuit, l.Flow.Value*b.density, b.net.Path(l.Name))
		for name, d := range map[string]float64{l.From: -l.Flow.Value, l.To: l.Flow.Value} {
			balance[name] += d
			size[name] += l.Flow.Value
		}
	}
	for _, l := range b.plan.Scenario.Lumps {
		if d := balance[l.Name]; l.Holds.Set && (d > 1e-9*size[l.Name] || -d > 1e-9*size[l.Name]) {
			b.problems.add(l.Name, "takes in %.4g L/min but gives out %.4g L/min of coolant; make the flows of its links equal",
				(size[l.Name]+d)/2*6e4, (size[l.Name]-d)/2*6e4)
		}
	}
}

// canFlow reports whether coolant can flow through the named node: a free lump
// that holds coolant, or a fixed temperature.
func (b *assembler) canFlow(l spec.Link, name string) bool {
	if name == "ambient" || slices.ContainsFunc(b.held, func(h heldNode) bool { return h.name == name }) {
		return true
	}
	for _, lump := range b.plan.Scenario.Lumps {
		if lump.Name == name && lump.Holds.Set {
			return true
		}
	}
	b.problems.add(l.Name, "a flow runs between free lumps that hold coolant, ambient and fixed temperatures, and %s is none of these; give a lump coolant by e.g. holds: 1 L", name)
	return false
}

// ends returns the nodes that one end of a link names, or nil.
func (b *assembler) ends(path, name string) []network.Node {
	if name == "ambient" {
		return []network.Node{b.ambient}
	}
	for _, h := range b.held {
		if h.name == name {
			return []network.Node{h.node}
		}
	}
	var nodes []network.Node
	for _, n := range findNodes(b.plan.Nodes, name) {
		nodes = append(nodes, n.Lump)
	}
	if nodes == nil {
		b.problems.add(path, "there is no node %s; the nodes are %s", name, b.nodeList())
	}
	return nodes
}
