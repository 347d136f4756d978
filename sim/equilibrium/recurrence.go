package equilibrium

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"soakledger/sim/network"
)

// Recurrence foretells where a network is led by inputs that repeat: the state at the
// start of their cycle after all cycles that are still to come. It is exact for a
// network that is linear, and else as good as the linearised network is over a cycle.
type Recurrence struct {
	left *mat.Dense // what is left of a small deviation of each state after a cycle
	lu   mat.LU     // of 1 - left
}

// ErrUnstable is the error of a network in which small deviations grow or last.
var ErrUnstable = errors.New("equilibrium: small deviations from the level do not decay")

// NewRecurrence linearises a network at temperatures (K, one a lump) and time t, for a
// cycle of a length (s, > 0). The error says that the network has more than
// MaxModeLumps, that a temperature is not finite, or is ErrUnstable.
func NewRecurrence(n *network.Network, t float64, temperatures []float64, length float64) (*Recurrence, error) {
	lumps := len(temperatures)
	a, _, err := linearisedAt(n, t, temperatures, "to foretell a cycle")
	if err != nil {
		return nil, err
	}
	values, err := eigenvalues(a)
	if err != nil {
		return nil, err
	}
	for _, v := range values {
		if real(v) > -leastRate {
			return nil, ErrUnstable
		}
	}
	a.Scale(length, a)
	r := &Recurrence{left: mat.NewDense(lumps, lumps, nil)}
	r.left.Exp(a)
	gone := mat.NewDense(lumps, lumps, nil)
	for i := range lumps {
		gone.Set(i, i, 1)
	}
	gone.Sub(gone, r.left)
	r.lu.Factorize(gone)
	return r, nil
}

// eigenvalues returns those of a matrix.
func eigenvalues(a *mat.Dense) ([]complex128, error) {
	if norm := mat.Norm(a, 1); math.IsNaN(norm) || math.IsInf(norm, 0) {
		return nil, errors.New("equilibrium: modes of a temperature that is not finite")
	}
	var eig mat.Eigen
	if !eig.Factorize(a, mat.EigenNone) {
		return nil, errors.New("equilibrium: the eigenvalues did not converge")
	}
	return eig.Values(nil), nil
}

// ToCome writes to dst how far states will still move in all further cycles together,
// if one cycle has moved them by moved (K of states, one a lump).
func (r *Recurrence) ToCome(moved, dst []float64) {
	// A cycle moves a state by what is gone of all that was to come before it.
	var before, after mat.VecDense
	if err := r.lu.SolveVecTo(&before, false, mat.NewVecDense(len(moved), moved)); err != nil {
		panic(fmt.Sprintf("equilibrium: %v", err)) // what decays is never all that is left
	}
	after.MulVec(r.left, &before)
	copy(dst, after.RawVector().Data)
}
