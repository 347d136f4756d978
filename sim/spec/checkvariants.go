package spec

import (
	"fmt"
	"slices"
	"strings"
)

// variants checks what may stand in place of things.
func (c *checker) variants() {
	for i := range c.s.Variants {
		c.variantsOf(i)
	}
	if len(c.problems) > 0 {
		return // variants of what is wrong itself would only repeat it
	}
	for i := range c.s.Variants {
		set := &c.s.Variants[i]
		for j := range set.Choices {
			if c.full() {
				return
			}
			c.inPlace(set, j)
		}
	}
}

// variantsOf checks whom variants are of, and their names.
func (c *checker) variantsOf(i int) {
	set := &c.s.Variants[i]
	path := variantsKey + "." + set.Of
	if _, err := c.s.thing(set.Of); err != nil {
		c.report(&Problem{Path: path, Given: TextValue(set.Of), Text: c.noVariantsOf(set.Of, err)})
		return
	}
	if slices.IndexFunc(c.s.Variants, func(v Variants) bool { return v.Of == set.Of }) < i {
		c.add(path, "its variants are given twice: write one list")
	}
	if len(set.Choices) == 0 {
		c.add(path, "it needs variants, for example %s: [{name: slim, ...}, {name: deep, ...}]", set.Of)
	}
	seen := map[string]bool{}
	for j, choice := range set.Choices {
		at := fmt.Sprintf("%s[%d]", path, j)
		switch name := choice.Name; {
		case name == "":
			c.add(at, "a variant needs a name, which fills the column of a study, for example name: slim")
		case name == AllVariants:
			c.add(at+".name", "all stands for every variant: write another name")
		case !validName(name):
			c.add(at+".name", "a name is made of small letters, digits and underscores and begins with a letter: write for example %s", proposeName(name, "variant"))
		case seen[name]:
			c.add(at+".name", "%s is the name of another variant of %s: every name may be given once", name, set.Of)
		}
		seen[choice.Name] = true
	}
}

// noVariantsOf words why a name cannot have variants, with the names that can.
func (c *checker) noVariantsOf(of string, err error) string {
	var known []string
	for _, it := range c.s.items() {
		if new(Variant).member(it.draft.v.Type()) != nil && *it.name != "" {
			known = append(known, *it.name)
		}
	}
	known = append(known, "coolant")
	text := err.Error()
	if near := Nearest(of, known); near != "" {
		return text + "; did you mean " + near + "?"
	}
	return text + choose(known)
}

// inPlace checks the scenario with one variant in place. What is wrong then is
// told at the variant.
func (c *checker) inPlace(set *Variants, j int) {
	s, err := c.s.Design([]Change{{Path: set.Of, Value: TextValue(set.Choices[j].Name)}}, false)
	at := fmt.Sprintf("%s.%s[%d]", variantsKey, set.Of, j)
	if err != nil {
		c.add(at, "%v", err)
		return
	}
	for _, p := range Check(s) {
		within, own := strings.CutPrefix(p.Path, set.Of)
		if own && (within == "" || within[0] == '.') {
			p.Path = at + within
		} else {
			p.Path, p.Range, p.Text = at, false, "with this variant in place, "+p.Path+": "+p.Text
		}
		c.report(p)
	}
}
