package spec

// inch is the length that fins are counted along, m.
const inch = 0.0254

// core checks the geometry of a radiator: against its short forms, and what
// cannot be built whatever the rest is.
func (c *checker) core(path string, r *Radiator) {
	k := &r.Core
	at := path + ".core"
	twice := func(short string, both bool) {
		if both {
			c.add(at+"."+short, "%s beside core is short for core.%s, and both are stated: keep one of the two", short, short)
		}
	}
	twice("thickness", r.Thickness.Set && k.Thickness.Set)
	twice("fins_per_inch", r.FinsPerInch.Set && k.FinsPerInch.Set)
	switch face := k.Face; {
	case r.Size.Set && (face.Width.Set || face.Height.Set):
		c.add(at+".face", "size says already how large the face is: keep size or core.face, not both")
	case face.Width.Set != face.Height.Set:
		c.add(at+".face", "a face needs both width and height, for example {width: 420 mm, height: 140 mm}")
	}
	c.finStyle(at, k)
	c.coreFits(at, r)
}

// finStyle checks that what only one kind of fin has stands beside that kind.
func (c *checker) finStyle(path string, k *Core) {
	for _, of := range []struct {
		fins string
		keys []stated
	}{
		{"louvred", []stated{{"louvre_pitch", k.LouvrePitch.Set}, {"louvre_length", k.LouvreLength.Set}, {"louvre_angle", k.LouvreAngle.Set}}},
		{"strip", []stated{{"strip_length", k.StripLength.Set}}},
	} {
		if k.Fins == of.fins {
			continue
		}
		for _, key := range of.keys {
			if key.set {
				c.add(path+"."+key.key, "only %s fins have it: write fins: %s beside it, or leave it out", of.fins, of.fins)
			}
		}
	}
}

// coreFits checks stated lengths of a core against one another.
func (c *checker) coreFits(path string, r *Radiator) {
	k := &r.Core
	thickness, density := either(k.Thickness, r.Thickness), either(k.FinsPerInch, r.FinsPerInch)
	if k.Depth.Set && thickness.Set && k.Depth.Value > thickness.Value {
		c.add(path+".depth", "fins and tubes are at most as deep as the radiator is thick: for example thickness: 28 mm, depth: 24 mm")
	}
	depth := either(k.Depth, thickness)
	fits := func(key string, inner, outer float64, both bool, text string) {
		if both && inner >= outer {
			c.add(path+"."+key, "%s", text)
		}
	}
	fits("tube_thickness", k.TubeThickness.Value, k.TubePitch.Value, k.TubeThickness.Set && k.TubePitch.Set,
		"tubes as thick as their pitch leave no room for fins: for example tube_pitch: 10 mm, tube_thickness: 2 mm")
	fits("tube_wall", 2*k.TubeWall.Value, k.TubeThickness.Value, k.TubeWall.Set && k.TubeThickness.Set,
		"two walls as thick as the tube leave no room for coolant: for example tube_thickness: 2 mm, tube_wall: 0.2 mm")
	fits("fin_thickness", k.FinThickness.Value*density.Value, inch, k.FinThickness.Set && density.Set,
		"fins as thick as their pitch leave no room for air: for example fins_per_inch: 14, fin_thickness: 0.05 mm")
	fits("louvre_pitch", k.LouvrePitch.Value, depth.Value, k.LouvrePitch.Set && depth.Set,
		"louvres follow one another in the depth of the core, and one of them is as deep as all of it: for example louvre_pitch: 1.2 mm")
	fits("louvre_length", k.LouvreLength.Value, k.TubePitch.Value-k.TubeThickness.Value, k.LouvreLength.Set && k.TubePitch.Set && k.TubeThickness.Set,
		"a louvre is shorter than the way from tube to tube, tube_pitch less tube_thickness: for example louvre_length: 6.5 mm")
	fits("strip_length", k.StripLength.Value, depth.Value, k.StripLength.Set && depth.Set,
		"strips follow one another in the depth of the core, and one of them is as deep as all of it: for example strip_length: 3 mm")
}

// either returns the first of two spellings of a number that is stated.
func either(a, b Number) Number {
	if a.Set {
		return a
	}
	return b
}
