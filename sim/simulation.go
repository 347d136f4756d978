package sim

import (
	"context"
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
	"soakledger/sim/spec"
)

// Settings says what a run keeps beside its figures.
type Settings struct {
	RunID   int  // identity of the run in its dataset
	NoTrace bool // keep no trace
}

// Simulation is one run of one scenario.
type Simulation struct {
	Plan *assemble.Plan // what was assembled; not to be changed

	set    Settings
	it     *ode.Integrator
	levels *equilibrium.Solver
	in     network.Inputs
	trace  *tracer

	collector *metric.Collector
	phases    []metric.Phase
	phaseEnd  float64 // s, the end of the phase in hand
	end       float64 // s, planned end of the run

	y0        []float64 // state at time zero
	requested []float64 // J asked for by each source up to the last jump
	jumpAt    float64   // s, the last jump
	lowest    []float64 // K, of every lump
	highest   []float64
	events    []Event
	limits    []limit
	status    Status
	reason    string
}

// Status says how a run ended.
type Status string

// The ways a run can end.
const (
	Running   Status = "running"
	Done      Status = "done"
	LeftRange Status = "left_range" // a limit of the model was passed; the trace up to it is kept
	Failed    Status = "failed"     // the integration could not go on
)

// New assembles a scenario and sets it to its start. The error is of type
// assemble.Problems where the scenario is at fault.
func New(s *spec.Scenario, set Settings) (*Simulation, error) {
	plan, err := assemble.Build(s)
	if err != nil {
		return nil, err
	}
	sm := &Simulation{Plan: plan, set: set, in: plan.Inputs, levels: equilibrium.NewSolver(plan.Network), status: Running}
	if err := sm.prepare(); err != nil {
		return nil, err
	}
	return sm, nil
}

// prepare makes the integrator and everything that watches it.
func (s *Simulation) prepare() error {
	p := s.Plan
	it, err := ode.New(system{p.Network}, nil, ode.Settings{
		AbsTol:      []float64{p.Scenario.Solver.Tolerance.Value},
		MaxStepRate: p.Scenario.Solver.MaxStepsPerSecond.Value,
	})
	if err != nil {
		return fmt.Errorf("preparing the integrator: %w", err)
	}
	s.it = it
	states, quads := p.Network.Dim()
	s.y0 = make([]float64, states+quads)
	s.requested = make([]float64, len(s.in.Power))
	if err := s.start(); err != nil {
		return err
	}
	if s.end, err = s.duration(); err != nil {
		return err
	}
	s.lowest = slices.Clone(s.y0[:states])
	s.highest = slices.Clone(s.y0[:states])
	s.limits = modelLimits(p)
	if err := s.checkStart(); err != nil {
		return err
	}
	s.collector = metric.NewCollector(s.watched())
	if !s.set.NoTrace {
		s.trace = newTracer(s)
	}
	if err := s.it.Start(0, s.y0); err != nil {
		return fmt.Errorf("starting the integrator: %w", err)
	}
	s.beginPhase(0)
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
	for _, mark := range f.CoolantAt {
		w.Marks = append(w.Marks, mark.Value)
	}
	return w
}

// start writes the temperatures at time zero.
func (s *Simulation) start() error {
	copy(s.y0, s.Plan.Start)
	rule := s.Plan.Scenario.Start.Rule
	if rule != "idle" && rule != "level" {
		return nil
	}
	if rule == "idle" {
		s.Plan.Timeline.Least(s.in.Power)
	} else {
		s.Plan.Timeline.Power(0, s.in.Power)
	}
	s.Plan.Network.SetInputs(s.in)
	level := make([]float64, len(s.Plan.Start))
	if _, err := s.levels.Level(0, s.Plan.Start, level); err != nil {
		return assemble.Problems{{Path: "start", Text: fmt.Sprintf("the run cannot start from its %s: %v", rule, err)}}
	}
	for i, t := range level {
		if !math.IsNaN(t) {
			s.y0[i] = t
		}
	}
	return nil
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
	s.Plan.Timeline.Power(0, s.in.Power)
	s.Plan.Network.SetInputs(s.in)
	state := make([]float64, len(s.Plan.Start))
	copy(state, s.y0)
	modes, err := equilibrium.Modes(s.Plan.Network, 0, state)
	if err != nil {
		return 0, assemble.Problems{{Path: "duration", Text: fmt.Sprintf("the work has no end of its own, so state how long to run, e.g. duration: 80 min (%v)", err)}}
	}
	if len(modes) == 0 {
		return 600, nil
	}
	return math.Max(600, 5*modes[0].Tau), nil
}

