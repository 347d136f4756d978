package odetest

import "soakledger/sim/ode"

// Problem is an initial value problem with a known answer.
type Problem struct {
	Name   string
	Source string // where the equations and the answer come from
	System ode.System
	T0, T1 float64
	Y0     []float64 // states, then quadratures

	// End is the solution at T1; states without a published value are NaN. Nil if only Exact is known.
	End []float64
	// Exact writes the solution at time t to y, or is nil.
	Exact func(t float64, y []float64)
	// Scale is, for each state, the smallest size of it that matters: AbsTol = RelTol * Scale is a suitable choice.
	Scale []float64
}

// Settings returns tolerances that suit the problem: relative rtol, absolute rtol times Scale.
func (p *Problem) Settings(rtol float64) ode.Settings {
	abs := make([]float64, len(p.Scale))
	for i, s := range p.Scale {
		abs[i] = rtol * s
	}
	return ode.Settings{AbsTol: abs, RelTol: []float64{rtol}}
}

// Functions is an ode.System made of functions.
type Functions struct {
	States, Quadratures int
	Nonzeros            ode.Pattern
	RHS                 func(t float64, y, dydt []float64)
	Jac                 func(t float64, y, jac []float64)
	Dt                  func(t float64, y, dfdt []float64) // nil: f does not depend on t
}

// Dim returns the numbers of states and quadratures.
func (f *Functions) Dim() (states, quadratures int) { return f.States, f.Quadratures }

// Pattern returns Nonzeros.
func (f *Functions) Pattern() ode.Pattern { return f.Nonzeros }

// F calls RHS.
func (f *Functions) F(t float64, y, dydt []float64) { f.RHS(t, y, dydt) }

// Jacobian calls Jac.
func (f *Functions) Jacobian(t float64, y, jac []float64) { f.Jac(t, y, jac) }

// TimeDerivative calls Dt, if there is one.
func (f *Functions) TimeDerivative(t float64, y, dfdt []float64) bool {
	if f.Dt == nil {
		return false
	}
	f.Dt(t, y, dfdt)
	return true
}

// Rows makes a pattern from the columns of each row.
func Rows(rows ...[]int) ode.Pattern {
	p := ode.Pattern{RowStart: []int{0}}
	for _, r := range rows {
		p.Col = append(p.Col, r...)
		p.RowStart = append(p.RowStart, len(p.Col))
	}
	return p
}

// Dense returns the pattern of a full rows x cols matrix.
func Dense(rows, cols int) ode.Pattern {
	p := ode.Pattern{RowStart: []int{0}}
	for range rows {
		for j := range cols {
			p.Col = append(p.Col, j)
		}
		p.RowStart = append(p.RowStart, len(p.Col))
	}
	return p
}
