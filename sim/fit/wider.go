package fit

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"soakledger/sim/record"
)

// Names of the tables that a comparison widens.
const (
	traceTable = "traces"
	runTable   = "runs"
)

// Wider returns the frames of a run, the traces and the run's row with columns of
// the comparison behind their own and the others as they are. The wider ones share
// memory with those given, which must not be changed from then on. The columns of
// a node are named after its column in the trace: cpu_die_measured_c.
func (c *Comparison) Wider(frames []*record.Frame) ([]*record.Frame, error) {
	wider := make([]*record.Frame, len(frames))
	for i, f := range frames {
		var err error
		switch f.Table().Name {
		case traceTable:
			wider[i], err = c.trace(f)
		case runTable:
			wider[i], err = c.run(f)
		default:
			wider[i] = f
		}
		if err != nil {
			return nil, fmt.Errorf("fit: adding to table %s: %w", f.Table().Name, err)
		}
	}
	return wider, nil
}

// stem returns the name of a node's column in the trace without its unit.
func (n *Node) stem() string { return strings.TrimSuffix(n.Column, "_c") }

// adding collects columns for a table.
type adding struct {
	table record.Table
	more  []record.Column
}

// column adds a column. Where a part is called so that its columns have the name
// already, the new one is told apart by a number before its unit.
func (a *adding) column(c record.Column, unit string) {
	name := c.Name
	c.Name = name + unit
	for k := 2; a.taken(c.Name); k++ {
		c.Name = fmt.Sprintf("%s_%d%s", name, k, unit)
	}
	a.more = append(a.more, c)
}

func (a *adding) taken(name string) bool {
	return a.table.Index(name) >= 0 || record.Table{Columns: a.more}.Index(name) >= 0
}

// trace adds measured values and residuals to a trace.
func (c *Comparison) trace(f *record.Frame) (*record.Frame, error) {
	a := adding{table: f.Table()}
	for i := range c.Nodes {
		n := &c.Nodes[i]
		model := f.Col(n.Column)
		if model < 0 {
			return nil, fmt.Errorf("there is no column %s", n.Column)
		}
		grid := a.table.Columns[model].Grid
		a.column(record.Column{Name: n.stem() + "_measured", Unit: "degC", Nullable: true, Grid: grid,
			Meaning: "measured temperature of " + n.Path + ", on straight lines between the samples of the log; null outside it and in its gaps"}, "_c")
		a.column(record.Column{Name: n.stem() + "_residual", Unit: "K", Nullable: true, Grid: grid,
			Meaning: "measured minus modelled temperature of " + n.Path}, "_k")
	}
	w := f.Wider(a.more...)
	times := f.Floats(f.Col(timeColumn))
	first := len(a.table.Columns)
	for i := range c.Nodes {
		n := &c.Nodes[i]
		model := f.Floats(f.Col(n.Column))
		c.fill(n, w, first+2*i, times, model)
	}
	return w, w.Check()
}

// fill fills a node's column of measured values, col, and that of residuals behind
// it. Residuals are those of the values as they are stored, so that readers find
// the difference they compute.
func (c *Comparison) fill(n *Node, w *record.Frame, col int, times, model []float64) {
	grid := w.Table().Columns[col].Grid
	measured, residuals := w.ExtendFloats(col, len(times)), w.ExtendFloats(col+1, len(times))
	noMeasured, noResidual := w.Nulls(col), w.Nulls(col+1)
	for row, t := range times {
		kelvin, ok := n.at(t + c.start)
		measured[row], residuals[row] = 0, 0
		noMeasured[row], noResidual[row] = !ok, !ok
		if ok {
			measured[row] = onGrid(kelvin-zeroCelsius, grid)
			residuals[row] = measured[row] - onGrid(model[row], grid)
		}
	}
}

// at returns the measured temperature (K) at a time of the log, or false outside it
// or within a gap.
func (m *Measured) at(t float64) (kelvin float64, ok bool) {
	times := m.Series.Times
	i := sort.SearchFloat64s(times, t) // the first sample at t or behind it
	switch {
	case i == len(times) || i == 0 && times[0] != t:
		return 0, false
	case times[i] != t && times[i]-times[i-1] > m.Gap:
		return 0, false
	}
	return m.Series.At(t), true
}

// onGrid returns v as it is stored in a column of this grid, a power of two or 0.
func onGrid(v, grid float64) float64 {
	if grid == 0 {
		return v
	}
	return math.RoundToEven(v/grid) * grid
}

// figure is a column of the run's row.
type figure struct {
	name, unit, meaning string
	value               float64
}

// figures lists what a run's row says of a node.
func (n *Node) figures() []figure {
	all := []figure{
		{"_compared_from", "s", "first sample of %s within the run", n.Common.From},
		{"_compared_to", "s", "last sample of %s within the run", n.Common.To},
		{"_offset", "K", "measured minus modelled %s at the first sample within the run", n.Offset},
	}
	for _, d := range []struct {
		name, less string
		Difference
	}{{"_difference", "", n.All}, {"_less_offset", ", less the offset at the start", n.Less}} {
		all = append(all,
			figure{d.name + "_mean", "K", "measured minus modelled %s, mean over time" + d.less, d.Mean},
			figure{d.name + "_rms", "K", "measured minus modelled %s, root mean square over time" + d.less, d.RMS},
			figure{d.name + "_largest", "K", "measured minus modelled %s, farthest from zero" + d.less, d.Largest},
			figure{d.name + "_largest_at", "s", "time of that difference of %s from the start of the run" + d.less, d.LargestAt},
			figure{d.name + "_tail", "K", "measured minus modelled %s, mean over the tail of what is compared" + d.less, d.Tail})
	}
	return all
}

// run adds the figures to the run's row.
func (c *Comparison) run(f *record.Frame) (*record.Frame, error) {
	a := adding{table: f.Table()}
	var values []float64
	for i := range c.Nodes {
		n := &c.Nodes[i]
		for _, x := range n.figures() {
			a.column(record.Column{Name: n.stem() + x.name, Unit: x.unit, Meaning: fmt.Sprintf(x.meaning, n.Path)}, "_"+strings.ToLower(x.unit))
			values = append(values, x.value)
		}
	}
	w := f.Wider(a.more...)
	for i, v := range values {
		w.AppendFloats(len(a.table.Columns)+i, []float64{v})
	}
	return w, w.Check()
}
