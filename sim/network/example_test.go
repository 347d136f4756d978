package network_test

import (
	"fmt"
	"log"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
)

// A hot plate in a bath of water that loses heat to a room.
func Example() {
	b := network.NewBuilder(fluid.Water().Fast())
	plate := b.Lump("plate", 400)     // J/K
	bath := b.CoolantLump("bath", 1)  // kg
	room := b.Boundary("room")        // its temperature is an input
	surface := b.Path("bath surface") // where heat leaves is accounted by path
	b.Conduct(plate, bath, 20, 0)     // W/K
	b.Conduct(bath, room, 5, surface) // W/K
	b.Source("heater", plate)
	n, err := b.Build()
	if err != nil {
		log.Fatal(err)
	}
	in := n.NewInputs()
	in.Power[0] = 300         // W
	in.Temperature[0] = 293.0 // K
	n.SetInputs(in)

	state := []float64{303, 298, 0} // plate, bath (K), energy out by the surface (J)
	rates := make([]float64, len(state))
	n.F(0, state, rates)
	fmt.Printf("plate %.3f K/s, bath %.4f K/s, out %.1f W\n", rates[0], rates[1], rates[2])
	// Output: plate 0.500 K/s, bath 0.0179 K/s, out 25.0 W
}
