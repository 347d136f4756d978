package network

import "math"

// operation, lawOf, flowOf and curveOf are what a builder keeps of links that
// depend on more than constants.
type operation struct {
	op        Operation
	reference Node
	low, high float64   // K, range of the table
	table     *operated // made by Build
}

type lawOf struct {
	a, b    Node
	circuit Circuit
	value   int
	share   float64
	path    Path
}

type flowOf struct {
	from, to Node
	circuit  Circuit
	value    int
}

type curveOf struct {
	a, b  Node
	curve *curve
	path  Path
}

// Operate lets a circuit's flow follow an operation instead of the inputs. The
// temperature of the reference, a lump of coolant, sets the properties; low and
// high (K, above zero) bound the temperatures for which the operation is
// computed. Before the links that follow it are added, its circuit must have an
// operation.
func (b *Builder) Operate(c Circuit, reference Node, op Operation, low, high float64) {
	if c < 0 || int(c) >= len(b.circuits) {
		b.fail("operation: there is no circuit %d", c)
		return
	}
	name := b.circuits[c]
	switch {
	case b.operations[c] != nil:
		b.fail("circuit %s has two operations", name)
	case !b.holdsCoolant(reference):
		b.fail("circuit %s: the reference of its flow, %s, holds no coolant", name, b.nodeName(reference))
	case !(low > 0 && low < high) || math.IsInf(high, 1):
		b.fail("circuit %s: its flow cannot be computed from %g to %g K", name, low, high)
	case op.Values() < 1:
		b.fail("circuit %s: its operation gives no flow", name)
	default:
		if b.operations == nil {
			b.operations = map[Circuit]*operation{}
		}
		b.operations[c] = &operation{op: op, reference: reference, low: low, high: high}
	}
}

// holdsCoolant reports whether a node is a lump of coolant.
func (b *Builder) holdsCoolant(n Node) bool { return n >= 0 && b.known(n) && b.lumps[n].coolant }

// follows reports whether a circuit has an operation with a quantity, and
// records why not.
func (b *Builder) follows(kind string, from, to Node, c Circuit, value int) bool {
	o := b.operations[c]
	switch {
	case c < 0 || int(c) >= len(b.circuits):
		b.fail("%s %s to %s: there is no circuit %d", kind, b.nodeName(from), b.nodeName(to), c)
	case o == nil:
		b.fail("%s %s to %s: circuit %s has no operation to follow", kind, b.nodeName(from), b.nodeName(to), b.circuits[c])
	case value < 0 || value >= o.op.Values():
		b.fail("%s %s to %s: circuit %s has no quantity %d", kind, b.nodeName(from), b.nodeName(to), b.circuits[c], value)
	default:
		return true
	}
	return false
}

// ConductOf ties two nodes by a share (>= 0) of a conductance that a circuit's
// operation gives as its quantity value. The path counts only if one end is a
// boundary.
func (b *Builder) ConductOf(from, to Node, c Circuit, value int, share float64, path Path) {
	if !b.joins("link", from, to, path) || !b.follows("link", from, to, c, value) {
		return
	}
	if !(share >= 0) || math.IsInf(share, 1) {
		b.fail("link %s to %s: a share of %g is not zero or above", b.nodeName(from), b.nodeName(to), share)
	}
	if from < 0 {
		from, to = to, from
	}
	b.laws = append(b.laws, lawOf{from, to, c, value, share, path})
}

// StreamOf lets the mass flow that a circuit's operation gives as its quantity
// value run from one lump of coolant to another. All flows of a circuit
// together must bring into a lump what they take out, at every temperature.
func (b *Builder) StreamOf(from, to Node, c Circuit, value int) {
	for _, n := range []Node{from, to} {
		if b.known(n) && !b.holdsCoolant(n) {
			b.fail("stream %s to %s: %s is no lump that holds coolant", b.nodeName(from), b.nodeName(to), b.nodeName(n))
			return
		}
	}
	if !b.joins("stream", from, to, 0) || !b.follows("stream", from, to, c, value) {
		return
	}
	b.flows = append(b.flows, flowOf{from, to, c, value})
}

