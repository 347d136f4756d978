package scenarios

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Limits of what is read at all. They lie far beyond any machine and keep a
// hostile file from costing time or memory.
const (
	maxBytes = 4 << 20
	maxDepth = 24      // of nested lists and sections, aliases followed
	maxNodes = 300_000 // values visited, aliases followed
	maxItems = 2_000   // chips, loops, parts, lumps, links, patterns in one list
)

const firstScenario = "for example\n" +
	"  ambient: 22 degC\n  coolant: water\n  chips: [{power: 160 W}]\n" +
	"  loop: [{part: pump, flow: 4 L/min}, {part: block}, {part: radiator, conductance: 18 W/K}]"

// parse reads the syntax tree of the only document in src.
func parse(name string, src []byte) (*yaml.Node, Errors) {
	fail := func(line, column int, format string, args ...any) (*yaml.Node, Errors) {
		return nil, Errors{{File: name, Line: line, Column: column, Text: fmt.Sprintf(format, args...)}}
	}
	switch {
	case len(src) > maxBytes:
		return fail(0, 0, "the file has %d bytes; a scenario has at most %d. Is it a log? Then name it where a log is asked for", len(src), maxBytes)
	case !utf8.Valid(src):
		return fail(0, 0, "the file is not UTF-8 text: save it as UTF-8")
	}
	var first, second yaml.Node
	decoder := yaml.NewDecoder(bytes.NewReader(src))
	if err := decoder.Decode(&first); errors.Is(err, io.EOF) {
		return fail(0, 0, "the file states nothing: write %s", firstScenario)
	} else if err != nil {
		line, column, text := syntaxError(err)
		return fail(line, column, "%s", text)
	}
	if err := decoder.Decode(&second); err == nil {
		return fail(second.Line, second.Column, "a second document begins here: a file holds one scenario, so remove the line ---")
	} else if !errors.Is(err, io.EOF) {
		line, column, text := syntaxError(err)
		return fail(line, column, "%s", text)
	}
	return first.Content[0], nil
}

// syntaxError puts the parser's message into the reader's words.
func syntaxError(err error) (line, column int, text string) {
	var e *yaml.LoadError
	if !errors.As(err, &e) {
		return 0, 0, "not YAML: " + err.Error()
	}
	text = "not YAML: " + e.Message + hintFor(e.Message)
	if begin := e.ContextMark.Line; begin > 0 && begin < e.Mark.Line {
		text += fmt.Sprintf(" (it begins in line %d)", begin)
	}
	return e.Mark.Line, e.Mark.Column, text
}

// hintFor explains the parser's commonest messages.
func hintFor(message string) string {
	hints := map[string]string{
		"found character that cannot start any token":         ": indent with blanks, not with tabs, and quote a value that begins with a special character",
		"mapping values are not allowed in this context":      `: a value with ": " in it is written in quotes, and keys of one section start in the same column`,
		"did not find expected ',' or ']'":                    ": a list [ ... ] is not closed, or a comma is missing",
		"did not find expected ',' or '}'":                    ": a section { ... } is not closed, or a comma is missing",
		"did not find expected key":                           ": the keys of one section start in the same column",
		"did not find expected '-' indicator":                 ": the dashes of one list start in the same column",
		"could not find expected ':'":                         ": a key is followed by a colon and a blank, bore: 10 mm",
		"found unexpected end of stream":                      ": a quote is not closed",
		"did not find expected <document start>":              ": the file goes on after the scenario has ended",
		"found a tab character that violates indentation":     ": indent with blanks, not with tabs",
		"found a tab character where an indentation space is": ": indent with blanks, not with tabs",
	}
	if strings.HasPrefix(message, "unknown anchor") {
		return ": an alias *name needs an anchor &name before it; a value that begins with * is quoted"
	}
	return hints[message]
}

// entry is one key of a section with its value.
type entry struct {
	key   *yaml.Node
	value *yaml.Node
}

// follow resolves aliases; the parser has made sure that they exist.
func follow(node *yaml.Node) *yaml.Node {
	for range maxDepth {
		if node.Kind != yaml.AliasNode || node.Alias == nil {
			return node
		}
		node = node.Alias
	}
	return node
}

// entries lists the keys of a mapping, followed by those that a merge key (<<)
// brings and that are not stated here. Keys given twice are reported.
func (d *decoder) entries(node *yaml.Node, path string) []entry {
	var own []entry
	var merged []*yaml.Node
	seen := map[string]*yaml.Node{}
	d.visits += len(node.Content) / 2 // merging the same keys again and again counts
	for i := 0; i+1 < len(node.Content); i += 2 {
		key, value := follow(node.Content[i]), node.Content[i+1]
		switch {
		case key.Tag == "!!merge":
			merged = append(merged, value)
		case key.Kind != yaml.ScalarNode:
			d.fail(node.Content[i], path, "a key is one word, not a list or section")
		case seen[key.Value] != nil:
			d.fail(node.Content[i], join(path, key.Value), "the key is given twice, first in line %d: keep one of them", seen[key.Value].Line)
		default:
			seen[key.Value] = key
			own = append(own, entry{key, value})
		}
	}
	for _, m := range merged {
		own = d.merge(own, seen, m, path)
	}
	return own
}

// merge adds the entries of a merge key's value: a mapping or a list of them.
func (d *decoder) merge(own []entry, seen map[string]*yaml.Node, value *yaml.Node, path string) []entry {
	source := follow(value)
	if !d.enter(value, path) {
		return own
	}
	defer d.leave()
	if source.Kind == yaml.SequenceNode {
		for _, m := range source.Content {
			own = d.merge(own, seen, m, path)
		}
		return own
	}
	if source.Kind != yaml.MappingNode {
		d.fail(value, path, "<< takes an alias of a section, << : *name")
		return own
	}
	for _, e := range d.entries(source, path) {
		if seen[e.key.Value] == nil {
			seen[e.key.Value] = e.key
			own = append(own, e)
		}
	}
	return own
}

// enter counts a visit; it is false where the file nests too deep or unfolds
// into too much, which is reported once.
func (d *decoder) enter(node *yaml.Node, path string) bool {
	d.depth++
	d.visits++
	if d.depth <= maxDepth && d.visits <= maxNodes {
		return true
	}
	d.depth--
	if !d.exhausted {
		d.exhausted = true
		if d.visits > maxNodes {
			d.fail(node, path, "the file unfolds into more than %d values: use fewer aliases or shorter lists", maxNodes)
		} else {
			d.fail(node, path, "nested more than %d deep: aliases may not contain themselves", maxDepth)
		}
	}
	return false
}

func (d *decoder) leave() { d.depth-- }
