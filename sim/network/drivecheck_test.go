package network_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// Every mistake with settings, laws and drives is reported by one message.
func TestBuilderErrorsOfDrives(t *testing.T) {
	core := adjusted{2, coreAt, nil}
	flows := func(speeds []float64, air []network.AirFlow, stream, setting []float64) error { return nil }
	for want, wrong := range map[string]func(p *plant){
		"setting x: 1 to 0 is no range":                                func(p *plant) { p.b.Setting("x", 1, 0) },
		"setting x: NaN to 0 is no range":                              func(p *plant) { p.b.Setting("x", math.NaN(), 0) },
		"setting x: 0 to +Inf is no range":                             func(p *plant) { p.b.Setting("x", 0, math.Inf(1)) },
		"law x: there is no setting 3":                                 func(p *plant) { p.b.Follow("x", p.res, core, []network.Setting{3}, 275, 365) },
		"law x: 3 of its settings move, at most two can":               func(p *plant) { p.b.Follow("x", p.res, core, []network.Setting{0, 1, 2}, 275, 365) },
		"law x: the reference of its flow, chip, holds no coolant":     func(p *plant) { p.b.Follow("x", p.chip, core, nil, 275, 365) },
		"law x: its flow cannot be computed from 5 to 4 K":             func(p *plant) { p.b.Follow("x", p.res, core, nil, 5, 4) },
		"circuit ring has two operations":                              func(p *plant) { p.b.OperateBy(p.flow, p.res, core, nil, 275, 365) },
		"operation: there is no circuit 9":                             func(p *plant) { p.b.OperateBy(9, p.res, core, nil, 275, 365) },
		"link front to rear metal: there is no law 2":                  func(p *plant) { p.b.ConductOfLaw(p.a, p.metalB, 2, 0, 1, 0) },
		"link front to rear metal: there is no law -1":                 func(p *plant) { p.b.ConductOfLaw(p.a, p.metalB, -1, 0, 1, 0) },
		"link front to rear metal: law front has no quantity 2":        func(p *plant) { p.b.ConductOfLaw(p.a, p.metalB, p.front, 2, 1, 0) },
		"link front to rear metal: a share of -1 is not zero or above": func(p *plant) { p.b.ConductOfLaw(p.a, p.metalB, p.front, 0, -1, 0) },
		"pass front over chip: there is no law 5":                      func(p *plant) { p.b.AirConductOfLaw(p.chip, p.passA, 5, 0, 1) },
		"air over chip: there is no law -2":                            func(p *plant) { p.b.AirConductOfLaw(p.chip, p.passA, -2, 0, 1) },
		"drive x: 1 to 1 is no range":                                  func(p *plant) { p.b.Drive("x", 1, 1, network.SumOf(network.TemperatureOf(0, 1)), ramp(300)) },
		"drive x follows nothing":                                      func(p *plant) { p.b.Drive("x", 0, 1, network.DriveInput{}, ramp(300)) },
		"drive x: there is no node 99":                                 func(p *plant) { p.b.Drive("x", 0, 1, network.SumOf(network.TemperatureOf(99, 1)), ramp(300)) },
		"drive x: there is no auxiliary state 7":                       func(p *plant) { p.b.Drive("x", 0, 1, network.SumOf(network.StateOf(7, 1)), ramp(300)) },
		"drive x: a weight of NaN is not finite":                       func(p *plant) { p.b.Drive("x", 0, 1, network.SumOf(network.StateOf(0, math.NaN())), ramp(300)) },
		"drive x can follow the temperatures": func(p *plant) {
			p.b.Drive("x", 0, 1, network.SumOf(network.OutletOf(p.passA, 1)), ramp(300))
		},
		"setting pump follows both drive x and drive x": func(p *plant) {
			p.b.Drive("x", 0, 1, network.SumOf(network.StateOf(0, 1)), ramp(300), p.pump, p.pump)
		},
		"drive x: there is no setting 8":                          func(p *plant) { p.b.Drive("x", 0, 1, network.SumOf(network.StateOf(0, 1)), ramp(300), 8) },
		"the air follows drive 4, which there is not, or twice":   func(p *plant) { p.b.AirBy([]network.Drive{4}, nil, flows) },
		"the air follows no drive":                                func(p *plant) { p.b.AirBy(nil, nil, flows) },
		"the air follows two laws":                                func(p *plant) { d := p.one(); p.b.AirBy([]network.Drive{d}, nil, flows) },
		"lag x: an auxiliary state follows no other":              func(p *plant) { p.b.Lag("x", 1, network.StateOf(0, 1)) },
		"pass front: metal is tied to its air, but there is none": func(p *plant) { p.still(flows) },
		"the air at speeds [1]: no head": func(p *plant) {
			p.still(func([]float64, []network.AirFlow, []float64, []float64) error { return errNoHead })
		},
		"law x at settings [1]: finding the flow at 275 K: no head": func(p *plant) { p.failing(0) },
	} {
		p := newPlant()
		wrong(p)
		_, err := p.b.Build()
		if err == nil || !strings.Contains(err.Error(), "network: ") || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		} else if !strings.Contains(want, "air at") && strings.Contains(err.Error(), "\n") && !strings.Contains(want, "tied") {
			t.Errorf("%v, want one message", err)
		}
	}
}

