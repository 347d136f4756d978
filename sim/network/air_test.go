package network_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

// Air at inlet, outlet and metal as the definition gives them.
func TestAirOfPasses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, everything)
		n, y := c.BuildWithState()
		n.SetReference(rapid.Float64Range(260, 320).Draw(t, "reference"))
		ref := newReference(c, 7)
		n.Bring(7, y)
		for k, p := range c.Passes {
			if c.Inputs.Air[k].Rate == 0 {
				continue
			}
			inlet, outlet, heat := n.Air(network.Pass(k))
			wantIn := 293.15 + ref.spots[networktest.Spot{At: networktest.AtInlet, Pass: k}]
			wantOut := 293.15 + ref.spots[networktest.Spot{At: networktest.AtOutlet, Pass: k}]
			want, size := 0.0, ref.fans/c.Inputs.Air[k].Rate
			for _, tie := range p.Ties {
				g, _ := ref.tieOf(tie)
				want += g * (ref.temperature(tie.Metal) - wantIn)
			}
			tol := 1e-11 + 1e-12*(size+math.Abs(wantIn)+math.Abs(wantOut)) // fans may heat little air by much
			if !(math.Abs(inlet-wantIn) <= tol && math.Abs(outlet-wantOut) <= tol && math.Abs(heat-want) <= tol*c.Inputs.Air[k].Rate) {
				t.Fatalf("pass %d: %.15g and %.15g K, %.15g W, want %.15g, %.15g, %.15g", k, inlet, outlet, heat, wantIn, wantOut, want)
			}
		}
	})
}

// room is a network of a room, a case with air, and metal.
type room struct {
	b                     *network.Builder
	cabinet, first, other network.Node
	room                  network.Node
}

func newRoom() room {
	r := room{b: network.NewBuilder(nil)}
	r.cabinet, r.first, r.other = r.b.Lump("case", 100), r.b.Lump("first", 200), r.b.Lump("other", 50)
	r.room = r.b.Boundary("room")
	return r
}

// build returns the network with the room at 300 K, and what its passes say and F
// gives at the stated temperatures.
func (r room) build(t *testing.T, in network.Inputs, temperatures ...float64) (n *network.Network, rate []float64) {
	t.Helper()
	n, err := r.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	full := n.NewInputs()
	full.Temperature[0] = 300
	copy(full.Power, in.Power)
	copy(full.PowerSlope, in.PowerSlope)
	copy(full.Air, in.Air)
	copy(full.Stream, in.Stream)
	n.SetInputs(full)
	n.SetReference(300)
	states, quads := n.Dim()
	y := make([]float64, states+quads)
	copy(y, temperatures)
	rate = rates(n, 0, y)
	n.Bring(0, y)
	return n, rate
}

func from(all ...network.AirShare) []network.AirShare { return all }

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-11*(1+math.Abs(want))) {
		t.Errorf("%s: %.15g, want %.15g", what, got, want)
	}
}

// One core in a stream of 10 W/K of which it breathes a quarter again, 4 W/K to
// metal 40 K above the room, 6 W of fans before it and 3 W behind. By hand,
// over the room: inlet = outlet/4 + 0.6 K, outlet = 0.6 inlet + 16.3 K, so 5.5
// K and 19.6 K; the metal gives 4 (40 - 5.5) = 138 W, and 7.5 W/K carry the 147
// W that come in to the case.
func TestRecirculationByHand(t *testing.T) {
	r := newRoom()
	p := r.b.AirPass("front", network.AirPass{From: from(network.AirOf(r.room, 1)), To: from(network.AirOf(r.cabinet, 1)), Recirculation: 0.25})
	r.b.AirConduct(r.first, p, 4)
	r.b.SourceInto("fans", p, false)
	r.b.SourceInto("lamp", p, true)
	n, rate := r.build(t, network.Inputs{Power: []float64{6, 3}, Air: []network.AirFlow{{Rate: 10, Forced: 1}}}, 300, 340, 300)
	inlet, outlet, heat := n.Air(p)
	near(t, "inlet", inlet, 305.5)
	near(t, "outlet", outlet, 319.6)
	near(t, "heat", heat, 138)
	near(t, "metal", rate[1], -138./200)
	near(t, "case", rate[0], 147./100)
	near(t, "path", rate[3], 0) // the room's air comes in at the reference
}

