// Package assemble turns a scenario as stated into a network that can be run.
// Complete fills what was left out with the defaults of package part and lists
// every filled figure; Build derives volumes, masses and conductances and
// makes the lumps and links. Both are pure functions of the scenario, so that
// a varied scenario gives what a file with that value gives.
package assemble
