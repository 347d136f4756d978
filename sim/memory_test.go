package sim_test

import (
	"context"
	"reflect"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// rowsOf runs a scenario for at most 20 min and returns copies of all its rows.
func rowsOf(t *testing.T, s *spec.Scenario, set sim.Settings) []*record.Frame {
	t.Helper()
	one, err := sim.New(s, set)
	if err != nil {
		t.Fatal(err)
	}
	r, err := one.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	frames, err := r.Frames()
	if err != nil {
		t.Fatal(err)
	}
	copies := make([]*record.Frame, len(frames))
	for i, f := range frames {
		copies[i] = record.NewFrame(f.Table())
		if err := copies[i].AppendFrame(f); err != nil {
			t.Fatal(err)
		}
	}
	return copies
}

// values are those of all columns of a frame.
func values(f *record.Frame) []any {
	var all []any
	for k := range f.Table().Columns {
		all = append(all, f.Floats(k), f.Ints(k), f.Texts(k), f.Flags(k), f.Nulls(k))
	}
	return all
}

// Whatever machines a memory and a stock have served before, with whatever work, faults
// and controllers, a run in them gives bit by bit the rows of one alone.
func TestMemoryChangesNothing(t *testing.T) {
	var memory sim.Memory
	var stock assemble.Stock
	var machines []*spec.Scenario
	for _, e := range scenarios.Shipped() {
		doc, err := scenarios.Load(e.Name)
		if err != nil {
			t.Fatal(err)
		}
		s := doc.Scenario
		if !s.Duration.Set || s.Duration.Value > 1200 {
			s.Duration = spec.Some(1200)
		}
		warmer := s.Clone()
		warmer.Ambient.Temperature.Value += 3
		machines = append(machines, s, warmer)
	}
	for round, noTrace := range []bool{false, true} {
		for i, s := range machines {
			set := sim.Settings{RunID: i, NoTrace: noTrace}
			want := rowsOf(t, s, set)
			set.Stock, set.Memory = &stock, &memory
			got := rowsOf(t, s, set)
			if len(got) != len(want) {
				t.Fatalf("%s: %d tables, want %d", s.Title, len(got), len(want))
			}
			for k, f := range want {
				if !f.Table().Equal(got[k].Table()) || !reflect.DeepEqual(values(f), values(got[k])) {
					t.Errorf("round %d, %s: other rows of %s in the memory of others", round, s.Title, f.Table().Name)
				}
			}
		}
	}
}
