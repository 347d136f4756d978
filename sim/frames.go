package sim

import (
	"fmt"
	"math"
	"strings"

	"soakledger/sim/assemble"
	"soakledger/sim/metric"
	"soakledger/sim/network"
	"soakledger/sim/record"
)

// Tables returns the tables of a dataset for a plan: runs, phases, traces and
// events.
func Tables(p *assemble.Plan) []record.Table {
	c := columnsOf(p)
	return []record.Table{runTable(p, c), phaseTable(c), traceTable(p), eventTable()}
}

// required makes a column that is never null.
func required(name, unit, meaning string, kind record.Kind) record.Column {
	return record.Column{Name: name, Unit: unit, Meaning: meaning, Kind: kind}
}

// missingColumn says why figures of its row are null.
var missingColumn = record.Column{Name: "missing", Meaning: "figures without a value, each with the reason", Kind: record.Text, Nullable: true}

// phaseTable has one row a phase.
func phaseTable(columns figureColumns) record.Table {
	t := record.Table{Name: "phases", Columns: []record.Column{
		required("run_id", "1", "run in the dataset", record.Int),
		required("phase", "1", "number of the phase in the run, from 1", record.Int),
		required("from_s", "s", "start of the phase", record.Float),
		required("to_s", "s", "end of the phase", record.Float),
	}}
	for _, c := range columns.phase {
		t.Columns = append(t.Columns, c.column)
	}
	t.Columns = append(t.Columns, kindColumn, missingColumn)
	return t
}

// kindColumn says what a load leads to.
var kindColumn = record.Column{Name: "level_kind", Meaning: "continuous: one level; pair: hysteresis lets it rest anywhere between two; cycle: something goes to and fro for ever; none: for the reason in missing", Kind: record.Text, Nullable: true}

// runTable has one row a run: what was built, the largest heating phase, the
// cooling phase after it, and the ledger.
func runTable(p *assemble.Plan, columns figureColumns) record.Table {
	t := record.Table{Name: "runs", Columns: []record.Column{
		required("run_id", "1", "run in the dataset", record.Int),
		required("status", "", "done, left_range or failed", record.Text),
		{Name: "reason", Meaning: "of a status other than done", Kind: record.Text, Nullable: true},
		required("duration_s", "s", "time the run reached", record.Float),
		required("phase_count", "1", "number of phases", record.Int),
		required("ambient_c", "degC", "room air at the start", record.Float),
		required("coolant_volume_ml", "mL", "coolant in all parts", record.Float),
		required("coolant_capacity_j_k", "J K-1", "heat capacity of the coolant", record.Float),
		required("metal_capacity_j_k", "J K-1", "heat capacity of metal and walls of loops and chips, or of all lumps without a loop", record.Float),
	}}
	t.Columns = append(t.Columns, required("metal_mass_kg", "kg", "mass of pumps, fittings, blocks and radiators", record.Float))
	for _, l := range p.Loops {
		t.Columns = append(t.Columns, flowColumn(p, l))
	}
	t.Columns = append(t.Columns, airColumns(p)...)
	t.Columns = append(t.Columns,
		record.Column{Name: "price", Unit: "1", Meaning: "sum of the prices that are stated, in their currency", Kind: record.Float, Nullable: true},
		record.Column{Name: "note", Meaning: "notes of the scenario and its parts", Kind: record.Text, Nullable: true})
	t.Columns = append(t.Columns, record.Column{Name: "heating_phase", Unit: "1", Meaning: "number of the phase with the largest warming, to which the figures without prefix belong", Kind: record.Int, Nullable: true})
	for _, c := range columns.phase {
		t.Columns = append(t.Columns, c.column)
	}
	t.Columns = append(t.Columns, kindColumn)
	for _, c := range columns.cooling {
		t.Columns = append(t.Columns, c.column)
	}
	t.Columns = append(t.Columns, required("highest_c", "degC", "highest of "+p.Subject.Path+" in the whole run", record.Float))
	for _, n := range p.Watched() {
		t.Columns = append(t.Columns, required(n.Column+"_highest_c", "degC", "highest of "+n.Path+" in the whole run", record.Float))
	}
	for k := range 3 {
		t.Columns = append(t.Columns, record.Column{Name: fmt.Sprintf("tau_%d_s", k+1), Unit: "s", Meaning: fmt.Sprintf("time constant %d of the linearised network, slowest first", k+1), Nullable: true})
	}
	t.Columns = append(t.Columns,
		required("energy_in_j", "J", "energy released by all sources", record.Float),
		required("heat_out_j", "J", "energy that left by all paths", record.Float),
		required("stored_j", "J", "energy taken up by all lumps", record.Float),
		required("ledger_residual", "1", "energy unaccounted for, relative to the energy that moved", record.Float),
		required("steps", "1", "accepted steps of the integrator", record.Int),
		required("rejected_steps", "1", "rejected steps of the integrator", record.Int),
		missingColumn)
	return t
}

