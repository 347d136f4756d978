package fit

import (
	"math"
	"testing"

	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// traceOf returns a trace with a row every second from 0 to end in which x_c and
// y_c follow functions of the time, degC.
func traceOf(end int, grid float64, x, y func(t float64) float64) *record.Frame {
	f := record.NewFrame(record.Table{Name: "traces", Columns: []record.Column{
		{Name: "run_id", Kind: record.Int}, {Name: "time_s", Unit: "s"},
		{Name: "x_c", Unit: "degC", Grid: grid}, {Name: "y_c", Unit: "degC", Grid: grid},
	}})
	for t := range end + 1 {
		f.AppendInts(0, []int64{7})
		f.AppendFloats(1, []float64{float64(t)})
		f.AppendFloats(2, []float64{x(float64(t))})
		f.AppendFloats(3, []float64{y(float64(t))})
	}
	return f
}

// flat is a temperature that stays.
func flat(c float64) func(float64) float64 { return func(float64) float64 { return c } }

// rising is a temperature that rises by a slope, K/s, from a value at 0.
func rising(c, slope float64) func(float64) float64 {
	return func(t float64) float64 { return c + slope*t }
}

// every returns times from one to another, both included.
func every(from, to, step float64) []float64 {
	var times []float64
	for k := 0; from+float64(k)*step <= to; k++ {
		times = append(times, from+float64(k)*step)
	}
	return times
}

// logOf returns a log of x_c that has the temperatures (degC) of a function at
// times of the log, s.
func logOf(times []float64, gap float64, of func(t float64) float64) Measured {
	s := &spec.Series{Times: times}
	for _, t := range times {
		s.Values = append(s.Values, of(t)+zeroCelsius)
	}
	return Measured{Path: "x", Column: "x_c", Series: s, Gap: gap}
}

// only compares one log with a trace.
func only(t *testing.T, trace *record.Frame, m Measured, set Settings) *Node {
	t.Helper()
	c, err := Compare(trace, []Measured{m}, set)
	if err != nil {
		t.Fatal(err)
	}
	return &c.Nodes[0]
}

// near compares numbers; kelvin and degC cost some 1e-13 K between them.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.15g, want %.15g within %.1g", what, got, want, tolerance)
	}
}

const rounding = 1e-12 // K

func nearAll(t *testing.T, what string, got, want Difference) {
	t.Helper()
	near(t, what+" mean", got.Mean, want.Mean, rounding)
	near(t, what+" rms", got.RMS, want.RMS, rounding)
	near(t, what+" largest", got.Largest, want.Largest, rounding)
	near(t, what+" time of the largest", got.LargestAt, want.LargestAt, 0)
	near(t, what+" tail", got.Tail, want.Tail, rounding)
}
