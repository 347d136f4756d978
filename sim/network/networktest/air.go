package networktest

import (
	"math"

	"pgregory.net/rapid"

	"soakledger/sim/network"
)

// Spot is where air is: at a node, or at the inlet of a pass's core, its
// outlet, or the place behind the pass.
type Spot struct {
	At   SpotKind
	Node network.Node
	Pass int
}

// SpotKind says what a spot is.
type SpotKind uint8

// The kinds of spots.
const (
	AtNode SpotKind = iota
	AtInlet
	AtOutlet
	AtPlace
)

// Move is air that goes from spot to spot at a rate (W/K, above zero). Path is
// that of the energy at a boundary.
type Move struct {
	From, To Spot
	Rate     float64
	Path     network.Path
}

// Moves lists all that air does at the case's inputs, from the definition of a
// pass. At every spot of a pass as much comes in as goes out.
func (c *Case) Moves() []Move {
	m := mover{c: c}
	for k := range c.Passes {
		m.pass(k)
	}
	for k := range c.Passes {
		m.balance(k)
	}
	for k, s := range c.AirStreams {
		rate, from, to := c.Inputs.Stream[k], s.From, s.To
		if rate < 0 {
			rate, from, to = -rate, to, from
		}
		m.path = s.Path
		m.move(Spot{Node: from}, Spot{Node: to}, rate)
	}
	return m.moves
}

// mover collects moves.
type mover struct {
	c     *Case
	path  network.Path
	moves []Move
}

func (m *mover) move(from, to Spot, rate float64) {
	if rate > 0 {
		m.moves = append(m.moves, Move{from, to, rate, m.path})
	}
}

// nodes spreads a rate over the nodes of pass k's To, to them or from them.
func (m *mover) nodes(k int, other Spot, rate float64, into bool) {
	m.path, _ = m.c.PassPath(k)
	for _, s := range m.c.Passes[k].To {
		if into {
			m.move(other, Spot{Node: s.Node}, rate*s.Share)
		} else {
			m.move(Spot{Node: s.Node}, other, rate*s.Share)
		}
	}
}

// pass adds the air through pass k.
func (m *mover) pass(k int) {
	p, flow := m.c.Passes[k], m.c.Inputs.Air[k]
	inlet, outlet, place := Spot{AtInlet, 0, k}, Spot{AtOutlet, 0, k}, Spot{AtPlace, 0, k}
	m.move(inlet, outlet, flow.Rate)
	m.move(outlet, inlet, flow.Rate*p.Recirculation)
	fresh := flow.Rate * (1 - p.Recirculation)
	forced := fresh * flow.Forced
	if flow.Backward {
		m.move(place, inlet, fresh)
		m.nodes(k, outlet, fresh-forced, true)
	} else {
		m.move(outlet, place, forced)
	}
	for _, s := range p.From {
		m.path, _ = m.c.PassPath(k)
		source := Spot{Node: s.Node}
		if s.Exhaust {
			source = Spot{AtPlace, 0, int(s.Pass)}
		}
		switch {
		case flow.Backward:
			m.move(outlet, source, forced*s.Share)
		case s.Exhaust:
			m.move(source, inlet, fresh*s.Share)
			m.nodes(int(s.Pass), outlet, (fresh-forced)*s.Share, true)
		default:
			m.move(source, inlet, fresh*s.Share)
			m.move(outlet, source, (fresh-forced)*s.Share)
		}
	}
}

// balance lets the nodes behind pass k add what lacks at the place there, or
// take the rest.
func (m *mover) balance(k int) {
	place, in, out := Spot{AtPlace, 0, k}, 0.0, 0.0
	for _, a := range m.moves {
		if a.To == place {
			in += a.Rate
		}
		if a.From == place {
			out += a.Rate
		}
	}
	m.nodes(k, place, out-in, false)
	m.nodes(k, place, in-out, true)
}

// air draws passes and streams of air, with their flows, so that no lump's mass
// of air changes.
func (d *drawer) air() {
	for range rapid.IntRange(0, 4).Draw(d.t, "passes") {
		d.pass()
	}
	for range rapid.IntRange(0, 2).Draw(d.t, "streams of air") {
		if a, b := d.airNode(), d.airNode(); a != b && (a >= 0 || b >= 0) {
			d.stream(a, b, d.size("rate", 0.1, 50)*float64(rapid.IntRange(-1, 1).Draw(d.t, "way")))
		}
	}
	for i, in := range d.c.airInto() {
		if math.Abs(in.more) > 1e-15*in.size { // or else it is rounding
			d.stream(network.Node(i), d.boundary(), in.more)
		}
	}
	for range rapid.IntRange(0, 3).Draw(d.t, "fans") {
		d.fan()
	}
}

// excess is how much more air a lump gets than it gives, and both together, W/K.
type excess struct{ more, size float64 }

