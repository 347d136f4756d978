package scenarios

import (
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/sim/spec"
)

// TestAir checks what the keys of room, case, fans and cores are read as, in
// SI, and where they stand.
func TestAir(t *testing.T) {
	doc := load(t, "testdata/good/air.yaml")
	level := func(x float64) spec.Value { return spec.SpeedValue(spec.Speed{Level: spec.Some(x)}) }
	for path, want := range map[string]spec.Value{
		"ambient.schedule[1].time":        spec.NumberValue(10800),
		"ambient.schedule[1].temperature": spec.NumberValue(305.15),
		"ambient.schedule[2].temperature": spec.NumberValue(303.15),
		"ambient.altitude":                spec.NumberValue(1500),
		"case.vents":                      spec.NumberValue(0.01),
		"case.boards.capacity":            spec.NumberValue(900),
		"case.chassis.capacity":           spec.NumberValue(4000),
		"back.moves":                      spec.TextValue("out"),
		"back.speed":                      spec.SpeedValue(spec.Speed{Rate: spec.Some(700. / 60)}),
		"back.airflow":                    spec.NumberValue(140. / 3600),
		"fan_2.speed":                     level(22),
		"fan_2.points[1].airflow":         spec.NumberValue(55 * 0.028316846592 / 60),
		"case.fans[1].rated":              spec.NumberValue(25),
		"front.core.face.width":           spec.NumberValue(0.42),
		"front.core.fins_per_inch":        spec.NumberValue(14),
		"front.core.fin_thickness":        spec.NumberValue(5e-5),
		"front.core.passes":               spec.NumberValue(2),
		"front.core.depth":                spec.NumberValue(0.024),
		"front.core.louvre_angle":         spec.NumberValue(27 * math.Pi / 180),
		"front.fans.speed":                level(30),
		"front.fans.points[1].pressure":   spec.NumberValue(9),
		"front.fans.failed":               spec.NumberValue(1),
		"front.fans.depth":                spec.NumberValue(0.025),
		"front.exhausts":                  spec.TextValue("case"),
		"front.clearance":                 spec.NumberValue(0.06),
		"front.breathes.from":             {},
		"top.fins_per_inch":               spec.NumberValue(16),
		"top.core.strip_length":           spec.NumberValue(0.003),
		"top.fans.speed":                  spec.SpeedValue(spec.Speed{Share: spec.Some(0.8)}),
		"top.fans.pressure":               spec.NumberValue(1.9 * 9.80665),
		"top.breathes.share":              spec.NumberValue(0.7),
		"top.breathes.rest":               spec.TextValue("case"),
	} {
		got, err := doc.Scenario.Get(path)
		if near := math.Abs(got.Number-want.Number) <= 1e-15*math.Abs(want.Number); !near {
			t.Errorf("%s: got %v, want %v", path, got, want)
		}
		got.Number = want.Number
		if err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
	if len(doc.ReadAs) != 0 {
		t.Errorf("long forms are reported as short ones: %q", doc.ReadAs)
	}
	for path, want := range map[string]Position{
		"back.speed":              {Line: 10, Column: 63, Text: "700 rpm"},
		"fan_2.speed":             {Line: 12, Column: 14, Text: "at 22 dBA"},
		"fan_2.points[1].airflow": {Line: 13, Column: 34, Text: "55 cfm"},
		"fan_2":                   {Line: 11, Column: 7},
		"front.core.face.height":  {Line: 26, Column: 41, Text: "140 mm"},
		"top.breathes.rest":       {Line: 72, Column: 52, Text: "case"},
	} {
		if got := doc.Positions[path]; got != want {
			t.Errorf("%s stands at %+v, want %+v", path, got, want)
		}
	}
}

// TestShortAir: the short forms of the air mean what the long ones say, and
// each is reported.
func TestShortAir(t *testing.T) {
	doc := load(t, "testdata/good/short_air.yaml")
	want := []string{
		"schedule: [0 h, 22 degC] is short for schedule: [[0 h, 22 degC]]",
		"loop: is short for one entry of loops:",
		"fans: at 30 dBA is short for fans: {speed: at 30 dBA}",
		"breathes: front is short for breathes: {from: front}",
		"fans: 80 % is short for fans: {speed: 80 %}",
		"breathes: room is short for breathes: {from: room}",
	}
	if !slices.Equal(doc.ReadAs, want) {
		t.Errorf("read as %q, want %q", doc.ReadAs, want)
	}
	other, err := Read("long.yaml", []byte(`
ambient: {schedule: [{temperature: 295.15 K, time: 0 s}]}
case: {fans: [{name: fan_1, moves: out}, {name: fan_2, speed: at 25 dBA, moves: in}]}
loops:
  - name: loop_1
    parts:
      - {part: radiator, name: front, mount: front, fans: {speed: 30 dBA}, size: 24 cm}
      - {part: radiator, name: radiator_2, fans: {speed: 80 %}, breathes: {from: front}}
      - {part: radiator, name: radiator_3, fans: {speed: "at  28.5 dBA"}, breathes: {from: room}}
`))
	if err != nil {
		t.Fatal(err)
	}
	if spec.Hash(doc.Scenario) != spec.Hash(other.Scenario) {
		t.Error("the long spelling has another hash")
	}
}

// TestFormatAir: values of the new kinds are written as a file states them, and
// read back.
func TestFormatAir(t *testing.T) {
	s := load(t, "testdata/good/air.yaml").Scenario
	for path, want := range map[string]string{
		"front.fans.speed": "at 30 dBA", "fan_2.speed": "at 22 dBA", "back.speed": "700 rpm", "top.fans.speed": "80 %",
		"case.vents": "100 cm2", "front.core.louvre_angle": "27 deg", "back.airflow": "140 m3/h", "fan_2.points[1].airflow": "93.4456 m3/h",
		"front.core.fins_per_inch": "14", "ambient.schedule[1].time": "3 h", "ambient.altitude": "1500 m", "top.breathes.rest": "case",
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
		if err != nil || back.Type != v.Type || math.Abs(back.Number-v.Number) > 1e-5*v.Number || back.Speed != v.Speed || back.Text != v.Text {
			t.Errorf("%s: %q is read as %v, %v, not %v", path, want, back, err, v)
		}
	}
}

// TestSpeeds: the three ways to write a speed, and what is told of others.
func TestSpeeds(t *testing.T) {
	s := load(t, "testdata/good/air.yaml").Scenario
	fans, err := s.FieldAt("front.fans.speed")
	if err != nil {
		t.Fatal(err)
	}
	pump, err := s.FieldAt("pump_1.speed")
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]spec.Speed{
		"1050 rpm": {Rate: spec.Some(17.5)}, "0 rpm": {Rate: spec.Some(0)}, "60 %": {Share: spec.Some(0.6)}, "at 30 dBA": {Level: spec.Some(30)},
		" at  30 dB(A) ": {Level: spec.Some(30)}, "at\u00a030 dBA": {Level: spec.Some(30)}, "30 dBA": {Level: spec.Some(30)}, "at 0 dBA": {Level: spec.Some(0)},
	} {
		if got, err := ParseValue(fans, text); err != nil || got.Speed != want {
			t.Errorf("%q is read as %+v, %v", text, got.Speed, err)
		}
	}
	for _, c := range []struct {
		f          spec.Field
		text, says string
	}{
		{fans, "at 30", "30 has no unit: write 30 dBA; a speed by its sound level is written at 30 dBA"},
		{fans, "30 dB", "write 30 dBA for an A-weighted level"},
		{fans, "at 30 dB", "write 30 dBA for an A-weighted level"},
		{fans, "at 1200 rpm", "at stands before a sound level, at 30 dBA: write 1200 rpm alone"},
		{fans, "at 60 %", "write 60 % alone"},
		{fans, "at", `"at" does not start with a number`},
		{fans, "1200", "1200 has no unit: write 1200 rpm; a share of the rated speed is written 60 %, a sound level at 30 dBA"},
		{pump, "at 60 %", `"at 60 %" does not start with a number`},
		{pump, "1200", "1200 has no unit: write 1200 rpm; a share of the rated speed is written 60 %"},
		{pump, "30 dB", `"dB" is not a unit of rotation speed`},
	} {
		_, err := ParseValue(c.f, c.text)
		if err == nil || !strings.Contains(err.Error(), c.says) || !c.f.ByLevel && strings.Contains(err.Error(), "dBA") {
			t.Errorf("%q: got %v, want %q", c.text, err, c.says)
		}
	}
}

