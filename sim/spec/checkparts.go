package spec

import (
	"fmt"
	"math"
	"reflect"
	"strings"
)

// maxSpeed is the largest ratio of a speed to the rated one: beyond it the
// laws that carry a rated curve to another speed carry nothing.
const maxSpeed = 1.5

// parts checks what the parts of all loops state, each by itself.
func (c *checker) parts() {
	for i := range c.s.Loops {
		loop := &c.s.Loops[i]
		if len(loop.Parts) == 0 {
			c.add(c.path(loop.Name, "loops", i), "a loop needs parts, for example {part: tube, bore: 10 mm, length: 450 mm}")
		}
		c.oneDrive(i)
	}
	for _, at := range c.placed {
		if at.part.Parallel() {
			c.branches(at.path, at.part)
			continue
		}
		c.part(at)
	}
}

func (c *checker) part(at placedPart) {
	p, path := at.part, at.path
	if p.Kind == "" {
		c.add(path, "part is missing: write what it is, %s", orList(partKinds()))
	}
	if at.branch && p.Kind == "pump" {
		c.add(path, "a pump inside a branch is not modelled: put it before or behind the parallel element")
	}
	c.onlyItsKind(path, p)
	if p.Fitting != nil {
		c.fitting(path, p)
		return
	}
	c.weights(path, p)
	c.ownPower(path, "power", p.Power, p.Work)
	switch {
	case p.Pump != nil:
		c.pump(path, p.Pump)
	case p.Block != nil:
		c.block(path, p.Block)
	case p.Radiator != nil:
		c.radiator(path, p.Radiator)
	}
}

func partKinds() []string {
	var names []string
	for _, k := range sectionOfPart().Kinds {
		names = append(names, k.Name)
	}
	return names
}

func sectionOfPart() *Section {
	loops, _ := root.Field("loops")
	parts, _ := loops.Section.Field("parts")
	return parts.Section
}

// onlyItsKind finds data of another kind, which only a program can leave.
func (c *checker) onlyItsKind(path string, p *Part) {
	v := reflect.ValueOf(p).Elem()
	for _, k := range sectionOfPart().Kinds {
		if p.Kind != "" && k.Name != p.Kind && !v.Field(k.index).IsNil() {
			c.add(path, "it is a %s and holds the data of a %s as well", p.Kind, k.Name)
		}
	}
}

// branches checks a parallel element, which has nothing but its branches.
func (c *checker) branches(path string, p *Part) {
	alone := *p
	alone.Branches = nil
	if !reflect.ValueOf(alone).IsZero() {
		c.add(path, "an element is either a part or parallel branches, and a parallel element has no other keys")
	}
	if len(p.Branches) < 2 {
		c.add(path+".parallel", "it needs at least two branches, for example parallel: %s", sectionOfPart().Branches.Example)
	}
	for i, branch := range p.Branches {
		if len(branch.Parts) == 0 {
			c.add(fmt.Sprintf("%s.parallel[%d]", path, i), "a branch needs parts, for example [{part: tube, bore: 10 mm, length: 450 mm}]")
		}
	}
}

// weights checks the two weighings that tell how much coolant a part holds.
func (c *checker) weights(path string, p *Part) {
	switch {
	case p.Empty.Set != p.Full.Set:
		c.add(path, "empty and full come together, since the difference is the coolant: write empty: 780 g, full: 940 g")
	case p.Empty.Set && p.Holds.Set:
		c.add(path, "holds and the weights empty and full state the same thing: keep holds or the weights")
	case p.Empty.Set && p.Full.Value <= p.Empty.Value:
		c.add(path+".full", "a part weighs more when it is full than when it is empty: check both weights")
	}
}

func (c *checker) pump(path string, p *Pump) {
	rows := []stated{
		{"head", p.Head.Set}, {"free_flow", p.FreeFlow.Set}, {"curve", len(p.Curve) > 0}, {"rated", p.Rated.Set}, {"speed", p.Speed.Set()},
		{"control", isStated(p.Control)},
	}
	if p.Flow.Set {
		c.excluded(path, "a pump with a fixed flow has no %s: leave flow out, and the flow follows from the pump and the loop, or keep flow alone", rows)
	} else if len(p.Curve) > 0 {
		c.excluded(path, "the curve says already what %s would: keep the curve or the other, not both", rows[:2])
	}
	c.speed(path+".speed", p.Speed, p.Rated)
	c.control(path, "control", &p.Control, p.Speed, p.Rated)
	var points [][2]Number
	for _, point := range p.Curve {
		points = append(points, [2]Number{point.Flow, point.Head})
	}
	if len(points) == 1 {
		c.add(path+".curve", "a curve needs at least two points, for example curve: [[0 L/h, 3.6 m], [500 L/h, 2.4 m]]")
	}
	c.points(path+".curve", points, curve{x: "flow", y: "head", direction: falling, example: "[500 L/h, 2.4 m]"})
}

