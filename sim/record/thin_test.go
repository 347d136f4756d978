package record

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// thinTable has every kind of column that a trace may have.
func thinTable() Table {
	return Table{Name: "traces", Columns: []Column{
		{Name: "run_id", Kind: Int},
		{Name: "time_s", Unit: "s"},
		{Name: "coolant_c", Unit: "degC", Grid: 0x1p-14},
		{Name: "case_c", Unit: "degC", Nullable: true},
		{Name: "flow_l_min", Unit: "L min-1", Grid: 0x1p-10},
		{Name: "energy_in_j", Unit: "J"},
		{Name: "state", Kind: Text, Nullable: true},
		{Name: "throttled", Kind: Flag},
	}}
}

// drawTrace draws some runs: smooth, noisy, jumping and constant columns, nulls
// that come and go, states that change.
func drawTrace(t *rapid.T) *Frame {
	f := NewFrame(thinTable())
	for run := range rapid.IntRange(1, 3).Draw(t, "runs") {
		drawRun(t, f, 7*run)
	}
	return f
}

func drawRun(t *rapid.T, f *Frame, run int) {
	rows := rapid.IntRange(1, 300).Draw(t, "rows")
	noise := rapid.SampledFrom([]float64{0, 1e-12, 0.004, 0.3}).Draw(t, "noise")
	tau := rapid.Float64Range(1, 500).Draw(t, "tau")
	jumps := rapid.SliceOfN(rapid.IntRange(0, 299), 0, 6).Draw(t, "jumps")
	uneven := rapid.Bool().Draw(t, "uneven")
	from, until := rapid.IntRange(0, 300).Draw(t, "null from"), rapid.IntRange(0, 300).Draw(t, "null until")
	at, temperature, load, energy := 0.0, 22.0, 30.0, 0.0
	for i := range rows {
		if slices.Contains(jumps, i) {
			load = 20 + math.Mod(load*7.3, 60)
		}
		step := 1.0
		if uneven {
			step = 0.01 + 3*math.Abs(math.Sin(float64(i*i)))
		}
		wobble := noise * math.Sin(float64(i*i+run))
		r := f.Begin()
		r.SetInt("run_id", int64(run))
		r.SetFloat("time_s", at)
		r.SetFloat("coolant_c", temperature+wobble)
		if from <= i && i < until {
			r.SetNull("case_c")
		} else {
			r.SetFloat("case_c", load)
		}
		if load > 60 {
			r.SetText("state", "hot")
		} else {
			r.SetNull("state")
		}
		r.SetFloat("flow_l_min", 3+wobble)
		r.SetFloat("energy_in_j", energy)
		r.SetFlag("throttled", load > 50)
		if err := r.End(); err != nil {
			t.Fatal(err)
		}
		at += step
		temperature += (load - temperature) * -math.Expm1(-step/tau)
		energy += load * step
	}
}

// stored rounds the Float columns as they are stored.
func stored(f *Frame) *Frame {
	g := NewFrame(f.Table())
	if err := g.AppendFrame(f); err != nil {
		panic(err)
	}
	for col, c := range g.Table().Columns {
		for i, v := range g.Floats(col) {
			if c.Grid != 0 {
				g.Floats(col)[i] = math.RoundToEven(v/c.Grid) * c.Grid
			}
		}
	}
	return g
}

// allowed returns the bound of each Float column for the rows from first to
// end-1, computed as Bound states it.
func allowed(b Bound, f *Frame, col, first, end int) float64 {
	c := f.Table().Columns[col]
	if c.Unit == "degC" {
		return b.Kelvin
	}
	values := f.Floats(col)[first:end]
	span := slices.Max(values) - slices.Min(values)
	return max(b.Share*span, 1e-6*max(slices.Max(values), -slices.Min(values))) + c.Grid
}

