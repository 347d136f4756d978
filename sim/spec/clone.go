package spec

import "reflect"

// Clone returns a deep copy: nothing that is done to it shows in s. A Series,
// which nobody changes, is shared.
func (s *Scenario) Clone() *Scenario {
	c := *s
	separate(reflect.ValueOf(&c).Elem())
	return &c
}

// separate gives v, a shallow copy, memory of its own for everything that
// pointers and slices in it lead to.
func separate(v reflect.Value) {
	if plain[v.Type()] {
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			separate(v.Field(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		v.Set(own)
		for i := range v.Len() {
			separate(v.Index(i))
		}
	case reflect.Pointer:
		if v.IsNil() {
			return
		}
		own := reflect.New(v.Type().Elem())
		own.Elem().Set(v.Elem())
		v.Set(own)
		separate(own.Elem())
	}
}

// plain holds the types within a Scenario that an assignment copies whole. It
// is built once and read only from then on.
var plain = plainTypes(reflect.TypeFor[Scenario](), map[reflect.Type]bool{})

func plainTypes(t reflect.Type, found map[reflect.Type]bool) map[reflect.Type]bool {
	if _, done := found[t]; done {
		return found
	}
	switch t.Kind() {
	case reflect.Slice, reflect.Pointer:
		found[t] = t == reflect.TypeFor[*Series]()
		if found[t] {
			return found
		}
		plainTypes(t.Elem(), found)
	case reflect.Struct:
		all := true
		for i := range t.NumField() {
			member := t.Field(i).Type
			plainTypes(member, found)
			all = all && found[member]
		}
		found[t] = all
	default:
		found[t] = true
	}
	return found
}
