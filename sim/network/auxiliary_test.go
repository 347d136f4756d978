package network_test

import (
	"math"
	"slices"
	"testing"

	"soakledger/sim/network"
	"soakledger/sim/ode"
)

// sensed is a plate that a source heats and that leaks, in a room, with a sensor on
// it, one in the air over it, and an average of its power.
func sensed(t *testing.T) (n *network.Network, plate, air, power network.Aux) {
	t.Helper()
	r := newRoom()
	heater := r.b.Source("heater", r.first, r.other)
	r.b.Leak("leak", r.first, 10, 300, 0.02, false)
	r.b.Leak("elsewhere", r.cabinet, 10, 300, 0.02, false)
	p := r.b.AirPass("p", network.AirPass{From: from(network.AirOf(r.room, 1)), To: from(network.AirOf(r.room, 1))})
	r.b.AirConduct(r.first, p, 5)
	plate = r.b.Lag("plate", 4, network.TemperatureOf(r.first, 0.75), network.TemperatureOf(r.room, 0.25))
	air = r.b.Lag("air", 2, network.OutletOf(p, 1))
	power = r.b.Average("power", 56, network.PowerOf(heater, 1))
	n, err := r.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Power[0], in.Temperature[0], in.Air[0] = 100, 300, network.AirFlow{Rate: 10, Forced: 1}
	n.SetInputs(in)
	return n, plate, air, power
}

// By hand: the plate at 340 K gives 200 W to 10 W/K of air, and leaks 10 exp(0.8) W.
func TestAuxiliariesByHand(t *testing.T) {
	n, plate, air, power := sensed(t)
	states, quads := n.Dim()
	if states != 6 || quads != 3 || !slices.Equal(n.Auxiliaries(), []string{"plate", "air", "power"}) || len(n.Lumps()) != 3 {
		t.Fatalf("%d states, %d quadratures, %v, %v", states, quads, n.Auxiliaries(), n.Lumps())
	}
	y := []float64{300, 340, 300, 310, 315, 60, 7, 8, 9}
	got, leak := rates(n, 0, y), 10*math.Exp(0.8)
	near(t, "plate", got[n.AuxState(plate)], (330-310)/4.)
	near(t, "air", got[n.AuxState(air)], (320-315)/2.)
	near(t, "power", got[n.AuxState(power)], (100+leak-60)/56)
	near(t, "first", got[1], (50+leak-200)/200)
	near(t, "path", got[6], 200)
	near(t, "leaks", got[7], leak)
	for i, want := range []float64{1, 1, 1, 1, 1, 10} {
		if n.Scale(i) != want {
			t.Errorf("scale of state %d: %g", i, n.Scale(i))
		}
	}
	y[1] = 320
	rates(n, 0, y)
	y[1] = 340 // settling is at the state it is given, not at the one before
	n.Settle(0, y)
	near(t, "plate", y[3], 330)
	near(t, "air", y[4], 320)
	near(t, "power", y[5], 100+leak)
	for i, v := range rates(n, 0, y)[3:6] {
		if v != 0 {
			t.Errorf("auxiliary state %d changes by %g after it has settled", i, v)
		}
	}
}

// States and temperatures of auxiliary states are what they are, and they store
// nothing.
func TestAuxiliariesAreNoLumps(t *testing.T) {
	n, _, _, power := sensed(t)
	i := network.Node(n.AuxState(power))
	if n.HoldsCoolant(i) || n.State(i, 70) != 70 || n.Temperature(i, 70) != 70 || n.Slope(i, 70) != 1 || n.Capacity(i, 300) != 0 || n.StoredEnergy(i, 1, 2) != 0 {
		t.Error("an average is taken for a lump")
	}
	y, dst := []float64{300, 301, 302, 4, 5, 6}, make([]float64, 6)
	n.States(y, dst)
	if n.Temperatures(dst, dst); !slices.Equal(y, dst) {
		t.Errorf("%v come back as %v", y, dst)
	}
	l := n.Ledger(make([]float64, 9), []float64{0, 0, 0, 1e3, 1e3, 1e3, 2, 3, 4}, []float64{9})
	if l.Out[0].Energy != 2 || l.In[1].Energy != 3 || l.In[2].Energy != 4 || len(l.Stored) != 3 || l.Residual() != 9+3+4-2 {
		t.Errorf("ledger %+v", l)
	}
}

// A moving average of a step of power from 20 to 253 W with 56 s meets 125 W
// after 56 ln(233/128) s: y = P2 + (P0 - P2) exp(-t/tau). Integrated with the
// network, at a tight tolerance.
func TestAverageOfAStep(t *testing.T) {
	b := network.NewBuilder(nil)
	chip := b.Lump("chip", 50)
	b.Conduct(chip, b.Boundary("room"), 5, b.Path("out"))
	b.Average("average", 56, network.PowerOf(b.Source("chip", chip), 1))
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Power[0], in.Temperature[0] = 253, 300
	n.SetInputs(in)
	tol := make([]float64, 2)
	for i := range tol {
		tol[i] = 1e-8 * n.Scale(i)
	}
	result, err := ode.Solve(ode.Problem{System: n, T1: 56 * math.Log(233./128), Y0: []float64{300, 20, 0}}, nil, ode.Settings{AbsTol: tol})
	if err != nil {
		t.Fatal(err)
	}
	if got := result.Y[1]; math.Abs(got-125) > 1e-6 {
		t.Errorf("average of %.10g W, want 125", got)
	}
}

func TestBuilderErrorsOfAuxiliaries(t *testing.T) {
	for _, c := range []struct {
		want    string
		mistake func(p parts, s network.Source)
	}{
		{"lag x: a time constant of 0 s is not above zero and finite", func(p parts, _ network.Source) { p.b.Lag("x", 0, network.TemperatureOf(p.hot, 1)) }},
		{"average x: a time constant of NaN s is not above zero and finite", func(p parts, s network.Source) { p.b.Average("x", math.NaN(), network.PowerOf(s, 1)) }},
		{"average x: a time constant of +Inf s is not above zero and finite", func(p parts, s network.Source) { p.b.Average("x", math.Inf(1), network.PowerOf(s, 1)) }},
		{"lag x follows nothing", func(p parts, _ network.Source) { p.b.Lag("x", 1) }},
		{"lag x: a weight of NaN is not finite", func(p parts, _ network.Source) { p.b.Lag("x", 1, network.TemperatureOf(p.hot, math.NaN())) }},
		{"lag x: there is no node 9", func(p parts, _ network.Source) { p.b.Lag("x", 1, network.TemperatureOf(9, 1)) }},
		{"lag x: there is no pass 0", func(p parts, _ network.Source) { p.b.Lag("x", 1, network.InletOf(0, 1)) }},
		{"lag x: there is no pass -1", func(p parts, _ network.Source) { p.b.Lag("x", 1, network.OutletOf(-1, 1)) }},
		{"average x: there is no source 1", func(p parts, _ network.Source) { p.b.Average("x", 1, network.PowerOf(1, 1)) }},
		{"lag x: a power is averaged, not sensed", func(p parts, s network.Source) { p.b.Lag("x", 1, network.PowerOf(s, 1)) }},
		{"average x: a temperature is sensed with a lag, not averaged", func(p parts, _ network.Source) { p.b.Average("x", 1, network.TemperatureOf(p.hot, 1)) }},
	} {
		p := newParts()
		c.mistake(p, p.b.Source("heater", p.plate))
		n, err := p.b.Build()
		if n != nil || err == nil || err.Error() != "network: "+c.want {
			t.Errorf("got  %v\nwant network: %s", err, c.want)
		}
	}
}
