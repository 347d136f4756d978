package main

import (
	"encoding/json"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"soakledger/output"
)

// wave is a node under a square wave of power, on first, from rest.
type wave struct {
	response
	power, on, off float64 // W, s, s
}

// at sums every term over the cycles so far, a geometric series, and adds what
// the present cycle has done.
func (w wave) at(s float64) float64 {
	period := w.on + w.off
	cycle := math.Floor(s / period)
	into := s - cycle*period
	sum := 0.0
	for _, e := range w.response {
		decay := func(t float64) float64 { return math.Exp(-e.rate * t) }
		top := e.gain * w.power
		begin := top * (1 - decay(w.on)) * decay(w.off) * (1 - decay(cycle*period)) / (1 - decay(period))
		x := begin*decay(into) + top*(1-decay(math.Min(into, w.on)))*decay(math.Max(0, into-w.on))
		sum += x
	}
	return sum
}

// periodic returns the state that repeats itself, s seconds into a cycle.
func (w wave) periodic(s float64) float64 {
	const settled = 1000 // cycles
	return w.at(settled*(w.on+w.off) + s)
}

// The last whole cycle of square_wave.yaml, from its start.
const lastCycle = 39 * 120.0

// One tau: Tmax = R P (1-e^(-on/tau)) / (1-e^(-(on+off)/tau)), Tmin = Tmax
// e^(-off/tau); several: the sum over the terms. The numbers are computed
// independently in double precision.
func TestSquareWave(t *testing.T) {
	const ambient, power = 20, 300
	single := response{{0.1, 1. / 270}}
	plate, bath := twoNodes(400, 0.05, 4500, 0.06)
	nodes := []struct {
		column    string
		w         wave
		on        float64 // s, length of the load
		high, low float64 // K over ambient at switch-off and switch-on, periodic
	}{
		{"even_c", wave{single, power, 60, 60}, 60, 16.659842, 13.340158},
		{"uneven_c", wave{single, power, 30, 90}, 30, 8.792219, 6.299900},
		{"plate_c", wave{plate, power, 60, 60}, 60, 23.304135, 9.695865},
		{"bath_c", wave{bath, power, 60, 60}, 60, 9.420188, 8.579812},
	}
	d := closedForm(t, "square_wave")
	trace := rowsOf(t, d, "traces")
	for _, n := range nodes {
		follows(t, trace, n.column, 48001, func(s float64) float64 { return ambient + n.w.at(s) })
		printed(t, n.column+" at switch-off", n.w.periodic(n.on), n.high, 6)
		printed(t, n.column+" at switch-on", n.w.periodic(0), n.low, 6)
		got := floats(t, trace, n.column)
		for at, want := range map[float64]float64{lastCycle: n.low, lastCycle + n.on: n.high} {
			if off := got[int(math.Round(at*10))] - ambient - want; math.Abs(off) > closeEnough {
				t.Errorf("%s at %g s is %.6g K off the periodic state", n.column, at, off)
			}
		}
	}
	checkLag(t, d, nodes[3].w)
}

// checkLag looks at the bath's true extremes, which come 10.9 s after the
// switches: 9.551235 K and 8.448765 K over ambient (computed independently in
// double precision). The figure of the phase after the load finds the highest
// between two rows of the trace.
func checkLag(t *testing.T, d *output.Dataset, bath wave) {
	t.Helper()
	const ambient, lag, high, low = 20, 10.9, 9.551235, 8.448765
	turn := func(from float64) float64 {
		const step = 1e-3 // s, for a central difference of the closed form
		return solve(func(s float64) float64 {
			return bath.periodic(from+s+step) - bath.periodic(from+s-step)
		}, 1, 40)
	}
	printed(t, "lag of the highest, s", turn(60), lag, 1)
	printed(t, "lag of the lowest, s", turn(0), lag, 1)
	printed(t, "highest, K", bath.periodic(60+turn(60)), high, 6)
	printed(t, "lowest, K", bath.periodic(turn(0)), low, 6)

	phases := rowsOf(t, d, "phases")
	last := phases.Rows() - 1
	if from := figure(t, phases, last, "from_s"); from != lastCycle+60 {
		t.Fatalf("the last phase begins at %g s, want %g", from, lastCycle+60)
	}
	if got := figure(t, phases, last, "peak_c") - ambient; math.Abs(got-high) > closeEnough {
		t.Errorf("the highest is %.7f K over ambient, want %.6f", got, high)
	}
	// Read off the step's polynomial, the top is exact far beyond the rows.
	want := lastCycle + 60 + turn(60)
	got := figure(t, phases, last, "peak_at_s")
	t.Logf("the highest is at %.5f s, in the closed form at %.5f s", got, want)
	if math.Abs(got-want) > 1e-3 {
		t.Errorf("the highest is at %.5f s, want %.5f", got, want)
	}
	checkLowest(t, d, lag, low)
}

