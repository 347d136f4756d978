package scenarios

import (
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

const commented = `# The office machine.
ambient: 22 degC   # measured at the desk
coolant: {fluid: water}

chips:
  - name: cpu          # the large one
    power: 210 W
    leakage: {power: 30 W}
loop:                  # in flow order
  - {part: pump, flow: "4 L/min"}
  - part: block
  # the radiator in front
  - part: radiator
    name: front
    conductance: 18 W/K # a guess
  - {part: tube, name: hose, bore: 3 mm, note: 'it''s old'}
work: {on: 40 min, off: 20 min} # all day
`

// TestWithValue changes one value each; the changed line is all that may
// differ.
func TestWithValue(t *testing.T) {
	tests := []struct{ path, text, from, to string }{
		{"front.conductance", "18.4 W/K", "    conductance: 18 W/K # a guess", "    conductance: 18.4 W/K # a guess"},
		{"ambient", "23.5 degC", "ambient: 22 degC   # measured", "ambient: 23.5 degC   # measured"},
		{"ambient.temperature", "23.5 °C", "ambient: 22 degC   # measured", "ambient: 23.5 °C   # measured"},
		{"pump_1.flow", "3 L/min", `flow: "4 L/min"`, `flow: "3 L/min"`},
		{"hose.note", "new: #1", `note: 'it''s old'`, `note: "new: #1"`},
		{"work_1.off", "1 h", "off: 20 min", "off: 1 h"},
		{"cpu.leakage.power", "31 W", "{power: 30 W}", "{power: 31 W}"},

		{"ambient.humidity", "40 %", "ambient: 22 degC   #", "ambient: {temperature: 22 degC, humidity: 40 %}   #"},
		{"cpu.die_to_plate", "0.11 K/W", "    power: 210 W\n", "    power: 210 W\n    die_to_plate: 0.11 K/W\n"},
		{"cpu.leakage.at", "60 degC", "{power: 30 W}", "{power: 30 W, at: 60 degC}"},
		{"front.film_conductance", "250 W/K", "# a guess\n", "# a guess\n    film_conductance: 250 W/K\n"},
		{"block_1.plate_capacity", "90 J/K", "  - part: block\n", "  - part: block\n    plate_capacity: 90 J/K\n"},
		{"hose.length", "450 mm", "note: 'it''s old'}", "note: 'it''s old', length: 450 mm}"},
		{"work_1.repeat", "forever", "off: 20 min}", "off: 20 min, repeat: forever}"},
		{"solver.tolerance", "0.1 mK", "# measured at the desk\n", "# measured at the desk\nsolver: {tolerance: 0.1 mK}\n"},
		{"start.cpu.die", "40 degC", "# measured at the desk\n", "# measured at the desk\nstart: {cpu.die: 40 degC}\n"},
		{"title", "Cold, quiet", "# measured at the desk\n", "# measured at the desk\ntitle: \"Cold, quiet\"\n"},
	}
	for _, c := range tests {
		for _, lineEnd := range []string{"\n", "\r\n"} {
			fix := func(text string) string { return strings.ReplaceAll(text, "\n", lineEnd) }
			src := fix(commented)
			doc, err := Read("c.yaml", []byte(src))
			if err != nil {
				t.Fatal(err)
			}
			got, err := doc.WithValue(c.path, c.text)
			if err != nil {
				t.Errorf("%s: %v", c.path, err)
				continue
			}
			if want := strings.Replace(src, fix(c.from), fix(c.to), 1); string(got.Source) != want || want == src {
				t.Errorf("%s: got\n%s\nwant\n%s", c.path, got.Source, want)
			}
			if string(doc.Source) != src {
				t.Errorf("%s: the original changed", c.path)
			}
		}
	}
}

const commentedParts = `loop:
  - {part: pump, name: driver, curve: [[0 L/h, 3.6 m], [900 L/h, 0 m]]} # as measured
  - parallel: # both blocks
      - [{part: block, drop: [4 L/min, 12 kPa]}] # one point
      - - part: tube
          name: bypass
          bore: 8 mm # narrow
  - {part: radiator, name: front, fans: 900 rpm}
  - part: radiator
    name: rear
    points:
      - - 750 rpm # slow
        - 13 W/K
      - {speed: 1300 rpm, conductance: 21 W/K}
`

// TestWithValueParts does the same in points and branches, and for sections
// that are not there yet.
func TestWithValueParts(t *testing.T) {
	tests := []struct{ path, text, from, to string }{
		{"driver.curve[1].flow", "850 L/h", "[900 L/h, 0 m]", "[850 L/h, 0 m]"},
		{"driver.curve[0].head", "35 kPa", "[0 L/h, 3.6 m]", "[0 L/h, 35 kPa]"},
		{"driver.speed", "60 %", "name: driver,", "name: driver, speed: 60 %,"},
		{"block_1.drop[0].drop", "11 kPa", "[4 L/min, 12 kPa]", "[4 L/min, 11 kPa]"},
		{"bypass.bore", "6 mm", "bore: 8 mm # narrow", "bore: 6 mm # narrow"},
		{"bypass.length", "1 m", "8 mm # narrow", "8 mm # narrow\n          length: 1 m"},
		{"front.fans.speed", "1000 rpm", "fans: 900 rpm", "fans: 1000 rpm"},
		{"front.fans", "1000 rpm", "fans: 900 rpm", "fans: 1000 rpm"},
		{"front.fans.count", "2", "fans: 900 rpm", "fans: {speed: 900 rpm, count: 2}"},
		{"rear.points[0].speed", "800 rpm", "- 750 rpm # slow", "- 800 rpm # slow"},
		{"rear.points[0].conductance", "14 W/K", "- 13 W/K", "- 14 W/K"},
		{"rear.points[1].speed", "1250 rpm", "{speed: 1300 rpm", "{speed: 1250 rpm"},
		{"rear.fans.count", "2", "    name: rear\n", "    name: rear\n    fans: {count: 2}\n"},
	}
	doc, err := Read("c.yaml", []byte(commentedParts))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range tests {
		got, err := doc.WithValue(c.path, c.text)
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if want := strings.Replace(commentedParts, c.from, c.to, 1); string(got.Source) != want || want == commentedParts {
			t.Errorf("%s: got\n%s\nwant\n%s", c.path, got.Source, want)
		}
	}
	for path, says := range map[string]string{
		"driver.curve[2].flow":     "curve has 2 elements",
		"driver.curve":             "it has keys of its own",
		"loop_1.parts[1].holds":    "a parallel element has no holds",
		"front.points[0].speed":    "points has 0 elements",
		"rear.points[1].colour":    "it has no key colour",
		"loop_1.parts[1].parallel": "it has keys of its own",
	} {
		if got, err := doc.WithValue(path, "1 L/h"); got != nil || err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: got %v, want %q", path, err, says)
		}
	}
	for path, text := range map[string]string{"room.capacity": "300 kJ/K", "case.other_heat": "45 W"} {
		got, err := doc.WithValue(path, text)
		section, key, _ := strings.Cut(path, ".")
		if err != nil || !strings.Contains(string(got.Source), section+": {"+key+": "+text+"}\n") {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// TestWithValueEmptySection: an empty case is filled in its place.
func TestWithValueEmptySection(t *testing.T) {
	got, err := load(t, "testdata/good/short_parts.yaml").WithValue("case.other_heat", "12 % of chip_1")
	if err != nil || !strings.Contains(string(got.Source), "\ncase: {other_heat: 12 % of chip_1}\n") {
		t.Errorf("got %v", err)
	}
}

// TestWithValueSharedPoints: points that an alias shares are not written.
func TestWithValueSharedPoints(t *testing.T) {
	doc, err := Read("c.yaml", []byte("loop:\n  - {part: block, name: a, drop: &d [[4 L/min, 12 kPa]]}\n  - {part: block, name: b, drop: *d}\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"a.drop[0].drop", "b.drop[0].drop"} {
		if got, err := doc.WithValue(path, "11 kPa"); got != nil || err == nil || !strings.Contains(err.Error(), "shared with other values") {
			t.Errorf("%s: got %v", path, err)
		}
	}
}

func TestWithValueJSON(t *testing.T) {
	doc := load(t, "testdata/good/loop.json")
	for _, c := range []struct{ path, text, want string }{
		{"front.conductance", "20 W/K", `"conductance": "20 W/K", "cells": 4`},
		{"ambient.humidity", "40 %", `{"temperature": "24 degC", "humidity": "40 %"}`},
		{"coolant.fluid", "water", `"coolant": "water"`},
		{"front.cells", "8", `"cells": 8}`},
		{"pump_1.price", "59.9", `"flow": "4 L/min", "price": 59.9}`},
		{"solver.tolerance", "1 mK", `"coolant": "water", "solver": {"tolerance": "1 mK"}`},
	} {
		got, err := doc.WithValue(c.path, c.text)
		if err != nil || !strings.Contains(string(got.Source), c.want) {
			t.Errorf("%s: %v, want %s", c.path, err, c.want)
		}
	}
}

// TestWithValueRefuses: what cannot be written without touching other values
// is refused, and bad values are as they are anywhere.
func TestWithValueRefuses(t *testing.T) {
	src := `note: |
  two
  lines
chips:
  - &one {name: a, power: 10 W}
  - {<<: *one, name: b}
solver: {}
record: &r {every: 1 s}
lumps: [{name: l, capacity: 1 kJ/K, leakage: &k {power: 1 W, at: 300 K}}, {name: m, holds: 1 L, leakage: *k}]
figures: {coolant_at: [300 K]}
`
	doc, err := Read("c.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ path, text, says string }{
		{"note", "one", "not written in one piece"},
		{"a.power", "11 W", "shared with other values"},
		{"b.power", "11 W", "shared with other values"},
		{"m.leakage.growth", "1 %/K", "an alias or a list"},
		{"l.leakage.power", "2 W", "shared with other values"},
		{"a.power", "11", "11 has no unit"},
		{"a.colour", "red", "it has no key colour"},
		{"record.every", "1 d 1 s", "outside the allowed range"},
	} {
		got, err := doc.WithValue(c.path, c.text)
		if got != nil || err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want %q", c.path, err, c.says)
		}
	}
	got, err := doc.WithValue("solver.tolerance", "1 mK")
	if err != nil || !strings.Contains(string(got.Source), "solver: {tolerance: 1 mK}\n") {
		t.Errorf("an empty section: %v", err)
	}
}

// TestWithValueProperty: any number of the full example can be rewritten with
// any allowed value; every comment and every other value stays.
func TestWithValueProperty(t *testing.T) {
	for path, begins := range map[string]string{"testdata/good/full.yaml": "# Every section once", "testdata/good/parts.yaml": "# Every key of the parts", "testdata/good/air.yaml": "# Every key of the air", "testdata/good/control.yaml": "# Every key of control"} {
		t.Run(path, func(t *testing.T) { rewriteAnything(t, path, begins) })
	}
}

func rewriteAnything(t *testing.T, path, begins string) {
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := ReadFS(filesBeside, "full.yaml", src)
	if err != nil {
		t.Fatal(err)
	}
	var fields []spec.Field
	for f := range doc.Scenario.All() {
		_, stated := doc.Positions[f.Path]
		if f.Type == spec.TypeNumber && (stated || !strings.Contains(f.Path, "wall") && !strings.HasPrefix(f.Path, "start")) {
			fields = append(fields, f)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(fields).Draw(t, "field")
		x := rapid.Float64Range(f.Min, f.Max).Draw(t, "value")
		if f.Dimension == spec.Count {
			x = f.Min
		}
		want, err := doc.Scenario.With(f.Path, spec.NumberValue(x))
		if err != nil || spec.Check(want) != nil {
			return // two keys that exclude each other
		}
		text := quantity.Exact(x, f.Dimension)
		if strings.Contains(f.Path, ".log.") {
			again, err := doc.Set(f.Path + "=" + text) // it is read again
			if err != nil {
				t.Fatal(err)
			}
			want = again.Scenario
		}
		got, err := doc.WithValue(f.Path, text)
		if err != nil {
			t.Fatalf("%s: %v", f.Path, err)
		}
		if spec.Hash(got.Scenario) != spec.Hash(want) {
			t.Fatalf("%s to %v gives another scenario", f.Path, x)
		}
		if !strings.HasPrefix(string(got.Source), begins) || strings.Count(string(got.Source), "\n") > strings.Count(string(src), "\n")+1 {
			t.Fatalf("%s: the text lost its shape:\n%s", f.Path, got.Source)
		}
	})
}
