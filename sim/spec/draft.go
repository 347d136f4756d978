package spec

import (
	"fmt"
	"iter"
	"reflect"
)

// Draft is one section of a scenario that is still being filled. It is for
// readers of files only: once a scenario is handed out nobody changes it.
type Draft struct {
	Section *Section
	kind    string
	v       reflect.Value // addressable struct
	grow    bool          // a missing struct of the kind is made, to be filled
	of      *Scenario     // to which it belongs
	stated  bool          // walking passes over what is not stated
}

// Draft opens a scenario for filling.
func (s *Scenario) Draft() Draft {
	return Draft{Section: root, v: reflect.ValueOf(s).Elem(), of: s}
}

// Field returns the field of the given key, common or of the kind set so far;
// of a parallel element the branches alone.
func (d Draft) Field(key string) (Field, bool) {
	_, f, err := d.member(key)
	return f, err == nil
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

// SetParallel makes the section a parallel element, whose only key is that of
// its branches.
func (d Draft) SetParallel() (Draft, error) {
	b := d.Section.Branches
	if b == nil {
		return d, fmt.Errorf("%s has no branches", d.Section.Name)
	}
	d.v.Field(b.index).Set(reflect.MakeSlice(reflect.SliceOf(b.Section.goType), 0, 0))
	return d, nil
}

// Parallel reports whether the section is a parallel element.
func (d Draft) Parallel() bool {
	b := d.Section.Branches
	return b != nil && !d.v.Field(b.index).IsNil()
}

// Into opens the section under key, which counts as stated from then on.
func (d Draft) Into(key string) (Draft, error) {
	member, f, err := d.member(key)
	if err != nil || f.Type != TypeSection {
		return Draft{}, fmt.Errorf("%s has no section %q", d.Section.Name, key)
	}
	if f.optional {
		member = pointed(member, true)
	}
	return Draft{Section: f.Section, v: member, of: d.of}, nil
}

// Append adds an element to the list of sections under key and opens it. A
// draft of an earlier element of the same list must not be used any more.
func (d Draft) Append(key string) (Draft, error) {
	member, f, err := d.member(key)
	if err != nil || f.Type != TypeSections {
		return Draft{}, fmt.Errorf("%s has no list %q", d.Section.Name, key)
	}
	member.Set(reflect.Append(member, reflect.Zero(f.Section.goType)))
	return Draft{Section: f.Section, v: member.Index(member.Len() - 1), of: d.of}, nil
}

// Put sets the field under key; to a list of single values it adds one. It checks
// the type of the value and nothing else: ranges are the business of Check.
func (d Draft) Put(key string, v Value) error {
	member, f, err := d.member(key)
	if err != nil {
		return err
	}
	if f.Type.many() {
		list := reflect.Append(member, reflect.Zero(member.Type().Elem()))
		if err := assign(list.Index(member.Len()), f.Element(member.Len()), v); err != nil {
			return err
		}
		member.Set(list)
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
	parallel := d.Parallel()
	if b := d.Section.Branches; parallel && b.Key == key {
		return d.v.Field(b.index), *b, nil
	}
	if f, ok := d.Section.Field(key); ok && !parallel {
		return d.v.Field(f.index), d.aim(f), nil
	}
	if k, ok := d.Section.Kind(d.kind); ok && !parallel {
		if f, ok := k.Section.Field(key); ok {
			return pointed(d.v.Field(k.index), d.grow).Field(f.index), f, nil
		}
	}
	return reflect.Value{}, Field{}, fmt.Errorf("%s has no key %q", d.Section.Name, key)
}

// assign writes a value into a struct member of the field's type.
func assign(member reflect.Value, f Field, v Value) error {
	if v.Type == TypeNumber && f.Type == TypePower {
		v = PowerValue(Power{Watts: Some(v.Number)})
	}
	if v.Type == TypeNumber && f.Type == TypeSpeed {
		v = SpeedValue(Speed{Rate: Some(v.Number)})
	}
	allowed := v.Type == f.Type || v.Type == TypeUnset ||
		v.Type == TypeText && f.Type == TypeStart || f.Type.many() && v.Type == f.Element(0).Type
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
	case *Speed:
		*target = v.Speed
	case *[]Number:
		*target = nil
		if v.IsSet() {
			*target = []Number{Some(v.Number)}
		}
	case *Start:
		*target = Start{Rule: v.Text}
	case *Value:
		*target = v
	case *[]Value:
		*target = nil
		if v.IsSet() {
			*target = []Value{v}
		}
	case *[]string:
		*target = nil
		if v.IsSet() {
			*target = []string{v.Text}
		}
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
	case Speed:
		return SpeedValue(x)
	case Start:
		return TextValue(x.Rule)
	case Value:
		return x
	case Comparison:
		return TextValue(x.Text)
	}
	return Value{}
}

func typeError(f Field, v Value) error {
	return fmt.Errorf("%s is a %s, not a %s", f.Key, f.Type, v.Type)
}

// pointed returns the struct that a pointer leads to. A missing one is made
// where grow says so; elsewhere one that states nothing stands in.
func pointed(p reflect.Value, grow bool) reflect.Value {
	switch {
	case !p.IsNil():
		return p.Elem()
	case grow:
		p.Set(reflect.New(p.Type().Elem()))
		return p.Elem()
	}
	return reflect.New(p.Type().Elem()).Elem()
}

// open makes a draft of an existing struct, with the kind it states, or of the
// one that a pointer leads to.
func (d Draft) open(s *Section, v reflect.Value) Draft {
	if v.Kind() == reflect.Pointer {
		v = pointed(v, d.grow)
	}
	e := Draft{Section: s, v: v, grow: d.grow, of: d.of, stated: d.stated}
	if s.kindIndex >= 0 {
		e.kind = v.Field(s.kindIndex).String()
	}
	return e
}

// Kind returns the kind of the section, "" where it has none.
func (d Draft) Kind() string { return d.kind }

// Keys returns the keys that may be put, common ones first.
func (d Draft) Keys() []string {
	if d.Parallel() {
		return []string{d.Section.Branches.Key}
	}
	return d.Section.Keys(d.kind)
}

// fields walks over the fields that the section has, in the order of Keys, with
// their struct members.
func (d Draft) fields() iter.Seq2[*Field, reflect.Value] {
	return func(yield func(*Field, reflect.Value) bool) {
		if b := d.Section.Branches; d.Parallel() {
			yield(b, d.v.Field(b.index))
			return
		}
		if !d.Section.members(d.v, yield) {
			return
		}
		if k, ok := d.Section.Kind(d.kind); ok {
			k.Section.members(pointed(d.v.Field(k.index), d.grow), yield)
		}
	}
}

// members walks over the fields of a struct of the section.
func (s *Section) members(v reflect.Value, yield func(*Field, reflect.Value) bool) bool {
	for i := range s.Fields {
		if f := &s.Fields[i]; !yield(f, v.Field(f.index)) {
			return false
		}
	}
	return true
}

// lists walks over the lists of sections in which things with names can lie.
func (d Draft) lists() iter.Seq2[*Field, reflect.Value] {
	return func(yield func(*Field, reflect.Value) bool) {
		if d.Parallel() {
			yield(d.Section.Branches, d.v.Field(d.Section.Branches.index))
			return
		}
		for i := range d.Section.Fields {
			f := &d.Section.Fields[i]
			if f.Type == TypeSections && !yield(f, d.v.Field(f.index)) {
				return
			}
		}
	}
}

// sections walks over the sections that are there and hold lists of things with
// names: the case with its fans.
func (d Draft) sections() iter.Seq2[*Field, Draft] {
	return func(yield func(*Field, Draft) bool) {
		if d.Parallel() {
			return
		}
		for i := range d.Section.Fields {
			f := &d.Section.Fields[i]
			if f.Type != TypeSection || !f.Section.holdsNames() || f.optional && d.v.Field(f.index).IsNil() {
				continue
			}
			if !yield(f, d.open(f.Section, d.v.Field(f.index))) {
				return
			}
		}
	}
}

// holdsNames reports whether the section has a list of things with names.
func (s *Section) holdsNames() bool {
	for _, f := range s.Fields {
		if f.Type == TypeSections && f.Section.nameIndex >= 0 {
			return true
		}
	}
	return false
}