// Curve ties two nodes by a heat flow (W) from the first to the second that
// depends on the difference of their temperatures (K); heat returns it with its
// slope (W/K), is zero at zero, never falls, and is called by Curve only.
// Beyond 80 K it goes on in a straight line. The path counts only if one end is
// a boundary.
func (b *Builder) Curve(from, to Node, path Path, heat func(difference float64) (q, slope float64)) {
	if !b.joins("curve", from, to, path) {
		return
	}
	if from < 0 { // the same heat, counted the other way
		stated := heat
		heat = func(difference float64) (q, slope float64) {
			q, slope = stated(-difference)
			return -q, slope
		}
		from, to = to, from
	}
	c, err := newCurve(heat)
	if err != nil {
		b.fail("curve %s to %s: %w", b.nodeName(from), b.nodeName(to), err)
		return
	}
	b.curves = append(b.curves, curveOf{from, to, c, path})
}

// tabulateAll computes the tables of all operations and checks the flows that
// follow them.
func (b *Builder) tabulateAll() {
	for c, name := range b.circuits {
		o := b.operations[Circuit(c)]
		if o == nil {
			continue
		}
		var err error
		if o.table, err = tabulate(o.op, o.reference, o.low, o.high); err != nil {
			b.fail("circuit %s: %w", name, err)
			continue
		}
		b.checkFlows(Circuit(c), o.table)
	}
}

// checkFlows makes sure that at every knot a circuit's flows bring as much
// coolant into a lump as they take out, and so at every temperature.
func (b *Builder) checkFlows(c Circuit, o *operated) {
	excess, size := make([]float64, len(b.lumps)), make([]float64, len(b.lumps))
	wrong := make([]bool, len(b.lumps))
	for k := range o.grid.intervals() {
		clear(excess)
		clear(size)
		row := o.row(k)
		for _, f := range b.flows {
			if f.circuit != c {
				continue
			}
			m := row[f.value][0]
			excess[f.to] += m
			excess[f.from] -= m
			size[f.to] += m
			size[f.from] += m
		}
		for i, e := range excess {
			if !(math.Abs(e) <= 1e-9*size[i]) && !wrong[i] {
				wrong[i] = true
				b.fail("circuit %s: %s takes in %.10g but gives out %.10g kg/s at %.0f K, so its mass would change",
					b.circuits[c], b.lumps[i].name, (size[i]+e)/2, (size[i]-e)/2, o.grid.knot(k))
			}
		}
	}
}

// addLaws copies what a checked builder has of operations, laws and curves.
func (n *Network) addLaws(b *Builder) {
	n.operation = make([]*operated, len(b.circuits))
	for c, o := range b.operations {
		n.operation[c] = o.table
	}
	quantities := 0
	for _, o := range n.operation {
		if o != nil {
			o.first = quantities
			quantities += o.count
			n.operated = append(n.operated, o)
			n.moves = append(n.moves, o.moves...)
		}
	}
	n.quantity, n.growth = make([]float64, quantities), make([]float64, quantities)
	for _, l := range b.laws {
		o := n.operation[l.circuit]
		n.laws = append(n.laws, lawLink{
			pair: n.newPair(l.a, l.b, l.path), value: int32(o.first + l.value), reference: o.reference, share: l.share,
		})
	}
	for _, f := range b.flows {
		o := n.operation[f.circuit]
		n.flows = append(n.flows, flowLink{from: int32(f.from), to: int32(f.to), value: int32(o.first + f.value), reference: o.reference})
	}
	for _, c := range b.curves {
		n.curves = append(n.curves, curveLink{pair: n.newPair(c.a, c.b, c.path), curve: c.curve})
	}
}

// newPair numbers the ends of a link from a lump to a lump or a boundary.
func (n *Network) newPair(a, b Node, path Path) pair {
	if k, out := b.boundary(); out {
		return pair{a: int32(a), b: int32(len(n.names) + k), row: int32(n.pathRow(int32(path)))}
	}
	return pair{a: int32(a), b: int32(b), row: int32(b)}
}
