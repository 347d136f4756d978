package assemble

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"soakledger/sim/spec"
)

// outside is a stated figure that lies outside its usual range.
type outside struct {
	path, part, key string
	low             bool // below the range rather than above
}

// bounds is the range in which a figure usually lies, around its default.
type bounds struct{ low, value, high float64 }

// holds reports whether x lies in the range, its ends included.
func (b bounds) holds(x float64) bool {
	const rounding = 1e-9
	return x >= b.low-rounding*math.Abs(b.low) && x <= b.high+rounding*math.Abs(b.high)
}

// ranges compares every stated figure with the default that would stand in its
// place.
func (f *finder) ranges() {
	for field, v := range f.s.All() {
		x, number := v.Number, v.Type == spec.TypeNumber
		if v.Type == spec.TypePower && v.Power.Watts.Set {
			x, number = v.Power.Watts.Value, true
		}
		if _, filled := f.assumed[field.Path]; number && !filled && !f.chosen(field) {
			f.compare(field, x)
		}
	}
}

// chosen reports whether a figure is a builder's or tester's choice, which may
// be unusual without being a mistake, or has a rule of its own.
func (f *finder) chosen(field spec.Field) bool {
	switch field.Key {
	case "temperature", "speed", "test_flow", "cells", "size", "length":
		return true
	case "bore":
		return f.fitting(field.Path) // its narrowest passage may well be less than any tube's
	case "conductance":
		return field.Path != "room.conductance" && field.Path != "case.conductance" // a radiator's has a rule of its own
	}
	return false
}

// fitting reports whether a path begins with the name of a fitting.
func (f *finder) fitting(path string) bool {
	owner, _, _ := strings.Cut(path, ".")
	for p := range f.s.Parts() {
		if p.Name == owner {
			return p.Fitting != nil
		}
	}
	return false
}

// compare tells of a figure outside its range. Where no class is stated the
// range spans those of all classes; a figure of another class than the one that
// was assumed is told as well, since what else was filled in follows the class.
func (f *finder) compare(field spec.Field, x float64) {
	own, ok := f.usual(f.s, field.Path)
	if !ok {
		return
	}
	owner, _, _ := strings.Cut(field.Path, ".")
	class := owner + ".class"
	usual, of := own, ""
	var fitting []string
	if f.stated(class) && !strings.Contains(field.Path, ".fans.") { // the class says nothing of fans
		word, _ := f.s.Get(class)
		of = " of class " + word.Text
	} else {
		usual, fitting = f.anyClass(class, field.Path, own, x)
	}
	switch assumed, filled := f.assumed[class]; {
	case !usual.holds(x):
		f.outside = append(f.outside, outside{field.Path, owner, field.Key, x < usual.low})
		f.add(field.Path, "%s is outside the usual %s%s; %s", trade(x, field.Dimension), tradeRange(usual.low, usual.high, field.Dimension), of, advice(field.Key))
	case !own.holds(x) && filled && len(fitting) > 0:
		f.add(field.Path, "%s is usual for class %s, and outside the %s of class %s, which was assumed for what is not stated; state the class",
			trade(x, field.Dimension), strings.Join(fitting, " or "), tradeRange(own.low, own.high, field.Dimension), assumed.Text)
	}
}

// anyClass returns the range that spans those of all classes, and the classes
// in whose own range x lies.
func (f *finder) anyClass(class, path string, own bounds, x float64) (all bounds, fitting []string) {
	field, err := f.s.FieldAt(class)
	if err != nil {
		return own, nil // there are no classes
	}
	all = own
	for _, word := range field.One {
		s, err := f.s.With(class, spec.TextValue(word))
		if err != nil {
			continue
		}
		one, ok := f.usual(s, path)
		if !ok {
			continue
		}
		all.low, all.high = min(all.low, one.low), max(all.high, one.high)
		if one.holds(x) {
			fitting = append(fitting, word)
		}
	}
	return all, fitting
}

