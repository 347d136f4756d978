package main

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"soakledger/output"
	fig "soakledger/output/figure"
	"soakledger/sim/record"
)

// studyOf writes a dataset of n runs with two varied values; every run but the third has
// a trace of five rows. Run 1 left the model's range, run 2 has no heating phase.
func studyOf(t *testing.T, n int) string {
	t.Helper()
	id := record.Column{Name: "run_id", Kind: record.Int}
	number := func(name, unit string) record.Column {
		return record.Column{Name: name, Unit: unit, Nullable: true}
	}
	runs := record.NewFrame(record.Table{Name: "runs", Columns: []record.Column{
		id, number("front_fan_rpm", "min-1"), {Name: "front", Kind: record.Text}, number("thickness_mm", "mm"), {Name: "status", Kind: record.Text},
		{Name: "heating_phase", Kind: record.Int, Nullable: true}, number("level_c", "degC")}})
	phases := record.NewFrame(record.Table{Name: "phases", Columns: []record.Column{
		id, {Name: "phase", Kind: record.Int}, number("from_s", "s"), number("to_s", "s"), number("level_c", "degC"), number("cpu_die_level_c", "degC")}})
	traces := record.NewFrame(record.Table{Name: "traces", Columns: []record.Column{
		id, {Name: "time_s", Unit: "s"}, number("coolant_c", "degC"), number("cpu_die_c", "degC"), number("cpu_die_measured_c", "degC"),
		number("cpu_power_w", "W"), number("cpu_requested_w", "W"), number("pump_power_w", "W"), number("front_heat_w", "W")}})
	for run := range n {
		r := runs.Begin()
		r.SetInt("run_id", int64(run))
		r.SetFloat("front_fan_rpm", 700.04+100*float64(run/2))
		r.SetText("front", []string{"slim", "deep"}[run%2])
		r.SetFloat("thickness_mm", 45)
		r.SetText("status", "done")
		if run == 1 {
			r = runs.Begin()
			r.SetInt("run_id", 1)
			r.SetNull("front_fan_rpm")
			r.SetText("front", "deep")
			r.SetFloat("thickness_mm", 45)
			r.SetText("status", "left_range")
		}
		r.SetFloat("level_c", 1) // of no use: the phases say for how long
		if run == 2 {
			r.SetNull("heating_phase")
		} else {
			r.SetInt("heating_phase", 2)
		}
		mustEnd(t, r)
		for phase := range 3 {
			r := phases.Begin()
			r.SetInt("run_id", int64(run))
			r.SetInt("phase", int64(phase+1))
			r.SetFloat("from_s", float64(100*phase))
			r.SetFloat("to_s", float64(100*phase+100))
			r.SetFloat("level_c", float64(30+run+10*phase))
			r.SetNull("cpu_die_level_c")
			mustEnd(t, r)
		}
		for row := range 5 {
			if run == 3 {
				break
			}
			r := traces.Begin()
			r.SetInt("run_id", int64(run))
			r.SetFloat("time_s", float64(10*row))
			r.SetFloat("cpu_die_c", float64(60+run))
			if row == 2 {
				r.SetNull("coolant_c")
				r.SetNull("cpu_die_measured_c")
			} else {
				r.SetFloat("coolant_c", float64(20+run+row))
				r.SetFloat("cpu_die_measured_c", 61)
			}
			r.SetFloat("cpu_power_w", 90)
			r.SetFloat("cpu_requested_w", float64(100+run))
			r.SetFloat("front_heat_w", 5000)
			if run == 0 {
				r.SetNull("pump_power_w")
			} else {
				r.SetFloat("pump_power_w", 7)
			}
			mustEnd(t, r)
		}
	}
	return datasetOf(t, fmt.Sprintf("study of %d", n), runs, phases, traces)
}

func mustEnd(t *testing.T, r *record.Row) {
	t.Helper()
	if err := r.End(); err != nil {
		t.Fatal(err)
	}
}

// datasetOf writes a dataset of the given tables.
func datasetOf(t *testing.T, title string, frames ...*record.Frame) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	m := output.Meta{SchemaVersion: 1, EngineVersion: "7.8", Title: title, ScenarioHash: "ab"}
	if err := write(dir, m, frames, false); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Runs come in the order asked for, with what is known of each.
