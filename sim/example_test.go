package sim_test

import (
	"context"
	"fmt"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// A kettle of 4 kJ/K under 200 W that loses 10 W/K to a room at 22 degC: it
// rises by 20 K with a time constant of 400 s.
func ExampleNew() {
	scenario := &spec.Scenario{
		Ambient:  spec.Ambient{Temperature: spec.Some(295.15)},
		Lumps:    []spec.Lump{{Name: "kettle", Capacity: spec.Some(4000), Power: spec.Power{Watts: spec.Some(200)}}},
		Links:    []spec.Link{{Name: "loss", From: "kettle", To: "ambient", Conductance: spec.Some(10)}},
		Duration: spec.Some(3600),
	}
	s, err := sim.New(scenario, sim.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	result, err := s.Run(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	phase := result.Phases[result.Heating]
	fmt.Printf("level %.2f K over the room, time constant %.0f s\n", phase.Level.Value-295.15, result.Modes[0].Tau)
	fmt.Printf("95 %% after %.0f s, still to come %.3f K\n", phase.Response[2].Value, phase.StillToCome.Value)
	fmt.Printf("the ledger closes: %v\n", result.Ledger.Relative() < sim.LedgerLimit)
	// Output:
	// level 20.00 K over the room, time constant 400 s
	// 95 % after 1198 s, still to come 0.002 K
	// the ledger closes: true
}
