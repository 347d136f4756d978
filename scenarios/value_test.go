package scenarios

import (
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
	if v, err := ParseValue(spec.Field{Type: spec.TypePower, OwnShare: true}, "80 %"); err != nil || v.Power != (spec.Power{Share: spec.Some(0.8)}) {
		t.Errorf("own share: %v, %v", v, err)
	}
}
