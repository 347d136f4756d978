package study_test

import (
	"context"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
	"soakledger/sim/study"
)

// BenchmarkWorkstation is the band of a workstation of two chips, with the run
// that finds its phase and without.
func BenchmarkWorkstation(b *testing.B) {
	b.Run("found", func(b *testing.B) { benchmarkBand(b, "workstation", study.Settings{}) })
	b.Run("told", func(b *testing.B) { benchmarkBand(b, "workstation", study.Settings{At: spec.Some(0)}) })
	b.Run("told, one worker", func(b *testing.B) {
		benchmarkBand(b, "workstation", study.Settings{At: spec.Some(0), Workers: 1})
	})
}

// BenchmarkLargeLoop is the band of the largest shipped machine.
func BenchmarkLargeLoop(b *testing.B) { benchmarkBand(b, "large_loop", study.Settings{}) }

func benchmarkBand(b *testing.B, name string, set study.Settings) {
	s := load(b, name)
	terms := 0
	for b.Loop() {
		band, err := study.BandOf(context.Background(), s, set)
		if err != nil {
			b.Fatal(err)
		}
		terms = len(band.Terms)
	}
	b.ReportMetric(float64(terms), "terms")
}

// BenchmarkLevel is one of the variations: assembling and solving.
func BenchmarkLevel(b *testing.B) {
	s := load(b, "workstation")
	for b.Loop() {
		if _, err := sim.LevelsOf(s, 0); err != nil {
			b.Fatal(err)
		}
	}
}

// load returns a shipped scenario.
func load(tb testing.TB, name string) *spec.Scenario {
	tb.Helper()
	doc, err := scenarios.Load(name)
	if err != nil {
		tb.Fatal(err)
	}
	return doc.Scenario.Named()
}
