package spec

import (
	"fmt"
	"reflect"
)

// Draft is one section of a scenario that is still being filled. It is for
// readers of files only: once a scenario is handed out nobody changes it.
type Draft struct {
	Section *Section
	kind    string
	v       reflect.Value // addressable struct
	grow    bool          // a missing struct of the kind is made, to be filled
}

// Draft opens a scenario for filling.
func (s *Scenario) Draft() Draft {
	return Draft{Section: root, v: reflect.ValueOf(s).Elem()}
}

// Field returns the field of the given key, common or of the kind set so far.
func (d Draft) Field(key string) (Field, bool) {
	if f, ok := d.Section.Field(key); ok {
		return f, true
	}
	if k, ok := d.Section.Kind(d.kind); ok {
		return k.Section.Field(key)
	}
	return Field{}, false
}

// SetKind makes the section one of the given kind, whose keys it then has.
func (d Draft) SetKind(name string) (Draft, error) {
	k, ok := d.Section.Kind(name)
	if !ok {
		return d, fmt.Errorf("%s has no kind %q", d.Section.Name, name)
	}
	if member := d.v.Field(k.index); member.IsNil() {
		member.Set(reflect.New(k.Section.goType))
	}
	d.kind = name
	return d, d.Put(KindKey, TextValue(name))
}

// Into opens the section under key.
func (d Draft) Into(key string) (Draft, error) {
	member, f, err := d.member(key)
	if err != nil || f.Type != TypeSection {
		return Draft{}, fmt.Errorf("%s has no section %q", d.Section.Name, key)
	}
	return Draft{Section: f.Section, v: member}, nil
}

// Append adds an element to the list of sections under key and opens it. A
// draft of an earlier element of the same list must not be used any more.
func (d Draft) Append(key string) (Draft, error) {
	member, f, err := d.member(key)
	if err != nil || f.Type != TypeSections {
		return Draft{}, fmt.Errorf("%s has no list %q", d.Section.Name, key)
	}
	member.Set(reflect.Append(member, reflect.Zero(f.Section.goType)))
	return Draft{Section: f.Section, v: member.Index(member.Len() - 1)}, nil
}

// Put sets the field under key; for a list of numbers it adds one. It checks
// the type of the value and nothing else: ranges are the business of Check.
func (d Draft) Put(key string, v Value) error {
	member, f, err := d.member(key)
	if err != nil {
		return err
	}
	if f.Type == TypeNumbers {
		if v.Type != TypeNumber {
			return typeError(f, v)
		}
		list := member.Addr().Interface().(*[]Number)
		*list = append(*list, Some(v.Number))
		return nil
	}
	return assign(member, f, v)
}

// PutStart adds the starting temperature (K) of one node.
func (d Draft) PutStart(node string, kelvin float64) error {
	member, f, err := d.member("start")
	if err != nil || f.Type != TypeStart {
		return fmt.Errorf("%s has no start", d.Section.Name)
	}
	start := member.Addr().Interface().(*Start)
	start.Nodes = append(start.Nodes, StartNode{Node: node, Temperature: kelvin})
	return nil
}

// member finds the struct member of a key.
func (d Draft) member(key string) (reflect.Value, Field, error) {
	if f, ok := d.Section.Field(key); ok {
		return d.v.Field(f.index), f, nil
	}
	if k, ok := d.Section.Kind(d.kind); ok {
		if f, ok := k.Section.Field(key); ok {
			return d.kindStruct(k).Field(f.index), f, nil
		}
	}
	return reflect.Value{}, Field{}, fmt.Errorf("%s has no key %q", d.Section.Name, key)
}

// assign writes a value into a struct member of the field's type.
func assign(member reflect.Value, f Field, v Value) error {
	if v.Type == TypeNumber && f.Type == TypePower {
		v = PowerValue(Power{Watts: Some(v.Number)})
	}
	allowed := v.Type == f.Type || v.Type == TypeUnset ||
		v.Type == TypeText && f.Type == TypeStart || v.Type == TypeNumber && f.Type == TypeNumbers
	if !allowed {
		return typeError(f, v)
	}
	switch target := member.Addr().Interface().(type) {
	case *Number:
		*target = Number{Value: v.Number, Set: v.IsSet()}
	case *string:
		*target = v.Text
	case *Power:
		*target = v.Power
	case *Repeat:
		*target = v.Repeat
	case *[]Number:
		*target = nil
		if v.IsSet() {
			*target = []Number{Some(v.Number)}
		}
	case *Start:
		*target = Start{Rule: v.Text}
	default:
		return typeError(f, v)
	}
	return nil
}

// read returns what a struct member states.
func read(member reflect.Value) Value {
	switch x := member.Interface().(type) {
	case Number:
		return x.value()
	case string:
		return TextValue(x)
	case Power:
		return PowerValue(x)
	case Repeat:
		return RepeatValue(x)
	case Start:
		return TextValue(x.Rule)
	}
	return Value{}
}

func typeError(f Field, v Value) error {
	return fmt.Errorf("%s is a %s, not a %s", f.Key, f.Type, v.Type)
}

// kindStruct returns the struct that holds the keys of kind k. Where a section
// made by hand lacks it, nothing is stated.
func (d Draft) kindStruct(k Kind) reflect.Value {
	p := d.v.Field(k.index)
	switch {
	case !p.IsNil():
		return p.Elem()
	case d.grow:
		p.Set(reflect.New(k.Section.goType))
		return p.Elem()
	}
	return reflect.New(k.Section.goType).Elem()
}

// open makes a draft of an existing struct, with the kind it states.
func (d Draft) open(s *Section, v reflect.Value) Draft {
	e := Draft{Section: s, v: v, grow: d.grow}
	if s.kindIndex >= 0 {
		e.kind = v.Field(s.kindIndex).String()
	}
	return e
}

// Kind returns the kind of the section, "" where it has none.
func (d Draft) Kind() string { return d.kind }

// Keys returns the keys that may be put, common ones first.
func (d Draft) Keys() []string { return d.Section.Keys(d.kind) }
