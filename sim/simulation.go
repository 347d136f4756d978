package sim

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/control"
	"soakledger/sim/equilibrium"
	"soakledger/sim/metric"
	"soakledger/sim/network"
	"soakledger/sim/ode"
	"soakledger/sim/record"
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// Settings says what a run keeps beside its figures.
type Settings struct {
	RunID   int  // identity of the run in its dataset
	NoTrace bool // keep no trace
	// Stock is what many machines have in common; nil for one alone. It changes no result.
	Stock *assemble.Stock
	// Memory is that of runs one after the other; nil for one alone. It changes no result,
	// but that of the run before is then no longer valid.
	Memory *Memory
}

// Simulation is one run of one scenario.
type Simulation struct {
	Plan *assemble.Plan // what was assembled, after the faults so far; not to be changed

	set    Settings
	it     *ode.Integrator
	levels *equilibrium.Solver
	in     network.Inputs
	trace  *tracer

	collector     *metric.Collector
	swings        *metric.Swings // of the last whole cycle of repeating work; nil where there is none
	period        float64        // s, of rounds that take the place of phases; 0 in a run, see orbit
	phases        []metric.Phase
	phaseFrom     float64      // s, the start of the phase in hand
	phaseEnd      float64      // s, its end
	constant      bool         // the requested load is constant in it
	heldUntil     float64      // s, until when the inputs go on as they were set
	level         metric.Level // of the phase in hand; its State is levelAt, or nil
	levelAt       []float64    // K
	turningAt     []bool       // which controllers turn at the level just found; those that never rest count as if they did
	partsAt       []float64    // K, see levelParts
	warmest       int          // the phase with the largest warming so far, -1 if none
	soakedLevel   metric.Level // its level; its State is soakedAt, or nil
	soakedTurning []bool
	soakedAt      []float64 // K
	end           float64   // s, planned end of the run

	initial   []float64 // temperatures (K) and energies (J) at time zero
	y0        []float64 // the network's state there
	present   []float64 // see here
	view      *view     // the last step
	requested []float64 // J asked for by each source up to the start of the phase in hand
	asked     []float64 // see askedAt
	cursor    *work.Cursor

	built       *assemble.Plan // the machine before any fault
	marks       []Mark
	faultAt     float64 // s, of the first fault; NaN before it
	faults      []*fault
	hot         []record.Polynomial // see metAt
	kept        *soak               // of the warmest phase, where a fault has ended it; else nil
	ambientStep float64             // K, that faults have warmed the room by
	protectors  []*protector
	chatter     *control.Chatter
	roots       []float64
	controllers []*controller
	switchedOn  bool      // in the last step a throttle, or fans that stood
	continuous  bool      // some of them have no period
	drawn       []float64 // W that each source draws by a controlled speed
	drawing     []float64 // W/s, its slope
	rates       []float64 // of the network's states, see bookSlopes
	drawnSince  float64   // s
	used        []float64 // J so drawn up to there
	usedBefore  []float64 // J, likewise, when the phase in hand began
	lowest      []float64 // K, of every lump
	highest     []float64
	low, high   []float64 // the network's states there
	widened     []int     // lumps that the step in hand may take where they have not been
	limits      []limit   // of every lump
	events      []Event

	status  Status
	reason  string
	failure error // of a run that has failed
}

// Status says how a run ended.
type Status string

// The ways a run can end.
const (
	Running   Status = "running"
	Done      Status = "done"
	LeftRange Status = "left_range" // a limit of the model was passed; the trace up to it is kept
	Failed    Status = "failed"     // the integration could not go on; the trace up to there is kept
)

// New assembles a scenario and sets it to its start. The scenario must be one
// that spec.Check finds sound and all of whose things are named
// (Scenario.Named); it is not changed. The error is of type assemble.Problems
// where the scenario is at fault.
func New(s *spec.Scenario, set Settings) (*Simulation, error) {
	plan, err := assemble.BuildFrom(set.Stock, s)
	if err != nil {
		return nil, err
	}
	sm := &Simulation{
		Plan: plan, built: plan, set: set, in: plan.Network.Inputs(), levels: set.Memory.solverOf(plan),
		view: newView(plan.Network, newSignals(plan, !set.NoTrace)), limits: modelLimits(plan), warmest: -1, status: Running,
	}
	if err := sm.prepare(); err != nil {
		return nil, err
	}
	if err := sm.breakDown(0); err != nil {
		return nil, err
	}
	sm.beginPhase(0)
	return sm, nil
}

