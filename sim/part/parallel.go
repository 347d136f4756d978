package part

import (
	"fmt"
	"math"
)

// Parallel is branches side by side: they share the flow so that all have the
// same pressure drop. It is a resistance itself.
type Parallel struct {
	branches []Resistance
}

// NewParallel joins two or more branches; a branch of several parts is a
// [Series].
func NewParallel(branches ...Resistance) (Parallel, error) {
	if len(branches) < 2 {
		return Parallel{}, fmt.Errorf("part: %d branches side by side; two or more are needed", len(branches))
	}
	return Parallel{append([]Resistance(nil), branches...)}, nil
}

// Branches returns the number of branches.
func (p Parallel) Branches() int { return len(p.branches) }

// Drop is the common pressure drop. Its slope is that of conductances side by
// side.
func (p Parallel) Drop(q float64, l Liquid) (dp, slope float64) {
	var room [fewBranches]float64
	size := math.Abs(q)
	if n := len(p.branches); n <= len(room) {
		if dp, slope, ok := p.share(size, l, room[:n]); ok {
			return math.Copysign(dp, q), slope
		}
	}
	dp = p.common(size, l)
	_, slope = p.flow(dp, size, l)
	return math.Copysign(dp, q), slope
}

// fewBranches is the number of branches up to which a drop is found without
// memory of its own.
const fewBranches = 8

// Split writes the flow of every branch (m3/s, of the sign of q) to flows and
// returns the common pressure drop with its slope. The flows add up to q to
// rounding. It panics unless flows has one element a branch.
func (p Parallel) Split(q float64, l Liquid, flows []float64) (dp, slope float64) {
	if len(flows) != len(p.branches) {
		panic("part: Parallel.Split: flows has not one element a branch")
	}
	size := math.Abs(q)
	dp, slope, ok := p.share(size, l, flows)
	if !ok {
		dp = p.common(size, l)
		_, slope = p.flow(dp, size, l)
		for i, b := range p.branches {
			flows[i], _ = flowAt(b, dp, size, l)
		}
	}
	scale(flows, q)
	return math.Copysign(dp, q), slope
}

// scale makes flows add up to q.
func scale(flows []float64, q float64) {
	sum := 0.0
	for _, f := range flows {
		sum += f
	}
	for i := range flows {
		if sum > 0 {
			flows[i] *= q / sum
		}
	}
}

// share finds the flows of all branches at once, by Newton's method from powers
// of the drops that they would have alone. It reports false where that does not
// settle within a few steps, at rest for instance.
func (p Parallel) share(q float64, l Liquid, flows []float64) (dp, slope float64, ok bool) {
	if q == 0 {
		return 0, 0, false
	}
	for i, b := range p.branches {
		alone, _ := b.Drop(q, l)
		flows[i] = math.Pow(alone, -1/turbulentExponent)
	}
	scale(flows, q)
	last := math.Inf(1)
	for range 20 {
		ease, sum := 0.0, 0.0 // d q/d dp of all, and the same times the drops
		low, high := math.Inf(1), 0.0
		for i, b := range p.branches {
			d, s := b.Drop(flows[i], l)
			ease += 1 / s
			sum += d / s
			low, high = math.Min(low, d), math.Max(high, d)
		}
		dp, slope = sum/ease, 1/ease
		apart := (high - low) / dp
		if !(apart > 4e-15) || apart < 1e-12 && apart >= last {
			return dp, slope, dp > 0
		}
		last = apart
		for i, b := range p.branches {
			d, s := b.Drop(flows[i], l)
			flows[i] = math.Max(flows[i]/10, flows[i]+(dp-d)/s)
		}
		scale(flows, q)
	}
	return 0, 0, false
}

// flow returns the flow of all branches together at a common drop, of which no
// branch takes more than most, and the slope of the drop against that flow.
func (p Parallel) flow(dp, most float64, l Liquid) (q, slope float64) {
	ease := 0.0 // d q/d dp
	for _, b := range p.branches {
		own, s := flowAt(b, dp, most, l)
		q += own
		ease += 1 / s
	}
	return q, 1 / ease
}

// common returns the drop at which the branches take q (above zero) together.
func (p Parallel) common(q float64, l Liquid) float64 {
	high := math.Inf(1)
	for _, b := range p.branches {
		dp, _ := b.Drop(q, l)
		high = math.Min(high, dp)
	}
	// One branch alone needs high; n equal ones with drops of power 1.75 this.
	start := high * math.Pow(float64(len(p.branches)), -1.75)
	return solvePower(0, high, start, q, func(dp float64) (float64, float64) {
		sum, slope := p.flow(dp, q, l)
		return sum, 1 / slope
	})
}

// flowAt returns the flow (at most most) at which r drops dp, and its slope
// there. The drop at most is not below dp, but for rounding.
func flowAt(r Resistance, dp, most float64, l Liquid) (q, slope float64) {
	top, slope := r.Drop(most, l)
	if !(top > dp) {
		return most, slope
	}
	start := most * math.Pow(dp/top, 1/1.75)
	q = solvePower(0, most, start, dp, func(q float64) (float64, float64) { return r.Drop(q, l) })
	_, slope = r.Drop(q, l)
	return q, slope
}

// solvePower returns the x between low and high at which the increasing f is
// want. f behaves nearly as a power of x, so that Newton's method on the
// logarithms takes few steps.
func solvePower(low, high, x, want float64, f func(float64) (y, dy float64)) float64 {
	left := newBracket(low, high)
	for range mostSteps {
		y, dy := f(x)
		if math.Abs(y-want) <= 1e-15*want {
			return x
		}
		next, done := left.next(x, x*math.Exp(math.Log(want/y)*y/(x*dy)), y < want)
		if done {
			return next
		}
		x = next
	}
	return x
}
