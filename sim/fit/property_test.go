package fit

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// draw returns a trace and a log that overlap, with gaps now and then.
func draw(t *rapid.T) (*record.Frame, Measured, Settings) {
	value := rapid.Float64Range(-20, 20)
	model := rapid.SliceOfN(value, 101, 101).Draw(t, "model")
	trace := traceOf(100, 0, func(t float64) float64 { return 40 + model[int(t)] }, flat(0))
	s := &spec.Series{}
	at := rapid.Float64Range(0, 50).Draw(t, "first")
	for range rapid.IntRange(1, 40).Draw(t, "samples") {
		s.Times, s.Values = append(s.Times, at), append(s.Values, zeroCelsius+40+value.Draw(t, "measured"))
		at += rapid.Float64Range(0.01, 8).Draw(t, "step")
	}
	set := Settings{Start: rapid.Float64Range(s.Times[0]-100, s.Times[0]).Draw(t, "start")}
	if rapid.Bool().Draw(t, "states a tail") {
		set.Tail = spec.Some(rapid.Float64Range(0.1, 200).Draw(t, "tail"))
	}
	return trace, Measured{Path: "x", Column: "x_c", Series: s, Gap: rapid.Float64Range(0, 8).Draw(t, "gap")}, set
}

func compared(t *rapid.T, trace *record.Frame, m Measured, set Settings) *Node {
	c, err := Compare(trace, []Measured{m}, set)
	if err != nil {
		t.Fatal(err)
	}
	return &c.Nodes[0]
}

func close(t *rapid.T, what string, got, want float64) {
	if !(math.Abs(got-want) <= 1e-9) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

// What holds of any log: the figures are those of one and the same difference.
func TestFiguresAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, m, set := draw(t)
		n := compared(t, trace, m, set)
		for _, d := range []Difference{n.All, n.Less} {
			if most := math.Abs(d.Largest) + 1e-12; math.Abs(d.Mean) > d.RMS+1e-12 || d.RMS > most || math.Abs(d.Tail) > most {
				t.Errorf("%+v", d)
			}
		}
		close(t, "mean less the offset", n.Less.Mean, n.All.Mean-n.Offset)
		close(t, "tail less the offset", n.Less.Tail, n.All.Tail-n.Offset)
		close(t, "squares", n.All.RMS*n.All.RMS, n.Less.RMS*n.Less.RMS+2*n.Offset*n.Less.Mean+n.Offset*n.Offset)
		if n.Common.From < 0 || n.Common.To > 100 || n.Common.From < n.Log.From || n.Common.To > n.Log.To || n.Tail > n.Common.Length() {
			t.Errorf("%+v", n)
		}
	})
}

// A sensor that reads c higher moves the offset and the means by c, and changes
// nothing of what is left without the offset.
func TestConstantErrorOfSensor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, m, set := draw(t)
		c := rapid.Float64Range(-5, 5).Draw(t, "c")
		higher := m
		higher.Series = m.Series.Clone()
		for i := range higher.Series.Values {
			higher.Series.Values[i] += c
		}
		a, b := compared(t, trace, m, set), compared(t, trace, higher, set)
		close(t, "offset", b.Offset, a.Offset+c)
		close(t, "mean", b.All.Mean, a.All.Mean+c)
		close(t, "tail", b.All.Tail, a.All.Tail+c)
		close(t, "mean less the offset", b.Less.Mean, a.Less.Mean)
		close(t, "rms less the offset", b.Less.RMS, a.Less.RMS)
		close(t, "largest less the offset", math.Abs(b.Less.Largest), math.Abs(a.Less.Largest))
	})
}

// A trace with twice as many rows on the same lines gives the same figures, and a
// log over the model itself differs by nothing.
func TestRowsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, m, set := draw(t)
		model := trace.Floats(2)
		line := func(t float64) float64 {
			i := min(int(t), 99)
			return model[i] + (t-float64(i))*(model[i+1]-model[i])
		}
		finer := record.NewFrame(trace.Table())
		for k := range 201 {
			finer.AppendInts(0, []int64{7})
			finer.AppendFloatRow(1, []float64{float64(k) / 2, line(float64(k) / 2), 0})
		}
		a, b := compared(t, trace, m, set), compared(t, finer, m, set)
		close(t, "mean", b.All.Mean, a.All.Mean)
		close(t, "rms", b.All.RMS, a.All.RMS)
		close(t, "largest", b.All.Largest, a.All.Largest)
		right := m
		right.Series = m.Series.Clone()
		for i, at := range right.Series.Times {
			right.Series.Values[i] = zeroCelsius + line(math.Max(0, math.Min(100, at-set.Start)))
		}
		close(t, "rms of the model itself", compared(t, trace, right, set).All.RMS, 0)
	})
}

// Every row of a widened trace has a residual where, and only where, it has a
// measured value, and that is their difference.
func TestResidualsOfTrace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, m, set := draw(t)
		c, err := Compare(trace, []Measured{m}, set)
		if err != nil {
			t.Fatal(err)
		}
		frames, err := c.Wider([]*record.Frame{trace})
		if err != nil {
			t.Fatal(err)
		}
		f := frames[0]
		for row := range f.Rows() {
			at := float64(row) + set.Start
			before, after := math.Inf(-1), math.Inf(1)
			for _, s := range m.Series.Times {
				if s <= at {
					before = s
				}
				if s >= at && s < after {
					after = s
				}
			}
			null := math.IsInf(after-before, 1) || after-before > m.Gap && before != after
			if f.IsNull(4, row) != null || f.IsNull(5, row) != null {
				t.Fatalf("row %d, between samples at %v and %v, gaps from %v: null is %t and %t", row, before, after, m.Gap, f.IsNull(4, row), f.IsNull(5, row))
			}
			if !null && f.Floats(5)[row] != f.Floats(4)[row]-f.Floats(2)[row] {
				t.Fatalf("row %d: residual %v", row, f.Floats(5)[row])
			}
		}
	})
}