// prepare finds the start and the end of the run and makes the integrator and
// everything that watches it.
func (s *Simulation) prepare() (err error) {
	p := s.Plan
	s.it, err = s.set.Memory.integratorOf(p, ode.Settings{
		AbsTol:      []float64{p.Scenario.Solver.Tolerance.Value},
		MaxStepRate: p.Scenario.Solver.MaxStepsPerSecond.Value,
	})
	if err != nil {
		return fmt.Errorf("preparing the integrator: %w", err)
	}
	states, quads := p.Network.Dim()
	s.initial = make([]float64, states+quads)
	s.present = make([]float64, states+quads+s.view.signals.count())
	s.requested, s.asked = make([]float64, len(s.in.Power)), make([]float64, len(s.in.Power))
	s.cursor = work.NewCursor(p.Timeline)
	s.newControllers()
	s.newFaults()
	s.marks, s.faultAt = newMarks(p), math.NaN()
	if err := s.newProtectors(); err != nil {
		return fmt.Errorf("preparing what protects chips: %w", err)
	}
	s.levelAt, s.soakedAt = make([]float64, states), make([]float64, states)
	s.partsAt = make([]float64, riseParts)
	if err := s.start(); err != nil {
		return err
	}
	if s.end, err = s.duration(); err != nil {
		return err
	}
	s.beginMarks()
	s.settleControllers(s.initial)
	s.settleProtectors(s.initial)
	s.lowest, s.highest = slices.Clone(s.initial[:states]), slices.Clone(s.initial[:states])
	s.collector = metric.NewCollector(s.watched())
	s.watchLastCycle()
	if !s.set.NoTrace {
		if s.trace, err = newTracer(s); err != nil {
			return err
		}
	}
	s.y0 = make([]float64, states+quads)
	p.Network.States(s.initial[:states], s.y0[:states])
	s.low, s.high = slices.Clone(s.y0[:states]), slices.Clone(s.y0[:states])
	if err := s.it.Start(0, s.y0); err != nil {
		return fmt.Errorf("starting the integrator: %w", err)
	}
	return nil
}

// watched says which states the figures are made of.
func (s *Simulation) watched() metric.Settings {
	f := s.Plan.Scenario.Figures
	w := metric.Settings{Subject: int(s.Plan.Subject.Lump), Tail: f.Tail.Value}
	for _, n := range s.Plan.Watched() {
		w.Nodes = append(w.Nodes, int(n.Lump))
	}
	for _, n := range s.Plan.Nodes {
		if n.Kind == assemble.CoolantCell {
			w.Coolant = append(w.Coolant, int(n.Lump))
		}
	}
	if of := s.view.signals; of != nil && of.split {
		states, energies := s.Plan.Network.Dim()
		for k := range riseParts {
			w.Parts = append(w.Parts, states+energies+of.first()+k)
		}
	}
	for _, mark := range f.CoolantAt {
		w.Marks = append(w.Marks, mark.Value)
	}
	return w
}

// start writes the temperatures at time zero. A lump without a level begins
// where it is stated to, whatever the rule.
func (s *Simulation) start() error {
	copy(s.initial, s.Plan.Start)
	rule := s.Plan.Scenario.Start.Rule
	switch rule {
	case "idle":
		s.Plan.Timeline.Least(s.in.Power)
	case "level":
		s.Plan.Timeline.Power(0, s.in.Power)
	default:
		return s.checkStart()
	}
	s.Plan.Network.SetInputs(s.in)
	for _, p := range s.protectors {
		p.request = s.in.Power[p.chip.Source]
	}
	s.levelRequests()
	s.Plan.Network.SetInputs(s.in)
	_, err := s.settleProtected(0, s.Plan.Start)
	if errors.Is(err, errCycles) { // somewhere in the cycle: where all of it turns and runs freely
		s.freeSpeeds()
		s.levelRequests()
		s.Plan.Network.SetInputs(s.in)
		_, err = s.solveLevel(0, s.Plan.Start)
	}
	if err != nil {
		return assemble.Problems{{Path: "start", Text: fmt.Sprintf("the run cannot start from its %s: %v", rule, err)}}
	}
	for i, t := range s.levelAt {
		if !math.IsNaN(t) {
			s.initial[i] = t
		}
	}
	return s.checkStart()
}

// duration returns the stated length of the run, the end of its work, or for
// endless work five of the slowest time constants and at least 10 min, s.
func (s *Simulation) duration() (float64, error) {
	if d := s.Plan.Scenario.Duration; d.Set {
		return d.Value, nil
	}
	end, endless := s.Plan.Timeline.End()
	if !endless {
		return end, nil
	}
	const noEnd = "the work has no end of its own, so state how long to run, e.g. duration: 80 min"
	s.Plan.Timeline.Power(0, s.in.Power)
	s.Plan.Network.SetInputs(s.in)
	modes, err := equilibrium.Modes(s.Plan.Network, 0, s.initial[:len(s.Plan.Nodes)])
	if err != nil {
		return 0, assemble.Problems{{Path: "duration", Text: fmt.Sprintf("%s (%v)", noEnd, err)}}
	}
	end = 600
	if len(modes) > 0 {
		end = math.Max(end, 5*modes[0].Tau)
	}
	if f, ok := spec.Root().Field("duration"); ok && end > f.Max {
		return 0, assemble.Problems{{Path: "duration", Text: fmt.Sprintf("%s (soaking takes five of the slowest time constant, %.0f days)", noEnd, end/86400)}}
	}
	return end, nil
}