// stack is two cores one behind the other, from the room into the case, each with
// 5 W/K to its metal, at 10 W/K of air.
func stack(t *testing.T, first, second network.AirFlow, temperatures ...float64) (inlets, outlets [2]float64, rate []float64) {
	t.Helper()
	r := newRoom()
	p := r.b.AirPass("p", network.AirPass{From: from(network.AirOf(r.room, 1)), To: from(network.AirOf(r.cabinet, 1))})
	q := r.b.AirPass("q", network.AirPass{From: from(network.ExhaustOf(p, 1)), To: from(network.AirOf(r.cabinet, 1))})
	r.b.AirConduct(r.first, p, 5)
	r.b.AirConduct(r.other, q, 5)
	n, rate := r.build(t, network.Inputs{Air: []network.AirFlow{first, second}}, temperatures...)
	for k := range inlets {
		inlets[k], outlets[k], _ = n.Air(network.Pass(k))
	}
	return inlets, outlets, rate
}

// A stack either way, at rest, with half of the exhaust going past the second
// core, and with a second core that breathes more than the first blows. Case at
// 310 K, metals at 340 and 360 K.
func TestStack(t *testing.T) {
	for _, c := range []struct {
		name            string
		first, second   network.AirFlow
		inlets, outlets [2]float64
		cabinet, path   float64 // W, that it takes up; that leaves to the room
	}{
		// 300 + 5*40/10 = 320, and 320 + 5*40/10 = 340 K: into the case 10*40, out with
		// what it gives back nothing.
		{"forward", network.AirFlow{Rate: 10, Forced: 1}, network.AirFlow{Rate: 10, Forced: 1}, [2]float64{300, 320}, [2]float64{320, 340}, 400, 0},
		// The second breathes the case at 310 K and blows 310 + 25 = 335, the first 335
		// + 2.5 = 337.5 K: 10*37.5 W to the room.
		{"backward", network.AirFlow{Rate: 10, Forced: 1, Backward: true}, network.AirFlow{Rate: 10, Forced: 1, Backward: true}, [2]float64{335, 310}, [2]float64{337.5, 335}, -100, 375},
		// Draughts: the first to and from the room, 20 K up, the second to and from the
		// case, 25 K up.
		{"standing", network.AirFlow{Rate: 10}, network.AirFlow{Rate: 10}, [2]float64{300, 310}, [2]float64{320, 335}, 250, 200},
		// Half of the first's exhaust at 310 K goes to the case at once.
		{"past", network.AirFlow{Rate: 20, Forced: 1}, network.AirFlow{Rate: 10, Forced: 1}, [2]float64{300, 310}, [2]float64{310, 335}, 10*10 + 10*35, 0},
		// The second breathes 5 of 340 K and, of the case, 5 of 310 K.
		{"too little", network.AirFlow{Rate: 5, Forced: 1}, network.AirFlow{Rate: 10, Forced: 1}, [2]float64{300, 325}, [2]float64{340, 342.5}, 10*42.5 - 5*10, 0},
		// They blow against one another into the place between them, and from there to
		// the case: 320 and 335 K. The second takes 10 from the case.
		{"against", network.AirFlow{Rate: 10, Forced: 1}, network.AirFlow{Rate: 10, Forced: 1, Backward: true}, [2]float64{300, 310}, [2]float64{320, 335}, 200 + 350 - 100, 0},
		// Both draw from that place, which gets all of its air from the case; the first
		// blows 310 + 15 K to the room.
		{"apart", network.AirFlow{Rate: 10, Forced: 1, Backward: true}, network.AirFlow{Rate: 10, Forced: 1}, [2]float64{310, 310}, [2]float64{325, 335}, 10*35 - 20*10, 250},
		// Half of the second's backward exhaust is a draught, which goes back to the case.
		{"backward, half", network.AirFlow{Rate: 10, Forced: 0.5, Backward: true}, network.AirFlow{Rate: 10, Forced: 1, Backward: true}, [2]float64{335, 310}, [2]float64{337.5, 335}, -100 + 5*37.5, 5 * 37.5},
	} {
		inlets, outlets, rate := stack(t, c.first, c.second, 310, 340, 360)
		for k := range inlets {
			near(t, c.name+", inlet", inlets[k], c.inlets[k])
			near(t, c.name+", outlet", outlets[k], c.outlets[k])
		}
		near(t, c.name+", case", rate[0]*100, c.cabinet)
		near(t, c.name+", path", rate[3], c.path)
		near(t, c.name+", first", rate[1]*200, -5*(340-inlets[0]))
		near(t, c.name+", other", rate[2]*50, -5*(360-inlets[1]))
	}
}

