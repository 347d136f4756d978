package scenarios

import (
	"fmt"
	"slices"

	"go.yaml.in/yaml/v4"

	"soakledger/sim/spec"
)

// barePair reports whether a list of points is written as one point without
// the brackets around it.
func barePair(value *yaml.Node) bool {
	return slices.ContainsFunc(value.Content, func(n *yaml.Node) bool { return follow(n).Kind == yaml.ScalarNode })
}

// onePair reads a list of points that is written as its only point.
func (d *decoder) onePair(draft spec.Draft, f spec.Field, value *yaml.Node, path string) {
	at := path + "[0]"
	element, err := draft.Append(f.Key)
	if err != nil {
		d.fail(value, at, "%v", err)
		return
	}
	d.nodes[at] = value
	if d.pair(element, f, value, at) {
		text := "[" + follow(value.Content[0]).Value + ", " + follow(value.Content[1]).Value + "]"
		d.note("%s: %s is short for %s: [%s]", f.Key, text, f.Key, text)
	}
}

// pair reads a point written as a list of its two values, and reports whether
// that went well. One mistake a point is enough.
func (d *decoder) pair(draft spec.Draft, f spec.Field, node *yaml.Node, path string) bool {
	x, y := f.Section.Fields[0], f.Section.Fields[1]
	if node.Kind != yaml.SequenceNode || len(node.Content) != 2 {
		d.fail(node, path, "a point is a pair of %s and %s%s: write %s", x.Key, y.Key, counted(node), pairSample(f))
		return false
	}
	for i, field := range []spec.Field{x, y} {
		value, at := node.Content[i], join(path, field.Key)
		if !d.enter(value, at) {
			return false
		}
		good := d.coordinate(draft, f, field, value, at)
		d.leave()
		if !good {
			return false
		}
	}
	return true
}

// coordinate reads one value of a pair.
func (d *decoder) coordinate(draft spec.Draft, f, field spec.Field, value *yaml.Node, path string) bool {
	d.nodes[path] = value
	one := follow(value)
	if one.Kind != yaml.ScalarNode || one.Tag == "!!null" {
		d.fail(value, path, "a point is a pair of two single values: write %s", pairSample(f))
		return false
	}
	if swapped(f, field, one.Value) {
		d.fail(value, path, "%s is no %s; a point is written [%s, %s], for example %s",
			shortened(one.Value), field.Key, f.Section.Fields[0].Key, f.Section.Fields[1].Key, pairSample(f))
		return false
	}
	return d.single(draft, field, one, path)
}

// swapped reports whether a text is no value of its own field but one of the
// other field of the pair.
func swapped(f, field spec.Field, text string) bool {
	if _, err := ParseValue(field, text); err == nil {
		return false
	}
	for _, other := range f.Section.Fields {
		if _, err := ParseValue(other, text); err == nil {
			return true
		}
	}
	return false
}

// counted says how many values a point was given, where it is a list.
func counted(node *yaml.Node) string {
	switch n := len(node.Content); {
	case node.Kind != yaml.SequenceNode:
		return ", not a " + shape(node)
	case n == 1:
		return ", not one value"
	case n > 2:
		return fmt.Sprintf(", not %d values (a decimal comma would split one)", n)
	}
	return ""
}

// pairSample writes a list of points as its example shows it.
func pairSample(f spec.Field) string { return f.Key + ": " + f.Example }
