package assemble

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// loop looks at one ring as a whole.
func (f *finder) loop(i int) {
	l := &f.s.Loops[i]
	f.flow(i, l)
	f.metals(l)
	for p := range l.All() {
		switch {
		case p.Radiator != nil:
			f.radiator(p)
			f.drop(p.Name, p.Radiator.Drop, "slim radiator", "thick radiator")
		case p.Block != nil && f.stated(p.Name+".class"):
			f.drop(p.Name, p.Block.Drop, p.Block.Class)
		case p.Block != nil:
			f.drop(p.Name, p.Block.Drop, "processor block", "full-cover block")
		}
	}
	f.masses(l, f.plan.Loops[i])
	f.volume(l)
}

// leastFlow is the flow below which blocks and radiators work well below their
// figures, m3/s (common practice, no source).
const leastFlow = 1e-3 / 60

// flow looks at a flow that is stated, or at what the pumps can drive.
func (f *finder) flow(i int, l *spec.Loop) {
	first := firstPump(l)
	switch usual := part.PumpFlow(); {
	case first == nil:
	case first.Pump.Flow.Set:
		q := first.Pump.Flow.Value
		if q > 0 && !(bounds{low: usual.Low, high: usual.High}).holds(q) {
			f.add(first.Name+".flow", "%s is outside the usual %s of a loop; check the unit, or leave it out and state the pump's head and free_flow",
				trade(q, spec.VolumeFlow), tradeRange(usual.Low, usual.High, spec.VolumeFlow))
		}
	case f.plan.Loops[i].Flow < leastFlow:
		f.weakPump(i, first)
	}
}

func firstPump(l *spec.Loop) *spec.Part {
	for p := range l.All() {
		if p.Pump != nil {
			return p
		}
	}
	return nil
}

// weakPump tells of a ring through which its pumps drive too little even at
// full speed.
func (f *finder) weakPump(i int, first *spec.Part) {
	fast := f.s.Clone()
	for p := range fast.Loops[i].All() {
		switch {
		case p.Pump == nil:
		case p.Pump.Speed.Rate.Set:
			p.Pump.Speed.Rate = spec.Some(max(p.Pump.Speed.Rate.Value, p.Pump.Rated.Value))
		default:
			p.Pump.Speed.Share = spec.Some(max(p.Pump.Speed.Share.Value, 1))
		}
	}
	plan, err := Build(fast)
	if err != nil || plan.Loops[i].Flow >= leastFlow {
		return
	}
	f.add(first.Name, "at full speed %s flow through this loop, and below %s blocks and radiators fall behind their figures: its head is small for the pressure drops here; take a pump of more head, a second one in series, or lead blocks side by side (parallel)",
		trade(plan.Loops[i].Flow, spec.VolumeFlow), trade(leastFlow, spec.VolumeFlow))
}

// metals looks for aluminium beside copper or brass in one coolant.
func (f *finder) metals(l *spec.Loop) {
	var words, of []string
	for p := range l.All() {
		for _, word := range wetted(p) {
			words, of = append(words, word), append(of, p.Name)
		}
	}
	with, mixed, err := part.MixedMetals(words...)
	if err != nil || !mixed {
		return
	}
	aluminium, other := slices.Index(words, part.Aluminium().Name), slices.Index(words, with)
	f.add(of[aluminium]+".material", "aluminium here and %s in %s share one coolant: the aluminium corrodes and its debris clogs fins; keep to one family of metals, or take a coolant inhibited for both and change it yearly",
		with, of[other])
}

// wetted returns the metals of a part that the coolant touches.
func wetted(p *spec.Part) []string {
	either := func(word, usual string) []string {
		if word == "" {
			word = usual
		}
		return strings.Split(word, " and ")
	}
	switch {
	case p.Block != nil:
		return either(p.Block.Material, part.Copper().Name)
	case p.Radiator != nil:
		return either(p.Radiator.Material, part.Copper().Name+" and "+part.Brass().Name)
	case p.Tube != nil:
		return []string{p.Tube.Material}
	}
	return nil
}

// loudFans is the speed of the fastest fans that radiators are tested with, in
// revolutions per second (common practice, no source).
const loudFans = 2500.0 / 60

// radiator looks for a conductance that is more than a radiator of the stated
// size carries on an open bench.
func (f *finder) radiator(p *spec.Part) {
	r := p.Radiator
	if !f.stated(p.Name + ".size") {
		return
	}
	if f.stated(p.Name + ".conductance") {
		f.band(p, p.Name+".conductance", r.Conductance.Value, orRated(fanRate(&r.Fans), loudFans))
	}
	for i, point := range r.Points {
		if f.band(p, fmt.Sprintf("%s.points[%d].conductance", p.Name, i), point.Conductance.Value, point.Speed.Value) {
			return // the others follow from the same mistake
		}
	}
}

