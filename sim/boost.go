package sim

import (
	"math"

	"soakledger/sim/assemble"
	"soakledger/sim/record"
)

// boost is how long a chip may still draw the most that it ever asks for.
type boost struct {
	of   *protector
	most []float64 // W, what it may draw of that at the most, by each of its limits
}

// boosts lists the chips whose power limits ever end a boost.
func boosts(p *assemble.Plan, protectors []*protector) []boost {
	var all []boost
	for _, of := range protectors {
		if one := (boost{of, mostDrawn(p, of.chip)}); one.ends() {
			all = append(all, one)
		}
	}
	return all
}

// mostDrawn returns the most that a chip may draw by each of its limits, W.
func mostDrawn(p *assemble.Plan, c *assemble.Chip) []float64 {
	if len(c.Limits) == 0 {
		return nil
	}
	most := make([]float64, len(p.Network.Sources()))
	p.Timeline.Most(most)
	var all []float64
	for _, l := range c.Limits {
		all = append(all, math.Min(most[c.Source], l.Short))
	}
	return all
}

// ends reports whether some limit ends it.
func (b *boost) ends() bool {
	for i, l := range b.of.chip.Limits {
		if b.most[i] > l.Long {
			return true
		}
	}
	return false
}

// left returns the boost time left (s) with moving averages (W) of the limits a time
// (s) ago, and a power (W) by the time since then.
func (b *boost) left(averages []float64, power func(since float64) float64, since float64) float64 {
	least := math.Inf(1)
	for i, l := range b.of.chip.Limits {
		least = math.Min(least, l.BoostLeft(l.AverageOf(averages[i], power, since), b.most[i]))
	}
	return least
}

// protectionTrace lists the columns of chips whose power may be cut.
func protectionTrace(p *assemble.Plan) (requested, left []record.Column) {
	for i := range p.Chips {
		c := &p.Chips[i]
		if !c.Protected() {
			continue
		}
		requested = append(requested, record.Column{Name: c.Name + "_requested_w", Unit: "W", Meaning: "power that " + c.Name + " is asked for; what it draws is " + c.Name + "_power_w"})
		if b := (boost{&protector{chip: c}, mostDrawn(p, c)}); b.ends() {
			left = append(left, record.Column{Name: c.Name + "_boost_left_s", Unit: "s", Meaning: "how long the most that " + c.Name + " may draw could be drawn from here until a power limit cuts it"})
		}
	}
	return requested, left
}
