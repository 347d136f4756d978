package sim

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/equilibrium"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// orbit is a simulation of endless cycles. As many as keep step with the samples of all
// controllers are a round, and a phase.
type orbit struct {
	*Simulation
	cycle  work.Cycle
	cycles int                     // in a round
	inStep bool                    // with it
	most   int                     // rounds that may be integrated
	to     *equilibrium.Recurrence // foretells; nil where cycles are integrated as they come
	tau    float64                 // s, the slowest time constant
	past   []memory                // at the start of the last rounds, the newest first
	moved  []float64               // K of states, by the rounds that were looked at
	toCome []float64               // K of states, in all further rounds together
	far    float64                 // K, the most that any lump still has to go
	worst  int                     // that lump
	over   bool                    // nothing can go on
}

// How many rounds may be integrated.
const (
	mostForetold  = 60
	mostCorrected = 30  // of them, after which what is foretold is made good
	leastAsComes  = 40  // where they are integrated as they come ...
	mostAsComes   = 600 // ... for up to
	settlingTaus  = 40  // of the slowest time constants: a speed that changes late begins them anew
	mostPast      = 4   // rounds after which a machine may be where it was: hysteresis doubles them
	mostInStep    = 12  // cycles in a round
)

// newOrbit assembles a scenario and sets it to the start of its cycle, to be foretold
// if that is asked for and can be.
func newOrbit(scenario *spec.Scenario, foretell bool) (*orbit, error) {
	s, err := New(scenario, Settings{NoTrace: true})
	if err != nil {
		return nil, err
	}
	c, ok := cycleOf(s.Plan, s.end)
	switch {
	case !ok:
		return nil, ErrNoCycle
	case len(s.faults) > 0:
		return nil, noSwing("faults change the machine on its way")
	case s.Plan.RoomMoves():
		return nil, noSwing("the room moves along a schedule or a log, so that no cycle is like the last")
	}
	states := len(s.levelAt)
	o := &orbit{Simulation: s, cycle: c, most: mostForetold, moved: make([]float64, states), toCome: make([]float64, states)}
	o.keepStep()
	s.Plan.Timeline, s.cursor = c.Load, work.NewCursor(c.Load)
	s.period, s.end = float64(o.cycles)*c.Length, math.Inf(1)
	level, err := o.meanLevel()
	if err != nil {
		return nil, err
	}
	if err := o.setOut(level, foretell); err != nil {
		return nil, err
	}
	w := s.watched()
	s.swings = metric.NewSwings(0, s.period, append([]int{w.Subject}, w.Nodes...))
	return o, o.begin()
}

// keepStep finds the cycles after which the samples of all controllers fall where they
// did, at most mostInStep.
func (o *orbit) keepStep() {
	for o.cycles = 1; o.cycles <= mostInStep; o.cycles++ {
		if !slices.ContainsFunc(o.controllers, func(c *controller) bool { return c.Sampled != nil && !c.inStep(float64(o.cycles)*o.cycle.Length) }) {
			o.inStep = true
			return
		}
	}
	o.cycles = 1
}

// inStep reports whether a time (s) is a whole number of samples, but for rounding.
func (c *controller) inStep(t float64) bool {
	samples := t / (c.Sampled.Time(1) - c.Sampled.Time(0))
	return math.Abs(samples-math.Round(samples)) < 1e-9*samples
}

// outOfStep reports whether any speed that keeps no step with a round changed in the last.
func (o *orbit) outOfStep() bool {
	for i, c := range o.controllers {
		if !o.inStep && c.Sampled != nil && !c.inStep(o.period) && len(c.changes) > len(o.past[0].controllers[i].changes) {
			return true
		}
	}
	return false
}

// meanLevel returns the level of the cycle's mean power (K, one a lump), or nil if there
// is none that the model knows and something may cut the power before it.
func (o *orbit) meanLevel() ([]float64, error) {
	s := o.Simulation
	s.Plan.Timeline.Mean(0, s.period, s.in.Power)
	for _, p := range s.protectors {
		p.request = s.in.Power[p.chip.Source]
	}
	s.setLevelInputs(0, s.period)
	loose, err := s.solveLevel(0, s.initial[:len(s.levelAt)])
	switch {
	case len(loose) > 0:
		return nil, noSwing(s.tiedToNothing(loose))
	case err != nil && len(s.protectors) == 0:
		return nil, noSwing(fmt.Sprintf("its mean power leads nowhere: %v", err))
	case err != nil:
		return nil, nil
	}
	for i, l := range s.limits {
		if l.beyond(s.levelAt[i]) != "" {
			return nil, nil
		}
	}
	return s.levelAt, nil
}

// setOut sets the simulation to the level, to foretell from there, unless the past
// decides or small deviations from the level grow.
func (o *orbit) setOut(level []float64, foretell bool) error {
	at := level
	if at == nil {
		at = o.initial[:len(o.levelAt)]
	}
	modes, err := equilibrium.Modes(o.Plan.Network, 0, at)
	if err != nil {
		return noSwing(err.Error())
	}
	if len(modes) > 0 {
		o.tau = modes[0].Tau
	}
	if foretell && level != nil && !o.pastDecides() {
		o.to, err = equilibrium.NewRecurrence(o.Plan.Network, 0, level, o.period)
	}
	if err != nil || o.to == nil {
		o.most = int(math.Max(leastAsComes, math.Min(mostAsComes, settlingTaus*o.tau/o.period)))
		return nil
	}
	copy(o.initial, level)
	return nil
}

