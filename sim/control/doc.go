// Package control holds what decides in a machine: fan and pump controllers,
// power limits, throttles, shutdowns and faults. It knows no clock, no heat and
// no network. Everything is a plain description and a plain state: what is
// observed goes in, what a part is told comes out, and the same arguments give
// the same result. Nothing that runs with the integration allocates once it has
// been built; Hunting, which judges a finished record, does.
//
// Temperatures are in kelvin, powers in watt, times in seconds of model time.
// The output of a controller is whatever its curve says: a share of full speed,
// or a speed in revolutions per second.
//
// # Continuous and sampled
//
// A controller without a period is a Curve: At gives a value and its slope, and
// belongs inside the right-hand side. A Sampled controller looks at its input at
// Offset + k Period only and holds its output in between. Each sample goes
// through one chain:
//
//	input ─► mean of the last Window seconds ─► hysteresis, hold ─► curve or PI
//	                       │                                            │
//	                       └─► standing below Zero.Below ──┐            ▼
//	                                                       │       Min, Max, rounding
//	                                                       ▼            │
//	           output ◄── rounding ◄── slew ◄── start and stop ◄────────┘
//
// The sample sees the input at its own instant, and its output holds from that
// instant (a right limit) until the next sample. An example: period 1 s, curve
// output = input / 100, hysteresis up 2, down 3, hold up 2 s, slew up 0.1 /s:
//
//	time, s         0     1     2     3     4     5     6     7     8
//	input          30    32    33    60    60    60    59    56    50
//	above held by         2     3    30
//	wait                  |─ 2 s of ─►|
//	below held by                                       1     4     6
//	held input     30    30    30    60    60    60    60    56    50
//	asked for    0.30  0.30  0.30  0.60  0.60  0.60  0.60  0.56  0.50
//	output       0.30  0.30  0.30  0.40  0.50  0.60  0.60  0.56  0.50
//	changed                         yes   yes   yes         yes   yes
//
// Hysteresis: the held input, with which the curve works, follows the mean only
// when it differs from it by at least Up (above) or Down (below); it then takes
// the mean's value. Hold: it must have differed by as much, in that direction,
// at every sample for that long; a sample that does not starts the wait anew.
//
// SampledState is a value. To look ahead, copy it and give the copy the samples
// of the step at hand; keep the copy of the first sample that reports a change,
// and cut the step there.
//
// # States that switch
//
// A throttle, a power limit, a shutdown and a fault that waits for a condition
// tell which Crossing they wait for, so that it can be located, and their Next
// decides from the values found there. After Next every crossing waited
// for lies strictly ahead: a value exactly on a level never switches to and fro,
// and a crossing is never lost. Chatter is the guard that remains.
//
// # Order
//
// What happens at one instant happens in a fixed order, see Event: faults, then
// limits (shutdowns and throttles among them), then controllers; within a kind
// in file order. A controller thus samples a machine that already has its fault.
package control
