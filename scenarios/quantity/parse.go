package quantity

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"soakledger/sim/spec"
)

// Parse reads a quantity of the given dimension and returns it in the SI unit
// of that dimension (see spec.Dimension), correctly rounded. Times may be
// compound ("1 h 30 min"), a conductance may be stated as a resistance and the
// other way round. A count is a bare whole number; everything else needs its
// unit. The error says what was given, which units are allowed, and shows an
// example.
func Parse(text string, dim spec.Dimension) (float64, error) {
	k, ok := kinds[dim]
	if !ok {
		return 0, fmt.Errorf("unknown dimension %q", dim)
	}
	t := tidy(text)
	if t == "" {
		return 0, fmt.Errorf("nothing is given: write for example %s", k.example)
	}
	value, err := parse(t, dim, k)
	if err != nil {
		return 0, err
	}
	si, _ := value.Float64()
	if math.IsInf(si, 0) {
		return 0, fmt.Errorf("%q is too large a number", shorten(text))
	}
	if dim == spec.Temperature && si < 0 {
		return 0, fmt.Errorf("%s lies below absolute zero: write for example %s", t, k.example)
	}
	return si, nil
}

func parse(t string, dim spec.Dimension, k kind) (*big.Rat, error) {
	value, written, rest, err := scanNumber(t)
	if err != nil && k.why != "" && !strings.ContainsAny(t[:1], "-+.0123456789") {
		return nil, fmt.Errorf("%q is not understood: %s, for example %s", shorten(t), k.why, k.example)
	}
	if err != nil {
		return nil, fmt.Errorf("%w (for example %s)", err, k.example)
	}
	rest = strings.TrimSpace(rest)
	switch {
	case len(k.units) == 0:
		return bare(value, written, rest, dim, k)
	case rest == "":
		return nil, unitless(value, written, dim, k)
	case dim == spec.Time:
		return compound(value, written, rest, k)
	}
	return convert(value, written, rest, dim, k)
}

// bare accepts numbers of dimensions without units.
func bare(value *big.Rat, written, rest string, dim spec.Dimension, k kind) (*big.Rat, error) {
	if rest != "" && k.why != "" {
		return nil, fmt.Errorf("%q has no place here: %s, for example %s", shorten(rest), k.why, k.example)
	}
	if rest != "" {
		return nil, fmt.Errorf("%q has no place here: write a %s without a unit (for example %s)", shorten(rest), k.label, k.example)
	}
	if dim == spec.Count && !value.IsInt() {
		return nil, fmt.Errorf("%s is not a whole number (for example %s)", written, k.example)
	}
	return value, nil
}

// unitless says what to write instead of a bare number.
func unitless(value *big.Rat, written string, dim spec.Dimension, k kind) error {
	var choices []string
	if f, _ := value.Float64(); dim == spec.Ratio && f > 0 && f <= 1 {
		choices = append(choices, Format(f, dim))
	}
	for _, name := range k.suggest {
		choices = append(choices, written+" "+name)
	}
	return fmt.Errorf("%s has no unit: write %s", written, orList(choices))
}

func convert(value *big.Rat, written, rest string, dim spec.Dimension, k kind) (*big.Rat, error) {
	name := tidyUnit(rest)
	for _, x := range k.units {
		if !x.spelled(name) {
			continue
		}
		si, ok := x.toSI(value)
		if !ok {
			return nil, fmt.Errorf("%s %s has no finite reciprocal: write a value above zero, for example %s", written, x.name, k.example)
		}
		return si, nil
	}
	return nil, unknownUnit(name, written, dim, k)
}

// compound reads the rest of a time: one unit, or several number and unit
// pairs from large to small.
func compound(value *big.Rat, written, rest string, k kind) (*big.Rat, error) {
	sum := new(big.Rat)
	var last *big.Rat
	for {
		end := strings.IndexAny(rest, "+-.0123456789")
		name, next := rest, ""
		if end >= 0 {
			name, next = strings.TrimSpace(rest[:end]), rest[end:]
		}
		x, err := timeUnit(name, written, k)
		if err != nil {
			return nil, err
		}
		if last != nil && (x.factor.Cmp(last) >= 0 || value.Sign() < 0) {
			return nil, fmt.Errorf("the parts of a time go from long to short, for example 1 h 30 min")
		}
		last = x.factor
		sum.Add(sum, new(big.Rat).Mul(value, x.factor))
		if next == "" {
			return sum, nil
		}
		if sum.Sign() < 0 {
			return nil, fmt.Errorf("a time of several parts has no sign, for example 1 h 30 min")
		}
		if value, written, rest, err = scanNumber(next); err != nil {
			return nil, fmt.Errorf("%w (for example %s)", err, k.example)
		}
		if rest = strings.TrimSpace(rest); rest == "" {
			return nil, fmt.Errorf("%q has no unit: write for example 1 h 30 min", next)
		}
	}
}

func timeUnit(name, written string, k kind) (unit, error) {
	for _, x := range k.units {
		if x.spelled(name) {
			return x, nil
		}
	}
	if name == "m" || name == "M" {
		return unit{}, fmt.Errorf("%s %s could be minutes or metres: write %s min for minutes", written, name, written)
	}
	return unit{}, unknownUnit(name, written, spec.Time, k)
}