// checkThinned compares every row of full with the thinned rows: those that are
// there are equal, those between them are on their lines within the bound.
func checkThinned(full, thin *Frame, b Bound) error {
	full, exact, thin := stored(full), full, stored(thin)
	k := 0 // row of thin at or behind the row of full
	for first := 0; first < full.Rows(); {
		end := first + 1
		for end < full.Rows() && full.Ints(0)[end] == full.Ints(0)[first] {
			end++
		}
		for row := first; row < end; row++ {
			for k < thin.Rows() && (thin.Ints(0)[k] < full.Ints(0)[row] || thin.Ints(0)[k] == full.Ints(0)[row] && thin.Floats(1)[k] < full.Floats(1)[row]) {
				k++
			}
			if k == thin.Rows() || thin.Ints(0)[k] != full.Ints(0)[row] {
				return fmt.Errorf("row %d lies behind the last kept row of its run", row)
			}
			if err := checkRow(full, exact, thin, row, k, first, end, b); err != nil {
				return err
			}
		}
		first = end
	}
	return nil
}

func checkRow(full, exact, thin *Frame, row, k, first, end int, b Bound) error {
	kept := thin.Floats(1)[k] == full.Floats(1)[row]
	if !kept && (k == 0 || thin.Ints(0)[k-1] != thin.Ints(0)[k]) {
		return fmt.Errorf("row %d lies before the first kept row of its run", row)
	}
	for col, c := range full.Table().Columns {
		switch {
		case full.IsNull(col, row) != thin.IsNull(col, k) || !kept && full.IsNull(col, row) != thin.IsNull(col, k-1):
			return fmt.Errorf("row %d: the null of %s is not kept", row, c.Name)
		case full.IsNull(col, row):
		case c.Kind == Text && full.Texts(col)[row] != thin.Texts(col)[k] || c.Kind == Flag && full.Flags(col)[row] != thin.Flags(col)[k]:
			return fmt.Errorf("row %d: %s is not kept", row, c.Name)
		case c.Kind == Float && kept && full.Floats(col)[row] != thin.Floats(col)[k]:
			return fmt.Errorf("row %d: %s differs though it is kept", row, c.Name)
		case c.Kind == Float && !kept:
			share := (full.Floats(1)[row] - thin.Floats(1)[k-1]) / (thin.Floats(1)[k] - thin.Floats(1)[k-1])
			v := thin.Floats(col)[k-1] + share*(thin.Floats(col)[k]-thin.Floats(col)[k-1])
			limit := allowed(b, exact, col, first, end)
			if off := math.Abs(v - full.Floats(col)[row]); !(off <= limit) {
				return fmt.Errorf("row %d: %s is off by %g, more than %g", row, c.Name, off, limit)
			}
		}
	}
	return nil
}

func TestThinnedTraceStaysWithinItsBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		full := drawTrace(t)
		b := Bound{
			Kelvin: rapid.SampledFrom([]float64{0.0002, 0.02, 0.5, 20}).Draw(t, "kelvin"),
			Share:  rapid.SampledFrom([]float64{1e-6, 0.001, 0.1}).Draw(t, "share"),
		}
		filter, err := NewTraceFilter(TraceChoice{Every: 1, Thin: &b}, full.Table())
		if err != nil {
			t.Fatal(err)
		}
		for range 2 { // its scratch memory is used again
			thin := NewFrame(filter.Table())
			if err := filter.Append(thin, full); err != nil {
				t.Fatal(err)
			}
			if err := checkThinned(full, thin, b); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// TestThinningKeepsWhatItMust: a ramp is its two ends, a jump is both of its
// sides, a state is its change.
func TestThinningKeepsWhatItMust(t *testing.T) {
	table := Table{Name: "traces", Columns: []Column{
		{Name: "run_id", Kind: Int}, {Name: "time_s", Unit: "s"}, {Name: "coolant_c", Unit: "degC"},
		{Name: "fan_rpm", Unit: "min-1"}, {Name: "stage", Kind: Int},
	}}
	full := NewFrame(table)
	const rows = 1000
	full.AppendRepeated(0, 3, rows)
	for i := range rows {
		at := float64(i)
		fan, stage := 600.0, int64(1)
		if i >= 400 {
			fan = 1500
		}
		if i >= 700 {
			stage = 2
		}
		full.AppendFloatRow(1, []float64{at, 22 + at/100, fan})
		full.AppendInts(4, []int64{stage})
	}
	b := DefaultBound
	filter, err := NewTraceFilter(TraceChoice{Every: 1, Thin: &b}, table)
	if err != nil {
		t.Fatal(err)
	}
	thin := NewFrame(table)
	if err := filter.Append(thin, full); err != nil {
		t.Fatal(err)
	}
	// Beyond 64 rows the search for the end of a line goes on from the last
	// possible one, so straight stretches are one line whatever their length.
	if want := []float64{0, 399, 400, 699, 700, 999}; !slices.Equal(thin.Floats(1), want) {
		t.Errorf("kept are %v, want %v", thin.Floats(1), want)
	}
}

// TestThinningPays: an exponential approach of 20 K with a time constant tau of
// 600 s over T = 3600 s. A line of length h between two points of the curve is
// off by h² |y”| / 8 (the error of linear interpolation), so lines that all
// are off by e are the integral of sqrt(|y”|/(8 e)) in number, which is
// 2 sqrt(20/(8 e)) (1 - exp(-T/(2 tau))).
func TestThinningPays(t *testing.T) {
	table := Table{Name: "traces", Columns: []Column{{Name: "run_id", Kind: Int}, {Name: "time_s", Unit: "s"}, {Name: "coolant_c", Unit: "degC"}}}
	full := NewFrame(table)
	full.AppendRepeated(0, 0, 3601)
	for i := range 3601 {
		full.AppendFloatRow(1, []float64{float64(i), 42 - 20*math.Exp(-float64(i)/600)})
	}
	b := DefaultBound
	filter, err := NewTraceFilter(TraceChoice{Every: 1, Thin: &b}, table)
	if err != nil {
		t.Fatal(err)
	}
	thin := NewFrame(table)
	if err := filter.Append(thin, full); err != nil {
		t.Fatal(err)
	}
	pieces := 2 * math.Sqrt(20/(8*b.Kelvin)) * -math.Expm1(-3)
	if n := float64(thin.Rows() - 1); n < 0.9*pieces || n > 1.1*pieces {
		t.Errorf("%g lines, about %.3g are needed", n, pieces)
	}
}

// BenchmarkThin thins an hour at 1 Hz with 16 columns that move at different
// paces and jump every ten minutes.
func BenchmarkThin(b *testing.B) {
	table := Table{Name: "traces", Columns: []Column{{Name: "run_id", Kind: Int}, {Name: "time_s", Unit: "s"}}}
	for i := range 16 {
		table.Columns = append(table.Columns, Column{Name: fmt.Sprintf("lump_%d_c", i), Unit: "degC", Grid: 0x1p-14})
	}
	full := NewFrame(table)
	full.AppendRepeated(0, 0, 3600)
	state := make([]float64, 17)
	for i := range 3600 {
		state[0] = float64(i)
		for k := 1; k < len(state); k++ {
			target := 22 + float64(k+30*(i/600%2))
			state[k] += (target - state[k]) / float64(30*k)
		}
		full.AppendFloatRow(1, state)
	}
	bound := DefaultBound
	filter, err := NewTraceFilter(TraceChoice{Every: 1, Thin: &bound}, table)
	if err != nil {
		b.Fatal(err)
	}
	thin := NewFrame(table)
	b.ReportAllocs()
	for b.Loop() {
		thin.Reset()
		if err := filter.Append(thin, full); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)*3600/b.Elapsed().Seconds()/1e6, "Mrow/s")
	b.ReportMetric(float64(full.Rows())/float64(thin.Rows()), "rows/kept")
}
