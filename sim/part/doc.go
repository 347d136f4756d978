// Package part holds the models of a loop's parts as pure functions in SI
// units (volumes, heat capacities, conductances) and, beside them, the default
// of every figure that a scenario may leave out, with the range in which the
// true one usually lies.
package part
