package scenarios

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"strings"

	"go.yaml.in/yaml/v4"
)

// WithValue returns the document with one value changed in its text: comments,
// order and the spelling of everything else stay. A value that the file does
// not state yet is added beside its neighbours. The text is that of a file,
// "18.4 W/K" (quantity.Exact writes numbers without loss). What was
// overridden by Set is not written: WithValue starts from the source.
//
// The result is read again and must state exactly what was asked for;
// otherwise, as where an alias shares the value with another part, the error
// says so and nothing is changed.
func (doc *Document) WithValue(path, text string) (*Document, error) {
	base, err := readShelved(doc.files, doc.Name, doc.Source, maps.Clone(doc.logs))
	if err != nil {
		return nil, fmt.Errorf("writing %s: %w", path, err)
	}
	wanted, path, failure := setOne(base.Scenario, path+"="+text)
	if failure != nil {
		return nil, fmt.Errorf("writing %s: %s", path, failure.Text)
	}
	// What the new text says of its logs is found when it is read.
	maps.Clone(doc.logs).readLogs(wanted, doc.files, func(string) bool { return false })
	place := base.structural(path)
	src, err := base.rewrite(place, text)
	if err != nil {
		return nil, fmt.Errorf("writing %s: %w", path, err)
	}
	written, err := readShelved(doc.files, doc.Name, src, maps.Clone(doc.logs))
	if err != nil {
		return nil, fmt.Errorf("writing %s: %w", path, err)
	}
	if !reflect.DeepEqual(written.Scenario, wanted) {
		return nil, fmt.Errorf("writing %s: its place in the text is shared with other values (an alias, a merge key or a short form): state it there by hand", path)
	}
	return written, nil
}

// rewrite puts the text of a value at its place, where one is stated already
// or not.
func (doc *Document) rewrite(place, text string) ([]byte, error) {
	node := doc.nodes[place]
	if node == nil {
		return doc.add(place, doc.quoted(text))
	}
	start, end, err := extent(doc.Source, node)
	if err != nil {
		return nil, err
	}
	if node.Style&yaml.DoubleQuotedStyle != 0 {
		text = jsonText(text)
	} else {
		text = doc.quoted(text)
	}
	return splice(doc.Source, start, end, text), nil
}

// add states a key in its section, and the section in its own if need be.
func (doc *Document) add(place, value string) ([]byte, error) {
	outer, key := lastKey(place)
	item := doc.word(key) + ": " + value
	switch node := doc.nodes[outer]; {
	case node != nil:
		return doc.insert(node, outer, item)
	case outer == "":
		return nil, fmt.Errorf("it has no place in the file yet: state it there by hand")
	}
	return doc.add(outer, "{"+item+"}")
}

// lastKey splits a path before its last key. A node under start is one key.
func lastKey(place string) (outer, key string) {
	if node, ok := strings.CutPrefix(place, "start."); ok {
		return "start", node
	}
	cut := strings.LastIndexByte(place, '.')
	return place[:max(cut, 0)], place[cut+1:]
}

// structural replaces the name with which a path begins by the place of the
// thing in the file.
func (doc *Document) structural(path string) string {
	word, rest, _ := strings.Cut(path, ".")
	for place, name := range doc.names {
		if name == word {
			return join(place, rest)
		}
	}
	return path
}

// insert adds an item, key and value, to the section at node.
func (doc *Document) insert(node *yaml.Node, path, item string) ([]byte, error) {
	switch {
	case node.Kind == yaml.ScalarNode:
		return doc.unfold(node, path, item)
	case node.Kind != yaml.MappingNode:
		return nil, fmt.Errorf("its section is an alias or a list: state it there by hand")
	case len(node.Content) == 0:
		start := offset(doc.Source, node.Line, node.Column)
		return splice(doc.Source, start+1, start+1, item), nil
	}
	first := node.Content[0]
	end := doc.lastScalar(node)
	start := offset(doc.Source, first.Line, first.Column)
	indent := newline(doc.Source) + strings.Repeat(" ", first.Column-1)
	flow := node.Style&yaml.FlowStyle != 0
	switch {
	case flow && end >= 0:
		return splice(doc.Source, end, end, ", "+item), nil
	case flow:
		return splice(doc.Source, start, start, item+", "), nil
	case end >= 0:
		end = lineEnd(doc.Source, end)
		return splice(doc.Source, end, end, indent+item), nil
	}
	return splice(doc.Source, start, start, item+indent), nil
}

// unfold turns the short form of a section into the long one: the value that
// stood for the section keeps its spelling.
func (doc *Document) unfold(node *yaml.Node, path, item string) ([]byte, error) {
	f, err := doc.Scenario.FieldAt(path)
	if err != nil || f.Short == "" {
		return nil, fmt.Errorf("%s is a single value in the file: state its keys by hand", path)
	}
	start, end, err := extent(doc.Source, node)
	if err != nil {
		return nil, err
	}
	long := "{" + doc.word(f.Short) + ": " + string(doc.Source[start:end]) + ", " + item + "}"
	return splice(doc.Source, start, end, long), nil
}

// lastScalar returns the offset behind the last value of a section that is a
// scalar written in one line, or -1.
func (doc *Document) lastScalar(node *yaml.Node) int {
	for i := len(node.Content) - 1; i > 0; i -= 2 {
		if node.Content[i].Kind != yaml.ScalarNode {
			continue
		}
		if _, end, err := extent(doc.Source, node.Content[i]); err == nil {
			return end
		}
	}
	return -1
}

// json reports whether the source is JSON rather than YAML at large.
func (doc *Document) json() bool {
	root := doc.nodes[""]
	return root.Style&yaml.FlowStyle != 0 && len(root.Content) > 0 && root.Content[0].Style&yaml.DoubleQuotedStyle != 0
}

// word writes a key.
func (doc *Document) word(key string) string {
	if doc.json() {
		return jsonText(key)
	}
	return key
}

// quoted writes a value, in quotes where YAML would take it for something
// else. JSON has quotes around everything but numbers.
func (doc *Document) quoted(text string) string {
	if text != "" && strings.ContainsAny(text[:1], "-0123456789") && json.Valid([]byte(text)) {
		return text
	}
	if text == "" || doc.json() || strings.ContainsAny(text, ":#,[]{}") || strings.ContainsAny(text[:1], "&*!|>'\"%@`?- ") {
		return jsonText(text)
	}
	return text
}

// jsonText quotes as JSON does, which YAML reads alike.
func jsonText(text string) string {
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(text); err != nil {
		return `""` // strings always encode
	}
	return strings.TrimSuffix(b.String(), "\n")
}
