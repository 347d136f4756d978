package sim_test

import (
	"context"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
)

// wavedHour is an hour of a machine of parts, half a minute on and off.
func wavedHour() *spec.Scenario {
	s := machineOfParts([]spec.Step{{For: spec.Some(30), Power: share(1)}, {For: spec.Some(30), Power: share(0.06)}})
	s.Work[0].Repeat = forever
	return s
}

func BenchmarkSwing(b *testing.B)      { benchmarkSwing(b, wavedHour()) }
func BenchmarkSwingOfRun(b *testing.B) { benchmarkRun(b, wavedHour()) }
func BenchmarkSwingHysteresis(b *testing.B) {
	benchmarkSwing(b, exampled(b, "curve_on_die"))
}
func BenchmarkSwingHysteresisOfRun(b *testing.B) {
	benchmarkRun(b, exampled(b, "curve_on_die"))
}

// exampled is a shipped scenario.
func exampled(b *testing.B, name string) *spec.Scenario {
	doc, err := scenarios.Load(name)
	if err != nil {
		b.Fatal(err)
	}
	return doc.Scenario
}

// benchmarkSwing times a swing, assembly included.
func benchmarkSwing(b *testing.B, s *spec.Scenario) {
	cycles := 0
	for b.Loop() {
		w, err := sim.SwingOf(context.Background(), s)
		if err != nil {
			b.Fatal(err)
		}
		cycles = w.Cycles
	}
	b.ReportMetric(float64(cycles), "cycles")
}

// benchmarkRun times the run itself, assembly and trace included.
func benchmarkRun(b *testing.B, s *spec.Scenario) {
	for b.Loop() {
		mustRun(b, mustNew(b, s, sim.Settings{}))
	}
}
