package assemble

import (
	"errors"
	"math"
	"strings"

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
	return r.run(q, w)
}

// run returns what a part asks for that runs a pattern.
func (r *resolver) run(q request, w *spec.Work) (work.Pattern, bool) {
	var p work.Pattern
	var err error
	switch {
	case w.MeanOf != "":
		return r.meanOf(q, w)
	case w.Log.Series != nil:
		s := w.Log.Series
		p, err = work.Replay(work.Series{Times: s.Times, Values: s.Values, Linear: !s.Hold}, cycles(w.Repeat), q.idle)
	case w.Log.File != "":
		r.problems.add(w.Name+".log", "the log %s was not read", w.Log.File)
		return work.Pattern{}, false
	default:
		pieces, ok := r.pieces(q, w)
		if !ok {
			return work.Pattern{}, false
		}
		p, err = work.FromPieces(pieces, cycles(w.Repeat), q.idle)
	}
	if err != nil {
		r.problems.add(w.Name, "%s", strings.Replace(strings.TrimPrefix(err.Error(), "work: "), "piece", "step", 1))
		return work.Pattern{}, false
	}
	return p, true
}

// pieces returns the levels and ramps of w for the part that follows it.
func (r *resolver) pieces(q request, w *spec.Work) ([]work.Piece, bool) {
	switch {
	case w.On.Set:
		return r.onOff(q, w)
	case w.Session != (spec.Session{}):
		return r.session(q, w)
	case w.Bursts.For.Set:
		return r.bursts(q, w)
	}
	var pieces []work.Piece
	for _, s := range w.Steps {
		from, ok := r.power(q, w, s.Power, "steps")
		to := from
		if ok && s.To.Set() {
			to, ok = r.power(q, w, s.To, "steps")
		}
		if !ok {
			return nil, false
		}
		pieces = append(pieces, work.Piece{Length: s.For.Value, From: from, To: to})
	}
	return pieces, true
}

// power returns a power of a pattern in watts: as stated, or as a share of the
// part's own.
func (r *resolver) power(q request, w *spec.Work, p spec.Power, what string) (float64, bool) {
	if !p.Share.Set {
		return p.Watts.Value, true
	}
	if !q.power.Watts.Set {
		r.problems.add(q.name+"."+q.key, "%s follows %s, whose %s are shares of its power, but states no %s, e.g. %s: 160 W", q.name, w.Name, what, q.key, q.key)
		return 0, false
	}
	return p.Share.Value * q.power.Watts.Value, true
}

// full returns the part's own power, which a pattern switches.
func (r *resolver) full(q request, w *spec.Work) (float64, bool) {
	if !q.power.Watts.Set {
		r.problems.add(q.name+"."+q.key, "%s follows %s, which switches its power on and off, but states no %s, e.g. %s: 160 W", q.name, w.Name, q.key, q.key)
	}
	return q.power.Watts.Value, q.power.Watts.Set
}

// onOff returns full power and idle in turn.
func (r *resolver) onOff(q request, w *spec.Work) ([]work.Piece, bool) {
	full, ok := r.full(q, w)
	pieces := []work.Piece{{Length: w.On.Value, From: full, To: full}}
	if w.Off.Set {
		pieces = append(pieces, work.Piece{Length: w.Off.Value, From: q.idle, To: q.idle})
	}
	return pieces, ok
}

// session returns rounds, loading screens, lobbies and breaks.
func (r *resolver) session(q request, w *spec.Work) ([]work.Piece, bool) {
	s := w.Session
	all := work.Session{
		Rounds: int(s.Rounds.Value), Round: s.Round.Value, Loading: s.Loading.Value, Lobby: s.Lobby.Value,
		Break: s.Break.Value, BreakAfter: int(s.BreakAfter.Or(1)),
	}
	own := spec.Power{Share: spec.Some(1)}
	round, ok := r.power(q, w, orPower(s.RoundPower, own), "rounds")
	power := work.SessionPower{Round: round, Loading: round, Lobby: q.idle, Break: q.idle}
	for _, one := range []struct {
		stated spec.Power
		into   *float64
	}{{s.LoadingPower, &power.Loading}, {s.LobbyPower, &power.Lobby}, {s.BreakPower, &power.Break}} {
		if ok && one.stated.Set() {
			*one.into, ok = r.power(q, w, one.stated, "rounds")
		}
	}
	if !ok {
		return nil, false
	}
	pieces, err := all.Pieces(power)
	if err != nil {
		r.problems.add(w.Name+".session", "%s", strings.TrimPrefix(err.Error(), "work: "))
	}
	return pieces, err == nil
}

