package spec

import (
	"fmt"
	"iter"
)

// Parts walks over every part of every loop in file order: those within the
// branches of a parallel element where that element stands, the element itself
// left out.
func (s *Scenario) Parts() iter.Seq[*Part] {
	return func(yield func(*Part) bool) {
		for i := range s.Loops {
			for p := range s.Loops[i].All() {
				if !yield(p) {
					return
				}
			}
		}
	}
}

// All walks over every part of the loop as Scenario.Parts does.
func (l *Loop) All() iter.Seq[*Part] {
	return func(yield func(*Part) bool) { walkParts(l.Parts, yield) }
}

func walkParts(parts []Part, yield func(*Part) bool) bool {
	for i := range parts {
		p := &parts[i]
		if !p.Parallel() && !yield(p) {
			return false
		}
		for j := range p.Branches {
			if !walkParts(p.Branches[j].Parts, yield) {
				return false
			}
		}
	}
	return true
}

// Parallel reports whether the element is a set of branches rather than a part.
func (p *Part) Parallel() bool { return p.Branches != nil }

// placedPart is a part or a parallel element with its canonical path.
type placedPart struct {
	path   string
	part   *Part
	loop   int  // its index in the scenario
	branch bool // it lies in a branch
}

// placedParts lists all parts and parallel elements in file order.
func (s *Scenario) placedParts() []placedPart {
	var all []placedPart
	for i := range s.Loops {
		prefix := s.Loops[i].Name
		if prefix == "" {
			prefix = fmt.Sprintf("loops[%d]", i)
		}
		all = appendParts(all, s.Loops[i].Parts, placedPart{path: prefix + ".parts", loop: i})
	}
	return all
}

// appendParts adds the parts of the list that lies at the path of within.
func appendParts(all []placedPart, parts []Part, within placedPart) []placedPart {
	for i := range parts {
		at := within
		at.part = &parts[i]
		at.path = fmt.Sprintf("%s[%d]", within.path, i)
		if at.part.Name != "" && !at.part.Parallel() {
			at.path = at.part.Name
		}
		all = append(all, at)
		for j := range at.part.Branches {
			inside := placedPart{path: fmt.Sprintf("%s.parallel[%d].parts", at.path, j), loop: within.loop, branch: true}
			all = appendParts(all, at.part.Branches[j].Parts, inside)
		}
	}
	return all
}
