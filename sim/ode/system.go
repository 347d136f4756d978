package ode

import "soakledger/sim/sparse"

// System is the right-hand side of an initial value problem y' = f(t,y) in n states that carries
// m quadratures q' = g(t,y) along. Every vector handed over holds the n states first and the
// m quadratures after them.
//
// Quadratures are integrated by the same formulas as the states (same nodes, same order), but their
// values may enter neither f nor g, and they take part neither in the error norm nor in the linear solve.
// If f and g satisfy sum(c_i f_i) + sum(g_j) = 0 for constants c_i, the numerical solution conserves
// sum(c_i y_i) + sum(q_j) to rounding.
//
// The methods must not keep or change y. They are called from one goroutine at a time.
type System interface {
	// Dim returns the number of states n >= 1 and of quadratures m >= 0. It must never change.
	Dim() (states, quadratures int)
	// Pattern returns the structural nonzeros of the Jacobian of (f, g) with respect to the states:
	// n+m rows, n columns. It is read once, by New.
	Pattern() Pattern
	// F writes f(t,y) and g(t,y) to dydt; len(y) = len(dydt) = n+m.
	F(t float64, y, dydt []float64)
	// Jacobian writes the derivatives at the structural nonzeros, in Pattern order, to jac.
	// The methods rely on it being exact: an approximate Jacobian lowers their order.
	Jacobian(t float64, y, jac []float64)
	// TimeDerivative writes the partial derivatives of f and g with respect to t to dfdt (length n+m) and
	// returns true, or returns false, leaving dfdt alone, where they are zero.
	TimeDerivative(t float64, y, dfdt []float64) bool
}

// Pattern lists the structural nonzeros of a sparse matrix by compressed rows. Diagonal entries may be left out.
type Pattern = sparse.Pattern
