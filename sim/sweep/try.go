package sweep

import (
	"cmp"
	"fmt"
	"math"

	"soakledger/sim/spec"
)

// Bounds of how many values of one axis are tried. Words are tried all, and counts up to
// more than any part has: each may give columns of its own.
const (
	mostTrials = 100
	mostCounts = 1000
)

// trial is a design that stands for many.
type trial struct {
	axis  int // that is away from its first value; -1 for none
	where position
}

// try makes designs that between them have every single value and both ends of
// every range, and tells which of these values do not go with the first of the
// others. A design that conditions drop is not tried.
func (p *Plan) try() error {
	p.trials = []trial{{axis: -1}}
	var problems Problems
	if _, err := p.trial(p.trials[0]); err != nil {
		return Problems{{Path: "study.vary", Text: "the first design is not sound: " + err.Error()}}
	}
	for k := range p.axes {
		if p.leads(k) {
			problems = append(problems, p.tryAxis(k)...)
		}
	}
	if len(problems) > 0 {
		return problems
	}
	return nil
}

// leads reports whether an axis is the first of its group.
func (p *Plan) leads(k int) bool {
	for j := range k {
		if p.group[j] == p.group[k] {
			return false
		}
	}
	return true
}

func (p *Plan) tryAxis(k int) Problems {
	var problems Problems
	for _, where := range p.axes[k].ends(p.bound(k)) {
		t := trial{axis: k, where: where}
		p.trials = append(p.trials, t)
		if _, err := p.trial(t); err != nil {
			problems = append(problems, Problem{Path: p.valuePath(t), Text: fmt.Sprintf("with %s and everything else at its first value, %v", p.showTrial(t), err)})
		}
	}
	return problems
}

// bound returns how many values of an axis, and of those that move with it, are tried.
func (p *Plan) bound(k int) int {
	most := mostTrials
	for j := range p.axes {
		x := &p.axes[j]
		switch {
		case p.group[j] != p.group[k]:
		case x.Words:
			return math.MaxInt
		case x.measures == spec.Count:
			most = mostCounts
		}
	}
	return most
}

// ends returns positions that stand for all of an axis: its levels, whole
// numbers, at the most so many of them, or both ends, a thousandth of the draws away.
func (x *Axis) ends(most int) []position {
	var all []position
	n := x.Levels
	if n == 0 && x.measures == spec.Count {
		n = int(x.highest-x.lowest) + 1
	}
	switch {
	case n == 0:
		return []position{drawn(1e-3), drawn(0.999)}
	case x.Levels > 0:
		for j := range min(n, most) {
			all = append(all, onLevel(j*(n-1)/max(min(n, most)-1, 1)))
		}
		return all
	}
	for j := range min(n, most) {
		all = append(all, drawn((float64(j)+0.5)/float64(min(n, most))))
	}
	return all
}

// trial makes the design of a trial: its group there, the others at their first
// value, in the middle of what is drawn, or as stated where they are moved one at
// a time.
func (p *Plan) trial(t trial) (Design, error) {
	values := make([]spec.Value, len(p.axes))
	_, left := p.sampler.(oneAtATime)
	for k := range p.axes {
		at := drawn(0.5)
		switch {
		case t.axis >= 0 && p.group[k] == p.group[t.axis]:
			at = t.where
		case left:
			at = asStated
		case p.axes[k].Levels > 0:
			at = onLevel(0)
		}
		values[k] = p.valueAt(k, at)
	}
	return p.with(values)
}

// valuePath is the place of a tried value in the file.
func (p *Plan) valuePath(t trial) string {
	path := p.axisPath(t.axis)
	if a := p.axes[t.axis].from; a.Way() == spec.ByValues && t.where.kind == level {
		path += fmt.Sprintf(".values[%d]", t.where.level)
	}
	return path
}

func (p *Plan) showTrial(t trial) string {
	x := &p.axes[t.axis]
	return fmt.Sprintf("%s at %s", x.Path, x.Show(x.value(t.where)))
}

// Alternatives hands over designs that between them have every variant, every word and
// every count of the study, and both ends of all else, in file order: what tables they
// give, all designs give together. For one that conditions drop, or that take refuses,
// others of the plan stand in that have the same value. It returns the first refusal of
// take; an error means that a design could not be made.
func (p *Plan) Alternatives(take func(*Design) error) (refusal, err error) {
	var wanted []trial
	for _, t := range p.trials {
		d, err := p.trial(t)
		if err != nil {
			return nil, fmt.Errorf("sweep: making an alternative: %w", err)
		}
		if d.Kept {
			err := take(&d)
			if err == nil {
				continue
			}
			refusal = cmp.Or(refusal, err)
		}
		wanted = append(wanted, t)
	}
	if len(wanted) > 0 {
		refusal = cmp.Or(refusal, p.standIns(wanted, take))
	}
	return refusal, nil
}

// Bounds of the search for designs that stand in for others.
const (
	mostLooked   = 1 << 14 // designs whose values are looked at
	mostSearched = 1 << 21 // the same, where none of those is kept
	mostTaken    = 3       // attempts for one trial
)

// standIns hands over designs that have the values of trials, and returns the first
// refusal. Of a plan with more than mostLooked it looks at that many, drawn at random,
// and at its first mostSearched in order if conditions drop them all.
func (p *Plan) standIns(wanted []trial, take func(*Design) error) (refusal error) {
	kept := 0
	count := func(d *Design) error {
		kept++
		return take(d)
	}
	refusal = p.standInsAmong(wanted, min(p.count, mostLooked), func(j int) int { return p.drawn(j, mostLooked) }, count)
	if kept == 0 && p.count > mostLooked {
		refusal = p.standInsAmong(wanted, min(p.count, mostSearched), func(j int) int { return j }, take)
	}
	return refusal
}

// standInsAmong looks for them among n designs.
func (p *Plan) standInsAmong(wanted []trial, n int, design func(j int) int, take func(*Design) error) (refusal error) {
	left := make([]int, len(wanted))
	for k := range left {
		left[k] = mostTaken
	}
	for j := range n {
		i := design(j)
		values := p.valuesAt(i)
		if fails, err := p.fails(values); err == nil && fails >= 0 {
			continue
		}
		if !p.anyStands(wanted, left, values) {
			continue
		}
		d, err := p.Design(i)
		if err == nil {
			err = take(&d)
			refusal = cmp.Or(refusal, err)
		}
		for k, t := range wanted {
			switch {
			case left[k] == 0 || !p.stands(t, values):
			case err == nil:
				left[k] = 0
			default:
				left[k]--
			}
		}
	}
	return refusal
}

// anyStands reports whether values stand for a trial that still wants some.
func (p *Plan) anyStands(wanted []trial, left []int, values []spec.Value) bool {
	for k, t := range wanted {
		if left[k] > 0 && p.stands(t, values) {
			return true
		}
	}
	return false
}

// stands reports whether a design with these values has the one of a trial; any has
// that of the first.
func (p *Plan) stands(t trial, values []spec.Value) bool {
	return t.axis < 0 || values[t.axis] == p.valueAt(t.axis, t.where)
}

// drawn returns design j of all, or where there are more than most of that many, drawn
// at random but the same every time: a regular stride could miss levels of a grid.
func (p *Plan) drawn(j, most int) int {
	if p.count <= most {
		return j
	}
	return int(stream(golden).at(uint64(j)) % uint64(p.count))
}
