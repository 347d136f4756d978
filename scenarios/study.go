package scenarios

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"soakledger/sim/spec"
)

// aboutTheRest reads variants and then the study: what their keys and values
// mean follows from the rest of the file, wherever they stand in it.
func (d *decoder) aboutTheRest(s *spec.Scenario) {
	for _, key := range []string{"variants", "study"} {
		for _, e := range d.later {
			if e.key.Value == key {
				d.scenario = s
				d.key(s.Draft(), e, "")
			}
		}
	}
}

// dependent puts the keys of a study in an order in which each can be read: path
// before the values that it leads to, and conditions behind the axes whose
// columns they may name.
func dependent(entries []entry) []entry {
	rank := map[string]int{"path": -1, "keep": 1}
	slices.SortStableFunc(entries, func(a, b entry) int { return rank[a.key.Value] - rank[b.key.Value] })
	return entries
}

// variants reads the map of names to lists of variants.
func (d *decoder) variants(value *yaml.Node, path string) {
	if value.Kind != yaml.MappingNode {
		d.fail(value, path, "it is a section whose keys are names of parts, not a %s: write %s", shape(value), variantsSample())
		return
	}
	for _, e := range d.entries(value, path) {
		of := e.key.Value
		at := join(path, of)
		if !d.enter(e.value, at) {
			return
		}
		d.nodes[at] = e.value
		d.variantsOf(of, follow(e.value), at)
		d.leave()
	}
}

func variantsSample() string {
	f, _ := spec.Root().Field("variants")
	return sample(f)
}

// variantsOf reads the variants of one thing.
func (d *decoder) variantsOf(of string, value *yaml.Node, path string) {
	switch {
	case value.Kind != yaml.SequenceNode:
		d.fail(value, path, "it is a list of variants, each with a name, not a %s: write %s", shape(value), variantsSample())
		return
	case len(value.Content) > maxItems:
		d.fail(value, path, "the list has %d elements; at most %d are read", len(value.Content), maxItems)
		return
	case len(value.Content) == 0:
		d.fail(value, path, "it needs variants: write %s", variantsSample())
		return
	}
	for i, node := range value.Content {
		at := path + "[" + strconv.Itoa(i) + "]"
		if !d.enter(node, at) {
			return
		}
		d.nodes[at] = node
		if !d.variant(of, follow(node), at) {
			d.leave()
			return
		}
		d.leave()
	}
}

// variant reads one variant. It is false where there can be none of the thing.
func (d *decoder) variant(of string, node *yaml.Node, path string) bool {
	if node.Kind != yaml.MappingNode {
		d.fail(node, path, "a variant is a section with a name, not a %s: write %s", shape(node), variantsSample())
		return true
	}
	entries := d.entries(node, path)
	name := ""
	for _, e := range entries {
		value := follow(e.value)
		if e.key.Value != "name" {
			continue
		}
		d.nodes[join(path, "name")] = e.value
		if value.Kind != yaml.ScalarNode || value.Tag == "!!null" {
			d.fail(e.value, join(path, "name"), "a name is one word: write for example name: slim")
			continue
		}
		name = value.Value
	}
	draft, err := d.scenario.AppendVariant(of, name)
	if err != nil {
		d.scenario.Variants = append(d.scenario.Variants, spec.Variants{Of: of}) // checks tell what is wrong
		return false
	}
	for _, e := range entries {
		switch e.key.Value {
		case "name":
		case spec.KindKey:
			d.variantKind(draft, of, e, path)
		default:
			d.key(draft, e, path)
		}
	}
	return true
}

// variantKind reads the kind of a variant, which goes without saying.
func (d *decoder) variantKind(draft spec.Draft, of string, e entry, path string) {
	switch kind := draft.Kind(); {
	case kind == "":
		d.unknown(draft, e, path)
	case follow(e.value).Value != kind:
		d.fail(e.value, join(path, spec.KindKey), "%s is a %s, and so are its variants: leave part out", of, kind)
	}
}

// comparison reads a condition of a study.
func (d *decoder) comparison(draft spec.Draft, f spec.Field, value *yaml.Node, path string) bool {
	if value.Kind != yaml.ScalarNode {
		d.fail(value, path, "it is one condition, not a %s: write %s", shape(value), sample(f))
		return false
	}
	c, err := parseComparison(d.scenario, value.Value)
	if err == nil {
		err = draft.PutComparison(c)
	}
	if err != nil {
		d.fail(value, path, "%v", err)
		return false
	}
	return true
}

// parseComparison reads a condition: a path or the column of an axis, a sign, and
// a value as it would be stated there, or another path. The sides may be swapped.
func parseComparison(s *spec.Scenario, text string) (spec.Comparison, error) {
	left, is, right, err := spec.SplitComparison(text)
	if err != nil {
		return spec.Comparison{}, err
	}
	c := spec.Comparison{Text: left + " " + is + " " + right, Is: is}
	f, leftErr := s.Compared(left)
	g, rightErr := s.Compared(right)
	switch {
	case leftErr == nil && rightErr == nil:
		c.Left.Path, c.Right.Path = left, right
	case leftErr == nil:
		c.Left.Path = left
		c.Right.Value, err = otherSide(f, right, rightErr)
	case rightErr == nil:
		c.Right.Path = right
		c.Left.Value, err = otherSide(g, left, leftErr)
	default:
		err = leftErr // a path stands on the left more often
		var path *spec.PathError
		if errors.As(err, &path) && path.Nearest == "" && !strings.Contains(left, ".") {
			err = fmt.Errorf("%w; conditions are on what is stated, for example front.fans.speed <= 1300 rpm, and of results rows are chosen from the table", err)
		}
	}
	return c, err
}

// otherSide reads the side of a condition that is no path, for which pathErr
// says why. Where it resembles a path that is what is told.
func otherSide(f spec.Field, text string, pathErr error) (spec.Value, error) {
	v, err := ParseValue(f, text)
	var path *spec.PathError
	if err != nil && errors.As(pathErr, &path) && path.Nearest != "" {
		return v, pathErr
	}
	return v, err
}
