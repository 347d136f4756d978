package part

import "soakledger/sim/spec"

// RoomCapacity is the heat capacity of a room of about 30 m3: air and the skin
// of its furnishings.
func RoomCapacity() Default { return Default{300e3, 200e3, 500e3, spec.HeatCapacity, practice} }

// RoomConductance is what such a room loses to its surroundings.
func RoomConductance() Default { return Default{40, 30, 80, spec.Conductance, practice} }

// CaseVolume is the inside of a case.
func CaseVolume() Default { return Default{45e-3, 10e-3, 80e-3, spec.Volume, practice} }

// CaseBoards is the heat capacity of the boards and drives in a case, which
// release the heat that no loop cools.
func CaseBoards() Default { return Default{1000, 500, 2000, spec.HeatCapacity, practice} }

// CaseBoardsTie is the conductance between boards and the air of the case.
func CaseBoardsTie() Default { return Default{8, 4, 16, spec.Conductance, practice} }

// CaseChassis is the heat capacity of a case's frame and panels, of steel.
func CaseChassis() Default { return Default{4e3, 2.5e3, 5e3, spec.HeatCapacity, practice} }

// CaseChassisTie is the conductance between frame and panels and the air inside.
func CaseChassisTie() Default { return Default{6, 3, 10, spec.Conductance, practice} }

// CaseConductance is what the panels give to the room by natural convection
// and radiation.
func CaseConductance() Default { return Default{5, 3, 8, spec.Conductance, practice} }

// Recirculation is the share of the air entering a radiator in a case that is
// its own exhaust, where nothing seals the way around it.
func Recirculation() Default { return Default{0.1, 0, 0.3, spec.Ratio, practice} }

// CaseFanSize is the frame of a case's fan.
func CaseFanSize() Default { return Default{0.120, 0.092, 0.140, spec.Length, practice} }

// FanDepth is the depth of a fan's frame.
func FanDepth() Default { return Default{0.025, 0.015, 0.038, spec.Length, practice} }

// AirflowFactor is true airflow over what fan curves and losses give: fans differ
// from their figures, and cables, gaps and walls near by are left out.
func AirflowFactor() Default { return Default{1, 0.85, 1.1, spec.Factor, practice} }

// MeasuredFactor is the true conductance of an air side that was corrected by
// measured points over the corrected one: a bench repeats to a few per cent.
func MeasuredFactor() Default { return Default{1, 0.95, 1.05, spec.Factor, practice} }

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
