package sim

import (
	"soakledger/sim/assemble"
	"soakledger/sim/record"
)

// tracer samples the interpolant on the grid into the trace. A row at a jump
// holds the values that begin there.
type tracer struct {
	frame    *record.Frame
	grid     record.Grid
	id       int64
	lumps    int
	paths    int
	leaks    int
	subject  int
	coolant  int // state of the coolant column, -1 if there is none
	ambient  float64
	jumpAt   float64
	power    []float64
	energy   []float64 // J requested up to the last jump
	row      []float64 // one row without its identity
	y        []float64 // state at a row
	flow     []float64 // L/min of every loop
	lastTime float64
}

// traceTable describes the columns of a plan's trace.
func traceTable(p *assemble.Plan) record.Table {
	grid := binaryGrid(p.Scenario.Record.Resolution.Value)
	t := record.Table{Name: "traces", Columns: []record.Column{
		{Name: "run_id", Unit: "1", Meaning: "run in the dataset", Kind: record.Int},
		{Name: "time_s", Unit: "s", Meaning: "time from the start of the run"},
		{Name: "ambient_c", Unit: "degC", Meaning: "room air", Grid: grid},
	}}
	if len(p.Loops) > 0 {
		t.Columns = append(t.Columns, record.Column{Name: "coolant_c", Unit: "degC", Meaning: "coolant at the reservoir outlet, else at the pump inlet", Grid: grid})
	}
	for _, n := range p.Nodes {
		t.Columns = append(t.Columns, record.Column{Name: n.Column + "_c", Unit: "degC", Meaning: "temperature of " + n.Path, Grid: grid})
	}
	for _, name := range p.Network.Sources() {
		t.Columns = append(t.Columns, record.Column{Name: name + "_power_w", Unit: "W", Meaning: "requested power of " + name})
	}
	for _, l := range p.Loops {
		t.Columns = append(t.Columns, flowColumn(p, l))
	}
	t.Columns = append(t.Columns,
		record.Column{Name: "energy_in_j", Unit: "J", Meaning: "energy released by all sources since the start"},
		record.Column{Name: "heat_out_j", Unit: "J", Meaning: "energy that has left by all paths since the start"})
	return t
}

// flowColumn describes a loop's flow; only several loops need their names.
func flowColumn(p *assemble.Plan, l assemble.Loop) record.Column {
	if len(p.Loops) == 1 {
		return required("flow_l_min", "L min-1", "coolant flow", record.Float)
	}
	return required(l.Name+"_flow_l_min", "L min-1", "coolant flow of loop "+l.Name, record.Float)
}

// binaryGrid returns the largest power of two that is not above resolution
// (K), or 0 for exact storage.
func binaryGrid(resolution float64) float64 {
	if resolution <= 0 {
		return 0
	}
	grid := 1.0
	for grid > resolution {
		grid /= 2
	}
	return grid
}

// newTracer prepares the trace of a run.
func newTracer(s *Simulation) *tracer {
	p := s.Plan
	table := traceTable(p)
	t := &tracer{
		frame: record.NewFrame(table), grid: record.NewGrid(p.Scenario.Record.Every.Value), id: int64(s.set.RunID),
		lumps: len(p.Nodes), paths: len(p.Network.Paths()), leaks: len(p.Network.Leaks()),
		coolant: -1, ambient: s.in.Temperature[0],
		power: make([]float64, len(s.in.Power)), energy: make([]float64, len(s.in.Power)),
		row: make([]float64, len(table.Columns)-1), y: make([]float64, len(s.y0)), lastTime: -1,
	}
	if len(p.Loops) > 0 {
		t.coolant = int(p.Loops[0].Outlet)
	}
	for _, l := range p.Loops {
		t.flow = append(t.flow, l.Flow*6e4)
	}
	return t
}

// jump takes over the powers that hold from time at on.
func (t *tracer) jump(at float64, power, energy []float64) {
	t.jumpAt = at
	copy(t.power, power)
	copy(t.energy, energy)
}

// add writes the rows whose times lie in the step, its end left out.
func (t *tracer) add(s record.Segment) {
	for at := t.grid.Next(); at < s.End(); at = t.grid.Next() {
		s.Into(at, t.y)
		t.write(at)
		t.grid.Advance()
	}
}

// finish writes the row at the end of the run, on the grid or not.
func (t *tracer) finish(at float64, y []float64) {
	if at > t.lastTime {
		copy(t.y, y)
		t.write(at)
	}
}

// write appends one row.
func (t *tracer) write(at float64) {
	row := append(t.row[:0], at, t.ambient-zeroCelsius)
	if t.coolant >= 0 {
		row = append(row, t.y[t.coolant]-zeroCelsius)
	}
	for _, temperature := range t.y[:t.lumps] {
		row = append(row, temperature-zeroCelsius)
	}
	row = append(row, t.power...)
	row = append(row, t.flow...)
	in, out := 0.0, 0.0
	for k, p := range t.power {
		in += t.energy[k] + p*(at-t.jumpAt)
	}
	for _, q := range t.y[t.lumps : t.lumps+t.paths] {
		out += q
	}
	for _, q := range t.y[t.lumps+t.paths:] {
		in += q
	}
	t.row = append(row, in, out)
	t.frame.AppendRepeated(0, t.id, 1)
	t.frame.AppendFloatRow(1, t.row)
	t.lastTime = at
}
