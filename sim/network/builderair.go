package network

import (
	"math"
	"slices"
)

// Pass and Stream number the passes and the streams of air, in the order in
// which they were added.
type (
	Pass   int
	Stream int
)

// AirShare is a share of the air that a pass breathes or blows: see AirOf and
// ExhaustOf.
type AirShare struct {
	node    Node
	pass    Pass
	exhaust bool // it is a pass's, not a node's
	share   float64
}

// AirOf is a share (0 to 1) of air of a node: a boundary, or a lump that holds no
// coolant.
func AirOf(n Node, share float64) AirShare { return AirShare{node: n, share: share} }

// ExhaustOf is a share (0 to 1) of air from behind an earlier pass.
func ExhaustOf(p Pass, share float64) AirShare { return AirShare{pass: p, exhaust: true, share: share} }

// AirPass is the way of air through a core, over metal that warms it.
//
// Behind every pass lies a place without capacity, where its exhaust arrives, and
// from where later passes breathe it. What they leave goes on to the nodes of
// To. What the exhaust does not cover (fans stand, or are weaker than those of the
// pass that breathes it; the pass runs backward) is breathed from those same nodes,
// as air would be drawn in from there; all that breathe at a place get the same
// mixture. A pass that runs backward breathes at the place behind it and blows
// at where it breathes otherwise, be that a node or the place behind another
// pass, which then feeds what breathes there.
type AirPass struct {
	From []AirShare // what it breathes; the shares sum to 1
	To   []AirShare // where its exhaust goes, nodes only; the shares sum to 1
	// Recirculation is the part of the air into the core that has just come out of
	// it, 0 or above and below 1. So only the rest of the core's flow is fresh, and
	// moves from From to To.
	Recirculation float64
	// OneWay says that it never runs backward. The Jacobian is then sparser.
	OneWay bool
}

// passOf is what a builder keeps of a pass.
type passOf struct {
	AirPass
	name     string
	path     Path // of its boundaries, -1 if it has none
	ties     []tieOf
	heated   bool // a source heats its air
	breathed bool // a later pass breathes its exhaust
	sensed   bool // an auxiliary state follows its air
}

// tieOf is a conductance between metal and the air into a pass: a share of a
// circuit's quantity, or, without a circuit, a constant (W/K).
type tieOf struct {
	metal   Node
	circuit Circuit // noCircuit for a constant, below it that of a law
	value   int
	share   float64
}

// streamOfAir moves air between two nodes.
type streamOfAir struct {
	from, to Node
	path     Path
}

// AirPass adds a pass. If air of a boundary goes through it, the energy is
// counted on the path that has its name: enthalpy relative to the temperature that
// SetReference sets, positive where it leaves.
func (b *Builder) AirPass(name string, p AirPass) Pass {
	id := Pass(len(b.passes))
	if !(p.Recirculation >= 0 && p.Recirculation < 1) {
		b.fail("pass %s: a recirculation of %g is not from 0 to below 1", name, p.Recirculation)
	}
	added := passOf{AirPass: p, name: name, path: -1}
	added.From = b.airShares(name, "breathes", p.From, id)
	added.To = b.airShares(name, "blows", p.To, 0)
	for _, s := range slices.Concat(added.From, added.To) {
		switch {
		case s.exhaust:
			b.passes[s.pass].breathed = true
		case s.node < 0:
			added.path = b.Path(name)
		}
	}
	b.passes = append(b.passes, added)
	return id
}

// airShares returns the sound ones of a list of shares, scaled to sum to 1
// beyond rounding, and records what is wrong. Exhausts may be those of passes
// before id.
func (b *Builder) airShares(name, does string, list []AirShare, id Pass) (sound []AirShare) {
	sum := 0.0
	for _, s := range list {
		sum += s.share
		switch {
		case !(s.share >= 0 && s.share <= 1):
			b.fail("pass %s %s a share of %g, not from 0 to 1", name, does, s.share)
		case s.exhaust && does == "blows":
			b.fail("pass %s %s into another pass; let that one breathe its exhaust", name, does)
		case s.exhaust && (s.pass < 0 || s.pass >= id):
			b.fail("pass %s %s the exhaust of pass %d, which is no earlier one", name, does, s.pass)
		case !s.exhaust && !b.airy("pass "+name, s.node):
		default:
			sound = append(sound, s)
		}
	}
	if !(math.Abs(sum-1) <= 1e-9) {
		b.fail("pass %s %s shares that sum to %g, not to 1", name, does, sum)
	}
	for i := range sound {
		sound[i].share /= sum
	}
	return sound
}

