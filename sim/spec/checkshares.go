package spec

import (
	"slices"
	"strings"
)

// shares finds powers that are shares of one another in a circle.
func (c *checker) shares() {
	refers := c.shareGraph()
	done := map[string]bool{}
	for _, it := range c.s.items() {
		circles(refers, *it.name, nil, done, func(circle []string) {
			c.add(circle[0]+".power", "shares go round in a circle (%s): state one of them in W", strings.Join(circle, " of "))
		})
	}
}

// circles follows references from one name; trail holds the names passed. Each
// circle, which ends with the name it begins with, is reported once, since a
// name that is done is not entered again.
func circles(refers map[string][]string, name string, trail []string, done map[string]bool, report func(circle []string)) {
	if i := slices.Index(trail, name); i >= 0 {
		report(append(slices.Clone(trail[i:]), name))
		return
	}
	if done[name] {
		return
	}
	for _, next := range refers[name] {
		circles(refers, next, append(trail, name), done, report)
	}
	done[name] = true
}

// shareGraph lists for each thing the things its power is a share of.
func (c *checker) shareGraph() map[string][]string {
	refers := map[string][]string{}
	add := func(name string, power Power) { refers[name] = appendOf(refers[name], power) }
	for i := range c.s.Chips {
		add(c.s.Chips[i].Name, c.s.Chips[i].Power)
	}
	for p := range c.s.Parts() {
		add(p.Name, p.Power)
	}
	for i := range c.s.Lumps {
		add(c.s.Lumps[i].Name, c.s.Lumps[i].Power)
	}
	return refers
}

func appendOf(names []string, p Power) []string {
	if p.Of == "" || slices.Contains(names, p.Of) {
		return names
	}
	return append(names, p.Of)
}
