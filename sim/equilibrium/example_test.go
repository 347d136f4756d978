package equilibrium_test

import (
	"fmt"
	"log"

	"soakledger/sim/equilibrium"
	"soakledger/sim/network"
)

// A die of 400 J/K, 0.05 K/W from a coolant of 4500 J/K, 0.06 K/W from a room
// at 25 degC, and 300 W: where it settles, and how fast.
func Example() {
	b := network.NewBuilder(nil)
	die, coolant := b.Lump("die", 400), b.Lump("coolant", 4500)
	room, radiator := b.Boundary("room"), b.Path("radiator")
	b.Conduct(die, coolant, 1/0.05, 0)
	b.Conduct(coolant, room, 1/0.06, radiator)
	b.Source("work", die)
	n, err := b.Build()
	if err != nil {
		log.Fatal(err)
	}
	n.SetInputs(network.Inputs{Power: []float64{300}, Temperature: []float64{298.15}, Slope: []float64{0}})

	level := []float64{298.15, 298.15} // the start, then the level
	if _, err := equilibrium.NewSolver(n).Level(0, level, level); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("die %.1f degC, coolant %.1f degC\n", level[0]-273.15, level[1]-273.15)
	modes, err := equilibrium.Modes(n, 0, level)
	if err != nil {
		log.Fatal(err)
	}
	for _, m := range modes {
		fmt.Printf("%.1f s, of it the die %.0f %%\n", m.Tau, 100*m.Shares[0])
	}
	// Output:
	// die 58.0 degC, coolant 43.0 degC
	// 295.7 s, of it the die 9 %
	// 18.3 s, of it the die 48 %
}
