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

func TestWithValueJSON(t *testing.T) {
	doc := load(t, "testdata/good/loop.json")
	for _, c := range []struct{ path, text, want string }{
		{"front.conductance", "20 W/K", `"conductance": "20 W/K", "cells": 4`},
		{"ambient.humidity", "40 %", `{"temperature": "24 degC", "humidity": "40 %"}`},
		{"coolant.fluid", "water", `"coolant": "water"`},
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
	src, err := os.ReadFile("testdata/good/full.yaml")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := Read("full.yaml", src)
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
		got, err := doc.WithValue(f.Path, quantity.Exact(x, f.Dimension))
		if err != nil {
			t.Fatalf("%s: %v", f.Path, err)
		}
		if spec.Hash(got.Scenario) != spec.Hash(want) {
			t.Fatalf("%s to %v gives another scenario", f.Path, x)
		}
		if !strings.HasPrefix(string(got.Source), "# Every section once") || strings.Count(string(got.Source), "\n") > strings.Count(string(src), "\n")+1 {
			t.Fatalf("%s: the text lost its shape:\n%s", f.Path, got.Source)
		}
	})
}