// checkLowest finds the bath's lowest of the last cycle among the rows of the
// trace, ten a second.
func checkLowest(t *testing.T, d *output.Dataset, lag, low float64) {
	t.Helper()
	got := floats(t, rowsOf(t, d, "traces"), "bath_c")
	first := int(lastCycle * 10)
	lowest := first
	for i := first; i < first+600; i++ {
		if got[i] < got[lowest] {
			lowest = i
		}
	}
	if at := float64(lowest-first) / 10; math.Abs(at-lag) > 0.1 {
		t.Errorf("the lowest comes %g s after switch-on, want %g", at, lag)
	}
	if off := got[lowest] - 20 - low; math.Abs(off) > closeEnough {
		t.Errorf("the lowest is %.7f K over ambient, want %.6f", got[lowest]-20, low)
	}
}

// The card's swing is the bath's, lags included, and so is the last cycle of the run by
// then. Ten minutes fall short of it by what the closed form has left.
func TestSwingOfTheSquareWave(t *testing.T) {
	isolate(t)
	const ambient, high, low = 20, 9.551235, 8.448765
	_, bath := twoNodes(400, 0.05, 4500, 0.06)
	w := wave{bath, 300, 60, 60}
	mean := func(from float64) float64 { // by the rule of rectangles of a long run's cycle
		sum := 0.0
		for k := range 120000 {
			sum += w.at(from+(float64(k)+0.5)*1e-3) / 120000
		}
		return sum
	}
	file := filepath.Join("..", "..", "testdata", "closedform", "square_wave.yaml")
	for _, c := range []struct{ duration, from float64 }{{4800, 4680}, {650, 480}} {
		code, stdout, stderr := invoke(t, "run", file, "--json", "--out", filepath.Join(t.TempDir(), "d"), "--set", "duration="+strconv.Itoa(int(c.duration))+" s")
		if code != exitDone || stderr != "" {
			t.Fatalf("exit code %d, %s", code, stderr)
		}
		var got card
		if err := json.NewDecoder(strings.NewReader(stdout)).Decode(&got); err != nil {
			t.Fatal(err)
		}
		s := got.Swing
		if s == nil || s.PeriodS != 120 || s.Rounds != 1 || s.LastS == nil || *s.LastS != [2]float64{c.from, c.from + 120} || len(s.Nodes) != 1 {
			t.Fatalf("%g s: swing %+v", c.duration, s)
		}
		n := s.Nodes[0]
		for _, x := range []struct {
			what              string
			got, want, within float64
		}{
			{"lowest", n.LowestC - ambient, low, 1e-5}, {"lowest after", n.LowestAtS, 10.9, 0.05},
			{"highest", n.HighestC - ambient, high, 1e-5}, {"highest after", n.HighestAtS, 70.9, 0.05},
			{"mean", n.MeanC - ambient, 9, 1e-5},
			{"mean of the last cycle", n.Last.MeanC - ambient, mean(c.from), closeEnough},
			{"still to come", *n.StillToCome, 9 - mean(c.from), closeEnough},
		} {
			if !(math.Abs(x.got-x.want) <= x.within) {
				t.Errorf("%g s: %s is %.7f, want %.7f", c.duration, x.what, x.got, x.want)
			}
		}
	}
}
