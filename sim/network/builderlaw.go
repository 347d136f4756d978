package network

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// operation, lawOf, flowOf and curveOf are what a builder keeps of links that
// depend on more than constants.
type operation struct {
	name, label string // for messages, and for descriptions
	count       int    // of quantities
	at          func(t float64, dst []float64) error
	adjustable  Adjustable // instead of at; nil without settings
	settings    []Setting
	reference   Node
	low, high   float64   // K, range of the table
	made        *operated // by Build
}

type lawOf struct {
	a, b    Node
	circuit Circuit // below noCircuit that of a law
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
	b.operate(c, &operation{name: "circuit " + b.circuitName(c), count: op.Values(), at: op.At, reference: reference, low: low, high: high})
}

// operate gives a circuit its operation, or records why it cannot have it.
func (b *Builder) operate(c Circuit, o *operation) {
	switch {
	case c < 0 || int(c) >= len(b.circuits):
		b.fail("operation: there is no circuit %d", c)
	case b.operations[c] != nil:
		b.fail("circuit %s has two operations", b.circuits[c])
	case b.operable(o):
		if b.operations == nil {
			b.operations = map[Circuit]*operation{}
		}
		o.label = b.circuits[c]
		b.operations[c] = o
	}
}

// operable reports whether an operation can be computed, and records why not.
func (b *Builder) operable(o *operation) bool {
	switch {
	case !b.holdsCoolant(o.reference):
		b.fail("%s: the reference of its flow, %s, holds no coolant", o.name, b.nodeName(o.reference))
	case !(o.low > 0 && o.low < o.high) || math.IsInf(o.high, 1):
		b.fail("%s: its flow cannot be computed from %g to %g K", o.name, o.low, o.high)
	case o.count < 1:
		b.fail("%s: its operation gives no flow", o.name)
	default:
		return true
	}
	return false
}

// holdsCoolant reports whether a node is a lump of coolant.
func (b *Builder) holdsCoolant(n Node) bool { return n >= 0 && b.known(n) && b.lumps[n].coolant }

// follows reports whether a circuit has an operation with a quantity, and
// records why not.
func (b *Builder) follows(kind string, from, to Node, c Circuit, value int) bool {
	why := b.lacks(c, value)
	if why != "" {
		b.fail("%s %s to %s: %s", kind, b.nodeName(from), b.nodeName(to), why)
	}
	return why == ""
}

// lacks returns why nothing can follow a quantity of a circuit, empty if it can.
func (b *Builder) lacks(c Circuit, value int) string {
	switch o := b.operationOf(c); {
	case c < noCircuit && o == nil:
		return fmt.Sprintf("there is no law %d", noCircuit-1-c)
	case c >= Circuit(len(b.circuits)) || o == nil && c < 0:
		return fmt.Sprintf("there is no circuit %d", c)
	case o == nil:
		return fmt.Sprintf("circuit %s has no operation to follow", b.circuits[c])
	case value < 0 || value >= o.count:
		return fmt.Sprintf("%s has no quantity %d", o.name, value)
	}
	return ""
}

// ConductOf ties two nodes by a share (>= 0) of a conductance that a circuit's
// operation gives as its quantity value. The path counts only if one end is a
// boundary.
func (b *Builder) ConductOf(from, to Node, c Circuit, value int, share float64, path Path) {
	b.conductOf(from, to, max(c, noCircuit), value, share, path)
}