// A pass without air takes no heat, and its fans warm where it would breathe.
func TestPassWithoutAir(t *testing.T) {
	for _, backward := range []bool{false, true} {
		r := newRoom()
		p := r.b.AirPass("p", network.AirPass{From: from(network.AirOf(r.room, 0.25), network.AirOf(r.first, 0.75)), To: from(network.AirOf(r.cabinet, 1))})
		q := r.b.AirPass("q", network.AirPass{From: from(network.ExhaustOf(p, 0.5), network.AirOf(r.first, 0.5)), To: from(network.AirOf(r.other, 1))})
		r.b.AirConduct(r.other, p, 5)
		r.b.SourceInto("a", p, false)
		r.b.SourceInto("b", q, true)
		_, rate := r.build(t, network.Inputs{Power: []float64{8, 16}, Air: []network.AirFlow{{Backward: backward}, {Backward: backward}}}, 310, 340, 360)
		want := []float64{8, 6 + 8, 0, 2} // case, first, other, room
		if backward {
			want = []float64{8, 0, 16, 0}
		}
		for i, capacity := range []float64{100, 200, 50, 1} {
			near(t, "heat", rate[i]*capacity, want[i])
		}
	}
}

// A stream carries the air of where it comes from, either way, and a source warms
// where it goes. By hand: the case at 310 K gives out and takes in 3 W/K, by a vent
// with a fan of 7 W and by another opening.
func TestAirStreamByHand(t *testing.T) {
	for _, c := range []struct{ rate, cabinet, vent, rear float64 }{
		{3, -30 + 7, 0, 30},  // in by the vent at 300 K, out by the rear at 310 K
		{-3, -30, 30 + 7, 0}, // the other way, with the fan's heat
		{0, 7, 0, 0},
	} {
		r := newRoom()
		vent := r.b.AirStream(r.room, r.cabinet, r.b.Path("vent"))
		r.b.SourceIntoStream("fan", vent)
		if rear := r.b.AirStream(r.cabinet, r.room, r.b.Path("rear")); vent != 0 || rear != 1 {
			t.Fatal("streams are not numbered in order")
		}
		_, rate := r.build(t, network.Inputs{Power: []float64{7}, Stream: []float64{c.rate, c.rate}}, 310, 300, 300)
		near(t, "case", rate[0]*100, c.cabinet)
		near(t, "vent", rate[3], c.vent)
		near(t, "rear", rate[4], c.rear)
	}
}