var errNoHead = errors.New("no head")

// still lets the air of a plant follow a drive by flows.
func (p *plant) still(flows func([]float64, []network.AirFlow, []float64, []float64) error) {
	d := p.b.Drive("x", 0, 1, network.SumOf(network.StateOf(0, 1)), ramp(300))
	p.b.AirBy([]network.Drive{d}, nil, flows)
}

// failing adds a law over a setting from 0 to 1 that cannot be computed beyond a value.
func (p *plant) failing(beyond float64) network.Setting {
	s := p.b.Setting("x", 0, 1)
	p.b.Follow("x", p.res, adjusted{1, func(s []float64, _ float64, dst []float64) error {
		if s[0] > beyond && s[0] < 1 || beyond == 0 {
			return errNoHead
		}
		return nil
	}, nil}, []network.Setting{s}, 275, 365)
	return s
}

// What cannot be computed during a run makes the run fail, with the reason.
func TestErrorsDuringARun(t *testing.T) {
	p := newPlant()
	s := p.failing(0.5)
	d := p.one()
	n, in := p.build(t)
	y := p.state(n, 0)
	for _, c := range []struct {
		value float64
		fails bool
	}{{1, false}, {0.1, false}, {0.5, true}, {1, true}} {
		in.Setting[s] = c.value
		n.SetInputs(in)
		err := n.Err()
		if failed := math.IsNaN(rates(n, 0, y)[0]); failed != c.fails || (err != nil) != c.fails || c.fails && !errors.Is(err, errNoHead) {
			t.Fatalf("at %g: %v", c.value, err)
		}
	}
	if want := "network: law x at settings [0.5017]: finding the flow at 275 K: no head"; n.Err().Error() != want {
		t.Errorf("%v, want %s", n.Err(), want)
	}
	fine, in := p.build(t)
	in.Speed[d] = 0.45
	fine.SetInputs(in)
	if fine.Err() != nil {
		t.Error(fine.Err())
	}
}

// Flows that do not balance at a knot are found when its table is made.
func TestFlowsAreCheckedAtEveryKnot(t *testing.T) {
	b := network.NewBuilder(fluid.Water().Fast())
	hot, cold, ring := b.CoolantLump("hot", 0.1), b.CoolantLump("cold", 0.1), b.Circuit("ring")
	b.OperateBy(ring, hot, adjusted{2, func(s []float64, _ float64, dst []float64) error {
		dst[0], dst[1] = 1, math.Max(s[0], 0.5)/math.Max(s[0], 0.4)
		return nil
	}, nil}, []network.Setting{b.Setting("pump", 0, 1)}, 280, 360)
	b.StreamOf(hot, cold, ring, 0)
	b.StreamOf(cold, hot, ring, 1)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	if setTo(n, 0.7); n.Err() != nil {
		t.Error(n.Err())
	}
	if setTo(n, 0.3); n.Err() == nil || !strings.Contains(n.Err().Error(), "hot takes in 1.25 but gives out 1 kg/s at") {
		t.Error(n.Err())
	}
}

