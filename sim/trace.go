package sim

import (
	"fmt"

	"gonum.org/v1/gonum/floats"

	"soakledger/sim/assemble"
	"soakledger/sim/network"
	"soakledger/sim/record"
)

// tracer samples the interpolant on the grid into the trace, column by column
// over the rows of one step; columns that are constant, over those of a phase. A row at a jump holds the values that begin there.
type tracer struct {
	frame       *record.Frame
	grid        record.Grid
	id          int64
	ambient     float64 // K, of a room that stays as it is
	moves       bool    // it does not
	coolant     int     // state of the coolant column, -1 if there is none
	lumps       int
	paths       int
	leaks       int
	air         []airColumn
	plan        *assemble.Plan
	controllers []*controller

	protectors []*protector
	boosts     []boost

	from  float64   // s, start of the phase in hand
	power []float64 // W, of every source at its start, then what every protected chip is asked for
	slope []float64 // W/s
	load  float64   // W, of all sources together
	ramp  float64   // W/s, likewise
	asked float64   // J requested up to its start

	columns [][]float64 // of the frame, with room for rows to come; nil where it is no Float column
	rows    int         // written
	held    int         // of them, those that have their constant columns too
	thetas  []float64   // of the rows in hand
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
	for _, c := range airTrace(p) {
		t.Columns = append(t.Columns, c.column)
	}
	for _, name := range p.Network.Sources() {
		t.Columns = append(t.Columns, record.Column{Name: name + "_power_w", Unit: "W", Meaning: "power that " + name + " draws; leakage of a chip is not in it"})
	}
	requested, left := protectionTrace(p)
	t.Columns = append(t.Columns, requested...)
	for _, l := range p.Loops {
		t.Columns = append(t.Columns, flowColumn(p, l))
	}
	for _, c := range p.Controlled {
		t.Columns = append(t.Columns, record.Column{Name: c.Name + speedColumn(c), Unit: "min-1", Meaning: "speed of " + c.Name, Grid: 1.0 / 8})
	}
	t.Columns = append(t.Columns, left...)
	t.Columns = append(t.Columns,
		record.Column{Name: "energy_in_j", Unit: "J", Meaning: "energy released by all sources since the start"},
		record.Column{Name: "heat_out_j", Unit: "J", Meaning: "energy that has left by all paths since the start"})
	return t
}

// speedColumn ends the name of the column of a controlled speed.
func speedColumn(c assemble.Controlled) string {
	if c.Pump {
		return "_pump_rpm"
	}
	return "_fan_rpm"
}

// airColumn is a signal in the trace, in the column's unit once shift is added.
type airColumn struct {
	column record.Column
	signal int
	shift  float64
}

// Ends of the names of columns of air.
const (
	airInColumn  = "_air_in_c"
	airOutColumn = "_air_out_c"
)

// heatGrid is the resolution of stored heats, W: below what any fan or sensor
// repeats.
const heatGrid = 0.125

// airTrace lists the columns of radiators whose air is known: by their fans, or by
// the case around them. Where nothing but the room is breathed, ambient_c is that air,
// but for what fans before the core add.
func airTrace(p *assemble.Plan) []airColumn {
	grid := binaryGrid(p.Scenario.Record.Resolution.Value)
	var all []airColumn
	for k, a := range p.Air {
		if a.Fans == 0 && p.CaseAir == nil {
			continue
		}
		add := func(which int, name, unit, meaning string, grid, shift float64) {
			c := record.Column{Name: a.Name + name, Unit: unit, Meaning: meaning + a.Name, Grid: grid}
			all = append(all, airColumn{c, radiatorParts*k + which, shift})
		}
		if p.CaseAir != nil || p.Scenario.Room != nil || !breathesRoom(p, a) {
			add(airIn, airInColumn, "degC", "air entering the core of ", grid, -zeroCelsius)
		}
		add(airOut, airOutColumn, "degC", "air leaving the core of ", grid, -zeroCelsius)
		add(airHeat, "_heat_w", "W", "heat given to the air by ", heatGrid, 0)
	}
	return all
}

// flowGrid is the resolution of stored flows, L/min: a thousandth, where meters
// are good to a twentieth.
const flowGrid = 1.0 / (1 << 10)