// orPower returns a power, or another one where it is not stated.
func orPower(p, otherwise spec.Power) spec.Power {
	if p.Set() {
		return p
	}
	return otherwise
}

// bursts returns seeded random bursts between idle and the part's own power.
func (r *resolver) bursts(q request, w *spec.Work) ([]work.Piece, bool) {
	full, ok := r.full(q, w)
	if !ok {
		return nil, false
	}
	b := w.Bursts
	var errs []error
	spread := func(list []spec.Number, mean spec.Number) work.Distribution {
		if len(list) == 0 {
			return work.Distribution{}
		}
		low, high := list[0].Value, list[len(list)-1].Value
		d, err := work.Uniform(low, high)
		if mean.Set {
			d, err = work.Exponential(mean.Value, low, high)
		}
		errs = append(errs, err)
		return d
	}
	all := work.Bursts{
		Seed: uint64(b.Seed.Value), For: b.For.Value,
		Burst: spread(b.Burst, b.MeanBurst), Pause: spread(b.Pause, b.MeanPause),
		High: spread(b.High, spec.Number{}), Low: spread(b.Low, spec.Number{}),
	}
	var streams work.Streams
	if own := r.follower(q.name, w.Name); b.Apart == "levels" || b.Apart == "both" {
		streams.Levels = own
		if b.Apart == "both" {
			streams.Lengths = own
		}
	}
	pieces, err := all.Pieces(streams)
	if err = errors.Join(append(errs, err)...); err != nil {
		r.problems.add(w.Name+".bursts", "%s", strings.ReplaceAll(err.Error(), "work: ", ""))
		return nil, false
	}
	for i := range pieces {
		p := &pieces[i]
		p.From, p.To = q.idle+p.From*(full-q.idle), q.idle+p.To*(full-q.idle)
	}
	return pieces, true
}

// follower returns the place of a part among those that follow a pattern, in file
// order.
func (r *resolver) follower(name, pattern string) uint64 {
	n := uint64(0)
	for _, q := range requests(r.s) {
		if q.name == name {
			return n
		}
		if q.work == pattern {
			n++
		}
	}
	return n
}

// meanOf returns the companion of another pattern: a constant power of the same
// mean, or regular bursts.
func (r *resolver) meanOf(q request, w *spec.Work) (work.Pattern, bool) {
	of := findWork(r.s, w.MeanOf)
	if of == nil || of.MeanOf != "" {
		r.problems.add(w.Name+".mean_of", "%s is no pattern with a shape of its own", w.MeanOf)
		return work.Pattern{}, false
	}
	p, ok := r.run(q, of)
	if !ok {
		return p, false
	}
	duration, ends := p.End()
	if period, repeats := p.Period(); repeats {
		duration, ends = period, true
	}
	if !ends {
		return p, true // it is constant itself
	}
	var pieces []work.Piece
	var err error
	if w.On.Set {
		pieces, err = p.Pulsed(duration, work.Pulse{On: w.On.Value, Off: w.Off.Value, Ratio: w.Ratio.Or(math.Inf(1))})
	} else {
		pieces, err = p.Flat(duration)
	}
	if err == nil {
		again := 1
		if p.Endless() {
			again = 0
		}
		p, err = work.FromPieces(pieces, again, q.idle)
	}
	if err != nil {
		r.problems.add(w.Name+".mean_of", "%s", strings.TrimPrefix(err.Error(), "work: "))
	}
	return p, err == nil
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
