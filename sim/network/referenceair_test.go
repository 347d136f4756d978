package network_test

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"soakledger/sim/network/networktest"
)

// air adds what passes and streams of air do. The temperatures of all inlets,
// outlets and places come from the balance of each of them, solved together: what
// comes in, mixed and heated, is what goes out.
func (r *reference) air() {
	moves := r.c.Moves()
	r.solveAir(moves)
	for k := range r.c.Fans {
		r.fans += r.terms(len(r.c.Sources) + k)
	}
	for _, m := range moves {
		r.carry(m)
	}
	for k, p := range r.c.Passes {
		for _, t := range p.Ties {
			g, slope := r.tieOf(t)
			if r.c.Inputs.Air[k].Rate == 0 {
				continue
			}
			d := r.temperature(t.Metal) - 293.15 - r.spots[networktest.Spot{At: networktest.AtInlet, Pass: k}]
			r.into(t.Metal, -g*d, 0)
			r.ties[t.Metal] += 4*g + math.Abs(slope*d)
			r.sizes[t.Metal] += r.fans
		}
	}
	for k, f := range r.c.Fans {
		r.fan(f, r.power(len(r.c.Sources)+k))
	}
}

// power is that of a source at the reference's time, W.
func (r *reference) power(k int) float64 {
	in := r.c.Inputs
	if len(in.PowerSlope) == 0 {
		return in.Power[k]
	}
	return in.Power[k] + in.PowerSlope[k]*(r.t-in.Since)
}

// terms is the sum of what makes a power up, without sign, W.
func (r *reference) terms(k int) float64 {
	in := r.c.Inputs
	if len(in.PowerSlope) == 0 {
		return math.Abs(in.Power[k])
	}
	return math.Abs(in.Power[k]) + math.Abs(in.PowerSlope[k])*(math.Abs(r.t-in.Since)+1)
}

// tieOf is the conductance of a tie, and its slope.
func (r *reference) tieOf(t networktest.Tie) (g, slope float64) {
	if !t.Follows {
		return t.G, 0
	}
	g, slope = r.quantity(t.Circuit, t.Value)
	return t.Share * g, t.Share * slope
}

// solveAir finds the temperatures (K over 293.15 K) of all spots that air comes to.
func (r *reference) solveAir(moves []networktest.Move) {
	number := map[networktest.Spot]int{}
	for _, m := range moves {
		if _, ok := number[m.To]; !ok && m.To.At != networktest.AtNode {
			number[m.To] = len(number)
		}
	}
	r.spots = map[networktest.Spot]float64{}
	if len(number) == 0 {
		return
	}
	a, b := mat.NewDense(len(number), len(number), nil), mat.NewVecDense(len(number), nil)
	add := func(row, col int, v float64) { a.Set(row, col, a.At(row, col)+v) }
	for _, m := range moves {
		row, ok := number[m.To]
		if !ok {
			continue
		}
		add(row, row, m.Rate)
		if col, ok := number[m.From]; ok {
			add(row, col, -m.Rate)
		} else {
			b.SetVec(row, b.AtVec(row)+m.Rate*(r.temperature(m.From.Node)-293.15))
		}
	}
	for k, p := range r.c.Passes {
		inlet, ok := number[networktest.Spot{At: networktest.AtInlet, Pass: k}]
		if !ok {
			continue
		}
		outlet := number[networktest.Spot{At: networktest.AtOutlet, Pass: k}]
		for _, t := range p.Ties {
			g, _ := r.tieOf(t)
			add(outlet, inlet, g)
			b.SetVec(outlet, b.AtVec(outlet)+g*(r.temperature(t.Metal)-293.15))
		}
		for i, f := range r.c.Fans {
			if f.InStream || int(f.Pass) != k {
				continue
			}
			row := inlet
			if f.Behind {
				row = outlet
			}
			b.SetVec(row, b.AtVec(row)+r.power(len(r.c.Sources)+i))
		}
	}
	for row := range len(number) { // some rates are far smaller than others
		diagonal := a.At(row, row)
		for col := range len(number) {
			a.Set(row, col, a.At(row, col)/diagonal)
		}
		b.SetVec(row, b.AtVec(row)/diagonal)
	}
	var x, left, more mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		panic(err)
	}
	left.MulVec(a, &x) // and once more for what rounding has left
	left.SubVec(b, &left)
	if err := more.SolveVec(a, &left); err != nil {
		panic(err)
	}
	x.AddVec(&x, &more)
	for spot, row := range number {
		r.spots[spot] = x.AtVec(row)
	}
}

// carry adds what a move takes from a node or brings there.
func (r *reference) carry(m networktest.Move) {
	at, ok := r.spots[m.From]
	if !ok {
		at = r.temperature(m.From.Node) - 293.15
	}
	for _, end := range []struct {
		spot networktest.Spot
		sign float64
	}{{m.From, -1}, {m.To, 1}} {
		if end.spot.At == networktest.AtNode {
			r.into(end.spot.Node, end.sign*m.Rate*at, m.Path)
			r.ties[r.row(end.spot.Node, m.Path)] += 4 * m.Rate
			r.sizes[r.row(end.spot.Node, m.Path)] += r.fans
		}
	}
}

// fan adds the power of a fan where it does not heat the air of a pass: into
// the node to which a stream runs, or where a pass without air would breathe.
func (r *reference) fan(f networktest.Fan, power float64) {
	if f.InStream {
		s := r.c.AirStreams[f.Stream]
		if r.c.Inputs.Stream[f.Stream] < 0 {
			s.To = s.From
		}
		r.into(s.To, power, s.Path)
		r.sizes[r.row(s.To, s.Path)] += r.fans
		return
	}
	k := int(f.Pass)
	if r.c.Inputs.Air[k].Rate > 0 {
		return
	}
	toNodes := func(k int, power float64) {
		path, _ := r.c.PassPath(k)
		for _, s := range r.c.Passes[k].To {
			r.into(s.Node, s.Share*power, path)
			r.sizes[r.row(s.Node, path)] += r.fans
		}
	}
	if r.c.Inputs.Air[k].Backward {
		toNodes(k, power)
		return
	}
	for _, s := range r.c.Passes[k].From {
		if s.Exhaust {
			toNodes(int(s.Pass), s.Share*power)
		} else {
			path, _ := r.c.PassPath(k)
			r.into(s.Node, s.Share*power, path)
			r.sizes[r.row(s.Node, path)] += r.fans
		}
	}
}
