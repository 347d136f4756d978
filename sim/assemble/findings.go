package assemble

import (
	"cmp"
	"fmt"
	"slices"

	"soakledger/sim/fluid"
	"soakledger/sim/spec"
)

// Finding is something about a scenario that is possible but unusual, with what
// to do about it.
type Finding struct {
	Path string // of the field or the thing it is about
	Text string // one line in trade units
}

// Findings lists what is unusual or missing in a plan, sorted by path. An empty
// list means that none of these few checks spoke, and nothing more.
func (p *Plan) Findings() []Finding {
	f := &finder{plan: p, s: p.Scenario, assumed: map[string]spec.Assumed{}}
	for _, a := range p.Assumed {
		f.assumed[a.Path] = a
	}
	f.ranges()
	f.coolant()
	f.dewPoint()
	f.air()
	for i := range p.Loops {
		f.loop(i)
	}
	slices.SortStableFunc(f.found, func(a, b Finding) int { return cmp.Compare(a.Path, b.Path) })
	return f.found
}

// finder collects the findings of one plan.
type finder struct {
	plan    *Plan
	s       *spec.Scenario // completed
	assumed map[string]spec.Assumed
	outside []outside
	found   []Finding
}

func (f *finder) add(path, format string, args ...any) {
	f.found = append(f.found, Finding{path, fmt.Sprintf(format, args...)})
}

// stated reports whether the field at a path was stated rather than filled in.
func (f *finder) stated(path string) bool {
	v, err := f.s.Get(path)
	_, filled := f.assumed[path]
	return err == nil && v.IsSet() && !filled
}

// Margins of the coolant and the room.
const (
	mostGlycol   = 0.5 // above it a coolant only thickens (common practice, no source)
	nearFreezing = 3.0 // K above the freezing point at which a room is called cold (common practice, no source)
	nearDewPoint = 2.0 // K above the dew point that is left as margin (common practice, no source)
)

// coolant looks at the mixture and at what the room does to it.
func (f *finder) coolant() {
	c := f.s.Coolant
	for _, share := range []struct {
		path string
		n    spec.Number
	}{{"coolant.mass_share", c.MassShare}, {"coolant.volume_share", c.VolumeShare}} {
		if share.n.Set && share.n.Value > mostGlycol {
			f.add(share.path, "%s of glycol is more than the 50 %% beyond which it carries less heat and pumps harder for little more frost protection; 20 to 40 %% is usual", trade(share.n.Value, spec.Ratio))
		}
	}
	if f.plan.Coolant == nil {
		return
	}
	room, ice := f.s.Ambient.Temperature.Value, f.plan.Coolant.FreezingPoint()
	if room < ice+nearFreezing {
		f.add("ambient.temperature", "%s is within %g K of the freezing point of %s, %s; take a larger share of glycol, or keep the machine warmer",
			trade(room, spec.Temperature), nearFreezing, f.plan.Coolant.Name(), trade(ice, spec.Temperature))
	}
}

// dewPoint looks at every temperature that is stated below the room's, where
// the room's humidity is known.
func (f *finder) dewPoint() {
	if !f.s.Ambient.Humidity.Set {
		return
	}
	room := f.s.Ambient.Temperature.Value
	dew := fluid.DewPoint(fluid.VapourPressure(room, f.s.Ambient.Humidity.Value))
	for _, n := range f.s.Start.Nodes {
		f.condenses("start."+n.Node, spec.Some(n.Temperature), room, dew)
	}
	for _, l := range f.s.Lumps {
		f.condenses(l.Name+".start", l.Start, room, dew)
		f.condenses(l.Name+".held_at", l.HeldAt, room, dew)
	}
}

// condenses tells of one temperature at which the room's air gives off water.
func (f *finder) condenses(path string, t spec.Number, room, dew float64) {
	if !t.Set || t.Value >= room || t.Value >= dew+nearDewPoint {
		return
	}
	where := "below"
	if t.Value >= dew {
		where = fmt.Sprintf("within %g K of", nearDewPoint)
	}
	f.add(path, "%s is %s the room's dew point of %s: water condenses there and drips; keep it above %s, or insulate it from the air",
		trade(t.Value, spec.Temperature), where, trade(dew, spec.Temperature), trade(dew+nearDewPoint, spec.Temperature))
}
