package network

import (
	"fmt"
	"math"
	"slices"
)

// Setting, Law and Drive number the settings, the laws of their own and the
// drives, in the order in which they were added.
type (
	Setting int
	Law     int
	Drive   int
)

// Adjustable is an operation that also depends on settings: speeds of pumps, the
// air through a core.
type Adjustable interface {
	// Values is that of Operation.
	Values() int
	// AtSettings writes the quantities at the values of its settings, in the order
	// in which they were given with it, and at a coolant temperature (K) to dst. It is called while the network
	// is built, and during a run whenever settings come near a knot for the first
	// time; it gives the same for the same, keeps nothing it was given, and fails nowhere in their ranges.
	AtSettings(values []float64, temperature float64, dst []float64) error
}

// settingOf is what a builder keeps of a setting.
type settingOf struct {
	name      string
	low, high float64
	drivenBy  string // a drive, or the air; empty if it is an input
}

// moves reports whether the setting has more than one value.
func (s *settingOf) moves() bool { return s.low < s.high }

// settingError tells for which settings a table cannot be made.
type settingError struct {
	name   string
	values []float64
	err    error
}

func (e settingError) Error() string {
	return fmt.Sprintf("network: %s at settings %.4g: %v", e.name, e.values, e.err)
}

func (e settingError) Unwrap() error { return e.err }

// Setting adds a number on which operations depend, and which is an input
// (Inputs.Setting) or the output of a drive or of AirBy. It stays from low to high, the range that a run
// can reach; what lies beyond counts as the nearest end. If both are equal, it is fixed.
//
// Between knots that range is interpolated: see Follow.
func (b *Builder) Setting(name string, low, high float64) Setting {
	if !(low <= high) || math.IsInf(low, -1) || math.IsInf(high, 1) {
		b.fail("setting %s: %g to %g is no range", name, low, high)
	}
	b.settings = append(b.settings, settingOf{name: name, low: low, high: high})
	return Setting(len(b.settings) - 1)
}

// OperateBy is Operate for an operation that depends on settings.
func (b *Builder) OperateBy(c Circuit, reference Node, op Adjustable, settings []Setting, low, high float64) {
	if name := "circuit " + b.circuitName(c); b.adjusts(name, settings) {
		b.operate(c, &operation{name: name, count: op.Values(), adjustable: op, settings: slices.Clone(settings), reference: reference, low: low, high: high})
	}
}

// Follow adds a law: quantities without a circuit that depend on the
// temperature of a lump of coolant, the reference, and on settings, such as the conductances of
// a radiator, which follow the speeds of pump and fans. low and high (K, above zero) bound
// the temperatures for which it is computed.
//
// Of the settings of one operation at most two may have low < high. Over each of
// those a grid of 25 knots, closer together at low values, holds a table over temperature. They are
// made when first needed, and blended with continuous slopes by weights that all quantities
// share, so that flows that balance at the knots balance everywhere. At a knot
// nothing is blended.
func (b *Builder) Follow(name string, reference Node, op Adjustable, settings []Setting, low, high float64) Law {
	law := Law(len(b.followed))
	o := &operation{name: "law " + name, label: name, count: op.Values(), adjustable: op, settings: slices.Clone(settings), reference: reference, low: low, high: high}
	b.followed = append(b.followed, o)
	if b.adjusts(o.name, settings) {
		b.operable(o)
	}
	return law
}

// adjusts reports whether an operation can have the settings, and records why not.
func (b *Builder) adjusts(name string, settings []Setting) bool {
	moving := 0
	for _, s := range settings {
		if s < 0 || int(s) >= len(b.settings) {
			b.fail("%s: there is no setting %d", name, s)
			return false
		}
		if b.settings[s].moves() {
			moving++
		}
	}
	if moving > 2 {
		b.fail("%s: %d of its settings move, at most two can", name, moving)
	}
	return moving <= 2
}

// ConductOfLaw is ConductOf for a quantity of a law.
func (b *Builder) ConductOfLaw(from, to Node, l Law, value int, share float64, path Path) {
	if l < 0 {
		b.fail("link %s to %s: there is no law %d", b.nodeName(from), b.nodeName(to), l)
		return
	}
	b.conductOf(from, to, circuitOf(l), value, share, path)
}

// AirConductOfLaw is AirConductOf for a quantity of a law.
func (b *Builder) AirConductOfLaw(metal Node, p Pass, l Law, value int, share float64) {
	if l < 0 {
		b.fail("air over %s: there is no law %d", b.nodeName(metal), l)
		return
	}
	b.airConductOf(metal, p, circuitOf(l), value, share)
}

// noCircuit is that of a constant. Below it stand those of laws, as circuits
// that have an operation but no streams of their own.
const noCircuit Circuit = -1

func circuitOf(l Law) Circuit { return noCircuit - 1 - Circuit(l) }

// operationOf returns the operation of a circuit or, below noCircuit, of a law; nil if
// there is none.
func (b *Builder) operationOf(c Circuit) *operation {
	if l := int(noCircuit - 1 - c); l >= 0 && l < len(b.followed) {
		return b.followed[l]
	}
	return b.operations[c]
}

// operatedBy is operationOf for a built network.
func (n *Network) operatedBy(c Circuit) *operated {
	if c < noCircuit {
		return n.lawOperation[noCircuit-1-c]
	}
	return n.operation[c]
}

// circuitName names a circuit for messages.
func (b *Builder) circuitName(c Circuit) string {
	if c < 0 || int(c) >= len(b.circuits) {
		return "?"
	}
	return b.circuits[c]
}
