package scenarios

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim/spec"
)

// TestFormatValue: a value is written as a file states it, and read back.
func TestFormatValue(t *testing.T) {
	s := load(t, "testdata/good/full.yaml").Scenario
	for path, want := range map[string]string{
		"front.conductance": "18 W/K", "block_2.power": "12 % of gpu", "render.steps[1].power": "80 %", "cpu.power": "210 W",
		"render.repeat": "8", "evening.repeat": "forever", "coolant.fluid": "propylene glycol", "front.cells": "4",
		"ambient.temperature": "23 degC", "start.bucket": "21.85 degC", "front.holds": "unset",
	} {
		f, err := s.FieldAt(path)
		if err != nil {
			t.Fatal(err)
		}
		v, err := s.Get(path)
		if got := FormatValue(f, v); err != nil || got != want {
			t.Errorf("%s: got %q, %v; want %q", path, got, err, want)
		}
		if !v.IsSet() {
			continue
		}
		if back, err := ParseValue(f, want); err != nil || back != v {
			t.Errorf("%s: %q is read as %v, %v", path, want, back, err)
		}
	}
}

// TestFormatParts does the same for the values that only parts have.
func TestFormatParts(t *testing.T) {
	s := load(t, "testdata/good/parts.yaml").Scenario
	for path, want := range map[string]string{
		"driver.speed": "60 %", "spare.speed": "3000 rpm", "driver.curve[0].head": "3.6 m", "driver.curve[1].head": "2.44732 m", "driver.curve[1].flow": "8.33333 L/min",
		"driver.price": "89.9", "rear.price": "0", "fitting_1.loss": "1.5", "quick.drop[1].drop": "3 kPa", "front.points[0].conductance": "13 W/K",
		"front.fans.airflow": "95 m3/h", "front.size": "280 mm", "gpu_block.full": "835 g", "case.other_heat": "45 W", "room.capacity": "300 kJ/K",
	} {
		f, err := s.FieldAt(path)
		if err != nil {
			t.Fatal(err)
		}
		v, err := s.Get(path)
		if got := FormatValue(f, v); err != nil || got != want {
			t.Errorf("%s: got %q, %v; want %q", path, got, err, want)
		}
		back, err := ParseValue(f, want)
		if err != nil || back.Type != v.Type || math.Abs(back.Number-v.Number) > 1e-5*v.Number || back.Speed != v.Speed {
			t.Errorf("%s: %q is read as %v, %v, not %v", path, want, back, err, v)
		}
	}
}

func TestParseValueRefuses(t *testing.T) {
	s := load(t, "testdata/good/full.yaml").Scenario
	for _, c := range []struct{ path, text, says string }{
		{"cpu.power", "12 of gpu", "12 has no unit"},
		{"cpu.power", "12 W of gpu", "a share of another part is written 12 % of cpu"},
		{"cpu.power", "12 %", "12 % of what?"},
		{"render.steps[0].power", "80", "a share of the part's own power is written 80 %"},
		{"render.repeat", "1e7", "is not a number of repeats"},
		{"render.repeat", "2.5", "is not a number of repeats"},
		{"title", "  ", "the text is empty"},
		{"cpu", "x", "has keys of its own"},
	} {
		f, err := s.FieldAt(c.path)
		if err != nil {
			t.Fatal(err)
		}
		if v, err := ParseValue(f, c.text); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s %q: got %v, %v; want %q", c.path, c.text, v, err, c.says)
		}
	}
	parts := load(t, "testdata/good/parts.yaml").Scenario
	for _, c := range []struct{ path, text, says string }{
		{"driver.speed", "60", "60 has no unit: write 60 rpm; a share of the rated speed is written 60 %"},
		{"driver.speed", "0.6", "0.6 has no unit"},
		{"driver.price", "60 EUR", "a price is a bare number"},
		{"driver.curve", "[[0 L/h, 3.6 m]]", "has keys of its own"},
		{"spare.head", "3.6", "3.6 has no unit: write 3.6 m or 3.6 kPa"},
	} {
		f, err := parts.FieldAt(c.path)
		if err != nil {
			t.Fatal(err)
		}
		if v, err := ParseValue(f, c.text); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s %q: got %v, %v; want %q", c.path, c.text, v, err, c.says)
		}
	}
	if v, err := ParseValue(spec.Field{Type: spec.TypePower, OwnShare: true}, "80 %"); err != nil || v.Power != (spec.Power{Share: spec.Some(0.8)}) {
		t.Errorf("own share: %v, %v", v, err)
	}
}
