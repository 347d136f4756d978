// Package work holds patterns of requested power over time: constant levels,
// steps and repeats. A Pattern is piecewise constant; its jumps are exact in
// time, computed from the pattern's own break points and never accumulated.
// Powers are in watt, times in seconds from the start of the run.
package work
