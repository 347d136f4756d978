package sweep

import (
	"errors"
	"fmt"
	"strings"

	"soakledger/sim/spec"
)

// Plan is a study that is ready to make its designs. It is safe for use by
// several goroutines.
type Plan struct {
	study   *spec.Scenario // with its study and variants
	axes    []Axis
	group   []int        // of each axis
	home    []spec.Value // of each axis, as the scenario states it
	count   int
	sampler sampler
	keep    []condition
	text    string
	trials  []trial
}

// Design is one design of a plan.
type Design struct {
	Run      int            // its number in the plan, dropped designs counted
	Values   []spec.Value   // one an axis; unset where neither study nor scenario says anything
	Kept     bool           // it meets all conditions
	Fails    int            // first condition that it fails, by its place in study.keep; -1 if it is kept
	Scenario *spec.Scenario // with all values in place; nil if it is dropped
}

// Problem is one thing in a study that keeps its designs from being made.
type Problem struct{ Path, Text string }

// Problems are all of them, in file order.
type Problems []Problem

// Error writes one problem a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.Path + ": " + one.Text
	}
	return strings.Join(lines, "\n")
}

// errNoStudy tells that there is nothing to plan.
var errNoStudy = errors.New("sweep: the scenario has no study: state what is varied, study: {vary: [{path: ..., values: [...]}]}")

// New plans the study of a scenario that spec.Check finds sound and all of whose
// things are named; the scenario must not be changed from then on. It tries
// every single value of every axis, the ends of those that are drawn, with the
// others at their first (Alternatives). The error is of type Problems where
// one of these designs would not be sound.
func New(s *spec.Scenario) (*Plan, error) {
	st := &s.Study
	if len(st.Vary) == 0 {
		return nil, errNoStudy
	}
	p := &Plan{study: s, group: make([]int, len(st.Vary)), count: s.Designs(), text: text(s)}
	if p.count < 1 || p.count > spec.MostRuns {
		return nil, fmt.Errorf("sweep: a study of %d designs cannot be planned: want 1 to %.0f", p.count, spec.MostRuns)
	}
	for i := range st.Vary {
		x, err := newAxis(s, i)
		if err != nil {
			return nil, fmt.Errorf("sweep: planning axis %d: %w", i, err)
		}
		p.axes = append(p.axes, x)
		home, _ := s.Get(x.Path) // a section has none
		p.home = append(p.home, home)
	}
	p.sampler = p.newSampler()
	for _, k := range st.Keep {
		c, err := p.newCondition(k)
		if err != nil {
			return nil, fmt.Errorf("sweep: reading the condition %s: %w", k.Text, err)
		}
		p.keep = append(p.keep, c)
	}
	if err := p.try(); err != nil {
		return nil, err
	}
	return p, nil
}

// newSampler makes the sampler of the study and notes the group of each axis.
func (p *Plan) newSampler() sampler {
	st := &p.study.Study
	var paths []string
	var levels []int
	for g, group := range st.Groups() {
		for _, k := range group.Axes {
			p.group[k] = g
		}
		first := group.Axes[0]
		paths = append(paths, p.axes[first].Path)
		levels = append(levels, p.axes[first].Levels)
	}
	seed := uint64(st.Seed.Or(0))
	switch st.Combine {
	case "latin hypercube":
		return newLatin(seed, p.count, paths)
	case "random":
		return newRandom(seed, paths)
	case "halton":
		if st.Seed.Set {
			return newScrambledHalton(seed, len(paths))
		}
		return newHalton(len(paths))
	case "one at a time":
		return newOneAtATime(levels)
	}
	return newGrid(levels)
}

// Count returns how many designs there are, those that conditions drop among
// them. They are numbered from 0.
func (p *Plan) Count() int { return p.count }

// Design makes design i, 0 <= i < Count(). It is a function of the plan and i
// alone. An error means that the values do not go together: that run has failed,
// with the error as its reason, while Values hold what it was to be.
func (p *Plan) Design(i int) (Design, error) {
	if i < 0 || i >= p.count {
		return Design{}, fmt.Errorf("sweep: there is no design %d: they are numbered 0 to %d", i, p.count-1)
	}
	d, err := p.with(p.valuesAt(i))
	d.Run = i
	return d, err
}

// valuesAt returns the values of the axes in design i.
func (p *Plan) valuesAt(i int) []spec.Value {
	values := make([]spec.Value, len(p.axes))
	for k := range values {
		values[k] = p.valueAt(k, p.sampler.at(i, p.group[k]))
	}
	return values
}

// valueAt returns the value of an axis at a position: what the scenario states
// where it is left as it is.
func (p *Plan) valueAt(k int, at position) spec.Value {
	if at == asStated {
		return p.home[k]
	}
	return p.axes[k].value(at)
}

// with makes the design of given values, if it is kept.
func (p *Plan) with(values []spec.Value) (Design, error) {
	d := Design{Values: values}
	var err error
	if d.Fails, err = p.fails(values); err != nil || d.Fails >= 0 {
		return d, err
	}
	d.Kept = true
	var changes []spec.Change
	for k, v := range values {
		if v.IsSet() && v != p.home[k] {
			changes = append(changes, spec.Change{Path: p.axes[k].Path, Value: v})
		}
	}
	d.Scenario, err = p.make(changes)
	return d, err
}

// fails returns the first condition that values fail, -1 for none.
func (p *Plan) fails(values []spec.Value) (int, error) {
	for j := range p.keep {
		holds, err := p.keep[j].holds(values)
		if err != nil {
			return -1, err
		}
		if !holds {
			return j, nil
		}
	}
	return -1, nil
}

// make makes the changes and checks that they go together.
func (p *Plan) make(changes []spec.Change) (*spec.Scenario, error) {
	s, err := p.study.Design(changes, false)
	if err != nil {
		return nil, err
	}
	if problems := spec.Check(s); len(problems) > 0 {
		return nil, problems[0]
	}
	return s, nil
}
