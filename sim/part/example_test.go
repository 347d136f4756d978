package part_test

import (
	"fmt"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// How much coolant a pump of 3.6 m and 900 L/h moves at 60 % speed through a
// block, a radiator and two metres of tube, with water and with glycol.
func ExampleOperatingPoint() {
	pump, err := part.NewPumpCurve(3.6*part.MetreOfWater, 0.9/3600)
	if err != nil {
		fmt.Println(err)
		return
	}
	block, err := part.NewPoints([]float64{2e-3 / 60, 4e-3 / 60}, []float64{3.2e3, 10.6e3})
	if err != nil {
		fmt.Println(err)
		return
	}
	radiator := part.Tube{Bore: 0.0075, Length: 0.8, Loss: 6}
	tube := part.Tube{Bore: 0.010, Length: 2, Roughness: 1.5e-6, Loss: 8 * part.FittingLoss().Value}
	ring := []part.Resistance{block, radiator, tube}
	glycol, err := fluid.PropyleneGlycol(0.3)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range []*fluid.Coolant{fluid.Water(), glycol} {
		q, head, err := part.OperatingPoint([]part.PumpCurve{pump}, []float64{0.6}, ring, part.LiquidAt(c, 273.15+32))
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %.2f L/min at %.1f kPa\n", c.Name(), q*6e4, head/1e3)
	}
	// Output:
	// water: 2.64 L/min at 11.6 kPa
	// propylene glycol 30 % by mass: 2.40 L/min at 11.8 kPa
}

// Two blocks side by side share the flow by their resistance.
func ExampleParallel() {
	cpu, err := part.NewPoints([]float64{4e-3 / 60}, []float64{12e3})
	if err != nil {
		fmt.Println(err)
		return
	}
	gpu, err := part.NewPoints([]float64{4e-3 / 60}, []float64{6e3})
	if err != nil {
		fmt.Println(err)
		return
	}
	fork, err := part.NewParallel(cpu, gpu)
	if err != nil {
		fmt.Println(err)
		return
	}
	flows := make([]float64, 2)
	drop, _ := fork.Split(4e-3/60, part.TestWater(), flows)
	fmt.Printf("%.2f and %.2f L/min at %.2f kPa\n", flows[0]*6e4, flows[1]*6e4, drop/1e3)
	// Output:
	// 1.60 and 2.40 L/min at 2.47 kPa
}

// A radiator known at three fan speeds, asked at others.
func ExampleRadiatorCurve() {
	c, err := part.NewRadiatorCurve([]part.RadiatorPoint{{750. / 60, 21}, {1300. / 60, 33}, {1850. / 60, 43}},
		part.RadiatorTest{CapacityRate: 278, Passive: 3 * part.SectionPassive().Value})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, rpm := range []float64{0, 400, 1000, 2200} {
		ua, _, outside := c.Exponent(rpm / 60)
		fmt.Printf("%4.0f rpm: UA %.1f W/K, outside the points: %v\n", rpm, ua, outside)
	}
	// Output:
	//    0 rpm: UA 3.0 W/K, outside the points: false
	//  400 rpm: UA 12.8 W/K, outside the points: true
	// 1000 rpm: UA 28.1 W/K, outside the points: false
	// 2200 rpm: UA 53.5 W/K, outside the points: true
}

// What a loop's parts are made of decides whether they may meet.
func ExampleMixedMetals() {
	with, mixed, err := part.MixedMetals("brass", "aluminum", "acetal")
	fmt.Println(with, mixed, err)
	_, _, err = part.MixedMetals("alu")
	fmt.Println(err)
	// Output:
	// brass true <nil>
	// looking for mixed metals: part: unknown material "alu"; known are copper, brass, aluminium, steel, stainless steel, nickel-plated copper, acrylic, acetal, soft pvc, epdm, glass, silicon
}

// The coolant in a radiator from its weights, and from its size.
func ExampleWeights() {
	volume, metal, err := part.Weights(1.12, 1.36, part.TestWater().Density)
	if err != nil {
		fmt.Println(err)
		return
	}
	size := part.RadiatorSize{Sections: 3, Section: 0.120, Thickness: 0.028}
	guess := size.Volume()
	fmt.Printf("weighed: %.0f mL in %.2f kg\n", volume*1e6, metal)
	fmt.Printf("from its size: %.0f mL (%.0f to %.0f) in %.2f kg\n", guess.Value*1e6, guess.Low*1e6, guess.High*1e6, size.Mass().Value)
	// Output:
	// weighed: 241 mL in 1.12 kg
	// from its size: 216 mL (173 to 260) in 1.01 kg
}

// What a metre of tube loses to the room.
func ExampleSkin_Loss() {
	air, err := fluid.FastAir(fluid.StandardPressure, 0.008)
	if err != nil {
		fmt.Println(err)
		return
	}
	q, perKelvin, _ := part.TubeSkin(0.010, 0.016, 1, part.EPDM()).Loss(air, 273.15+40, 273.15+22)
	fmt.Printf("%.2f W, %.3f W/K\n", q, perKelvin)
	// Output:
	// 9.19 W, 0.576 W/K
}
