package spec

import (
	"fmt"
	"iter"
	"reflect"
	"slices"
	"strconv"
)

// Temperatures a node may start from, K.
const (
	startMin = 233.15
	startMax = 423.15
)

// FieldAt describes the field that a path leads to. The error is a *PathError.
func (s *Scenario) FieldAt(path string) (Field, error) {
	p, err := s.find(path, false)
	return p.field, err
}

// Get returns what the field at path states; an unset Value where it states
// nothing. Sections and lists have no value. The error is a *PathError.
func (s *Scenario) Get(path string) (Value, error) {
	p, err := s.find(path, false)
	if err != nil {
		return Value{}, err
	}
	switch {
	case p.node != "":
		return s.Start.at(p.node), nil
	case p.field.Section != nil || p.field.Type.many() && p.index < 0 || p.field.Type == TypeVariants:
		return Value{}, &PathError{Path: path, Reason: "it has keys or elements of its own", Nearest: s.nearestPath(path)}
	}
	return read(p.member), nil
}

// With returns a copy in which the field at path states v; an unset v takes
// the statement back. s itself never changes. The value must be of the field's
// type and in its range (a number stands for a power in W and a speed in 1/s as well); what
// depends on other fields is left to Check. Names and kinds cannot be set:
// other fields rest on them. A number set on a list of numbers becomes its only
// element. The name of a variant, set on what has variants, makes it state
// what that variant does. A log of which anything changes has to be read again: the copy has
// no Series of it.
func (s *Scenario) With(path string, v Value) (*Scenario, error) {
	if s.hasVariant(path, v) {
		return s.Design([]Change{{Path: path, Value: v}}, true)
	}
	c := s.Clone()
	if err := c.set(path, v); err != nil {
		return nil, err
	}
	c.forgetSeries(s)
	return c, nil
}

// set is With in place.
func (s *Scenario) set(path string, v Value) error {
	p, err := s.find(path, v.IsSet())
	switch {
	case err != nil:
		return err
	case p.field.Section != nil:
		return &PathError{Path: path, Reason: "it has keys of its own", Nearest: s.nearestPath(path)}
	case p.field.Key == "name" || p.field.Key == KindKey:
		return fmt.Errorf("%s: names and kinds stand in the file and cannot be set", path)
	case p.field.Type == TypeComparisons:
		return fmt.Errorf("%s: conditions stand in the file and cannot be set", path)
	}
	if problem := checkValue(p.field, v); problem != nil {
		return problem
	}
	if p.node != "" {
		return s.Start.setNode(p.field, v)
	}
	if err := assign(p.member, p.field, v); err != nil {
		return fmt.Errorf("setting %s: %w", path, err)
	}
	return nil
}

func (s *Start) at(node string) Value {
	for _, n := range s.Nodes {
		if n.Node == node {
			return NumberValue(n.Temperature)
		}
	}
	return Value{}
}

// setNode states the temperature of one node, or takes it back. Single nodes
// replace a rule for all.
func (s *Start) setNode(f Field, v Value) error {
	if v.IsSet() && v.Type != TypeNumber {
		return fmt.Errorf("setting %s: %w", f.Path, typeError(f, v))
	}
	i := slices.IndexFunc(s.Nodes, func(n StartNode) bool { return n.Node == f.Key })
	switch {
	case !v.IsSet() && i >= 0:
		s.Nodes = slices.Delete(s.Nodes, i, i+1)
	case !v.IsSet():
	case i >= 0:
		s.Nodes[i].Temperature = v.Number
	default:
		s.Nodes = append(s.Nodes, StartNode{Node: f.Key, Temperature: v.Number})
	}
	if v.IsSet() {
		s.Rule = ""
	}
	return nil
}

// All walks over every field of every section that exists, set or not, with
// its path and what it states, in the order of the types. Things with a name
// have paths that begin with it; without one the path is structural.
func (s *Scenario) All() iter.Seq2[Field, Value] {
	return func(yield func(Field, Value) bool) {
		s.Draft().walk("", yield)
	}
}

// allStated is All without the fields that state nothing.
func (s *Scenario) allStated() iter.Seq2[Field, Value] {
	return func(yield func(Field, Value) bool) {
		d := s.Draft()
		d.stated = true
		d.walk("", yield)
	}
}

func (d Draft) walk(prefix string, yield func(Field, Value) bool) bool {
	for f, member := range d.fields() {
		if d.stated && member.IsZero() {
			continue
		}
		if !d.walkField(f, member, prefix+f.Key, yield) {
			return false
		}
	}
	return true
}

func (d Draft) walkField(described *Field, member reflect.Value, path string, yield func(Field, Value) bool) bool {
	f := d.aim(*described)
	f.Path = path
	switch f.Type {
	case TypeSection:
		if f.optional && member.IsNil() {
			return true
		}
		return d.open(f.Section, member).walk(f.Path+".", yield)
	case TypeSections:
		for i := range member.Len() {
			e := d.open(f.Section, member.Index(i))
			if !e.walk(elementPrefix(f, e, i), yield) {
				return false
			}
		}
		return true
	case TypeNumbers, TypeValues, TypeTexts, TypeComparisons:
		return walkList(f, member, yield)
	case TypeVariants:
		return d.walkVariants(yield)
	case TypeStart:
		return walkStart(f, member.Interface().(Start), yield)
	}
	return yield(f, read(member))
}

// elementPrefix begins the paths of a list's element: its name if it has one.
func elementPrefix(f Field, e Draft, i int) string {
	if n := f.Section.nameIndex; n >= 0 && !e.Parallel() {
		if name := e.v.Field(n).String(); name != "" {
			return name + "."
		}
	}
	return f.Path + "[" + strconv.Itoa(i) + "]."
}

func walkList(f Field, list reflect.Value, yield func(Field, Value) bool) bool {
	for i := range list.Len() {
		e := f.Element(i)
		e.Path = f.Path + "[" + strconv.Itoa(i) + "]"
		if !yield(e, read(list.Index(i))) {
			return false
		}
	}
	return true
}

func walkStart(f Field, start Start, yield func(Field, Value) bool) bool {
	if !yield(f, TextValue(start.Rule)) {
		return false
	}
	for _, n := range start.Nodes {
		if !yield(startField(n.Node), NumberValue(n.Temperature)) {
			return false
		}
	}
	return true
}
