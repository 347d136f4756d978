package assemble

import (
	"soakledger/sim/spec"
	"soakledger/sim/work"
)

// request is the power that something in the scenario asks for.
type request struct {
	name  string
	key   string // under which its power is stated
	power spec.Power
	idle  float64 // W, where a pattern rests
	work  string
}

const powerKey = "power"

// asks reports whether any power is requested.
func (q request) asks() bool { return q.power.Set() || q.work != "" }

// requests lists everything that releases heat, in file order: chips, parts,
// lumps.
func requests(s *spec.Scenario) []request {
	var all []request
	for _, c := range s.Chips {
		all = append(all, request{c.Name, powerKey, c.Power, c.Idle.Or(0), c.Work})
	}
	for p := range s.Parts() {
		all = append(all, request{p.Name, powerKey, p.Power, 0, p.Work})
	}
	if s.Case != nil {
		all = append(all, request{caseName, "other_heat", s.Case.OtherHeat, 0, s.Case.Work})
	}
	for _, l := range s.Lumps {
		all = append(all, request{l.Name, powerKey, l.Power, l.Idle.Or(0), l.Work})
	}
	return all
}

// resolver turns requests into patterns.
type resolver struct {
	s        *spec.Scenario
	byName   map[string]request
	busy     map[string]bool // a share that leads back to itself
	problems *Problems
}

// newResolver prepares the requests of a completed scenario.
func newResolver(s *spec.Scenario, problems *Problems) *resolver {
	r := &resolver{s: s, byName: map[string]request{}, busy: map[string]bool{}, problems: problems}
	for _, q := range requests(s) {
		r.byName[q.name] = q
	}
	return r
}

// pattern returns what the named part asks for, and false if it asks for
// nothing or what it asks for is a problem.
func (r *resolver) pattern(name string) (work.Pattern, bool) {
	q := r.byName[name]
	if !q.asks() {
		return work.Pattern{}, false
	}
	if r.busy[name] {
		r.problems.add(name+"."+q.key, "is a share that leads back to itself")
		return work.Pattern{}, false
	}
	r.busy[name] = true
	defer delete(r.busy, name)
	if q.power.Share.Set {
		return r.share(q)
	}
	if q.work == "" {
		return work.Constant(q.power.Watts.Value), true
	}
	return r.follow(q)
}

// share returns a share of another's request.
func (r *resolver) share(q request) (work.Pattern, bool) {
	if q.work != "" {
		r.problems.add(q.name+".work", "%s takes a share of %s, so it follows that part's work and can have none of its own", q.name, q.power.Of)
		return work.Pattern{}, false
	}
	if !r.byName[q.power.Of].asks() {
		r.problems.add(q.name+"."+q.key, "%s asks for no power to take a share of", q.power.Of)
		return work.Pattern{}, false
	}
	of, ok := r.pattern(q.power.Of)
	return of.Scaled(q.power.Share.Value), ok
}

// follow returns the part's power under its work pattern.
func (r *resolver) follow(q request) (work.Pattern, bool) {
	w := findWork(r.s, q.work)
	if w == nil {
		r.problems.add(q.name+".work", "there is no work named %s", q.work)
		return work.Pattern{}, false
	}
	steps, ok := r.steps(q, w)
	if !ok {
		return work.Pattern{}, false
	}
	p, err := work.New(steps, cycles(w.Repeat), q.idle)
	if err != nil {
		r.problems.add(w.Name, "%v", err)
		return work.Pattern{}, false
	}
	return p, true
}

// steps returns the levels of w for the part that follows it.
func (r *resolver) steps(q request, w *spec.Work) ([]work.Step, bool) {
	full := q.power.Watts
	if w.On.Set {
		if !full.Set {
			r.problems.add(q.name+"."+q.key, "%s follows %s, which switches its power on and off, but states no %s, e.g. %s: 160 W", q.name, w.Name, q.key, q.key)
			return nil, false
		}
		steps := []work.Step{{For: w.On.Value, Power: full.Value}}
		if w.Off.Set {
			steps = append(steps, work.Step{For: w.Off.Value, Power: q.idle})
		}
		return steps, true
	}
	var steps []work.Step
	for _, s := range w.Steps {
		power := s.Power.Watts.Value
		if s.Power.Share.Set {
			if !full.Set {
				r.problems.add(q.name+"."+q.key, "%s follows %s, whose steps are shares of its power, but states no %s, e.g. %s: 160 W", q.name, w.Name, q.key, q.key)
				return nil, false
			}
			power = s.Power.Share.Value * full.Value
		}
		steps = append(steps, work.Step{For: s.For.Value, Power: power})
	}
	return steps, true
}

// cycles translates a repeat: once if unset, 0 for ever.
func cycles(r spec.Repeat) int {
	switch {
	case r.Forever:
		return 0
	case r.Count == 0:
		return 1
	}
	return r.Count
}
