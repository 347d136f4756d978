package sim_test

import (
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
)

// The same four hours with the parts of the rise and the air of radiators, in the
// figures alone and in a trace, too.
func BenchmarkWarmingRoom(b *testing.B) {
	doc, err := scenarios.Load("warming_room")
	if err != nil {
		b.Fatal(err)
	}
	for name, noTrace := range map[string]bool{"figures": true, "trace": false} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				simulation := mustNew(b, doc.Scenario, sim.Settings{NoTrace: noTrace})
				b.StartTimer()
				mustRun(b, simulation)
			}
		})
	}
}
