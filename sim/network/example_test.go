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

	state := make([]float64, 3)              // plate, bath, energy out by the surface (J)
	n.States([]float64{303, 338}, state[:2]) // from temperatures in K
	rates := make([]float64, len(state))
	n.F(0, state, rates)
	warming := rates[1] * n.Slope(bath, state[1]) // a state of coolant is not its temperature
	fmt.Printf("plate %.3f K/s, bath %.5f K/s, out %.1f W\n", rates[0], warming, rates[2])
	fmt.Printf("stored %.3f W\n", n.Capacity(plate, 303)*rates[0]+n.Capacity(bath, 338)*warming)
	// Output:
	// plate 2.500 K/s, bath -0.22091 K/s, out 225.0 W
	// stored 75.000 W
}
