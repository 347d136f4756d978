package network

import (
	"slices"
	"testing"

	"soakledger/sim/fluid"
)

// steady is an operation of constant quantities.
type steady []float64

func (s steady) Values() int { return len(s) }

func (s steady) At(_ float64, dst []float64) error {
	copy(dst, s)
	return nil
}

// Chains go along a ring whatever the order in which its streams were added, begin anew
// where a flow parts, and take in what their lumps conduct beside the streams; other
// conductances are left aside. Two circuits, of which one's flow is an input, have chains of their own.
func TestChainsTakeInStreams(t *testing.T) {
	b := NewBuilder(fluid.Water().Fast())
	var cells []Node
	for _, name := range []string{"a", "b", "c", "d", "e", "f", "g"} {
		cells = append(cells, b.CoolantLump(name, 0.1))
	}
	b.Lump("plate", 100)
	main, side := b.Circuit("main"), b.Circuit("side")
	b.Operate(main, cells[0], steady{0.03, 0.01, 0.02}, 280, 360)
	for _, s := range [][3]int{{4, 0, 0}, {2, 3, 1}, {0, 1, 0}, {1, 2, 1}, {1, 3, 2}, {3, 4, 0}} { // b parts over c, d joins
		b.StreamOf(cells[s[0]], cells[s[1]], main, s[2])
	}
	b.Stream(cells[5], cells[6], side, 1, 0)
	b.Stream(cells[6], cells[5], side, 1, 0)
	for _, c := range [][3]float64{{1, 0, 2}, {0, 1, 3}, {2, 7, 4}, {6, 5, 5}, {2, 0, 6}} {
		from, to := Node(c[0]), Node(c[1])
		b.Conduct(from, to, c[2], 0)
	}
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		lumps []uint32
		g     []float64
	}{
		{[]uint32{3, 4, 0, 1}, []float64{0, 0, 5}},
		{[]uint32{1, 2, 3}, []float64{0, 0}},
		{[]uint32{1, 3}, []float64{0}},
		{[]uint32{5, 6, 5}, []float64{5, 0}},
	}
	if len(n.chains) != len(want) {
		t.Fatalf("chains %+v", n.chains)
	}
	for _, w := range want {
		if !slices.ContainsFunc(n.chains, func(c chain) bool { return slices.Equal(c.lumps, w.lumps) && slices.Equal(c.g, w.g) }) {
			t.Errorf("no chain along %v with %v W/K among %+v", w.lumps, w.g, n.chains)
		}
	}
	if !slices.Equal(n.aside.g, []float64{4, 6}) || !slices.Equal(n.aside.a, []uint32{2, 2}) || !slices.Equal(n.aside.b, []uint32{7, 0}) {
		t.Errorf("left aside %+v", n.aside)
	}
}
