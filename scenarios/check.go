package scenarios

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// check gives the mistakes found so far their canonical paths and adds what
// reading the logs and spec.Check find, each at the place in the text that it is
// about. A problem of something in which a value could not be read is left out:
// it would only repeat that. It returns the notes on the logs.
func (d *decoder) check(s *spec.Scenario, names map[string]string, readLogs func(skip func(path string) bool) ([]string, []logFault)) []string {
	var broken []string
	for _, e := range d.errs {
		e.Path = spec.Canonical(names, e.Path)
		broken = append(broken, e.Path)
	}
	if d.exhausted {
		return nil
	}
	at := d.byPath(names)
	notes, faults := readLogs(func(path string) bool { return touched(path, broken) })
	for _, f := range faults {
		d.fail(nearestNode(at, f.path), f.path, "%s", f.text)
		broken = append(broken, f.path)
	}
	for _, p := range spec.Check(s) {
		path := spec.Canonical(names, p.Path)
		if related(path, broken) {
			continue
		}
		node := nearestNode(at, p.Path)
		text := ""
		if node.Kind == yaml.ScalarNode {
			text = node.Value
		}
		if p.Field.Key == "name" {
			path = p.Path // the name is in doubt, the place is not
		}
		d.fail(node, path, "%s", describe(p, text))
	}
	return notes
}

// byPath finds nodes by structural and by canonical path. Where a name is
// given twice, the first thing in the file has it.
func (d *decoder) byPath(names map[string]string) map[string]*yaml.Node {
	paths := slices.SortedFunc(maps.Keys(d.nodes), func(a, b string) int {
		x, y := d.nodes[a], d.nodes[b]
		return cmp.Or(cmp.Compare(x.Line, y.Line), cmp.Compare(x.Column, y.Column), cmp.Compare(a, b))
	})
	at := make(map[string]*yaml.Node, 2*len(paths))
	for _, path := range paths {
		at[path] = d.nodes[path]
		if canonical := spec.Canonical(names, path); at[canonical] == nil {
			at[canonical] = d.nodes[path]
		}
	}
	return at
}

// related reports whether the path equals or contains one of the broken ones.
func related(path string, broken []string) bool {
	return slices.ContainsFunc(broken, func(b string) bool { return b == path || within(b, path) })
}

// touched reports whether the path equals, contains or lies in one of the broken
// ones.
func touched(path string, broken []string) bool {
	return related(path, broken) || slices.ContainsFunc(broken, func(b string) bool { return within(path, b) })
}

// within reports whether path lies under the section or list at outer.
func within(path, outer string) bool {
	return outer == "" || strings.HasPrefix(path, outer+".") || strings.HasPrefix(path, outer+"[")
}

// nearestNode returns the node at a path, or of what encloses it.
func nearestNode(at map[string]*yaml.Node, path string) *yaml.Node {
	for ; path != ""; path = outer(path) {
		if node, ok := at[path]; ok {
			return node
		}
	}
	return at[""]
}

// describe words a problem for the author of a file: ranges in trade units.
func describe(p *spec.Problem, written string) string {
	if !p.Range {
		return p.Text
	}
	f := p.Field
	if written == "" {
		written = FormatValue(f, p.Given)
	}
	return fmt.Sprintf("%s is outside the allowed range of %s to %s (for example %s)",
		shortened(written), quantity.Format(f.Min, f.Dimension), quantity.Format(f.Max, f.Dimension), f.Example)
}
