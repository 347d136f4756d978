package part

// airEntries lists the defaults of fans and of the ways of air.
func airEntries() []Entry {
	e := []Entry{
		{"fan", "", "shape of the curve", FanShape()}, {"fan", "", "loss standing over shut-off at free flow", StandingFan()},
		{"fan", "push, no gap", "share of the face", FaceShare(Push, 0)},
		{"fan", "push, 20 mm gap", "share of the face", FaceShare(Push, shroudGap)},
		{"fan", "pull or push-pull", "share of the face", FaceShare(Pull, 0)},
	}
	for _, c := range FanClasses() {
		e = append(e,
			Entry{"fan", c.Name, "airflow", c.Free}, Entry{"fan", c.Name, "pressure", c.ShutOff},
			Entry{"fan", c.Name, "rated", c.Rated}, Entry{"fan", c.Name, "noise", c.Noise},
			Entry{"fan", c.Name, "power", c.Power}, Entry{"fan", c.Name, "start", c.Start},
			Entry{"fan", c.Name, "stop", c.Stop}, Entry{"fan", c.Name, "spin_up", c.SpinUp})
	}
	e = append(e, Entry{"vent", "", "area", VentArea()})
	return append(append(e, lossEntries("grille", GrilleClasses())...), lossEntries("filter", FilterClasses())...)
}

// lossEntries lists classes but for the one that has no loss.
func lossEntries(part string, classes []AirLossClass) []Entry {
	var e []Entry
	for _, c := range classes {
		if c.Loss.High > 0 {
			e = append(e, Entry{part, c.Name, "loss", c.Loss})
		}
	}
	return e
}
