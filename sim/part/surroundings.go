package part

import "soakledger/sim/spec"

// RoomCapacity is the heat capacity of a room of about 30 m3: air and the skin
// of its furnishings.
func RoomCapacity() Default { return Default{300e3, 200e3, 500e3, spec.HeatCapacity, practice} }

// RoomConductance is what such a room loses to its surroundings.
func RoomConductance() Default { return Default{40, 30, 80, spec.Conductance, practice} }

// CaseCapacity is the heat capacity of a case: its air, steel and boards.
func CaseCapacity() Default { return Default{5e3, 3e3, 6e3, spec.HeatCapacity, practice} }

// CaseConductance is what a case gives to the room, by its panels and the air
// that its fans change.
func CaseConductance() Default { return Default{5, 3, 10, spec.Conductance, practice} }

// FanSpeed is the speed of a radiator's fans.
func FanSpeed() Default {
	return Default{1000. / 60, 500. / 60, 1850. / 60, spec.RotationSpeed, practice}
}

// RadiatorLength is the length of a radiator's fan side: two sections of
// 120 mm.
func RadiatorLength() Default { return Default{0.240, 0.120, 0.480, spec.Length, practice} }

// ElbowLoss is the loss coefficient of a sharp quarter turn.
func ElbowLoss() Default { return Default{1.2, 0.7, 2, spec.Factor, practice} }

// BendLoss is the loss coefficient of a quarter turn that a tube is bent to.
func BendLoss() Default { return Default{0.3, 0.15, 0.6, spec.Factor, practice} }

// PumpTie is the conductance between a pump's coolant and the share of its
// metal that follows it.
func PumpTie() Default { return Default{15, 5, 40, spec.Conductance, practice} }

// FittingMass is the mass of one fitting of a class, of brass.
func FittingMass(class string) Default {
	switch class {
	case "elbow":
		return Default{0.045, 0.03, 0.07, spec.Mass, practice}
	case "coupling pair":
		return Default{0.12, 0.08, 0.18, spec.Mass, practice}
	}
	return Default{0.035, 0.02, 0.05, spec.Mass, practice}
}

// FittingTie is the conductance between one fitting and the coolant in it.
func FittingTie() Default { return Default{5, 2, 15, spec.Conductance, practice} }

// BlockTie is the conductance between a block's coolant and its metal beside
// the plate: cover, frame, screws.
func BlockTie() Default { return Default{20, 8, 60, spec.Conductance, practice} }
