package spec

import "slices"

// fault checks one fault: when it happens, and that what it does fits what it
// is about.
func (c *checker) fault(i int) {
	f := &c.s.Faults[i]
	path := c.path(f.Name, "faults", i)
	c.exactlyOne(path, "at: 20 min or when: {node: coolant, above: 45 degC}",
		stated{"at", f.At.Set}, stated{"when", f.When != When{}})
	if f.When != (When{}) {
		c.observed(path+".when.node", f.When.Node)
		c.exactlyOne(path+".when", "above: 45 degC or below: 20 degC",
			stated{"above", f.When.Above.Set}, stated{"below", f.When.Below.Set})
	}
	if f.Speed.Set && f.Failed.Set {
		c.add(path, "speed and failed exclude each other: either all fans turn slower, or some of them stop")
	}
	effects := f.effects()
	switch {
	case len(effects) == 0 && !f.Ambient.Set:
		c.add(path, "nothing goes wrong: write what does, for example of: pump_1, speed: 0 %%, or ambient: 8 K")
	case len(effects) > 0 && f.Of == "":
		c.add(path, "%s needs of, the name of what it is about%s", effects[0].key, choose(c.namesOf(effects[0].fits)))
	case len(effects) == 0 && f.Of != "":
		c.add(path+".of", "the room's temperature is nobody's: leave of out, or write what happens to %s", shortened(f.Of))
	}
	if f.Of != "" && len(effects) > 0 {
		c.suffers(path, f, effects)
	}
}

// effect is one thing that a fault does to what it is of.
type effect struct {
	key    string
	wanted string // what it fits, in words
	fits   func(kind string) bool
}

// effects lists what the fault states; the warmer room, which is of nothing, is
// left out.
func (f *Fault) effects() []effect {
	kinds := func(names ...string) func(string) bool {
		return func(kind string) bool { return slices.Contains(names, kind) }
	}
	isPart := kinds(partKinds()...)
	var all []effect
	for _, e := range []struct {
		stated Number
		effect
	}{
		{f.Speed, effect{"speed", "a pump, radiator or fan", kinds("pump", "radiator", "fan")}},
		{f.Failed, effect{"failed", "a radiator or fan", kinds("radiator", "fan")}},
		{f.Blocked, effect{"blocked", "a radiator", kinds("radiator")}},
		{f.Restriction, effect{"restriction", "a tube, fitting, block, radiator or reservoir", func(kind string) bool { return isPart(kind) && kind != "pump" }}},
		{f.Lost, effect{"lost", "a loop or a part of it", func(kind string) bool { return isPart(kind) || kind == "loop" }}},
	} {
		if e.stated.Set {
			all = append(all, e.effect)
		}
	}
	return all
}

// suffers checks the effects of a fault against the thing that it names.
func (c *checker) suffers(path string, f *Fault, effects []effect) {
	kind, known := c.kinds[f.Of]
	for _, e := range effects {
		if known && e.fits(kind) || c.full() {
			continue
		}
		c.report(&Problem{Path: path + ".of", Given: TextValue(f.Of), Text: c.noSuch(f.Of, kind, e.wanted+", as "+e.key+" needs it", e.fits)})
		if !known {
			return
		}
	}
	count, turns := c.fansOf(f.Of)
	if (f.Speed.Set || f.Failed.Set) && !turns {
		c.add(path+".of", "%s states no fans, and its conductance holds whatever they do: state its fans and its points or core instead", shortened(f.Of))
	}
	if f.Failed.Set && count.Set && f.Failed.Value > count.Value {
		c.add(path+".failed", "more fans stop than there are: count of %s says %v", f.Of, count.Value)
	}
}

// fansOf returns how many fans the named thing states, and whether a fault of
// their speed does anything. A radiator has fans whether it states them or not,
// unless its conductance makes them idle.
func (c *checker) fansOf(name string) (count Number, turns bool) {
	for _, at := range c.placed {
		if r := at.part.Radiator; r != nil && at.part.Name == name {
			return r.Fans.Count, isStated(r.Fans) || !r.Conductance.Set
		}
	}
	if c.s.Case == nil {
		return Number{}, true
	}
	for i := range c.s.Case.Fans {
		if fan := &c.s.Case.Fans[i]; fan.Name == name {
			return fan.Count, true
		}
	}
	return Number{}, true
}
