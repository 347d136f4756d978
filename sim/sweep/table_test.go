package sweep

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/record"
	"soakledger/sim/spec"
)

const tableStudy = `
vary:
  - {path: front, variants: all}
  - {path: front.fans.speed, values: [700 rpm, 1000 rpm]}
  - {path: "render.steps[0].power", values: [80 %, 90 %]}
  - {path: ambient, values: [20 degC]}
  - {path: front.core.fins_per_inch, values: [14]}
  - {path: front.fans.count, values: [2], column: fan_count}
  - {path: coolant, variants: all}
  - {path: render.repeat, values: [3]}
`

// TestColumns names columns after path and unit; names stay apart from those
// beside them.
func TestColumns(t *testing.T) {
	p := planned(t, strings.Replace(tableStudy, "  - {path: front, variants: all}\n", "", 1))
	columns, err := p.Columns([]record.Column{{Name: "AMBIENT_temperature_c"}, {Name: "coolant"}, {Name: "varied_coolant"}})
	if err != nil {
		t.Fatal(err)
	}
	want := []record.Column{
		{Name: "front_fans_speed_rpm", Unit: "min-1", Meaning: "varied: front.fans.speed"},
		{Name: "render_steps_0_power_percent", Unit: "%", Meaning: "varied: render.steps[0].power"},
		{Name: "varied_ambient_temperature_c", Unit: "degC", Meaning: "varied: ambient.temperature"},
		{Name: "front_core_fins_per_inch", Unit: "in-1", Meaning: "varied: front.core.fins_per_inch"},
		{Name: "fan_count", Unit: "1", Meaning: "varied: front.fans.count", Kind: record.Int},
		{Name: "varied_varied_coolant", Meaning: "variant of coolant", Kind: record.Text},
		{Name: "render_repeat", Unit: "1", Meaning: "varied: render.repeat", Kind: record.Int},
	}
	if !slices.Equal(columns, want) {
		t.Errorf("got  %+v\nwant %+v", columns, want)
	}
	if err := (record.Table{Name: "runs", Columns: columns}).Validate(); err != nil {
		t.Error(err)
	}
	if _, err := p.Columns([]record.Column{{Name: "Fan_count"}}); err == nil || !strings.Contains(err.Error(), "study.vary[4].column: fan_count is the name of another column") {
		t.Errorf("a stated name that is taken: %v", err)
	}
}

