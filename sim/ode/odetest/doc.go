// Package odetest holds initial value problems with known answers, and checks for systems and
// methods, for use in tests of package ode and of whatever implements ode.System.
//
// The published problems are those of the Test Set for IVP Solvers: W.M. Lioen & J.J.B. de Swart, Test Set for
// Initial Value Problem Solvers, CWI report MAS-R9832, 1998, and F. Mazzia & C. Magherini, release 2.4, University of
// Bari, 2008, with the end values given there.
package odetest
