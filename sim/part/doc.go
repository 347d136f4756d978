// Package part holds the models of a loop's parts as pure functions and small
// immutable values in SI units (volumes, masses, heat capacities, conductances,
// pressure drops, heads) and, beside them, the default of every figure that a
// scenario may leave out, with the range in which the true one usually lies.
// [Catalogue] lists them all.
//
// What an implicit solver calls is continuously differentiable in flow, speed
// and temperature, returns its slopes with the value, stays finite through
// rest, and allocates nothing.
package part
