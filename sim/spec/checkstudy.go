package spec

import (
	"fmt"
	"slices"
	"strings"
)

const axisExample = "for example {path: front.fans.speed, values: [700 rpm, 1000 rpm]}"

// study checks what is varied and how.
func (c *checker) study() {
	st := &c.s.Study
	if !isStated(*st) {
		return
	}
	if len(st.Vary) == 0 {
		c.add("study", "it varies nothing: write vary: [{path: front.fans.speed, values: [700 rpm, 1000 rpm]}]")
	}
	before := len(c.problems)
	sound := make([]bool, len(st.Vary))
	for i := range st.Vary {
		had := len(c.problems)
		c.axis(i)
		sound[i] = len(c.problems) == had
	}
	c.columns()
	unsound := len(c.problems) > before
	if !unsound {
		c.distinctAxes()
	}
	c.combination(sound)
	if unsound {
		return // what follows would only repeat it
	}
	if n := c.s.Designs(); n > MostRuns && !st.Draws() {
		c.add("study.vary", "the axes give more than %.0f designs: take fewer values, or draw some with combine: latin hypercube, runs: 10000", MostRuns)
	}
	c.comparisons()
}

func axisPath(i int) string { return fmt.Sprintf("study.vary[%d]", i) }

// axis checks one axis by itself.
func (c *checker) axis(i int) {
	a, at := &c.s.Study.Vary[i], axisPath(i)
	if a.Path == "" {
		c.add(at, "an axis needs path, the value or part that it varies, %s", axisExample)
		return
	}
	f, err := c.s.Varied(a.Path)
	if err != nil {
		c.report(&Problem{Path: at + ".path", Given: TextValue(a.Path), Text: pathText(err)})
		return
	}
	if text := fixed(f); text != "" {
		c.report(&Problem{Path: at + ".path", Given: TextValue(a.Path), Text: text})
		return
	}
	if !c.oneWay(at, a, f) {
		return
	}
	c.strayKeys(at, a)
	switch a.Way() {
	case ByValues:
		c.axisValues(at, a)
	case ByRange:
		c.axisRange(at, a, f)
	case ByVariants:
		c.axisVariants(at, a)
	case ByDistribution:
		c.distribution(at, a, f)
	}
}

// pathText says what is wrong with a path, without the path itself.
func pathText(err error) string {
	p, ok := err.(*PathError)
	if !ok {
		return err.Error()
	}
	if p.Nearest != "" {
		return fmt.Sprintf("%s; did you mean %s?", p.Reason, p.Nearest)
	}
	return p.Reason
}

// fixed says what keeps a field from being varied: it changes no result, or the
// tables that all runs of a study share rest on it.
func fixed(f Field) string {
	words := strings.Split(f.Path, ".")
	switch {
	case f.Key == "title" || f.Key == "note":
		return "a text that is carried along changes no result, so there is nothing to vary"
	case f.Key == nameKey || f.Key == KindKey:
		return "names and kinds stand in the file: other keys rest on them"
	case words[0] == "record" || words[0] == "figures":
		return "what is recorded is the same for all designs of a study: state it once"
	case len(words) > 1 && words[len(words)-2] == "log":
		return "logs are read with the file: give each a pattern of its own under work, and vary the work of the part, for example {path: cpu.work, values: [render, evening]}"
	case f.Type.many():
		return fmt.Sprintf("it is a list: name one of its elements, %s[0]", f.Path)
	case f.Type == TypeSections:
		return "it is a list: name a value in one of its elements, or state variants of a part that hold the whole list"
	case f.Type == TypeVariants || f.Type == TypeFree:
		return errNotItself.Error()
	}
	return ""
}