// Step takes one step of the integrator and reports whether the run has
// ended. After an error the run has the status Failed.
func (s *Simulation) Step() (ended bool, err error) {
	if s.status != Running {
		return true, nil
	}
	if err := s.it.Step(s.phaseEnd); err != nil {
		return true, s.fail(err)
	}
	seg := s.it.Segment()
	cut := s.checkLimits(seg)
	if s.trace != nil {
		s.trace.add(seg)
	}
	s.collector.Add(seg)
	s.spread()
	switch t := s.it.Time(); {
	case cut != "":
		s.status, s.reason = LeftRange, cut
	case t >= s.end:
		s.status = Done
	case t >= s.phaseEnd:
		s.endPhase("")
		s.beginPhase(t)
		s.it.Jump()
		return false, nil
	default:
		return false, nil
	}
	s.endPhase(cut)
	if s.trace != nil {
		s.trace.finish(s.it.Time(), s.it.State())
	}
	return true, nil
}

// spread widens the range that every lump has passed through.
func (s *Simulation) spread() {
	for i, t := range s.it.State()[:len(s.lowest)] {
		s.lowest[i] = math.Min(s.lowest[i], t)
		s.highest[i] = math.Max(s.highest[i], t)
	}
}

// fail ends the run with the integrator's reason, in the scenario's words.
func (s *Simulation) fail(err error) error {
	s.status, s.reason = Failed, err.Error()
	var step *ode.StepError
	if errors.As(err, &step) {
		where := ""
		if step.Worst >= 0 && step.Worst < len(s.Plan.Nodes) {
			where = " at " + s.Plan.Nodes[step.Worst].Path
		}
		s.reason = fmt.Sprintf("%s at %.6g s%s after %d steps; %s", step.Status, step.T, where, step.Steps, step.Status.Hint())
	}
	s.endPhase(s.reason)
	if s.trace != nil {
		s.trace.finish(s.it.Time(), s.it.State())
	}
	return fmt.Errorf("integrating: %s", s.reason)
}

// Run steps to the end and returns the result. It stops early, with the
// context's error, when ctx is done. A run that leaves the model's range is a
// result with a status, not an error.
func (s *Simulation) Run(ctx context.Context) (*Result, error) {
	for n := 0; ; n++ {
		if n%256 == 0 && ctx.Err() != nil {
			return nil, fmt.Errorf("running the scenario: %w", ctx.Err())
		}
		ended, err := s.Step()
		if err != nil {
			return nil, err
		}
		if ended {
			return s.result()
		}
	}
}

// beginPhase sets the load that holds from t on and starts its figures.
func (s *Simulation) beginPhase(t float64) {
	s.jumpAt = t
	s.Plan.Timeline.Power(t, s.in.Power)
	s.Plan.Network.SetInputs(s.in)
	s.phaseEnd = s.end
	if next, ok := s.Plan.Timeline.NextJump(t); ok && next < s.end {
		s.phaseEnd = next
	}
	power := 0.0
	for _, p := range s.in.Power {
		power += p
	}
	s.collector.Begin(t, s.phaseEnd, power, s.it.State(), s.level(t))
	if s.trace != nil {
		s.trace.jump(t, s.in.Power, s.requested)
	}
}

// endPhase closes the figures of the phase in hand and books its energy.
func (s *Simulation) endPhase(cut string) {
	length := s.it.Time() - s.jumpAt
	for k, p := range s.in.Power {
		s.requested[k] += p * length
	}
	s.phases = append(s.phases, s.collector.Finish(cut))
}

// level returns where the load in hand leads, from the present state.
func (s *Simulation) level(t float64) metric.Level {
	state := make([]float64, len(s.Plan.Start))
	loose, err := s.levels.Level(t, s.it.State()[:len(state)], state)
	if err != nil {
		return metric.Level{Why: err.Error()}
	}
	why := ""
	if len(loose) > 0 {
		why = fmt.Sprintf("%s is tied to nothing that would fix its level", s.Plan.Nodes[loose[0]].Path)
	}
	return metric.Level{State: state, Why: why}
}

var _ record.Segment = (*ode.Segment)(nil)
