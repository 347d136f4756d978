package scenarios

import (
	"errors"
	"strings"
	"testing"

	"soakledger/sim/spec"
)

func first(t *testing.T) *Document {
	t.Helper()
	doc, err := Load("first")
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestSet(t *testing.T) {
	doc := first(t)
	before := spec.Hash(doc.Scenario)
	got, err := doc.Set(
		"front.conductance=0.05 K/W", "ambient = 25 °C", "start=level", "work_1.repeat=forever",
		"reservoir_1.power=5 % of cpu", "cpu.power=0.25 kW", "figures.coolant_at=45 degC", "title=Hot = loud",
	)
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]spec.Value{
		"front.conductance":     spec.NumberValue(20),
		"ambient.temperature":   spec.NumberValue(298.15),
		"start":                 spec.TextValue("level"),
		"work_1.repeat":         spec.RepeatValue(spec.Repeat{Forever: true}),
		"reservoir_1.power":     spec.PowerValue(spec.Power{Share: spec.Some(0.05), Of: "cpu"}),
		"cpu.power":             spec.PowerValue(spec.Power{Watts: spec.Some(250)}),
		"figures.coolant_at[0]": spec.NumberValue(318.15),
		"title":                 spec.TextValue("Hot = loud"),
		"coolant.fluid":         spec.TextValue("water"),
	} {
		if v, err := got.Scenario.Get(path); err != nil || v != want {
			t.Errorf("%s: got %v, %v; want %v", path, v, err, want)
		}
	}
	if spec.Hash(doc.Scenario) != before || string(got.Source) != string(doc.Source) {
		t.Error("setting values changed the original or the text")
	}
}

// TestSetLaterWins: assignments are carried out in order.
func TestSetLaterWins(t *testing.T) {
	got, err := first(t).Set("start=level", "start.cpu.die=40 degC", "duration=1 h", "duration=2 h")
	if err != nil {
		t.Fatal(err)
	}
	if s := got.Scenario; s.Start.Rule != "" || s.Duration != spec.Some(7200) {
		t.Errorf("got %+v, %+v", s.Start, s.Duration)
	}
}

func TestSetErrors(t *testing.T) {
	tests := []struct {
		assignments []string
		want        string
	}{
		{[]string{"front.conductance=18"}, "--set: front.conductance: 18 has no unit: write 18 W/K or 18 W per 10 K"},
		{[]string{"front.conductanse=18 W/K"}, "--set: front.conductanse: it has no key conductanse; did you mean front.conductance?"},
		{[]string{"fornt.conductance=18 W/K"}, "--set: fornt.conductance: nothing is called fornt; did you mean front.conductance?"},
		{[]string{"pump_1.bore=18 mm"}, "--set: pump_1.bore: a pump has no bore (a tube or a fitting has)"},
		{[]string{"ambient=300 degC"}, "--set: ambient.temperature: 300 degC is outside the allowed range of -40 degC to 70 degC (for example 22 degC)"},
		{[]string{"coolant=watre"}, `--set: coolant.fluid: "watre" is not known; did you mean water? Allowed: water, ethylene glycol, propylene glycol or constant`},
		{[]string{"coolant=ethylene glycol"}, "--set: coolant: ethylene glycol needs its share: write {fluid: ethylene glycol, volume_share: 30 %}, or mass_share"},
		{[]string{"cpu.work=redner"}, "--set: cpu.work: nothing is called redner: give the name of a work pattern; the file has work_1"},
		{[]string{"cpu.power=12 %"}, "--set: cpu.power: 12 % of what? Write the name of a part, 12 % of cpu, or a power, 210 W"},
		{[]string{"cpu.name=gpu"}, "--set: cpu.name: names and kinds stand in the file and cannot be set"},
		{[]string{"cpu=3"}, "--set: cpu: it has keys of its own: name one of them, for example cpu.name"},
		{[]string{"pump_1.speed=60"}, "--set: pump_1.speed: 60 has no unit: write 60 rpm; a share of the rated speed is written 60 %"},
		{[]string{"pump_1.speed=60 %"}, "--set: pump_1: a pump with a fixed flow has no speed: leave flow out, and the flow follows from the pump and the loop, or keep flow alone"},
		{[]string{"front.fans.speed=40000 rpm"}, "--set: front.fans.speed: 40000 rpm is outside the allowed range of 0 rpm to 30000 rpm (for example 1050 rpm)"},
		{[]string{"pump_1.curve=[[0 L/h, 3 m]]"}, "--set: pump_1.curve: it has keys of its own: name one of them, for example pump_1.curve[0].flow"},
		{[]string{"chips=2"}, "--set: chips: it has keys of its own: name one of them, for example chips[0].name"},
		{[]string{"front.drop[0].flow=4 L/min"}, "--set: front.drop[0].flow: drop has 0 elements, counted from 0"},
		{[]string{"room=22 degC"}, "--set: room: it has keys of its own: name one of them, for example room.capacity"},
		{[]string{"case.conductnce=5 W/K"}, "--set: case.conductnce: it has no key conductnce; did you mean case.conductance?"},
		{[]string{"work_1.repeat=0"}, `--set: work_1.repeat: "0" is not a number of repeats: write 8, or forever`},
		{[]string{"title="}, "--set: title: the text is empty: write for example title: Office workstation"},
		{[]string{"duration"}, `--set: duration: write PATH=VALUE, for example --set ambient.temperature="24 degC"`},
		{[]string{"duration=1", "front.cells=2.5"}, "--set: duration: 1 has no unit: write 1 s, 1 min or 1 h\n--set: front.cells: 2.5 is not a whole number (for example 4)"},
		{[]string{"start.die=300 K"}, "--set: start.die: nothing is called die: give the name of a lump, chip or part; the file has cpu, pump_1, block_1, front, reservoir_1"},
	}
	for _, c := range tests {
		got, err := first(t).Set(c.assignments...)
		var all Errors
		if got != nil || !errors.As(err, &all) || err.Error() != c.want {
			t.Errorf("%q:\ngot  %v\nwant %s", c.assignments, err, c.want)
		}
	}
}