func TestFigureOfRuns(t *testing.T) {
	dir := studyOf(t, 7)
	f, err := figureOf([]string{dir}, []span{{5, 5}, {0, 0}, {2, 2}, {1, 1}}, []string{"coolant_c", "cpu_die_c"})
	if err != nil {
		t.Fatal(err)
	}
	if f.Title != "study of 7" || f.Note != "runs 0 to 2, 5; soakledger 7.8" || f.Key != "" || !slices.Equal(f.Panels, []fig.Panel{{Name: "coolant", Unit: "°C"}, {Name: "cpu die", Unit: "°C"}}) {
		t.Errorf("title %q, note %q, panels %v", f.Title, f.Note, f.Panels)
	}
	want := []string{"front fan 900 rpm, front deep", "front fan 700 rpm, front slim", "front fan 800 rpm, front slim", "front deep, left range after 40 s"}
	for i, id := range []float64{5, 0, 2, 1} {
		r := &f.Runs[i]
		if got := labelled(r.Label); got != want[i] || r.Broken != (id == 1) {
			t.Errorf("label %q, broken %v, want %q", got, r.Broken, want[i])
		}
		if !slices.Equal(r.Times, []float64{0, 10, 20, 30, 40}) {
			t.Errorf("run %g: times %v", id, r.Times)
		}
		load := 107 + id // what the chip is asked for and the pump; no heat of radiators
		if id == 0 {
			load = 100 // without a pump
		}
		if !slices.Equal(r.Load, []float64{load, load, load, load, load}) {
			t.Errorf("run %g: load %v", id, r.Load)
		}
		coolant, die := &r.Curves[0], &r.Curves[1]
		if v := coolant.Values; v[0] != 20+id || !math.IsNaN(v[2]) || v[4] != 24+id || coolant.Measured != nil {
			t.Errorf("run %g: coolant %v, measured %v", id, v, coolant.Measured)
		}
		if v := die.Measured; v[0] != 61 || !math.IsNaN(v[2]) || die.Values[2] != 60+id || die.Level != nil {
			t.Errorf("run %g: measured %v, level %v", id, v, die.Level)
		}
		switch l := coolant.Level; {
		case id == 2 && l != nil:
			t.Errorf("run 2: level %v without a heating phase", *l)
		case id != 2 && (l == nil || *l != fig.Level{Value: 40 + id, From: 100, To: 200}):
			t.Errorf("run %g: level %v", id, l)
		}
	}
	for name, draw := range map[string]func(fig.Size) ([]byte, error){"PNG": f.PNG, "SVG": f.SVG} {
		if _, err := draw(fig.Size{}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// labelled writes a label in one line.
func labelled(terms []fig.Term) string {
	var texts []string
	for _, t := range terms {
		texts = append(texts, strings.TrimSpace(t.Name+" "+t.Value))
	}
	return strings.Join(texts, ", ")
}

// Names of datasets and numbers of runs stand where they are needed.
func TestFigureLabels(t *testing.T) {
	study, other, lone := studyOf(t, 3), studyOf(t, 2), studyOf(t, 1)
	untitled := mustRun(t, "example:first").Dir()
	tests := []struct {
		dirs  []string
		runs  []span
		title string
		want  string
		key   string
	}{
		{[]string{lone}, nil, "study of 1", "", ""},
		{[]string{untitled}, nil, "A first loop", "", ""},
		{[]string{study}, []span{{2, 2}}, "study of 3", "", ""},
		{[]string{study}, []span{{0, 0}, {2, 2}}, "study of 3", "700 rpm|800 rpm", "front fan"},
		{[]string{study, lone}, nil, "2 datasets compared", "study of 3, front fan 700 rpm, front slim|study of 3, front deep, left range after 40 s|study of 3, front fan 800 rpm, front slim|study of 1", ""},
		{[]string{study, study}, []span{{0, 0}}, "study of 3", "data, run 0|data, run 0", ""},
		{[]string{study, other}, []span{{0, 0}}, "2 datasets compared", "study of 3|study of 2", ""},
	}
	for _, test := range tests {
		f, err := figureOf(test.dirs, test.runs, []string{"coolant_c"})
		if err != nil {
			t.Fatal(err)
		}
		var labels []string
		for _, r := range f.Runs {
			labels = append(labels, labelled(r.Label))
		}
		if got := strings.Join(labels, "|"); got != test.want || f.Title != test.title || f.Key != test.key {
			t.Errorf("%q with labels %s under %q, want %q with %s under %q", f.Title, got, f.Key, test.title, test.want, test.key)
		}
	}
}

func TestFigureRefuses(t *testing.T) {
	traceless := record.NewFrame(record.Table{Name: "runs", Columns: []record.Column{{Name: "run_id", Kind: record.Int}}})
	traceless.AppendInts(0, []int64{0})
	empty := record.NewFrame(record.Table{Name: "traces", Columns: []record.Column{{Name: "run_id", Kind: record.Int}, {Name: "time_s"}}})
	study, none, without := studyOf(t, 14), datasetOf(t, "", traceless), datasetOf(t, "", traceless, empty)
	tests := []struct {
		dirs []string
		runs []span
		want string
	}{
		{[]string{study}, nil, study + ": 13 runs are more than the 8 that a figure shows: choose some, for example --runs 0,2 or --runs 0-4"},
		{[]string{study}, []span{{0, 0}, {3, 3}}, "holds no trace of run 3; the runs with one are 0 to 2, 4 to 13"},
		{[]string{study}, []span{{3, 3}, {14, 20}}, "holds no trace of run 3;"},
		{[]string{study}, []span{{14, 20}}, "holds no trace of runs 14 to 20; the runs with one are 0 to 2, 4 to 13"},
		{[]string{study}, []span{{0, 4}, {2, 2}}, "run 2 is asked for twice"},
		{[]string{study, study}, []span{{0, 5}}, "the datasets hold more than 8 runs together"},
		{[]string{study}, []span{{0, 9}}, study + ": 9 runs are more than the 8"},
		{[]string{none}, nil, none + " holds no trace: there is nothing to draw"},
		{[]string{without}, nil, without + " holds no trace: there is nothing to draw"},
	}
	for _, test := range tests {
		if _, err := figureOf(test.dirs, test.runs, []string{"coolant_c"}); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%v: error %v, want one with %q", test.runs, err, test.want)
		}
	}
}

// The load of a shipped run is what its scenario asks for, and its level the card's.
func TestFigureOfRun(t *testing.T) {
	d := mustRun(t, "example:office_render")
	f, err := figureOf([]string{d.Dir()}, nil, []string{"coolant_c", "cpu_die_c"})
	if err != nil {
		t.Fatal(err)
	}
	r := &f.Runs[0]
	for i, at := range r.Times {
		want := 185.0 + 9 // chip and pump
		if at >= 40*60 {
			want = 15 + 9
		}
		if r.Load[i] != want {
			t.Fatalf("the load at %g s is %g W, want %g", at, r.Load[i], want)
		}
	}
	runs := rowsOf(t, d, "runs")
	for k, column := range []string{"level_c", "cpu_die_level_c"} {
		if l := r.Curves[k].Level; l == nil || (*l != fig.Level{Value: figure(t, runs, 0, column), From: 0, To: 2400}) {
			t.Errorf("%s: level %v", column, l)
		}
	}
}

func TestRanges(t *testing.T) {
	for _, test := range []struct {
		runs []int64
		want string
	}{
		{nil, ""}, {[]int64{4}, "4"}, {[]int64{0, 1}, "0 to 1"}, {[]int64{0, 2, 3, 4, 9}, "0, 2 to 4, 9"},
		{[]int64{0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26}, "0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, ..."},
	} {
		if got := ranges(test.runs); got != test.want {
			t.Errorf("%v: %q, want %q", test.runs, got, test.want)
		}
	}
}

func TestNumber(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 1000: "1000", 700.04: "700", 0.123456: "0.1235", -45: "-45", 1234567: "1234567", 1e-7: "0.0000001"} {
		if got := number(v); got != want {
			t.Errorf("%g: %s, want %s", v, got, want)
		}
	}
}
