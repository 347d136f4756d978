package sim_test

import (
	"context"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// The builders of this file state scenarios in trade units: degC, L/min, mL.

const zeroCelsius = 273.15 // K

func base(ambient float64) *spec.Scenario {
	return &spec.Scenario{Ambient: spec.Ambient{Temperature: spec.Some(ambient + zeroCelsius)}}
}

func watts(p float64) spec.Power { return spec.Power{Watts: spec.Some(p)} }
func share(x float64) spec.Power { return spec.Power{Share: spec.Some(x)} }

// shareOf is a share of another's power.
func shareOf(x float64, of string) spec.Power { return spec.Power{Share: spec.Some(x), Of: of} }

// leak is an exponential leakage of p watts at a temperature (degC).
func leak(p, at, growth float64) spec.Leakage {
	return spec.Leakage{Power: spec.Some(p), At: spec.Some(at + zeroCelsius), Growth: spec.Some(growth)}
}

// lump is a mass of a heat capacity (J/K).
func lump(name string, capacity float64) spec.Lump {
	return spec.Lump{Name: name, Capacity: spec.Some(capacity)}
}

// pool is a mixed volume of coolant, mL.
func pool(name string, holds float64) spec.Lump {
	return spec.Lump{Name: name, Holds: spec.Some(holds * 1e-6)}
}

// heated is a lump with a constant power.
func heated(name string, capacity, p float64) spec.Lump {
	l := lump(name, capacity)
	l.Power = watts(p)
	return l
}

// conduct is a link of a conductance (W/K).
func conduct(from, to string, g float64) spec.Link {
	return spec.Link{From: from, To: to, Conductance: spec.Some(g)}
}

// flow is a stream of coolant, L/min.
func flow(from, to string, litres float64) spec.Link {
	return spec.Link{From: from, To: to, Flow: spec.Some(litres / 6e4)}
}

func pump(name string, litres float64) spec.Part {
	return spec.Part{Kind: "pump", Name: name, Pump: &spec.Pump{Flow: spec.Some(litres / 6e4)}, Power: watts(8)}
}

// tube is a tube of 10 mm bore and a length (m).
func tube(name string, length float64) spec.Part {
	return spec.Part{Kind: "tube", Name: name, Tube: &spec.Tube{Bore: spec.Some(0.010), Length: spec.Some(length)}}
}

// blockOn is a block with a plate of a heat capacity (J/K) on a chip.
func blockOn(name, chip string, plate float64) spec.Part {
	return spec.Part{Kind: "block", Name: name, Holds: spec.Some(10e-6),
		Block: &spec.Block{Cools: chip, FilmConductance: spec.Some(60), PlateCapacity: spec.Some(plate)}}
}

// radiatorPart is a radiator of a conductance (W/K) over its inlet.
func radiatorPart(name string, conductance float64) spec.Part {
	return spec.Part{Kind: "radiator", Name: name, Holds: spec.Some(150e-6),
		Radiator: &spec.Radiator{Conductance: spec.Some(conductance), Per: "inlet", MetalCapacity: spec.Some(400)}}
}

// reservoir is a reservoir of a volume (mL).
func reservoir(name string, volume float64) spec.Part {
	return spec.Part{Kind: "reservoir", Name: name, Reservoir: &spec.Reservoir{Volume: spec.Some(volume * 1e-6)}}
}

// machine is a plain loop on one chip that draws p watts.
func machine(p float64) *spec.Scenario {
	s := base(22)
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(p)}}
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{
		pump("pump", 4), tube("tube_1", 0.4), blockOn("block", "cpu", 70), tube("tube_2", 0.4), radiatorPart("front", 18), reservoir("res", 200),
	}}}
	s.Duration = spec.Some(3600)
	return s
}

// onOff lets the whole scenario's chips follow one pattern.
func onOff(s *spec.Scenario, on, off float64, repeat spec.Repeat) {
	s.Work = []spec.Work{{Name: "load", On: spec.Some(on), Off: spec.Some(off), Repeat: repeat}}
	for i := range s.Chips {
		s.Chips[i].Work = "load"
	}
}

// forever repeats without end.
var forever = spec.Repeat{Forever: true}

// run names what has no name and runs a scenario to its end.
func run(tb testing.TB, s *spec.Scenario) *sim.Result {
	tb.Helper()
	r, err := attempt(s, sim.Settings{})
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

// attempt runs a scenario and returns whatever comes of it.
func attempt(s *spec.Scenario, set sim.Settings) (*sim.Result, error) {
	simulation, err := sim.New(s.Named(), set)
	if err != nil {
		return nil, err
	}
	return simulation.Run(context.Background())
}

// turns is a speed of rotation, rpm.
func turns(rpm float64) spec.Speed { return spec.Speed{Rate: spec.Some(rpm / 60)} }
