package work

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// Step is one level of a pattern.
type Step struct {
	For   float64 // s, > 0
	Power float64 // W
}

// Pattern is a piecewise constant power: a cycle of steps run a number of
// times, then a rest level for ever. The zero Pattern is 0 W for ever.
type Pattern struct {
	ends   []float64 // end of each step from the start of its cycle, s, ascending
	levels []float64 // W, one per step
	cycles int       // how often the cycle runs; 0 with steps means for ever
	rest   float64   // W after the last cycle
}

// Constant returns a pattern that stays at power (W).
func Constant(power float64) Pattern { return Pattern{rest: power} }

// New returns the pattern that runs steps one after the other, cycles times
// (cycles 0: for ever), and then rests at rest (W). Equal steps for ever are
// the same as a constant power. It fails on an empty list,
// a step that does not last, a negative count, or a value that is not finite.
func New(steps []Step, cycles int, rest float64) (Pattern, error) {
	if len(steps) == 0 {
		return Pattern{}, errors.New("work: a pattern needs at least one step")
	}
	if cycles < 0 {
		return Pattern{}, fmt.Errorf("work: a pattern cannot repeat %d times", cycles)
	}
	p := Pattern{cycles: cycles, rest: rest}
	end := 0.0
	for i, s := range steps {
		end += s.For
		if !(s.For > 0) || math.IsInf(end, 0) {
			return Pattern{}, fmt.Errorf("work: step %d lasts %g s, but must last longer than zero", i+1, s.For)
		}
		if math.IsNaN(s.Power) || math.IsInf(s.Power, 0) {
			return Pattern{}, fmt.Errorf("work: step %d asks for %g W", i+1, s.Power)
		}
		p.ends = append(p.ends, end)
		p.levels = append(p.levels, s.Power)
	}
	return p.settled(), nil
}

// settled returns p, or the constant that it amounts to if it repeats one level
// for ever: a search for a jump in it would never end.
func (p Pattern) settled() Pattern {
	if !p.Endless() {
		return p
	}
	for _, l := range p.levels {
		if l != p.levels[0] {
			return p
		}
	}
	return Constant(p.levels[0])
}

// period is the length of one cycle, s.
func (p Pattern) period() float64 { return p.ends[len(p.ends)-1] }

// End returns the time after which the pattern only rests, s, and false if it
// never ends or never does anything but rest.
func (p Pattern) End() (float64, bool) {
	if len(p.ends) == 0 || p.cycles == 0 {
		return 0, false
	}
	return float64(p.cycles) * p.period(), true
}

// Endless reports whether the pattern keeps changing for ever.
func (p Pattern) Endless() bool { return len(p.ends) > 0 && p.cycles == 0 }

// locate returns the cycle and the step that hold at time t (the right limit
// at a jump), or false when the pattern rests.
func (p Pattern) locate(t float64) (cycle, step int, ok bool) {
	if len(p.ends) == 0 || t < 0 {
		return 0, 0, false
	}
	cycle = int(t / p.period())
	// The division may round across a cycle's end; the products decide.
	for cycle > 0 && p.jump(cycle, -1) > t {
		cycle--
	}
	for p.jump(cycle, len(p.ends)-1) <= t {
		cycle++
	}
	if p.cycles > 0 && cycle >= p.cycles {
		return 0, 0, false
	}
	step = sort.Search(len(p.ends), func(i int) bool { return p.jump(cycle, i) > t })
	return cycle, step, true
}

// jump returns the end of a step in a cycle, s; step -1 is the cycle's start.
// The last step's end and the next cycle's start are the same expression, so
// that both are the same number.
func (p Pattern) jump(cycle, step int) float64 {
	switch step {
	case -1:
		return float64(cycle) * p.period()
	case len(p.ends) - 1:
		return float64(cycle+1) * p.period()
	}
	return float64(cycle)*p.period() + p.ends[step]
}

// At returns the power at time t, W; at a jump the level that begins there.
func (p Pattern) At(t float64) float64 {
	_, step, ok := p.locate(t)
	if !ok {
		return p.rest
	}
	return p.levels[step]
}

// Next returns the first time after t at which the pattern may change, s, and
// false if it never does again.
func (p Pattern) Next(t float64) (float64, bool) {
	cycle, step, ok := p.locate(t)
	if !ok {
		return 0, false
	}
	return p.jump(cycle, step), true
}

// Scaled returns the pattern with every level multiplied by factor.
func (p Pattern) Scaled(factor float64) Pattern {
	q := p
	q.levels = make([]float64, len(p.levels))
	for i, l := range p.levels {
		q.levels[i] = factor * l
	}
	q.rest = factor * p.rest
	return q.settled()
}

// Least returns the smallest level of the pattern, its rest included only if
// the pattern ever rests, W.
func (p Pattern) Least() float64 {
	least := math.Inf(1)
	if !p.Endless() {
		least = p.rest
	}
	for _, l := range p.levels {
		least = math.Min(least, l)
	}
	return least
}