func (b *Builder) conductOf(from, to Node, c Circuit, value int, share float64, path Path) {
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

// tabulateAll computes the first tables of all operations and checks the flows
// that follow them.
func (b *Builder) tabulateAll() {
	for c := range b.circuits {
		if o := b.operations[Circuit(c)]; o != nil {
			b.tabulate(o, b.flowsOf(Circuit(c)))
		}
	}
	for _, o := range b.followed {
		b.tabulate(o, nil)
	}
}

// tabulate makes the table of an operation, or the blend with that at the high ends
// of its settings.
func (b *Builder) tabulate(o *operation, check func(*table) error) {
	o.made = &operated{reference: int32(o.reference)}
	settings := make([]float64, len(b.settings))
	for k, s := range b.settings {
		settings[k] = s.high
	}
	if slices.ContainsFunc(o.settings, func(s Setting) bool { return b.settings[s].moves() }) {
		by := newBlend(o, b.settings)
		by.check = check
		o.made.by, o.made.count = by, o.count
		if err := by.set(settings); err != nil {
			b.errs = append(b.errs, err)
		}
		return
	}
	at := o.at
	if o.adjustable != nil {
		values := make([]float64, len(o.settings))
		for i, s := range o.settings {
			values[i] = settings[s]
		}
		at = func(t float64, dst []float64) error { return o.adjustable.AtSettings(values, t, dst) }
	}
	var err error
	if o.made.table, err = tabulate(o.count, at, o.low, o.high); err == nil && check != nil {
		err = check(&o.made.table)
	}
	if err != nil {
		b.fail("%s: %w", o.name, err)
	}
}

// flowsOf returns what makes sure that at every knot of a table a circuit's flows bring as much
// coolant into a lump as they take out, and so at every temperature.
func (b *Builder) flowsOf(c Circuit) func(*table) error {
	var flows []flowOf
	for _, f := range b.flows {
		if f.circuit == c {
			flows = append(flows, f)
		}
	}
	lumps := slices.Clone(b.lumps)
	excess, size := make([]float64, len(lumps)), make([]float64, len(lumps))
	return func(o *table) error {
		for k := range o.grid.intervals() {
			if err := unbalancedFlows(lumps, flows, o.row(k), o.grid.knot(k), excess, size); err != nil {
				return err
			}
		}
		return nil
	}
}

// unbalancedFlows tells of the lumps that would take in more or less than they
// give out at a knot (K). It works in excess and size, of one element a lump.
func unbalancedFlows(lumps []lump, flows []flowOf, row []cubic, knot float64, excess, size []float64) error {
	clear(excess)
	clear(size)
	for _, f := range flows {
		m := row[f.value][0]
		excess[f.to] += m
		excess[f.from] -= m
		size[f.to] += m
		size[f.from] += m
	}
	var errs []error
	for i, e := range excess {
		if !(math.Abs(e) <= 1e-9*size[i]) {
			errs = append(errs, fmt.Errorf("%s takes in %.10g but gives out %.10g kg/s at %.0f K, so its mass would change",
				lumps[i].name, (size[i]+e)/2, (size[i]-e)/2, knot))
		}
	}
	return errors.Join(errs...)
}

// addLaws copies what a checked builder has of operations, laws and curves.
func (n *Network) addLaws(b *Builder) {
	n.operation = make([]*operated, len(b.circuits))
	for c, o := range b.operations {
		n.operation[c] = o.made
	}
	for _, o := range b.followed {
		n.lawOperation = append(n.lawOperation, o.made)
		n.lawNames = append(n.lawNames, o.label)
	}
	quantities := 0
	for _, o := range slices.Concat(n.operation, n.lawOperation) {
		if o == nil {
			continue
		}
		o.first = quantities
		quantities += o.count
		n.operated = append(n.operated, o)
		if o.by != nil {
			n.blended = append(n.blended, o)
			o.moves = make([]bool, o.count) // see Undetermined
		}
		n.moves = append(n.moves, o.moves...)
	}
	n.moves = append(n.moves, true)
	n.quantity, n.growth = make([]float64, quantities+1), make([]float64, quantities+1)
	n.quantity[quantities] = 1 // of constants
	for _, l := range b.laws {
		o := n.operatedBy(l.circuit)
		n.addLaw(lawLink{pair: n.newPair(l.a, l.b, l.path), value: int32(o.first + l.value), reference: o.reference}, l.share)
	}
	n.stated = len(n.laws)
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
		return pair{a: int32(a), b: int32(len(n.names) + k), row: int32(n.pathRow(int32(path))), col: noColumn}
	}
	return pair{a: int32(a), b: int32(b), row: int32(b), col: int32(b)}
}
