package network_test

import (
	"math"
	"testing"

	"soakledger/sim/network"
)

func TestLedger(t *testing.T) {
	p := newParts()
	p.b.Source("heater", p.plate)
	p.b.Leak("leakage", p.plate, 2, 300, 0.01, false)
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	y0, y := []float64{300, 300, 300, 50, 20}, []float64{310, 305, 300, 80, 26}
	n.States(y0[:3], y0[:3])
	n.States(y[:3], y[:3])
	l := n.Ledger(y0, y, []float64{4000})
	stored := n.StoredEnergy(p.hot, 300, 305)
	want := network.Ledger{
		In:     []network.Entry{{Name: "heater", Energy: 4000}, {Name: "leakage", Energy: 6}},
		Out:    []network.Entry{{Name: "out", Energy: 30}},
		Stored: []network.Entry{{Name: "plate", Energy: 1000}, {Name: "hot", Energy: stored}, {Name: "cold", Energy: 0}},
	}
	for _, c := range []struct{ got, want []network.Entry }{{l.In, want.In}, {l.Out, want.Out}, {l.Stored, want.Stored}} {
		if len(c.got) != len(c.want) {
			t.Fatalf("got %v, want %v", c.got, c.want)
		}
		for i := range c.got {
			if c.got[i] != c.want[i] {
				t.Errorf("got %v, want %v", c.got[i], c.want[i])
			}
		}
	}
	if got, want := l.Residual(), 4006-30-(1000+stored); math.Abs(got-want) > 1e-9 {
		t.Errorf("residual %g J, want %g", got, want)
	}
}

// What a coolant lump stores is the integral of its capacity: Simpson's rule
// over steps of 0.5 K, exact for the tabulated specific heat within a cell of
// the table and good to 1e-8 across.
func TestStoredEnergy(t *testing.T) {
	p := newParts()
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	const from, step, count = 290.0, 0.5, 80
	want := 0.0
	for k := range count {
		a := from + float64(k)*step
		want += step / 6 * (n.Capacity(p.hot, a) + 4*n.Capacity(p.hot, a+step/2) + n.Capacity(p.hot, a+step))
	}
	if got := n.StoredEnergy(p.hot, from, from+step*count); math.Abs(got-want) > 1e-8*want {
		t.Errorf("%.12g J, want %.12g", got, want)
	}
	if got := n.StoredEnergy(p.plate, 290, 289); got != -100 {
		t.Errorf("a lump of 100 J/K that cools by 1 K stores %g J", got)
	}
	// 0.1 kg of water at 25 degC: 4181.6 J/(kg K), IAPWS-95 (Wagner & Pruss
	// 2002, J. Phys. Chem. Ref. Data 31:387), value from memory, not checked
	// against the source.
	if got := n.Capacity(p.hot, 298.15); math.Abs(got-418.16) > 0.1 {
		t.Errorf("0.1 kg of water has %g J/K", got)
	}
}

func TestRelativeResidual(t *testing.T) {
	entry := func(v ...float64) (e []network.Entry) {
		for _, x := range v {
			e = append(e, network.Entry{Energy: x})
		}
		return e
	}
	for _, c := range []struct {
		name   string
		ledger network.Ledger
		want   float64
	}{
		{"nothing has moved", network.Ledger{In: entry(0), Out: entry(0, 0), Stored: entry(0)}, 0},
		{"closed", network.Ledger{In: entry(100), Out: entry(60), Stored: entry(30, 10)}, 0},
		{"over what came in", network.Ledger{In: entry(100), Out: entry(59), Stored: entry(40)}, 0.01},
		{"over what went out", network.Ledger{In: entry(1), Out: entry(200), Stored: entry(-197)}, 0.01},
		{"over what is stored, heat having moved inside", network.Ledger{Stored: entry(51, -49)}, 0.02},
		{"over what went in and out by paths", network.Ledger{Out: entry(100, -98)}, 2. / 198},
		{"not a number", network.Ledger{In: entry(math.NaN()), Out: entry(1)}, math.Inf(1)},
		{"infinite", network.Ledger{In: entry(math.Inf(1)), Out: entry(1)}, math.Inf(1)},
	} {
		got := c.ledger.Relative()
		if math.IsInf(c.want, 1) != math.IsInf(got, 1) || !math.IsInf(got, 1) && math.Abs(got-c.want) > 1e-15 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
