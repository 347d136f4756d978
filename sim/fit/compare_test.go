package fit

import (
	"errors"
	"math"
	"strings"
	"testing"

	"soakledger/sim/spec"
)

// A sensor that always reads 0.4 K high: all figures are that, and nothing is left
// without the offset, however irregular the log.
func TestConstantOffset(t *testing.T) {
	model := rising(30, 0.125)
	measured := func(t float64) float64 { return model(t) + 0.4 }
	n := only(t, traceOf(100, 0, model, flat(0)), logOf([]float64{0, 0.5, 7, 8.25, 40, 99.5}, 20, measured), Settings{})
	near(t, "offset", n.Offset, 0.4, rounding)
	near(t, "mean", n.All.Mean, 0.4, rounding)
	near(t, "rms", n.All.RMS, 0.4, rounding)
	near(t, "largest", n.All.Largest, 0.4, rounding)
	near(t, "tail", n.All.Tail, 0.4, rounding)
	near(t, "mean without it", n.Less.Mean, 0, rounding)
	near(t, "rms without it", n.Less.RMS, 0, rounding)
	near(t, "largest without it", n.Less.Largest, 0, rounding)
	near(t, "tail without it", n.Less.Tail, 0, rounding)
	if !n.MostlyOffset() {
		t.Error("the offset does not explain most of it")
	}
}

// A difference a t + b at samples h apart over a time T. The weights are those of
// the trapezoidal rule, which adds a² h²/6 to the integral of the square.
func TestDrift(t *testing.T) {
	const a, b, h, end = -0.01, 0.25, 10.0, 200.0
	measured := rising(30+b, a)
	n := only(t, traceOf(int(end), 0, flat(30), flat(0)), logOf(every(0, end, h), h, measured), Settings{})
	near(t, "offset", n.Offset, b, rounding)
	near(t, "tail", n.Tail, 20, 0)
	nearAll(t, "difference", n.All, Difference{
		Mean: b + a*end/2, RMS: math.Sqrt(b*b + a*b*end + a*a*(end*end/3+h*h/6)),
		Largest: b + a*end, LargestAt: end, Tail: b + a*(end-10),
	})
	nearAll(t, "less the offset", n.Less, Difference{
		Mean: a * end / 2, RMS: math.Abs(a) * math.Sqrt(end*end/3+h*h/6),
		Largest: a * end, LargestAt: end, Tail: a * (end - 10),
	})
	if n.MostlyOffset() {
		t.Error("the offset explains most of a drift")
	}
}

// A sensor of first order with a lag L on a ramp s reads s L (1 - exp(-t/L)) low.
// The trapezoidal rule errs by at most h²/12 times the second derivative, s/L.
func TestLag(t *testing.T) {
	const s, lag, h, end = 0.02, 25.0, 5.0, 400.0
	measured := func(t float64) float64 { return 30 + s*(t-lag*-math.Expm1(-t/lag)) }
	n := only(t, traceOf(int(end), 0, rising(30, s), flat(0)), logOf(every(0, end, h), h, measured), Settings{})
	near(t, "offset", n.Offset, 0, rounding)
	near(t, "mean", n.All.Mean, -s*lag*(1-lag/end*-math.Expm1(-end/lag)), h*h/12*s/lag)
	// The mean over the tail, its last 40 s.
	near(t, "tail", n.All.Tail, -s*lag*(1-lag/40*(math.Exp(-360/lag)-math.Exp(-end/lag))), h*h/12*s/lag)
	near(t, "largest", n.All.Largest, -s*lag*-math.Expm1(-end/lag), rounding)
}

// Noise that alternates has its own root mean square, not that of lines between
// its samples.
func TestNoise(t *testing.T) {
	times := every(0, 100, 1)
	measured := func(t float64) float64 { return 30 + 0.5*(1-2*math.Mod(t, 2)) }
	n := only(t, traceOf(100, 0, flat(30), flat(0)), logOf(times, 1, measured), Settings{})
	near(t, "rms", n.All.RMS, 0.5, rounding)
	near(t, "mean", n.All.Mean, 0, rounding)
}