// oneWay checks that an axis states its values in one way that suits what it
// varies.
func (c *checker) oneWay(at string, a *Axis, f Field) bool {
	way, has := a.Way(), c.s.HasVariants(a.Path)
	switch {
	case way == NoWay && len(a.ways()) > 1:
		c.add(at, "values, a range (from, to), variants and a distribution exclude each other: keep one")
	case way == NoWay && f.Section != nil && has:
		c.add(at, "it needs the variants to go through: write variants: all")
	case way == NoWay:
		c.add(at, "it needs values: [...], a range such as from, to and count, or a distribution, %s", axisExample)
	case way == ByVariants && f.Section == nil:
		c.add(at+".variants", "it is one value and has no variants: write values: [%s]", f.Example)
	case way == ByVariants && !has:
		c.add(at+".variants", "%s has no variants: state them, variants: {%s: [{name: slim, ...}, {name: deep, ...}]}", a.Path, a.Path)
	case way != ByVariants && f.Section != nil:
		c.add(at+".path", "it has keys of its own: give the path of one of them, for example %s.%s, or state variants of it and write variants: all", a.Path, firstSingle(f.Section))
	default:
		return true
	}
	return false
}

// firstSingle returns a key of a section that holds a number.
func firstSingle(s *Section) string {
	for _, f := range s.Fields {
		if f.Type == TypeNumber {
			return f.Key
		}
	}
	return s.Fields[0].Key
}

// strayKeys finds keys of another way.
func (c *checker) strayKeys(at string, a *Axis) {
	if way := a.Way(); way != ByRange {
		c.excluded(at, "%s belongs to a range: leave it out, or write from and to", []stated{
			{"count", a.Count.Set}, {"step", a.Step.IsSet()}, {"scale", a.Scale != ""},
		})
	}
	if a.Way() != ByDistribution {
		c.excluded(at, "%s belongs to a distribution: leave it out, or write for example distribution: uniform", []stated{
			{"low", a.Low.IsSet()}, {"high", a.High.IsSet()}, {"mean", a.Mean.IsSet()},
			{"deviation", a.Deviation.IsSet()}, {"mode", a.Mode.IsSet()},
		})
	}
}

// axisValues checks that listed values share one column.
func (c *checker) axisValues(at string, a *Axis) {
	for i, v := range a.Values {
		if first := a.Values[0]; v.Type != TypeText && !v.Alike(first) {
			c.add(fmt.Sprintf("%s.values[%d]", at, i), "the values of an axis are all stated alike, in one unit of its column, and the first is stated otherwise: write two axes, or two studies")
		}
	}
}

// axisVariants checks the names of chosen variants.
func (c *checker) axisVariants(at string, a *Axis) {
	names := c.s.ChosenVariants(a)
	var known []string
	for _, choice := range c.s.variants(a.Path).Choices {
		known = append(known, choice.Name)
	}
	for i, name := range names {
		path := fmt.Sprintf("%s.variants[%d]", at, i)
		switch {
		case slices.Index(names, name) < i:
			c.add(path, "%s is given twice", shortened(name))
		case name == AllVariants:
			c.add(path, "all stands for every variant: write it alone, or name some")
		case !slices.Contains(known, name):
			c.add(path, "%s", Field{One: known}.NotOne(name))
		}
	}
}

// columns checks the names of columns that are stated.
func (c *checker) columns() {
	seen := map[string]bool{}
	for i, a := range c.s.Study.Vary {
		at := axisPath(i) + ".column"
		switch {
		case a.Column == "":
		case !validName(a.Column):
			c.add(at, "a column is named with small letters, digits and underscores and begins with a letter, for example fan_rpm")
		case seen[a.Column]:
			c.add(at, "%s is the column of another axis: every name is given once", a.Column)
		}
		seen[a.Column] = true
	}
}

// distinctAxes checks that no two axes set the same thing.
func (c *checker) distinctAxes() {
	names := c.s.Names()
	set := map[string]int{} // what is set, and by which axis
	claim := func(i int, path, where string) {
		path = Canonical(names, path)
		if earlier, twice := set[path]; twice && earlier != i {
			c.add(axisPath(i)+where, "%s is varied by %s already: one axis sets it", path, axisPath(earlier))
			return
		}
		set[path] = i
	}
	for i := range c.s.Study.Vary {
		a := &c.s.Study.Vary[i]
		if f, err := c.s.Varied(a.Path); err == nil {
			claim(i, f.Path, ".path")
		}
		if a.Way() == ByVariants {
			for _, key := range c.s.variantKeys(a) {
				claim(i, a.Path+"."+key, ".path")
			}
		}
	}
}

