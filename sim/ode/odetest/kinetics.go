package odetest

import (
	"slices"

	"soakledger/sim/ode"
)

// newKinetics makes the mass-action equations of a set of reactions, with their exact Jacobian.
func newKinetics(species int, reactions []reaction) *Functions {
	k := &kinetics{reactions: reactions}
	k.findPattern(species)
	return &Functions{
		States:   species,
		Nonzeros: k.pattern,
		RHS:      k.rates,
		Jac:      k.jacobian,
	}
}

type kinetics struct {
	reactions []reaction
	pattern   ode.Pattern
}

func (k *kinetics) findPattern(species int) {
	rows := make([][]int, species)
	for _, r := range k.reactions {
		for _, list := range [][]int{r.reactants, r.products} {
			for _, s := range list {
				for _, by := range r.reactants {
					if !slices.Contains(rows[s-1], by-1) {
						rows[s-1] = append(rows[s-1], by-1)
					}
				}
			}
		}
	}
	for _, r := range rows {
		slices.Sort(r)
	}
	k.pattern = Rows(rows...)
}

func (k *kinetics) rates(_ float64, y, f []float64) {
	clear(f)
	for _, r := range k.reactions {
		v := r.rate
		for _, s := range r.reactants {
			v *= y[s-1]
		}
		for _, s := range r.reactants {
			f[s-1] -= v
		}
		for _, s := range r.products {
			f[s-1] += v
		}
	}
}

func (k *kinetics) jacobian(_ float64, y, jac []float64) {
	clear(jac)
	for _, r := range k.reactions {
		for i, by := range r.reactants {
			v := r.rate
			for j, s := range r.reactants {
				if j != i {
					v *= y[s-1]
				}
			}
			for _, s := range r.reactants {
				jac[k.at(s-1, by-1)] -= v
			}
			for _, s := range r.products {
				jac[k.at(s-1, by-1)] += v
			}
		}
	}
}

// at returns the place of (row, col) in the pattern.
func (k *kinetics) at(row, col int) int {
	start, end := k.pattern.RowStart[row], k.pattern.RowStart[row+1]
	i, _ := slices.BinarySearch(k.pattern.Col[start:end], col)
	return start + i
}
