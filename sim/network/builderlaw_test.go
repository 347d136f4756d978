package network_test

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// fork is a valid ring with a fork of one driven circuit: quantities total, two
// branches and a conductance.
func fork(p parts) (driven network.Circuit, left, right network.Node) {
	driven = p.b.Circuit("driven")
	left, right = p.b.CoolantLump("left", 0.1), p.b.CoolantLump("right", 0.1)
	p.b.Operate(driven, p.hot, function{4, func(at float64, dst []float64) error {
		dst[1], dst[2], dst[3] = 0.02*at/300, 0.03, 5
		dst[0] = dst[1] + dst[2]
		return nil
	}, nil}, 250, 370)
	p.b.StreamOf(p.hot, left, driven, 1)
	p.b.StreamOf(p.hot, right, driven, 2)
	p.b.StreamOf(left, p.cold, driven, 1)
	p.b.StreamOf(right, p.cold, driven, 2)
	p.b.StreamOf(p.cold, p.hot, driven, 0)
	p.b.ConductOf(p.plate, left, driven, 3, 1, 0)
	return driven, left, right
}

func TestBuilderErrorsOfLaws(t *testing.T) {
	p := newParts()
	fork(p)
	if _, err := p.b.Build(); err != nil {
		t.Fatal(err)
	}
	flow := function{1, func(at float64, dst []float64) error { dst[0] = 0.01; return nil }, nil}
	line := func(d float64) (q, slope float64) { return d, 1 }
	for _, c := range []struct {
		want    string
		mistake func(p parts, driven network.Circuit, left, right network.Node)
	}{
		{"operation: there is no circuit 7", func(p parts, _ network.Circuit, l, _ network.Node) { p.b.Operate(7, l, flow, 280, 300) }},
		{"circuit driven has two operations", func(p parts, d network.Circuit, l, _ network.Node) { p.b.Operate(d, l, flow, 280, 300) }},
		{"circuit x: the reference of its flow, plate, holds no coolant", func(p parts, _ network.Circuit, _, _ network.Node) {
			p.b.Operate(p.b.Circuit("x"), p.plate, flow, 280, 300)
		}},
		{"circuit x: the reference of its flow, ambient, holds no coolant", func(p parts, _ network.Circuit, _, _ network.Node) {
			p.b.Operate(p.b.Circuit("x"), p.ambient, flow, 280, 300)
		}},
		{"circuit x: the reference of its flow, ?, holds no coolant", func(p parts, _ network.Circuit, _, _ network.Node) {
			p.b.Operate(p.b.Circuit("x"), 99, flow, 280, 300)
		}},
		{"circuit x: its flow cannot be computed from 300 to 300 K", func(p parts, _ network.Circuit, l, _ network.Node) {
			p.b.Operate(p.b.Circuit("x"), l, flow, 300, 300)
		}},
		{"circuit x: its flow cannot be computed from 300 to NaN K", func(p parts, _ network.Circuit, l, _ network.Node) {
			p.b.Operate(p.b.Circuit("x"), l, flow, 300, math.NaN())
		}},
		{"circuit x: its operation gives no flow", func(p parts, _ network.Circuit, l, _ network.Node) {
			p.b.Operate(p.b.Circuit("x"), l, function{}, 280, 300)
		}},
		{"link plate to left: there is no circuit -1", func(p parts, _ network.Circuit, l, _ network.Node) { p.b.ConductOf(p.plate, l, -1, 0, 1, 0) }},
		{"link plate to left: circuit ring has no operation to follow", func(p parts, _ network.Circuit, l, _ network.Node) { p.b.ConductOf(p.plate, l, p.ring, 0, 1, 0) }},
		{"link plate to left: circuit driven has no quantity 4", func(p parts, d network.Circuit, l, _ network.Node) { p.b.ConductOf(p.plate, l, d, 4, 1, 0) }},
		{"link plate to left: a share of -1 is not zero or above", func(p parts, d network.Circuit, l, _ network.Node) { p.b.ConductOf(p.plate, l, d, 3, -1, 0) }},
		{"link left to left joins a lump to itself", func(p parts, d network.Circuit, l, _ network.Node) { p.b.ConductOf(l, l, d, 3, 1, 0) }},
		{"link left to ambient: there is no path 5", func(p parts, d network.Circuit, l, _ network.Node) { p.b.ConductOf(l, p.ambient, d, 3, 1, 5) }},
		{"stream left to right: circuit driven has no quantity -1", func(p parts, d network.Circuit, l, r network.Node) { p.b.StreamOf(l, r, d, -1) }},
		{"stream left to right: circuit ring has no operation to follow", func(p parts, _ network.Circuit, l, r network.Node) { p.b.StreamOf(l, r, p.ring, 0) }},
		{"stream left to ambient: ambient is no lump that holds coolant", func(p parts, d network.Circuit, l, _ network.Node) { p.b.StreamOf(l, p.ambient, d, 0) }},
		{"stream plate to left: plate is no lump that holds coolant", func(p parts, d network.Circuit, l, _ network.Node) { p.b.StreamOf(p.plate, l, d, 0) }},
		{"stream ? to left: there is no node 50", func(p parts, d network.Circuit, l, _ network.Node) { p.b.StreamOf(50, l, d, 0) }},
		{"stream left to left joins a lump to itself", func(p parts, d network.Circuit, l, _ network.Node) { p.b.StreamOf(l, l, d, 0) }},
		{"stream hot to ambient: the flow of circuit driven follows its operation, not the inputs", func(p parts, d network.Circuit, _, _ network.Node) {
			p.b.Stream(p.hot, p.ambient, d, 0, p.out)
		}},
		{"curve plate to plate joins a lump to itself", func(p parts, _ network.Circuit, _, _ network.Node) { p.b.Curve(p.plate, p.plate, 0, line) }},
		{"curve plate to ambient: there is no path 8", func(p parts, _ network.Circuit, _, _ network.Node) { p.b.Curve(p.plate, p.ambient, 8, line) }},
		{"curve plate to ambient: 1 W flow without a difference of temperatures", func(p parts, _ network.Circuit, _, _ network.Node) {
			p.b.Curve(p.plate, p.ambient, p.out, func(d float64) (q, slope float64) { return 1 + d, 1 })
		}},
		{"curve plate to ambient: heat falls between differences of -80 and -47 K", func(p parts, _ network.Circuit, _, _ network.Node) {
			p.b.Curve(p.plate, p.ambient, p.out, func(d float64) (q, slope float64) { return -d, -1 })
		}},
		{"curve plate to ambient: heat falls between differences of 4 and 8 K", func(p parts, _ network.Circuit, _, _ network.Node) {
			p.b.Curve(p.plate, p.ambient, p.out, func(d float64) (q, slope float64) { // a cubic that turns back between 6 and 7 K
				x := d - 6.5
				return 0.3*(x*x*x-0.3*x) + 0.3*(6.5*6.5*6.5-0.3*6.5), 0.3 * (3*x*x - 0.3)
			})
		}},
		{"curve plate to ambient: heat or its slope at a difference of 27 or 47 K is not finite", func(p parts, _ network.Circuit, _, _ network.Node) {
			p.b.Curve(p.plate, p.ambient, p.out, func(d float64) (q, slope float64) {
				if d > 35 {
					return math.NaN(), 1
				}
				return d, 1
			})
		}},
	} {
		p := newParts()
		d, l, r := fork(p)
		c.mistake(p, d, l, r)
		n, err := p.b.Build()
		if n != nil || err == nil {
			t.Errorf("no error, want %q", c.want)
			continue
		}
		if want := "network: " + c.want; err.Error() != want {
			t.Errorf("got  %q\nwant %q", err, want)
		}
	}
}

// A fork that takes in another amount than it gives out is an error, however
// little and at whatever temperature.
func TestForkMustBalance(t *testing.T) {
	build := func(excess float64) error {
		b := network.NewBuilder(fluid.Water().Fast())
		c, a, z := b.Circuit("ring"), b.CoolantLump("a", 1), b.CoolantLump("z", 1)
		b.Operate(c, a, function{2, func(at float64, dst []float64) error {
			dst[0], dst[1] = 0.05, 0.05
			if at > 340 {
				dst[1] *= 1 + excess
			}
			return nil
		}, nil}, 280, 360)
		b.StreamOf(a, z, c, 0)
		b.StreamOf(z, a, c, 1)
		_, err := b.Build()
		return err
	}
	if err := build(1e-10); err != nil {
		t.Error(err)
	}
	for _, excess := range []float64{3e-9, 0.1} {
		if err := build(excess); err == nil || strings.Count(err.Error(), "so its mass would change") != 2 {
			t.Errorf("excess of %g: %v", excess, err)
		}
	}
	if err := build(0.1); !strings.HasPrefix(err.Error(), "network: circuit ring: a takes in 0.055 but gives out 0.05 kg/s at 340 K") {
		t.Error(err)
	}
}
