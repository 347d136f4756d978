package spec

import (
	"slices"
	"strings"
)

// rules checks the keys that exclude or need one another.
func (c *checker) rules() {
	c.coolant()
	c.ambient()
	c.otherHeat()
	c.caseFans()
	c.breaths()
	for i := range c.s.Chips {
		chip := &c.s.Chips[i]
		path := c.path(chip.Name, "chips", i)
		c.leakage(path, chip.Leakage)
		c.throttle(path, chip)
		c.limits(path, chip.Limits)
		c.ownPower(path, "power", chip.Power, chip.Work)
	}
	c.parts()
	for i := range c.s.Lumps {
		c.lump(i)
	}
	for i := range c.s.Links {
		c.link(i)
	}
	for i := range c.s.Work {
		c.work(i)
	}
	c.means()
	for i := range c.s.Faults {
		c.fault(i)
	}
}

// coolant checks the shares of a glycol and the figures of a constant fluid. An
// unknown fluid is a problem of its own and makes no others.
func (c *checker) coolant() {
	f := c.s.Coolant
	field, _ := root.Field("coolant")
	fluid, _ := field.Section.Field("fluid")
	if f.Fluid != "" && !slices.Contains(fluid.One, f.Fluid) {
		return
	}
	glycol := strings.HasSuffix(f.Fluid, "glycol")
	shares := f.MassShare.Set || f.VolumeShare.Set
	switch {
	case f.MassShare.Set && f.VolumeShare.Set:
		c.add("coolant", "mass_share and volume_share state the same thing: keep one")
	case glycol && !shares:
		c.add("coolant", "%s needs its share: write {fluid: %s, volume_share: 30 %%}, or mass_share", f.Fluid, f.Fluid)
	case shares && f.Fluid == "":
		c.add("coolant", "a share of what? Write fluid: ethylene glycol or fluid: propylene glycol beside it")
	case shares && !glycol:
		c.add("coolant", "%s has no glycol in it: leave the share out or name the glycol", f.Fluid)
	}
	switch {
	case f.Fluid == "constant" && !(f.Density.Set && f.SpecificHeat.Set):
		c.add("coolant", "a constant fluid needs both density and specific_heat, for example 998 kg/m3 and 4180 J/(kg K)")
	case f.Fluid != "constant" && (f.Density.Set || f.SpecificHeat.Set):
		c.add("coolant", "density and specific_heat belong to fluid: constant; other fluids have their own")
	}
}

func (c *checker) leakage(path string, l Leakage) {
	if !l.Power.Set && (l.At.Set || l.Growth.Set || l.Form != "") {
		c.add(path+".leakage", "it needs power, the leakage at the reference temperature, for example power: 30 W")
	}
}

// otherHeat checks what the case releases besides the loop.
func (c *checker) otherHeat() {
	k := c.s.Case
	switch {
	case k == nil:
	case k.OtherHeat.Share.Set && k.Work != "":
		c.add("case.work", "other_heat is a share of %s and follows the work of that: leave work out, or state other_heat in W", k.OtherHeat.Of)
	default:
		c.ownPower("case", "other_heat", k.OtherHeat, k.Work)
	}
}

// ownPower checks that a pattern of shares, or of on and off, finds a power to
// refer to under the given key.
func (c *checker) ownPower(path, key string, power Power, work string) {
	if power.Set() || work == "" {
		return
	}
	if c.relative(work) {
		c.add(path, "it needs %s, the full load that %s refers to, for example %s: 210 W", key, work, key)
	}
}

func (c *checker) lump(i int) {
	l := &c.s.Lumps[i]
	path := c.path(l.Name, "lumps", i)
	c.exactlyOne(path, "capacity: 300 kJ/K, holds: 1 L or held_at: 40 degC",
		stated{"capacity", l.Capacity.Set}, stated{"holds", l.Holds.Set}, stated{"held_at", l.HeldAt.Set})
	if l.HeldAt.Set && l.Start.Set {
		c.add(path, "nothing changes a lump with held_at: leave start out")
	}
	c.leakage(path, l.Leakage)
	c.ownPower(path, "power", l.Power, l.Work)
}

func (c *checker) link(i int) {
	l := &c.s.Links[i]
	path := c.path(l.Name, "links", i)
	if l.From == "" || l.To == "" {
		c.add(path, "a link needs from and to, for example from: case, to: ambient")
	}
	c.exactlyOne(path, "conductance: 5 W/K or flow: 4 L/min",
		stated{"conductance", l.Conductance.Set}, stated{"flow", l.Flow.Set})
}

type stated struct {
	key string
	set bool
}

// exactlyOne checks that one of several keys is stated.
func (c *checker) exactlyOne(path, example string, choices ...stated) {
	var all, set []string
	for _, choice := range choices {
		all = append(all, choice.key)
		if choice.set {
			set = append(set, choice.key)
		}
	}
	switch {
	case len(set) == 0:
		c.add(path, "it needs %s: write %s", orList(all), example)
	case len(set) > 1:
		c.add(path, "%s exclude each other: keep one", strings.Join(set, " and "))
	}
}
