package spec

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"testing"
)

// TestTags checks the struct tags of all sections, which everything else
// trusts: keys, ranges, examples, words.
func TestTags(t *testing.T) {
	seen := map[*Section]bool{}
	var visit func(s *Section)
	visit = func(s *Section) {
		if seen[s] {
			return
		}
		seen[s] = true
		keys := map[string]bool{}
		for _, f := range s.Fields {
			at := s.Name + "." + f.Key
			if keys[f.Key] || !validName(f.Key) || f.Doc == "" {
				t.Errorf("%s: key repeated or ill formed, or no meaning given", at)
			}
			keys[f.Key] = true
			checkTags(t, at, s, f)
			if f.Section != nil {
				visit(f.Section)
			}
		}
		for _, k := range s.Kinds {
			for _, key := range k.Section.Keys("") {
				if keys[key] {
					t.Errorf("%s: the kind %s repeats %s", s.Name, k.Name, key)
				}
			}
			visit(k.Section)
		}
		if b := s.Branches; b != nil {
			if b.Key != BranchesKey || keys[b.Key] || b.Doc == "" || b.Example == "" || b.Type != TypeSections {
				t.Errorf("%s.%s: key repeated, or no meaning, example or list", s.Name, b.Key)
			}
			visit(b.Section)
		}
	}
	visit(Root())
	if len(seen) < 40 {
		t.Errorf("only %d sections found", len(seen))
	}
}

func checkTags(t *testing.T, at string, s *Section, f Field) {
	member := s.goType.Field(f.index)
	for _, name := range []string{"min", "max"} {
		if text, ok := member.Tag.Lookup(name); ok {
			if _, err := strconv.ParseFloat(text, 64); err != nil {
				t.Errorf("%s: %s is %q", at, name, text)
			}
		}
	}
	ranged := f.Type == TypeNumber || f.Type == TypePower || f.Type == TypeNumbers || f.Type == TypeSpeed
	if ranged && (math.IsInf(f.Min, 0) || math.IsInf(f.Max, 0) || f.Min >= f.Max || f.Dimension == None) {
		t.Errorf("%s: range %v to %v of dimension %q", at, f.Min, f.Max, f.Dimension)
	}
	if f.Pair {
		values := f.Type == TypeSections && len(f.Section.Fields) == 2 && f.Section.Fields[0].Type == TypeNumber
		for _, value := range f.Section.Fields {
			values = values && (value.Type == TypeNumber || value.Type == TypeSpeed)
		}
		if !values || f.Example == "" {
			t.Errorf("%s: a pair has two numbers, or a number and a speed, and an example", at)
		}
	}
	if f.ByLevel && f.Type != TypeSpeed || f.OwnShare && f.Type != TypePower {
		t.Errorf("%s: a %s can be no level and no share", at, f.Type)
	}
	if f.Section == nil && f.Example == "" {
		t.Errorf("%s has no example", at)
	}
	if f.One != nil && !slices.Contains(f.One, f.Example) {
		t.Errorf("%s: the example %q is none of %v", at, f.Example, f.One)
	}
	if f.Short != "" {
		if short, ok := f.Section.Field(f.Short); !ok || short.Section != nil {
			t.Errorf("%s: short is %q", at, f.Short)
		}
	}
}

// TestEveryMemberHasAKey: a field without a tag would be read from no file.
func TestEveryMemberHasAKey(t *testing.T) {
	for _, typ := range []reflect.Type{
		reflect.TypeFor[Scenario](), reflect.TypeFor[Chip](), reflect.TypeFor[Part](), reflect.TypeFor[Radiator](),
		reflect.TypeFor[Pump](), reflect.TypeFor[Fitting](), reflect.TypeFor[Block](), reflect.TypeFor[Fans](), reflect.TypeFor[Room](), reflect.TypeFor[Case](),
		reflect.TypeFor[Ambient](), reflect.TypeFor[TimeTemperature](), reflect.TypeFor[Body](), reflect.TypeFor[Fan](), reflect.TypeFor[AirflowPressure](),
		reflect.TypeFor[Core](), reflect.TypeFor[Face](), reflect.TypeFor[Breathes](),
		reflect.TypeFor[Lump](), reflect.TypeFor[Link](), reflect.TypeFor[Work](), reflect.TypeFor[Solver](),
		reflect.TypeFor[Control](), reflect.TypeFor[TemperatureSpeed](), reflect.TypeFor[RiseSpeed](), reflect.TypeFor[Sensor](),
		reflect.TypeFor[Throttle](), reflect.TypeFor[Limit](), reflect.TypeFor[Fault](), reflect.TypeFor[When](),
		reflect.TypeFor[Step](), reflect.TypeFor[Session](), reflect.TypeFor[Bursts](), reflect.TypeFor[Log](),
	} {
		for i := range typ.NumField() {
			if typ.Field(i).Type == reflect.TypeFor[*Series]() {
				continue // read from what the other fields name
			}
			tag := typ.Field(i).Tag
			if tag.Get("spec") == "" && tag.Get("kind") == "" && tag.Get("branches") == "" {
				t.Errorf("%s.%s has neither key nor kind", typ.Name(), typ.Field(i).Name)
			}
		}
	}
}

// TestKindsMatch: the words of the key part are the kinds, in the same order.
func TestKindsMatch(t *testing.T) {
	parts := sectionOfPart()
	f, ok := parts.Field(KindKey)
	if !ok || !slices.Equal(f.One, partKinds()) {
		t.Errorf("part is one of %v, kinds are %v", f.One, partKinds())
	}
	if got := parts.KindsWith("film_conductance"); !slices.Equal(got, []string{"block", "radiator"}) {
		t.Errorf("film_conductance belongs to %v", got)
	}
	if got := parts.Keys("tube"); !slices.Contains(got, "bore") || slices.Contains(got, "flow") || slices.Contains(got, "parallel") {
		t.Errorf("keys of a tube are %v", got)
	}
}