// A pass from one node and back to it is a link, whatever its rate and way; the
// same pass in two halves is none, and gives the same.
func TestPlainPass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		temperatures := []float64{300, 340, 320}
		for i := range temperatures {
			temperatures[i] = rapid.Float64Range(280, 360).Draw(t, "temperature")
		}
		flow := network.AirFlow{Rate: rapid.Float64Range(10, 50).Draw(t, "rate"), Forced: rapid.Float64Range(0, 1).Draw(t, "forced"), Backward: rapid.Bool().Draw(t, "backward")}
		inside := rapid.Bool().Draw(t, "inside")
		var rate [2][]float64
		var air [2][3]float64
		entries := [2]int{}
		for k := range rate {
			r := newRoom()
			node := r.room
			if inside {
				node = r.cabinet
			}
			ends := from(network.AirOf(node, 1))
			if k > 0 {
				ends = from(network.AirOf(node, 0.5), network.AirOf(node, 0.5))
			}
			p := r.b.AirPass("p", network.AirPass{From: ends, To: ends})
			r.b.AirConduct(r.first, p, 3)
			r.b.AirConduct(r.other, p, 4)
			n, err := r.b.Build()
			if err != nil {
				t.Fatal(err)
			}
			in := n.NewInputs()
			in.Temperature[0], in.Air[0] = 300, flow
			n.SetInputs(in)
			states, quads := n.Dim()
			y := append(slices.Clone(temperatures), make([]float64, quads)...)
			rate[k] = rates(n, 0, y[:states+quads])
			n.Bring(0, y)
			air[k][0], air[k][1], air[k][2] = n.Air(p)
			entries[k] = len(n.Pattern().Col)
		}
		for i := range rate[0] {
			if math.Abs(rate[0][i]-rate[1][i]) > 1e-11 {
				t.Fatalf("row %d: %g and %g", i, rate[0][i], rate[1][i])
			}
		}
		for i := range air[0] {
			if math.Abs(air[0][i]-air[1][i]) > 1e-11 {
				t.Fatalf("air: %v and %v", air[0], air[1])
			}
		}
		if want := map[bool]int{true: 7, false: 5}[inside]; entries[0] != want { // diagonals, and both ways or to the path
			t.Fatalf("%d entries in the Jacobian, want %d", entries[0], want)
		}
	})
}

// What a pass does only backward is no part of the Jacobian of one that runs
// one way: the first metal does not depend on those behind it. Nor do these
// ever on one another.
func TestOneWay(t *testing.T) {
	entries := map[bool]int{}
	for _, oneWay := range []bool{true, false} {
		r := newRoom()
		p := r.b.AirPass("p", network.AirPass{From: from(network.AirOf(r.room, 1)), To: from(network.AirOf(r.cabinet, 1)), OneWay: oneWay})
		q := r.b.AirPass("q", network.AirPass{From: from(network.ExhaustOf(p, 1)), To: from(network.AirOf(r.cabinet, 1)), OneWay: oneWay})
		r.b.AirConduct(r.first, p, 5)
		r.b.AirConduct(r.other, q, 5)
		r.b.AirConduct(r.b.Lump("third", 10), q, 5)
		n, err := r.b.Build()
		if err != nil {
			t.Fatal(err)
		}
		entries[oneWay] = len(n.Pattern().Col)
		in := n.NewInputs()
		in.Air[1] = network.AirFlow{Rate: 10, Backward: true}
		func() {
			defer func() {
				if got := recover(); (got != nil) != oneWay {
					t.Errorf("one way %v: %v", oneWay, got)
				}
			}()
			n.SetInputs(in)
		}()
	}
	// Forward: the case on itself and all metals; first on itself; other and third
	// on themselves, on first, and, where its exhaust falls short, on the case; the
	// path on first, by its draught. Backward, first and path on other, third and
	// case.
	if entries[true] != 4+1+3+3+1 || entries[false] != entries[true]+3+3 {
		t.Errorf("%d entries one way, %d both ways", entries[true], entries[false])
	}
}

