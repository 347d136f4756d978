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

// value reads a described table by its own contract.
func value(knots []float64, cubics [][4]float64, x float64) float64 {
	k := 0
	for k < len(cubics)-1 && x >= knots[k+1] {
		k++
	}
	u := math.Max(0, math.Min((x-knots[k])/(knots[k+1]-knots[k]), 1))
	c := cubics[k]
	return c[0] + u*(c[1]+u*(c[2]+u*c[3]))
}

// The described operations, laws, flows and curves are those of the network:
// read by their contract they give its quantities and its heat.
func TestDescribeLaws(t *testing.T) {
	p := newParts()
	p.b.Operate(p.b.Circuit("other"), p.cold, networktest.Polynomials{{1, 0, 0, 0}, {2, 0, 0, 0}}, 280, 300)
	driven, left, _ := fork(p)
	p.b.ConductOf(p.ambient, left, driven, 3, 0.25, p.out)
	p.b.Curve(p.ambient, p.plate, p.out, func(d float64) (q, slope float64) { return d + d*d*d/1e4, 1 + 3*d*d/1e4 })
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	d := n.Describe(280, 290)
	wantLaws := []network.LawDescription{{From: "plate", To: "left", Circuit: "driven", Quantity: 3, Share: 1}, {From: "left", To: "ambient", Circuit: "driven", Quantity: 3, Share: 0.25}}
	if !reflect.DeepEqual(d.Laws, wantLaws) {
		t.Errorf("laws %+v, want %+v", d.Laws, wantLaws)
	}
	wantFlows := []network.FlowDescription{
		{From: "hot", To: "left", Circuit: "driven", Quantity: 1}, {From: "hot", To: "right", Circuit: "driven", Quantity: 2},
		{From: "left", To: "cold", Circuit: "driven", Quantity: 1}, {From: "right", To: "cold", Circuit: "driven", Quantity: 2},
		{From: "cold", To: "hot", Circuit: "driven", Quantity: 0},
	}
	if !reflect.DeepEqual(d.Flows, wantFlows) {
		t.Errorf("flows %+v, want %+v", d.Flows, wantFlows)
	}
	if len(d.Operations) != 2 || d.Operations[0].Circuit != "other" || d.Operations[0].Reference != "cold" {
		t.Fatalf("operations %+v", d.Operations)
	}
	d.Operations = d.Operations[1:]
	if d.Operations[0].Circuit != "driven" || d.Operations[0].Reference != "hot" || len(d.Operations[0].Quantities) != 4 {
		t.Fatalf("operations %+v", d.Operations)
	}
	for at := 240.0; at < 380; at += 0.83 {
		for v, cubics := range d.Operations[0].Quantities {
			want, _ := n.Quantity(driven, v, at)
			if got := value(d.Operations[0].Knots, cubics, at); math.Abs(got-want) > 1e-12*want {
				t.Errorf("quantity %d at %g K: %.17g, want %.17g", v, at, got, want)
			}
		}
	}
	if len(d.Curves) != 1 || d.Curves[0].From != "plate" || d.Curves[0].To != "ambient" {
		t.Fatalf("curves %+v", d.Curves)
	}
	for x := -79.0; x < 80; x += 3.1 {
		if got, want := value(d.Curves[0].Knots, d.Curves[0].Cubics, x), x+x*x*x/1e4; math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("curve at %g K: %g W, want %g", x, got, want)
		}
	}
}

// Passes and streams of air, with their sources by number.
func TestDescribeAir(t *testing.T) {
	p := newParts()
	driven, _, _ := fork(p)
	p.b.Source("heater", p.plate)
	front := p.b.AirPass("front", network.AirPass{From: from(network.AirOf(p.ambient, 1)), To: from(network.AirOf(p.plate, 0.25), network.AirOf(p.ambient, 0.75)), Recirculation: 0.2})
	rear := p.b.AirPass("rear", network.AirPass{From: from(network.ExhaustOf(front, 0.5), network.AirOf(p.ambient, 0.5)), To: from(network.AirOf(p.ambient, 1))})
	plain := p.b.AirPass("plain", network.AirPass{From: from(network.AirOf(p.ambient, 1)), To: from(network.AirOf(p.ambient, 1))})
	p.b.AirConductOf(p.hot, front, driven, 3, 0.5)
	p.b.AirConduct(p.cold, rear, 7)
	p.b.AirConduct(p.hot, plain, 6)
	vent := p.b.AirStream(p.plate, p.ambient, p.out)
	p.b.SourceInto("fan", rear, true)
	p.b.SourceInto("lamp", rear, false)
	p.b.SourceIntoStream("case fan", vent)
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Air = []network.AirFlow{{Rate: 40, Forced: 0.5}, {Rate: 10, Forced: 1, Backward: true}, {}}
	in.Stream[0] = -4
	n.SetInputs(in)
	d := n.Describe(280, 290)
	share := func(node, pass string, share float64) network.AirShareDescription {
		return network.AirShareDescription{Node: node, Pass: pass, Share: share}
	}
	ambient := []network.AirShareDescription{share("ambient", "", 1)}
	want := []network.PassDescription{
		{
			Name: "front", From: ambient, To: []network.AirShareDescription{share("plate", "", 0.25), share("ambient", "", 0.75)}, Recirculation: 0.2,
			Rate: 40, Forced: 0.5, Ties: []network.AirTieDescription{{Metal: "hot", Circuit: "driven", Quantity: 3, Share: 0.5}},
		},
		{
			Name: "rear", From: []network.AirShareDescription{share("ambient", "", 0.5), share("", "front", 0.5)}, To: ambient, Rate: 10, Forced: 1, Backward: true,
			Ties: []network.AirTieDescription{{Metal: "cold", Share: 7}}, Before: []int{2}, Behind: []int{1},
		},
		{Name: "plain", From: ambient, To: ambient, Ties: []network.AirTieDescription{{Metal: "hot", Share: 6}}},
	}
	if !reflect.DeepEqual(d.Passes, want) {
		t.Errorf("got  %+v\nwant %+v", d.Passes, want)
	}
	if want := []network.AirStreamDescription{{From: "plate", To: "ambient", Rate: -4, Sources: []int{3}}}; !reflect.DeepEqual(d.AirStreams, want) {
		t.Errorf("got %+v, want %+v", d.AirStreams, want)
	}
	if want := []network.SourceDescription{{Name: "heater", Lumps: []string{"plate"}}, {Name: "fan"}, {Name: "lamp"}, {Name: "case fan"}}; !reflect.DeepEqual(d.Sources, want) {
		t.Errorf("got %+v, want %+v", d.Sources, want)
	}
	for _, l := range d.Laws { // a plain pass is no law to who reads this
		if l.From == "hot" {
			t.Errorf("law %+v", l)
		}
	}
	if got := n.Passes(); !reflect.DeepEqual(got, []string{"front", "rear", "plain"}) {
		t.Errorf("passes %v", got)
	}
}
