package sim

import (
	"fmt"
	"math"

	"soakledger/sim/assemble"
	"soakledger/sim/fluid"
)

const (
	warmCoolant   = 60 + zeroCelsius // K, usual stated limit of small pumps and soft tubing (common practice, no source)
	belowRoom     = 0.01             // K by which a node must be colder than the room for its air to condense there; less is rounding
	dewPointClear = 2.0              // K above the dew point that is left as margin (common practice, no source)
)

// Cautions lists what in this run could harm a machine or a person. An empty
// list means that none of these few checks spoke, and nothing more.
func (r *Result) Cautions() []string {
	var all []string
	if r.Status != Done {
		all = append(all, r.Reason+": the run ends there, and figures after it are missing")
	}
	if n, t := r.hottestCoolant(); t > warmCoolant {
		all = append(all, fmt.Sprintf("coolant passes 60 degC (%s reaches %.1f degC): the usual limit of small pumps and soft tubing; hot coolant scalds, and a sealed loop builds pressure", n.Path, t-zeroCelsius))
	}
	if len(r.Plan.Faults) > 0 {
		all = append(all, "thermosiphon, which may help a little when a pump stops, is left out")
	}
	return append(all, r.condensation()...)
}

// hottestCoolant returns the coolant node that became hottest, and how hot.
func (r *Result) hottestCoolant() (assemble.Node, float64) {
	hottest, at := math.Inf(-1), assemble.Node{}
	for _, n := range r.Plan.Nodes {
		if n.Kind == assemble.CoolantCell && r.Highest[n.Lump] > hottest {
			hottest, at = r.Highest[n.Lump], n
		}
	}
	return at, hottest
}

// condensation warns of nodes colder than the room that come near or below its
// dew point, where the humidity is stated.
func (r *Result) condensation() []string {
	a := r.Plan.Scenario.Ambient
	if !a.Humidity.Set {
		return nil
	}
	dew := fluid.DewPoint(fluid.VapourPressure(a.Temperature.Value, a.Humidity.Value))
	coldest, at := math.Inf(1), assemble.Node{}
	for _, n := range r.Plan.Nodes {
		if r.Lowest[n.Lump] < coldest {
			coldest, at = r.Lowest[n.Lump], n
		}
	}
	if coldest >= dew+dewPointClear || coldest > a.Temperature.Value-belowRoom {
		return nil
	}
	return []string{fmt.Sprintf("%s is as cold as %.1f degC, within %g K of the room's dew point of %.1f degC or below it: water can condense on it", at.Path, coldest-zeroCelsius, dewPointClear, dew-zeroCelsius)}
}
