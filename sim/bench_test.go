package sim_test

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"soakledger/sim"
	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// lumps16 is a machine of exactly 16 lumps with invented numbers, stated as
// lumps and links, so that its benchmarks stay comparable while the parts grow:
// two dies with leakage, spreader, cold plate, a second plate, a ring of seven
// coolant lumps with two radiator metals, case air and chassis.
func lumps16(steps []spec.Step) *spec.Scenario {
	s := base(24)
	s.Lumps = []spec.Lump{
		{Name: "die_1", Capacity: spec.Some(12), Power: watts(250), Idle: spec.Some(15), Work: "load", Leakage: leak(20, 60, 0.015)},
		{Name: "spreader", Capacity: spec.Some(60)}, {Name: "plate_1", Capacity: spec.Some(180)},
		{Name: "die_2", Capacity: spec.Some(20), Power: watts(180), Idle: spec.Some(15), Work: "load", Leakage: leak(30, 60, 0.015)},
		{Name: "plate_2", Capacity: spec.Some(320)}, {Name: "metal_1", Capacity: spec.Some(250)}, {Name: "metal_2", Capacity: spec.Some(250)},
		{Name: "air", Capacity: spec.Some(60)}, {Name: "chassis", Capacity: spec.Some(9000)},
	}
	ring := []struct {
		name   string
		volume float64
	}{{"block_1", 10e-6}, {"tube_1", 38e-6}, {"block_2", 14e-6}, {"tube_2", 38e-6}, {"core_1", 29e-6}, {"core_2", 29e-6}, {"tank", 215e-6}}
	for i, c := range ring {
		s.Lumps = append(s.Lumps, spec.Lump{Name: c.name, Holds: spec.Some(c.volume)})
		s.Links = append(s.Links, spec.Link{From: c.name, To: ring[(i+1)%len(ring)].name, Flow: spec.Some(2.87e-3 / 60)})
	}
	s.Links = append(s.Links,
		conduct("die_1", "spreader", 15), conduct("spreader", "plate_1", 30), conduct("plate_1", "block_1", 60),
		conduct("die_2", "plate_2", 25), conduct("plate_2", "block_2", 80), conduct("core_1", "metal_1", 120), conduct("core_2", "metal_2", 120),
		conduct("metal_1", "ambient", 22), conduct("metal_2", "ambient", 22), conduct("tank", "air", 0.4), conduct("tube_1", "air", 0.2),
		conduct("tube_2", "air", 0.2), conduct("air", "chassis", 6), conduct("air", "ambient", 15), conduct("chassis", "ambient", 9))
	s.Work = []spec.Work{{Name: "load", Steps: steps}}
	s.Duration = spec.Some(3600)
	s.Figures.Of = "tank"
	return s.Named()
}

// machineOfParts is a machine of parts: two chips with leakage on one cold plate,
// pump, two tubes, a radiator of two cells, a reservoir, with their walls and
// bodies, and case air and chassis as free lumps. Both chips follow steps.
func machineOfParts(steps []spec.Step) *spec.Scenario {
	s := base(24)
	s.Chips = []spec.Chip{
		{Name: "cpu", Power: watts(250), Idle: spec.Some(15), Work: "load", DieToPlate: spec.Some(0.1), DieShare: spec.Some(2.0 / 3),
			DieCapacity: spec.Some(12), SpreaderCapacity: spec.Some(60), Leakage: leak(20, 60, 0.015)},
		{Name: "gpu", Power: watts(180), Idle: spec.Some(15), Work: "load", DieToPlate: spec.Some(0.1), DieShare: spec.Some(0.5),
			DieCapacity: spec.Some(20), SpreaderCapacity: spec.Some(80), Leakage: leak(30, 60, 0.015)},
	}
	radiator := radiatorPart("front", 36)
	radiator.Radiator.Cells, radiator.Radiator.MetalCapacity, radiator.Holds = spec.Some(2), spec.Some(500), spec.Some(58e-6)
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{
		pump("pump", 2.87), tube("tube_1", 0.48), blockOn("block", "cpu", 180), tube("tube_2", 0.48), radiator, reservoir("res", 215),
	}}}
	s.Lumps = []spec.Lump{{Name: "air", Capacity: spec.Some(60)}, {Name: "chassis", Capacity: spec.Some(9000)}}
	s.Links = []spec.Link{
		conduct("gpu.spreader", "block.plate", 20), conduct("res.coolant", "air", 0.4), conduct("tube_1.coolant", "air", 0.2),
		conduct("tube_2.coolant", "air", 0.2), conduct("air", "chassis", 6), conduct("air", "ambient", 15), conduct("chassis", "ambient", 9),
	}
	s.Work = []spec.Work{{Name: "load", Steps: steps}}
	s.Duration = spec.Some(3600)
	return s.Named()
}