// band tells of a conductance above the open-bench band at a fan speed.
func (f *finder) band(p *spec.Part, path string, stated, speed float64) bool {
	r := p.Radiator
	g := stated
	if r.Per == "mean" {
		rate := r.TestFlow.Value * part.TestWater().Density * part.TestSpecificHeat
		g = stated / (1 + stated/(2*rate))
	}
	at := *r
	at.Fans.Speed = spec.Speed{Rate: spec.Some(speed)}
	usual := usualConductance(&at)
	if g <= usual.High*(1+1e-9) {
		return false
	}
	f.add(path, "%s at %s is above the %s that %s of radiator usually carry, from small cases with grilles to open benches; check W/K against W per 10 K, and per: inlet or mean",
		trade(stated, spec.Conductance), trade(speed, spec.RotationSpeed), tradeRange(usual.Low, usual.High, spec.Conductance), trade(r.Size.Value, spec.Length))
	return true
}

// drop compares a stated pressure drop with those of the classes it may be of,
// at the flow at which these are quoted.
func (f *finder) drop(name string, points []spec.FlowDrop, classes ...string) {
	if len(points) == 0 || !f.stated(name+".drop[0].drop") {
		return
	}
	flow, drop := make([]float64, len(points)), make([]float64, len(points))
	for i, point := range points {
		flow[i], drop[i] = point.Flow.Value, point.Drop.Value
	}
	curve, err := part.NewPoints(flow, drop)
	if err != nil {
		return // a problem of the scenario, told where the loop is built
	}
	usual := bounds{low: math.Inf(1)}
	for _, word := range classes {
		if class, err := part.ResistanceClassNamed(word); err == nil {
			usual.low, usual.high = min(usual.low, class.Drop.Low), max(usual.high, class.Drop.High)
		}
	}
	if at, _ := curve.Drop(part.StatedFlow, part.TestWater()); !usual.holds(at) {
		f.add(name+".drop", "as stated it is %s at %s of water, outside the usual %s; check the unit of pressure and that of flow",
			trade(at, spec.Pressure), trade(part.StatedFlow, spec.VolumeFlow), tradeRange(usual.low, usual.high, spec.Pressure))
	}
}

// leastMetal is the share of a ring's heat capacity that its metal and walls
// have at the least; a third is usual (common practice, no source).
const leastMetal = 0.15

// masses looks for metal that was left out.
func (f *finder) masses(l *spec.Loop, ring Loop) {
	metal, coolant, largest, at := 0.0, 0.0, 0.0, ""
	t := f.s.Ambient.Temperature.Value
	for _, n := range f.plan.Nodes {
		if !slices.Contains(ring.Parts, n.Part) {
			continue
		}
		c := f.plan.Network.Capacity(n.Lump, t)
		switch n.Kind {
		case Metal, Wall:
			metal += c
		case CoolantCell:
			coolant += c
			if c > largest {
				largest, at = c, n.Part
			}
		}
	}
	if metal >= leastMetal*(metal+coolant) {
		return
	}
	text := fmt.Sprintf("most of its coolant is in %s; state what that stands in or touches as a lump with a link to %s.coolant", at, at)
	var low []string
	for _, o := range f.outside {
		if o.low && slices.Contains(ring.Parts, o.part) && strings.HasSuffix(o.key, "_capacity") {
			low = append(low, o.path)
		}
	}
	if len(low) > 0 {
		text = "it is missing in " + strings.Join(low, " and ") + "; state what these parts weigh, or leave it to the defaults"
	}
	f.add(l.Name, "metal and walls have only %.0f %% of the heat capacity of this loop, and a third is usual, so that it soaks too fast: %s", 100*metal/(metal+coolant), text)
}

// volume compares the coolant in a ring with what its parts usually hold. Parts
// differ independently, so their ranges add as squares.
func (f *finder) volume(l *spec.Loop) {
	var sum, usual, below, above float64
	for p := range l.All() {
		if slices.ContainsFunc(f.outside, func(o outside) bool { return o.part == p.Name && (o.key == "holds" || o.key == "volume") }) {
			return // said already
		}
		b, ok := f.usualVolume(p)
		if !ok {
			return
		}
		sum += f.held(p.Name)
		usual += b.value
		below, above = math.Hypot(below, b.value-b.low), math.Hypot(above, b.high-b.value)
	}
	if sum >= usual-below && sum <= usual+above {
		return
	}
	f.add(l.Name, "this loop holds %s, and its parts together usually %s; check what they hold, or weigh them empty and full",
		trade(sum, spec.Volume), tradeRange(usual-below, usual+above, spec.Volume))
}

// held returns the coolant in a part as it was assembled, m3.
func (f *finder) held(name string) float64 {
	t := f.s.Ambient.Temperature.Value
	sum := 0.0
	for _, n := range f.plan.Nodes {
		if n.Part == name && n.Kind == CoolantCell {
			sum += f.plan.Network.Capacity(n.Lump, t)
		}
	}
	return sum / (f.plan.Coolant.Density(t) * f.plan.Coolant.SpecificHeat(t))
}

// usualVolume returns what a part of its kind and size holds.
func (f *finder) usualVolume(p *spec.Part) (bounds, bool) {
	switch {
	case p.Fitting != nil:
		return bounds{}, true
	case p.Tube != nil:
		v := part.TubeVolume(p.Tube.Bore.Value, p.Tube.Length.Value)
		return bounds{v, v, v}, true
	case p.Reservoir != nil:
		classes := part.ReservoirClasses()
		return bounds{classes[0].Volume.Low, part.ReservoirVolume().Value, classes[len(classes)-1].Volume.High}, true
	}
	return f.usual(f.s, p.Name+".holds", p.Name+".empty", p.Name+".full")
}
