// Package work holds patterns of requested power over time and what makes
// them: levels, ramps and repeats, sessions of play, seeded bursts, replayed
// series, and companions of the same energy.
//
// A Pattern is piecewise linear: a cycle of pieces that runs a number of times,
// then rests. A Timeline joins the patterns of all sources of a network; a
// Cursor walks it. Between two breaks every power is a straight line. A break
// is a jump where some power changes at once, and a kink where only slopes do.
// Breaks are exact in time: each is computed from its cycle's number and its
// own place in the cycle, never from the break before it, so that they do not
// drift.
//
// Generators (Session, Renders, Bursts, Flat, Pulsed) return pieces; FromPieces
// makes them a pattern. Values may be powers, or shares that Pattern.Between
// stretches from a part's idle to its full power.
//
// Powers are in watt, times in seconds from the start of the run. Patterns and
// timelines are never changed once made, so that many runs may share them; a
// cursor belongs to one run.
package work
