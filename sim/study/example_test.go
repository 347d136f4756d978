package study_test

import (
	"context"
	"fmt"

	"soakledger/sim/spec"
	"soakledger/sim/study"
)

// A heater of 600 W in a closed room whose loss is not stated: 40 W/K is taken,
// and may be 30 to 80 W/K.
func ExampleBandOf() {
	scenario := &spec.Scenario{
		Room:     &spec.Room{},
		Lumps:    []spec.Lump{{Name: "heater", Capacity: spec.Some(400), Power: spec.Power{Watts: spec.Some(600)}}},
		Links:    []spec.Link{{Name: "to_air", From: "heater", To: "room", Conductance: spec.Some(25)}},
		Duration: spec.Some(1800),
		Figures:  spec.Figures{Of: "room"},
	}
	band, err := study.BandOf(context.Background(), scenario, study.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	room := band.Subject
	fmt.Printf("rise %.1f K, down to %.1f K, up to %.1f K\n", room.Rise.Value, room.Rise.Value-room.Below, room.Rise.Value+room.Above)
	for _, t := range band.Terms {
		fmt.Printf("%s %g (%g to %g): %+.1f K to %+.1f K, %.0f %%\n", t.Path, t.Value, t.Low, t.High, t.AtLow.Value, t.AtHigh.Value, 100*t.Share)
	}
	// Output:
	// rise 15.0 K, down to 7.5 K, up to 20.0 K
	// room.conductance 40 (30 to 80): +5.0 K to -7.5 K, 100 %
}
