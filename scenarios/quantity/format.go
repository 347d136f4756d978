package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"

	"soakledger/sim/spec"
)

// readable is the number of significant digits of Format.
const readable = 6

// brief is the number of significant digits of Brief.
const brief = 3

// exact is the number of decimal digits that tell any two float64 apart.
const exact = 17

// Format writes an SI value in the unit a reader expects, to six significant
// digits: for messages and tables. Parse reads it back within that rounding.
// A value that is not finite is written as it is, without a unit.
func Format(value float64, dim spec.Dimension) string {
	return format(value, dim, readable)
}

// Brief writes an SI value in the unit a reader expects, to three significant
// digits: for lists of figures that are known no better. Counts keep all of
// theirs.
func Brief(value float64, dim spec.Dimension) string {
	return format(value, dim, brief)
}

// Exact writes an SI value with as many digits as Parse needs to give the very
// same float64 back, and no more: for files.
func Exact(value float64, dim spec.Dimension) string {
	for n := 1; n <= exact; n++ {
		text := format(value, dim, n)
		if got, err := Parse(text, dim); err == nil && got == value {
			return text
		}
	}
	if r := new(big.Rat).SetFloat64(value); dim == spec.Temperature && r != nil {
		return decimal(r, exact) + " K" // near absolute zero degC takes too many digits
	}
	return format(value, dim, exact)
}

func format(value float64, dim spec.Dimension, digits int) string {
	r := new(big.Rat).SetFloat64(value)
	if r == nil { // not finite
		return strconv.FormatFloat(value, 'g', -1, 64)
	}
	k := kinds[dim]
	if len(k.show) == 0 {
		if dim == spec.Count {
			digits = exact
		}
		return decimal(r, digits)
	}
	x, _ := k.unit(unitFor(value, dim, k))
	return decimal(x.fromSI(r), digits) + " " + x.name
}

// unitFor picks the unit in which a value is shown.
func unitFor(value float64, dim spec.Dimension, k kind) string {
	size := math.Abs(value)
	if dim == spec.Time {
		if name, ok := roundTime(size); ok {
			return name
		}
	}
	name := k.show[0].unit
	for _, s := range k.show[1:] {
		if size >= s.from {
			name = s.unit
		}
	}
	if size == 0 && len(k.show) > 1 && k.show[0].from == 0 && (name == "mW" || name == "ms") {
		return k.suggest[0] // 0 W, 0 s
	}
	return name
}

// roundTime returns the longest unit in which a time has at most one decimal,
// as people state times: 80 min, 1.5 h, 100 s.
func roundTime(seconds float64) (string, bool) {
	for _, s := range []scale{{"h", 3600}, {"min", 60}, {"s", 1}} {
		tenths := seconds / s.from * 10
		if seconds >= s.from && tenths < 1e6 && math.Abs(tenths-math.Round(tenths)) < 1e-9*tenths {
			return s.unit, true
		}
	}
	return "", false
}

// decimal writes r with at most the given number of significant digits, plain
// where that stays short and with an exponent elsewhere.
func decimal(r *big.Rat, digits int) string {
	f := new(big.Float).SetPrec(400).SetRat(r)
	mantissa, tail, _ := strings.Cut(f.Text('e', digits-1), "e")
	exponent, err := strconv.Atoi(tail)
	if err != nil || r.Sign() == 0 {
		return "0"
	}
	sign := ""
	if strings.HasPrefix(mantissa, "-") {
		sign, mantissa = "-", mantissa[1:]
	}
	figures := strings.TrimRight(strings.Replace(mantissa, ".", "", 1), "0")
	if exponent < -6 || exponent > 14 {
		if len(figures) > 1 {
			figures = figures[:1] + "." + figures[1:]
		}
		return sign + figures + "e" + strconv.Itoa(exponent)
	}
	return sign + place(figures, exponent)
}

// place sets the decimal point of figures d.ddd times ten to the exponent.
func place(figures string, exponent int) string {
	switch {
	case exponent < 0:
		return "0." + strings.Repeat("0", -exponent-1) + figures
	case exponent+1 >= len(figures):
		return figures + strings.Repeat("0", exponent+1-len(figures))
	}
	return figures[:exponent+1] + "." + figures[exponent+1:]
}
