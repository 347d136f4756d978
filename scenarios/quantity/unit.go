package quantity

import (
	"math/big"
	"slices"
	"strings"

	"soakledger/sim/spec"
)

// A unit converts as SI = (x + offset) * factor; an inverse unit states the
// reciprocal of that (K/W for a conductance).
type unit struct {
	name    string   // as printed
	also    []string // other spellings, in tidied form (see tidy)
	factor  *big.Rat
	offset  *big.Rat // nil for none
	inverse bool
}

// A scale says which unit a reader expects from a magnitude on.
type scale struct {
	unit string
	from float64 // SI, of the absolute value
}

// A kind holds all that is known of one dimension.
type kind struct {
	label   string // in messages: "is not a unit of LABEL"
	units   []unit
	suggest []string // units offered to a bare number
	show    []scale  // ascending; the first is used below all
	example string
	why     string // of a dimension that takes no unit: the reason
}

// u makes a unit from its name, its exact factor (a decimal, or a fraction of
// two) and further spellings. It panics on a factor that is neither: the table
// is part of the program.
func u(name, factor string, also ...string) unit {
	top, bottom, found := strings.Cut(factor, "/")
	if !found {
		bottom = "1"
	}
	n, okTop := new(big.Rat).SetString(top)
	d, okBottom := new(big.Rat).SetString(bottom)
	if !okTop || !okBottom {
		panic("quantity: bad factor " + factor)
	}
	return unit{name: name, also: also, factor: n.Quo(n, d)}
}

// shifted makes a unit with a zero of its own.
func shifted(name, offset, factor string, also ...string) unit {
	x := u(name, factor, also...)
	x.offset = u("", offset).factor
	return x
}

// reciprocal makes an inverse unit.
func reciprocal(name, factor string, also ...string) unit {
	x := u(name, factor, also...)
	x.inverse = true
	return x
}

func (x unit) spelled(text string) bool {
	return x.name == text || slices.Contains(x.also, text)
}

// toSI converts exactly. It reports false for the reciprocal of zero.
func (x unit) toSI(v *big.Rat) (*big.Rat, bool) {
	r := new(big.Rat).Set(v)
	if x.offset != nil {
		r.Add(r, x.offset)
	}
	r.Mul(r, x.factor)
	if !x.inverse {
		return r, true
	}
	if r.Sign() == 0 {
		return nil, false
	}
	return r.Inv(r), true
}

// fromSI is the inverse of toSI for units that are not reciprocal.
func (x unit) fromSI(v *big.Rat) *big.Rat {
	r := new(big.Rat).Quo(v, x.factor)
	if x.offset != nil {
		r.Sub(r, x.offset)
	}
	return r
}

func (k kind) unit(name string) (unit, bool) {
	i := slices.IndexFunc(k.units, func(x unit) bool { return x.name == name })
	if i < 0 {
		return unit{}, false
	}
	return k.units[i], true
}

// Units returns the units allowed for a dimension, in the order in which
// messages list them; none for counts and plain numbers.
func Units(dim spec.Dimension) []string {
	var names []string
	for _, x := range kinds[dim].units {
		names = append(names, x.name)
	}
	return names
}

// Example returns a quantity of the dimension as a person would write it.
func Example(dim spec.Dimension) string { return kinds[dim].example }
