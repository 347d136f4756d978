package scenarios

import (
	"fmt"
	"io/fs"
	"slices"

	"go.yaml.in/yaml/v4"

	"soakledger/sim/spec"
)

// Document is a scenario with the text it was read from.
type Document struct {
	Name      string              // of the file, for messages
	Source    []byte              // as read
	Scenario  *spec.Scenario      // short forms expanded, every thing named
	Positions map[string]Position // by canonical path, of everything stated
	ReadAs    []string            // each short form with what it was read as, and what was found in logs

	nodes      map[string]*yaml.Node // by structural path
	names      map[string]string     // structural path of a thing to its name
	files      fs.FS                 // what lies beside the file; nil for a text by itself
	logs       library               // those that were read
	shortForms []string              // ReadAs without the logs
}

// Position is where a value stands in the text.
type Position struct {
	Line, Column int    // from 1, columns in characters
	Text         string // a single value as its author wrote it; empty for sections
}

// Read reads the text of a scenario. It fills in no defaults: what is not
// stated stays unset. The error, if any, is of type Errors and lists every
// mistake; name only serves its messages. A text by itself has no logs: naming
// one is a mistake, see ReadFS.
func Read(name string, src []byte) (*Document, error) { return ReadFS(nil, name, src) }

// ReadFS reads a scenario as Read does, and the logs that it names from files,
// which hold what lies beside it and in folders there. A scenario in a folder of
// the disk is read with os.DirFS of that folder.
func ReadFS(files fs.FS, name string, src []byte) (*Document, error) {
	return readShelved(files, name, src, library{})
}

// readShelved reads a scenario whose logs may be known already.
func readShelved(files fs.FS, name string, src []byte, logs library) (*Document, error) {
	node, errs := parse(name, src)
	if len(errs) > 0 {
		return nil, errs
	}
	d := newDecoder(name)
	d.root(node)
	s := d.complete()
	names := s.Names()
	notes := d.check(s, names, func(skip func(string) bool) ([]string, []logFault) { return logs.readLogs(s, files, skip) })
	if len(d.errs) > 0 {
		return nil, d.errs.sorted()
	}
	return &Document{
		Name: name, Source: src, Scenario: s, ReadAs: slices.Concat(d.readAs, notes),
		Positions: positions(d.nodes, names), nodes: d.nodes, names: names,
		files: files, logs: logs, shortForms: d.readAs,
	}, nil
}

// positions turns the nodes found into positions by canonical path.
func positions(nodes map[string]*yaml.Node, names map[string]string) map[string]Position {
	all := make(map[string]Position, len(nodes))
	for path, node := range nodes {
		p := Position{Line: node.Line, Column: node.Column}
		if node.Kind == yaml.ScalarNode {
			p.Text = node.Value
		}
		all[spec.Canonical(names, path)] = p
	}
	return all
}

// complete names everything and carries out the short forms that need names:
// a lone block cools the lone chip, and every chip without a pattern follows a
// single one that stands under work without a list. Then it reads the keys that
// are about the rest of the file.
func (d *decoder) complete() *spec.Scenario {
	s := d.scenario.Named()
	if block := loneBlock(s); block != nil && len(s.Chips) == 1 && block.Cools == "" {
		block.Cools = s.Chips[0].Name
		d.note("the only block cools the only chip: cools: %s", block.Cools)
	}
	if d.soleWork && len(s.Work) == 1 {
		for i := range s.Chips {
			if s.Chips[i].Work == "" {
				s.Chips[i].Work = s.Work[0].Name
				d.note("one pattern for all: %s.work: %s", s.Chips[i].Name, s.Work[0].Name)
			}
		}
	}
	d.aboutTheRest(s)
	return s
}

// loneBlock returns the only block of a scenario, or nil.
func loneBlock(s *spec.Scenario) *spec.Block {
	var found *spec.Block
	for p := range s.Parts() {
		if p.Block == nil {
			continue
		}
		if found != nil {
			return nil
		}
		found = p.Block
	}
	return found
}

func (d *decoder) note(format string, args ...any) {
	d.readAs = append(d.readAs, fmt.Sprintf(format, args...))
}
