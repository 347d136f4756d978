package scenarios

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"soakledger/sim/spec"
)

// decoder fills a scenario from a syntax tree. Paths are structural until
// everything has a name.
type decoder struct {
	file      string
	scenario  *spec.Scenario
	nodes     map[string]*yaml.Node // the value at each path
	errs      Errors
	readAs    []string
	soleWork  bool    // work was one section instead of a list
	later     []entry // keys that are about the rest of the file
	depth     int
	visits    int
	exhausted bool
}

func newDecoder(file string) *decoder {
	return &decoder{file: file, scenario: new(spec.Scenario), nodes: map[string]*yaml.Node{}}
}

// fail records a mistake at a node.
func (d *decoder) fail(node *yaml.Node, path, format string, args ...any) {
	d.errs = append(d.errs, &Error{File: d.file, Line: node.Line, Column: node.Column, Path: path, Text: fmt.Sprintf(format, args...)})
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// root reads the file as a whole.
func (d *decoder) root(node *yaml.Node) {
	if node = follow(node); node.Kind != yaml.MappingNode {
		d.fail(node, "", "a scenario is made of keys with values, %s", firstScenario)
		return
	}
	d.nodes[""] = node
	draft := d.scenario.Draft()
	loops := false
	for _, e := range d.entries(node, "") {
		if e.key.Value == "loop" || e.key.Value == "loops" {
			if loops {
				d.fail(e.key, e.key.Value, "loop is short for one entry of loops: keep one of the two")
				continue
			}
			loops = true
		}
		switch e.key.Value {
		case "loop":
			d.soleLoop(draft, e)
			continue
		case "variants", "study":
			d.later = append(d.later, e)
			continue
		}
		d.key(draft, e, "")
	}
}

// section reads the keys of a mapping.
func (d *decoder) section(draft spec.Draft, node *yaml.Node, path string) {
	for _, e := range dependent(d.entries(node, path)) {
		d.key(draft, e, path)
	}
}

// key reads one key of a section.
func (d *decoder) key(draft spec.Draft, e entry, path string) {
	f, ok := draft.Field(e.key.Value)
	if !ok {
		d.unknown(draft, e, path)
		return
	}
	at := join(path, f.Key)
	if !d.enter(e.value, at) {
		return
	}
	defer d.leave()
	value := follow(e.value)
	if value.Tag == "!!null" {
		d.fail(e.value, at, "no value is given: write %s, or leave the key out", sample(f))
		return
	}
	d.nodes[at] = e.value
	d.field(draft, f, value, at)
}

// field reads the value of a known key.
func (d *decoder) field(draft spec.Draft, f spec.Field, value *yaml.Node, path string) {
	switch f.Type {
	case spec.TypeSection:
		d.subsection(draft, f, value, path)
	case spec.TypeSections:
		d.list(draft, f, value, path)
	case spec.TypeNumbers, spec.TypeValues, spec.TypeTexts, spec.TypeComparisons:
		d.singles(draft, f, value, path)
	case spec.TypeStart:
		d.start(draft, f, value, path)
	case spec.TypeVariants:
		d.variants(value, path)
	default:
		d.single(draft, f, value, path)
	}
}

// subsection reads a mapping, or the one value that is short for it.
func (d *decoder) subsection(draft spec.Draft, f spec.Field, value *yaml.Node, path string) {
	sub, err := draft.Into(f.Key)
	switch {
	case err != nil:
		d.fail(value, path, "%v", err)
	case value.Kind == yaml.MappingNode:
		d.section(sub, value, path)
	case value.Kind == yaml.ScalarNode && f.Short != "":
		short, _ := sub.Field(f.Short)
		d.nodes[join(path, f.Short)] = d.nodes[path]
		if d.single(sub, short, value, join(path, f.Short)) {
			d.note("%s: %s is short for %s: {%s: %s}", f.Key, value.Value, f.Key, f.Short, value.Value)
		}
	default:
		d.fail(value, path, "it is a section with keys of its own, not a %s: write %s", shape(value), sample(f))
	}
}

// list reads a list of sections.
func (d *decoder) list(draft spec.Draft, f spec.Field, value *yaml.Node, path string) {
	elements := value.Content
	if f.Pair && value.Kind == yaml.SequenceNode && barePair(value) {
		d.onePair(draft, f, value, path)
		return
	}
	if f.Key == "work" && value.Kind == yaml.MappingNode {
		elements = []*yaml.Node{value}
		d.soleWork = true
		d.note("work: {...} is short for a list of one pattern")
	} else if value.Kind != yaml.SequenceNode {
		d.fail(value, path, "it is a list, not a %s: write %s", shape(value), sample(f))
		return
	}
	if len(elements) > maxItems && f.Key != "steps" {
		d.fail(value, path, "the list has %d elements; at most %d are read", len(elements), maxItems)
		return
	}
	for i, node := range elements {
		at := path + "[" + strconv.Itoa(i) + "]"
		if !d.enter(node, at) {
			return
		}
		element, err := draft.Append(f.Key)
		if err != nil {
			d.fail(node, at, "%v", err)
			return
		}
		d.nodes[at] = node
		d.element(element, f, follow(node), at)
		d.leave()
	}
}

// element reads one section of a list.
func (d *decoder) element(draft spec.Draft, f spec.Field, node *yaml.Node, path string) {
	branch := f.Key == spec.BranchesKey
	switch {
	case (branch || f.Key == "loops") && node.Kind == yaml.SequenceNode:
		d.bareParts(draft, node, path)
		return
	case branch:
		d.fail(node, path, "a branch is a list of parts in flow order, in brackets of its own, not a %s: write %s", shape(node), sample(f))
		return
	case f.Pair && node.Kind != yaml.MappingNode:
		d.pair(draft, f, node, path)
		return
	}
	if node.Kind != yaml.MappingNode {
		d.fail(node, path, "an element of %s is a section, not a %s: write %s", f.Key, shape(node), sampleElement(f))
		return
	}
	entries := d.entries(node, path)
	if len(draft.Section.Kinds) > 0 {
		draft, entries = d.kind(draft, node, entries, path)
	}
	for _, e := range dependent(entries) {
		d.key(draft, e, path)
	}
}

// kind finds out what a section is before its other keys are read. Where that
// fails, keys that some kind has are passed over, since they may be right.
func (d *decoder) kind(draft spec.Draft, node *yaml.Node, entries []entry, path string) (spec.Draft, []entry) {
	i := slices.IndexFunc(entries, func(e entry) bool { return e.key.Value == spec.KindKey })
	if element, ok := d.parallel(draft, entries, path, i >= 0); ok {
		return element, entries
	}
	part, known := draft, false
	if i >= 0 {
		value := follow(entries[i].value)
		of, err := draft.SetKind(value.Value)
		part, known = of, err == nil && value.Kind == yaml.ScalarNode
	}
	if !known {
		d.noKind(draft, node, entries, path)
	}
	return part, slices.DeleteFunc(entries, func(e entry) bool {
		key := e.key.Value
		return key == spec.BranchesKey || !known && (key == spec.KindKey || spec.Nearest(key, []string{spec.BranchesKey}) != "" || len(draft.Section.KindsWith(key)) > 0)
	})
}

func notOneOf(value *yaml.Node, f spec.Field) string {
	if value.Kind != yaml.ScalarNode || value.Tag == "!!null" {
		return "it takes one of the words " + strings.Join(f.One, ", ")
	}
	return f.NotOne(shortened(value.Value))
}

// singles reads a list of single values; one alone needs no list.
func (d *decoder) singles(draft spec.Draft, f spec.Field, value *yaml.Node, path string) {
	if value.Kind == yaml.ScalarNode {
		d.nodes[path+"[0]"] = d.nodes[path]
		if d.single(draft, listed(f, 0), value, path+"[0]") && f.Type != spec.TypeTexts && f.Type != spec.TypeComparisons {
			d.note("%s: %s is short for a list of one", f.Key, value.Value)
		}
		return
	}
	if value.Kind != yaml.SequenceNode {
		d.fail(value, path, "it is a list of values, not a %s: write %s", shape(value), sample(f))
		return
	}
	for i, node := range value.Content {
		at := path + "[" + strconv.Itoa(i) + "]"
		if !d.enter(node, at) {
			return
		}
		d.nodes[at] = node
		d.single(draft, listed(f, i), follow(node), at)
		d.leave()
	}
}

// listed describes an element of a list. Of numbers the whole list serves: its
// example shows how to write one.
func listed(f spec.Field, i int) spec.Field {
	if f.Type == spec.TypeNumbers {
		return f
	}
	return f.Element(i)
}

// single reads one value and reports whether that went well.
func (d *decoder) single(draft spec.Draft, f spec.Field, value *yaml.Node, path string) bool {
	switch f.Type {
	case spec.TypeComparisons:
		return d.comparison(draft, f, value, path)
	case spec.TypeFree:
		return false // the path beside it leads nowhere, which checks tell
	}
	v, ok := d.value(f, value, path)
	if !ok {
		return false
	}
	if err := draft.Put(f.Key, v); err != nil {
		d.fail(value, path, "%v", err)
		return false
	}
	return true
}

// value parses one scalar by its field.
func (d *decoder) value(f spec.Field, value *yaml.Node, path string) (spec.Value, bool) {
	if value.Kind != yaml.ScalarNode {
		d.fail(value, path, "it is one value, not a %s: write %s", shape(value), sample(f))
		return spec.Value{}, false
	}
	v, err := ParseValue(f, value.Value)
	if err != nil {
		d.fail(value, path, "%v", err)
		return spec.Value{}, false
	}
	return v, true
}