// TestSetAir: fans of the case are set by name or by place, levels and short
// forms as anywhere, and sections that the file does not state come with them.
func TestSetAir(t *testing.T) {
	doc := load(t, "testdata/good/short_air.yaml")
	got, err := doc.Set("fan_1.speed=at 24 dBA", "case.fans[1].count=2", "front.fans=60 %", "front.core.fins=strip", "radiator_2.breathes=room",
		"ambient.schedule[0].temperature=25 degC", "case.boards.capacity=1 kJ/K", "front.core.face.width=240 mm", "front.size=10 in", "front.core.face.height=120 mm")
	if err == nil || !strings.Contains(err.Error(), "--set: front.core.face: size says already how large the face is") || !strings.Contains(err.Error(), "--set: front.size: a size is a multiple of") || got != nil {
		t.Errorf("size and face: %v", err)
	}
	got, err = doc.Set("fan_1.speed=at 24 dBA", "case.fans[1].count=2", "front.fans=60 %", "front.core.fins=strip", "radiator_2.breathes=room", "ambient.schedule[0].temperature=25 degC", "case.boards.capacity=1 kJ/K")
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]spec.Value{
		"case.fans[0].speed":              spec.SpeedValue(spec.Speed{Level: spec.Some(24)}),
		"fan_2.count":                     spec.NumberValue(2),
		"front.fans.speed":                spec.SpeedValue(spec.Speed{Share: spec.Some(0.6)}),
		"front.core.fins":                 spec.TextValue("strip"),
		"radiator_2.breathes.from":        spec.TextValue("room"),
		"ambient.schedule[0].temperature": spec.NumberValue(298.15),
		"case.boards.capacity":            spec.NumberValue(1000),
	} {
		if v, err := got.Scenario.Get(path); err != nil || v != want {
			t.Errorf("%s: got %v, %v; want %v", path, v, err, want)
		}
	}
	for assignment, want := range map[string]string{
		"fan_1.speed=at 24":          "--set: fan_1.speed: 24 has no unit: write 24 dBA; a speed by its sound level is written at 30 dBA",
		"fan_1.speed=at 140 dBA":     "--set: fan_1.speed: a sound level lies between 0 and 120 dBA, for example at 30 dBA",
		"fan_3.speed=at 24 dBA":      "--set: fan_3.speed: nothing is called fan_3; did you mean fan_1.speed?",
		"fan_1=700 rpm":              "--set: fan_1: it has keys of its own: name one of them, for example fan_1.name",
		"case.fans=2":                "--set: case.fans: it has keys of its own: name one of them, for example case.fans[0].name",
		"case.fans[2].moves=in":      "--set: case.fans[2].moves: fans has 2 elements, counted from 0",
		"fan_1.name=back":            "--set: fan_1.name: names and kinds stand in the file and cannot be set",
		"fan_1.moves=up":             `--set: fan_1.moves: "up" is not known: write in or out`,
		"ambient=24 degC":            "--set: ambient.schedule: temperature and schedule state the same thing: keep one of the two",
		"front.breathes=radiator_2":  "--set: front.breathes.from: the air goes round in a circle (front to radiator_2 to front): write room or case at one of them",
		"radiator_3.breathes=fan_1":  "--set: radiator_3.breathes.from: fan_1 is a fan, not a radiator, room or case; the file has front, radiator_2, radiator_3",
		"front.core.louvre_angle=27": "--set: front.core.louvre_angle: 27 has no unit: write 27 deg",
	} {
		if got, err := doc.Set(assignment); got != nil || err == nil || err.Error() != want {
			t.Errorf("%s:\ngot  %v\nwant %s", assignment, err, want)
		}
	}
}

