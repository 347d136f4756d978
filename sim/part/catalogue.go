package part

import "fmt"

// Entry is one documented default.
type Entry struct {
	Part   string // pump, tube, ...
	Class  string // large, slim, ...; empty where there is one figure for all
	Figure string // holds, bore, ...
	Default
}

// Catalogue returns every default of the package, part by part, from the same
// functions that fill a scenario.
func Catalogue() []Entry {
	var all []Entry
	for _, group := range [][]Entry{
		{{"ambient", "", "temperature", Ambient()}},
		surroundingsEntries(), chipEntries(), blockEntries(), pumpEntries(), tubeEntries(), reservoirEntries(), radiatorEntries(), CoreEntries(), resistanceEntries(), airEntries(),
	} {
		all = append(all, group...)
	}
	return all
}

func surroundingsEntries() []Entry {
	return []Entry{
		{"room", "", "capacity", RoomCapacity()}, {"room", "", "conductance", RoomConductance()},
		{"case", "", "volume", CaseVolume()}, {"case", "", "conductance", CaseConductance()},
		{"case", "", "boards.capacity", CaseBoards()}, {"case", "", "boards.conductance", CaseBoardsTie()},
		{"case", "", "chassis.capacity", CaseChassis()}, {"case", "", "chassis.conductance", CaseChassisTie()},
		{"case", "", "size of a fan", CaseFanSize()},
	}
}

func chipEntries() []Entry {
	var e []Entry
	for _, c := range ChipClasses() {
		e = append(e,
			Entry{"chip", c.Name, "die_to_plate", c.DieToPlate}, Entry{"chip", c.Name, "die_share", c.DieShare},
			Entry{"chip", c.Name, "die_capacity", c.DieCapacity}, Entry{"chip", c.Name, "spreader_capacity", c.SpreaderCapacity},
			Entry{"chip", c.Name, "idle", c.Idle}, Entry{"chip", c.Name, "sustained", c.Sustained},
			Entry{"chip", c.Name, "throttle.at", c.Throttle}, Entry{"chip", c.Name, "shutdown", c.Shutdown})
	}
	return append(e, Entry{"chip", "", "leakage.at", LeakageAt()}, Entry{"chip", "", "leakage.growth", LeakageGrowth()},
		Entry{"chip", "bare die graphics", "regulator_share", RegulatorShare()})
}

func blockEntries() []Entry {
	var e []Entry
	for _, c := range BlockClasses() {
		e = append(e,
			Entry{"block", c.Name, "film_conductance", c.Film}, Entry{"block", c.Name, "plate_capacity", c.PlateCapacity},
			Entry{"block", c.Name, "mass", c.Mass}, Entry{"block", c.Name, "holds", c.Holds})
	}
	return append(e, Entry{"block", "", "tie of the body", BlockTie()}, Entry{"block", "", "film_exponent", FilmExponent()}, Entry{"block", "", "film_floor", FilmFloor()})
}

func pumpEntries() []Entry {
	e := []Entry{
		{"pump", "", "flow", PumpFlow()}, {"pump", "", "power", PumpPower()}, {"pump", "", "holds", PumpVolume()},
		{"pump", "", "power_floor", PumpFloor()}, {"pump", "", "tied_share", PumpTied()},
		{"pump", "", "speed", PumpSpeed()}, {"pump", "", "coolant to metal", PumpTie()},
	}
	for _, c := range PumpClasses() {
		e = append(e,
			Entry{"pump", c.Name, "head", c.Head}, Entry{"pump", c.Name, "free_flow", c.Free},
			Entry{"pump", c.Name, "power", c.Power}, Entry{"pump", c.Name, "rated", c.Rated},
			Entry{"pump", c.Name, "holds", c.Holds}, Entry{"pump", c.Name, "mass", c.Mass})
	}
	return e
}

func tubeEntries() []Entry {
	return []Entry{
		{"tube", "", "bore", TubeBore()}, {"tube", "", "wall", TubeWall()}, {"tube", "", "length", TubeLength()},
		{"tube", "", "roughness", TubeRoughness()}, {"tube", "", "emissivity", WallEmissivity()},
		{"tube", "", "loss of a bend", BendLoss()},
		{"fitting", "", "loss", FittingLoss()}, {"fitting", "elbow", "loss", ElbowLoss()},
		{"fitting", "", "mass", FittingMass("fitting")}, {"fitting", "elbow", "mass", FittingMass("elbow")},
		{"fitting", "coupling pair", "mass", FittingMass("coupling pair")}, {"fitting", "", "tie of one", FittingTie()},
	}
}

func reservoirEntries() []Entry {
	var e []Entry
	for _, c := range ReservoirClasses() {
		e = append(e, Entry{"reservoir", c.Name, "volume", c.Volume})
	}
	return append(e, Entry{"reservoir", "", "mass", ReservoirMass()}, Entry{"reservoir", "", "tied_share", ReservoirTied()})
}

func radiatorEntries() []Entry {
	e := []Entry{
		{"radiator", "", "film_conductance over conductance", RadiatorFilm()}, {"radiator", "", "test_flow", RadiatorTestFlow()},
		{"radiator", "", "metal_capacity", RadiatorMetal()}, {"radiator", "", "holds", RadiatorVolume()},
		{"radiator", "", "size", RadiatorLength()}, {"radiator", "", "fans.speed", FanSpeed()},
		{"radiator", "", "cells", RadiatorCells()}, {"radiator", "", "growth with fan speed", RadiatorGrowth()},
		{"radiator", "in a case", "recirculation", Recirculation()}, {"radiator", "", "fans.depth", FanDepth()},
		{"radiator", "", "airflow_factor", AirflowFactor()}, {"radiator", "measured points", "core_factor", MeasuredFactor()},
		{"radiator", "", "airflow over free flow", AirflowShare()}, {"radiator", "section of 120 mm, no fans", "conductance", SectionPassive()},
	}
	for _, b := range sectionBand {
		e = append(e, Entry{"radiator", fmt.Sprintf("section of 120 mm, %g rpm", b.rpm), "conductance", SectionConductance(b.rpm/60, 0.120)})
	}
	for _, c := range ThicknessClasses() {
		e = append(e, Entry{"radiator", c.Name, "thickness", c.Thickness})
		for _, n := range []int{1, 2, 3, 4} {
			size := RadiatorSize{Sections: n, Section: 0.120, Thickness: c.Thickness.Value}
			class := fmt.Sprintf("%s %d mm", c.Name, 120*n)
			e = append(e, Entry{"radiator", class, "holds", size.Volume()}, Entry{"radiator", class, "mass", size.Mass()},
				Entry{"radiator", class, "metal_capacity", size.Capacity()})
		}
	}
	return e
}

func resistanceEntries() []Entry {
	var e []Entry
	for _, c := range ResistanceClasses() {
		e = append(e, Entry{"pressure drop", c.Name, "at 3.79 L/min", c.Drop})
	}
	return e
}
