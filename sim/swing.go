package sim

import (
	"context"
	"errors"
	"fmt"
	"math"

	"soakledger/sim/metric"
	"soakledger/sim/spec"
)

// Swing is the periodic steady state that work leads to which repeats itself for ever.
type Swing struct {
	Period  float64        // s, of the work
	Rounds  int            // cycles of the work after which the machine is where it was; mostly 1
	Cycles  int            // that were integrated until it was
	Off     float64        // K, how far any lump may still be from it, as far as is foretold
	Subject metric.Swing   // of what the scenario's figures are of, over all rounds; times are those in their cycle
	Nodes   []metric.Swing // of the other watched nodes, in the order of Plan.Watched
}

// ErrNoCycle is wrapped by the error of a scenario whose work does not repeat itself.
var ErrNoCycle = errors.New("the work does not repeat itself")

// ErrNoSwing is wrapped by the error of a scenario whose work repeats itself and
// leads to no periodic steady state that could be told; the error says why.
var ErrNoSwing = errors.New("no periodic steady state")

// How well a cycle must repeat itself.
const (
	repeated      = 1e-4 // K that any lump may still have to go
	alike         = 1e-3 // K by which the swings of two cycles may differ
	fineTolerance = 1e-5 // K a step: cycles are few, and at 0.2 mK a die that throttles was 0.18 mK off
)

// SwingOf finds the periodic steady state that the work of a scenario leads to if the
// cycle that its run repeats, see work.Timeline.Cycle, goes on for ever. Controllers,
// throttles and limits take part as they do in a run.
//
// Mostly the cycle is integrated from the level of its mean power until it ends as it
// began; what slow masses still have to go is foretold by the linearised network and
// made good, so that few cycles do. Where there may be several such states, since
// hysteresis, hold, fans that stand, a throttle or a PI let the past decide, the
// cycles are integrated from where the run starts, as they come.
//
// The scenario must be as New wants it; it is not changed. The error wraps
// assemble.Problems where the scenario is at fault, ErrNoCycle or ErrNoSwing where
// there is nothing to find, and the context's error if ctx is done.
func SwingOf(ctx context.Context, s *spec.Scenario) (*Swing, error) {
	s = s.Clone()
	s.Solver.Tolerance = spec.Some(math.Min(s.Solver.Tolerance.Or(fineTolerance), fineTolerance))
	swing, ended, err := swingOf(ctx, s, true)
	if ended { // what was made good may have led out of the range where the work would not
		swing, _, err = swingOf(ctx, s, false)
	}
	if err != nil {
		return nil, fmt.Errorf("finding the swing: %w", err)
	}
	return swing, nil
}

// swingOf is SwingOf, which may foretell or not, and reports whether cycles that were
// foretold ended the simulation.
func swingOf(ctx context.Context, s *spec.Scenario, foretell bool) (swing *Swing, ended bool, err error) {
	o, err := newOrbit(s, foretell)
	if err != nil {
		return nil, false, err
	}
	swing, err = o.settle(ctx)
	return swing, o.to != nil && o.over, err
}

// noSwing is an ErrNoSwing that says nothing but its reason.
type noSwing string

func (e noSwing) Error() string { return string(e) }

// Unwrap makes it an ErrNoSwing.
func (e noSwing) Unwrap() error { return ErrNoSwing }

// settle integrates rounds of cycles until one ends as it, or one shortly before, began,
// and returns what happens between.
func (o *orbit) settle(ctx context.Context) (*Swing, error) {
	for n := 1; n <= o.most; n++ {
		o.remember()
		o.swings.Begin(o.phaseFrom, o.phaseEnd)
		if err := o.run(ctx); err != nil {
			return nil, err
		}
		for m := range o.past {
			if o.look(m + 1); o.far <= repeated && o.differs(m+1) == "" {
				return o.confirm(ctx, n, m+1)
			}
		}
		if o.look(1); o.to != nil && n <= mostCorrected {
			o.correct()
		}
	}
	return nil, o.unsettled()
}

// run integrates one round.
func (o *orbit) run(ctx context.Context) error {
	for n, end := 0, o.phaseEnd; o.it.Time() < end; n++ {
		if n%256 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		ended, err := o.Step()
		why := o.shutDown()
		switch {
		case err != nil:
			why = err.Error()
		case ended:
			why = o.reason
		}
		if why != "" {
			o.over = true
			return noSwing(why)
		}
	}
	return nil
}

// shutDown says which chip has shut down, after which no cycle is like those before.
func (o *orbit) shutDown() string {
	for _, p := range o.protectors {
		if p.off {
			return fmt.Sprintf("%s shuts down at %.0f degC", p.chip.Name, p.chip.Shutdown-zeroCelsius)
		}
	}
	return ""
}

// confirm returns what happens after n rounds, of which the last ended as a number of
// them before began. Where samples that set a speed keep no step, as many rounds again
// must look alike.
func (o *orbit) confirm(ctx context.Context, n, rounds int) (*Swing, error) {
	w := &Swing{Period: o.cycle.Length, Rounds: rounds * o.cycles, Cycles: n * o.cycles, Off: o.far}
	var found []metric.Swing
	if rounds == 1 {
		found = o.figures()
	}
	for k := 0; found == nil || k < mostInStep && o.outOfStep(); k++ {
		o.swings.Begin(o.phaseFrom, o.phaseFrom+float64(rounds)*o.period)
		for range rounds {
			o.remember()
			if err := o.run(ctx); err != nil {
				return nil, err
			}
		}
		next := o.figures()
		for i := range found {
			if off := apart(found[i], next[i]); off > alike {
				return nil, noSwing(fmt.Sprintf("no cycle is like the last, by up to %.2g K: samples that set a speed fall elsewhere in each", off))
			}
		}
		if found == nil {
			found = next
		}
	}
	w.Subject, w.Nodes = found[0], found[1:]
	return w, nil
}

// apart returns the largest difference between two swings, K.
func apart(a, b metric.Swing) float64 {
	return math.Max(math.Abs(a.Lowest-b.Lowest), math.Max(math.Abs(a.Highest-b.Highest), math.Abs(a.Mean-b.Mean)))
}

// figures returns the swings that have just been seen, the subject's first. The end of a
// cycle is its start.
func (o *orbit) figures() []metric.Swing {
	all, _ := o.swings.Figures()
	for i := range all {
		w := &all[i]
		for _, at := range [...]*float64{&w.LowestAt, &w.HighestAt} {
			if *at = math.Mod(*at, o.cycle.Length); *at >= o.cycle.Length*(1-1e-9) {
				*at = 0
			}
		}
	}
	return all
}

// unsettled says that no cycle ended as it began, and what may be the cause.
func (o *orbit) unsettled() error {
	text := fmt.Sprintf("after %d cycles it does not repeat itself", o.most*o.cycles)
	if o.far > repeated {
		text += fmt.Sprintf(": %s has %.2g K to go", o.Plan.Nodes[o.worst].Path, o.far)
	}
	if what := o.differs(1); what != "" {
		text += "; " + what + " is not where it was a cycle before"
	}
	return noSwing(text)
}