// TestWithValueAir changes one value each in the text: comments and all else
// stay.
func TestWithValueAir(t *testing.T) {
	doc := load(t, "testdata/good/air.yaml")
	src := string(doc.Source)
	for _, c := range []struct{ path, text, from, to string }{
		{"back.speed", "at 20 dBA", "speed: 700 rpm, airflow", "speed: at 20 dBA, airflow"},
		{"fan_2.speed", "900 rpm", "speed: at 22 dBA # quiet", "speed: 900 rpm # quiet"},
		{"case.fans[1].speed", "50 %", "speed: at 22 dBA # quiet", "speed: 50 % # quiet"},
		{"fan_2.points[1].airflow", "60 cfm", "[55 cfm, 0 Pa]", "[60 cfm, 0 Pa]"},
		{"fan_2.count", "2", "      rated: 1500 rpm\n", "      rated: 1500 rpm\n      count: 2\n"},
		{"front.core.face.height", "0.15 m", "height: 140 mm} # three fans", "height: 0.15 m} # three fans"},
		{"front.breathes.from", "room", "clearance: 60 mm\n", "clearance: 60 mm\n        breathes: {from: room}\n"},
		{"front.breathes", "room", "clearance: 60 mm\n", "clearance: 60 mm\n        breathes: {from: room}\n"},
		{"top.core.fin_material", "brass", "strip_length: 3 mm}", "strip_length: 3 mm, fin_material: brass}"},
		{"top.breathes.share", "60 %", "share: 70 %", "share: 60 %"},
		{"ambient.schedule[2].temperature", "31 degC", "temperature: 30 degC}", "temperature: 31 degC}"},
		{"ambient.altitude", "-100 m", "altitude: 1500 m", `altitude: "-100 m"`},
		{"case.boards.capacity", "1 kJ/K", "{capacity: 900 J/K", "{capacity: 1 kJ/K"},
	} {
		got, err := doc.WithValue(c.path, c.text)
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if want := strings.Replace(src, c.from, c.to, 1); string(got.Source) != want || want == src {
			t.Errorf("%s: got\n%s", c.path, got.Source)
		}
	}
	short := load(t, "testdata/good/short_air.yaml")
	for path, c := range map[string]struct{ text, want string }{
		"front.fans.count":          {"2", "fans: {speed: at 30 dBA, count: 2}, mount"},
		"radiator_2.breathes.share": {"100 %", "breathes: {from: front, share: 100 %}, fans"},
		"front.core.tube_pitch":     {"9 mm", "mount: front, core: {tube_pitch: 9 mm}}"},
		"fan_1.size":                {"140 mm", "{moves: out, size: 140 mm}"},
		"case.chassis.capacity":     {"4 kJ/K", "case: {chassis: {capacity: 4 kJ/K}, fans:"},
	} {
		got, err := short.WithValue(path, c.text)
		if err != nil || !strings.Contains(string(got.Source), c.want) {
			t.Errorf("%s: %v, want %s", path, err, c.want)
		}
	}
}
