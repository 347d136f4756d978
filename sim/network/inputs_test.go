package network_test

import (
	"reflect"
	"testing"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

func TestInputsAreCopied(t *testing.T) {
	c := networktest.Loop16()
	n := c.Build()
	in, stated, want := c.Inputs, networktest.Loop16().Inputs, n.NewInputs()
	copy(want.Power, stated.Power)
	copy(want.MassFlow, stated.MassFlow)
	copy(want.Temperature, stated.Temperature)
	if got := n.Inputs(); !reflect.DeepEqual(got, want) {
		t.Fatalf("set %v, got %v", want, got)
	}
	in.Power[0], in.MassFlow[0], in.Temperature[0], in.Slope[0] = 1, 1, 1, 1
	out := n.Inputs()
	out.Power[1], out.MassFlow[0], out.Temperature[0], out.Slope[0] = 2, 2, 2, 2
	if got := n.Inputs(); !reflect.DeepEqual(got, want) {
		t.Errorf("inputs are shared: %v, want %v", got, want)
	}
}

func TestInputsOfAnotherNetwork(t *testing.T) {
	n := networktest.Loop16().Build()
	for name, change := range map[string]func(in *network.Inputs){
		"power":       func(in *network.Inputs) { in.Power = in.Power[1:] },
		"mass flow":   func(in *network.Inputs) { in.MassFlow = nil },
		"temperature": func(in *network.Inputs) { in.Temperature = append(in.Temperature, 300) },
		"slope":       func(in *network.Inputs) { in.Slope = nil },
		"ramps":       func(in *network.Inputs) { in.PowerSlope = in.PowerSlope[1:] },
		"air":         func(in *network.Inputs) { in.Air = make([]network.AirFlow, 1) },
		"streams":     func(in *network.Inputs) { in.Stream = make([]float64, 1) },
		"settings":    func(in *network.Inputs) { in.Setting = make([]float64, 1) },
		"speeds":      func(in *network.Inputs) { in.Speed = make([]float64, 1) },
	} {
		in := n.NewInputs()
		change(&in)
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s of the wrong length passes", name)
				}
			}()
			n.SetInputs(in)
		}()
	}
}

// Powers set later replace those set before; several sources on one lump add up,
// and one on several lumps is shared evenly, a lump named twice getting two
// parts.
func TestPowersAreReplaced(t *testing.T) {
	b := network.NewBuilder(nil)
	a, c := b.Lump("a", 1), b.Lump("c", 1)
	b.Source("one", a)
	b.Source("both", a, c, c)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range [][2]float64{{10, 30}, {5, 0}, {0, -3}} {
		n.SetInputs(network.Inputs{Power: p[:]})
		got := rates(n, 0, []float64{300, 300})
		if got[0] != p[0]+p[1]/3 || got[1] != p[1]/3+p[1]/3 {
			t.Errorf("powers %v heat the lumps by %v", p, got)
		}
	}
}

// Boundaries move on straight lines from the time of the inputs, and F with
// them; inputs set later do not remember the slope.
func TestMovingBoundary(t *testing.T) {
	b := network.NewBuilder(nil)
	lump, room, out := b.Lump("lump", 10), b.Boundary("room"), b.Path("out")
	b.Conduct(lump, room, 2, out)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := network.Inputs{Power: []float64{}, MassFlow: []float64{}, Temperature: []float64{300}, Slope: []float64{0.5}, Since: 100}
	n.SetInputs(in)
	for _, c := range []struct{ t, want float64 }{{100, 0}, {104, 0.4}, {90, -1}} {
		if got := rates(n, c.t, []float64{300, 0})[0]; got != c.want {
			t.Errorf("at %g s: %g K/s, want %g", c.t, got, c.want)
		}
	}
	if got := n.BoundaryTemperature(0, 104); got != 302 {
		t.Errorf("boundary at %g K, want 302", got)
	}
	in.Slope[0] = 0
	n.SetInputs(in)
	if got := rates(n, 104, []float64{300, 0})[0]; got != 0 {
		t.Errorf("%g K/s after the boundary has stopped", got)
	}
}

// Powers run on straight lines from the time of the inputs, on lumps and in
// air, and the derivative with time says so.
func TestRamps(t *testing.T) {
	r := newRoom()
	r.b.Source("heater", r.first)
	p := r.b.AirPass("p", network.AirPass{From: from(network.AirOf(r.room, 1)), To: from(network.AirOf(r.cabinet, 1))})
	r.b.SourceInto("fan", p, false)
	n, err := r.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := network.Inputs{
		Power: []float64{100, 5}, PowerSlope: []float64{-2, 0.5}, Temperature: []float64{300}, Slope: []float64{0},
		Air: []network.AirFlow{{Rate: 10, Forced: 1}}, Since: 10,
	}
	n.SetInputs(in)
	n.SetReference(300)
	y, dfdt := []float64{300, 300, 300, 0}, make([]float64, 4)
	for _, at := range []float64{10, 14, 4} {
		got := rates(n, at, y)
		near(t, "heater", got[1], (100-2*(at-10))/200)
		near(t, "case", got[0], (5+0.5*(at-10))/100)
		near(t, "heater", n.PowerAt(0, at), 100-2*(at-10))
	}
	if !n.TimeDerivative(14, y, dfdt) {
		t.Fatal("reports no derivative")
	}
	near(t, "heater", dfdt[1], -2./200)
	near(t, "case", dfdt[0], 0.5/100)
	in.PowerSlope = nil
	n.SetInputs(in)
	if got := rates(n, 14, y); got[1] != 0.5 || n.TimeDerivative(14, y, dfdt) {
		t.Errorf("%g K/s after the ramp has ended", got[1])
	}
}