// variantKeys lists the keys that the chosen variants of an axis state, by their
// path within the thing.
func (s *Scenario) variantKeys(a *Axis) []string {
	thing, err := s.thing(a.Path)
	if err != nil {
		return nil
	}
	var keys []string
	for _, name := range s.ChosenVariants(a) {
		at, ok := s.variantIndex(a.Path, name)
		if !ok {
			continue
		}
		d, _ := s.variants(a.Path).Choices[at].open(thing, false)
		d.walk("", func(f Field, v Value) bool {
			if v.IsSet() && !slices.Contains(keys, f.Path) {
				keys = append(keys, f.Path)
			}
			return true
		})
	}
	return keys
}

// combination checks how the axes go together; groups, where all their axes are sound.
func (c *checker) combination(sound []bool) {
	st := &c.s.Study
	f, _ := root.Field(studyKey)
	if f, _ = f.Section.Field("combine"); st.Combine != "" && !slices.Contains(f.One, st.Combine) {
		return
	}
	for _, g := range st.Groups() {
		if !slices.ContainsFunc(g.Axes, func(i int) bool { return !sound[i] }) {
			c.group(g)
		}
	}
	if st.Combine == "zip" {
		for i, a := range st.Vary {
			if a.Zip != "" {
				c.add(axisPath(i)+".zip", "combine: zip moves all axes together: leave zip out here, or write combine: grid")
			}
		}
	}
	switch {
	case st.Draws() && !st.Runs.Set:
		c.add("study", "%s needs runs, how many designs are drawn, for example runs: 500", st.Combine)
	case !st.Draws() && st.Runs.Set:
		c.add("study.runs", "a %s has as many runs as its axes give: leave runs out, or draw designs with combine: latin hypercube", c.combined())
	case !st.Draws() && st.Seed.Set:
		c.add("study.seed", "nothing is drawn in a %s: leave seed out, or draw designs with combine: latin hypercube", c.combined())
	}
}

func (c *checker) combined() string {
	if c.s.Study.Combine == "" {
		return "grid"
	}
	return c.s.Study.Combine
}

// group checks axes that move together.
func (c *checker) group(g Group) {
	st := &c.s.Study
	first := -1 // that has single values
	for _, i := range g.Axes {
		a := &st.Vary[i]
		n := c.s.Levels(a)
		switch {
		case n == 0 && !st.Draws():
			c.continuous(i, a)
		case n == 0:
		case first < 0:
			first = i
		case n != c.s.Levels(&st.Vary[first]):
			c.add(axisPath(i), "it has %d values, and %s, with which it moves, has %d: give both as many", n, st.Vary[first].Path, c.s.Levels(&st.Vary[first]))
		}
	}
	if len(g.Axes) == 1 && !st.Draws() {
		c.repeated(g.Axes[0])
	}
	if i := g.Axes[0]; len(g.Axes) == 1 && st.Vary[i].Zip != "" && st.Combine != "zip" {
		c.add(axisPath(i)+".zip", "no other axis has zip: %s, so there is nothing to move with", st.Vary[i].Zip)
	}
}

// repeated refuses a value that would give the same designs twice. Drawn, it is twice as
// likely as others; beside another axis that moves with it, it is another design.
func (c *checker) repeated(i int) {
	values := c.s.Study.Vary[i].Values
	for k, v := range values {
		if slices.Index(values, v) < k {
			c.add(fmt.Sprintf("%s.values[%d]", axisPath(i), k), "it stands there twice, and would give the same designs twice: leave it out")
		}
	}
}

// continuous refuses an axis without single values where they are needed.
func (c *checker) continuous(i int, a *Axis) {
	if a.Way() == ByDistribution {
		c.add(axisPath(i)+".distribution", "a distribution is drawn from: write combine: latin hypercube (or halton, random) and runs, for example runs: 500")
		return
	}
	c.add(axisPath(i), "a %s needs single values: add count: 5, or step, or draw designs with combine: latin hypercube and runs: 500", c.combined())
}
