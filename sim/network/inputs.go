package network

import (
	"math"
	"slices"
)

// Inputs is all that may change while a network runs. Between two calls of
// SetInputs flows are constant, and powers and boundary temperatures move on
// straight lines; speeds of drives may follow their laws. PowerSlope, Air and
// Stream may be nil: nothing of that kind; so may Setting, all at their high
// ends, Speed, all by their laws, and Leak, all as they are.
type Inputs struct {
	Power       []float64 // W, one a source, at time Since
	PowerSlope  []float64 // W/s, one a source
	MassFlow    []float64 // kg/s, one a circuit, zero or above: streams do not turn round; of no effect on one with an operation
	Temperature []float64 // K, one a boundary, at time Since
	Slope       []float64 // K/s, one a boundary
	Air         []AirFlow // one a pass
	Stream      []float64 // W/K, one a stream of air: mass flow times specific heat; below zero from its stated end to its stated beginning
	Setting     []float64 // one a setting; of no effect on one that follows a drive or AirBy
	Speed       []float64 // one a drive: NaN to follow its law, or a number to stay at it; that may lie beyond the drive's range
	Leak        []float64 // one a leak, 0 to 1: the share of its power that it has; a chip that is off has none
	Since       float64   // s
}

// AirFlow is the air of a pass: see CheckAir for what can be.
type AirFlow struct {
	Rate     float64 // W/K, mass flow through the core times specific heat: above zero where metal is tied to it, or zero
	Forced   float64 // part of it, 0 to 1, that runs on; the rest is a draught, which goes back to where it came from
	Backward bool    // it comes from To and goes to From
}

// NewInputs returns inputs of the network's lengths, all zero, but settings at their
// high ends and drives that follow their laws.
func (n *Network) NewInputs() Inputs {
	return Inputs{
		Power:       make([]float64, len(n.sources)),
		PowerSlope:  make([]float64, len(n.sources)),
		MassFlow:    make([]float64, len(n.circuits)),
		Temperature: make([]float64, len(n.boundaries)),
		Slope:       make([]float64, len(n.boundaries)),
		Air:         make([]AirFlow, len(n.passes)),
		Stream:      make([]float64, len(n.airStreams)),
		Setting:     n.highSettings(),
		Speed:       slices.Repeat([]float64{math.NaN()}, len(n.drives)),
		Leak:        slices.Repeat([]float64{1}, len(n.leaks)),
	}
}

// highSettings returns the high ends of all settings.
func (n *Network) highSettings() []float64 {
	high := make([]float64, len(n.settings))
	for k := range n.settings {
		high[k] = n.settings[k].high
	}
	return high
}

// SetInputs copies in. It panics if a length is not the network's own, or if a
// pass runs backward that is said to run one way.
func (n *Network) SetInputs(in Inputs) {
	n.mustFit(in)
	copy(n.in.Power, in.Power)
	copyOrClear(n.in.PowerSlope, in.PowerSlope)
	copy(n.in.MassFlow, in.MassFlow)
	copy(n.in.Temperature, in.Temperature)
	copy(n.in.Slope, in.Slope)
	if n.airBy == nil {
		copyOrClear(n.in.Air, in.Air)
		copyOrClear(n.in.Stream, in.Stream)
	}
	n.in.Since = in.Since
	copy(n.drift[len(n.names):], in.Slope)
	n.moving = slices.ContainsFunc(in.Slope, isNotZero)
	n.ramping = slices.ContainsFunc(in.PowerSlope, isNotZero)
	n.setLeaks(in.Leak)
	n.setSpeeds(in)
	n.setAir()
	n.spread(n.in.Power, n.sourceHeat, n.fan)
	n.spread(n.in.PowerSlope, n.heatSlope, n.fanSlope)
	n.setFlows()
	n.evaluateBoundaries(in.Since)
	n.evaluateFans(in.Since)
	n.driftInlets()
}

// setLeaks takes over which leaks are there.
func (n *Network) setLeaks(shares []float64) {
	for i := range n.leaks {
		share := 1.0
		if len(shares) > 0 {
			share = shares[i]
		}
		if share != n.leaks[i].share {
			n.leaks[i].share = share
			n.forget()
		}
		n.in.Leak[i] = share
	}
}

func isNotZero(x float64) bool { return x != 0 }

