package spec_test

import (
	"fmt"

	"soakledger/sim/spec"
)

func ExampleScenario_With() {
	s := (&spec.Scenario{
		Loops: []spec.Loop{{Parts: []spec.Part{{Kind: "radiator", Radiator: &spec.Radiator{Conductance: spec.Some(18)}}}}},
	}).Named()
	better, err := s.With("radiator_1.conductance", spec.NumberValue(22))
	fmt.Println(err)
	fmt.Println(s.Get("radiator_1.conductance"))
	fmt.Println(better.Get("radiator_1.conductance"))
	_, err = s.With("radiator_1.conductence", spec.NumberValue(22))
	fmt.Println(err)
	// Output:
	// <nil>
	// 18 <nil>
	// 22 <nil>
	// radiator_1.conductence: it has no key conductence; did you mean radiator_1.conductance?
}

func ExampleCheck() {
	s := &spec.Scenario{Coolant: spec.Coolant{Fluid: "ethylene glycol"}, Duration: spec.Some(-1)}
	for _, p := range spec.Check(s) {
		fmt.Println(p)
	}
	// Output:
	// duration: -1 is outside the allowed range of 0.001 to 3.6e+07 (SI units)
	// coolant: ethylene glycol needs its share: write {fluid: ethylene glycol, volume_share: 30 %}, or mass_share
}
