package sim_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/fluid"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// measured is a radiator of known size with points of its own, as on a bench.
func measured(per string, cells, rpm float64) spec.Part {
	p := cored(240, 28, rpm, cells)
	p.Radiator.Per = per
	for _, q := range [][2]float64{{600, 8}, {1000, 15}, {1500, 21}} {
		p.Radiator.Points = append(p.Radiator.Points, spec.SpeedConductance{Speed: spec.Some(q[0] / 60), Conductance: spec.Some(q[1])})
	}
	return p
}

// tested is a radiator on an open bench at a test flow of water (L/min). The air is
// found at the 22 degC of a bench, but a closed room warms by 3 K until it takes no
// more, and the coolant behind the radiator is brought to the 25 degC of its test
// by the power.
func tested(t *testing.T, p spec.Part, litres float64) airLevel {
	t.Helper()
	p.Radiator.TestFlow = spec.Some(litres / 6e4)
	s := bench(p, litres, 0.3)
	s.Coolant = spec.Coolant{Fluid: "water"}
	s.Room = &spec.Room{Capacity: spec.Some(1e4), Conductance: spec.Some(0.1)}
	var l airLevel
	for range 3 { // the excess over the room goes as the power
		l = leads(t, s)
		s.Loops[0].Parts[1].Power = watts(s.Loops[0].Parts[1].Power.Watts.Value * 3 / (l.of("res.coolant") - 295.15))
	}
	if off := l.of("res.coolant") - 298.15; math.Abs(off) > 1e-6 {
		t.Fatalf("the coolant is %g K off 25 degC", off)
	}
	return l
}

// A core that was measured gives exactly what was stated at the speeds of its
// points, on the open bench at the test flow, over inlet or mean, with any number
// of cells, with and without a stated film.
func TestPointsAreMetByTheirCore(t *testing.T) {
	for _, per := range []string{"inlet", "mean"} {
		for _, litres := range []float64{2, 4} {
			for _, cells := range []float64{1, 4} {
				for _, q := range [][2]float64{{600, 8}, {1000, 15}, {1500, 21}} {
					for _, film := range []float64{0, 150} {
						p := measured(per, cells, q[0])
						if film > 0 {
							p.Radiator.FilmConductance = spec.Some(film)
						}
						l := tested(t, p, litres)
						inlet, _, heat := l.air("rad")
						over := l.into("rad") - inlet
						if per == "mean" {
							// By the heat, since neighbouring cells conduct a little.
							over -= heat / (2 * litres / 6e4 * waterAt25())
						}
						first := l.Of(l.Plan.Find("rad.coolant")[0]).Value
						beside := part.AxialConductance * (l.into("rad") - first) / over // into the first cell, past the stream
						if got := heat / over; math.Abs(got-q[1]) > 1e-6*q[1]+beside {
							t.Errorf("per %s at %g L/min, %g cells, film %g: %.9g W/K at %g rpm, stated are %g", per, litres, cells, film, got, q[0], q[1])
						}
					}
				}
			}
		}
	}
}

// Property: between points that rise as radiators' do, by a power of the speed from
// a half to one, and beyond them, a measured core conducts no less with faster fans;
// beyond them it is said.
func TestMeasuredCoreRisesWithTheSpeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := measured("inlet", 4, 1000)
		p.Radiator.Points = nil
		speed := rapid.Float64Range(200, 800).Draw(t, "slowest")
		last := rapid.Float64Range(0.3, 0.85).Draw(t, "share") * 2.4 * speed / 200 // 2.4 W/K is what the air carries at 200 rpm
		for i := range rapid.IntRange(1, 4).Draw(t, "points") {
			if i > 0 {
				faster := rapid.Float64Range(1.1, 1.5).Draw(t, "faster")
				speed, last = speed*faster, last*math.Pow(faster, rapid.Float64Range(0.5, 1).Draw(t, "power"))
			}
			p.Radiator.Points = append(p.Radiator.Points, spec.SpeedConductance{Speed: spec.Some(speed / 60), Conductance: spec.Some(last)})
		}
		last = 0
		first, most := 60*p.Radiator.Points[0].Speed.Value, speed
		for rpm := 0.0; rpm <= 1800; rpm += 37.5 {
			p.Radiator.Fans.Speed = turns(rpm)
			plan, err := assemble.Build(bench(p, 4, 100))
			if err != nil {
				t.Fatal(err)
			}
			if g := plan.Air[0].Conductance; g < last*(1-1e-9) {
				t.Fatalf("%g W/K at %g rpm after %g", g, rpm, last)
			} else {
				last = g
			}
			said := strings.Contains(strings.Join(plan.Warnings, "\n"), "outside the stated points")
			if beyond := plan.Air[0].Speed > 0 && (rpm < first || rpm > most); said != beyond {
				t.Fatalf("at %g rpm of %g to %g: %v", rpm, first, most, plan.Warnings)
			}
		}
	})
}

