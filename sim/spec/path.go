package spec

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// A path is name(.key)* with [i] behind a key that is a list. Its first word
// is a top-level key of the Scenario or the unique name of a chip, loop, part,
// lump, link, work, fault or fan of the case: front.conductance, duration,
// render.steps[0].power. A part's kind-specific keys stand beside the common
// ones. Behind start stands a node, which may contain dots: start.cpu.die.

// PathError tells that a path leads nowhere, and what may have been meant.
type PathError struct {
	Path    string
	Reason  string
	Nearest string // a known path, or ""
}

// Error describes the error in one line.
func (e *PathError) Error() string {
	text := fmt.Sprintf("%s: %s", e.Path, e.Reason)
	if e.Nearest != "" {
		text += fmt.Sprintf("; did you mean %s?", e.Nearest)
	}
	return text
}

// place is where a path leads: a struct member, or an element of a list.
type place struct {
	field  Field
	member reflect.Value // the struct member; its element where index >= 0
	node   string        // the node of a start temperature
	index  int           // in a list of single values; -1 elsewhere
}

// step is one word of a path with the index behind it, -1 for none.
type step struct {
	key   string
	index int
}

// splitPath reads the grammar of a path.
func splitPath(path string) ([]step, error) {
	var steps []step
	for word := range strings.SplitSeq(path, ".") {
		s := step{key: word, index: -1}
		if key, rest, found := strings.Cut(word, "["); found {
			number, closed := strings.CutSuffix(rest, "]")
			i, err := strconv.Atoi(number)
			if !closed || err != nil || i < 0 || number[0] == '+' {
				return nil, fmt.Errorf("%q is not a position: write for example steps[0]", word)
			}
			s = step{key: key, index: i}
		}
		if s.key == "" {
			return nil, fmt.Errorf("a word is missing")
		}
		steps = append(steps, s)
	}
	return steps, nil
}

// find resolves a path. With grow it makes a missing struct of a part's kind,
// so that its fields can be set.
func (s *Scenario) find(path string, grow bool) (place, error) {
	p, err := s.resolve(path, grow)
	if err == nil {
		return p, nil
	}
	failure := &PathError{Path: path, Reason: err.Error()}
	if _, other := err.(otherKindError); !other {
		failure.Nearest = s.nearestPath(path)
	}
	return place{}, failure
}

func (s *Scenario) resolve(path string, grow bool) (place, error) {
	if node, ok := strings.CutPrefix(path, "start."); ok && node != "" {
		return place{field: startField(node), member: reflect.ValueOf(&s.Start).Elem(), node: node, index: -1}, nil
	}
	steps, err := splitPath(path)
	if err != nil {
		return place{}, err
	}
	if steps[0].key == variantsKey && len(steps) > 1 {
		return s.resolveVariant(path, steps, grow)
	}
	d := s.Draft()
	d.grow = grow
	if _, ok := root.Field(steps[0].key); ok {
		return d.descend(path, steps)
	}
	named, ok := d.named(steps[0].key)
	if !ok || steps[0].index >= 0 {
		return place{}, fmt.Errorf("nothing is called %s", steps[0].key)
	}
	if len(steps) == 1 {
		return place{field: Field{Path: path, Key: path, Type: TypeSection, Section: named.Section}, member: named.v, index: -1}, nil
	}
	return named.descend(path, steps[1:])
}

// startField describes the starting temperature of a node.
func startField(node string) Field {
	return Field{
		Path: "start." + node, Key: node, Type: TypeNumber, Dimension: Temperature, Min: startMin, Max: startMax,
		Example: "40 degC", Doc: "temperature of the node at time zero",
	}
}

// descend follows the steps of a path from d on.
func (d Draft) descend(path string, steps []step) (place, error) {
	last := len(steps) - 1
	for _, st := range steps[:last] {
		var err error
		if d, err = d.enter(st); err != nil {
			return place{}, err
		}
	}
	return d.leaf(path, steps[last])
}

// enter follows one step into a section.
func (d Draft) enter(st step) (Draft, error) {
	member, f, err := d.lookup(st.key)
	switch {
	case err != nil:
		return Draft{}, err
	case f.Type == TypeSection && st.index < 0:
		return d.open(f.Section, member), nil
	case f.Type == TypeSections && st.index < 0:
		return Draft{}, fmt.Errorf("%s is a list: write %s[0]", st.key, st.key)
	case f.Type == TypeSections && st.index >= member.Len():
		return Draft{}, fmt.Errorf("%s has %d elements, counted from 0", st.key, member.Len())
	case f.Type == TypeSections:
		return d.open(f.Section, member.Index(st.index)), nil
	}
	return Draft{}, fmt.Errorf("%s has no keys of its own", st.key)
}

// leaf follows the last step.
func (d Draft) leaf(path string, st step) (place, error) {
	member, f, err := d.lookup(st.key)
	if err != nil {
		return place{}, err
	}
	f.Path = path
	if st.index < 0 {
		return place{field: f, member: member, index: -1}, nil
	}
	if !f.Type.many() && f.Type != TypeSections {
		return place{}, fmt.Errorf("%s is not a list", st.key)
	}
	if st.index >= member.Len() {
		return place{}, fmt.Errorf("%s has %d elements, counted from 0", st.key, member.Len())
	}
	if f.Type.many() {
		return place{field: f.Element(st.index), member: member.Index(st.index), index: st.index}, nil
	}
	f.Type = TypeSection
	return place{field: f, member: member.Index(st.index), index: -1}, nil
}

// otherKindError tells that a key is right for another kind of part. What it
// says is the cure; a path that is merely spelled alike is not.
type otherKindError string

func (e otherKindError) Error() string { return string(e) }

// lookup is member with an error that says which kind has the key.
func (d Draft) lookup(key string) (reflect.Value, Field, error) {
	member, f, err := d.member(key)
	if err == nil {
		return member, f, nil
	}
	if text := d.NotItsKey(key); text != "" {
		return member, f, otherKindError(text)
	}
	return member, f, fmt.Errorf("it has no key %s", key)
}

// NotItsKey says of a key that a part of another kind has, or any part where
// this is a parallel element, that it is not one of this section. It returns
// "" where there is nothing of that sort to say.
func (d Draft) NotItsKey(key string) string {
	kinds := d.Section.KindsWith(key)
	_, common := d.Section.Field(key)
	switch {
	case d.Parallel() && (common || len(kinds) > 0):
		return fmt.Sprintf("a parallel element has no %s: state it on the parts in its branches", key)
	case d.kind != "" && len(kinds) > 0:
		return fmt.Sprintf("a %s has no %s (a %s has)", d.kind, key, strings.Join(kinds, " or a "))
	}
	return ""
}

// nearestPath returns the known path that resembles the given one most. The
// keys of a room or case are known before the first is stated.
func (s *Scenario) nearestPath(path string) string {
	c := *s
	d := c.Draft()
	for _, f := range root.Fields {
		if f.optional {
			pointed(d.v.Field(f.index), true)
		}
	}
	var known []string
	for f := range c.All() {
		known = append(known, f.Path)
	}
	return Nearest(path, known)
}
