package scenarios_test

import (
	"fmt"

	"soakledger/scenarios"
)

func ExampleRead() {
	_, err := scenarios.Read("loop.yaml", []byte(`
ambient: 22 degC
chips: [{power: 210 W}]
loop:
  - {part: pump, flow: 4 L/min}
  - {part: block}
  - {part: radiator, name: front, conductance: 18}
  - {part: tube, boer: 10 mm}
`))
	fmt.Println(err)
	// Output:
	// loop.yaml:7:48: front.conductance: 18 has no unit: write 18 W/K or 18 W per 10 K
	// loop.yaml:8:18: tube_1.boer: there is no such key; did you mean bore?
}

func ExampleDocument_Set() {
	doc, err := scenarios.Load("first")
	if err != nil {
		fmt.Println(err)
		return
	}
	warmer, err := doc.Set("ambient=30 degC")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(warmer.Scenario.Get("ambient.temperature"))
	_, err = doc.Set("ambient=30")
	fmt.Println(err)
	// Output:
	// 303.15 <nil>
	// --set: ambient.temperature: 30 has no unit: write 30 degC
}

func ExampleDocument_WithValue() {
	doc, err := scenarios.Read("loop.yaml", []byte("loop:\n  - {part: radiator, name: front, conductance: 18 W/K} # a guess\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fitted, err := doc.WithValue("front.conductance", "17.2 W/K")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(string(fitted.Source))
	// Output:
	// loop:
	//   - {part: radiator, name: front, conductance: 17.2 W/K} # a guess
}
