package sim

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/equilibrium"
	"soakledger/sim/metric"
	"soakledger/sim/network"
	"soakledger/sim/ode"
	"soakledger/sim/record"
)

// Event is something that happened at an exact time.
type Event struct {
	Time float64 // s
	Kind string  // fault, limit, throttle, shutdown, coolant or left_range
	Text string
}

// Result is all that a run has found.
type Result struct {
	RunID       int
	Plan        *assemble.Plan // of the machine as it was built, before any fault
	Status      Status
	Reason      string  // of a status other than Done
	Duration    float64 // s, the time the run reached
	Phases      []metric.Phase
	Heating     int                // index of the phase with the largest warming, -1 if none
	Cooling     int                // index of the cooling phase after it, -1 if none
	Modes       []equilibrium.Mode // at the heating phase's level, slowest first
	ModesWhy    string             // why there are none
	Flows       []float64          // m3/s, of every loop at that level, or at the ambient temperature if there is none
	LevelSpeeds []float64          // revolutions per second, of what is controlled, at that level, in the order of Plan.Controlled; nil if there is none
	Ledger      network.Ledger
	MostLeft    float64       // largest relative residual that the ledger of this run may have
	Lowest      []float64     // K, of every lump, inside steps too
	Highest     []float64     // K
	Trace       *record.Frame // nil if none was kept
	Events      []Event
	Marks       []Mark // temperatures that it should not come to
	Stats       ode.Stats
	Protections []Protection // of chips that throttle or have limits
	Speeds      []Speeds     // of what was controlled, in the order of Plan.Controlled
	LastCycle   *Cycle       // the last whole one of work that repeats itself, nil if there is none; see SwingOf

	memory *Memory // in which its rows are made, nil if it has none
}

// LedgerLimit is the largest residual, relative to the energy that moved, that a
// ledger may have: the method conserves energy to rounding. Where next to no
// energy has moved, rounding may leave more: see Result.MostLeft.
const LedgerLimit = 1e-9

// result closes the books. A ledger that does not close is an error: no
// figure of such a run can be trusted.
func (s *Simulation) result() (*Result, error) {
	r := &Result{
		RunID: s.set.RunID, Plan: s.built, Status: s.status, Reason: s.reason, Duration: s.it.Time(),
		Phases: s.phases, Events: s.events, Stats: s.it.Stats(), Lowest: s.lowest, Highest: s.highest,
		Ledger: s.Plan.Network.Ledger(s.y0, s.it.State(), s.requested), memory: s.set.Memory,
	}
	got := r.Ledger.Relative()
	r.MostLeft = s.mostLeft(r.Ledger)
	if !(got <= r.MostLeft) {
		return nil, errors.Join(s.failure, fmt.Errorf("closing the ledger: %.3g of the energy is unaccounted for, more than %.0e; tighten solver.tolerance", got, r.MostLeft))
	}
	order(r.Events)
	r.Heating, r.Cooling = metric.Largest(r.Phases)
	r.Speeds, r.Marks = s.speeds(), s.marks
	r.Protections = s.protections()
	r.LastCycle = s.lastCycle()
	at := s.soaked(r.Heating)
	r.Modes, r.ModesWhy, r.Flows, r.LevelSpeeds = at.modes, at.why, at.flows, at.speeds
	if s.trace != nil {
		r.Trace = s.trace.frame
	}
	return r, s.failure
}

// order sorts events by time, and those of one time as they act: faults, then what
// protects chips, then what was only watched.
func order(events []Event) {
	acting := []string{"fault", "shutdown", "throttle", "limit"}
	rank := func(e Event) int {
		if i := slices.Index(acting, e.Kind); i >= 0 {
			return i
		}
		return len(acting)
	}
	slices.SortStableFunc(events, func(a, b Event) int {
		return cmp.Or(cmp.Compare(a.Time, b.Time), cmp.Compare(rank(a), rank(b)))
	})
}

// mostLeft returns the relative residual that a ledger may have: what the method
// may leave or, if more, what rounding does. That is one unit in the last place
// of every lump's temperature in every step.
func (s *Simulation) mostLeft(l network.Ledger) float64 {
	if l.Relative() <= LedgerLimit {
		return LedgerLimit
	}
	scale := math.Abs(l.Residual()) / l.Relative() // J, the energy that moved
	rounding := 0.0
	for i, t := range s.here()[:len(s.lowest)] {
		rounding += 0x1p-52 * t * s.Plan.Network.Capacity(network.Node(i), t)
	}
	return math.Max(LedgerLimit, rounding*float64(1+s.it.Stats().Steps)/scale)
}

