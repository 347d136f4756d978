package spec

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// references checks that everything named exists and is of the right kind.
func (c *checker) references() {
	for f, v := range c.s.allStated() {
		key := cmp.Or(f.aim, f.Key)
		switch {
		case v.Type == TypePower && v.Power.Of != "":
			c.refer(f, v, v.Power.Of, "a chip, part or lump", c.hasPower)
		case v.Type != TypeText:
		case key == "work" || key == "mean_of":
			c.refer(f, v, v.Text, "a work pattern", func(kind string) bool { return kind == "work" })
		case key == "cools":
			c.refer(f, v, v.Text, "a chip", func(kind string) bool { return kind == "chip" })
		}
	}
	c.linkEnds()
	c.startNodes()
	if name := c.s.Figures.Of; root.isOptional(name) {
		c.node("figures.of", name)
	}
	c.oneBlockPerChip()
}

// refer checks one reference to a name of an accepted kind.
func (c *checker) refer(f Field, v Value, name, wanted string, accept func(kind string) bool) {
	kind, known := c.kinds[name]
	if known && accept(kind) || c.full() {
		return
	}
	c.report(&Problem{Path: f.Path, Field: f, Given: v, Text: c.noSuch(name, kind, wanted, accept)})
}

// noSuch says what a name is not, and which names would do: those of the
// accepted kinds, and others that are no one's name.
func (c *checker) noSuch(name, kind, wanted string, accept func(kind string) bool, others ...string) string {
	fit := c.namesOf(accept)
	name = shortened(name)
	if kind != "" {
		return fmt.Sprintf("%s is a %s, not %s%s", name, kind, wanted, choose(fit))
	}
	if near := Nearest(name, append(others, fit...)); near != "" {
		return fmt.Sprintf("nothing is called %s; did you mean %s?", name, near)
	}
	return fmt.Sprintf("nothing is called %s: give the name of %s%s", name, wanted, choose(fit))
}

func choose(names []string) string {
	const most = 8
	if len(names) == 0 {
		return "; the file has none"
	}
	more := ""
	if len(names) > most {
		names, more = names[:most], " ..."
	}
	return "; the file has " + strings.Join(names, ", ") + more
}

// namesOf lists the names of the accepted kinds in file order.
func (c *checker) namesOf(accept func(kind string) bool) []string {
	var names []string
	for _, it := range c.s.items() {
		if *it.name != "" && accept(it.word) && !slices.Contains(names, *it.name) {
			names = append(names, *it.name)
		}
	}
	return names
}

// hasPower reports whether a thing of the kind is a node that releases heat of
// its own. A fan of the case is none: its heat goes with its air.
func (c *checker) hasPower(kind string) bool {
	return kind != "work" && kind != "link" && kind != "loop" && kind != "fan" && kind != "fault"
}

func (c *checker) linkEnds() {
	for i := range c.s.Links {
		link := &c.s.Links[i]
		path := c.path(link.Name, "links", i)
		c.node(path+".from", link.From, ambientNode)
		c.node(path+".to", link.To, ambientNode)
		if link.From != "" && link.From == link.To {
			c.add(path, "it begins and ends at %s: a link ties two different nodes", link.From)
		}
	}
}

func (c *checker) startNodes() {
	seen := map[string]bool{}
	for _, n := range c.s.Start.Nodes {
		path := "start." + n.Node
		c.node(path, n.Node)
		if seen[n.Node] {
			c.add(path, "%s is given twice", n.Node)
		}
		seen[n.Node] = true
		if c.kinds[n.Node] == "lump" && c.lumpStarts(n.Node) {
			c.add(path, "the lump states its own start: keep one of the two")
		}
	}
	if c.s.Start.Rule != "" && len(c.s.Start.Nodes) > 0 {
		c.add("start", "either one word for all (%s) or temperatures of single nodes", c.s.Start.Rule)
	}
}

func (c *checker) lumpStarts(name string) bool {
	return slices.ContainsFunc(c.s.Lumps, func(l Lump) bool { return l.Name == name && l.Start.Set })
}

// node checks the part of a node's name before the dot. Others are words that
// may stand in its place.
func (c *checker) node(path, node string, others ...string) {
	name, _, _ := strings.Cut(node, ".")
	air := c.airNodes()
	if node == "" || slices.Contains(others, node) || slices.Contains(air, name) || c.full() {
		return
	}
	kind, known := c.kinds[name]
	switch {
	case root.isOptional(name) && known: // the name is a problem of its own
	case root.isOptional(name):
		f, _ := root.Field(name)
		first := f.Section.Fields[0]
		c.report(&Problem{Path: path, Given: TextValue(node), Text: fmt.Sprintf(
			"the file has no %s: section, so there is no such node: add one, %s: {%s: %s}, or %s: {} for the usual figures",
			name, name, first.Key, first.Example, name)})
	case !known || !c.hasPower(kind):
		here := slices.Concat(others, air)
		wanted := "a lump, chip or part"
		if len(here) > 0 {
			wanted += ", or " + orList(here)
		}
		c.report(&Problem{Path: path, Given: TextValue(node), Text: c.noSuch(name, kind, wanted, c.hasPower, here...)})
	}
}

// airNodes lists the nodes that sections of the file bring.
func (c *checker) airNodes() []string {
	var names []string
	if c.s.Room != nil {
		names = append(names, "room")
	}
	if c.s.Case != nil {
		names = append(names, "case")
	}
	return names
}

func (c *checker) oneBlockPerChip() {
	cooler := map[string]string{}
	for _, at := range c.placed {
		block := at.part.Block
		if block == nil || block.Cools == "" {
			continue
		}
		if earlier, twice := cooler[block.Cools]; twice {
			c.add(at.path+".cools", "%s already sits under %s: a chip has one block", block.Cools, earlier)
			continue
		}
		cooler[block.Cools] = at.path
	}
}

// path returns the canonical path of an element.
func (c *checker) path(name, list string, i int) string { return elementPath(name, list, i) }

func elementPath(name, list string, i int) string {
	if name != "" {
		return name
	}
	return fmt.Sprintf("%s[%d]", list, i)
}