func TestBuilderErrorsOfAir(t *testing.T) {
	for _, c := range []struct {
		want    string
		mistake func(p parts, pass network.Pass)
	}{
		{"pass x: a recirculation of 1 is not from 0 to below 1", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.AirOf(p.ambient, 1)), To: from(network.AirOf(p.ambient, 1)), Recirculation: 1})
		}},
		{"pass x breathes shares that sum to 0.5, not to 1", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.AirOf(p.ambient, 0.5)), To: from(network.AirOf(p.ambient, 1))})
		}},
		{"pass x blows shares that sum to 0, not to 1", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.AirOf(p.ambient, 1))})
		}},
		{"pass x breathes a share of -0.5, not from 0 to 1", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.AirOf(p.ambient, 1), network.AirOf(p.plate, -0.5), network.AirOf(p.plate, 0.5)), To: from(network.AirOf(p.ambient, 1))})
		}},
		{"pass x blows into another pass; let that one breathe its exhaust", func(p parts, pass network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.AirOf(p.ambient, 1)), To: from(network.ExhaustOf(pass, 1))})
		}},
		{"pass x breathes the exhaust of pass 1, which is no earlier one", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.ExhaustOf(1, 1)), To: from(network.AirOf(p.ambient, 1))})
		}},
		{"pass x breathes the exhaust of pass -1, which is no earlier one", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.ExhaustOf(-1, 1)), To: from(network.AirOf(p.ambient, 1))})
		}},
		{"pass x: hot holds coolant, not air", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.AirOf(p.hot, 1)), To: from(network.AirOf(p.ambient, 1))})
		}},
		{"pass x: there is no node 12", func(p parts, _ network.Pass) {
			p.b.AirPass("x", network.AirPass{From: from(network.AirOf(p.ambient, 1)), To: from(network.AirOf(12, 1))})
		}},
		{"air over plate: there is no pass 4", func(p parts, _ network.Pass) { p.b.AirConduct(p.plate, 4, 1) }},
		{"air over plate: there is no pass -1", func(p parts, _ network.Pass) { p.b.AirConductOf(p.plate, -1, 0, 1, 1) }},
		{"pass front: there is no node 12", func(p parts, pass network.Pass) { p.b.AirConduct(12, pass, 1) }},
		{"pass front over ambient, which is no lump", func(p parts, pass network.Pass) { p.b.AirConduct(p.ambient, pass, 1) }},
		{"pass front over plate: NaN W/K is not a conductance", func(p parts, pass network.Pass) { p.b.AirConduct(p.plate, pass, math.NaN()) }},
		{"pass front over plate: -1 W/K is not a conductance", func(p parts, pass network.Pass) { p.b.AirConduct(p.plate, pass, -1) }},
		{"pass front over plate: circuit ring has no operation to follow", func(p parts, pass network.Pass) { p.b.AirConductOf(p.plate, pass, p.ring, 0, 1) }},
		{"pass front over plate: a share of -1 is not zero or above", func(p parts, pass network.Pass) {
			driven, _, _ := fork(p)
			p.b.AirConductOf(p.plate, pass, driven, 3, -1)
		}},
		{"air ambient to plate: there is no path 9", func(p parts, _ network.Pass) { p.b.AirStream(p.ambient, p.plate, 9) }},
		{"air hot to plate: hot holds coolant, not air", func(p parts, _ network.Pass) { p.b.SourceIntoStream("x", p.b.AirStream(p.hot, p.plate, 0)) }},
		{"air plate to plate joins a lump to itself", func(p parts, _ network.Pass) { p.b.AirStream(p.plate, p.plate, 0) }},
		{"source x: there is no pass 3", func(p parts, _ network.Pass) { p.b.SourceInto("x", 3, true) }},
		{"source x: there is no stream of air 0", func(p parts, _ network.Pass) { p.b.SourceIntoStream("x", 0) }},
	} {
		p := newParts()
		pass := p.b.AirPass("front", network.AirPass{From: from(network.AirOf(p.ambient, 1)), To: from(network.AirOf(p.ambient, 1))})
		c.mistake(p, pass)
		n, err := p.b.Build()
		if n != nil || err == nil || err.Error() != "network: "+c.want {
			t.Errorf("got  %v\nwant network: %s", err, c.want)
		}
	}
}

