package main

import (
	"slices"
	"strings"
	"testing"

	"soakledger/sim/record"
)

// A label says what tells its run from the others that are drawn, and no more.
func TestStudyLabels(t *testing.T) {
	one := studied(t, `
study:
  combine: one at a time
  vary:
    - {path: front.fans.speed, values: [700 rpm, 1500 rpm]}
    - {path: front, variants: all}
    - {path: reservoir_1.volume, values: [500 mL]}
    - {path: front.core.tube_pitch, values: [9 mm]}
    - {path: cpu.power, values: [4000 W, 150 W]}
`)
	grid := studied(t, "study: {vary: [{path: front, variants: all}, {path: front.fans.speed, values: [700 rpm, 1000.04 rpm], column: fan_rpm}, {path: ambient, values: [23 degC]}, {path: front.core.tube_pitch, values: [9 mm, 10 mm]}]}")
	alike := studied(t, "study: {combine: zip, vary: [{path: reservoir_1.volume, values: [150 mL, 150 mL, 200 mL]}, {path: cpu.power, values: [100 W, 100.001 W, 100 W]}]}")
	tests := []struct {
		dir  string
		runs []span
		key  string
		want []string
	}{
		{one, []span{{0, 6}, {8, 8}}, "", []string{"as stated", "front fans 700 rpm", "front fans 1500 rpm", "front slim_one", "front deep", "reservoir 1 volume 500 mL", "front core tube pitch 9 mm", "cpu 150 W"}},
		{one, []span{{7, 7}, {1, 1}}, "", []string{"cpu 4000 W, left range after 0.1 s", "front fans 700 rpm"}},
		{one, []span{{1, 2}}, "", []string{"front fans 700 rpm", "front fans 1500 rpm"}},
		{one, []span{{5, 5}}, "", []string{""}},
		{grid, []span{{0, 0}, {3, 3}}, "fan, front core tube pitch", []string{"700 rpm, 9 mm", "1000 rpm, 10 mm"}},
		{grid, []span{{0, 0}, {6, 6}}, "front, fan", []string{"slim_one, 700 rpm", "deep, 1000 rpm"}},
		{grid, []span{{0, 0}, {2, 2}}, "fan", []string{"700 rpm", "1000 rpm"}},
		{alike, nil, "reservoir 1 volume", []string{"run 0, 150 mL", "run 1, 150 mL", "200 mL"}},
		{alike, []span{{0, 1}}, "", []string{"run 0", "run 1"}},
	}
	for _, c := range tests {
		f, err := figureOf([]string{c.dir}, c.runs, []string{"coolant_c"})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, r := range f.Runs {
			got = append(got, labelled(r.Label))
		}
		if !slices.Equal(got, c.want) || f.Key != c.key {
			t.Errorf("labels %s under %q, want %s under %q", strings.Join(got, "|"), f.Key, strings.Join(c.want, "|"), c.key)
		}
	}
}

// Columns that a study made become paths, names and units again; a name that the study
// states is kept.
func TestNewAxis(t *testing.T) {
	for _, test := range []struct {
		column                    record.Column
		path, unit, name, printed string
	}{
		{record.Column{Name: "front_fans_speed_rpm", Unit: "min-1", Meaning: "varied: front.fans.speed"}, "front.fans.speed", "rpm", "front fans speed", "rpm"},
		{record.Column{Name: "varied_front_conductance_w_k", Unit: "W K-1", Meaning: "varied: front.conductance"}, "front.conductance", "W/K", "front conductance", "W/K"},
		{record.Column{Name: "varied_varied_ambient_temperature_c", Unit: "degC", Meaning: "varied: ambient.temperature"}, "ambient.temperature", "degC", "ambient temperature", "°C"},
		{record.Column{Name: "render_steps_0_power_percent", Unit: "%", Meaning: "varied: render.steps[0].power"}, "render.steps[0].power", "%", "render steps 0 power", "%"},
		{record.Column{Name: "front_fins_per_inch", Unit: "in-1", Meaning: "varied: front.fins_per_inch"}, "front.fins_per_inch", "", "front fins per inch", ""},
		{record.Column{Name: "fan_count", Unit: "1", Meaning: "varied: front.fans.count"}, "front.fans.count", "", "fan count", ""},
		{record.Column{Name: "flow_l_min", Unit: "L min-1", Meaning: "varied: pump.flow"}, "pump.flow", "L/min", "flow", "L/min"},
		{record.Column{Name: "air_m3_h", Unit: "m3 h-1", Meaning: "varied: vent.airflow"}, "vent.airflow", "m3/h", "air", "m³/h"},
		{record.Column{Name: "tilt_deg", Unit: "degree", Meaning: "varied: vent.tilt"}, "vent.tilt", "deg", "tilt", "°"},
		{record.Column{Name: "tank_wall_density_kg_m3", Unit: "kg m-3", Meaning: "varied: tank.wall.density"}, "tank.wall.density", "kg/m3", "tank wall density", "kg/m³"},
		{record.Column{Name: "front", Meaning: "variant of front", Kind: record.Text}, "front", "", "front", ""},
		{record.Column{Name: "other_mm", Unit: "mm"}, "other_mm", "mm", "other", "mm"},
	} {
		a := newAxis(test.column, 3)
		if a != (axis{3, test.path, test.unit, test.name}) || printedUnit(a.unit) != test.printed {
			t.Errorf("%s: %+v, printed in %q", test.column.Name, a, printedUnit(a.unit))
		}
	}
}

