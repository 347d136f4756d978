package sim

import (
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/network"
	"soakledger/sim/record"
)

// Signals follow from a state and are none themselves. Behind a step's states and
// energies stand three of every radiator, in the plan's order, and behind those
// the three parts of the subject's rise:
//
//	loop_rise  the subject over the air that its radiators breathe
//	case_rise  that air over the room
//	room_rise  the room over what it was at the start
//
// They sum to the subject over the room at the start. The air that a radiator
// breathes is counted as it enters the core: mixed with its own exhaust and
// warmed by fans before it, both of which so are in case_rise.
const (
	airIn         = iota // K
	airOut               // K
	airHeat              // W, from the radiator to the air
	radiatorParts        // how many
)

const (
	loopRise  = iota // K
	caseRise         // K
	roomRise         // K
	riseParts        // how many
)

// noHeat is what every radiator counts for, beside its heat, in the mean of the
// air that they breathe (W): it keeps the mean defined and smooth where none gives
// heat. Beside a radiator's 10 W it is worth 5e-5 of the weight.
const noHeat = 0.1

// signals finds them in a network.
type signals struct {
	net     *network.Network
	passes  []network.Pass // of every radiator
	own     []int          // the radiators of the subject's loop
	subject int            // state
	room    int            // state, -1 of a room that is a boundary
	start   float64        // K, the room at the start
	split   bool           // the parts of the rise are among the figures

	values [][5]float64 // over a step: those of the radiators, and the air that the own ones breathe
	now    []float64    // of one moment
	state  []float64
}

// newSignals prepares the signals of a plan. It returns nil where neither the
// figures nor the trace, if there is one, ask for any.
func newSignals(p *assemble.Plan, trace bool) *signals {
	split := splitsRise(p)
	if !split && !(trace && len(airTrace(p)) > 0) {
		return nil
	}
	s := &signals{
		net: p.Network, own: subjectRadiators(p), subject: int(p.Subject.Lump), room: -1,
		start: p.Scenario.Ambient.Temperature.Value, split: split,
	}
	for _, a := range p.Air {
		s.passes = append(s.passes, a.Pass)
	}
	if rooms := p.Find("room"); p.Scenario.Room != nil && len(rooms) > 0 {
		s.room = int(rooms[0].Lump)
	}
	s.reserve()
	return s
}

// reserve makes room for what is worked out.
func (s *signals) reserve() {
	lumps, _ := s.net.Dim()
	s.values = make([][5]float64, s.first()+1)
	s.now, s.state = make([]float64, s.count()), make([]float64, lumps)
}

// first returns the number of signals before the parts of the rise.
func (s *signals) first() int { return radiatorParts * len(s.passes) }

// count returns the number of signals; of nil, none.
func (s *signals) count() int {
	if s == nil {
		return 0
	}
	return s.first() + riseParts
}

// rises returns the parts of the rise among all signals.
func (s *signals) rises(all []float64) []float64 { return all[s.first():] }

// splitsRise reports whether a plan's radiators may breathe anything but the air
// of a room that stays as it is, so that a rise has more than one part.
func splitsRise(p *assemble.Plan) bool {
	s := p.Scenario
	return s.Case != nil || s.Room != nil || len(s.Ambient.Schedule) > 0 || s.Ambient.Log.Series != nil ||
		slices.ContainsFunc(p.Air, func(a assemble.AirWay) bool { return !breathesRoom(p, a) })
}

// breathesRoom reports whether a radiator breathes the room's air and nothing else.
func breathesRoom(p *assemble.Plan, a assemble.AirWay) bool {
	for part := range p.Scenario.Parts() {
		if r := part.Radiator; r != nil && part.Name == a.Name {
			return r.Breathes.From == "room" && r.Breathes.Share.Or(1) == 1 && r.Recirculation.Or(0) == 0
		}
	}
	return true
}

// subjectRadiators lists the radiators, in the plan's order, of the loop that the
// subject belongs to: as a part of it, or as a chip that one of its blocks cools.
func subjectRadiators(p *assemble.Plan) []int {
	names := []string{p.Subject.Part}
	for part := range p.Scenario.Parts() {
		if part.Block != nil && part.Block.Cools == p.Subject.Part {
			names = append(names, part.Name)
		}
	}
	var own []int
	for _, l := range p.Loops {
		if !slices.ContainsFunc(names, func(name string) bool { return slices.Contains(l.Parts, name) }) {
			continue
		}
		for k, a := range p.Air {
			if slices.Contains(l.Parts, a.Name) {
				own = append(own, k)
			}
		}
	}
	return own
}

// breathe writes those of the radiators at time t and a state of the network, and
// returns the air that the subject's breathe (K), the mean by heat: that of the
// room where there are none.
func (s *signals) breathe(t float64, state, dst []float64) float64 {
	s.net.Bring(t, state)
	for k, pass := range s.passes {
		of := dst[radiatorParts*k:]
		of[airIn], of[airOut], of[airHeat] = s.net.Air(pass)
	}
	if len(s.own) == 0 {
		return s.roomAt(t, state)
	}
	// Of differences to one of them the mean of equals is exact.
	base := dst[radiatorParts*s.own[0]+airIn]
	sum, weights := 0.0, 0.0
	for _, k := range s.own {
		weight := math.Hypot(dst[radiatorParts*k+airHeat], noHeat)
		sum += weight * (dst[radiatorParts*k+airIn] - base)
		weights += weight
	}
	return base + sum/weights
}

// roomAt returns the room (K) at time t and a state of the network.
func (s *signals) roomAt(t float64, state []float64) float64 {
	if s.room < 0 {
		return s.net.BoundaryTemperature(0, t)
	}
	return state[s.room]
}

// at writes all signals at time t and a state of the network.
func (s *signals) at(t float64, state, dst []float64) {
	inlet := s.breathe(t, state, dst)
	subject, room := s.net.Temperature(network.Node(s.subject), state[s.subject]), s.roomAt(t, state)
	rise := s.rises(dst)
	rise[loopRise], rise[caseRise], rise[roomRise] = subject-inlet, inlet-room, room-s.start
}

// levels writes the parts of the rise at temperatures (K) that are a level at time
// t to dst, NaN of what follows a lump that has none: such lumps are NaN, and
// instead is where they are.
func (s *signals) levels(t float64, level, instead, dst []float64) {
	at := func(moved float64) []float64 {
		for i, temperature := range level {
			if math.IsNaN(temperature) {
				temperature = instead[i] + moved
			}
			s.state[i] = temperature
		}
		s.net.States(s.state, s.state)
		s.at(t, s.state, s.now)
		return s.rises(s.now)
	}
	copy(dst, at(0))
	if !slices.ContainsFunc(level, math.IsNaN) {
		return
	}
	for k, other := range at(1) {
		if other != dst[k] {
			dst[k] = math.NaN()
		}
	}
}

// quartic returns the polynomial through values at theta = 0, 1/4, 1/2, 3/4, 1,
// by the differentiation weights of five equidistant points (Abramowitz & Stegun
// 1972, table 25.2).
func quartic(f *[5]float64) record.Polynomial {
	a, b, c, d := f[1]-f[0], f[2]-f[0], f[3]-f[0], f[4]-f[0]
	return record.Polynomial{
		f[0],
		(48*a - 36*b + 16*c - 3*d) / 3,
		(-208*a + 228*b - 112*c + 22*d) / 3,
		(288*a - 384*b + 224*c - 48*d) / 3,
		(-128*a + 192*b - 128*c + 32*d) / 3,
	}
}
