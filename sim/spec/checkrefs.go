package spec

import (
	"fmt"
	"slices"
	"strings"
)

// references checks that everything named exists and is of the right kind.
func (c *checker) references() {
	for f, v := range c.s.All() {
		switch {
		case v.Type == TypePower && v.Power.Of != "":
			c.refer(f, v, v.Power.Of, "a chip, part or lump", c.hasPower)
		case v.Type != TypeText:
		case f.Key == "work":
			c.refer(f, v, v.Text, "a work pattern", func(kind string) bool { return kind == "work" })
		case f.Key == "cools":
			c.refer(f, v, v.Text, "a chip", func(kind string) bool { return kind == "chip" })
		}
	}
	c.linkEnds()
	c.startNodes()
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

// noSuch says what a name is not, and which names would do.
func (c *checker) noSuch(name, kind, wanted string, accept func(kind string) bool) string {
	fit := c.namesOf(accept)
	name = shortened(name)
	if kind != "" {
		return fmt.Sprintf("%s is a %s, not %s%s", name, kind, wanted, choose(fit))
	}
	if near := Nearest(name, fit); near != "" {
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

// hasPower reports whether a thing of the kind releases heat by itself.
func (c *checker) hasPower(kind string) bool {
	return kind != "work" && kind != "link" && kind != "loop"
}

func (c *checker) linkEnds() {
	for i := range c.s.Links {
		link := &c.s.Links[i]
		path := c.path(link.Name, "links", i)
		c.node(path+".from", link.From, true)
		c.node(path+".to", link.To, true)
		if link.From != "" && link.From == link.To {
			c.add(path, "it begins and ends at %s: a link ties two different nodes", link.From)
		}
	}
}

func (c *checker) startNodes() {
	seen := map[string]bool{}
	for _, n := range c.s.Start.Nodes {
		path := "start." + n.Node
		c.node(path, n.Node, false)
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

// node checks the part of a node's name before the dot.
func (c *checker) node(path, node string, ambient bool) {
	name, _, _ := strings.Cut(node, ".")
	if node == "" || ambient && node == ambientNode || c.full() {
		return
	}
	if kind, known := c.kinds[name]; !known || !c.hasPower(kind) {
		wanted := "a lump, chip or part"
		if ambient {
			wanted += ", or ambient"
		}
		c.report(&Problem{Path: path, Given: TextValue(node), Text: c.noSuch(name, kind, wanted, c.hasPower)})
	}
}

func (c *checker) oneBlockPerChip() {
	cooler := map[string]string{}
	for i := range c.s.Loops {
		for j := range c.s.Loops[i].Parts {
			part := &c.s.Loops[i].Parts[j]
			if part.Block == nil || part.Block.Cools == "" {
				continue
			}
			path := c.partPath(i, j)
			if earlier, twice := cooler[part.Block.Cools]; twice {
				c.add(path+".cools", "%s already sits under %s: a chip has one block", part.Block.Cools, earlier)
				continue
			}
			cooler[part.Block.Cools] = path
		}
	}
}

// path returns the canonical path of an element.
func (c *checker) path(name, list string, i int) string {
	if name != "" {
		return name
	}
	return fmt.Sprintf("%s[%d]", list, i)
}

func (c *checker) partPath(loop, part int) string {
	p := &c.s.Loops[loop].Parts[part]
	if p.Name != "" {
		return p.Name
	}
	return c.path(c.s.Loops[loop].Name, "loops", loop) + fmt.Sprintf(".parts[%d]", part)
}