// Where two axes have one unit, or one has none as another has, values need their names.
func TestBare(t *testing.T) {
	f := record.NewFrame(record.Table{Name: runsTable, Columns: []record.Column{{Name: "run_id", Kind: record.Int}, {Name: "a_mm", Unit: "mm", Nullable: true}, {Name: "b_w", Unit: "W"}, {Name: "c_mm", Unit: "mm"}, {Name: "status", Kind: record.Text}}})
	f.AppendInts(0, []int64{0, 1, 2})
	f.AppendFloats(1, []float64{1, 2})
	f.AppendNulls(1, 1)
	f.AppendFloats(2, []float64{1, 1, 3})
	f.AppendFloats(3, []float64{1, 1, 3})
	f.AppendTexts(4, []string{"done", "done", "done"})
	if err := f.Check(); err != nil {
		t.Fatal(err)
	}
	look := func(columns ...int) *varied {
		v := &varied{frame: f, rows: []int{0, 1}, write: valueText, base: -1}
		for _, c := range columns {
			v.axes = append(v.axes, newAxis(f.Table().Columns[c], c))
		}
		return v
	}
	for _, test := range []struct {
		columns []int
		want    bool
	}{{nil, false}, {[]int{1}, true}, {[]int{1, 2}, true}, {[]int{1, 3}, false}} {
		if got := look(test.columns...).bare(); got != test.want {
			t.Errorf("columns %v: %v", test.columns, got)
		}
	}
	null := look(1, 2)
	null.rows = []int{0, 2}
	moves := look(1, 2)
	moves.base = 0
	if null.bare() || moves.bare() {
		t.Error("a value that is missing is not missed")
	}
}

func TestParseRuns(t *testing.T) {
	for _, test := range []struct {
		asked []string
		want  []span
	}{
		{nil, nil},
		{[]string{"0,3,5"}, []span{{0, 0}, {3, 3}, {5, 5}}},
		{[]string{"0-7"}, []span{{0, 7}}},
		{[]string{" 2 - 4 , 9", "11"}, []span{{2, 4}, {9, 9}, {11, 11}}},
		{[]string{"3-3"}, []span{{3, 3}}},
	} {
		if got, err := parseRuns(test.asked); err != nil || !slices.Equal(got, test.want) {
			t.Errorf("%q: %v, %v", test.asked, got, err)
		}
	}
	for text, want := range map[string]string{
		"0,x": `"x" is no number and no range of runs`, "": "a number is missing", "1,,2": "a number is missing", "7-0": `the range "7-0" ends before it begins`,
		"-1": `"-1" is no number`, "1-2-3": `"1-2-3" is no number`, "0-": `"0-" is no number`, "1.5": `"1.5" is no number`, "99999999999999999999": "is no number", "all": `"all" is no number`,
	} {
		_, err := parseRuns([]string{text})
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "--runs 0,3,5 or --runs 0-7") || strings.Contains(err.Error(), "strconv") {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
