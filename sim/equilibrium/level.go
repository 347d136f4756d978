package equilibrium

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"soakledger/sim/network"
	"soakledger/sim/sparse"
)

// ErrNoLevel is wrapped by the error of a network that settles nowhere: its
// heat grows faster than its links carry it away.
var ErrNoLevel = errors.New("equilibrium: no level")

const (
	converged   = 1e-9 // K, largest change that a Newton step may leave
	stalled     = 1e-4 // K, below which a step that no longer shrinks is rounding
	longestStep = 1e12 // s, beyond which steps are Newton's proper
	hottest     = 5e3  // K, beyond which a network counts as running away
)

// pace says how a walk in pseudo time goes.
type pace struct {
	first       float64 // s, first step
	least, most float64 // bounds of a step over the one before
	move        float64 // most by which a state (K) may change in a step, as a part of it
	iterations  int
}

var (
	quick   = pace{first: 1, least: 0.2, most: 2e3, move: 0.3, iterations: 200}
	careful = pace{first: 1e-2, least: 1.3, most: 1.3, move: 2e-3, iterations: 10_000}
)

// Solver finds levels of one network. It keeps its memory between calls; one
// goroutine at a time.
type Solver struct {
	net       *network.Network
	pattern   sparse.Pattern
	lu        *sparse.LU
	jac       []float64
	f, move   []float64
	zero, one []float64
	start     []float64 // states from which the walk begins
	y         []float64 // trial state, of coolant enthalpies (see network.Network); quadratures included
	above     []float64 // a state above that one
	held      []bool    // lumps without a level
	heldNodes []network.Node
	stats     Stats
}

// Stats counts the work of the last call of Level.
type Stats struct {
	Iterations     int // steps of pseudo time, taken or refused
	Evaluations    int // of the right-hand side
	Factorisations int
}

// NewSolver prepares a solver for n.
func NewSolver(n *network.Network) *Solver {
	states, quads := n.Dim()
	pattern := n.Pattern()
	return &Solver{
		net: n, pattern: pattern,
		lu:        sparse.New(states, pattern, nil),
		jac:       make([]float64, len(pattern.Col)),
		zero:      make([]float64, states),
		f:         make([]float64, states+quads),
		move:      make([]float64, states),
		one:       slices.Repeat([]float64{1}, states),
		start:     make([]float64, states),
		y:         make([]float64, states+quads),
		above:     make([]float64, states+quads),
		held:      make([]bool, states),
		heldNodes: make([]network.Node, 0, states),
	}
}

// Renew prepares a solver for n in the memory of one that is no longer wanted, which
// may be nil; where n has another pattern, a new one.
func Renew(old *Solver, n *network.Network) *Solver {
	if old == nil {
		return NewSolver(n)
	}
	states, quads := n.Dim()
	pattern := n.Pattern()
	if states != len(old.move) || states+quads != len(old.y) || !old.pattern.Equal(pattern) {
		return NewSolver(n)
	}
	old.net, old.stats = n, Stats{}
	return old
}

// Stats returns the work of the last call of Level.
func (s *Solver) Stats() Stats { return s.stats }

// Level writes to dst the temperatures (K) at which the network settles under
// its present inputs, held as they are at time t, when it starts from start
// (finite, K). Both have one element a lump; they may be the same slice. Lumps
// that no link ties to a boundary have no level: they get NaN, and are
// returned in a slice that is valid until the next call. The error wraps
// ErrNoLevel if the network settles nowhere; dst is then left alone.
//
// The method is Newton's in pseudo time (Kelley & Keyes 1998, Convergence
// analysis of pseudo-transient continuation, SIAM J. Numer. Anal. 35:508): an
// implicit walk along the network's own transient with growing steps. Every
// step stays shorter than the time in which the linearised network would run
// away, so a level is stable. Leaks may leave a network several of them, or one
// beside a runaway: if it cannot be shown that start leads to the one found,
// the walk is done again in steps short enough to follow the transient. Before
// any walk Newton's method is tried alone: without leaks, or with weak ones, it
// takes three or four steps to a level that start can be shown to lead to.
func (s *Solver) Level(t float64, start, dst []float64) ([]network.Node, error) {
	if len(start) != len(s.move) || len(dst) != len(s.move) {
		panic("equilibrium: a state of another network")
	}
	s.stats = Stats{}
	s.heldNodes = s.net.AppendUndetermined(s.heldNodes[:0])
	clear(s.held)
	for _, n := range s.heldNodes {
		s.held[n] = true
	}
	s.net.States(start, s.start)
	copy(s.y, s.start)
	if len(s.heldNodes) < len(start) {
		if err := s.find(t); err != nil {
			return s.heldNodes, err
		}
	}
	s.net.Temperatures(s.y, dst)
	for _, n := range s.heldNodes {
		dst[n] = math.NaN()
	}
	return s.heldNodes, nil
}

// find moves the trial state from the start to the level.
func (s *Solver) find(t float64) error {
	if s.newton(t) && s.leads(t) {
		return nil
	}
	copy(s.y, s.start)
	if err := s.walk(t, quick); err == nil && s.leads(t) {
		return nil
	}
	copy(s.y, s.start)
	return s.walk(t, careful)
}