// usual returns the range of the default that Complete would fill in at path
// if nothing were stated there, nor at the paths of besides. It has none where
// that default would rest on other figures that are not stated either.
func (f *finder) usual(s *spec.Scenario, path string, besides ...string) (bounds, bool) {
	for _, p := range append(slices.Clone(besides), path) {
		var err error
		if s, err = s.With(p, spec.Value{}); err != nil {
			return bounds{}, false
		}
	}
	var found bounds
	ok := false
	_, assumed := Complete(s)
	for _, a := range assumed {
		switch {
		case a.Path == path && a.Text == "":
			found, ok = bounds{a.Low, a.Value, a.High}, true
		case a.Text == "":
			return bounds{}, false
		}
	}
	return found, ok
}

// advice says what to do about a figure outside its usual range.
func advice(key string) string {
	switch key {
	case "die_to_plate":
		return "check the unit or the mount"
	case "die_capacity", "spreader_capacity", "plate_capacity", "metal_capacity", "capacity":
		return "check the unit and the mass it stands for"
	case "plate_mass":
		return "check the unit and that it is the plate alone"
	case "holds", "volume":
		return "check the unit, or weigh the part empty and full"
	case "head", "free_flow":
		return "check the unit, and that it is the figure at rated speed"
	case "power":
		return "check that it is the electrical power at rated speed"
	case "idle":
		return "check that it is the power at rest"
	case "shutdown":
		return "look up at which die temperature the chip cuts itself out"
	case "film_conductance":
		return "check the unit and the test_flow it belongs to"
	case "bore", "wall", "thickness":
		return "check the unit, and inside against outside measure"
	}
	return "check the unit"
}

// tradeUnit returns the unit in which a finding shows a value of a size: the
// factor on the SI value, and the name behind it.
func tradeUnit(dim spec.Dimension, size float64) (factor float64, unit string) {
	switch dim {
	case spec.Length:
		return 1e3, " mm"
	case spec.Volume:
		if size >= 1e-3 {
			return 1e3, " L"
		}
		return 1e6, " mL"
	case spec.Mass:
		return 1e3, " g"
	case spec.VolumeFlow:
		return 6e4, " L/min"
	case spec.Head:
		return 1 / 9806.65, " m"
	case spec.Pressure:
		if size < 1e3 {
			return 1, " Pa"
		}
		return 1e-3, " kPa"
	case spec.Airflow:
		return 3600, " m3/h"
	case spec.SoundLevel:
		return 1, " dBA"
	case spec.Area:
		return 1e4, " cm2"
	case spec.Angle:
		return 180 / math.Pi, " deg"
	case spec.PowerFlow:
		return 1, " W"
	case spec.Resistance:
		return 1, " K/W"
	case spec.Conductance:
		return 1, " W/K"
	case spec.HeatCapacity:
		if size >= 1e3 {
			return 1e-3, " kJ/K"
		}
		return 1, " J/K"
	case spec.RotationSpeed:
		return 60, " rpm"
	case spec.Ratio:
		return 100, " %"
	case spec.PerKelvin:
		return 100, " %/K"
	case spec.Temperature:
		return 1, " degC"
	}
	return 1, ""
}

// trade writes an SI value in its trade unit, to three digits.
func trade(value float64, dim spec.Dimension) string {
	return tradeNumber(value, math.Abs(value), dim) + unitName(dim, math.Abs(value))
}

// tradeRange writes both ends of a range in the unit of the upper one.
func tradeRange(low, high float64, dim spec.Dimension) string {
	return tradeNumber(low, math.Abs(high), dim) + " to " + trade(high, dim)
}

func unitName(dim spec.Dimension, size float64) string {
	_, unit := tradeUnit(dim, size)
	return unit
}

func tradeNumber(value, size float64, dim spec.Dimension) string {
	factor, _ := tradeUnit(dim, size)
	x := value * factor
	if dim == spec.Temperature {
		return strconv.FormatFloat(math.Round((x-zeroCelsius)*10)/10, 'f', -1, 64)
	}
	if x == 0 {
		return "0"
	}
	decimals := max(0, 2-int(math.Floor(math.Log10(math.Abs(x)))))
	scale := math.Pow(10, float64(decimals))
	return strconv.FormatFloat(math.Round(x*scale)/scale, 'f', -1, 64)
}