// TestErrors checks order, repetition and access to the single errors.
func TestErrors(t *testing.T) {
	es := Errors{{File: "f", Line: 3, Column: 1, Text: "c"}, {File: "f", Line: 1, Column: 5, Text: "b"}, {File: "f", Line: 1, Column: 2, Path: "p", Text: "a"}, {File: "f", Line: 3, Column: 1, Text: "c"}}.sorted()
	if es.Error() != "f:1:2: p: a\nf:1:5: b\nf:3:1: c" {
		t.Errorf("got\n%v", es)
	}
	var one *Error
	if !errors.As(error(es), &one) || one.Line != 1 {
		t.Errorf("first error %+v", one)
	}
	var flood Errors
	for i := range 3 * mostErrors {
		flood = append(flood, &Error{Line: i + 1})
	}
	if got := flood.sorted(); len(got) != mostErrors+1 || !strings.Contains(got[mostErrors].Text, "100 more errors") {
		t.Errorf("%d errors, last %+v", len(got), got[len(got)-1])
	}
}

// TestSetParts: short forms, speeds, points, parts of branches and sections
// that the file does not state are set as anything else.
func TestSetParts(t *testing.T) {
	got, err := load(t, "testdata/good/short_parts.yaml").Set(
		"radiator_1.fans=900 rpm", "pump_1.speed=50 %", "block_1.drop[0].drop=1 mH2O", "tube_1.bore=6 mm",
		"fitting_1.loss=2", "case.other_heat=12 % of chip_1", "room.conductance=40 W/K",
	)
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]spec.Value{
		"radiator_1.fans.speed": spec.SpeedValue(spec.Speed{Rate: spec.Some(15)}),
		"pump_1.speed":          spec.SpeedValue(spec.Speed{Share: spec.Some(0.5)}),
		"block_1.drop[0].drop":  spec.NumberValue(9806.65),
		"tube_1.bore":           spec.NumberValue(0.006),
		"fitting_1.loss":        spec.NumberValue(2),
		"case.other_heat":       spec.PowerValue(spec.Power{Share: spec.Some(0.12), Of: "chip_1"}),
		"room.conductance":      spec.NumberValue(40),
	} {
		if v, err := got.Scenario.Get(path); err != nil || v != want {
			t.Errorf("%s: got %v, %v; want %v", path, v, err, want)
		}
	}
	if got, err := first(t).Set("case.conductance=5 W/K"); err != nil || got.Scenario.Case == nil || got.Scenario.Room != nil {
		t.Errorf("a first key of a case: %v", err)
	}
}
