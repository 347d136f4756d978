package part

import (
	"math"

	"soakledger/sim/spec"
)

// BlockFilm is the conductance from a cold plate to its coolant near 4 L/min.
func BlockFilm() Default { return Default{50, 25, 120, spec.Conductance, practice} }

// PlateCapacity is the heat capacity of a cold plate: 0.1 to 0.25 kg of copper.
func PlateCapacity() Default { return Default{70, 38, 96, spec.HeatCapacity, practice} }

// BlockVolume is the coolant in a processor block.
func BlockVolume() Default { return Default{25e-6, 10e-6, 40e-6, spec.Volume, practice} }

// PumpFlow is the flow of a loop.
func PumpFlow() Default {
	return Default{4e-3 / 60, 2e-3 / 60, 5e-3 / 60, spec.VolumeFlow, practice}
}

// PumpPower is the electrical power of a pump; nearly all of it ends in the
// coolant of a wet-rotor pump.
func PumpPower() Default { return Default{10, 3, 23, spec.PowerFlow, practice} }

// PumpVolume is the coolant in a pump with its top.
func PumpVolume() Default { return Default{50e-6, 30e-6, 80e-6, spec.Volume, practice} }

// TubeBore is the inside diameter of a tube.
func TubeBore() Default { return Default{0.010, 0.0095, 0.0127, spec.Length, practice} }

// TubeLength is the length of one run of tube.
func TubeLength() Default { return Default{0.4, 0.15, 0.9, spec.Length, practice} }

// ReservoirVolume is the coolant in a reservoir of usual size.
func ReservoirVolume() Default { return Default{200e-6, 150e-6, 250e-6, spec.Volume, practice} }

// TubeVolume is the coolant in a tube of a bore and length (m), m3.
func TubeVolume(bore, length float64) float64 { return math.Pi / 4 * bore * bore * length }

// AxialConductance is the heat that neighbouring masses of coolant exchange
// without flow, W/K: conduction along a 10 mm bore over 50 mm of water
// (0.6 W/(m K)), so that a stopped loop still has a level.
const AxialConductance = 0.6 * math.Pi / 4 * 0.010 * 0.010 / 0.05

// JunctionVolume is the coolant in a fitting where several branches meet
// several others, m3 (common practice, no source).
const JunctionVolume = 5e-6
