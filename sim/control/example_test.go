package control_test

import (
	"fmt"

	"soakledger/sim/control"
)

// A fan curve on the coolant, sampled every two seconds: it follows a rise at
// once, and a fall only when it amounts to 3 K for 6 s.
func ExampleSampled() {
	curve, err := control.NewCurve([]control.Point{{In: 303.15, Out: 0.3}, {In: 313.15, Out: 0.8}}, control.Smoothing)
	if err != nil {
		fmt.Println(err)
		return
	}
	fan, err := control.NewSampled(control.SampledSpec{
		Period: 2, Curve: curve, Max: 1, Resolution: control.DefaultResolution,
		Hysteresis: control.UpDown{Down: 3}, Hold: control.UpDown{Down: 6},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	state := fan.Settled(303.15)
	for k, coolant := range []float64{304, 306, 308, 306, 304.5, 304, 304, 304} {
		if duty, changed := fan.Step(&state, fan.Time(k), coolant); changed {
			fmt.Printf("%2.0f s: %.0f %%\n", fan.Time(k), 100*duty)
		}
	}
	// Output:
	//  0 s: 34 %
	//  2 s: 44 %
	//  4 s: 54 %
	// 14 s: 34 %
}

// A chip of 253 W under a limit of 125 W with an average over 56 s.
func ExamplePowerLimit() {
	limit := control.PowerLimit{Long: 125, Short: 253, Tau: 56}
	idle := 20.0
	regime := limit.Next(control.Free, 300, idle)
	boost := limit.BoostLeft(idle, limit.Allowed(regime))
	fmt.Printf("%v at %.0f W for %.1f s\n", regime, limit.Allowed(regime), boost)
	regime = limit.Next(regime, 300, limit.Long)
	fmt.Printf("%v at %.0f W\n", regime, limit.Allowed(regime))
	// Output:
	// boosting at 253 W for 33.5 s
	// limited at 125 W
}
