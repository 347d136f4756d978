package quantity_test

import (
	"fmt"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

func ExampleParse() {
	a, _ := quantity.Parse("20 cm", spec.Length)
	b, _ := quantity.Parse("200 mm", spec.Length)
	fmt.Println(a, a == b)

	_, err := quantity.Parse("450", spec.Length)
	fmt.Println(err)
	// Output:
	// 0.2 true
	// 450 has no unit: write 450 mm or 450 m
}

func ExampleFormat() {
	fmt.Println(quantity.Format(295.15, spec.Temperature), quantity.Format(4800, spec.Time), quantity.Format(1/0.055, spec.Conductance))
	// Output: 22 degC 80 min 18.1818 W/K
}

func ExampleExact() {
	fmt.Println(quantity.Exact(1/0.055, spec.Conductance), quantity.Exact(0.45, spec.Length))
	// Output: 18.181818181818183 W/K 450 mm
}

func ExampleBrief() {
	fmt.Println(quantity.Brief(22.3456, spec.Conductance), quantity.Brief(160.9e-6, spec.Volume))
	// Output: 22.3 W/K 161 mL
}
