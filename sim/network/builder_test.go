package network_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// parts is a small valid network: a plate, two masses of coolant in a ring, and
// ambient.
type parts struct {
	b                *network.Builder
	plate, hot, cold network.Node
	ambient          network.Node
	ring             network.Circuit
	out              network.Path
}

func newParts() parts {
	p := parts{b: network.NewBuilder(fluid.Water().Fast())}
	p.plate = p.b.Lump("plate", 100)
	p.hot, p.cold = p.b.CoolantLump("hot", 0.1), p.b.CoolantLump("cold", 0.1)
	p.ambient = p.b.Boundary("ambient")
	p.ring, p.out = p.b.Circuit("ring"), p.b.Path("out")
	p.b.Conduct(p.plate, p.hot, 10, 0)
	p.b.Conduct(p.ambient, p.cold, 5, p.out)
	p.b.Stream(p.hot, p.cold, p.ring, 1, 0)
	p.b.Stream(p.cold, p.hot, p.ring, 1, 0)
	return p
}

// Every mistake is reported by one message, and no second one follows from it.
func TestBuilderErrors(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		want    string
		mistake func(p parts)
	}{
		{"lump x: a heat capacity of 0 J/K is not above zero and finite", func(p parts) { p.b.Lump("x", 0) }},
		{"lump x: a heat capacity of NaN J/K is not above zero and finite", func(p parts) { p.b.Lump("x", nan) }},
		{"lump x: a heat capacity of +Inf J/K is not above zero and finite", func(p parts) { p.b.Lump("x", inf) }},
		{"lump x: -1 kg of coolant is not above zero and finite", func(p parts) {
			p.b.Stream(p.b.CoolantLump("x", -1), p.ambient, p.ring, 0, p.out)
		}},
		{"lump x: +Inf kg of coolant is not above zero and finite", func(p parts) { p.b.CoolantLump("x", inf) }},
		{"link plate to cold: -1 W/K is not a conductance", func(p parts) { p.b.Conduct(p.plate, p.cold, -1, 0) }},
		{"link plate to ambient: NaN W/K is not a conductance", func(p parts) { p.b.Conduct(p.plate, p.ambient, nan, p.out) }},
		{"link plate to cold: +Inf W/K is not a conductance", func(p parts) { p.b.Conduct(p.plate, p.cold, inf, 0) }},
		{"link ambient to room joins two fixed temperatures and moves nothing", func(p parts) { p.b.Conduct(p.ambient, p.b.Boundary("room"), 1, p.out) }},
		{"link plate to plate joins a lump to itself", func(p parts) { p.b.Conduct(p.plate, p.plate, 1, 0) }},
		{"link plate to ?: there is no node 3", func(p parts) { p.b.Conduct(p.plate, 3, 1, 0) }},
		{"link ? to plate: there is no node -2", func(p parts) { p.b.Conduct(-2, p.plate, 1, p.out) }},
		{"link plate to ambient: there is no path 1", func(p parts) { p.b.Conduct(p.plate, p.ambient, 1, 1) }},
		{"link ambient to plate: there is no path -1", func(p parts) { p.b.Conduct(p.ambient, p.plate, 1, -1) }},
		{"stream hot to plate: plate holds no coolant", func(p parts) { p.b.Stream(p.hot, p.plate, p.ring, 1, 0) }},
		{"stream plate to hot: plate holds no coolant", func(p parts) { p.b.Stream(p.plate, p.hot, p.ring, 1, 0) }},
		{"stream hot to hot joins a lump to itself", func(p parts) { p.b.Stream(p.hot, p.hot, p.ring, 1, 0) }},
		{"stream ambient to room joins two fixed temperatures and moves nothing", func(p parts) { p.b.Stream(p.ambient, p.b.Boundary("room"), p.ring, 1, p.out) }},
		{"stream ? to hot: there is no node 9", func(p parts) { p.b.Stream(9, p.hot, p.ring, 1, 0) }},
		{"stream hot to ambient: there is no path 4", func(p parts) { p.b.Stream(p.hot, p.ambient, p.ring, 1, 4) }},
		{"stream hot to cold: there is no circuit 1", func(p parts) { p.b.Stream(p.hot, p.cold, 1, 1, 0) }},
		{"stream hot to cold: there is no circuit -1", func(p parts) { p.b.Stream(p.hot, p.cold, -1, 1, 0) }},
		{"stream hot to cold: a share of -0.5 is not zero or above", func(p parts) { p.b.Stream(p.hot, p.cold, p.ring, -0.5, 0) }},
		{"stream hot to cold: a share of NaN is not zero or above", func(p parts) { p.b.Stream(p.hot, p.cold, p.ring, nan, 0) }},
		{"stream hot to cold: a share of +Inf is not zero or above", func(p parts) { p.b.Stream(p.hot, p.cold, p.ring, inf, 0) }},
		{"circuit ring: hot takes in 1 but gives out 1.25 of its flow, so its mass would change", func(p parts) { p.b.Stream(p.hot, p.ambient, p.ring, 0.25, p.out) }},
		{"circuit ring: hot takes in 1 but gives out 1.000001 of its flow, so its mass would change", func(p parts) { p.b.Stream(p.hot, p.ambient, p.ring, 1e-6, p.out) }},
		{"circuit other: hot takes in 0.5 but gives out 0 of its flow, so its mass would change", func(p parts) {
			p.b.Stream(p.ambient, p.hot, p.b.Circuit("other"), 0.5, p.out)
		}},
		{"source x heats ambient, whose temperature is fixed", func(p parts) { p.b.Source("x", p.plate, p.ambient) }},
		{"source x: there is no node 7", func(p parts) { p.b.Source("x", 7) }},
		{"source x heats nothing", func(p parts) { p.b.Source("x") }},
		{"leakage x heats ambient, whose temperature is fixed", func(p parts) { p.b.Leak("x", p.ambient, 1, 300, 0.01, false) }},
		{"leakage x: there is no node 3", func(p parts) { p.b.Leak("x", 3, 1, 300, 0.01, false) }},
		{"leakage x: a power of -1 W is not zero or above", func(p parts) { p.b.Leak("x", p.plate, -1, 300, 0.01, false) }},
		{"leakage x: a power of NaN W is not zero or above", func(p parts) { p.b.Leak("x", p.plate, nan, 300, 0.01, false) }},
		{"leakage x: 0 K is not a temperature", func(p parts) { p.b.Leak("x", p.plate, 1, 0, 0.01, false) }},
		{"leakage x: a growth of -Inf 1/K is not finite", func(p parts) { p.b.Leak("x", p.plate, 1, 300, -inf, true) }},
		{"leakage x: a growth of NaN 1/K is not finite", func(p parts) { p.b.Leak("x", p.plate, 1, 300, nan, true) }},
	} {
		p := newParts()
		c.mistake(p)
		n, err := p.b.Build()
		if n != nil || err == nil {
			t.Errorf("no error, want %q", c.want)
			continue
		}
		got := strings.Split(err.Error(), "\n")
		if want := "network: " + c.want; len(got) != 1 || got[0] != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestCoolantWithoutFluid(t *testing.T) {
	b := network.NewBuilder(nil)
	b.CoolantLump("x", 1)
	if _, err := b.Build(); err == nil || err.Error() != "network: lump x holds coolant, but the network has none" {
		t.Errorf("got %v", err)
	}
	if _, err := network.NewBuilder(nil).Build(); err == nil || err.Error() != "network: a network needs at least one lump" {
		t.Errorf("got %v", err)
	}
}

func TestAllMistakesAreReported(t *testing.T) {
	p := newParts()
	p.b.Lump("x", -1)
	p.b.Source("y")
	p.b.Stream(p.hot, p.plate, p.ring, 1, 0)
	_, err := p.b.Build()
	if got := strings.Count(err.Error(), "\n") + 1; got != 3 {
		t.Errorf("%d messages, want 3: %v", got, err)
	}
}

func TestBuild(t *testing.T) {
	p := newParts()
	if got := p.b.Path("out"); got != p.out {
		t.Errorf("the same name gives path %d and %d", got, p.out)
	}
	lumps := []network.Node{p.plate, p.hot}
	p.b.Source("heater", lumps...)
	lumps[0] = p.cold // the builder has its own copy
	p.b.Leak("leakage", p.plate, 2, 300, 0.01, false)
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	states, quads := n.Dim()
	for _, c := range []struct {
		what      string
		got, want []string
	}{
		{"lumps", n.Lumps(), []string{"plate", "hot", "cold"}},
		{"sources", n.Sources(), []string{"heater"}},
		{"paths", n.Paths(), []string{"out"}},
		{"leaks", n.Leaks(), []string{"leakage"}},
	} {
		if !slices.Equal(c.got, c.want) {
			t.Errorf("%s %v, want %v", c.what, c.got, c.want)
		}
	}
	if states != 3 || quads != 2 {
		t.Errorf("%d states and %d quadratures, want 3 and 2", states, quads)
	}
	if n.HoldsCoolant(p.plate) || !n.HoldsCoolant(p.hot) {
		t.Error("coolant is in the wrong lumps")
	}
	if got := n.BoundaryTemperature(0, 1e6); got != 293.15 {
		t.Errorf("a new boundary is at %g K", got)
	}
	in := n.NewInputs()
	in.Power[0], in.Temperature[0] = 10, 293.15
	n.SetInputs(in)
	dydt := make([]float64, states+quads)
	n.F(0, []float64{293.15, 293.15, 293.15, 0, 0}, dydt)
	if dydt[1] <= 0 || dydt[2] != 0 {
		t.Errorf("rates %v: the source is in the wrong lump", dydt)
	}
}
