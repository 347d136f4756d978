package log

import (
	"errors"
	"fmt"
	"math"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// conversion turns the number of a cell into SI.
type conversion struct {
	unit          string
	scale, offset float64 // SI = number * scale + offset
}

func (c conversion) si(x float64) float64 { return float64(x*c.scale) + c.offset }

// sameAs reports whether two units mean the same, however they are spelled.
func (c conversion) sameAs(d conversion) bool { return c.scale == d.scale && c.offset == d.offset }

// conversionFrom finds the conversion from a unit, to rounding. Units are the
// business of quantity, which converts exactly but one text at a time: far too
// slow for a million cells. The error says which units are allowed.
func conversionFrom(unit string, dim spec.Dimension) (conversion, error) {
	if unitless(dim) {
		if unit != "" {
			return conversion{}, fmt.Errorf("%q has no place here: a number of this kind has no unit", shorten(unit))
		}
		return conversion{scale: 1}, nil
	}
	one, err := quantity.Parse("1 "+unit, dim)
	if err != nil {
		return conversion{}, err
	}
	zero, err := quantity.Parse("0 "+unit, dim)
	if err != nil { // the reciprocal of zero
		return conversion{}, fmt.Errorf("%q is the reciprocal of what is asked for: use %s", shorten(unit), orList(quantity.Units(dim)))
	}
	if zero == 0 {
		return conversion{unit: unit, scale: one}, nil
	}
	// Far from zero the offset no longer costs the scale digits.
	const far = 1 << 40
	large, err := quantity.Parse(fmt.Sprintf("%d %s", int64(far), unit), dim)
	if err != nil {
		return conversion{}, err
	}
	scale := (large - zero) / far
	if whole := math.Round(scale); math.Abs(scale-whole) < 1e-12 {
		scale = whole
	}
	return conversion{unit: unit, scale: scale, offset: zero}, nil
}

// unitless reports whether numbers of the dimension have no unit.
func unitless(dim spec.Dimension) bool {
	return len(quantity.Units(dim)) == 0 && quantity.Example(dim) != ""
}

// conversionOf settles the unit of a column: the one stated in the request,
// otherwise that of the log. The finding tells of a statement against the log.
func conversionOf(c Column, h heading) (conv conversion, finding string, err error) {
	written, unknown := writtenUnit(c.Dimension, h)
	if c.Unit == "" {
		return written, "", unknown
	}
	conv, err = conversionFrom(c.Unit, c.Dimension)
	if err != nil {
		return conversion{}, "", fmt.Errorf("the stated unit: %w", err)
	}
	if unknown == nil && !conv.sameAs(written) {
		finding = fmt.Sprintf("the log says %s, it is read in %s as stated", shorten(written.unit), c.Unit)
	}
	return conv, finding, nil
}

// writtenUnit returns the conversion from the unit that the log states, in the
// heading or in the row of units. What stands in brackets need not be a unit,
// but two units that differ are a contradiction.
func writtenUnit(dim spec.Dimension, h heading) (conversion, error) {
	if unitless(dim) {
		return conversion{scale: 1}, nil
	}
	var known []conversion
	unknown := errors.New("no unit is stated")
	for _, unit := range []string{h.row, h.unit} {
		if unit == "" {
			continue
		}
		conv, err := conversionFrom(unit, dim)
		if err != nil {
			unknown = err
			continue
		}
		known = append(known, conv)
	}
	switch {
	case len(known) == 0:
		return conversion{}, fmt.Errorf("%w: write the unit into the heading, for example %s [%s], or state it", unknown, shorten(h.name), firstUnit(dim))
	case len(known) == 2 && !known[0].sameAs(known[1]):
		return conversion{}, fmt.Errorf("the heading says %s and the row of units %s: state the unit", shorten(h.unit), shorten(h.row))
	}
	return known[0], nil
}

// firstUnit returns a unit of the dimension for examples.
func firstUnit(dim spec.Dimension) string {
	units := quantity.Units(dim)
	if len(units) == 0 {
		return ""
	}
	return units[0]
}