// A drive follows the largest of its inputs, its law's ends are those of its range, and it stays
// where it was if what it follows is no number.
func TestLargestInput(t *testing.T) {
	b := network.NewBuilder(fluid.Water().Fast())
	one, other := b.Lump("one", 1), b.Lump("other", 1)
	of := func(n network.Node, w float64) network.DriveInput { return network.SumOf(network.TemperatureOf(n, w)) }
	line := func(x float64) (y, slope float64) { return x, 1 }
	top := b.Drive("top", 0, 500, network.LargestOf(of(one, 1), of(other, 1)), line)
	short := b.Drive("short", 310, 320, of(one, 1), line)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ one, other, top, short float64 }{
		{300, 300, 300 + 0.05*math.Ln2, 310},
		{315, 300, 315, 315},
		{300, 315.1, 315.1, 310},
		{330, 330.1, 330.1 + 0.05*math.Log1p(math.Exp(-2)), 320},
		{math.NaN(), 1, 330.1 + 0.05*math.Log1p(math.Exp(-2)), 320},
	} {
		n.Bring(0, []float64{c.one, c.other})
		if math.Abs(n.Speed(top)-c.top) > 1e-12 || n.Speed(short) != c.short {
			t.Errorf("%+v: %.17g and %g", c, n.Speed(top), n.Speed(short))
		}
	}
}

// Where a free drive turns the air round, heat of sources and the order of passes follow: the same as held at that speed.
func TestDriveTurnsTheAir(t *testing.T) {
	p := newPlant()
	d := p.b.Drive("fans", -1, 1, network.SumOf(network.TemperatureOf(p.res, 1)), func(x float64) (y, slope float64) { return (x - 308) / 10, 0.1 })
	p.b.AirBy([]network.Drive{d}, []network.Setting{p.rateA, p.rateB}, p.fans)
	n, _ := p.build(t)
	held, in := p.build(t)
	turned := map[bool]bool{}
	for _, shift := range []float64{-6, 7, -3, 5, 0.7} {
		y := p.state(n, shift)
		got := rates(n, 0, y)
		turned[n.AirFlow(p.passA).Backward] = true
		in.Speed[d] = n.Speed(d)
		held.SetInputs(in)
		if want := rates(held, 0, y); !slices.Equal(got, want) {
			t.Errorf("speed %g: %v, want %v", n.Speed(d), got, want)
		}
		jac, want := make([]float64, len(n.Pattern().Col)), make([]float64, len(n.Pattern().Col))
		n.Jacobian(0, y, jac)
		again, _ := p.build(t)
		if again.Jacobian(0, y, want); !slices.Equal(jac, want) {
			t.Error("the Jacobian remembers another state")
		}
	}
	if len(turned) != 2 {
		t.Error("the air never turned")
	}
}

// A pump that stands leaves lumps loose that only its stream ties; any speed ties them again.
func TestUndeterminedBySetting(t *testing.T) {
	b := network.NewBuilder(fluid.Water().Fast())
	hot, cold := b.CoolantLump("hot", 0.1), b.CoolantLump("cold", 0.1)
	b.Conduct(cold, b.Boundary("room"), 5, b.Path("out"))
	ring := b.Circuit("ring")
	b.OperateBy(ring, hot, adjusted{1, func(s []float64, _ float64, dst []float64) error { dst[0] = s[0]; return nil }, nil}, []network.Setting{b.Setting("pump", 0, 1)}, 280, 360)
	b.StreamOf(hot, cold, ring, 0)
	b.StreamOf(cold, hot, ring, 0)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		speed float64
		want  []network.Node
	}{{1, nil}, {0, []network.Node{hot}}, {0.3, nil}} {
		if setTo(n, c.speed); !slices.Equal(n.Undetermined(), c.want) {
			t.Errorf("%g: %v", c.speed, n.Undetermined())
		}
		if q, _ := n.Quantity(ring, 0, 300); math.Abs(q-c.speed) > 1e-15 {
			t.Errorf("%g kg/s at a speed of %g", q, c.speed)
		}
	}
}