// What CheckAir says of flows that cannot be.
func TestCheckAir(t *testing.T) {
	r := newRoom()
	p := r.b.AirPass("p", network.AirPass{From: from(network.AirOf(r.room, 1)), To: from(network.AirOf(r.cabinet, 1))})
	q := r.b.AirPass("q", network.AirPass{From: from(network.ExhaustOf(p, 0.5), network.AirOf(r.cabinet, 0.5)), To: from(network.AirOf(r.room, 1)), Recirculation: 0.5})
	r.b.AirConduct(r.first, p, 5)
	r.b.AirConduct(r.first, q, 0)
	r.b.AirStream(r.cabinet, r.room, r.b.Path("vent"))
	n, err := r.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	inf := math.Inf(1)
	run := func(rate float64) network.AirFlow { return network.AirFlow{Rate: rate, Forced: 1} }
	back := func(rate float64) network.AirFlow { return network.AirFlow{Rate: rate, Forced: 1, Backward: true} }
	for _, c := range []struct {
		p, q   network.AirFlow
		stream float64
		want   string
	}{
		{run(10), run(0), 10, ""},
		{run(10), run(20), 0, ""}, // q takes 5 behind p and 5 of the case, which gets the other 5 of p
		{run(10), run(8), 6, ""},
		{network.AirFlow{Rate: 10}, network.AirFlow{Rate: 90}, 0, ""}, // draughts
		{back(10), back(20), 0, ""},                                   // q's ten go half to behind p, half to the case, of which p takes five, with the others
		{back(10), run(0), -10, ""},
		{run(10), run(8), 6 * (1 + 1e-10), ""},
		{run(10), run(8), 6 * (1 + 1e-8), "network: case takes in 8 but gives out 8.00000006 W/K of air, so its mass would change"},
		{run(10), run(0), 9, "network: case takes in 10 but gives out 9 W/K of air, so its mass would change"},
		{run(0), run(0), 0, "network: pass p: metal is tied to its air, but there is none"},
		{run(inf), run(0), 0, "network: pass p: a rate of +Inf W/K is not zero or above and finite"},
		{run(-1), run(0), 0, "network: pass p: a rate of -1 W/K is not zero or above and finite"},
		{run(math.NaN()), run(0), 0, "network: pass p: a rate of NaN W/K is not zero or above and finite"},
		{network.AirFlow{Rate: 10, Forced: 1.5}, run(0), 0, "network: pass p: a forced share of 1.5 is not from 0 to 1"},
		{network.AirFlow{Rate: 10, Forced: math.NaN()}, run(0), 0, "network: pass p: a forced share of NaN is not from 0 to 1"},
		{run(10), run(0), inf, "network: air case to room: a rate of +Inf W/K is not finite"},
		{run(4), run(20), -6, "network: pass p: more of its exhaust is breathed than there is: 5 of 4 W/K"},
		{network.AirFlow{Rate: 4}, run(20), -10, "network: pass p: more of its exhaust is breathed than there is: 5 of 0 W/K"},
	} {
		in := n.NewInputs()
		in.Air[0], in.Air[1], in.Stream[0] = c.p, c.q, c.stream
		err := n.CheckAir(in)
		if got := errorText(err); got != c.want {
			t.Errorf("%v, %v, %g: got %q, want %q", c.p, c.q, c.stream, got, c.want)
		}
		if got := errors.Is(err, network.ErrOverdrawn); got != strings.Contains(c.want, "breathed") {
			t.Errorf("%v: overdrawn %v", err, got)
		}
	}
	if err := n.CheckAir(network.Inputs{Temperature: []float64{300}, Slope: []float64{0}}); errorText(err) != "network: pass p: metal is tied to its air, but there is none" {
		t.Errorf("without any air: %v", err)
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// Random cases balance, as their making sees to, and a stream more or less breaks
// the balance of the lump it comes from. The check changes nothing.
func TestCheckAirOfRandomCases(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, networktest.Kinds{Laws: true, Air: true})
		n, y := c.BuildWithState()
		before := rates(n, 0, y)
		in := n.Inputs()
		for k := range in.Air {
			if in.Air[k].Rate == 0 { // a draught, as there may be metal that never warms it
				in.Air[k] = network.AirFlow{Rate: 0.5}
			}
		}
		if err := n.CheckAir(in); err != nil {
			for _, line := range strings.Split(err.Error(), "\n") {
				if !strings.Contains(line, network.ErrOverdrawn.Error()) {
					t.Fatal(err)
				}
			}
		}
		for k, s := range c.AirStreams {
			lump := max(s.From, s.To)
			in.Stream[k] += 1e-3 + 1e-6*math.Abs(in.Stream[k])
			err := n.CheckAir(in)
			if err == nil || !strings.Contains(err.Error(), n.Lumps()[lump]+" takes in ") {
				t.Fatalf("stream %d: %v", k, err)
			}
			in.Stream[k] = c.Inputs.Stream[k]
		}
		if after := rates(n, 0, y); !slices.Equal(before, after) {
			t.Fatal("the check has changed the network")
		}
	})
}
