package equilibrium

import (
	"errors"
	"fmt"
	"math"

	"soakledger/sim/network"
	"soakledger/sim/sparse"
)

// ErrNoLevel is wrapped by the error of a network that settles nowhere: its
// heat grows faster than its links carry it away.
var ErrNoLevel = errors.New("equilibrium: no level")

const (
	maxIterations = 400
	converged     = 1e-9  // K, largest change of the last Newton step
	stalled       = 1e-4  // K, below which a step that no longer shrinks is rounding
	firstStep     = 1.0   // s, first step of pseudo time
	largestMove   = 100.0 // K, a larger Newton step is cut to a step in pseudo time
	hottest       = 5e3   // K, beyond which a network counts as running away
)

// Solver finds levels of one network. It keeps its memory between calls; one
// goroutine at a time.
type Solver struct {
	net     *network.Network
	pattern sparse.Pattern
	lu      *sparse.LU
	jac     []float64
	f, move []float64
	zero    []float64
	y       []float64 // trial state, quadratures included
	loose   []bool
}

// NewSolver prepares a solver for n.
func NewSolver(n *network.Network) *Solver {
	states, quads := n.Dim()
	pattern := n.Pattern()
	return &Solver{
		net: n, pattern: pattern,
		lu:    sparse.New(states, pattern, nil),
		jac:   make([]float64, len(pattern.Col)),
		zero:  make([]float64, states),
		f:     make([]float64, states+quads),
		move:  make([]float64, states),
		y:     make([]float64, states+quads),
		loose: make([]bool, states),
	}
}

// Level writes to dst the temperatures (K) at which the network settles under
// its present inputs, held as they are at time t, when it starts from start.
// Both have one element a lump. Lumps that no link ties to a boundary have no
// level: they get NaN, and are returned. The error wraps ErrNoLevel if the
// network settles nowhere.
//
// The method is Newton's in pseudo time (Kelley & Keyes 1998, Convergence
// analysis of pseudo-transient continuation, SIAM J. Numer. Anal. 35:508): an
// implicit walk along the network's own transient with growing steps, so that
// of several equilibria it finds the one that the run would reach.
func (s *Solver) Level(t float64, start, dst []float64) ([]network.Node, error) {
	loose := s.net.Undetermined()
	clear(s.loose)
	for _, n := range loose {
		s.loose[n] = true
	}
	clear(s.y)
	copy(s.y, start)
	if len(loose) < len(dst) {
		if err := s.walk(t); err != nil {
			return loose, err
		}
	}
	copy(dst, s.y[:len(dst)])
	for _, n := range loose {
		dst[n] = math.NaN()
	}
	return loose, nil
}

// walk moves the trial state to the equilibrium.
func (s *Solver) walk(t float64) error {
	step := firstStep
	residual, previous := s.evaluate(t), math.Inf(1)
	for range maxIterations {
		shift := 1 / step
		if step > 1e12 {
			shift = 0 // Newton's method proper
		}
		if s.lu.Factor(s.jac, shift, s.size()) >= 0 {
			step /= 10
			continue
		}
		s.lu.Solve(s.move, s.f, s.zero)
		largest := s.largestMove()
		if largest > largestMove && shift > 0 {
			step /= 4
			continue
		}
		for i, d := range s.move {
			s.y[i] += d
			if !(s.y[i] > 0 && s.y[i] < hottest) {
				return fmt.Errorf("%w: %s would pass %g K", ErrNoLevel, s.net.Lumps()[i], hottest)
			}
		}
		if shift == 0 && (largest < converged || largest < stalled && largest > previous/2) {
			return nil
		}
		previous = largest
		next := s.evaluate(t)
		step *= growth(residual, next)
		residual = next
	}
	return fmt.Errorf("%w: no equilibrium was found within %d iterations", ErrNoLevel, maxIterations)
}

// growth returns the factor of the pseudo-time step after the residual went
// from before to after (switched evolution relaxation, kept within bounds).
func growth(before, after float64) float64 {
	if after == 0 {
		return 1e3
	}
	return math.Min(math.Max(before/after, 0.1), 1e3) * 2
}

// evaluate brings rates and Jacobian up to date and returns the largest rate,
// K/s. Loose lumps are held.
func (s *Solver) evaluate(t float64) float64 {
	s.net.F(t, s.y, s.f)
	s.net.Jacobian(t, s.y, s.jac)
	largest := 0.0
	for i, loose := range s.loose {
		if loose {
			s.hold(i)
			continue
		}
		largest = math.Max(largest, math.Abs(s.f[i]))
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

// largestMove returns the largest change of the step in hand, K.
func (s *Solver) largestMove() float64 {
	largest := 0.0
	for _, d := range s.move {
		if math.IsNaN(d) {
			return math.Inf(1)
		}
		largest = math.Max(largest, math.Abs(d))
	}
	return largest
}