// newton moves the trial state to a stable equilibrium, not always the one to
// which it leads, and reports whether that was found in a few steps.
func (s *Solver) newton(t float64) bool {
	previous := math.Inf(1)
	for range 8 {
		s.stats.Iterations++
		s.evaluate(t)
		if !s.direct(0, quick.move) {
			return false
		}
		largest, at := s.take()
		if at >= 0 {
			return false
		}
		// What is left is less than if it shrank no faster than before; in truth the rate improves with every step.
		if arrived(largest, previous) || !math.IsInf(previous, 1) && largest*largest < converged*previous {
			return true
		}
		previous = largest
	}
	return false
}

// take adds the move to the trial state and returns the largest change (K), and
// the first lump that would then be hotter than any, or -1.
func (s *Solver) take() (largest float64, tooHot int) {
	for i, d := range s.move {
		s.y[i] += d
		largest = max(largest, math.Abs(d))
		if s.y[i] > hottest {
			return largest, i
		}
	}
	return largest, -1
}

// arrived reports whether a step of Newton's, by largest after previous (K),
// was the last.
func arrived(largest, previous float64) bool {
	return largest < converged || largest < stalled && largest > previous/2
}

// walk moves the trial state to the equilibrium.
func (s *Solver) walk(t float64, p pace) error {
	step := p.first
	residual, previous := s.evaluate(t), math.Inf(1)
	for range p.iterations {
		s.stats.Iterations++
		shift := 0.0
		if step <= longestStep {
			shift = 1 / step
		}
		if !s.direct(shift, p.move) {
			step = min(step, longestStep) / 2
			continue
		}
		largest, tooHot := s.take()
		if tooHot >= 0 {
			return fmt.Errorf("%w: %s would pass %g K", ErrNoLevel, s.net.Lumps()[tooHot], hottest)
		}
		if shift == 0 && arrived(largest, previous) {
			return nil
		}
		previous = largest
		// Switched evolution relaxation: the step grows as the residual falls.
		ratio, next := p.most, s.evaluate(t)
		if next > 0 {
			ratio = min(max(2*residual/next, p.least), p.most)
		}
		step *= ratio
		residual = next
	}
	return fmt.Errorf("%w: no equilibrium was found within %d iterations", ErrNoLevel, p.iterations)
}

// leads reports whether the trial state, a stable equilibrium whose Jacobian is
// factorised, is certainly the one to which the start leads. More heat anywhere
// makes no lump colder, so of two states, one nowhere above the other, the
// same holds ever after. From a state above both start and equilibrium, in
// which every lump cools, the network sinks; and if that state lies in the
// direction in which all lumps cool evenly, then, leaks being convex, they cool
// in all states between, and it sinks to the equilibrium and takes start along.
// (That a coolant's temperature bends over its state, by up to 4e-3 a
// kelvin, is left out of account: without leaks there is one equilibrium.)
func (s *Solver) leads(t float64) bool {
	s.lu.Solve(s.move, s.one, s.zero) // -J move = 1
	reach := 0.0
	for i, w := range s.move {
		reach = max(reach, (s.start[i]-s.y[i])/w)
	}
	if reach == 0 {
		return true // start is nowhere above: it is heated up to the equilibrium
	}
	copy(s.above, s.y)
	for i, w := range s.move {
		s.above[i] += reach * w
	}
	s.stats.Evaluations++
	s.net.F(t, s.above, s.f)
	for i, held := range s.held {
		if !held && !(s.f[i] < 0) {
			return false
		}
	}
	return true
}

// direct computes the move of one implicit step of pseudo time 1/shift, and
// reports whether it can be taken. It cannot if it goes too far, or if the
// linearised network grows faster than the step: then the step would lead away
// from where the network goes.
func (s *Solver) direct(shift, move float64) bool {
	s.stats.Factorisations++
	if s.lu.Factor(s.jac, shift, s.size()) >= 0 || !s.lu.Positive() {
		return false
	}
	s.lu.Solve(s.move, s.f, s.zero)
	for i, d := range s.move {
		if !(math.Abs(d) <= move*s.y[i]) {
			return false
		}
	}
	return true
}

// evaluate brings rates and Jacobian up to date and returns the largest rate,
// K/s. Lumps without a level are held.
func (s *Solver) evaluate(t float64) float64 {
	s.stats.Evaluations++
	s.net.F(t, s.y, s.f)
	s.net.Jacobian(t, s.y, s.jac)
	largest := 0.0
	for i, held := range s.held {
		if held {
			s.hold(i)
			continue
		}
		largest = max(largest, math.Abs(s.f[i]))
	}
	return largest
}

// hold replaces the equation of lump i by one that keeps it where it is.
func (s *Solver) hold(i int) {
	s.f[i] = 0
	for k := s.pattern.RowStart[i]; k < s.pattern.RowStart[i+1]; k++ {
		s.jac[k] = 0
		if s.pattern.Col[k] == i {
			s.jac[k] = -1
		}
	}
}

// size returns a bound of the Jacobian's entries, 1/s.
func (s *Solver) size() float64 {
	sum := 0.0
	for _, v := range s.jac[:s.pattern.RowStart[len(s.move)]] {
		sum += math.Abs(v)
	}
	return sum
}
