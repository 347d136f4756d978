package spec

import (
	"fmt"
	"math"
)

// Type tells what a field holds, and what a Value carries.
type Type uint8

// The types of fields. Sections hold fields of their own and have no Value.
const (
	TypeUnset       Type = iota // a Value that states nothing
	TypeNumber                  // a Number
	TypeText                    // a string
	TypePower                   // a Power
	TypeRepeat                  // a Repeat
	TypeSpeed                   // a Speed
	TypeNumbers                 // a list of Numbers; its elements have Values
	TypeStart                   // a Start: a rule as text, or a temperature a node
	TypeSection                 // one section
	TypeSections                // a list of sections
	TypeFree                    // a Value of what the path beside it leads to
	TypeValues                  // a list of such Values
	TypeTexts                   // a list of texts
	TypeComparisons             // a list of Comparisons
	TypeVariants                // a map of names to lists of variants
)

// String returns the type as a word for messages.
func (t Type) String() string {
	return [...]string{"nothing", "number", "text", "power", "repeat", "speed", "list of numbers", "start", "section", "list",
		"value", "list of values", "list of words", "list of conditions", "set of variants"}[t]
}

// Value is what one field states. Only the member that Type names is
// meaningful. Values are comparable with ==.
type Value struct {
	Type   Type
	Number float64 // SI
	Text   string
	Power  Power
	Repeat Repeat
	Speed  Speed
}

// NumberValue returns the Value of a number in SI units.
func NumberValue(x float64) Value { return Value{Type: TypeNumber, Number: x} }

// TextValue returns the Value of a text; an empty text is unset.
func TextValue(text string) Value {
	if text == "" {
		return Value{}
	}
	return Value{Type: TypeText, Text: text}
}

// PowerValue returns the Value of a power; a power that states nothing is
// unset.
func PowerValue(p Power) Value {
	if !p.Set() {
		return Value{}
	}
	return Value{Type: TypePower, Power: p}
}

// RepeatValue returns the Value of a repeat; the zero Repeat is unset.
func RepeatValue(r Repeat) Value {
	if r == (Repeat{}) {
		return Value{}
	}
	return Value{Type: TypeRepeat, Repeat: r}
}

// SpeedValue returns the Value of a speed; a speed that states nothing is
// unset.
func SpeedValue(s Speed) Value {
	if !s.Set() {
		return Value{}
	}
	return Value{Type: TypeSpeed, Speed: s}
}

// many reports whether a field of the type holds a list of single values.
func (t Type) many() bool {
	return t == TypeNumbers || t == TypeValues || t == TypeTexts || t == TypeComparisons
}

// IsSet reports whether the value states anything.
func (v Value) IsSet() bool { return v.Type != TypeUnset }

// String writes the value with SI numbers and no unit, for programs; readers
// of files see trade units instead.
func (v Value) String() string {
	switch v.Type {
	case TypeNumber:
		return fmt.Sprint(v.Number)
	case TypeText:
		return v.Text
	case TypePower:
		return v.Power.String()
	case TypeRepeat:
		if v.Repeat.Forever {
			return "forever"
		}
		return fmt.Sprint(v.Repeat.Count)
	case TypeSpeed:
		return v.Speed.String()
	}
	return "unset"
}

// String writes the power in W, or as a ratio of its reference.
func (p Power) String() string {
	switch {
	case p.Watts.Set:
		return fmt.Sprintf("%v W", p.Watts.Value)
	case p.Share.Set && p.Of != "":
		return fmt.Sprintf("%v of %s", p.Share.Value, p.Of)
	case p.Share.Set:
		return fmt.Sprintf("%v of its own", p.Share.Value)
	}
	return "unset"
}

// String writes the speed in 1/s, as a ratio of the rated one, or as a level.
func (s Speed) String() string {
	switch {
	case s.Rate.Set:
		return fmt.Sprintf("%v 1/s", s.Rate.Value)
	case s.Share.Set:
		return fmt.Sprintf("%v of rated", s.Share.Value)
	case s.Level.Set:
		return fmt.Sprintf("at %v dBA", s.Level.Value)
	}
	return "unset"
}

func (n Number) value() Value {
	if !n.Set {
		return Value{}
	}
	return NumberValue(n.Value)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
