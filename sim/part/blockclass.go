package part

import "soakledger/sim/spec"

// BlockClass holds what is usual for a kind of block.
type BlockClass struct {
	Name          string
	Film          Default // plate to coolant near 4 L/min, W/K
	PlateCapacity Default // of the metal close to the chip, J/K
	Mass          Default // of all metal, kg
	Holds         Default // m3
}

// BlockMass is the metal of a processor block, of which the plate is 0.1 to
// 0.25 kg.
func BlockMass() Default { return Default{0.35, 0.25, 0.5, spec.Mass, practice} }

// BlockClasses returns the kinds of block.
func BlockClasses() []BlockClass {
	return []BlockClass{
		{"processor block", BlockFilm(), PlateCapacity(), BlockMass(), BlockVolume()},
		{
			Name:          "full-cover block",
			Film:          Default{80, 40, 200, spec.Conductance, practice},
			PlateCapacity: Default{250, 190, 340, spec.HeatCapacity, practice},
			Mass:          Default{0.7, 0.5, 0.9, spec.Mass, practice},
			Holds:         Default{65e-6, 40e-6, 90e-6, spec.Volume, practice},
		},
	}
}

// BlockClassNamed returns the kind called word. The error lists the words.
func BlockClassNamed(word string) (BlockClass, error) {
	return named("block", word, BlockClasses(), func(c BlockClass) string { return c.Name })
}

// ReservoirClass is a word for a reservoir's size.
type ReservoirClass struct {
	Name   string
	Volume Default // m3
}

// ReservoirClasses returns the sizes of reservoir.
func ReservoirClasses() []ReservoirClass {
	return []ReservoirClass{
		{"small", Default{75e-6, 50e-6, 100e-6, spec.Volume, practice}},
		{"typical", ReservoirVolume()},
		{"large", Default{450e-6, 350e-6, 600e-6, spec.Volume, practice}},
	}
}

// ReservoirClassNamed returns the size called word. The error lists the words.
func ReservoirClassNamed(word string) (ReservoirClass, error) {
	return named("reservoir", word, ReservoirClasses(), func(c ReservoirClass) string { return c.Name })
}

// ReservoirMass is the mass of a reservoir of plastic; one of glass weighs
// more.
func ReservoirMass() Default { return Default{0.35, 0.2, 0.6, spec.Mass, practice} }

// PumpTied is the share of a pump's mass that follows the coolant's
// temperature.
func PumpTied() Default { return Default{0.5, 0.3, 0.7, spec.Ratio, practice} }

// TubeWall is the thickness of a tube's wall.
func TubeWall() Default { return Default{0.002, 0.0015, 0.003, spec.Length, practice} }
