package network_test

import (
	"math"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// plant is a loop of a chip, a pump and two radiators, one breathing behind the other in a
// case. Numbers are invented.
type plant struct {
	b                       *network.Builder
	chip, block, a, b2, res network.Node
	metalA, metalB, box     network.Node
	room                    network.Node
	sensor, warm            network.Aux
	pump, rateA, rateB      network.Setting
	passA, passB            network.Pass
	vent                    network.Stream
	front, rear             network.Law
	flow                    network.Circuit
	calls                   *int // of the air's law
}

// flowAt is the pump's flow (kg/s) and the block's film at a speed.
func flowAt(s []float64, t float64, dst []float64) error {
	dst[0] = 0.05 * s[0] * (1 + 0.002*(t-300))
	dst[1] = 80 * math.Pow(s[0], 0.7) * (1 + 0.003*(t-300))
	return nil
}

// coreAt is film and air conductance of a radiator at pump speed and air (W/K).
func coreAt(s []float64, t float64, dst []float64) error {
	dst[0] = 150 * math.Pow(s[0], 0.6) * (1 + 0.004*(t-300))
	ua := 1 / (1/dst[0] + 1/(7*math.Pow(s[1], 0.5)))
	dst[1] = s[1] * (1 - math.Exp(-ua/s[1]))
	return nil
}

func newPlant() *plant {
	p := &plant{b: network.NewBuilder(fluid.Water().Fast()), calls: new(int)}
	b := p.b
	p.chip, p.block, p.a, p.b2 = b.Lump("chip", 150), b.CoolantLump("block", 0.02), b.CoolantLump("front", 0.08), b.CoolantLump("rear", 0.08)
	p.res, p.metalA, p.metalB, p.box = b.CoolantLump("reservoir", 0.2), b.Lump("front metal", 300), b.Lump("rear metal", 300), b.Lump("case air", 80)
	p.room = b.Boundary("room")
	out := b.Path("out")
	p.pump, p.rateA, p.rateB = b.Setting("pump", 0.3, 1), b.Setting("front air", 2, 70), b.Setting("rear air", 2, 70)
	p.flow = b.Circuit("ring")
	b.OperateBy(p.flow, p.res, adjusted{2, flowAt, nil}, []network.Setting{p.pump}, 275, 365)
	ring := []network.Node{p.res, p.block, p.a, p.b2, p.res}
	for k := range ring[1:] {
		b.StreamOf(ring[k], ring[k+1], p.flow, 0)
	}
	b.ConductOf(p.chip, p.block, p.flow, 1, 1, 0)
	core := adjusted{2, coreAt, nil}
	p.front = b.Follow("front", p.res, core, []network.Setting{p.pump, p.rateA}, 275, 365)
	p.rear = b.Follow("rear", p.res, core, []network.Setting{p.pump, p.rateB}, 275, 365)
	b.ConductOfLaw(p.a, p.metalA, p.front, 0, 1, 0)
	b.ConductOfLaw(p.b2, p.metalB, p.rear, 0, 1, 0)
	p.passA = b.AirPass("front", network.AirPass{From: from(network.AirOf(p.room, 1)), To: from(network.AirOf(p.box, 1)), Recirculation: 0.1})
	p.passB = b.AirPass("rear", network.AirPass{From: from(network.ExhaustOf(p.passA, 0.5), network.AirOf(p.box, 0.5)), To: from(network.AirOf(p.box, 1))})
	b.AirConductOfLaw(p.metalA, p.passA, p.front, 1, 1)
	b.AirConductOfLaw(p.metalB, p.passB, p.rear, 1, 1)
	p.vent = b.AirStream(p.box, p.room, out)
	b.Conduct(p.box, p.room, 3, out)
	b.Conduct(p.res, p.box, 0.5, out)
	b.Source("chip", p.chip)
	b.SourceInto("fan", p.passA, false)
	b.Leak("leak", p.chip, 15, 330, 0.015, false)
	p.sensor = b.Lag("sensor", 4, network.TemperatureOf(p.block, 1))
	p.warm = b.Lag("exhaust", 6, network.OutletOf(p.passB, 1))
	return p
}

// fans is the air at speeds of the front's fans and of the rear's (the same, if there is one only).
func (p *plant) fans(speeds []float64, air []network.AirFlow, stream, setting []float64) error {
	*p.calls++
	u := [2]float64{speeds[0], speeds[len(speeds)-1]}
	for k, top := range [2]float64{60, 45} {
		rate := 3 + top*math.Pow(math.Abs(u[k]), 1.1)
		air[k] = network.AirFlow{Rate: rate, Forced: 1 - 3/rate, Backward: u[k] < 0}
		setting[k] = rate
	}
	stream[p.vent] = math.Copysign(0.9*air[0].Rate*air[0].Forced, u[0]) // fresh and forced, as much goes out
	return nil
}

// ramp is a law that rises from 0.3 to 0.9 over 24 K around a temperature, with a continuous slope.
func ramp(middle float64) func(x float64) (y, slope float64) {
	return func(x float64) (y, slope float64) {
		th := math.Tanh((x - middle) / 12)
		return 0.6 + 0.3*th, 0.3 * (1 - th*th) / 12
	}
}

// build builds the plant with inputs: a chip of 180 W, and a room of 298 K that warms.
func (p *plant) build(t testing.TB) (*network.Network, network.Inputs) {
	t.Helper()
	n, err := p.b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Power[0], in.Power[1] = 180, 2
	in.Temperature[0], in.Slope[0] = 298, 0.01
	n.SetInputs(in)
	return n, in
}

// one gives the plant one drive: fans by the largest of coolant and sensor over the room.
func (p *plant) one() network.Drive {
	over := func(s network.Signal) network.DriveInput {
		return network.SumOf(s, network.TemperatureOf(p.room, -1))
	}
	d := p.b.Drive("fans", 0.1, 1, network.LargestOf(over(network.TemperatureOf(p.res, 1)), over(network.StateOf(p.sensor, 1))), ramp(12))
	p.b.AirBy([]network.Drive{d}, []network.Setting{p.rateA, p.rateB}, p.fans)
	return d
}

// three gives the plant three drives: front fans, rear fans, and the pump.
func (p *plant) three() {
	front := p.b.Drive("front fans", 0.1, 1, network.SumOf(network.TemperatureOf(p.res, 1)), ramp(308))
	rear := p.b.Drive("rear fans", 0.1, 1, network.SumOf(network.StateOf(p.sensor, 0.5), network.TemperatureOf(p.box, 0.5)), ramp(306))
	p.b.Drive("pump", 0.3, 1, network.SumOf(network.TemperatureOf(p.chip, 1), network.StateOf(p.warm, 0.1)), ramp(350), p.pump)
	p.b.AirBy([]network.Drive{front, rear}, []network.Setting{p.rateA, p.rateB}, p.fans)
}

// state returns a state of the plant at temperatures around 310 K.
func (p *plant) state(n *network.Network, shift float64) []float64 {
	states, quads := n.Dim()
	y := make([]float64, states+quads)
	for i, at := range []float64{330, 311, 310, 309, 308, 305, 304, 302, 310.4, 303} {
		y[i] = n.State(network.Node(min(i, 7)), at+shift)
		if i > 7 {
			y[i] = at + shift
		}
	}
	return y
}
