// Package sparse factorises the matrices shift I - J of networks: small, mostly
// empty, always of one structure, and close to symmetric in it, so that a fixed
// order of diagonal pivots, found once by minimum degree, serves every
// factorisation.
package sparse
