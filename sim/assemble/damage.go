package assemble

import (
	"fmt"
	"slices"

	"soakledger/sim/control"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// After returns the plan of the machine as it is once the faults of the given numbers
// (of p.Faults) have happened: the same lumps, sources and drives in the same order,
// with what else they have changed: fans that stand, faces that are closed, parts that
// resist more, coolant that is gone. p stays as it is. The error is of type Problems.
func (p *Plan) After(faults ...int) (*Plan, error) {
	d := damage{}
	for _, i := range faults {
		d.add(&p.Faults[i])
	}
	next, err := build(&Plan{Scenario: p.Scenario.Clone(), Assumed: slices.Clone(p.Assumed), stock: p.stock}, d)
	if err != nil {
		return nil, fmt.Errorf("building the machine after its faults: %w", err)
	}
	return next, nil
}

// checkFaults makes sure that the machine can be built after each fault and after all
// of them, so that no run finds out on its way.
func (b *assembler) checkFaults() {
	var all []int
	for i := range b.plan.Faults {
		if !b.plan.Faults[i].Changes() {
			continue
		}
		all = append(all, i)
		if _, err := b.plan.After(i); err != nil {
			b.problems.add(b.plan.Faults[i].Name, "%v", err)
		}
	}
	if len(all) > 1 && b.problems == nil {
		if _, err := b.plan.After(all...); err != nil {
			b.problems.add("faults", "all of them together: %v", err)
		}
	}
}

// reservoirLeft is the share of its coolant that a reservoir keeps when a loop loses
// some: the dead volume below its outlet. Common practice, no source.
const reservoirLeft = 0.05

// kept returns the share of its coolant that a part still holds: what a loop has lost
// is missing from its reservoirs first, above which air stands, and only then, evenly,
// from all other parts.
func (b *assembler) kept(p *spec.Part) float64 {
	l := &b.plan.Scenario.Loops[b.loopOf(p)]
	lost := b.damage.of(control.CoolantLost, l.Name)
	if lost == 0 {
		return 1
	}
	all, above := 0.0, 0.0
	for q := range l.All() {
		volume := b.wholeVolume(q)
		all += volume
		if q.Reservoir != nil {
			above += (1 - reservoirLeft) * volume
		}
	}
	gone := lost * all
	switch {
	case p.Reservoir == nil && gone <= above:
		return 1
	case p.Reservoir == nil:
		return 1 - (gone-above)/(all-above)
	case gone <= above:
		return 1 - (1-reservoirLeft)*gone/above
	}
	return reservoirLeft * (1 - (gone-above)/(all-above))
}

// wholeVolume returns the coolant that a part holds when filled, m3.
func (b *assembler) wholeVolume(p *spec.Part) float64 {
	switch {
	case p.Tube != nil:
		return b.volumeOf(p, part.TubeVolume(p.Tube.Bore.Value, p.Tube.Length.Value))
	case p.Reservoir != nil:
		return b.volumeOf(p, p.Reservoir.Volume.Value)
	case p.Fitting != nil, p.Parallel():
		return 0
	}
	return b.volumeOf(p, p.Holds.Value)
}
