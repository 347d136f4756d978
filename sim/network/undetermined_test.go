package network_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

// loose works out by repeated passes which lumps heat cannot reach from a
// boundary: over a conductance either way, with a stream or with air downstream
// only.
func loose(c *networktest.Case) (nodes []network.Node) {
	reached := map[network.Node]bool{}
	for k := range c.Inputs.Temperature {
		reached[network.Node(-1-k)] = true
	}
	moves, aired := c.Moves(), map[networktest.Spot]bool{}
	for range len(c.Lumps) + 3*len(c.Passes) {
		for _, m := range moves {
			if from := m.From; from.At == networktest.AtNode && reached[from.Node] || aired[from] {
				if m.To.At == networktest.AtNode {
					reached[m.To.Node] = true
				} else {
					aired[m.To] = true
				}
			}
		}
		for k, p := range c.Passes {
			inlet, outlet := networktest.Spot{At: networktest.AtInlet, Pass: k}, networktest.Spot{At: networktest.AtOutlet, Pass: k}
			for _, tie := range p.Ties {
				if !conducts(c, tie) || c.Inputs.Air[k].Rate == 0 {
					continue
				}
				reached[tie.Metal] = reached[tie.Metal] || aired[inlet]
				aired[outlet] = aired[outlet] || reached[tie.Metal]
			}
		}
		for _, l := range c.Conducts {
			if l.G > 0 && (reached[l.A] || reached[l.B]) {
				reached[l.A], reached[l.B] = true, true
			}
		}
		for _, l := range c.Laws {
			if l.Share*c.Operations[operationOf(c, l.Circuit)].Operation.(networktest.Polynomials)[l.Value][0] > 0 && (reached[l.A] || reached[l.B]) {
				reached[l.A], reached[l.B] = true, true
			}
		}
		for _, l := range c.Curves {
			if reached[l.A] || reached[l.B] {
				reached[l.A], reached[l.B] = true, true
			}
		}
		for _, f := range c.Flows {
			if c.Operations[operationOf(c, f.Circuit)].Operation.(networktest.Polynomials)[f.Value][0] > 0 && reached[f.From] {
				reached[f.To] = true
			}
		}
		for _, s := range c.Streams {
			if s.Share*c.Inputs.MassFlow[s.Circuit] > 0 && reached[s.From] {
				reached[s.To] = true
			}
		}
	}
	for i := range c.Lumps {
		if n := network.Node(i); !reached[n] {
			nodes = append(nodes, n)
		}
	}
	return nodes
}

// conducts reports whether a tie ever carries heat.
func conducts(c *networktest.Case, t networktest.Tie) bool {
	if !t.Follows {
		return t.G > 0
	}
	return t.Share*c.Operations[operationOf(c, t.Circuit)].Operation.(networktest.Polynomials)[t.Value][0] > 0
}

func operationOf(c *networktest.Case, circuit network.Circuit) int {
	return slices.IndexFunc(c.Operations, func(o networktest.Operation) bool { return o.Circuit == circuit })
}

func TestUndetermined(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Laws: true, Air: true})
		n := c.Build()
		if got, want := n.Undetermined(), loose(c); !slices.Equal(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
		for k := range c.Inputs.MassFlow {
			c.Inputs.MassFlow[k] = 0
		}
		clear(c.Inputs.Air)
		clear(c.Inputs.Stream)
		n.SetInputs(c.Inputs) // it is a question of the present inputs
		if got, want := n.AppendUndetermined([]network.Node{77}), append([]network.Node{77}, loose(c)...); !slices.Equal(got, want) {
			t.Fatalf("at rest: got %v, want %v", got, want)
		}
	})
}

// A stopped ring whose only way out is by the stream: its cells, and the plate
// that hangs on one of them, are loose; the tied cell is not.
func TestUndeterminedAtRest(t *testing.T) {
	b := network.NewBuilder(fluid.Water().Fast())
	plate := b.Lump("plate", 100)
	hot, cold := b.CoolantLump("hot", 0.1), b.CoolantLump("cold", 0.1)
	ambient, ring, out := b.Boundary("ambient"), b.Circuit("ring"), b.Path("out")
	b.Conduct(plate, hot, 10, 0)
	b.Conduct(cold, ambient, 5, out)
	b.Stream(hot, cold, ring, 1, 0)
	b.Stream(cold, hot, ring, 1, 0)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.Inputs()
	for _, c := range []struct {
		flow float64
		want []network.Node
	}{{0, []network.Node{plate, hot}}, {0.01, nil}} {
		in.MassFlow[0] = c.flow
		n.SetInputs(in)
		if got := n.Undetermined(); !slices.Equal(got, c.want) {
			t.Errorf("at %g kg/s: %v, want %v", c.flow, got, c.want)
		}
	}
}