// airy reports whether air can come from a node and go there, and records why
// not.
func (b *Builder) airy(what string, n Node) bool {
	switch {
	case !b.known(n):
		b.fail("%s: there is no node %d", what, n)
	case b.holdsCoolant(n):
		b.fail("%s: %s holds coolant, not air", what, b.nodeName(n))
	default:
		return true
	}
	return false
}

// AirConductOf ties metal, a lump, to the air into a pass by a share (>= 0) of
// a conductance that a circuit's operation gives as its quantity value: the air
// takes up share times quantity times the difference of the temperatures of the
// metal and of the air at the core's inlet.
func (b *Builder) AirConductOf(metal Node, p Pass, c Circuit, value int, share float64) {
	b.airConductOf(metal, p, max(c, noCircuit), value, share)
}

func (b *Builder) airConductOf(metal Node, p Pass, c Circuit, value int, share float64) {
	if !b.warms(metal, p) {
		return
	}
	if why := b.lacks(c, value); why != "" {
		b.fail("pass %s over %s: %s", b.passes[p].name, b.nodeName(metal), why)
		return
	}
	if !(share >= 0) || math.IsInf(share, 1) {
		b.fail("pass %s over %s: a share of %g is not zero or above", b.passes[p].name, b.nodeName(metal), share)
	}
	b.passes[p].ties = append(b.passes[p].ties, tieOf{metal, c, value, share})
}

// AirConduct ties metal, a lump, to the air into a pass by a constant
// conductance g (W/K, >= 0).
func (b *Builder) AirConduct(metal Node, p Pass, g float64) {
	if !b.warms(metal, p) {
		return
	}
	if !(g >= 0) || math.IsInf(g, 1) {
		b.fail("pass %s over %s: %g W/K is not a conductance", b.passes[p].name, b.nodeName(metal), g)
	}
	b.passes[p].ties = append(b.passes[p].ties, tieOf{metal, noCircuit, 0, g})
}

// warms reports whether metal can warm the air of a pass, and records why not.
func (b *Builder) warms(metal Node, p Pass) bool {
	switch {
	case p < 0 || int(p) >= len(b.passes):
		b.fail("air over %s: there is no pass %d", b.nodeName(metal), p)
	case !b.known(metal):
		b.fail("pass %s: there is no node %d", b.passes[p].name, metal)
	case metal < 0:
		b.fail("pass %s over %s, which is no lump", b.passes[p].name, b.nodeName(metal))
	default:
		return true
	}
	return false
}

// AirStream lets air run between two nodes, at a rate that is an input. The path
// names where the enthalpy comes from or goes if one end is a boundary.
func (b *Builder) AirStream(from, to Node, path Path) Stream {
	id := Stream(len(b.airStreams))
	sound := b.joins("air", from, to, path)
	for _, n := range []Node{from, to} {
		sound = sound && b.airy("air "+b.nodeName(from)+" to "+b.nodeName(to), n)
	}
	if !sound {
		from, to, path = 0, 0, 0 // so that what refers to it makes no second message
	}
	b.airStreams = append(b.airStreams, streamOfAir{from, to, path})
	return id
}

// SourceInto adds a requested power that heats the air of a pass, before the
// core or behind it. Where the pass carries no air it goes where the pass would
// breathe: to a lump, or by the pass's path; instead of an exhaust, to where
// that one goes.
func (b *Builder) SourceInto(name string, p Pass, behind bool) Source {
	if p < 0 || int(p) >= len(b.passes) {
		b.fail("source %s: there is no pass %d", name, p)
	} else {
		b.passes[p].heated = true
	}
	into := intoPass
	if behind {
		into = behindPass
	}
	b.sources = append(b.sources, sourceOf{name: name, into: into, pass: p})
	return Source(len(b.sources) - 1)
}

// SourceIntoStream adds a requested power that heats the air of a stream. It goes
// to the node into which the stream runs; to that of its stated end while it
// stands.
func (b *Builder) SourceIntoStream(name string, s Stream) Source {
	if s < 0 || int(s) >= len(b.airStreams) {
		b.fail("source %s: there is no stream of air %d", name, s)
	}
	b.sources = append(b.sources, sourceOf{name: name, into: intoStream, stream: s})
	return Source(len(b.sources) - 1)
}