// airColumns describes what is known of the air before a run: of each radiator,
// of the case, and the noise of all fans.
func airColumns(p *assemble.Plan) []record.Column {
	var all []record.Column
	add := func(name, unit, meaning string) {
		all = append(all, record.Column{Name: name, Unit: unit, Meaning: meaning, Kind: record.Float, Nullable: true})
	}
	for _, a := range p.Air {
		add(a.Name+"_conductance_w_k", "W K-1", "heat of "+a.Name+" over coolant inlet minus air inlet, at 4 L/min of water and the greatest speed of controlled fans")
		add(a.Name+"_airflow_m3_h", "m3 h-1", "air through "+a.Name+" at that speed, below zero where it is blown backward")
		add(a.Name+"_fan_rpm", "min-1", "speed of the fans on "+a.Name+", of controlled ones at the level of the heating phase")
		add(a.Name+"_stack_mm", "mm", "core, fans and gap of "+a.Name+" together")
	}
	for _, c := range p.Controlled {
		if c.Sampled != nil {
			add(c.Name+"_speed_changes_per_h", "h-1", "changes of the speed of "+c.Name+" in an hour")
			add(c.Name+"_hunting_period_s", "s", "period with which the speed of "+c.Name+" hunts; null where it does not")
			add(c.Name+"_hunting_swing_rpm", "min-1", "swing of that hunting")
		}
	}
	for i := range p.Chips {
		if c := &p.Chips[i]; c.Protected() {
			add(c.Name+"_cut_s", "s", "time for which "+c.Name+" drew less than it was asked for")
			add(c.Name+"_first_cut_s", "s", "time of the first such cut; null where there is none")
			add(c.Name+"_lost_work_j", "J", "energy that "+c.Name+" was asked for and did not draw")
			add(c.Name+"_lost_work_percent", "percent", "share of all that "+c.Name+" was asked for")
		}
	}
	if p.CaseAir != nil {
		add("case_pressure_pa", "Pa", "air of the case over the room's")
	}
	add("noise_dba", "dB(A)", "all fans together near 1 m, controlled ones at their speed at the level of the heating phase")
	if p.FansFollow() {
		add("noise_most_dba", "dB(A)", "the same at the greatest speeds of controlled ones")
	}
	return all
}

// runAir writes the columns of airColumns.
func (r *Result) runAir(row *record.Row) {
	put := func(name string, x float64, known bool) {
		if !known || math.IsInf(x, 0) {
			row.SetNull(name)
			return
		}
		row.SetFloat(name, x)
	}
	for _, a := range r.Plan.Air {
		put(a.Name+"_conductance_w_k", a.Conductance, a.Conductance > 0)
		put(a.Name+"_airflow_m3_h", 3600*a.Airflow, a.Fans > 0)
		speed, known := r.fanSpeed(&a)
		put(a.Name+"_fan_rpm", 60*speed, known)
		put(a.Name+"_stack_mm", 1e3*a.Stack, a.Stack > 0)
	}
	for _, s := range r.Speeds {
		if s.Sampled {
			put(s.Name+"_speed_changes_per_h", s.Verdict.PerHour, true)
			put(s.Name+"_hunting_period_s", s.Verdict.Period, s.Verdict.Hunts)
			put(s.Name+"_hunting_swing_rpm", 60*s.Verdict.Swing, s.Verdict.Hunts)
		}
	}
	for _, p := range r.Protections {
		put(p.Chip+"_cut_s", p.Held, true)
		put(p.Chip+"_first_cut_s", p.First, !math.IsNaN(p.First))
		put(p.Chip+"_lost_work_j", p.Lost, true)
		put(p.Chip+"_lost_work_percent", 100*p.Share, true)
	}
	if c := r.Plan.CaseAir; c != nil {
		put("case_pressure_pa", c.Pressure, true)
	}
	noise, known := r.Noise()
	put("noise_dba", noise, known)
	if r.Plan.FansFollow() {
		put("noise_most_dba", r.Plan.Noise(), true)
	}
}