// airInto returns the excess of every lump.
func (c *Case) airInto() []excess {
	all := make([]excess, len(c.Lumps))
	add := func(s Spot, rate, sign float64) {
		if s.At == AtNode && s.Node >= 0 {
			all[s.Node].more += sign * rate
			all[s.Node].size += rate
		}
	}
	for _, m := range c.Moves() {
		add(m.From, m.Rate, -1)
		add(m.To, m.Rate, 1)
	}
	return all
}

func (d *drawer) stream(from, to network.Node, rate float64) {
	d.c.AirStreams = append(d.c.AirStreams, AirStream{from, to, d.path()})
	d.c.Inputs.Stream = append(d.c.Inputs.Stream, rate)
}

// airNode draws a boundary, or a lump without coolant.
func (d *drawer) airNode() network.Node {
	if n := d.node(); n < 0 || d.c.Lumps[n].Mass == 0 {
		return n
	}
	return d.boundary()
}

// airShares draws one to three shares that sum to 1, of nodes and of the
// exhausts of passes before pass k.
func (d *drawer) airShares(k int) (all []AirShare) {
	left := 1.0
	for left > 0 {
		s := AirShare{Share: left}
		if len(all) < 2 && rapid.Bool().Draw(d.t, "mixed") {
			s.Share = left * d.part()
		}
		if k > 0 && rapid.Bool().Draw(d.t, "exhaust") {
			s.Exhaust, s.Pass = true, network.Pass(rapid.IntRange(0, k-1).Draw(d.t, "pass"))
		} else {
			s.Node = d.airNode()
		}
		left -= s.Share
		all = append(all, s)
	}
	return all
}

// part draws one to seven eighths: parts so small that rounding hides them tie
// nothing.
func (d *drawer) part() float64 { return float64(rapid.IntRange(1, 7).Draw(d.t, "part")) / 8 }

// pass draws a pass. The air carries away more than its metal can give, so that
// no outlet is hotter than the metal.
func (d *drawer) pass() {
	p := Pass{From: d.airShares(len(d.c.Passes)), To: d.airShares(0), OneWay: rapid.Bool().Draw(d.t, "one way")}
	if rapid.IntRange(0, 3).Draw(d.t, "same") == 0 {
		p.From = []AirShare{{Node: p.To[0].Node, Share: 1}} // mostly a plain one
		p.To = []AirShare{{Node: p.To[0].Node, Share: 1}}
	}
	if rapid.Bool().Draw(d.t, "recirculates") {
		p.Recirculation = d.float("recirculation", 0, 0.6)
	}
	most := 0.0
	for range rapid.IntRange(0, 3).Draw(d.t, "ties") {
		t, g := d.tie()
		most += g
		p.Ties = append(p.Ties, t)
	}
	flow := network.AirFlow{Rate: max(most, 0.01) * d.size("over", 1, 20), Backward: !p.OneWay && rapid.Bool().Draw(d.t, "backward")}
	if most == 0 && rapid.Bool().Draw(d.t, "stands") {
		flow.Rate = 0
	}
	switch rapid.IntRange(0, 2).Draw(d.t, "fans run") {
	case 1:
		flow.Forced = 1
	case 2:
		flow.Forced = d.part()
	}
	d.c.Passes = append(d.c.Passes, p)
	d.c.Inputs.Air = append(d.c.Inputs.Air, flow)
}

// tie draws one, and returns the most that its conductance can be.
func (d *drawer) tie() (t Tie, most float64) {
	t.Metal = d.anyLump()
	if len(d.c.Operations) == 0 || rapid.Bool().Draw(d.t, "constant") {
		if rapid.IntRange(0, 9).Draw(d.t, "open") > 0 {
			t.G = d.size("conductance", 0.01, 30)
		}
		return t, t.G
	}
	o := &d.c.Operations[rapid.IntRange(0, len(d.c.Operations)-1).Draw(d.t, "operation")]
	quantities := o.Operation.(Polynomials)
	t.Follows, t.Circuit, t.Value, t.Share = true, o.Circuit, len(quantities), d.float("share", 0, 1)
	q := d.quantity(rapid.IntRange(0, 5).Draw(d.t, "none") == 0, 0.01, 30)
	o.Operation = append(quantities, q)
	return t, t.Share * q[0] * 1.5 // the quantity is nowhere as large: 1 + 0.65/2 + 0.65²/5 + 0.65³/5 of its first coefficient
}

func (d *drawer) fan() {
	f := Fan{Behind: rapid.Bool().Draw(d.t, "behind")}
	switch streams, passes := len(d.c.AirStreams), len(d.c.Passes); {
	case streams > 0 && rapid.Bool().Draw(d.t, "in stream"):
		f.InStream, f.Stream = true, network.Stream(rapid.IntRange(0, streams-1).Draw(d.t, "stream"))
	case passes > 0:
		f.Pass = network.Pass(rapid.IntRange(0, passes-1).Draw(d.t, "pass"))
	default:
		return
	}
	d.c.Fans = append(d.c.Fans, f)
	d.c.Inputs.Power = append(d.c.Inputs.Power, d.float("power", 0, 20))
}
