package log

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// TestSplit divides headings into quantity and unit.
func TestSplit(t *testing.T) {
	for text, want := range map[string][2]string{
		"Inlet":                    {"Inlet", ""},
		"Inlet [°C]":               {"Inlet", "°C"},
		"Inlet(K)":                 {"Inlet", "K"},
		"Inlet / K":                {"Inlet", "K"},
		"Flow / L/min":             {"Flow", "L/min"},
		"Flow [L/min]":             {"Flow", "L/min"},
		"Fan (front) [rpm]":        {"Fan (front)", "rpm"},
		"Heat (J/(kg K))":          {"Heat", "J/(kg K)"},
		"Level [dB(A)]":            {"Level", "dB(A)"},
		"[W]":                      {"", "W"},
		"/ W":                      {"/ W", ""},
		"odd)":                     {"odd)", ""},
		"odd (":                    {"odd (", ""},
		"Die, hottest [ degC ]":    {"Die, hottest", "degC"},
		"":                         {"", ""},
		"Temperature (CPU) / degC": {"Temperature (CPU)", "degC"},
	} {
		if h := split(text); h.text != text || h.name != want[0] || h.unit != want[1] {
			t.Errorf("%q: %+v, want %q", text, h, want)
		}
	}
}

// TestFind chooses columns.
func TestFind(t *testing.T) {
	var hs headings
	for _, text := range []string{"t", "Temp [K]", "temp [K]", "Temp [degC]", "x #2", "X", "", "Temp [K]"} {
		hs = append(hs, split(text))
	}
	for choice, want := range map[string]int{
		"t": 0, "T": 0, "Temp [degC]": 3, "temp": 2, "temp [K]": 2, "Temp [K] #1": 1, "Temp [K] #2": 7, "Temp #2": 3, "Temp #3": 7,
		"TEMP #2": 2, "x #2": 4, "#7": 6, " #4 ": 3, "x": 5, "TEMP [DEGC]": 3,
	} {
		if got, err := hs.find(choice); err != nil || got != want {
			t.Errorf("%q: column %d, %v; want %d", choice, got, err, want)
		}
	}
}

// TestConversion: every unit that quantity knows converts as quantity does, to
// rounding; what it does not convert in proportion is refused.
func TestConversion(t *testing.T) {
	dims := []spec.Dimension{spec.Temperature, spec.PowerFlow, spec.VolumeFlow, spec.RotationSpeed, spec.Ratio, spec.Pressure, spec.Time,
		spec.SoundLevel, spec.Difference, spec.Energy, spec.Head, spec.Resistance, spec.Conductance, spec.Volume, spec.Mass, spec.Length}
	refused := map[string]bool{"resistance W/K": true, "conductance K/W": true, "conductance mK/W": true}
	for _, dim := range dims {
		for _, unit := range quantity.Units(dim) {
			conv, err := conversionFrom(unit, dim)
			if name := string(dim) + " " + unit; (err != nil) != refused[name] {
				t.Errorf("%s: %v", name, err)
			}
			if err != nil {
				continue
			}
			for _, x := range []float64{0, 1, -40, 21.4375, 1e6, 987.654} {
				want, err := quantity.Parse(fmt.Sprintf("%v %s", x, unit), dim)
				if err != nil {
					continue // below absolute zero
				}
				// One rounding of the scale, of the product and of the sum each.
				limit := 4e-16 * (math.Abs(x*conv.scale) + math.Abs(conv.offset))
				if got := conv.si(x); math.Abs(got-want) > limit {
					t.Errorf("%v %s is %.17g, want %.17g", x, unit, got, want)
				}
			}
		}
	}
}

// TestNumbersAgree: a number written by any program comes back, with a point or
// a comma.
func TestNumbersAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(-1e9, 1e9).Draw(t, "x")
		digits := rapid.IntRange(0, 17).Draw(t, "digits")
		text := fmt.Sprintf("%.*f", digits, want)
		point, comma := &numbers{}, &numbers{}
		x, err := point.parse(text, place{})
		var back float64
		if _, scanErr := fmt.Sscan(text, &back); scanErr != nil || err != nil || x != back {
			t.Fatalf("%s read as %v, %v", text, x, err)
		}
		swapped := []byte(text)
		for i, c := range swapped {
			if c == '.' {
				swapped[i] = ','
			}
		}
		if y, err := comma.parse(string(swapped), place{}); err != nil || y != x {
			t.Fatalf("%s read as %v, %v", swapped, y, err)
		}
	})
}
