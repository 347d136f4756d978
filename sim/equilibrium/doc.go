// Package equilibrium finds where a network settles under constant inputs (its
// level) and how it gets there (its modes): the time constants of the
// linearised network and which masses own them. Temperatures are in kelvin,
// times in seconds.
package equilibrium