// oneDrive refuses a ring in which one pump fixes the flow and another lets it
// follow from its head.
func (c *checker) oneDrive(loop int) {
	fixed := ""
	for _, at := range c.placed {
		if at.loop == loop && at.part.Pump != nil && at.part.Pump.Flow.Set {
			fixed = at.path
			break
		}
	}
	for _, at := range c.placed {
		p := at.part.Pump
		if fixed == "" || at.loop != loop || p == nil || p.Flow.Set {
			continue
		}
		if p.Head.Set || p.FreeFlow.Set || p.Curve != nil || p.Rated.Set || p.Speed.Set() || isStated(p.Control) {
			c.add(at.path, "%s fixes the flow of this ring, so a head has no say: give every pump of a ring its head, or every one the same flow", fixed)
		}
	}
}

// speed checks that a speed lies near enough to the rated one.
func (c *checker) speed(path string, s Speed, rated Number) {
	if s.Rate.Set && rated.Set && s.Rate.Value > maxSpeed*rated.Value*(1+1e-9) {
		c.add(path, "it is more than %v %% of the rated speed, too far for the laws of pumps and fans: check speed and rated", maxSpeed*100)
	}
}

// fitting checks small losses. They have no mass or coolant of their own, so
// that nothing that rests on these has a place.
func (c *checker) fitting(path string, p *Part) {
	c.excluded(path, "a fitting has no coolant and no mass of its own, so it can have no %s: state that on the part beside it, or on a lump with a link to it", []stated{
		{"holds", p.Holds.Set}, {"empty", p.Empty.Set}, {"full", p.Full.Set}, {"power", p.Power.Set()}, {"work", p.Work != ""},
	})
	f := p.Fitting
	if len(f.Drop) > 0 {
		c.excluded(path, "the measured drop says already what %s would: keep drop or the other, not both", []stated{{"bore", f.Bore.Set}, {"loss", f.Loss.Set}})
	}
	c.drops(path, f.Drop)
}

func (c *checker) block(path string, b *Block) {
	if b.PlateMass.Set && b.PlateCapacity.Set {
		c.add(path, "plate_mass and plate_capacity state the same thing: keep one")
	}
	c.drops(path, b.Drop)
}

func (c *checker) radiator(path string, r *Radiator) {
	if r.Conductance.Set {
		c.excluded(path, "conductance holds whatever the fans do, so it leaves no room for %s: keep it alone, or give what was measured at a speed as points: [[1000 rpm, 18 W/K]]", []stated{
			{"points", len(r.Points) > 0}, {"core", r.Core != (Core{})}, {"core_factor", r.CoreFactor.Set},
		})
	}
	if r.Size.Set {
		c.size(path+".size", r.Size.Value)
	}
	c.core(path, r)
	c.fans(path+".fans", &r.Fans)
	c.airSides(path, r)
	var points [][2]Number
	for _, point := range r.Points {
		points = append(points, [2]Number{point.Speed, point.Conductance})
	}
	c.points(path+".points", points, curve{x: "speed", y: "conductance", direction: notFalling, example: "[1300 rpm, 21 W/K]"})
	c.drops(path, r.Drop)
}

// size checks that a radiator is a row of fans of one of the usual sizes.
func (c *checker) size(path string, x float64) {
	const tolerance = 1e-6 // m; far below any ruler, far above rounding
	radiator, _ := sectionOfPart().Kind("radiator")
	field, _ := radiator.Section.Field("size")
	if !(x >= field.Min && x <= field.Max) {
		return // a problem of its own
	}
	below, above := 0.0, math.Inf(1)
	for _, fan := range []float64{0.12, 0.14} {
		if math.Abs(x-math.Round(x/fan)*fan) <= tolerance {
			return
		}
		below = max(below, math.Floor(x/fan)*fan)
		above = min(above, (math.Floor(x/fan)+1)*fan)
	}
	var near []string
	for _, size := range []float64{below, above} {
		if size >= field.Min && size <= field.Max {
			near = append(near, fmt.Sprintf("%.0f mm", size*1000))
		}
	}
	c.report(&Problem{Path: path, Given: NumberValue(x), Text: "a size is a multiple of 120 mm or of 140 mm, the length of a row of fans: nearest to this: " +
		strings.Join(near, " and ") + ". Any other face is stated by core: {face: {width: 300 mm, height: 200 mm}}"})
}

// drops checks the pressure drop of a part.
func (c *checker) drops(path string, list []FlowDrop) {
	var points [][2]Number
	for _, point := range list {
		points = append(points, [2]Number{point.Flow, point.Drop})
	}
	c.points(path+".drop", points, curve{x: "flow", y: "drop", direction: rising, example: "[4 L/min, 12 kPa]"})
}

// excluded reports the keys of a list that are stated although another key
// leaves no room for them. The format has one %s for them.
func (c *checker) excluded(path, format string, keys []stated) {
	var set []string
	for _, key := range keys {
		if key.set {
			set = append(set, key.key)
		}
	}
	if len(set) > 0 {
		c.add(path, format, orList(set))
	}
}
