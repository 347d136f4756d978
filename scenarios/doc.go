// Package scenarios reads and writes scenario files and ships examples of
// them. Files are YAML (JSON is YAML). They are read from the syntax tree, so
// that every message names line, column and path, tells what was given and
// what is allowed, and shows an example; all errors of a file come at once.
//
// Keys, ranges and references are not known here: they come from the struct
// tags and checks of sim/spec. Units are the business of quantity.
package scenarios
