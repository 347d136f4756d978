package spec

import (
	"fmt"
	"reflect"
)

// Change is one thing that a design states in place of the scenario: the value
// at a path, or the name of the variant of a thing, as With takes them.
type Change struct {
	Path  string
	Value Value
}

// Alone returns a copy of the scenario by itself, without study and variants.
func (s *Scenario) Alone() *Scenario {
	c := *s
	c.Study, c.Variants = Study{}, nil
	separate(reflect.ValueOf(&c).Elem())
	return &c
}

// Design returns a copy of the scenario with all changes made, those by variants
// first, otherwise in their order. It is what With makes of them one after the
// other, in one copy, without study and variants unless asked to keep them.
func (s *Scenario) Design(changes []Change, keepStudy bool) (*Scenario, error) {
	c := s.Alone()
	for _, change := range changes {
		if !s.hasVariant(change.Path, change.Value) {
			continue
		}
		if err := c.become(s, change.Path, change.Value.Text); err != nil {
			return nil, fmt.Errorf("setting %s: %w", change.Path, err)
		}
	}
	for _, change := range changes {
		if s.hasVariant(change.Path, change.Value) {
			continue
		}
		if err := c.set(change.Path, change.Value); err != nil {
			return nil, err
		}
	}
	c.forgetSeries(s)
	if keepStudy {
		whole := s.Clone()
		c.Study, c.Variants = whole.Study, whole.Variants
	}
	return c, nil
}

// become makes a thing state what the variant of it in original does.
func (s *Scenario) become(original *Scenario, of, name string) error {
	thing, err := s.thing(of)
	if err != nil {
		return err
	}
	i, _ := original.variantIndex(of, name)
	from := original.variants(of).Choices[i].member(thing.v.Type())
	if from == nil || from.IsNil() {
		return fmt.Errorf("the variant %s is not one of a %s", name, word(thing))
	}
	overlay(thing.v, from.Elem())
	return nil
}