// soak is what is found at the level of a phase, on the machine that it ran on.
type soak struct {
	phase int
	modes []equilibrium.Mode
	why   string    // there are none
	flows []float64 // m3/s, of every loop

	speeds []float64 // revolutions per second, of what is controlled; nil without a level
}

// soaked finds the soak of the heating phase, or of the last phase if there is none.
// A fault that came later has left it as it was.
func (s *Simulation) soaked(heating int) soak {
	switch {
	case s.kept != nil && s.kept.phase == heating:
		return *s.kept
	case heating < 0:
		return s.soakAt(len(s.phases)-1, s.level, s.turningAt)
	}
	return s.soakAt(heating, s.soakedLevel, s.soakedTurning)
}

// keepSoak keeps the soak of the warmest phase so far: a fault is about to make another
// machine of it.
func (s *Simulation) keepSoak() {
	if s.warmest >= 0 && (s.kept == nil || s.kept.phase != s.warmest) {
		found := s.soakAt(s.warmest, s.soakedLevel, s.soakedTurning)
		s.kept = &found
	}
}

// soakAt computes the time constants and flows at the level of a phase, with the
// controllers that turn there. A lump without a level stays where it is.
func (s *Simulation) soakAt(phase int, level metric.Level, turning []bool) soak {
	found := soak{phase: phase}
	for _, l := range s.Plan.Loops {
		found.flows = append(found.flows, l.Flow)
	}
	if level.State == nil {
		found.why = level.Why
		return found
	}
	state := slices.Clone(level.State)
	for k, t := range state {
		if math.IsNaN(t) {
			state[k] = s.here()[k]
		}
	}
	from := s.phases[phase].From
	s.Plan.Timeline.Power(from, s.in.Power)
	s.setLevelInputs(from, s.phases[phase].To)
	if len(turning) == len(s.controllers) {
		s.lean(0, turning)
	}
	s.holdTargets(from, state)
	found.speeds = s.speedsAt(from, state)
	for k, l := range s.Plan.Loops {
		if at := level.State[s.Plan.Subject.Lump]; s.Plan.Subject.Kind == assemble.CoolantCell && !math.IsNaN(at) {
			found.flows[k] = s.Plan.FlowAt(l, at)
		}
	}
	modes, err := equilibrium.Modes(s.Plan.Network, from, state)
	if err != nil {
		found.why = err.Error()
		return found
	}
	found.modes = modes
	return found
}

// speedsAt returns the speeds of what is controlled at a level (revolutions per second),
// whose temperatures are state (K).
func (s *Simulation) speedsAt(from float64, state []float64) []float64 {
	n := s.Plan.Network
	states, quads := n.Dim()
	y := make([]float64, states+quads)
	n.States(state, y[:states])
	n.Bring(from, y)
	speeds := make([]float64, len(s.controllers))
	for i, c := range s.controllers {
		speeds[i] = n.Speed(c.Drive) * c.Rated
	}
	return speeds
}

// Noise returns the sound level of all fans together (dB(A)) at the level of the heating
// phase; ok is false where some are controlled and there is no level, and where none turns.
func (r *Result) Noise() (level float64, ok bool) {
	if r.Plan.FansFollow() && r.LevelSpeeds == nil {
		return 0, false
	}
	level = r.Plan.NoiseAt(r.LevelSpeeds)
	return level, !math.IsInf(level, 0)
}

// Price returns the sum of the stated prices, and whether any was stated.
func (r *Result) Price() (sum float64, stated bool) {
	for p := range r.Plan.Scenario.Parts() {
		if p.Price.Set {
			sum, stated = sum+p.Price.Value, true
		}
	}
	return sum, stated
}

// Totals returns the energy released, the energy that left and the energy
// stored over the run, J.
func (r *Result) Totals() (in, out, stored float64) {
	return network.Total(r.Ledger.In), network.Total(r.Ledger.Out), network.Total(r.Ledger.Stored)
}