// fanSpeed returns the speed of the fans on a radiator (revolutions per second), of
// controlled ones at the level of the heating phase; known is false without one.
func (r *Result) fanSpeed(a *assemble.AirWay) (speed float64, known bool) {
	i := r.Plan.FanControl(a.Name)
	switch {
	case i < 0:
		return a.Speed, a.Fans > 0
	case r.LevelSpeeds == nil:
		return a.Speed, r.Plan.Controlled[i].Held != 0 // it follows nothing but a fault
	}
	return r.LevelSpeeds[i], true
}

// eventTable has one row an event.
func eventTable() record.Table {
	return record.Table{Name: "events", Columns: []record.Column{
		required("run_id", "1", "run in the dataset", record.Int),
		required("time_s", "s", "time from the start of the run", record.Float),
		required("kind", "", "fault, limit, throttle, shutdown, coolant or left_range", record.Text),
		required("text", "", "what happened", record.Text),
	}}
}

// Frames returns the rows of a result: runs, phases and events, and the traces
// if they were kept. Those of a run in a Memory are valid until the next one begins.
func (r *Result) Frames() ([]*record.Frame, error) {
	columns := columnsOf(r.Plan)
	runs, err := r.runFrame(columns)
	if err != nil {
		return nil, fmt.Errorf("writing the run's row: %w", err)
	}
	phases, err := r.phaseFrame(columns)
	if err != nil {
		return nil, fmt.Errorf("writing the phases: %w", err)
	}
	events, err := r.eventFrame()
	if err != nil {
		return nil, fmt.Errorf("writing the events: %w", err)
	}
	frames := []*record.Frame{runs, phases, events}
	if r.Trace != nil {
		frames = append(frames, r.Trace)
	}
	return frames, nil
}

// figures writes the columns of one phase, or nulls if there is no phase, and
// collects what is missing.
func figures(row *record.Row, columns []phaseColumn, p *metric.Phase, none string, missing []string) []string {
	for _, c := range columns {
		if p == nil {
			row.SetNull(c.column.Name)
			continue
		}
		f := c.get(p)
		if !f.OK() {
			row.SetNull(c.column.Name)
			if f.Why != "" { // else there is nothing that could be missing
				missing = append(missing, c.column.Name+": "+f.Why)
			}
			continue
		}
		row.SetFloat(c.column.Name, f.Value)
	}
	if p == nil {
		missing = append(missing, none)
	}
	return missing
}

// setMissing writes the reasons, or null if nothing is missing.
func setMissing(row *record.Row, missing []string) {
	if len(missing) == 0 {
		row.SetNull("missing")
		return
	}
	row.SetText("missing", strings.Join(missing, "; "))
}