// Draughts and backward passes tie what they move air to and from, and no more:
// balances that random cases do not meet.
func TestUndeterminedByAir(t *testing.T) {
	way := func(n network.Node) []network.AirShare { return from(network.AirOf(n, 1)) }
	behind := func(p network.Pass) []network.AirShare { return from(network.ExhaustOf(p, 1)) }
	const ten = 10.
	draught, run := network.AirFlow{Rate: ten}, network.AirFlow{Rate: ten, Forced: 1}
	back, backDraught := network.AirFlow{Rate: ten, Forced: 1, Backward: true}, network.AirFlow{Rate: ten, Backward: true}
	for _, c := range []struct {
		name   string
		make   func(r room)
		air    []network.AirFlow
		stream float64
		want   []network.Node
	}{
		// first gives a draught and gets it back; behind that pass another blows room
		// air into the case.
		{"a draught does not reach the place behind", func(r room) {
			p := r.b.AirPass("p", network.AirPass{From: way(r.first), To: way(r.cabinet)})
			r.b.AirPass("q", network.AirPass{From: behind(p), To: way(r.room)})
		}, []network.AirFlow{draught, back}, ten, []network.Node{1, 2}},
		// The case gets room air as the draught of a pass behind another, and loses it
		// likewise.
		{"a draught of an exhaust", func(r room) {
			p := r.b.AirPass("p", network.AirPass{From: way(r.room), To: way(r.cabinet)})
			r.b.AirPass("q", network.AirPass{From: behind(p), To: way(r.room)})
			s := r.b.AirPass("s", network.AirPass{From: way(r.cabinet), To: way(r.room)})
			r.b.AirPass("t", network.AirPass{From: behind(s), To: way(r.room)})
		}, []network.AirFlow{run, draught, run, draught}, 0, []network.Node{1, 2}},
		{"the same backward", func(r room) {
			p := r.b.AirPass("p", network.AirPass{From: way(r.room), To: way(r.cabinet)})
			r.b.AirPass("q", network.AirPass{From: behind(p), To: way(r.room)})
			s := r.b.AirPass("s", network.AirPass{From: way(r.room), To: way(r.room)})
			r.b.AirPass("t", network.AirPass{From: behind(s), To: way(r.cabinet)})
		}, []network.AirFlow{backDraught, back, backDraught, back}, 0, []network.Node{1, 2}},
		{"metal that never warms the air", func(r room) {
			r.b.AirConduct(r.first, r.b.AirPass("p", network.AirPass{From: way(r.room), To: way(r.room), Recirculation: 0.5}), 0)
			r.b.AirConduct(r.other, r.b.AirPass("q", network.AirPass{From: way(r.room), To: way(r.room), Recirculation: 0.5}), 1)
		}, []network.AirFlow{run, run}, 0, []network.Node{0, 1}},
	} {
		r := newRoom()
		c.make(r)
		r.b.AirStream(r.cabinet, r.room, r.b.Path("vent"))
		n, err := r.b.Build()
		if err != nil {
			t.Fatal(err)
		}
		in := n.NewInputs()
		copy(in.Air, c.air)
		in.Stream[0] = c.stream
		if err := n.CheckAir(in); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		n.SetInputs(in)
		if got := n.Undetermined(); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Metal that follows a quantity that is zero throughout is not tied by the air
// over it.
func TestUndeterminedByAirOverNothing(t *testing.T) {
	for _, c := range []struct {
		g    float64
		want []network.Node
	}{{0, []network.Node{0, 1}}, {2, []network.Node{1}}} {
		b := network.NewBuilder(fluid.Water().Fast())
		metal, bath := b.Lump("metal", 10), b.CoolantLump("bath", 1)
		ring, room := b.Circuit("ring"), b.Boundary("room")
		b.Operate(ring, bath, function{2, func(_ float64, dst []float64) error { dst[0], dst[1] = 0.1, c.g; return nil }, nil}, 280, 360)
		p := b.AirPass("p", network.AirPass{From: from(network.AirOf(room, 1)), To: from(network.AirOf(room, 1)), Recirculation: 0.5})
		b.AirConductOf(metal, p, ring, 1, 1)
		n, err := b.Build()
		if err != nil {
			t.Fatal(err)
		}
		in := n.NewInputs()
		in.Temperature[0], in.Air[0] = 300, network.AirFlow{Rate: 10, Forced: 1}
		n.SetInputs(in)
		if got := n.Undetermined(); !slices.Equal(got, c.want) {
			t.Errorf("%g W/K: %v, want %v", c.g, got, c.want)
		}
	}
}
