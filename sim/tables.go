package sim

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"soakledger/sim/assemble"
	"soakledger/sim/metric"
	"soakledger/sim/record"
)

// phaseColumn is one figure of a phase: how its column is described and how
// its value, in the column's unit, is read from the phase.
type phaseColumn struct {
	column record.Column
	get    func(p *metric.Phase) metric.Figure
}

// figureColumns are the columns of a plan's figures.
type figureColumns struct {
	phase   []phaseColumn
	cooling []phaseColumn // the cooling phase's in a run's row, under names that begin with cool_
}

// coolingFigures are the figures of the cooling phase that a run's row
// carries.
var coolingFigures = []string{"power_w", "level_c", "t63_s", "t95_s", "to_within_1_k_s", "to_within_0_5_k_s", "still_to_come_k"}

// columnsOf lists the columns of a plan's figures.
func columnsOf(p *assemble.Plan) figureColumns {
	c := figureColumns{phase: phaseColumns(p)}
	for _, name := range coolingFigures {
		i := slices.IndexFunc(c.phase, func(c phaseColumn) bool { return c.column.Name == name })
		cooling := c.phase[i]
		cooling.column.Name = "cool_" + name
		cooling.column.Meaning = "cooling phase: " + cooling.column.Meaning
		c.cooling = append(c.cooling, cooling)
	}
	return c
}

// celsius converts a figure in kelvin.
func celsius(f metric.Figure) metric.Figure { return f.Minus(zeroCelsius) }

// known wraps a plain value.
func known(get func(p *metric.Phase) float64) func(*metric.Phase) metric.Figure {
	return func(p *metric.Phase) metric.Figure { return metric.Known(get(p)) }
}

// phaseColumns lists the figures of a phase for a plan. The subject is what
// the figures without a node's name belong to.
func phaseColumns(p *assemble.Plan) []phaseColumn {
	ambient := p.Scenario.Ambient.Temperature.Value
	of := p.Subject.Path
	c := func(name, unit, meaning string, get func(*metric.Phase) metric.Figure) phaseColumn {
		return phaseColumn{record.Column{Name: name, Unit: unit, Meaning: meaning, Nullable: true}, get}
	}
	all := []phaseColumn{
		c("power_w", "W", "requested power of all sources", known(func(p *metric.Phase) float64 { return p.Power })),
		c("begin_c", "degC", of+" at the start of the phase", known(func(p *metric.Phase) float64 { return p.Begin - zeroCelsius })),
		c("end_c", "degC", of+" at the end of the phase", known(func(p *metric.Phase) float64 { return p.End - zeroCelsius })),
		c("level_c", "degC", of+" at equilibrium under the phase's load", func(p *metric.Phase) metric.Figure { return celsius(p.Level) }),
		c("rise_k", "K", "level of "+of+" over the room at the start", func(p *metric.Phase) metric.Figure { return p.Level.Minus(ambient) }),
	}
	if goesToAndFro(p) {
		all = append(all,
			c("level_rising_c", "degC", "highest level at which hysteresis may let "+of+" come to rest as it warms; null unless level_kind is pair", func(p *metric.Phase) metric.Figure { return celsius(p.Rising) }),
			c("level_falling_c", "degC", "lowest level likewise as it cools", func(p *metric.Phase) metric.Figure { return celsius(p.Falling) }),
			c("cycle_mean_c", "degC", "mean of "+of+" over the last whole cycle; null unless level_kind is cycle", func(p *metric.Phase) metric.Figure { return celsius(p.Cycle.Nodes[0].Mean) }),
			c("cycle_swing_k", "K", "highest less lowest of "+of+" in that cycle", func(p *metric.Phase) metric.Figure { return p.Cycle.Nodes[0].Swing }),
			c("cycle_period_s", "s", "length of that cycle", func(p *metric.Phase) metric.Figure { return p.Cycle.Period }))
	}
	for i, name := range []string{"t63", "t90", "t95", "t99"} {
		all = append(all, c(name+"_s", "s", fmt.Sprintf("time until %s has made %s %% of its way to the level", of, []string{"63.2", "90", "95", "99"}[i]),
			func(p *metric.Phase) metric.Figure { return p.Response[i] }))
	}
	for i, band := range []string{"1", "0_5", "0_1"} {
		all = append(all, c("to_within_"+band+"_k_s", "s", fmt.Sprintf("time after which %s stays within %s K of the level", of, strings.ReplaceAll(band, "_", ".")),
			func(p *metric.Phase) metric.Figure { return p.Within[i] }))
	}
	all = append(all, c("still_to_come_k", "K", "level minus "+of+" at the end of the phase", func(p *metric.Phase) metric.Figure { return p.StillToCome }))
	for i, minutes := range []int{5, 10, 15, 30} {
		all = append(all, c(fmt.Sprintf("shortfall_%d_min_k", minutes), "K", fmt.Sprintf("level minus %s after %d min: what a test of that length reads low", of, minutes),
			func(p *metric.Phase) metric.Figure { return p.Shortfall[i] }))
	}
	all = append(all,
		c("peak_c", "degC", "highest of "+of+" in the phase", known(func(p *metric.Phase) float64 { return p.Peak - zeroCelsius })),
		c("peak_at_s", "s", "time of that peak from the start of the run", known(func(p *metric.Phase) float64 { return p.PeakAt })),
		c("tail_mean_c", "degC", "mean of "+of+" over the tail window at the phase's end", func(p *metric.Phase) metric.Figure { return celsius(p.TailMean) }),
		c("tail_sd_k", "K", "standard deviation over the same window", func(p *metric.Phase) metric.Figure { return p.TailSD }),
	)
	if len(p.Loops) > 0 {
		all = append(all,
			c("coolest_level_c", "degC", "coolest coolant at equilibrium", func(p *metric.Phase) metric.Figure { return celsius(p.Coolest) }),
			c("hottest_level_c", "degC", "hottest coolant at equilibrium", func(p *metric.Phase) metric.Figure { return celsius(p.Hottest) }))
	}
	for i, mark := range p.Scenario.Figures.CoolantAt {
		name := "to_" + strings.ReplaceAll(fmt.Sprintf("%g", thousandths(mark.Value-zeroCelsius)), ".", "_") + "_c_s"
		all = append(all, c(strings.ReplaceAll(name, "-", "minus_"), "s", fmt.Sprintf("time until %s first passes %g degC", of, thousandths(mark.Value-zeroCelsius)),
			func(p *metric.Phase) metric.Figure { return p.Marks[i] }))
	}
	all = append(all, partColumns(p)...)
	for i, n := range p.Watched() {
		node := func(name, unit, meaning string, get func(n *metric.Node) metric.Figure) phaseColumn {
			return c(n.Column+name, unit, fmt.Sprintf(meaning, n.Path), func(p *metric.Phase) metric.Figure { return get(&p.Nodes[i]) })
		}
		all = append(all,
			node("_level_c", "degC", "%s at equilibrium under the phase's load", func(n *metric.Node) metric.Figure { return celsius(n.Level) }),
			node("_peak_c", "degC", "highest of %s in the phase", func(n *metric.Node) metric.Figure { return metric.Known(n.Peak - zeroCelsius) }),
			node("_peak_at_s", "s", "time of the peak of %s from the start of the run", func(n *metric.Node) metric.Figure { return metric.Known(n.PeakAt) }),
			node("_tail_mean_c", "degC", "mean of %s over the tail window", func(n *metric.Node) metric.Figure { return celsius(n.TailMean) }),
			node("_tail_sd_k", "K", "standard deviation of %s over the tail window", func(n *metric.Node) metric.Figure { return n.TailSD }))
		if goesToAndFro(p) {
			all = append(all,
				c(n.Column+"_cycle_mean_c", "degC", "mean of "+n.Path+" over the last whole cycle", func(p *metric.Phase) metric.Figure { return celsius(p.Cycle.Nodes[1+i].Mean) }),
				c(n.Column+"_cycle_swing_k", "K", "highest less lowest of "+n.Path+" in that cycle", func(p *metric.Phase) metric.Figure { return p.Cycle.Nodes[1+i].Swing }))
		}
	}
	return all
}