func (r *Result) phaseFrame(columns figureColumns) (*record.Frame, error) {
	f := r.memory.frameOf(phaseRows, phaseTable(columns))
	for i := range r.Phases {
		p := &r.Phases[i]
		row := f.Begin()
		row.SetInt("run_id", int64(r.RunID))
		row.SetInt("phase", int64(i+1))
		row.SetFloat("from_s", p.From)
		row.SetFloat("to_s", p.To)
		row.SetText("level_kind", string(p.Kind))
		setMissing(row, figures(row, columns.phase, p, "", nil))
		if err := row.End(); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// phase returns the phase of an index, or nil.
func (r *Result) phase(i int) *metric.Phase {
	if i < 0 {
		return nil
	}
	return &r.Phases[i]
}

func (r *Result) runFrame(columns figureColumns) (*record.Frame, error) {
	f := r.memory.frameOf(runRows, runTable(r.Plan, columns))
	row := f.Begin()
	row.SetInt("run_id", int64(r.RunID))
	row.SetText("status", string(r.Status))
	if r.Reason == "" {
		row.SetNull("reason")
	} else {
		row.SetText("reason", r.Reason)
	}
	row.SetFloat("duration_s", r.Duration)
	row.SetInt("phase_count", int64(len(r.Phases)))
	row.SetFloat("ambient_c", r.Plan.Scenario.Ambient.Temperature.Value-zeroCelsius)
	coolant, metal := r.Plan.HeatCapacity()
	row.SetFloat("coolant_volume_ml", r.Plan.CoolantVolume*1e6)
	row.SetFloat("coolant_capacity_j_k", coolant)
	row.SetFloat("metal_capacity_j_k", metal)
	row.SetFloat("metal_mass_kg", r.Plan.MetalMass)
	for i, l := range r.Plan.Loops {
		row.SetFloat(flowColumn(r.Plan, l).Name, r.Flows[i]*6e4)
	}
	r.runAir(row)
	r.runBuy(row)
	missing := r.runFigures(row, columns)
	row.SetFloat("highest_c", r.Highest[r.Plan.Subject.Lump]-zeroCelsius)
	for _, n := range r.Plan.Watched() {
		row.SetFloat(n.Column+"_highest_c", r.Highest[n.Lump]-zeroCelsius)
	}
	r.runAccount(row)
	setMissing(row, missing)
	return f, row.End()
}

// runBuy writes what the parts cost, and the notes.
func (r *Result) runBuy(row *record.Row) {
	if sum, stated := r.Price(); stated {
		row.SetFloat("price", sum)
	} else {
		row.SetNull("price")
	}
	var notes []string
	if note := r.Plan.Scenario.Note; note != "" {
		notes = append(notes, note)
	}
	for p := range r.Plan.Scenario.Parts() {
		if p.Note != "" {
			notes = append(notes, p.Name+": "+p.Note)
		}
	}
	if len(notes) == 0 {
		row.SetNull("note")
		return
	}
	row.SetText("note", strings.Join(notes, "; "))
}

// runFigures writes the heating and the cooling phase and the time constants.
func (r *Result) runFigures(row *record.Row, columns figureColumns) (missing []string) {
	if r.Heating < 0 {
		row.SetNull("heating_phase")
	} else {
		row.SetInt("heating_phase", int64(r.Heating+1))
	}
	if p := r.phase(r.Heating); p != nil {
		row.SetText("level_kind", string(p.Kind))
	} else {
		row.SetNull("level_kind")
	}
	missing = figures(row, columns.phase, r.phase(r.Heating), "all figures of a heating phase: nothing warms", nil)
	missing = figures(row, columns.cooling, r.phase(r.Cooling), "all cool_ figures: no cooling phase follows the heating phase", missing)
	for k := range 3 {
		name := fmt.Sprintf("tau_%d_s", k+1)
		if k >= len(r.Modes) {
			row.SetNull(name)
			why := r.ModesWhy
			if why == "" {
				why = "the network has fewer modes"
			}
			missing = append(missing, name+": "+why)
			continue
		}
		row.SetFloat(name, r.Modes[k].Tau)
	}
	return missing
}

// runAccount writes the ledger's totals and the integrator's work.
func (r *Result) runAccount(row *record.Row) {
	row.SetFloat("energy_in_j", network.Total(r.Ledger.In))
	row.SetFloat("heat_out_j", network.Total(r.Ledger.Out))
	row.SetFloat("stored_j", network.Total(r.Ledger.Stored))
	row.SetFloat("ledger_residual", r.Ledger.Relative())
	row.SetInt("steps", int64(r.Stats.Steps))
	row.SetInt("rejected_steps", int64(r.Stats.Rejected))
}

func (r *Result) eventFrame() (*record.Frame, error) {
	f := r.memory.frameOf(eventRows, eventTable())
	for _, e := range r.Events {
		row := f.Begin()
		row.SetInt("run_id", int64(r.RunID))
		row.SetFloat("time_s", e.Time)
		row.SetText("kind", e.Kind)
		row.SetText("text", e.Text)
		if err := row.End(); err != nil {
			return nil, err
		}
	}
	return f, nil
}
