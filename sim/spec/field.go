package spec

import (
	"math"
	"reflect"
	"strconv"
	"strings"
)

// Field describes one key of a section: all that its struct tags say.
type Field struct {
	Path      string // where it stands in a scenario; empty in a Section
	Key       string
	Type      Type
	Dimension Dimension // of a number, a power or the numbers of a list
	Min, Max  float64   // allowed range in SI, both ends included; infinite if open
	One       []string  // allowed words of a text; nil for any
	Short     string    // key that may stand for the whole section
	OwnShare  bool      // a power may be a share of the part's own power
	ByLevel   bool      // a speed may be that of a sound level
	Pair      bool      // each element of the list has two values and may be written as a pair
	Example   string
	Doc       string
	Section   *Section // fields of a section or of each element of a list

	item       Type   // of each element of TypeValues, once what it is about is known
	difference bool   // a free value that is the difference of two others
	aim        string // key of what a free value is about
	index      int    // in the struct
	optional   bool   // a pointer: the section counts as stated when it exists, even if empty
}

// Section describes a struct of a Scenario.
type Section struct {
	Name     string // of the Go type: Scenario, Chip, Tube
	Fields   []Field
	Kinds    []Kind // the keys of each kind stand beside Fields; nil for most
	Branches *Field // list that may stand in place of all other keys; nil for most

	goType    reflect.Type
	nameIndex int // of the field called name, -1 if there is none
	kindIndex int // of the field called KindKey, -1 if there are no kinds
}

// Kind is one kind of a section whose keys depend on what it is: a part.
type Kind struct {
	Name    string // tube
	Section *Section

	index int // of the pointer in the struct
}

// KindKey is the key of a section with kinds that says which one it is.
const KindKey = "part"

// BranchesKey is the key that stands in place of all others of such a section
// where it is a set of branches.
const BranchesKey = "parallel"

// Field returns the field of the given key among the common ones.
func (s *Section) Field(key string) (Field, bool) {
	for _, f := range s.Fields {
		if f.Key == key {
			return f, true
		}
	}
	return Field{}, false
}

// Kind returns the kind called name.
func (s *Section) Kind(name string) (Kind, bool) {
	for _, k := range s.Kinds {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

// KindsWith returns the names of the kinds that have the given key.
func (s *Section) KindsWith(key string) []string {
	var names []string
	for _, k := range s.Kinds {
		if _, ok := k.Section.Field(key); ok {
			names = append(names, k.Name)
		}
	}
	return names
}

// Keys returns the common keys in order, followed by those of the given kind.
func (s *Section) Keys(kind string) []string {
	var keys []string
	for _, f := range s.Fields {
		keys = append(keys, f.Key)
	}
	if k, ok := s.Kind(kind); ok {
		keys = append(keys, k.Section.Keys("")...)
	}
	return keys
}

// Root describes the Scenario itself. What it returns is shared: it must not
// be changed.
func Root() *Section { return root }

// root is built once from the struct tags and read only from then on.
var root = describer{}.section(reflect.TypeFor[Scenario]())

var typeOf = map[reflect.Type]Type{
	reflect.TypeFor[Number]():   TypeNumber,
	reflect.TypeFor[string]():   TypeText,
	reflect.TypeFor[Power]():    TypePower,
	reflect.TypeFor[Repeat]():   TypeRepeat,
	reflect.TypeFor[Speed]():    TypeSpeed,
	reflect.TypeFor[[]Number](): TypeNumbers,
	reflect.TypeFor[Start]():    TypeStart,

	reflect.TypeFor[Value]():        TypeFree,
	reflect.TypeFor[[]Value]():      TypeValues,
	reflect.TypeFor[[]string]():     TypeTexts,
	reflect.TypeFor[[]Comparison](): TypeComparisons,
	reflect.TypeFor[[]Variants]():   TypeVariants,
}

// describer reads struct tags, each type once: the parts of a branch are parts
// again.
type describer map[reflect.Type]*Section

func (known describer) section(t reflect.Type) *Section {
	if s := known[t]; s != nil {
		return s
	}
	s := &Section{Name: t.Name(), goType: t, nameIndex: -1, kindIndex: -1}
	known[t] = s
	for i := range t.NumField() {
		known.member(s, i, t.Field(i))
	}
	return s
}

// member adds what one member of the struct is to a section.
func (known describer) member(s *Section, i int, member reflect.StructField) {
	if kind := member.Tag.Get("kind"); kind != "" {
		s.Kinds = append(s.Kinds, Kind{Name: kind, Section: known.section(member.Type.Elem()), index: i})
		return
	}
	if key := member.Tag.Get("branches"); key != "" {
		f := known.field(key, i, member)
		s.Branches = &f
		return
	}
	key := member.Tag.Get("spec")
	if key != "" {
		s.Fields = append(s.Fields, known.field(key, i, member))
	}
	switch key {
	case "name":
		s.nameIndex = i
	case KindKey:
		s.kindIndex = i
	}
}

func (known describer) field(key string, index int, member reflect.StructField) Field {
	tag := member.Tag
	f := Field{
		Key: key, index: index,
		Dimension:  Dimension(tag.Get("dim")),
		Min:        bound(tag, "min", math.Inf(-1)),
		Max:        bound(tag, "max", math.Inf(1)),
		Short:      tag.Get("short"),
		OwnShare:   tag.Get("share") == "own",
		ByLevel:    tag.Get("level") == "yes",
		Pair:       tag.Get("pair") == "yes",
		difference: tag.Get("difference") == "yes",
		Example:    tag.Get("eg"),
		Doc:        tag.Get("doc"),
	}
	if words := tag.Get("one"); words != "" {
		f.One = strings.Split(words, "|")
	}
	t, simple := typeOf[member.Type]
	switch {
	case simple:
		f.Type = t
	case member.Type.Kind() == reflect.Slice:
		f.Type, f.Section = TypeSections, known.section(member.Type.Elem())
	case member.Type.Kind() == reflect.Pointer:
		f.Type, f.Section, f.optional = TypeSection, known.section(member.Type.Elem()), true
	default:
		f.Type, f.Section = TypeSection, known.section(member.Type)
	}
	return f
}

// Element describes an element of a list of single values, with an example of
// its own for each that the list's has.
func (f Field) Element(i int) Field {
	switch f.Type {
	case TypeNumbers:
		f.Type = TypeNumber
	case TypeValues:
		if f.Type = f.item; f.Type == TypeUnset {
			f.Type = TypeFree
		}
	case TypeTexts:
		f.Type = TypeText
	}
	if examples := strings.Split(f.Example, ", "); i < len(examples) {
		f.Example = examples[i]
	} else {
		f.Example = examples[len(examples)-1]
	}
	return f
}

// bound reads a limit from the tags; a test checks that all of them parse.
func bound(tag reflect.StructTag, name string, open float64) float64 {
	if x, err := strconv.ParseFloat(tag.Get(name), 64); err == nil {
		return x
	}
	return open
}
