package sim

import (
	"strings"

	"soakledger/sim/assemble"
)

// Temperature is a temperature in the trace of a run.
type Temperature struct {
	Path   string // coolant, ambient, a node as the scenario names it (cpu.die, front.coolant[2]), or front.air_in
	Column string // of the trace, degC: cpu_die_c
}

// Temperatures lists the temperatures in the traces of a plan, in the order of
// their columns. Paths and columns are unique.
func Temperatures(p *assemble.Plan) []Temperature {
	all := []Temperature{{"ambient", "ambient_c"}}
	if len(p.Loops) > 0 {
		all = append(all, Temperature{"coolant", "coolant_c"})
	}
	for _, n := range p.Nodes {
		all = append(all, Temperature{n.Path, n.Column + "_c"})
	}
	for _, c := range airTrace(p) {
		if of, ok := strings.CutSuffix(c.column.Name, airInColumn); ok {
			all = append(all, Temperature{of + ".air_in", c.column.Name})
		} else if of, ok := strings.CutSuffix(c.column.Name, airOutColumn); ok {
			all = append(all, Temperature{of + ".air_out", c.column.Name})
		}
	}
	return all
}
