package spec

import (
	"fmt"
	"strconv"
	"strings"
)

// item is a named thing of a scenario: a chip, loop, part, lump, link, work,
// fault or fan of the case.
type item struct {
	word  string // chip, loop, a part's kind, lump, link, work, fault or fan
	path  string // structural: chips[0], loops[0].parts[1]
	name  *string
	draft Draft
}

// items lists the things that have names in the order of the types: chips,
// loops with their parts, those of branches too, lumps, links, work, faults,
// and the fans of the case.
func (s *Scenario) items() []item { return appendItems(nil, s.Draft(), "") }

// appendItems finds every list of sections that have a name.
func appendItems(all []item, d Draft, prefix string) []item {
	for f, list := range d.lists() {
		for i := range list.Len() {
			e := d.open(f.Section, list.Index(i))
			path := prefix + f.Key + "[" + strconv.Itoa(i) + "]"
			if n := f.Section.nameIndex; n >= 0 && !e.Parallel() {
				all = append(all, item{word: word(e), path: path, draft: e, name: e.v.Field(n).Addr().Interface().(*string)})
			}
			all = appendItems(all, e, path+".")
		}
	}
	for f, e := range d.sections() {
		all = appendItems(all, e, prefix+f.Key+".")
	}
	return all
}

// word says what a section is, in the way made names begin.
func word(d Draft) string {
	if d.kind != "" {
		return d.kind
	}
	return strings.ToLower(d.Section.Name)
}

// named returns the thing that bears the name, searching below d.
func (d Draft) named(name string) (Draft, bool) {
	for f, list := range d.lists() {
		for j := range list.Len() {
			e := d.open(f.Section, list.Index(j))
			if f.Section.nameIndex >= 0 && !e.Parallel() && e.v.Field(f.Section.nameIndex).String() == name {
				return e, true
			}
			if found, ok := e.named(name); ok {
				return found, true
			}
		}
	}
	for _, e := range d.sections() {
		if found, ok := e.named(name); ok {
			return found, true
		}
	}
	return Draft{}, false
}

// Named returns a copy in which every chip, loop, part, lump, link, work, fault
// and fan of the case has a name. A thing without one is called after its kind and its position
// among the things of that kind, tube_1 for the first tube; where a stated
// name is already that, the next free number is taken. Position rather than a
// count of the unnamed, so that naming one thing leaves the others' names.
func (s *Scenario) Named() *Scenario {
	c := s.Clone()
	taken := map[string]bool{}
	for _, it := range c.items() {
		taken[*it.name] = true
	}
	position := map[string]int{}
	for _, it := range c.items() {
		position[it.word]++
		if *it.name != "" {
			continue
		}
		n := position[it.word]
		for taken[madeName(it.word, n)] {
			n++
		}
		*it.name = madeName(it.word, n)
		taken[*it.name] = true
	}
	return c
}

func madeName(word string, n int) string { return fmt.Sprintf("%s_%d", word, n) }

// Names returns the name of every named thing by its structural path, which is
// chips[0] or loops[0].parts[2]. Things without a name are left out.
func (s *Scenario) Names() map[string]string {
	names := map[string]string{}
	for _, it := range s.items() {
		if *it.name != "" {
			names[it.path] = *it.name
		}
	}
	return names
}

// Canonical replaces the structural beginning of a path by the name of the
// thing it leads to: loops[0].parts[2].bore becomes tube_1.bore. The names are
// those of Names; a path without a known beginning stays as it is.
func Canonical(names map[string]string, path string) string {
	for end := len(path); end > 0; end = strings.LastIndexByte(path[:end], '.') {
		if name, ok := names[path[:end]]; ok {
			return name + path[end:]
		}
	}
	return path
}
