package sim_test

import (
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// restless is fanned under bursts of 2 to 4 s, its fans sampled every 2 s by a curve
// on the die, without steps of its output: every sample changes the speed.
func restless() *spec.Scenario {
	c := every(2, curve("cpu.die", 25, 400, 90, 1500))
	c.Resolution = spec.Some(0)
	return underBursts(c)
}

// calm is the same with a usual curve on the coolant behind hysteresis: few samples
// change it.
func calm() *spec.Scenario {
	c := every(2, straight("coolant"))
	c.HysteresisUp, c.HysteresisDown = spec.Some(1), spec.Some(2)
	return underBursts(c)
}

// underBursts is fanned with a control, its chip under bursts of 2 to 4 s.
func underBursts(c spec.Control) *spec.Scenario {
	s := fanned(200, c)
	s.Work = []spec.Work{{Name: "load", Steps: bursts(2, 4)}}
	s.Chips[0].Work = "load"
	return s.Named()
}

// sustainedBy is fanned under half an hour of load and half an hour at idle.
func sustainedBy(c spec.Control) *spec.Scenario {
	s := fanned(200, c)
	onOff(s, 1800, 1800, spec.Repeat{})
	return s.Named()
}

// fixedFans is fanned at one speed.
func fixedFans(s *spec.Scenario) *spec.Scenario {
	front(s).Fans.Curve, front(s).Fans.Speed = spec.Control{}, turns(900)
	return s
}

func BenchmarkBurstsFixedFans(b *testing.B)   { benchmarkControl(b, fixedFans(restless())) }
func BenchmarkBurstsEverySample(b *testing.B) { benchmarkControl(b, restless()) }
func BenchmarkBurstsFewSamples(b *testing.B)  { benchmarkControl(b, calm()) }
func BenchmarkBurstsContinuous(b *testing.B)  { benchmarkControl(b, underBursts(straight("coolant"))) }
func BenchmarkSustainedContinuous(b *testing.B) {
	benchmarkControl(b, sustainedBy(straight("coolant")))
}

func BenchmarkSustainedEverySample(b *testing.B) {
	c := every(2, straight("coolant"))
	c.Resolution = spec.Some(0)
	benchmarkControl(b, sustainedBy(c))
}

// benchmarkControl times an hour alone and reports its steps, restarts, cuts and changes
// of speed, and the largest error of any temperature in the trace against a run with a
// tolerance of 1e-8 K.
func benchmarkControl(b *testing.B, s *spec.Scenario) {
	want := mustRun(b, mustNew(b, loose(s.Clone(), 1e-8), sim.Settings{}))
	var r *sim.Result
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		simulation := mustNew(b, s, sim.Settings{})
		b.StartTimer()
		r = mustRun(b, simulation)
	}
	changes := 0
	if len(r.Speeds) > 0 {
		changes = r.Speeds[0].Verdict.Changes
	}
	b.ReportMetric(float64(r.Stats.Steps), "steps")
	b.ReportMetric(float64(r.Stats.Restarts), "restarts")
	b.ReportMetric(float64(r.Stats.Truncations), "cuts")
	b.ReportMetric(float64(changes), "changes")
	b.ReportMetric(1e3*largestError(b, r.Trace, want.Trace), "error-mK")
}
