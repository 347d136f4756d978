package network

// SettingDescription is a setting with its present value. By names the drive that it
// follows, or the air; it is empty if it is an input.
type SettingDescription struct {
	Name             string
	Low, High, Value float64
	By               string
}

// DriveDescription is a drive with its present speed. If it is Free, it follows its law,
// which is no plain data, and all that is described holds at that speed
// only; otherwise all holds at every state.
//
// The input of the law is the sum of the terms, or, if there are several sums, w log(sum exp(sum/w)) with w = 0.05 K.
type DriveDescription struct {
	Name             string
	Low, High, Speed float64
	Free             bool
	Sums             [][]DriveTermDescription
	Settings         []string // that have its speed
	Air              bool     // passes and streams of air follow it
}

// DriveTermDescription is Weight times the temperature (K) of a node, or, if State is
// named, times an auxiliary state.
type DriveTermDescription struct {
	Node, State string
	Weight      float64
}

// describeDrives adds settings and drives.
func (n *Network) describeDrives(d *Description) {
	for k, s := range n.settings {
		d.Settings = append(d.Settings, SettingDescription{s.name, s.low, s.high, n.in.Setting[k], s.drivenBy})
	}
	for i := range n.drives {
		l := &n.drives[i]
		drive := DriveDescription{Name: l.name, Low: l.low, High: l.high, Speed: l.speed, Free: !l.frozen}
		for _, terms := range l.terms {
			var sum []DriveTermDescription
			for _, t := range terms {
				term := DriveTermDescription{Weight: t.weight}
				if t.node >= 0 {
					term.Node = n.nodeName(t.node)
				} else {
					term.State = n.auxiliaries[int(t.state)-len(n.names)].name
				}
				sum = append(sum, term)
			}
			drive.Sums = append(drive.Sums, sum)
		}
		for _, s := range l.settings {
			drive.Settings = append(drive.Settings, n.settings[s].name)
		}
		if n.airBy != nil {
			for _, k := range n.airBy.drives {
				drive.Air = drive.Air || int(k) == i
			}
		}
		d.Drives = append(d.Drives, drive)
	}
}
