package scenarios

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"soakledger/sim/spec"
)

// soleLoop reads loop:, which is short for one entry of loops:, as a list of
// parts or as a section with a name and parts.
func (d *decoder) soleLoop(draft spec.Draft, e entry) {
	const path = "loops[0]"
	if !d.enter(e.value, "loop") {
		return
	}
	defer d.leave()
	value := follow(e.value)
	if value.Kind != yaml.SequenceNode && value.Kind != yaml.MappingNode {
		d.fail(e.value, "loop", "it is a list of parts in flow order: write loop: [{part: tube, bore: 10 mm, length: 450 mm}]")
		return
	}
	f, _ := draft.Field("loops")
	loop, err := draft.Append("loops")
	if err != nil {
		d.fail(e.value, "loop", "%v", err)
		return
	}
	d.nodes[path] = e.value
	d.note("loop: is short for one entry of loops:")
	d.element(loop, f, value, path)
}

// bareParts reads a section that is written as nothing but its list of parts:
// an entry of loops:, or a branch.
func (d *decoder) bareParts(draft spec.Draft, node *yaml.Node, path string) {
	parts, _ := draft.Field("parts")
	at := join(path, "parts")
	d.nodes[at] = node
	d.list(draft, parts, node, at)
}

// start reads a rule for all nodes, or temperatures of single ones.
func (d *decoder) start(draft spec.Draft, f spec.Field, value *yaml.Node, path string) {
	if value.Kind == yaml.ScalarNode {
		if !slices.Contains(f.One, value.Value) {
			d.fail(value, path, "%s, or temperatures of single nodes: start: {cpu.die: 40 degC}", notOneOf(value, f))
			return
		}
		d.single(draft, f, value, path)
		return
	}
	if value.Kind != yaml.MappingNode {
		d.fail(value, path, "it is a word or a section, not a %s: write start: level or start: {cpu.die: 40 degC}", shape(value))
		return
	}
	for _, e := range d.entries(value, path) {
		at := join(path, e.key.Value)
		if strings.TrimSpace(e.key.Value) == "" {
			d.fail(e.key, path, "a node has a name: write start: {cpu.die: 40 degC}")
			continue
		}
		node, err := d.scenario.FieldAt(at)
		if err != nil {
			d.fail(e.key, at, "%v", err)
			continue
		}
		d.nodes[at] = e.value
		v, ok := d.value(node, follow(e.value), at)
		if !ok {
			continue
		}
		if err := draft.PutStart(e.key.Value, v.Number); err != nil {
			d.fail(e.value, at, "%v", err)
		}
	}
}

// unknown reports a key that the section does not have.
func (d *decoder) unknown(draft spec.Draft, e entry, path string) {
	key := e.key.Value
	at := join(path, shortened(key))
	if e.value.Tag == "!!null" && key != "" && key[0] >= '0' && key[0] <= '9' {
		d.fail(e.key, at, "a comma separates keys here: decimals are written with a point (9.5 mm), thousands without anything (1200 W)")
		return
	}
	if ways := inSections(draft, key); ways != nil {
		d.fail(e.key, at, "there is no such key here, but in a section: write for example %s", strings.Join(ways, " or "))
		return
	}
	keys := draft.Keys()
	if path == "" {
		keys = append(keys, "loop")
	}
	if near := spec.Nearest(key, keys); near != "" {
		d.fail(e.key, at, "there is no such key; did you mean %s?", near)
		return
	}
	if text := draft.NotItsKey(key); text != "" && draft.Parallel() {
		d.fail(e.key, at, "%s", text)
		return
	} else if text != "" {
		d.fail(e.key, at, "%s: its keys are %s", text, strings.Join(keys, ", "))
		return
	}
	d.fail(e.key, at, "there is no such key; allowed here: %s", strings.Join(keys, ", "))
}

// inSections lists the ways to state a key that the sections of this one have.
func inSections(draft spec.Draft, key string) []string {
	var ways []string
	for _, k := range draft.Keys() {
		if f, ok := draft.Field(k); ok && f.Type == spec.TypeSection {
			ways = append(ways, inSection(f, key)...)
		}
	}
	return ways
}

func inSection(f spec.Field, key string) []string {
	var ways []string
	for _, inner := range f.Section.Fields {
		switch {
		case inner.Key == key:
			ways = append(ways, f.Key+": {"+sample(inner)+"}")
		case inner.Type == spec.TypeSection:
			for _, way := range inSection(inner, key) {
				ways = append(ways, f.Key+": {"+way+"}")
			}
		}
	}
	return ways
}

// shortened keeps a monstrous word out of the messages.
func shortened(word string) string {
	const most = 60
	if runes := []rune(word); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return word
}
