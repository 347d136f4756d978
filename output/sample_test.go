package output

import (
	"errors"
	"flag"
	"math"
	"path/filepath"
	"testing"

	"soakledger/sim/record"
)

var sample = flag.String("sample", "", "folder to write the sample dataset to, for other readers")

// sampleTables are like those of a study: every kind of column, nullable ones,
// grids.
func sampleTables() []record.Table {
	return []record.Table{
		{Name: "runs", Columns: []record.Column{
			{Name: "run_id", Meaning: "number of the run in the plan", Kind: record.Int},
			{Name: "front", Meaning: "variant of the radiator", Kind: record.Text},
			{Name: "power_w", Unit: "W", Meaning: "heat of the chip"},
			{Name: "coolant_peak_c", Unit: "degC", Meaning: "highest coolant temperature"},
			{Name: "t95_s", Unit: "s", Meaning: "time to 95 % of the rise; null if not reached", Nullable: true},
			{Name: "steps", Unit: "1", Meaning: "steps of the integrator", Kind: record.Int, Nullable: true},
			{Name: "settled", Meaning: "whether the run reached its level", Kind: record.Flag},
			{Name: "reason", Meaning: "why a figure is null", Kind: record.Text, Nullable: true},
		}},
		{Name: "traces", Columns: []record.Column{
			{Name: "run_id", Meaning: "number of the run in the plan", Kind: record.Int},
			{Name: "time_s", Unit: "s", Meaning: "time from the start of the run"},
			{Name: "coolant_c", Unit: "degC", Meaning: "coolant at the reservoir's outlet", Grid: 0x1p-14},
			{Name: "case_c", Unit: "degC", Meaning: "case air; null without a case", Nullable: true, Grid: 0x1p-14},
			{Name: "energy_in_j", Unit: "J", Meaning: "energy from all sources since the start", Grid: 0x1p-10},
			{Name: "heat_out_j", Unit: "J", Meaning: "heat to the room since the start", Grid: 0x1p-10},
			{Name: "stored_j", Unit: "J", Meaning: "energy stored since the start", Grid: 0x1p-10},
		}},
	}
}

// sampleRun appends one run of a lump of 2000 J/K behind 8 W/K, in closed form:
// T = Ta + P/G (1 - exp(-t G/C)).
func sampleRun(runs, traces *record.Frame, id int) error {
	const capacity, conductance, ambient, samples = 2000.0, 8.0, 22.0, 600
	power := 80 + 20*float64(id)
	level := ambient + power/conductance
	r := runs.Begin()
	r.SetInt("run_id", int64(id))
	r.SetText("front", []string{"slim", "deep"}[id%2])
	r.SetFloat("power_w", power)
	r.SetFlag("settled", id%3 != 0)
	if id%3 == 0 {
		r.SetNull("t95_s")
		r.SetNull("steps")
		r.SetText("reason", "the run is shorter than 95 % of the rise")
	} else {
		r.SetFloat("t95_s", math.Log(20)*capacity/conductance)
		r.SetInt("steps", int64(100+id))
		r.SetNull("reason")
	}
	var peak float64
	for i := range samples {
		t := 2 * float64(i)
		coolant := level - (level-ambient)*math.Exp(-t*conductance/capacity)
		stored := capacity * (coolant - ambient)
		peak = max(peak, coolant)
		row := traces.Begin()
		row.SetInt("run_id", int64(id))
		row.SetFloat("time_s", t)
		row.SetFloat("coolant_c", coolant)
		row.SetFloat("energy_in_j", power*t)
		row.SetFloat("heat_out_j", power*t-stored)
		row.SetFloat("stored_j", stored)
		if id%2 == 0 {
			row.SetNull("case_c")
		} else {
			row.SetFloat("case_c", ambient+0.3*(coolant-ambient))
		}
		if err := row.End(); err != nil {
			return err
		}
	}
	r.SetFloat("coolant_peak_c", peak)
	return r.End()
}

// TestSampleDataset writes a dataset as a study would and reads it back. With
// -sample DIR it stays there, for testdata/consumers/parquet/check.sh DIR.
func TestSampleDataset(t *testing.T) {
	dir := *sample
	if dir == "" {
		dir = filepath.Join(t.TempDir(), "sample")
	}
	tables := sampleTables()
	w, err := Create(dir, testMeta, tables, Settings{Replace: true})
	if err != nil {
		t.Fatal(err)
	}
	for part := range 3 {
		runs, traces := record.NewFrame(tables[0]), record.NewFrame(tables[1])
		for id := 10 * part; id < 10*part+10; id++ {
			if err := sampleRun(runs, traces, id); err != nil {
				t.Fatal(err)
			}
		}
		if err := errors.Join(w.WritePart("runs", part, runs), w.WritePart("traces", part, traces)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	checkSample(t, dir)
}

func checkSample(t *testing.T, dir string) {
	t.Helper()
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	traces, err := d.Read("traces", "energy_in_j", "heat_out_j", "stored_j", "case_c")
	if err != nil {
		t.Fatal(err)
	}
	if traces.Rows() != 30*600 {
		t.Fatalf("%d rows", traces.Rows())
	}
	for row := range traces.Rows() {
		gap := traces.Floats(0)[row] - traces.Floats(1)[row] - traces.Floats(2)[row]
		if math.Abs(gap) > 1.5*0x1p-10 {
			t.Fatalf("row %d: energy in, out and stored differ by %g J", row, gap)
		}
		if odd := row/600%2 == 1; traces.IsNull(3, row) == odd {
			t.Fatalf("row %d: the null of case_c is wrong", row)
		}
	}
}

// hourTrace is an hour at 1 Hz with 18 columns on a grid of 1 mK; runs differ.
func hourTrace(run int) *record.Frame {
	table := record.Table{Name: "traces", Columns: []record.Column{{Name: "run_id", Kind: record.Int}, {Name: "time_s", Unit: "s"}}}
	for i := range 16 {
		table.Columns = append(table.Columns, record.Column{Name: "lump_" + string(rune('a'+i)) + "_c", Unit: "degC", Grid: 0x1p-10})
	}
	f := record.NewFrame(table)
	_, fraction := math.Modf(float64(run) * math.Phi)
	f.AppendRepeated(0, int64(run), 3600)
	for col := 1; col < len(table.Columns); col++ {
		y, tau := 22.0, 20*float64(col)
		values := f.ExtendFloats(col, 3600)
		for i := range values {
			load := 22 + (18+9*fraction+float64(col)/3)*float64(i/(140+int(100*fraction))%2)
			y += (load - y) / tau
			values[i] = y
			if col == 1 {
				values[i] = float64(i)
			}
		}
	}
	return f
}

// BenchmarkWriteTraces writes parts of one row group, 34 hours at 1 Hz with 18
// columns on a grid of 1 mK, through to the disk.
func BenchmarkWriteTraces(b *testing.B) {
	f := hourTrace(0)
	table := f.Table()
	for run := 1; run < 34; run++ {
		if err := f.AppendFrame(hourTrace(run)); err != nil {
			b.Fatal(err)
		}
	}
	w, err := Create(filepath.Join(b.TempDir(), "set"), testMeta, []record.Table{table}, Settings{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	part := 0
	for b.Loop() {
		if err := w.WritePart("traces", part, f); err != nil {
			b.Fatal(err)
		}
		part++
	}
	bytes := 0.0
	for _, p := range w.written {
		bytes += float64(p.Bytes)
	}
	rows := float64(part) * float64(f.Rows())
	b.ReportMetric(rows/b.Elapsed().Seconds()/1e6, "Mrow/s")
	b.ReportMetric(bytes/rows, "B/row")
}
