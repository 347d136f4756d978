package part

import "soakledger/sim/spec"

// Default is what a figure is taken to be when a scenario does not state it.
type Default struct {
	Value     float64 // SI
	Low, High float64 // range in which the true figure usually lies, SI
	Dimension spec.Dimension
	Source    string
}

// practice marks a figure of the trade that no publication backs.
const practice = "common practice, no source"

const zeroCelsius = 273.15 // K

// Ambient is the room's air temperature.
func Ambient() Default {
	return Default{22 + zeroCelsius, 18 + zeroCelsius, 30 + zeroCelsius, spec.Temperature, practice}
}
