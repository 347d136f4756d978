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
// boundary: over a conductance either way, with a stream downstream only.
func loose(c *networktest.Case) (nodes []network.Node) {
	reached := map[network.Node]bool{}
	for k := range c.Inputs.Temperature {
		reached[network.Node(-1-k)] = true
	}
	for range c.Lumps {
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

func operationOf(c *networktest.Case, circuit network.Circuit) int {
	return slices.IndexFunc(c.Operations, func(o networktest.Operation) bool { return o.Circuit == circuit })
}

func TestUndetermined(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Laws: true})
		n := c.Build()
		if got, want := n.Undetermined(), loose(c); !slices.Equal(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
		for k := range c.Inputs.MassFlow {
			c.Inputs.MassFlow[k] = 0
		}
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