// What is stated of a core's coolant and metal beats what follows from its
// measures: the volume, the weights, the capacity.
func TestStatedBodyBeatsTheCore(t *testing.T) {
	body := coreOf(t, 240, 28).Body()
	density := fluid.Water().Density(295.15)
	for _, c := range []struct {
		name          string
		state         func(p *spec.Part)
		volume, metal float64
		assumed       []string
	}{
		{"nothing", func(*spec.Part) {}, body.Volume(), body.Capacity, []string{"rad.holds", "rad.metal_capacity"}},
		{"holds", func(p *spec.Part) { p.Holds = spec.Some(108e-6) }, 108e-6, body.Capacity, []string{"rad.metal_capacity"}},
		{"metal_capacity", func(p *spec.Part) { p.Radiator.MetalCapacity = spec.Some(333) }, body.Volume(), 333, []string{"rad.holds"}},
		{"both", func(p *spec.Part) { p.Holds, p.Radiator.MetalCapacity = spec.Some(108e-6), spec.Some(333) }, 108e-6, 333, nil},
		{"weights", func(p *spec.Part) { p.Empty, p.Full = spec.Some(0.8), spec.Some(0.95) }, 0.15 / density, 0.8 * 380, nil},
		{"weights and capacity", func(p *spec.Part) {
			p.Empty, p.Full, p.Radiator.MetalCapacity = spec.Some(0.8), spec.Some(0.95), spec.Some(333)
		}, 0.15 / density, 333, nil},
	} {
		p := cored(240, 28, 1000, 4)
		c.state(&p)
		s := bench(p, 4, 100)
		s.Coolant = spec.Coolant{Fluid: "water"}
		plan, err := assemble.Build(s)
		if err != nil {
			t.Fatal(err)
		}
		volume, metal := 0.0, 0.0
		for _, n := range plan.Find("rad.coolant") {
			volume += plan.Network.Capacity(n.Lump, 295.15)
		}
		for _, n := range plan.Find("rad.metal") {
			metal += plan.Network.Capacity(n.Lump, 295.15)
		}
		near(t, c.name+": coolant", volume, c.volume*density*fluid.Water().SpecificHeat(295.15), 1e-4*volume)
		near(t, c.name+": metal", metal, c.metal, 1e-9*metal)
		var assumed []string
		for _, a := range plan.Assumed {
			if a.Path == "rad.holds" || a.Path == "rad.metal_capacity" {
				assumed = append(assumed, a.Path)
			}
		}
		if fmt.Sprint(assumed) != fmt.Sprint(c.assumed) {
			t.Errorf("%s: assumed are %v", c.name, assumed)
		}
	}
}

// The level of a machine does not depend on the volume or metal of its radiator.
func TestBodyOfACoreTakesTime(t *testing.T) {
	light, heavy := cored(240, 28, 1000, 4), cored(240, 28, 1000, 4)
	heavy.Holds, heavy.Radiator.MetalCapacity = spec.Some(400e-6), spec.Some(900)
	a, b := run(t, bench(light, 4, 100)), run(t, bench(heavy, 4, 100))
	near(t, "level", b.Phases[0].Level.Value, a.Phases[0].Level.Value, 1e-9)
	if !(b.Phases[0].Response[0].Value > 1.5*a.Phases[0].Response[0].Value) {
		t.Errorf("t63 goes from %+v to %+v", a.Phases[0].Response[0], b.Phases[0].Response[0])
	}
}

// The passive part of a radiator without fans that turn is the trade's default, at
// any coolant flow that is usual.
func TestPassiveAtTheLevel(t *testing.T) {
	l, err := sim.LevelsOf(bench(cored(240, 28, 0, 4), 4, 20), 0)
	if err != nil {
		t.Fatal(err)
	}
	a := levelOf(l)
	inlet, _, heat := a.air("rad")
	near(t, "standing radiator, W/K", heat/(a.into("rad")-inlet), 2*part.SectionPassive().Value, 0.02)
}