// 1 K for 10 s, a gap, 3 K for 30 s: the gap has no weight.
func TestGap(t *testing.T) {
	measured := func(t float64) float64 {
		if t <= 10 {
			return 31
		}
		return 33
	}
	times := append(every(0, 10, 2), every(50, 80, 2)...)
	n := only(t, traceOf(80, 0, flat(30), flat(0)), logOf(times, 10, measured), Settings{Tail: spec.Some(60)})
	nearAll(t, "difference", n.All, Difference{Mean: 2.5, RMS: math.Sqrt(7), Largest: 3, LargestAt: 50, Tail: 3})
	nearAll(t, "less the offset", n.Less, Difference{Mean: 1.5, RMS: math.Sqrt(3), Largest: 2, LargestAt: 50, Tail: 2})
	if n.Gaps != 1 || n.Missing != 40 || n.Samples != 22 {
		t.Errorf("%d gaps of %g s, %d samples", n.Gaps, n.Missing, n.Samples)
	}
	// A step that is as long as the longest that is no gap counts.
	n = only(t, traceOf(80, 0, flat(30), flat(0)), logOf(times, 40, measured), Settings{})
	near(t, "mean without a gap", n.All.Mean, (10+2*40+3*30)/80.0, rounding)
	if n.Gaps != 0 {
		t.Errorf("%d gaps", n.Gaps)
	}
}

// Samples that stand alone between gaps count alike.
func TestSamplesAlone(t *testing.T) {
	measured := rising(30, 0.1)
	n := only(t, traceOf(100, 0, flat(30), flat(0)), logOf([]float64{10, 40, 100}, 5, measured), Settings{})
	nearAll(t, "difference", n.All, Difference{Mean: 5, RMS: math.Sqrt(39), Largest: 10, LargestAt: 100, Tail: 10})
	n = only(t, traceOf(100, 0, flat(30), flat(0)), logOf([]float64{60}, 0, measured), Settings{})
	nearAll(t, "one sample", n.All, Difference{Mean: 6, RMS: 6, Largest: 6, LargestAt: 60, Tail: 6})
	nearAll(t, "one sample less itself", n.Less, Difference{LargestAt: 60})
}

// Where log and run cover different times, only what both have is compared.
func TestSpans(t *testing.T) {
	trace := traceOf(100, 0, rising(20, 0.1), flat(0))
	for name, c := range map[string]struct {
		from, to, start float64
		log, common     Span
		offset          float64
	}{
		"the same":      {0, 100, 0, Span{0, 100}, Span{0, 100}, 2},
		"less":          {20, 60, 0, Span{20, 60}, Span{20, 60}, 2},
		"more, shifted": {0, 200, 50, Span{-50, 150}, Span{0, 100}, 7},
		"begins later":  {0, 200, -30, Span{30, 230}, Span{30, 100}, -1},
		"off the steps": {0, 200, 3, Span{-3, 197}, Span{2, 97}, 2.3},
	} {
		// The log reads 2 K above the model by its own clock.
		n := only(t, trace, logOf(every(c.from, c.to, 5), 5, rising(22, 0.1)), Settings{Start: c.start})
		if n.Log != c.log || n.Common != c.common {
			t.Errorf("%s: the log covers %v, common is %v, want %v and %v", name, n.Log, n.Common, c.log, c.common)
		}
		near(t, name+": offset", n.Offset, c.offset, rounding)
		near(t, name+": mean", n.All.Mean, c.offset, rounding)
		near(t, name+": tail", n.Tail, c.common.Length()/10, rounding)
	}
}

// The tail is a tenth of what is compared unless it is stated, and never more than
// that; where it begins within a step, part of the step counts.
func TestTail(t *testing.T) {
	trace := traceOf(100, 0, flat(30), flat(0))
	m := logOf(every(0, 100, 10), 10, rising(30, 0.1))
	for _, c := range []struct {
		stated       spec.Number
		length, mean float64
	}{
		{spec.Number{}, 10, 9.5},
		{spec.Some(4), 4, 9.8},
		{spec.Some(25), 25, 8.75},
		{spec.Some(1e6), 100, 5},
	} {
		n := only(t, trace, m, Settings{Tail: c.stated})
		near(t, "length", n.Tail, c.length, rounding)
		near(t, "mean over the tail", n.All.Tail, c.mean, rounding)
		near(t, "mean over the tail less the offset", n.Less.Tail, c.mean, rounding)
	}
}

