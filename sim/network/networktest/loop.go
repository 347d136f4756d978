package networktest

import (
	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// Ambient is the first boundary of every case.
const Ambient network.Node = -1

// Loop16 returns a water-cooled machine of 16 lumps with invented numbers: a
// chip with spreader and cold plate, a second die on its block, two tubes, a
// radiator of two cells, a reservoir, case air and chassis; 0.04786 kg/s of
// water (200 W/K), two exponential leaks, requested powers of 250 and 180 W.
// Its temperatures are those of a machine under way to its level.
func Loop16() *Case {
	const warm = 303.15
	c := &Case{Coolant: fluid.Water().Fast(), Paths: 3}
	die, spreader, plate := c.add(Lump{Capacity: 12}, 340), c.add(Lump{Capacity: 60}, 325), c.add(Lump{Capacity: 180}, 312)
	block := c.add(Lump{Mass: 0.010}, 306)
	tube := c.add(Lump{Mass: 0.038}, 306)
	die2, plate2 := c.add(Lump{Capacity: 20}, 335), c.add(Lump{Capacity: 320}, 313)
	block2, tube2 := c.add(Lump{Mass: 0.0144}, 307), c.add(Lump{Mass: 0.038}, 307)
	cool1, cool2 := c.add(Lump{Mass: 0.0287}, 305), c.add(Lump{Mass: 0.0287}, 304)
	metal1, metal2 := c.add(Lump{Capacity: 250}, 302), c.add(Lump{Capacity: 250}, 301)
	reservoir := c.add(Lump{Mass: 0.215}, 304)
	air, chassis := c.add(Lump{Capacity: 60}, 300), c.add(Lump{Capacity: 9000}, warm)
	c.ring(0, reservoir, block, tube, block2, tube2, cool1, cool2)
	for _, l := range []Conduct{
		{A: die, B: spreader, G: 15}, {A: spreader, B: plate, G: 30}, {A: plate, B: block, G: 60},
		{A: die2, B: plate2, G: 12}, {A: plate2, B: block2, G: 50},
		{A: cool1, B: metal1, G: 80}, {A: cool2, B: metal2, G: 80},
		{A: metal1, B: Ambient, G: 18}, {A: metal2, B: Ambient, G: 18},
		{A: reservoir, B: air, G: 0.4}, {A: tube, B: air, G: 0.2}, {A: tube2, B: air, G: 0.2},
		{A: air, B: chassis, G: 6}, {A: air, B: Ambient, G: 15, Path: 1}, {A: chassis, B: Ambient, G: 9, Path: 2},
	} {
		c.conduct(l.A, l.B, l.G, l.Path)
	}
	c.Leaks = []Leak{{die, 20, 333.15, 0.015, false}, {die2, 30, 333.15, 0.015, false}}
	c.Sources = [][]network.Node{{die}, {die2}, {reservoir}}
	c.Inputs = network.Inputs{Power: []float64{250, 180, 8}, PowerSlope: []float64{0, 0, 0}, MassFlow: []float64{0.04786}, Temperature: []float64{298.15}, Slope: []float64{0}}
	return c
}

// Operated16 returns the machine of Loop16 with a flow that follows an operation:
// as much at 305 K and 0.4 % more with every kelvin. Its film and air
// conductances follow the flow, and four of its lumps lose heat by curves.
func Operated16() *Case {
	c := Loop16()
	const low, high = 273.15, 368.15
	follow := func(y float64) [4]float64 { return [4]float64{1.06 * y, 0.4 * y, -0.1 * y, 0.05 * y} }
	quantities := Polynomials{follow(c.Inputs.MassFlow[0])}
	for _, s := range c.Streams {
		c.Flows = append(c.Flows, Flow{From: s.From, To: s.To})
	}
	c.Streams = nil
	var rest []Conduct
	for _, l := range c.Conducts {
		switch {
		case l.G == 0.2 || l.G == 0.4: // tubes and reservoir
			c.Curves = append(c.Curves, Curve{A: l.A, B: l.B, G: l.G, Cube: l.G * 1e-5})
		case l.G == 60 || l.G == 50 || l.G == 80 || l.G == 18: // films and the radiator's air
			c.Laws = append(c.Laws, Law{A: l.A, B: l.B, Value: len(quantities), Share: 1, Path: l.Path})
			quantities = append(quantities, follow(l.G))
		case l.A == 15: // chassis
			c.Curves = append(c.Curves, Curve{A: l.A, B: l.B, G: l.G, Cube: l.G * 1e-5, Path: l.Path})
		default:
			rest = append(rest, l)
		}
	}
	c.Conducts = rest
	c.Operations = []Operation{{Reference: 13, Low: low, High: high, Operation: quantities}}
	return c
}

// Aired16 returns the machine of Operated16 whose radiator breathes ambient
// air, 60 W/K of it, half of it for each cell's metal, and blows it into the
// case, from where it leaves by a vent; a second core of one metal lump, that
// of plate2, breathes a third of the exhaust, and a tenth of its own. A fan
// heats the air before the radiator.
func Aired16() *Case {
	c := Operated16()
	const metal1, metal2, air, plate2 network.Node = 11, 12, 14, 6
	front := Pass{From: []AirShare{{Node: Ambient, Share: 1}}, To: []AirShare{{Node: air, Share: 1}}}
	var rest []Law
	for _, l := range c.Laws {
		if l.A == metal1 || l.A == metal2 {
			front.Ties = append(front.Ties, Tie{Metal: l.A, Follows: true, Value: l.Value, Share: 1})
		} else {
			rest = append(rest, l)
		}
	}
	c.Laws = rest
	rear := Pass{
		From: []AirShare{{Exhaust: true, Pass: 0, Share: 1}}, To: []AirShare{{Node: air, Share: 1}}, Recirculation: 0.1,
		Ties: []Tie{{Metal: plate2, G: 4}},
	}
	c.Passes = []Pass{front, rear}
	c.AirStreams = []AirStream{{From: air, To: Ambient, Path: 1}}
	c.Fans = []Fan{{Pass: 0}}
	c.Inputs.Power, c.Inputs.PowerSlope = append(c.Inputs.Power, 3), append(c.Inputs.PowerSlope, 0)
	c.Inputs.Air = []network.AirFlow{{Rate: 60, Forced: 1}, {Rate: 20 / 0.9, Forced: 1}}
	c.Inputs.Stream = []float64{60}
	return c
}

// Ring returns n equal cells of water in a ring, each of 20 g and tied to
// ambient by 0.5 W/K; 0.05 kg/s; 100 W into the first.
func Ring(n int) *Case {
	c := &Case{Coolant: fluid.Water().Fast(), Paths: 1, Sources: [][]network.Node{{0}}}
	for i := range n {
		c.add(Lump{Mass: 0.02}, 298.15)
		c.conduct(network.Node(i), Ambient, 0.5, 0)
	}
	c.ring(0, nodes(n)...)
	c.Inputs = network.Inputs{Power: []float64{100}, MassFlow: []float64{0.05}, Temperature: []float64{298.15}, Slope: []float64{0}}
	return c
}

// Chain returns n cells of water in a row, from ambient to ambient, of which
// each feeds only the next; 100 W into the first.
func Chain(n int) *Case {
	c := Ring(n)
	c.Conducts = nil
	c.Streams[n-1] = Stream{From: network.Node(n - 1), To: Ambient, Share: 1}
	c.Streams = append(c.Streams, Stream{From: Ambient, To: 0, Share: 1})
	return c
}

// nodes lists the first n lumps.
func nodes(n int) []network.Node {
	all := make([]network.Node, n)
	for i := range all {
		all[i] = network.Node(i)
	}
	return all
}
