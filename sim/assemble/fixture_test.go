package assemble_test

import (
	"soakledger/sim/spec"
)

// bare is a machine of which nothing is stated but the radiator's conductance:
// all the rest has a default.
func bare() *spec.Scenario {
	s := &spec.Scenario{
		Chips: []spec.Chip{{Name: "cpu", Power: watts(160)}},
		Loops: []spec.Loop{{Parts: []spec.Part{
			{Kind: "pump", Pump: &spec.Pump{}},
			{Kind: "tube", Tube: &spec.Tube{}},
			{Kind: "block", Block: &spec.Block{Cools: "cpu"}},
			{Kind: "radiator", Name: "front", Radiator: &spec.Radiator{Conductance: spec.Some(18)}},
			{Kind: "reservoir", Reservoir: &spec.Reservoir{}},
		}}},
	}
	return s.Named()
}

func watts(p float64) spec.Power { return spec.Power{Watts: spec.Some(p)} }

func shareOf(x float64, of string) spec.Power { return spec.Power{Share: spec.Some(x), Of: of} }

// part returns the named part of the first loop, to be changed.
func part(s *spec.Scenario, name string) *spec.Part {
	for i := range s.Loops[0].Parts {
		if p := &s.Loops[0].Parts[i]; p.Name == name {
			return p
		}
	}
	panic("no part " + name)
}

// weigh states the weights of a part, kg.
func weigh(p *spec.Part, empty, full float64) {
	p.Empty, p.Full = spec.Some(empty), spec.Some(full)
}

// points are pairs of fan speed (rpm) and conductance (W/K).
func points(pairs ...float64) []spec.SpeedConductance {
	var all []spec.SpeedConductance
	for i := 0; i < len(pairs); i += 2 {
		all = append(all, spec.SpeedConductance{Speed: spec.Some(pairs[i] / 60), Conductance: spec.Some(pairs[i+1])})
	}
	return all
}

// turns is a speed of rotation, rpm.
func turns(rpm float64) spec.Speed { return spec.Speed{Rate: spec.Some(rpm / 60)} }
