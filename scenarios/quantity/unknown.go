package quantity

import (
	"fmt"
	"slices"
	"strings"

	"soakledger/sim/spec"
)

// unknownUnit explains why a unit is refused, as precisely as it can: a known
// misunderstanding, another case of the letters, a unit of something else.
func unknownUnit(name, written string, dim spec.Dimension, k kind) error {
	if why := misunderstanding(name, written, dim); why != "" {
		return fmt.Errorf("%s", why)
	}
	allowed := fmt.Sprintf("use %s (for example %s)", orList(namesOf(k)), k.example)
	if near := otherCase(name, written, k); len(near) > 0 {
		return fmt.Errorf("%q is not known: write %s; capital and small letters differ", name, orList(near))
	}
	if other := measures(name); other != "" {
		return fmt.Errorf("%q is a unit of %s, not of %s: %s", name, other, k.label, allowed)
	}
	return fmt.Errorf("%q is not a unit of %s: %s", shorten(name), k.label, allowed)
}

// otherCase returns the quantities that differ from the written one only in
// capital and small letters: two of them for mw.
func otherCase(name, written string, k kind) []string {
	var near []string
	for _, x := range k.units {
		same := func(s string) bool { return strings.EqualFold(s, name) }
		if same(x.name) || slices.ContainsFunc(x.also, same) {
			near = append(near, written+" "+x.name)
		}
	}
	return near
}

// misunderstanding names the confusions that deserve words of their own.
func misunderstanding(name, written string, dim spec.Dimension) string {
	switch {
	case dim == spec.Difference && spelledIn(spec.Temperature, name):
		return fmt.Sprintf("%s %s is a temperature; a difference is written in K (5 K, never 5 degC; 9 degF of difference are 5 K)", written, name)
	case dim == spec.SoundLevel && strings.EqualFold(name, "dB"):
		return fmt.Sprintf("dB does not say how it was weighted: write %s dBA for an A-weighted level", written)
	case (dim == spec.Volume || dim == spec.VolumeFlow) && strings.HasPrefix(strings.ToLower(name), "gal"):
		return fmt.Sprintf("%q could be US or imperial: write US gal for a volume, gph or gpm (US) for a flow", name)
	case dim == spec.Pressure && spelledIn(spec.Pressure, name+"H2O"):
		return fmt.Sprintf("%s %s is a length: write %s %sH2O for a column of water", written, name, written, name)
	case dim == spec.Volume && name == "oz":
		return fmt.Sprintf("%s oz is a mass: write %s fl oz (US) for a volume", written, written)
	}
	return ""
}

// measures returns the label of a dimension that knows the unit, or "".
func measures(name string) string {
	for _, dim := range dimensions {
		if spelledIn(dim, name) {
			return kinds[dim].label
		}
	}
	return ""
}

// dimensions lists all of them in a fixed order, so that messages never
// depend on the order of a map.
var dimensions = [...]spec.Dimension{
	spec.Length, spec.Volume, spec.Mass, spec.VolumeFlow, spec.Pressure, spec.PowerFlow,
	spec.Resistance, spec.Conductance, spec.HeatCapacity, spec.Energy, spec.Temperature,
	spec.Difference, spec.Time, spec.RotationSpeed, spec.RotationChange, spec.Ratio,
	spec.PerKelvin, spec.SoundLevel, spec.Density, spec.SpecificHeat, spec.Head,
	spec.Area, spec.Angle, spec.Airflow,
}

func spelledIn(dim spec.Dimension, name string) bool {
	for _, x := range kinds[dim].units {
		if x.spelled(name) {
			return true
		}
	}
	return false
}

func namesOf(k kind) []string {
	names := make([]string, len(k.units))
	for i, x := range k.units {
		names[i] = x.name
	}
	return names
}

// orList joins alternatives as a sentence does: a, b or c.
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
