package network_test

import (
	"math"
	"reflect"
	"testing"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

func TestDescribe(t *testing.T) {
	p := newParts()
	p.b.Source("heater", p.plate, p.hot)
	p.b.Leak("leakage", p.plate, 2, 300, 0.01, true)
	through := p.b.Circuit("through")
	p.b.Stream(p.ambient, p.hot, through, 0.5, p.out)
	p.b.Stream(p.hot, p.ambient, through, 0.5, p.out)
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.Inputs()
	in.MassFlow[0], in.MassFlow[1] = 0.03, 0.01
	n.SetInputs(in)
	got := n.Describe(280, 290)
	got.Coolant = nil
	want := network.Description{
		Lumps:        []network.LumpDescription{{Name: "plate", Capacity: 100}, {Name: "hot", Mass: 0.1}, {Name: "cold", Mass: 0.1}},
		Boundaries:   []string{"ambient"},
		Conductances: []network.ConductDescription{{From: "plate", To: "hot", Conductance: 10}, {From: "cold", To: "ambient", Conductance: 5}},
		Streams: []network.StreamDescription{
			{From: "hot", To: "cold", MassFlow: 0.03}, {From: "cold", To: "hot", MassFlow: 0.03},
			{From: "ambient", To: "hot", MassFlow: 0.005}, {From: "hot", To: "ambient", MassFlow: 0.005},
		},
		Leaks:   []network.LeakDescription{{Name: "leakage", Lump: "plate", Power: 2, At: 300, Growth: 0.01, Linear: true}},
		Sources: []network.SourceDescription{{Name: "heater", Lumps: []string{"plate", "hot"}}},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

// The sampled coolant, read by cubic Hermite interpolation, is the coolant of
// the network.
func TestDescribedCoolant(t *testing.T) {
	c := networktest.Loop16()
	d := c.Build().Describe(275, 360).Coolant
	if last := d.Temperature[len(d.Temperature)-1]; d.Temperature[0] != 275 || last != 360 {
		t.Fatalf("sampled from %g to %g K", d.Temperature[0], last)
	}
	worst := 0.0
	for k := range d.Temperature[1:] {
		step := d.Temperature[k+1] - d.Temperature[k]
		for _, x := range []float64{0.25, 0.5, 0.75} {
			got := d.Enthalpy[k]*(1+2*x)*(1-x)*(1-x) + d.Enthalpy[k+1]*x*x*(3-2*x) +
				step*(d.SpecificHeat[k]*x*(1-x)*(1-x)-d.SpecificHeat[k+1]*x*x*(1-x))
			want := c.Coolant.EnthalpyOf(d.Temperature[k] + x*step)
			worst = math.Max(worst, math.Abs(got-want))
		}
	}
	if worst > 1e-5 {
		t.Errorf("enthalpy off by up to %g J/kg", worst)
	}
	if networktest.Loop16().Build().Describe(300, 300.1).Coolant.Temperature[0] != 300 {
		t.Error("a short range does not begin at its lower end")
	}
}

func TestDescribeWithoutCoolant(t *testing.T) {
	b := network.NewBuilder(nil)
	b.Lump("x", 1)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	if got := n.Describe(280, 290); got.Coolant != nil || len(got.Lumps) != 1 {
		t.Errorf("got %+v", got)
	}
}
