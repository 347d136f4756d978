package fit

import (
	"math"
	"slices"
	"testing"

	"soakledger/sim/record"
)

// runsOf returns a run's row with other columns than those of a comparison.
func runsOf(names ...string) *record.Frame {
	t := record.Table{Name: "runs", Columns: []record.Column{{Name: "run_id", Kind: record.Int}}}
	for _, name := range names {
		t.Columns = append(t.Columns, record.Column{Name: name})
	}
	f := record.NewFrame(t)
	f.AppendInts(0, []int64{7})
	for i := range names {
		f.AppendFloats(i+1, []float64{float64(i)})
	}
	return f
}

func names(f *record.Frame) []string {
	var all []string
	for _, c := range f.Table().Columns {
		all = append(all, c.Name)
	}
	return all
}

// widened compares one log and widens frames.
func widened(t *testing.T, trace *record.Frame, m Measured, set Settings, others ...*record.Frame) (*Node, []*record.Frame) {
	t.Helper()
	c, err := Compare(trace, []Measured{m}, set)
	if err != nil {
		t.Fatal(err)
	}
	frames, err := c.Wider(append([]*record.Frame{trace}, others...))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range frames {
		if err := f.Table().Validate(); err != nil {
			t.Error(err)
		}
		if err := f.Check(); err != nil {
			t.Error(err)
		}
	}
	return &c.Nodes[0], frames
}

// Measured values stand on every row of the trace that lies within the log and
// outside its gaps: on straight lines between samples, the samples themselves
// included, and nowhere else.
func TestTrace(t *testing.T) {
	const grid = 1.0 / 16384
	const start = 2.0
	times := []float64{5, 7, 8.5, 20, 22}
	values := map[float64]float64{5: 31, 7: 33, 8.5: 30, 20: 35, 22: 34}
	m := logOf(times, 3, func(t float64) float64 { return values[t] })
	model := rising(30, 0.1)
	_, frames := widened(t, traceOf(30, grid, model, flat(0)), m, Settings{Start: start})
	f := frames[0]
	if want := []string{"run_id", "time_s", "x_c", "y_c", "x_measured_c", "x_residual_k"}; !slices.Equal(names(f), want) {
		t.Fatalf("columns %v, want %v", names(f), want)
	}
	want := map[int]float64{3: 31, 4: 32, 5: 33, 6: 31, 18: 35, 19: 34.5, 20: 34}
	for row := range f.Rows() {
		x, ok := want[row]
		if f.IsNull(4, row) == ok || f.IsNull(5, row) == ok {
			t.Errorf("row %d: null is %t and %t", row, f.IsNull(4, row), f.IsNull(5, row))
		}
		if !ok {
			continue
		}
		near(t, "measured", f.Floats(4)[row], x, grid/2+rounding)
		stored := math.RoundToEven(f.Floats(2)[row]/grid) * grid
		near(t, "residual", f.Floats(5)[row], f.Floats(4)[row]-stored, 0)
		near(t, "measured, off the grid", math.Remainder(f.Floats(4)[row], grid), 0, 0)
	}
	for i, unit := range []string{"degC", "K"} {
		c := f.Table().Columns[4+i]
		if c.Unit != unit || !c.Nullable || c.Grid != grid || c.Meaning == "" {
			t.Errorf("column %+v", c)
		}
	}
}

// Without a grid nothing is rounded.
func TestTraceExact(t *testing.T) {
	_, frames := widened(t, traceOf(10, 0, flat(1.0/3), flat(0)), logOf(every(0, 10, 1), 1, flat(2.0/7)), Settings{})
	for row := range 11 {
		near(t, "measured", frames[0].Floats(4)[row], 2.0/7, 1e-13)
		near(t, "residual", frames[0].Floats(5)[row], frames[0].Floats(4)[row]-1.0/3, 0)
	}
}

// The run's row has every figure under its own name; tables that a log says nothing
// of stay as they are.
func TestRun(t *testing.T) {
	phases := record.NewFrame(record.Table{Name: "phases", Columns: []record.Column{{Name: "level_c"}}})
	n, frames := widened(t, traceOf(100, 0, flat(30), flat(0)), logOf(every(10, 90, 10), 10, rising(30, 0.1)), Settings{}, runsOf("level_c"), phases)
	if frames[2] != phases {
		t.Error("another table was touched")
	}
	f := frames[1]
	got := map[string]float64{}
	units := map[string]string{}
	for i, c := range f.Table().Columns[1:] {
		got[c.Name], units[c.Name] = f.Floats(i + 1)[0], c.Unit
	}
	want := map[string]float64{
		"level_c": 0, "x_compared_from_s": 10, "x_compared_to_s": 90, "x_offset_k": 1,
		"x_difference_mean_k": 5, "x_difference_rms_k": n.All.RMS, "x_difference_largest_k": 9, "x_difference_largest_at_s": 90, "x_difference_tail_k": 8.6,
		"x_less_offset_mean_k": 4, "x_less_offset_rms_k": n.Less.RMS, "x_less_offset_largest_k": 8, "x_less_offset_largest_at_s": 90, "x_less_offset_tail_k": 7.6,
	}
	if len(got) != len(want) {
		t.Errorf("columns %v", names(f))
	}
	for name, x := range want {
		value, ok := got[name]
		if !ok {
			t.Errorf("there is no column %s", name)
		}
		near(t, name, value, x, rounding)
		if unit := map[byte]string{'s': "s", 'k': "K"}[name[len(name)-1]]; units[name] != unit {
			t.Errorf("%s has the unit %q", name, units[name])
		}
	}
}

// Names that are taken get a number before their unit.
func TestTakenNames(t *testing.T) {
	trace := record.NewFrame(record.Table{Name: "traces", Columns: []record.Column{
		{Name: "time_s"}, {Name: "x_c"}, {Name: "x_measured_c"}, {Name: "x_measured_2_c"}}})
	for col, values := range [][]float64{{0, 1}, {30, 31}, {40, 41}, {50, 51}} {
		trace.AppendFloats(col, values)
	}
	_, frames := widened(t, trace, logOf([]float64{0, 1}, 1, rising(30.5, 1)), Settings{}, runsOf("x_offset_k"))
	if got := names(frames[0])[4:]; !slices.Equal(got, []string{"x_measured_3_c", "x_residual_k"}) {
		t.Errorf("added %v", got)
	}
	near(t, "residual", frames[0].Floats(5)[1], 0.5, rounding)
	if i := frames[1].Col("x_offset_2_k"); i < 0 || math.Abs(frames[1].Floats(i)[0]-0.5) > rounding {
		t.Errorf("columns %v", names(frames[1]))
	}
}

// A frame that the comparison does not fit is an error.
func TestWiderRefuses(t *testing.T) {
	c, err := Compare(traceOf(10, 0, flat(30), flat(0)), []Measured{logOf(every(0, 10, 1), 1, flat(30))}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	other := record.NewFrame(record.Table{Name: "traces", Columns: []record.Column{{Name: "time_s"}}})
	if _, err := c.Wider([]*record.Frame{other}); err == nil {
		t.Error("a trace without the column is widened")
	}
	two := runsOf("level_c")
	two.AppendInts(0, []int64{8})
	two.AppendFloats(1, []float64{0})
	if _, err := c.Wider([]*record.Frame{two}); err == nil {
		t.Error("two runs share one comparison")
	}
}
