package sim_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"soakledger/sim/spec"
)

// logged is the work of a log with these stamps and values.
func logged(times, values []float64, hold bool) spec.Work {
	return spec.Work{Name: "w", Log: spec.Log{File: "made.csv", Series: &spec.Series{Times: times, Values: values, Hold: hold}}}
}

// jitter returns stamps a second or so apart, and powers.
func jitter(n int, apart float64) (times, values []float64) {
	r := rand.New(rand.NewPCG(5, 6))
	at := 0.0
	for range n {
		times, values = append(times, at), append(values, 50+250*r.Float64())
		at += apart * (0.5 + math.Round(r.Float64()*64)/64)
	}
	return times, values
}

// A log that is replayed at its own stamps is the log, in the trace's column of power,
// held or joined by lines; and its energy is its own.
func TestReplayIsTheLog(t *testing.T) {
	times, values := jitter(200, 1)
	last := len(times) - 1
	for _, hold := range []bool{true, false} {
		s := worked(logged(times, values, hold), times[last])
		s.Record.Every = spec.Some(1.0 / 128) // a row at every stamp
		r := run(t, s)
		power := r.Trace.Floats(r.Trace.Col("block_power_w"))
		sum, worst := 0.0, 0.0
		for i := range last {
			row := int(math.Round(times[i] * 128))
			worst = math.Max(worst, math.Abs(power[row]-values[i]))
			if hold {
				sum += values[i] * (times[i+1] - times[i])
				worst = math.Max(worst, math.Abs(power[int(math.Round(times[i+1]*128))-1]-values[i]))
			} else {
				sum += (values[i] + values[i+1]) / 2 * (times[i+1] - times[i])
			}
		}
		near(t, fmt.Sprintf("power at the stamps, held: %v", hold), worst, 0, 1e-11*float64(btoi(!hold)))
		near(t, fmt.Sprintf("energy, held: %v", hold), released(t, r, "block"), sum, 1e-12*sum)
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// A log of 250 samples a second for ten minutes runs to its end, with its energy,
// gathered in few phases: nothing soaks in 4 ms.
func TestReplayOfAFastLog(t *testing.T) {
	const n = 150_000
	r := rand.New(rand.NewPCG(7, 8))
	times, values := make([]float64, n), make([]float64, n)
	sum := 0.0
	for i := range n {
		times[i], values[i] = 0.004*float64(i), 100+200*r.Float64()
		if i > 0 {
			sum += values[i-1] * (times[i] - times[i-1])
		}
	}
	sum += values[n-1] * (600 - times[n-1])
	got := run(t, worked(logged(times, values, true), 600))
	if got.Status != "done" || got.Duration != 600 || len(got.Phases) != 1 {
		t.Errorf("%s after %g s in %d phases", got.Status, got.Duration, len(got.Phases))
	}
	near(t, "energy", released(t, got, "block"), sum, 1e-12*sum)
	near(t, "power of the phase", got.Phases[0].Power, sum/600, 1e-12*sum/600)
	near(t, "ledger", got.Ledger.Relative(), 0, 1e-10) // of 150 000 steps
	// The mean power is 200 W and its noise is far above the band of tau = 270 s: the node stays
	// within a few thousandths of a kelvin of its answer to a step of the mean.
	near(t, "rise at the end", at(t, got.Trace, "block_c", 600)-20, -sum/600/10*math.Expm1(-600/270.0), 0.05)
}

// Intervals shorter than a second are gathered with what is beside them that is as short;
// one of a second or more is a phase of its own.
func TestShortIntervalsAreGathered(t *testing.T) {
	quick := []spec.Step{level(0.4, 300), level(0.5, 20)}
	for _, c := range []struct {
		what  string
		steps []spec.Step
		want  []float64 // ends of phases, s
	}{
		{"a second is a phase", []spec.Step{level(1, 300), level(1, 20), level(8, 300)}, []float64{1, 2, 10}},
		{"less is not", append(append([]spec.Step{level(5, 100)}, quick...), level(4.1, 150)), []float64{5, 5.9, 10}},
		{"a ramp counts with them", []spec.Step{level(0.5, 100), ramp(3, 100, 300), level(0.5, 250), level(6, 40)}, []float64{4, 10}},
		{"a short end counts with them", []spec.Step{level(9, 100), level(0.5, 200), level(0.5, 100)}, []float64{9, 10}},
		{"a short end alone is a phase", []spec.Step{level(9.5, 100), level(0.5, 200)}, []float64{9.5, 10}},
	} {
		r := run(t, worked(spec.Work{Name: "w", Steps: c.steps}, 10))
		var ends []float64
		for _, p := range r.Phases {
			ends = append(ends, p.To)
		}
		if len(ends) != len(c.want) {
			t.Errorf("%s: phases end at %v, want %v", c.what, ends, c.want)
			continue
		}
		for i := range ends {
			near(t, c.what, ends[i], c.want[i], 1e-12)
		}
	}
}

// In the periodic state a wave of half on, half off swings by tanh(T/4 tau) of the step
// (closed form of one node): with a time constant of 3 min, cycles of 2 min leave 0.17 of it,
// cycles of 20 min 0.93.
func TestSwingOfAWave(t *testing.T) {
	for _, c := range []struct{ period, rounded float64 }{{60, 0.08}, {120, 0.17}, {300, 0.39}, {600, 0.68}, {1200, 0.93}} {
		s := base(20)
		s.Lumps = []spec.Lump{heated("block", 1800, 300)}
		s.Links = []spec.Link{conduct("block", "ambient", 10)}
		s.Lumps[0].Work = "wave"
		s.Work = []spec.Work{{Name: "wave", On: spec.Some(c.period / 2), Off: spec.Some(c.period / 2), Repeat: forever}}
		s.Duration, s.Solver.Tolerance = spec.Some(math.Ceil(180*20/c.period)*c.period), spec.Some(1e-6)
		r := run(t, s)
		last := r.Phases[len(r.Phases)-1]
		swing := (last.Begin - last.End) / 30
		near(t, fmt.Sprintf("swing at %g s", c.period), swing, math.Tanh(c.period/(4*180)), 1e-6)
		near(t, fmt.Sprintf("swing at %g s, as told", c.period), swing, c.rounded, 0.005)
		near(t, "mean of both ends", (last.Begin+last.End)/2-zeroCelsius-20, 15, 1e-4)
	}
}

// A measured log of the room's temperature is the room of a run, from its first stamp
// on and as it ended after its last; a schedule of the same points does the same.
func TestLogOfTheRoom(t *testing.T) {
	times, celsius := []float64{0, 600, 1500, 2400}, []float64{22, 22, 27.5, 25}
	measured, stated := fanned(150, spec.Control{}), fanned(150, spec.Control{})
	measured.Ambient, stated.Ambient = spec.Ambient{}, spec.Ambient{}
	series := spec.Series{Times: times}
	for i, at := range times {
		kelvin := celsius[i] + zeroCelsius
		series.Values = append(series.Values, kelvin)
		stated.Ambient.Schedule = append(stated.Ambient.Schedule, spec.TimeTemperature{Time: spec.Some(at), Temperature: spec.Some(kelvin)})
	}
	measured.Ambient.Log = spec.Log{File: "room.csv", Column: "Room", Series: &series}
	got := columns(t, run(t, measured), "ambient_c", "coolant_c")
	want := columns(t, run(t, stated), "ambient_c", "coolant_c")
	for row, room := range got[0] {
		near(t, fmt.Sprintf("room after %d s", row), room, series.At(math.Min(float64(row), 2400))-zeroCelsius, 1e-9)
	}
	for row := range got[1] {
		near(t, fmt.Sprintf("coolant after %d s", row), got[1][row], want[1][row], 1e-6)
	}
	if got[1][1500] < got[1][600]+3 {
		t.Errorf("the coolant goes from %g to %g degC: the room does nothing to it", got[1][600], got[1][1500])
	}
}
