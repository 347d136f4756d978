// Package fit lays measured logs beside a run. Compare takes the run's trace and
// what a log says of some of its temperatures, and returns how far they lie apart;
// Wider puts measured values and residuals into the run's tables:
//
//	c, err := fit.Compare(result.Trace, measured, fit.Settings{})
//	frames, err = c.Wider(frames)
//
// No figure of the scenario is changed: nothing is estimated here.
//
// # What is compared
//
// Every difference is measured minus modelled, K: above zero where the machine is
// warmer than the model. Figures are taken at the samples of the log that lie
// within the run, where the model is read off the trace along straight lines
// between its rows. What a log would have said between its samples is not
// guessed, so a log that is sparse but right differs by nothing.
//
// Means and squares are weighted by time: a sample counts for half of the step
// before it and half of the step behind it, gaps left out. So an irregular log
// does not weigh more where it is dense, and the root mean square of noise is that
// of the noise.
//
// The offset at the start is the difference at the first common sample, one
// sample with all of its noise. The figures that are left when it is taken away
// tell an error that a sensor always has from what the model gets wrong.
//
// In the trace, on its own grid, measured values go along straight lines between
// samples; before the first one, behind the last one and within gaps there are
// none. Where samples lie far apart and the temperature bends, these lines cut
// corners that the figures do not.
package fit