// flowColumn describes a loop's flow; only several loops need their names.
func flowColumn(p *assemble.Plan, l assemble.Loop) record.Column {
	c := required("flow_l_min", "L min-1", "coolant flow", record.Float)
	if len(p.Loops) > 1 {
		c.Name, c.Meaning = l.Name+"_flow_l_min", "coolant flow of loop "+l.Name
	}
	c.Grid = flowGrid
	return c
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

// mostValues bounds a trace: a gibibyte of numbers.
const mostValues = 1 << 27

// reserved bounds the rows for which a trace has room before it begins: a run
// may end early.
const reserved = 1 << 16

// newTracer prepares the trace of a run.
func newTracer(s *Simulation) (*tracer, error) {
	p := s.Plan
	table := traceTable(p)
	every := p.Scenario.Record.Every.Value
	grid := record.NewGrid(every)
	rows := grid.Count(s.end) + 1 // the end may lie off the grid
	if rows > mostValues/int64(len(table.Columns)) {
		return nil, assemble.Problems{{Path: "record.every", Text: fmt.Sprintf("%.3g s at one row every %g s are %.2g rows of %d columns, more than memory should hold; state a longer interval",
			s.end, every, float64(rows), len(table.Columns))}}
	}
	t := &tracer{
		frame: s.set.Memory.frameOf(traceRows, table), grid: grid, id: int64(s.set.RunID), plan: p,
		ambient: s.in.Temperature[0], moves: p.RoomMoves() || warmsRoom(p), coolant: -1,
		lumps: len(p.Nodes), paths: len(p.Network.Paths()), leaks: len(p.Network.Leaks()), air: airTrace(p),
		controllers: s.controllers, protectors: s.protectors, boosts: boosts(p, s.protectors),
		power: make([]float64, len(s.in.Power)+len(s.protectors)), slope: make([]float64, len(s.in.Power)+len(s.protectors)),
	}
	if len(p.Loops) > 0 {
		t.coolant = int(p.Loops[0].Outlet)
	}
	t.reserve(int(min(rows, reserved)))
	return t, nil
}

// reserve makes room for a number of rows more.
func (t *tracer) reserve(rows int) {
	t.frame.AppendRepeated(0, t.id, rows)
	t.columns = t.columns[:0]
	for col := range t.frame.Table().Columns {
		if col > 0 {
			t.frame.ExtendFloats(col, rows)
		}
		t.columns = append(t.columns, t.frame.Floats(col))
	}
}

// jump takes over the powers that hold from time at on, with their slopes, and
// the energy requested up to then.
func (t *tracer) jump(at float64, power, slope, energy []float64) {
	t.hold()
	t.from = at
	copy(t.power, power)
	copy(t.slope, slope)
	for k, p := range t.protectors {
		t.power[len(power)+k], t.slope[len(power)+k] = p.request, p.slope
	}
	t.load, t.ramp, t.asked = 0, 0, 0
	for k, p := range power {
		t.load += p
		t.ramp += slope[k]
		t.asked += energy[k]
	}
}

// askedAt returns the energy requested up to a time, J.
func (t *tracer) askedAt(at float64) float64 {
	d := at - t.from
	return t.asked + (t.load+t.ramp*d/2)*d
}

// add writes the rows whose times lie in the step, its end left out.
func (t *tracer) add(v *view) {
	end := v.End()
	if t.grid.Next() >= end {
		return
	}
	start := v.Start()
	perSecond := 1 / (end - start)
	t.thetas = t.thetas[:0]
	for at := t.grid.Next(); at < end; at = t.grid.Next() {
		t.place(at)
		t.thetas = append(t.thetas, (at-start)*perSecond)
		t.grid.Advance()
	}
	t.write(v, start, end-start)
}

// place begins a row of time at.
func (t *tracer) place(at float64) {
	row := t.rows + len(t.thetas)
	if row == len(t.columns[1]) {
		t.reserve(row)
	}
	t.columns[1][row] = at
}

// finish writes the row at the end of the run, on the grid or not: no step has
// written its own end. y is the temperatures, energies and signals there. The
// frame is then complete.
func (t *tracer) finish(at float64, y []float64) {
	t.thetas = t.thetas[:0]
	t.place(at)
	if t.moves {
		t.columns[2][t.rows] = t.plan.Network.BoundaryTemperature(0, at) - zeroCelsius
	}
	col := 3
	put := func(v float64) {
		t.columns[col][t.rows] = v
		col++
	}
	if t.coolant >= 0 {
		put(y[t.coolant] - zeroCelsius)
	}
	for _, v := range y[:t.lumps] {
		put(v - zeroCelsius)
	}
	signals := y[t.lumps+t.paths+t.leaks:]
	for _, c := range t.air {
		put(signals[c.signal] + c.shift)
	}
	col += len(t.power)
	for _, l := range t.plan.Loops {
		put(t.plan.FlowAt(l, y[l.Outlet]) * 6e4)
	}
	for _, c := range t.controllers {
		put(60 * c.Rated * c.at(at, t.plan.Network, func(n network.Node) float64 { return y[n] }))
	}
	for k := range t.boosts {
		put(t.boosts[k].left(t.boosts[k].of.averages, nil, 0))
	}
	leaked := floats.Sum(y[t.lumps+t.paths:][:t.leaks])
	put(leaked + t.askedAt(at))
	put(floats.Sum(y[t.lumps:][:t.paths]))
	t.rows++
	t.hold()
	t.frame.Truncate(t.rows)
}

// write appends the rows in hand, of a step that begins at start and takes
// length (s), without what hold adds.
func (t *tracer) write(v *view, start, length float64) {
	from, to := t.rows, t.rows+len(t.thetas)
	if t.moves {
		room := v.boundary(0)
		room.FillShifted(-zeroCelsius, t.thetas, t.columns[2][from:to])
	}
	columns := t.columns[3:]
	if t.coolant >= 0 {
		v.of(t.coolant).FillShifted(-zeroCelsius, t.thetas, columns[0][from:to])
		columns = columns[1:]
	}
	for i := range t.lumps {
		v.of(i).FillShifted(-zeroCelsius, t.thetas, columns[i][from:to])
	}
	columns = columns[t.lumps:]
	for k := range t.air {
		c := &t.air[k]
		v.of(t.lumps+t.paths+t.leaks+c.signal).FillShifted(c.shift, t.thetas, columns[k][from:to])
	}
	columns = columns[len(t.air)+len(t.power):]
	for k, l := range t.plan.Loops {
		t.fillFlow(l, v, columns[k][from:to])
	}
	columns = columns[len(t.plan.Loops):]
	for k, c := range t.controllers {
		for i, theta := range t.thetas {
			columns[k][from+i] = 60 * c.Rated * c.at(start+theta*length, t.plan.Network, func(n network.Node) float64 { return v.of(int(n)).At(theta) })
		}
	}
	columns = columns[len(t.controllers):]
	for k := range t.boosts {
		b := &t.boosts[k]
		power := func(since float64) float64 { return b.of.drewAt(start + since) }
		for i, theta := range t.thetas {
			columns[k][from+i] = b.left(b.of.before, power, theta*length)
		}
	}
	columns = columns[len(t.boosts):]
	var in, out record.Polynomial
	v.add(t.lumps+t.paths, t.leaks, &in)
	in[0] += t.askedAt(start)
	in[1] += (t.load + t.ramp*(start-t.from)) * length
	in[2] += t.ramp * length * length / 2
	in.Fill(t.thetas, columns[0][from:to])
	v.add(t.lumps, t.paths, &out)
	out.Fill(t.thetas, columns[1][from:to])
	t.rows = to
}

// hold writes the columns that go on along straight lines since the last jump to
// the rows that there are since.
func (t *tracer) hold() {
	constant := func(col int, v float64) {
		rows := t.columns[col][t.held:t.rows]
		for k := range rows {
			rows[k] = v
		}
	}
	if !t.moves {
		constant(2, t.ambient-zeroCelsius)
	}
	col := len(t.columns) - 2 - len(t.boosts) - len(t.controllers) - len(t.plan.Loops) - len(t.power)
	for k, p := range t.power {
		constant(col+k, p)
		if slope := t.slope[k]; slope != 0 {
			times, rows := t.columns[1][t.held:t.rows], t.columns[col+k][t.held:t.rows]
			for i := range rows {
				rows[i] += slope * (times[i] - t.from)
			}
		}
	}
	t.held = t.rows
}

// fillFlow writes a loop's flow (L/min) at the rows in hand. It follows the
// temperature of the loop's outlet.
func (t *tracer) fillFlow(l assemble.Loop, v *view, rows []float64) {
	v.of(int(l.Outlet)).Fill(t.thetas, rows)
	for k, temperature := range rows {
		rows[k] = t.plan.FlowAt(l, temperature) * 6e4
	}
}
