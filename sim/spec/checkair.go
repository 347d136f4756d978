package spec

import (
	"slices"
	"strings"
)

// fans checks the row of fans on a radiator.
func (c *checker) fans(path string, f *Fans) {
	c.speed(path+".speed", f.Speed, f.Rated)
	c.control(path, "curve", &f.Curve, f.Speed, f.Rated)
	c.fanCurve(path, f.Points, []stated{{"airflow", f.Airflow.Set}, {"pressure", f.Pressure.Set}, {"shape", f.Shape.Set}})
	if f.Failed.Set && f.Count.Set && f.Failed.Value > f.Count.Value {
		c.add(path+".failed", "more fans stand than there are: count says %v", f.Count.Value)
	}
	if f.Stop.Set && f.Rated.Set && f.Stop.Value > f.Rated.Value {
		c.add(path+".stop", "fans whose slowest speed lies above the rated one never run: check stop and rated")
	}
	if f.Start.Set && f.Stop.Set && f.Start.Value < f.Stop.Value {
		c.add(path+".start", "fans need more to start than to go on: check start and stop, for example start: 400 rpm, stop: 250 rpm")
	}
}

// fanCurve checks the points of a fan's pressure against its airflow, which
// leave no room for the keys of others.
func (c *checker) fanCurve(path string, list []AirflowPressure, others []stated) {
	if len(list) == 0 {
		return
	}
	c.excluded(path, "the points say already what %s would: keep the points or the other, not both", others)
	if len(list) == 1 {
		c.add(path+".points", "a curve needs at least two points, for example points: [[0 m3/h, 20 Pa], [95 m3/h, 0 Pa]]")
	}
	var points [][2]Number
	for _, p := range list {
		points = append(points, [2]Number{p.Airflow, p.Pressure})
	}
	c.points(path+".points", points, curve{x: "airflow", y: "pressure", direction: falling, example: "[60 m3/h, 9 Pa]"})
}

// airSides checks where a radiator's air comes from and goes to.
func (c *checker) airSides(path string, r *Radiator) {
	b := r.Breathes
	const example = "for example {from: room, share: 70 %, rest: case}"
	switch {
	case b.From == "" && (b.Share.Set || b.Rest != ""):
		c.add(path+".breathes", "it needs from, where the air comes from, %s", example)
	case b.Share.Set && b.Share.Value < 1 && b.Rest == "":
		c.add(path+".breathes", "a share needs rest, where the remaining air comes from, %s", example)
	case b.Rest != "" && !b.Share.Set:
		c.add(path+".breathes", "rest needs share, the part of the air that comes from %s, %s", shortened(b.From), example)
	case b.Rest != "" && b.Rest == b.From:
		c.add(path+".breathes.rest", "from and rest name the same air: leave share and rest out")
	}
	if c.s.Case != nil {
		return
	}
	for _, side := range []struct{ key, word string }{{"breathes.from", b.From}, {"breathes.rest", b.Rest}, {"exhausts", r.Exhausts}} {
		if side.word == "case" {
			c.add(path+"."+side.key, "the file has no case: section, so there is no air of a case: add case: {} for the usual figures, or write room")
		}
	}
	if r.Mount != "" && r.Mount != "outside" {
		c.add(path+".mount", "the file has no case: section to hang it in: add case: {} for the usual figures, or write mount: outside")
	}
}

// breaths checks that every radiator named by another one is there, and that
// no air goes round in a circle.
func (c *checker) breaths() {
	refers := map[string][]string{}
	place := map[[2]string]string{} // of each reference, from whom to whom
	for _, at := range c.placed {
		r := at.part.Radiator
		if r == nil {
			continue
		}
		for _, side := range []struct{ key, word string }{{"from", r.Breathes.From}, {"rest", r.Breathes.Rest}} {
			path := at.path + ".breathes." + side.key
			if side.word == "" || side.word == "room" || side.word == "case" || !c.isRadiator(path, side.word) {
				continue
			}
			name := at.part.Name
			refers[name] = append(refers[name], side.word)
			place[[2]string{name, side.word}] = path
		}
	}
	done := map[string]bool{}
	for _, at := range c.placed {
		circles(refers, at.part.Name, nil, done, func(circle []string) {
			path := place[[2]string{circle[0], circle[1]}]
			if len(circle) == 2 {
				c.add(path, "it breathes its own exhaust: write room or case here, and how much of the exhaust comes back as recirculation: 10 %%")
				return
			}
			c.add(path, "the air goes round in a circle (%s): write room or case at one of them", joined(circle))
		})
	}
}

// isRadiator reports whether a radiator bears the name, and a problem if none
// does.
func (c *checker) isRadiator(path, name string) bool {
	kind := c.kinds[name]
	if kind == "radiator" {
		return true
	}
	if !c.full() {
		radiator := func(kind string) bool { return kind == "radiator" }
		c.report(&Problem{Path: path, Given: TextValue(name), Text: c.noSuch(name, kind, "a radiator, room or case", radiator, "room", "case")})
	}
	return false
}

// joined writes a circle of radiators as the way of the air, against the order
// in which they refer to one another.
func joined(circle []string) string {
	way := slices.Clone(circle)
	slices.Reverse(way)
	return strings.Join(way, " to ")
}

// caseFans checks the fans of the case itself.
func (c *checker) caseFans() {
	if c.s.Case == nil {
		return
	}
	for i := range c.s.Case.Fans {
		f := &c.s.Case.Fans[i]
		path := c.path(f.Name, "case.fans", i)
		if f.Moves == "" {
			c.add(path, "a fan of the case needs moves, in or out, for example {name: rear, size: 140 mm, speed: 700 rpm, moves: out}")
		}
		c.speed(path+".speed", f.Speed, f.Rated)
		c.control(path, "curve", &f.Curve, f.Speed, f.Rated)
		c.fanCurve(path, f.Points, []stated{{"airflow", f.Airflow.Set}, {"pressure", f.Pressure.Set}, {"shape", f.Shape.Set}})
	}
}

// ambient checks that the room's temperature is stated in one way.
func (c *checker) ambient() {
	a := &c.s.Ambient
	var ways []string
	for _, way := range []stated{{"temperature", a.Temperature.Set}, {"schedule", len(a.Schedule) > 0}, {"log", a.Log != Log{}}} {
		if way.set {
			ways = append(ways, way.key)
		}
	}
	switch last := len(ways) - 1; {
	case last == 1:
		c.add("ambient."+ways[1], "%s and %s state the same thing: keep one of the two", ways[0], ways[1])
	case last > 1:
		c.add("ambient."+ways[last], "%s and %s state the same thing: keep one of them", strings.Join(ways[:last], ", "), ways[last])
	}
	c.schedule()
	c.log("ambient.log", &a.Log)
}

// schedule checks the room's temperature over time.
func (c *checker) schedule() {
	a := &c.s.Ambient
	if len(a.Schedule) == 0 {
		return
	}
	if first := a.Schedule[0].Time; first.Set && first.Value > 0 {
		c.add("ambient.schedule[0].time", "a schedule begins with the run: write its first point at 0 h, for example [0 h, 22 degC]")
	}
	var points [][2]Number
	for _, p := range a.Schedule {
		points = append(points, [2]Number{p.Time, p.Temperature})
	}
	c.points("ambient.schedule", points, curve{x: "time", y: "temperature", direction: free, example: "[3 h, 32 degC]"})
}