// pastDecides reports whether the machine has switches that remember.
func (o *orbit) pastDecides() bool {
	return slices.ContainsFunc(o.controllers, func(c *controller) bool { return c.Sampled != nil && c.Sampled.Remembers() }) ||
		slices.ContainsFunc(o.protectors, func(p *protector) bool { return p.chip.Throttle != nil })
}

// begin starts the cycles: where they are foretold, with everything at rest at the level.
func (o *orbit) begin() error {
	s := o.Simulation
	if o.to != nil {
		if err := o.rest(); err != nil {
			return err
		}
	}
	s.beginPhase(0)
	return nil
}

// rest sets the machine to the level and lets all that remembers be as if it had been
// there for ever, at the mean power.
func (o *orbit) rest() error {
	s := o.Simulation
	temperatures := s.initial[:len(s.levelAt)]
	s.settleControllers(s.initial)
	s.settleProtectors(s.initial)
	mean := make([]float64, len(s.in.Power))
	s.Plan.Timeline.Mean(0, s.period, mean)
	for _, p := range s.protectors {
		for i, l := range p.chip.Limits {
			p.averages[i] = math.Min(mean[p.chip.Source]+p.leak, l.Long)
		}
	}
	copy(s.lowest, temperatures)
	copy(s.highest, temperatures)
	s.Plan.Network.States(temperatures, s.y0[:len(temperatures)])
	copy(s.low, s.y0)
	copy(s.high, s.y0)
	if err := s.it.Start(0, s.y0); err != nil {
		return fmt.Errorf("starting the integrator: %w", err)
	}
	return nil
}

// roundAfter returns the end of the round that begins, s: where the load turns there,
// to the bit.
func (s *Simulation) roundAfter() float64 {
	const little = 1e-11 // of a time, more than rounding and less than any piece of work
	end := float64(len(s.phases)+1) * s.period
	if b, ok := s.cursor.Next(end * (1 - little)); ok && b.At <= end*(1+little) {
		return b.At
	}
	return end
}

// memory is all that a machine carries over into the next round.
type memory struct {
	state       []float64
	controllers []controller
	protectors  []protector // with averages and regimes of their own
}

// remember keeps what the machine carries over at present.
func (o *orbit) remember() {
	m := memory{state: slices.Clone(o.it.State())}
	for _, c := range o.controllers {
		m.controllers = append(m.controllers, *c)
	}
	for _, p := range o.protectors {
		one := *p
		one.averages, one.regimes = slices.Clone(p.averages), slices.Clone(p.regimes)
		m.protectors = append(m.protectors, one)
	}
	o.past = append([]memory{m}, o.past[:min(len(o.past), mostPast-1)]...)
}

// look finds how far lumps still have to go after some rounds: as far as these have
// moved them, or is still to come.
func (o *orbit) look(rounds int) {
	state, length := o.it.State(), float64(rounds)*o.period
	for i := range o.moved {
		o.moved[i] = state[i] - o.past[rounds-1].state[i]
		o.toCome[i] = remaining(o.moved[i], length, o.tau)
	}
	if o.to != nil && rounds == 1 {
		o.to.ToCome(o.moved, o.toCome)
	}
	o.far, o.worst = 0, 0
	for i := range o.moved {
		if far := math.Max(math.Abs(o.moved[i]), math.Abs(o.toCome[i])); far > o.far {
			o.far, o.worst = far, i
		}
	}
}

// correct goes to where all further cycles together are foretold to lead.
func (o *orbit) correct() {
	state := slices.Clone(o.it.State())
	for i, d := range o.toCome {
		state[i] += d
	}
	o.it.SetState(state)
	o.setInputs(o.it.Time())
	o.past = nil // it did not lead here
}

// differs says what carries over another past than some rounds before, or nothing.
func (o *orbit) differs(rounds int) string {
	before, length := o.past[rounds-1], float64(rounds)*o.period
	for i, c := range o.controllers {
		if c.Sampled != nil && !c.like(&before.controllers[i], length) {
			return "the controller of " + c.Name
		}
	}
	for i, p := range o.protectors {
		if !p.like(&before.protectors[i], length) {
			return "what protects " + p.chip.Name
		}
	}
	return ""
}

// like reports whether a sampled controller is where it was some time (length, s)
// before, to what moves nothing.
func (c *controller) like(before *controller, length float64) bool {
	const littleOutput = 1e-6 // over rated, that a PI may gather in a round
	reading := c.sensed.reading - before.sensed.reading
	return remaining(reading, length, c.Lag) <= repeated && c.state.Like(&before.state, repeated, littleOutput)
}

// like reports whether a chip is protected as it was some time (length, s) before.
func (p *protector) like(before *protector, length float64) bool {
	for i, l := range p.chip.Limits {
		if p.regimes[i] != before.regimes[i] || remaining(p.averages[i]-before.averages[i], length, l.Tau) > littlePower {
			return false
		}
	}
	return p.on == before.on
}

// remaining returns the size of all that is still to come of something with a time
// constant (s; 0 for none), if some time (length, s) has moved it by moved,
// and of that if it is more.
func remaining(moved, length, tau float64) float64 {
	return math.Abs(moved) * math.Max(1, 1/math.Expm1(length/tau))
}
