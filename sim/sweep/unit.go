package sweep

import (
	"math"
	"math/big"
	"strconv"
	"strings"

	"soakledger/sim/spec"
)

// unit is the trade unit in which a column shows numbers of one dimension.
type unit struct {
	suffix string // of the column's name; empty where the key says it or there is none
	name   string // UDUNITS-style, for the column
	label  string // as a file states it
	scale  *big.Rat
	zero   *big.Rat // SI value of zero in this unit; nil for zero
}

func rational(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic("sweep: " + text + " is no number") // only those below are given
	}
	return r
}

func of(suffix, name, label, scale string) unit {
	return unit{suffix: suffix, name: name, label: label, scale: rational(scale)}
}

// units are read only. Sound is on a scale of its own and a head one of water,
// as in the files; the degree is pi/180 as there, to 36 digits.
var units = map[spec.Dimension]unit{
	spec.Length:         of("mm", "mm", "mm", "1/1000"),
	spec.Area:           of("cm2", "cm2", "cm2", "1/10000"),
	spec.Angle:          of("deg", "degree", "deg", "0.0174532925199432957692369076848861271"),
	spec.Volume:         of("ml", "mL", "mL", "1/1000000"),
	spec.Mass:           of("g", "g", "g", "1/1000"),
	spec.VolumeFlow:     of("l_min", "L min-1", "L/min", "1/60000"),
	spec.Airflow:        of("m3_h", "m3 h-1", "m3/h", "1/3600"),
	spec.Pressure:       of("pa", "Pa", "Pa", "1"),
	spec.PowerFlow:      of("w", "W", "W", "1"),
	spec.Resistance:     of("k_w", "K W-1", "K/W", "1"),
	spec.Conductance:    of("w_k", "W K-1", "W/K", "1"),
	spec.HeatCapacity:   of("j_k", "J K-1", "J/K", "1"),
	spec.Energy:         of("j", "J", "J", "1"),
	spec.Temperature:    {suffix: "c", name: "degC", label: "degC", scale: rational("1"), zero: rational("273.15")},
	spec.Difference:     of("k", "K", "K", "1"),
	spec.Time:           of("s", "s", "s", "1"),
	spec.RotationSpeed:  of("rpm", "min-1", "rpm", "1/60"),
	spec.RotationChange: of("rpm_s", "min-1 s-1", "rpm/s", "1/60"),
	spec.Ratio:          of("percent", "%", "%", "1/100"),
	spec.PerKelvin:      of("percent_k", "% K-1", "%/K", "1/100"),
	spec.SoundLevel:     of("dba", "dB(A)", "dBA", "1"),
	spec.Density:        of("kg_m3", "kg m-3", "kg/m3", "1"),
	spec.SpecificHeat:   of("j_kg_k", "J kg-1 K-1", "J/(kg K)", "1"),
	spec.Head:           of("m", "m", "m", "9806.65"),
	spec.PerInch:        of("", "in-1", "", "1"),
	spec.Count:          of("", "1", "", "1"),
	spec.Factor:         of("", "1", "", "1"),
	spec.Price:          of("", "1", "", "1"),
}

// metres are for heights above the sea.
var metres = of("m", "m", "m", "1")

// unitOf returns the unit of a field's value that measures this.
func unitOf(f spec.Field, d spec.Dimension) unit {
	if d == spec.Length && f.Max >= 1000 {
		return metres
	}
	if u, ok := units[d]; ok {
		return u
	}
	return units[spec.Factor]
}

// Digits of a number in a column. A temperature has them behind the point: what
// is taken from kelvins is as exact as those.
const (
	digits   = 12
	decimals = 9
)

// decimal writes an SI number in the unit, rounded.
func (u unit) decimal(x float64) string {
	scale, _ := u.scale.Float64()
	if u.zero == nil {
		return strconv.FormatFloat(x/scale, 'g', digits, 64)
	}
	zero, _ := u.zero.Float64()
	text := strconv.FormatFloat((x-zero)/scale, 'f', decimals, 64)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// shown returns an SI number in the unit, rounded to the digits of a column.
func (u unit) shown(x float64) float64 {
	y, _ := strconv.ParseFloat(u.decimal(x), 64) // decimal writes numbers
	if y == 0 {
		return 0 // without a sign
	}
	return y
}

// rounded returns the SI number that a file states which states what shown
// returns: the nearest float64 to the exact product, as readers of files make it.
func (u unit) rounded(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	r := rational(u.decimal(x))
	r.Mul(r, u.scale)
	if u.zero != nil {
		r.Add(r, u.zero)
	}
	y, _ := r.Float64()
	return y
}