// mustFit panics if inputs cannot be this network's.
func (n *Network) mustFit(in Inputs) {
	fits := func(got, want int, optional bool) bool { return got == want || optional && got == 0 }
	if !fits(len(in.Power), len(n.sources), false) || !fits(len(in.PowerSlope), len(n.sources), true) ||
		!fits(len(in.MassFlow), len(n.circuits), false) || !fits(len(in.Temperature), len(n.boundaries), false) ||
		!fits(len(in.Slope), len(n.boundaries), false) || !fits(len(in.Air), len(n.passes), true) ||
		!fits(len(in.Stream), len(n.airStreams), true) || !fits(len(in.Setting), len(n.settings), true) ||
		!fits(len(in.Speed), len(n.drives), true) || !fits(len(in.Leak), len(n.leaks), true) {
		panic("network: inputs of another network")
	}
	for i, f := range in.Air {
		if f.Backward && n.passes[i].oneWay {
			panic("network: pass " + n.passes[i].name + " runs one way only")
		}
	}
}

// copyOrClear copies src, which may be empty for all zero.
func copyOrClear[T any](dst, src []T) {
	if len(src) == 0 {
		clear(dst)
	}
	copy(dst, src)
}

// spread adds up what sources of the given powers put into every row, W, and
// into the air of every pass.
func (n *Network) spread(powers, rows []float64, fan []airHeat) {
	clear(rows)
	clear(fan)
	for k := range n.sources {
		s, power := &n.sources[k], powers[k]
		switch s.into {
		case intoLumps:
			for _, lump := range s.lumps {
				rows[lump] += power / float64(len(s.lumps))
			}
		case intoStream:
			rows[n.airStreams[s.stream].downstream().row] += power
		default:
			n.spreadFan(s, power, rows, fan)
		}
	}
}

// spreadFan puts a power into the air of a pass or, if there is none, to where
// the pass would breathe. From a plain pass it gets there in any case.
func (n *Network) spreadFan(s *sourceOf, power float64, rows []float64, fan []airHeat) {
	p := &n.passes[s.pass]
	switch {
	case p.rate == 0:
	case s.into == intoPass:
		fan[s.pass].before += power
	default:
		fan[s.pass].behind += power
	}
	switch {
	case p.rate > 0 && !p.plain:
	case p.backward:
		addShares(p.to, power, rows)
	default:
		addShares(p.from, power, rows)
		for _, x := range p.exhausts {
			addShares(n.passes[x.pass].to, x.share*power, rows)
		}
	}
}

// addShares adds a power to the rows of ends by their shares: a lump takes it up,
// and by a path it leaves.
func addShares(ends []airEnd, power float64, rows []float64) {
	for i := range ends {
		rows[ends[i].row] += ends[i].share * power
	}
}

// setFlows spreads the circuits' mass flows over the streams.
func (n *Network) setFlows() {
	for i := range n.rings {
		s := &n.rings[i]
		s.carry = s.share * n.in.MassFlow[s.circuit] * n.c0
	}
	for _, links := range [...][]boundaryLink{n.inflows, n.outflows} {
		for i := range links {
			links[i].carry = links[i].share * n.in.MassFlow[links[i].circuit] * n.c0
		}
	}
	n.setChains()
	n.fillSteady()
}

// Inputs returns a copy of what was set last; of air and settings that follow
// drives, what they are at present.
func (n *Network) Inputs() Inputs {
	in := n.in
	in.Power = slices.Clone(in.Power)
	in.PowerSlope = slices.Clone(in.PowerSlope)
	in.MassFlow = slices.Clone(in.MassFlow)
	in.Temperature = slices.Clone(in.Temperature)
	in.Slope = slices.Clone(in.Slope)
	in.Air = slices.Clone(in.Air)
	in.Stream = slices.Clone(in.Stream)
	in.Setting, in.Speed, in.Leak = slices.Clone(in.Setting), slices.Clone(in.Speed), slices.Clone(in.Leak)
	return in
}

// SetReference sets the temperature (K) at which coolant and air count as
// carrying no energy, 293.15 K to begin with. Of the results only the split
// between energy in and out across boundaries depends on it. At the temperature
// of a machine at rest it makes all rates there exactly zero.
func (n *Network) SetReference(t float64) {
	n.airRest = t
	if n.coolant == nil {
		return
	}
	n.rest = n.scale.Of(t)
	// There and back may end in a neighbour of t, and heat would flow between
	// coolant and what is exactly at t. So all of the coolant is moved by as much.
	at, _ := n.scale.Temperature(n.rest)
	n.shift = t - at
	n.forget()
}

// BoundaryTemperature returns the temperature of boundary k at time t, K.
func (n *Network) BoundaryTemperature(k int, t float64) float64 {
	return n.in.Temperature[k] + n.in.Slope[k]*(t-n.in.Since)
}

// PowerAt returns the requested power of source k at time t, W.
func (n *Network) PowerAt(k int, t float64) float64 {
	return n.in.Power[k] + n.in.PowerSlope[k]*(t-n.in.Since)
}
