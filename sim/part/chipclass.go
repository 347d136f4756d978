package part

import (
	"slices"

	"soakledger/sim/spec"
)

// ChipClass holds what is usual for a kind of chip. Where a chip has no
// spreader, spreader stands for the middle of the plate on which the die lies.
type ChipClass struct {
	Name             string
	DieToPlate       Default // K/W
	DieShare         Default
	DieCapacity      Default // J/K
	SpreaderCapacity Default // J/K
	Idle             Default // W
	Sustained        Default // W
	Throttle         Default // K
	Shutdown         Default // K
}

// ProcessorThrottle is the die temperature at which a processor begins to
// throttle.
func ProcessorThrottle() Default { return celsius(95, 90, 100) }

// GraphicsThrottle is the core temperature at which a graphics chip begins to
// throttle; its hot spot is 8 to 15 K above.
func GraphicsThrottle() Default { return celsius(87, 83, 95) }

func celsius(value, low, high float64) Default {
	return Default{value + zeroCelsius, low + zeroCelsius, high + zeroCelsius, spec.Temperature, practice}
}

// RegulatorShare is the heat of a graphics card's regulators and memory in the
// same block, as a share of the card's power.
func RegulatorShare() Default { return Default{0.12, 0.10, 0.15, spec.Ratio, practice} }

// DesktopChip is a desktop processor with a spreader, of any size of die.
func DesktopChip() ChipClass {
	return ChipClass{
		Name:             "desktop with spreader",
		DieToPlate:       DieToPlate(),
		DieShare:         DieShare(),
		DieCapacity:      DieCapacity(),
		SpreaderCapacity: SpreaderCapacity(),
		Idle:             ChipIdle(),
		Sustained:        Default{125, 65, 250, spec.PowerFlow, practice},
		Throttle:         ProcessorThrottle(),
		Shutdown:         Shutdown(),
	}
}

// CompactChip is a desktop processor of a small and dense, or an older, die
// under a spreader.
func CompactChip() ChipClass {
	c := DesktopChip()
	c.Name = "compact desktop"
	c.DieToPlate = Default{0.20, 0.14, 0.30, spec.Resistance, practice}
	c.DieCapacity = Default{1.5, 0.8, 4, spec.HeatCapacity, practice}
	c.SpreaderCapacity = Default{15, 8, 30, spec.HeatCapacity, practice}
	c.Sustained = Default{105, 65, 200, spec.PowerFlow, practice}
	return c
}

// WorkstationChip is a processor of many dies under a large spreader.
func WorkstationChip() ChipClass {
	c := DesktopChip()
	c.Name = "workstation"
	c.DieToPlate = Default{0.055, 0.04, 0.07, spec.Resistance, practice}
	c.DieCapacity = Default{8, 4, 20, spec.HeatCapacity, practice}
	c.SpreaderCapacity = Default{60, 30, 90, spec.HeatCapacity, practice}
	c.Idle = Default{60, 30, 110, spec.PowerFlow, practice}
	c.Sustained = Default{350, 280, 500, spec.PowerFlow, practice}
	return c
}

// GraphicsChip is a graphics chip whose bare die lies on the plate.
func GraphicsChip() ChipClass {
	c := DesktopChip()
	c.Name = "bare die graphics"
	c.DieToPlate = Default{0.045, 0.03, 0.06, spec.Resistance, practice}
	c.DieShare = Default{0.5, 0.3, 0.7, spec.Ratio, practice}
	c.DieCapacity = Default{4, 2, 12, spec.HeatCapacity, practice}
	c.SpreaderCapacity = Default{50, 30, 100, spec.HeatCapacity, practice}
	c.Idle = Default{15, 10, 30, spec.PowerFlow, practice}
	c.Sustained = Default{320, 200, 450, spec.PowerFlow, practice}
	c.Throttle = GraphicsThrottle()
	return c
}

// chipClasses is what ChipClasses returns.
var chipClasses = []ChipClass{DesktopChip(), CompactChip(), WorkstationChip(), GraphicsChip()}

// ChipClasses returns the kinds of chip.
func ChipClasses() []ChipClass { return slices.Clone(chipClasses) }

// ChipClassNamed returns the kind called word. The error lists the words.
func ChipClassNamed(word string) (ChipClass, error) {
	return named("chip", word, chipClasses, func(c ChipClass) string { return c.Name })
}