// The described operations, blended by their contract, are the network's, and drives say what they
// follow.
func TestDescribeDrives(t *testing.T) {
	p := newPlant()
	d := p.one()
	n, in := p.build(t)
	in.Speed[d], in.Setting[p.pump] = 0.47, 0.63
	n.SetInputs(in)
	got := n.Describe(280, 290)
	if len(got.Operations) != 3 || got.Operations[0].Circuit != "ring" || got.Operations[2].Circuit != "rear" {
		t.Fatalf("%d operations", len(got.Operations))
	}
	if last := got.Laws[len(got.Laws)-1]; last.Circuit != "rear" || last.Quantity != 0 {
		t.Errorf("law %+v", last)
	}
	for v := range 2 {
		for at := 270.0; at < 370; at += 1.7 {
			sum := 0.0
			for _, table := range got.Operations[2].Blend {
				sum += table.Weight * value(table.Knots, table.Quantities[v], at)
			}
			if want, _ := n.QuantityOf(p.rear, v, at); math.Abs(sum-want) > 1e-12*want {
				t.Errorf("quantity %d at %g K: %g, want %g", v, at, sum, want)
			}
		}
	}
	if s := got.Settings[1]; s.Name != "front air" || s.By != "the air" || s.Value != n.AirFlow(p.passA).Rate || got.Settings[0].Value != 0.63 {
		t.Errorf("settings %+v", got.Settings)
	}
	drive := got.Drives[0]
	if drive.Free || drive.Speed != 0.47 || !drive.Air || len(drive.Sums) != 2 || drive.Sums[1][0] != (network.DriveTermDescription{State: "sensor", Weight: 1}) ||
		drive.Sums[1][1] != (network.DriveTermDescription{Node: "room", Weight: -1}) {
		t.Errorf("drive %+v", drive)
	}
	if got.Passes[0].Rate != n.AirFlow(p.passA).Rate || got.AirStreams[0].Rate != n.StreamRate(p.vent) {
		t.Errorf("air %+v", got.Passes[0])
	}
}

// At the end of its range a drive stays as it is: the Jacobian is that of one held there. And the Jacobian leaves
// all as Bring had it.
func TestDriveAtTheEndOfItsRange(t *testing.T) {
	p := newPlant()
	d := p.b.Drive("fans", 0.2, 0.5, network.SumOf(network.TemperatureOf(p.res, 1)), ramp(290))
	p.b.AirBy([]network.Drive{d}, []network.Setting{p.rateA, p.rateB}, p.fans)
	n, in := p.build(t)
	got, want := make([]float64, len(n.Pattern().Col)), make([]float64, len(n.Pattern().Col))
	y := p.state(n, 0)
	n.Jacobian(0, y, got)
	held, _ := p.build(t)
	in.Speed[d] = 0.5
	held.SetInputs(in)
	if held.Jacobian(0, y, want); !slices.Equal(got, want) || n.Speed(d) != 0.5 {
		t.Error("it still moves at the end of its range")
	}
	y = p.state(n, -27) // within the range
	n.Bring(0, y)
	_, _, before := n.Air(p.passB)
	n.Jacobian(0, y, got)
	n.Bring(0, y)
	if _, _, after := n.Air(p.passB); after != before || n.Speed(d) == 0.5 {
		t.Errorf("%.17g W after the Jacobian, %.17g W before", after, before)
	}
}
