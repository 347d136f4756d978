package part_test

import (
	"fmt"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// What a radiator of three 120 mm fans in front gets, with a vented case alone
// and with a fan in the rear that draws out.
func ExampleCasing_Solve() {
	class, err := part.FanSized(0.120)
	if err != nil {
		fmt.Println(err)
		return
	}
	fan, err := class.Curve()
	if err != nil {
		fmt.Println(err)
		return
	}
	const face = 0.120 * 0.120
	front := part.Duct{
		Rows:   []part.FanRow{{Curve: fan, Count: 3, Arrangement: part.Push}},
		Losses: part.AirSeries{part.AirLoss{K: 10, Area: 3 * face}, part.AirLoss{K: 4, Area: 3 * face}},
	}
	rear := part.Duct{
		Rows:   []part.FanRow{{Curve: fan, Count: 1, Arrangement: part.Pull}},
		Losses: part.AirSeries{part.AirLoss{K: 1, Area: face}},
	}
	casing := part.Casing{In: []part.Duct{front}, Out: []part.Duct{rear}, Vents: []part.AirLoss{part.Vent(0.01)}}
	flows := make([]float64, casing.Flows())
	air := part.AirAt(273.15+25, fluid.StandardPressure, 0.008)
	for _, rearSpeed := range []float64{0, 0.6, 1} {
		pressure, err := casing.Solve([]float64{0.7, rearSpeed}, air, flows)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%+.2f Pa: front %.0f, rear %.0f, vents %.0f m3/h\n", pressure, 3600*flows[0], 3600*flows[1], 3600*flows[2])
	}
	// Output:
	// +2.32 Pa: front 74, rear 31, vents 43 m3/h
	// +1.22 Pa: front 85, rear 54, vents 31 m3/h
	// +0.36 Pa: front 93, rear 76, vents 17 m3/h
}
