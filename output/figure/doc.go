// Package figure draws runs over time: warm-up and cool-down of up to eight runs,
// a panel a quantity, over a strip of the power that was requested, as PNG or SVG.
//
// Lines are told apart by their dashes, so that the picture reads in grey; each has
// its name where it ends. Equal figures give equal bytes, on one build and one
// architecture. The package knows no file and no dataset: it takes plain numbers.
package figure
