package spec

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
)

// Variants are what may stand in place of what one thing states: real parts
// whose thickness, fins, volume, weight and price move together.
type Variants struct {
	Of      string // name of a part, chip, lump or fan of the case; or coolant
	Choices []Variant
}

// Variant states what differs from the thing itself; everything else stays. A
// list replaces the thing's own. One of the pointers is set, by what the thing
// is; the name and kind in it are not.
type Variant struct {
	Name string

	Part    *Part
	Chip    *Chip
	Lump    *Lump
	Fan     *Fan
	Coolant *Coolant
}

// errNotItself refuses an axis that varies a study.
var errNotItself = errors.New("a study varies the scenario, not itself: give the path of a value, or the name of a part with variants")

// HasVariants reports whether the scenario has variants of the thing.
func (s *Scenario) HasVariants(of string) bool { return s.variants(of) != nil }

func (s *Scenario) variants(of string) *Variants {
	i := slices.IndexFunc(s.Variants, func(v Variants) bool { return v.Of == of })
	if i < 0 {
		return nil
	}
	return &s.Variants[i]
}

// ChosenVariants returns the names of the variants that an axis goes through, in
// its order.
func (s *Scenario) ChosenVariants(a *Axis) []string {
	if len(a.Variants) != 1 || a.Variants[0] != AllVariants {
		return a.Variants
	}
	var names []string
	if v := s.variants(a.Path); v != nil {
		for _, choice := range v.Choices {
			names = append(names, choice.Name)
		}
	}
	return names
}

// hasVariant reports whether a value is the name of a variant of the thing.
func (s *Scenario) hasVariant(of string, v Value) bool {
	_, ok := s.variantIndex(of, v.Text)
	return v.Type == TypeText && ok
}

func (s *Scenario) variantIndex(of, name string) (int, bool) {
	v := s.variants(of)
	if v == nil {
		return 0, false
	}
	i := slices.IndexFunc(v.Choices, func(c Variant) bool { return c.Name == name })
	return i, i >= 0
}

// thing opens what may have variants: by its name, or the coolant.
func (s *Scenario) thing(name string) (Draft, error) {
	d := s.Draft()
	found, ok := d.named(name)
	if f, top := root.Field(name); top && f.Type == TypeSection {
		found, ok = d.open(f.Section, d.v.Field(f.index)), true
	}
	switch {
	case !ok:
		return Draft{}, fmt.Errorf("nothing is called %s", shortened(name))
	case new(Variant).member(found.v.Type()) == nil:
		return Draft{}, fmt.Errorf("%s is none of what has variants: a part, a chip, a lump, a fan of the case, or coolant", shortened(name))
	}
	return found, nil
}

// member returns the pointer for a struct of the type, or nil.
func (v *Variant) member(t reflect.Type) *reflect.Value {
	all := reflect.ValueOf(v).Elem()
	for i := range all.NumField() {
		if m := all.Field(i); m.Type() == reflect.PointerTo(t) {
			return &m
		}
	}
	return nil
}

// Varieties describes the sections of which there can be variants.
func Varieties() []*Section {
	var all []*Section
	t := reflect.TypeFor[Variant]()
	for i := range t.NumField() {
		if m := t.Field(i).Type; m.Kind() == reflect.Pointer {
			all = append(all, sectionOf(root, m.Elem(), map[*Section]bool{}))
		}
	}
	return all
}

// sectionOf finds the section of a type in or below s, or returns nil.
func sectionOf(s *Section, t reflect.Type, seen map[*Section]bool) *Section {
	switch {
	case s == nil || seen[s]:
		return nil
	case s.goType == t:
		return s
	}
	seen[s] = true
	for _, f := range s.Fields {
		if found := sectionOf(f.Section, t, seen); found != nil {
			return found
		}
	}
	return nil
}

// open makes a draft of what a variant of the thing states.
func (v *Variant) open(thing Draft, grow bool) (Draft, bool) {
	m := v.member(thing.v.Type())
	if m == nil {
		return Draft{}, false
	}
	return Draft{Section: thing.Section, kind: thing.kind, v: pointed(*m, grow), grow: grow, of: thing.of}, true
}

// AppendVariant adds a variant of the thing called of and opens it, to be filled
// with any key of that thing but its name. A draft of an earlier variant must not
// be used any more. The scenario must have its names.
func (s *Scenario) AppendVariant(of, name string) (Draft, error) {
	thing, err := s.thing(of)
	if err != nil {
		return Draft{}, err
	}
	set := s.variants(of)
	if set == nil {
		s.Variants = append(s.Variants, Variants{Of: of})
		set = &s.Variants[len(s.Variants)-1]
	}
	set.Choices = append(set.Choices, Variant{Name: name})
	d, _ := set.Choices[len(set.Choices)-1].open(thing, true)
	return d, nil
}

// resolveVariant follows a path that begins with variants: to a key of the
// variant at a position, variants.front[0].core.thickness.
func (s *Scenario) resolveVariant(path string, steps []step, grow bool) (place, error) {
	of, at := steps[1].key, steps[1].index
	set := s.variants(of)
	switch {
	case set == nil:
		return place{}, fmt.Errorf("%s has no variants", of)
	case at < 0:
		return place{}, fmt.Errorf("%s is a list: write %s[0]", of, of)
	case at >= len(set.Choices):
		return place{}, fmt.Errorf("%s has %d variants, counted from 0", of, len(set.Choices))
	}
	thing, err := s.thing(of)
	if err != nil {
		return place{}, err
	}
	d, ok := set.Choices[at].open(thing, grow)
	switch {
	case !ok:
		return place{}, fmt.Errorf("%s has no variants", of)
	case len(steps) == 2:
		return place{field: Field{Path: path, Key: of, Type: TypeSection, Section: d.Section}, member: d.v, index: -1}, nil
	case len(steps) == 3 && steps[2] == step{key: nameKey, index: -1}:
		return place{field: variantName(path), member: reflect.ValueOf(&set.Choices[at].Name).Elem(), index: -1}, nil
	}
	return d.descend(path, steps[2:])
}

// nameKey is the key of what a thing, or a variant of one, is called.
const nameKey = "name"

// variantName describes the name of a variant.
func variantName(path string) Field {
	return Field{Path: path, Key: nameKey, Type: TypeText, Example: "slim", Doc: "name of the variant"}
}

// walkVariants walks over what the variants state, and nothing else.
func (d Draft) walkVariants(yield func(Field, Value) bool) bool {
	for i := range d.of.Variants {
		set := &d.of.Variants[i]
		thing, err := d.of.thing(set.Of)
		if err != nil {
			continue // nothing to say what their keys mean
		}
		for j := range set.Choices {
			path := variantsKey + "." + set.Of + "[" + strconv.Itoa(j) + "]."
			if name := TextValue(set.Choices[j].Name); name.IsSet() && !yield(variantName(path+nameKey), name) {
				return false
			}
			open, ok := set.Choices[j].open(thing, false)
			open.stated = true
			if ok && !open.walk(path, yield) {
				return false
			}
		}
	}
	return true
}

// overlay makes to state what from states, and leaves the rest of it as it is.
func overlay(to, from reflect.Value) {
	_, single := typeOf[from.Type()]
	switch {
	case from.IsZero():
	case single || from.Kind() == reflect.Slice:
		own := reflect.New(from.Type()).Elem()
		own.Set(from)
		separate(own)
		to.Set(own)
	case from.Kind() == reflect.Pointer:
		overlay(pointed(to, true), from.Elem())
	default:
		for i := range from.NumField() {
			overlay(to.Field(i), from.Field(i))
		}
	}
}