// A tail that lies in a gap is the last sample.
func TestTailInGap(t *testing.T) {
	n := only(t, traceOf(100, 0, flat(30), flat(0)), logOf([]float64{0, 1, 2, 3, 100}, 5, rising(30, 0.1)), Settings{})
	near(t, "tail", n.All.Tail, 10, rounding)
}

// Two sensors are compared each with its own column.
func TestTwoNodes(t *testing.T) {
	y := logOf(every(0, 50, 5), 5, flat(42))
	y.Path, y.Column = "y", "y_c"
	c, err := Compare(traceOf(50, 0, flat(30), flat(40)), []Measured{y, logOf(every(0, 50, 5), 5, flat(29))}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Nodes) != 2 || c.Nodes[0].Path != "y" || c.RunTo != 50 {
		t.Fatalf("%+v", c)
	}
	near(t, "y", c.Nodes[0].All.Mean, 2, rounding)
	near(t, "x", c.Nodes[1].All.Mean, -1, rounding)
}

func TestNoOverlap(t *testing.T) {
	trace := traceOf(50, 0, flat(30), flat(40))
	for _, start := range []float64{200, -60} {
		_, err := Compare(trace, []Measured{logOf(every(0, 100, 5), 5, flat(29))}, Settings{Start: start})
		var apart *NoOverlapError
		if !errors.As(err, &apart) || apart.Path != "x" || apart.Log != (Span{-start, 100 - start}) || apart.RunTo != 50 {
			t.Errorf("start %g: %v", start, err)
		}
	}
}

func TestErrors(t *testing.T) {
	trace := traceOf(50, 0, flat(30), flat(40))
	good := logOf(every(0, 50, 5), 5, flat(29))
	other, empty, negative := good, good, good
	other.Column = "z_c"
	empty.Series = &spec.Series{}
	negative.Gap = math.NaN()
	for _, c := range []struct {
		all  []Measured
		set  Settings
		want string
	}{
		{[]Measured{good, good}, Settings{}, "asked for twice"},
		{[]Measured{other}, Settings{}, "no column z_c"},
		{[]Measured{empty}, Settings{}, "no samples"},
		{[]Measured{negative}, Settings{}, "cannot be gaps"},
		{[]Measured{good}, Settings{Start: math.Inf(1)}, "no time"},
		{[]Measured{good}, Settings{Tail: spec.Some(0)}, "longer than none"},
	} {
		if _, err := Compare(trace, c.all, c.set); err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "fit: ") {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	trace.Reset()
	if _, err := Compare(trace, []Measured{good}, Settings{}); err == nil {
		t.Error("an empty trace is compared")
	}
}

// Most of it is the offset as soon as less than half of the root mean square is
// left: with 1 K at first and 1 K + d from then on, at the middle of two samples.
func TestMostlyOffset(t *testing.T) {
	for d, want := range map[float64]bool{0: true, 0.5: true, -0.4: true, 2.5: false, -0.9: false} {
		measured := func(t float64) float64 { return 31 + d*math.Min(t, 1) }
		n := only(t, traceOf(1, 0, flat(30), flat(0)), logOf([]float64{0, 1}, 1, measured), Settings{})
		near(t, "rms", n.All.RMS, math.Sqrt((1+(1+d)*(1+d))/2), rounding)
		near(t, "rms less the offset", n.Less.RMS, math.Abs(d)/math.Sqrt2, rounding)
		if n.MostlyOffset() != want {
			t.Errorf("with %g K more at the end, rms %g and %g, it is %t", d, n.All.RMS, n.Less.RMS, n.MostlyOffset())
		}
	}
}