// goesToAndFro reports whether a plan has anything that may leave a load without one
// level: a sampled controller or a throttle.
func goesToAndFro(p *assemble.Plan) bool {
	return slices.ContainsFunc(p.Controlled, func(c assemble.Controlled) bool { return c.Sampled != nil }) ||
		slices.ContainsFunc(p.Chips, func(c assemble.Chip) bool { return c.Throttle != nil })
}

// partColumns lists the figures of the parts of the subject's rise, for a plan
// where it has more than one.
func partColumns(p *assemble.Plan) []phaseColumn {
	if !splitsRise(p) {
		return nil
	}
	var all []phaseColumn
	for i, part := range [riseParts]struct{ name, what string }{
		loopRise: {"loop", p.Subject.Path + " over the air that its radiators breathe, over the room if it has none"},
		caseRise: {"case", "the air that those radiators breathe over the room"},
		roomRise: {"room", "the room over what it was at the start of the run"},
	} {
		c := func(name, unit, meaning string, get func(*metric.Part) metric.Figure) {
			column := record.Column{Name: part.name + name, Unit: unit, Meaning: meaning + part.what, Nullable: true}
			all = append(all, phaseColumn{column, func(p *metric.Phase) metric.Figure { return get(&p.Parts[i]) }})
		}
		c("_rise_k", "K", "level of ", func(p *metric.Part) metric.Figure { return p.Level })
		c("_rise_end_k", "K", "at the end of the phase, ", func(p *metric.Part) metric.Figure { return metric.Known(p.End) })
		c("_t63_s", "s", "time to 63.2 % of the way to the level of ", func(p *metric.Part) metric.Figure { return p.Response[0] })
		c("_t95_s", "s", "time to 95 % of the way to the level of ", func(p *metric.Part) metric.Figure { return p.Response[2] })
	}
	return all
}

// thousandths rounds x to three decimals; dividing gives the nearest number to
// the decimal fraction, multiplying would not.
func thousandths(x float64) float64 { return math.Round(x*1e3) / 1e3 }
