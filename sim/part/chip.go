package part

import "soakledger/sim/spec"

// DieToPlate is the resistance from die to cold plate of a desktop processor
// with a spreader.
func DieToPlate() Default { return Default{0.14, 0.08, 0.30, spec.Resistance, practice} }

// DieShare is the part of that resistance between die and spreader.
func DieShare() Default { return Default{0.4, 0.2, 0.7, spec.Ratio, practice} }

// DieCapacity is the heat capacity of a die with its first interface: with
// half the ladder's resistance a time constant of 0.05 to 0.3 s.
func DieCapacity() Default { return Default{3, 1, 12, spec.HeatCapacity, practice} }

// SpreaderCapacity is the heat capacity of a spreader: 1 to 3 s.
func SpreaderCapacity() Default { return Default{20, 8, 60, spec.HeatCapacity, practice} }

// ChipIdle is what a desktop chip draws when its work rests.
func ChipIdle() Default { return Default{15, 5, 40, spec.PowerFlow, practice} }

// Shutdown is the die temperature of a chip's own cut-out.
func Shutdown() Default {
	return Default{115 + zeroCelsius, 105 + zeroCelsius, 125 + zeroCelsius, spec.Temperature, practice}
}

// LeakageAt is the reference temperature of a leakage.
func LeakageAt() Default {
	return Default{60 + zeroCelsius, 40 + zeroCelsius, 85 + zeroCelsius, spec.Temperature, practice}
}

// LeakageGrowth is the relative growth of a leakage.
func LeakageGrowth() Default { return Default{0.015, 0.01, 0.02, spec.PerKelvin, practice} }

// DieToSpreader splits a ladder's resistance (K/W) and returns the two
// conductances from die to spreader and from spreader to plate, W/K.
func DieToSpreader(dieToPlate, dieShare float64) (dieSpreader, spreaderPlate float64) {
	return 1 / (dieToPlate * dieShare), 1 / (dieToPlate * (1 - dieShare))
}
