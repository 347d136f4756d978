package equilibrium

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"soakledger/sim/network"
)

// MaxModeLumps is the largest network whose modes are computed: the work grows
// with the cube of the number of lumps.
const MaxModeLumps = 200

// Mode is one way in which the network returns to its level.
type Mode struct {
	Tau    float64   // s, time constant of its decay
	Period float64   // s, of its swing; 0 if it does not swing
	Shares []float64 // one a lump, sum 1: energy |C_i r_i| over that of all, of the right eigenvector r of states
}

// Modes returns the modes of the network linearised at temperatures (K, one a
// lump) and time t, slowest first; a pair that swings counts once. Modes that do
// not decay are left out: those of lumps that no link ties to a boundary, and
// those that grow, which there are where leaks outrun links. Masses that are
// passed through one after the other, all equal, share one time constant; it is
// then listed once for each, with equal shares or nearly so.
//
// The error says that the network has more than MaxModeLumps, that a temperature
// is not finite, or that the eigenvalues did not converge.
func Modes(n *network.Network, t float64, temperatures []float64) ([]Mode, error) {
	lumps := len(temperatures)
	a, y, err := linearisedAt(n, t, temperatures, "for all modes")
	if err != nil {
		return nil, err
	}
	if norm := mat.Norm(a, 1); math.IsNaN(norm) || math.IsInf(norm, 0) {
		return nil, errors.New("equilibrium: modes of a temperature that is not finite")
	}
	var eig mat.Eigen
	if !eig.Factorize(a, mat.EigenRight) {
		return nil, errors.New("equilibrium: the eigenvalues did not converge")
	}
	values := eig.Values(nil)
	var vectors mat.CDense
	eig.VectorsTo(&vectors)
	var modes []Mode
	for k, v := range values {
		if imag(v) < 0 || real(v) > -leastRate {
			continue
		}
		m := Mode{Tau: -1 / real(v), Shares: make([]float64, lumps)}
		if imag(v) > 0 {
			m.Period = 2 * math.Pi / imag(v)
		}
		for i := range m.Shares {
			lump := network.Node(i)
			heat := n.Capacity(lump, temperatures[i]) * n.Slope(lump, y[i]) // J per kelvin of state
			m.Shares[i] = heat * cmplx.Abs(vectors.At(i, k))
		}
		floats.Scale(1/floats.Sum(m.Shares), m.Shares)
		modes = append(modes, m)
	}
	slices.SortStableFunc(modes, func(a, b Mode) int { return cmp.Compare(b.Tau, a.Tau) })
	return modes, nil
}

// leastRate is the slowest decay that is told from none, 1/s: a time constant
// of three years.
const leastRate = 1e-8

// linearisedAt returns the Jacobian at temperatures (K, one a lump) and time t, and the
// state there. The error says that the lumps are too many for a purpose.
func linearisedAt(n *network.Network, t float64, temperatures []float64, purpose string) (a *mat.Dense, y []float64, err error) {
	if lumps := len(temperatures); lumps > MaxModeLumps {
		return nil, nil, fmt.Errorf("equilibrium: %d lumps are too many %s, at most %d", lumps, purpose, MaxModeLumps)
	}
	states, quads := n.Dim()
	y = make([]float64, states+quads)
	n.States(temperatures, y[:states])
	return linearise(n, t, y), y, nil
}

// linearise returns the Jacobian of the lumps at state y as a dense matrix.
func linearise(n *network.Network, t float64, y []float64) *mat.Dense {
	states, _ := n.Dim()
	p := n.Pattern()
	values := make([]float64, len(p.Col))
	n.Jacobian(t, y, values)
	a := mat.NewDense(states, states, nil)
	for i := range states {
		for k := p.RowStart[i]; k < p.RowStart[i+1]; k++ {
			a.Set(i, p.Col[k], values[k])
		}
	}
	return a
}