// loose gives a scenario a tolerance, K.
func loose(s *spec.Scenario, tolerance float64) *spec.Scenario {
	s.Solver.Tolerance = spec.Some(tolerance)
	return s
}

// sustained is full load for half an hour and then idle.
func sustained() []spec.Step {
	return []spec.Step{{For: spec.Some(1800), Power: share(1)}, {For: spec.Some(1800), Power: share(0.06)}}
}

// bursts are random levels, each held for a random time between least and most
// seconds, over an hour.
func bursts(least, most float64) []spec.Step {
	r := rand.New(rand.NewPCG(1, 2))
	var steps []spec.Step
	for t := 0.0; t < 3600; {
		last := least + (most-least)*r.Float64()
		steps = append(steps, spec.Step{For: spec.Some(last), Power: share(r.Float64())})
		t += last
	}
	return steps
}

func BenchmarkSustainedHour(b *testing.B) { benchmarkHour(b, lumps16(sustained())) }
func BenchmarkBursts(b *testing.B)        { benchmarkHour(b, lumps16(bursts(2, 30))) }
func BenchmarkBurstsDense(b *testing.B)   { benchmarkHour(b, lumps16(bursts(2, 4))) }

// The same with tolerances that just keep the error below 1e-3 K.
func BenchmarkSustainedHourLoose(b *testing.B) { benchmarkHour(b, loose(lumps16(sustained()), 2e-3)) }
func BenchmarkBurstsLoose(b *testing.B)        { benchmarkHour(b, loose(lumps16(bursts(2, 30)), 2e-3)) }
func BenchmarkBurstsDenseLoose(b *testing.B)   { benchmarkHour(b, loose(lumps16(bursts(2, 4)), 2e-3)) }

// BenchmarkBurstsMiddle lies between.
func BenchmarkBurstsMiddle(b *testing.B) { benchmarkHour(b, loose(lumps16(bursts(2, 30)), 1e-3)) }

// BenchmarkSustainedHourNoTrace leaves the trace out, as a sweep does.
func BenchmarkSustainedHourNoTrace(b *testing.B) {
	s := lumps16(sustained())
	b.ReportAllocs()
	for b.Loop() {
		mustRun(b, mustNew(b, s, sim.Settings{NoTrace: true}))
	}
}

// BenchmarkNew completes and assembles the machine and finds its start.
// The same hour on a machine of parts: more lumps, and a flow that follows the
// pump.
func BenchmarkSustainedHourParts(b *testing.B) { benchmarkHour(b, machineOfParts(sustained())) }
func BenchmarkBurstsParts(b *testing.B)        { benchmarkHour(b, machineOfParts(bursts(2, 30))) }

func BenchmarkNew(b *testing.B) {
	s := machineOfParts(sustained())
	b.ReportAllocs()
	for b.Loop() {
		mustNew(b, s, sim.Settings{})
	}
}

// benchmarkHour times the run alone and reports its steps and its largest
// error in any lump at any second, against a run with a tolerance of 1e-8 K.
func benchmarkHour(b *testing.B, s *spec.Scenario) {
	tight := s.Clone()
	tight.Solver.Tolerance = spec.Some(1e-8)
	want := mustRun(b, mustNew(b, tight, sim.Settings{}))
	var r *sim.Result
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		simulation := mustNew(b, s, sim.Settings{})
		b.StartTimer()
		r = mustRun(b, simulation)
	}
	b.ReportMetric(float64(r.Stats.Steps), "steps")
	b.ReportMetric(float64(r.Stats.Rejected), "rejected")
	b.ReportMetric(float64(len(r.Phases)), "phases")
	b.ReportMetric(1e3*largestError(b, r.Trace, want.Trace), "error-mK")
}

// largestError returns the largest difference of a temperature between two
// traces of the same rows, K.
func largestError(tb testing.TB, got, want *record.Frame) float64 {
	tb.Helper()
	if got.Rows() != want.Rows() {
		tb.Fatalf("%d rows beside %d", got.Rows(), want.Rows())
	}
	largest := 0.0
	for col, c := range got.Table().Columns {
		if !strings.HasSuffix(c.Name, "_c") {
			continue
		}
		w := want.Floats(col)
		for i, v := range got.Floats(col) {
			largest = math.Max(largest, math.Abs(v-w[i]))
		}
	}
	return largest
}

func mustNew(tb testing.TB, s *spec.Scenario, set sim.Settings) *sim.Simulation {
	tb.Helper()
	simulation, err := sim.New(s, set)
	if err != nil {
		tb.Fatal(err)
	}
	return simulation
}

func mustRun(tb testing.TB, s *sim.Simulation) *sim.Result {
	tb.Helper()
	r, err := s.Run(context.Background())
	if err != nil {
		tb.Fatal(err)
	}
	return r
}
