package sim_test

import (
	"fmt"
	"sort"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
)

func TestExp(t *testing.T) {
	gen := rapid.Custom(drawMachine)
	var all []float64
	for seed := range 6000 {
		s := gen.Example(seed)
		if s.Coolant.Fluid == "constant" {
			continue
		}
		r, err := attempt(s, sim.Settings{NoTrace: true})
		if err != nil {
			var f float64
			if k, _ := fmt.Sscanf(err.Error(), "closing the ledger: %g", &f); k == 1 {
				all = append(all, f)
				fmt.Println(seed, err)
			}
			continue
		}
		if in, out, _ := r.Totals(); in+out > 1 {
			all = append(all, r.Ledger.Relative()); if r.Ledger.Relative() > 2e-8 { fmt.Println(seed, r.Status, r.Reason, r.Ledger.Relative(), in, len(r.Phases), r.Stats.Steps) }
		}
	}
	sort.Float64s(all)
	n := len(all)
	fmt.Println("n", n, "median", all[n/2], "95%", all[n*95/100], "99.5%", all[n*995/1000], "max", all[n-5:])
}
