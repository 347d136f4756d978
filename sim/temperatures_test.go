package sim_test

import (
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
)

// TestTemperatures compares the list with the columns in degC of the trace, of
// every shipped scenario: each has one path, and no others have one.
func TestTemperatures(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		doc, err := scenarios.Load(e.Name)
		if err != nil {
			t.Fatal(err)
		}
		plan := mustNew(t, doc.Scenario, sim.Settings{}).Plan
		var want []string
		for _, table := range sim.Tables(plan) {
			for _, c := range table.Columns {
				if table.Name == "traces" && c.Unit == "degC" {
					want = append(want, c.Name)
				}
			}
		}
		paths := map[string]bool{}
		for i, got := range sim.Temperatures(plan) {
			if i >= len(want) || got.Column != want[i] {
				t.Fatalf("%s: temperature %d is %+v; the columns are %v", e.Name, i, got, want)
			}
			paths[got.Path] = true
		}
		if len(paths) != len(want) {
			t.Errorf("%s: %d paths for %d columns %v", e.Name, len(paths), len(want), want)
		}
	}
}

// TestTemperaturePaths names some of each kind.
func TestTemperaturePaths(t *testing.T) {
	doc, err := scenarios.Load("small_case_intake")
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, one := range sim.Temperatures(mustNew(t, doc.Scenario, sim.Settings{}).Plan) {
		got[one.Path] = one.Column
	}
	for path, column := range map[string]string{
		"ambient": "ambient_c", "coolant": "coolant_c", "cpu.die": "cpu_die_c",
		"main.coolant[2]": "main_coolant_2_c", "main.air_in": "main_air_in_c", "main.air_out": "main_air_out_c",
	} {
		if got[path] != column {
			t.Errorf("%s is in column %q, want %q; there are %v", path, got[path], column, got)
		}
	}
}