// TestPut fills a row with what a design has, in the units of its columns.
func TestPut(t *testing.T) {
	p := planned(t, strings.Replace(tableStudy, "  - {path: front.core.fins_per_inch, values: [14]}\n", "", 1))
	columns, err := p.Columns(nil)
	if err != nil {
		t.Fatal(err)
	}
	frame := record.NewFrame(record.Table{Name: "runs", Columns: columns})
	for _, i := range []int{0, 7} {
		row := frame.Begin()
		p.Put(row, columns, design(t, p, i).Values)
		if err := row.End(); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range map[string]float64{"front_fans_speed_rpm": 1000, "render_steps_0_power_percent": 90, "ambient_temperature_c": 20} {
		if got := frame.Floats(frame.Table().Index(name)); got[1] != want {
			t.Errorf("%s is %v, want %v", name, got[1], want)
		}
	}
	if got := frame.Texts(0); got[0] != "slim" || got[1] != "deep" {
		t.Errorf("variants are %q", got)
	}
	if got := frame.Ints(frame.Table().Index("fan_count")); got[1] != 2 {
		t.Errorf("count is %d", got[1])
	}
}

// TestPutNull: where neither study nor scenario says anything there is nothing
// in the column.
func TestPutNull(t *testing.T) {
	p := planned(t, "combine: one at a time\nvary: [{path: front.core.tube_pitch, values: [9 mm]}, {path: front.fans.speed, values: [800 rpm]}]")
	columns, err := p.Columns(nil)
	if err != nil || !columns[0].Nullable || columns[1].Nullable {
		t.Fatalf("%+v, %v", columns, err)
	}
	frame := record.NewFrame(record.Table{Name: "runs", Columns: columns})
	for i := range p.Count() {
		row := frame.Begin()
		p.Put(row, columns, design(t, p, i).Values)
		if err := row.End(); err != nil {
			t.Fatal(err)
		}
	}
	if null := frame.Nulls(0); !slices.Equal(null, []bool{true, false, true}) {
		t.Errorf("nulls are %v", null)
	}
}

// TestText: comments, spelling, titles and notes do not show; every value does.
func TestText(t *testing.T) {
	const study = "combine: random\nruns: 9\nseed: 4\nkeep: ambient <= 29 degC\nvary: [{path: front.fans.speed, values: [700 rpm, 1000 rpm]}, {path: ambient, from: 20 degC, to: 30 degC}]"
	text := "study:\n" + indented(study) + machine
	plan := func(text string) *Plan {
		t.Helper()
		p, err := New(documentOf(t, text))
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	p := plan(text)
	for _, same := range [][2]string{
		{"1000 rpm]}, {path: amb", "1000 RPM]} , {path: amb"}, {"coolant: water", "coolant: water # clear"}, {"20 degC, to", "68 degF, to"}, {"ambient: 23", "title: another\nambient: 23"},
		{"ambient <= 29 degC", "ambient  <=  29 degC"},
	} {
		if q := plan(strings.Replace(text, same[0], same[1], 1)); q.Text() != p.Text() {
			t.Errorf("%s shows:\n%s", same[1], q.Text())
		}
	}
	for _, c := range [][3]string{ // what is stated, what is stated instead, and a line of the text then
		{"1000 rpm]", "1001 rpm]", "study.vary[0].values[1] = 1001 rpm (16.683333333333334)"},
		{"seed: 4", "seed: 5", "study.seed = 5"},
		{"runs: 9", "runs: 10", "study.runs = 10"},
		{"combine: random", "combine: halton", `study.combine = "halton"`},
		{"<= 29 degC", "<= 28 degC", `study.keep[0] = "ambient <= 28 degC"`},
		{"to: 30 degC}", "to: 31 degC}", "study.vary[1].to = 31 degC (304.15)"},
		{"bore: 10 mm", "bore: 11 mm", "hose.bore = 11 mm (0.011)"},
		{"thickness: 64 mm", "thickness: 65 mm", "variants.front[1].core.thickness = 65 mm (0.065)"},
		{"200 W}", "200 W, idle: 10 W}", "cpu.idle = 10 W (10)"},
		{", price: 95", "", ""},
		{"name: mixed", "name: blend", `variants.coolant[0].name = "blend"`},
		{"coolant: water", "coolant: water\nroom: {}", ""},
	} {
		got := plan(strings.Replace(text, c[0], c[1], 1)).Text()
		if got == p.Text() || c[2] != "" && (!strings.Contains(got, "\n"+c[2]+"\n") || strings.Contains(p.Text(), c[2])) {
			t.Errorf("%s: want %s in\n%s", c[1], c[2], got)
		}
	}
}

// TestTextPinned: the text, by its hash, and the designs of a plan are what this program made
// of it when they were written down here; a change of either needs a new
// planVersion.
func TestTextPinned(t *testing.T) {
	p := planned(t, "combine: latin hypercube\nruns: 5\nseed: 7\nvary: [{path: front.core.thickness, from: 20 mm, to: 60 mm}, {path: front.airflow_factor, distribution: normal, mean: 1, deviation: 0.1}, {path: cpu.work, values: [render, evening]}]")
	var got []string
	for i := range p.Count() {
		got = append(got, shown(p, design(t, p, i)))
	}
	want := []string{
		"33.0336799622 mm, 1.06183533674, evening", "23.9819526672 mm, 1.14390835976, render", "40.6198387146 mm, 0.942093087784, render",
		"44.0746269226 mm, 1.00126277108, evening", "59.6912956238 mm, 0.752080048566, render",
	}
	if !slices.Equal(got, want) {
		t.Errorf("designs are %q", got)
	}
	if got := fmt.Sprintf("%x", sha256.Sum256([]byte(p.Text()))); got != "ec640972435bc3d9a35bdb379c9a621a278d9958214ad473f0d15b96fceef114" {
		t.Errorf("hash is %s", got)
	}
}

// TestParts: slices hold every run once, in order; shards every slice once.
func TestParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := &Plan{count: rapid.IntRange(1, 5000).Draw(t, "runs")}
		size, n := rapid.IntRange(1, 6000).Draw(t, "size"), rapid.IntRange(1, 9).Draw(t, "shards")
		x, err := p.Parts(size)
		if err != nil {
			t.Fatal(err)
		}
		next := 0
		for k := range x.Count() {
			from, to := x.Slice(k)
			if from != next || to <= from || to-from > size || k < x.Count()-1 && to-from != size {
				t.Fatalf("slice %d is %d to %d behind %d", k, from, to, next)
			}
			next = to
		}
		if next != p.count {
			t.Fatalf("slices end at %d of %d", next, p.count)
		}
		seen, least, most := map[int]bool{}, x.Count(), 0
		for i := range n {
			shard, err := x.Shard(i, n)
			if err != nil {
				t.Fatal(err)
			}
			own := slices.Collect(shard)
			for _, k := range own {
				if seen[k] || k < 0 || k >= x.Count() {
					t.Fatalf("slice %d is in two shards or in none", k)
				}
				seen[k] = true
			}
			least, most = min(least, len(own)), max(most, len(own))
		}
		if len(seen) != x.Count() || most-least > 1 {
			t.Fatalf("%d of %d slices; %d to %d a shard", len(seen), x.Count(), least, most)
		}
	})
	p := &Plan{count: 10}
	if _, err := p.Parts(0); err == nil {
		t.Error("slices of nothing")
	}
	x, _ := p.Parts(3)
	for _, c := range [][2]int{{-1, 2}, {2, 2}, {0, 0}} {
		if _, err := x.Shard(c[0], c[1]); err == nil {
			t.Errorf("there is a shard %d of %d", c[0], c[1])
		}
	}
	if shard, _ := x.Shard(1, 2); !slices.Equal(slices.Collect(shard), []int{1, 3}) {
		t.Error("shards are not dealt out in turn")
	}
}

// TestHeightsAreInMetres: other lengths are not.
func TestHeightsAreInMetres(t *testing.T) {
	p := planned(t, "vary: [{path: ambient.altitude, from: 0 m, to: 3000 m, count: 3}, {path: hose.length, values: [2 m]}]")
	columns, err := p.Columns(nil)
	if err != nil {
		t.Fatal(err)
	}
	if columns[0].Name != "ambient_altitude_m" || columns[0].Unit != "m" || columns[1].Name != "hose_length_mm" {
		t.Errorf("columns are %+v", columns)
	}
	if got := shown(p, design(t, p, 1)); got != "1500 m, 2000 mm" {
		t.Errorf("got %s", got)
	}
}

// TestShow writes values as files state them.
func TestShow(t *testing.T) {
	p := planned(t, "vary: [{path: front.fans.speed, values: [at 30 dBA]}, {path: cpu.power, values: [50 W]}, {path: block_1.power, values: [20 % of cpu]}]")
	if got := shown(p, design(t, p, 0)); got != "at 30 dBA, 50 W, 20 % of cpu" {
		t.Errorf("got %s", got)
	}
	if got := p.axes[1].Show(spec.Value{}); got != "unset" {
		t.Errorf("nothing is %s", got)
	}
}
