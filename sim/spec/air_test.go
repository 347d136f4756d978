package spec

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// tower is a sound scenario with what workstation and rig lack: a case with
// fans, a room along a schedule, cores, and air that one radiator takes from
// another.
func tower() *Scenario {
	front := &Radiator{
		Core: Core{
			Face: Face{Width: Some(0.42), Height: Some(0.14)}, Thickness: Some(0.028), FinsPerInch: Some(14), Fins: "louvred", FinThickness: Some(5e-5),
			TubePitch: Some(0.010), TubeThickness: Some(0.002), TubeWall: Some(2e-4), LouvrePitch: Some(0.0012), LouvreLength: Some(0.0065), LouvreAngle: Some(0.47),
		},
		Fans: Fans{
			Count: Some(3), Speed: Speed{Level: Some(30)}, Rated: Some(25), Noise: Some(28), Arrangement: "push-pull", Stop: Some(4), Failed: Some(1),
			Points: []AirflowPressure{{Some(0), Some(20)}, {Some(0.017), Some(9)}, {Some(0.026), Some(0)}},
		},
		Mount: "front", Grille: "open mesh", Filter: "fine", Blocked: Some(0.1),
	}
	top := &Radiator{
		Size: Some(0.24), Thickness: Some(0.03), FinsPerInch: Some(16), Core: Core{Fins: "strip", StripLength: Some(0.003)},
		Fans:     Fans{Speed: Speed{Rate: Some(15)}, Airflow: Some(0.03), Pressure: Some(15)},
		Breathes: Breathes{From: "front", Share: Some(0.7), Rest: "case"}, Exhausts: "room", Recirculation: Some(0.1), Points: []SpeedConductance{{Some(12.5), Some(13)}},
	}
	return &Scenario{
		Ambient: Ambient{Schedule: []TimeTemperature{{Some(0), Some(295.15)}, {Some(10800), Some(305.15)}, {Some(14400), Some(303.15)}}, Altitude: Some(1500), Humidity: Some(0.5)},
		Case: &Case{
			Volume: Some(0.04), Vents: Some(0.01), OtherHeat: Power{Watts: Some(45)}, Boards: Body{Capacity: Some(900), Conductance: Some(6)}, Chassis: Body{Capacity: Some(4000)},
			Fans: []Fan{
				{Name: "rear", Moves: "out", Size: Some(0.14), Speed: Speed{Rate: Some(12)}, Rated: Some(20), Airflow: Some(0.03), Pressure: Some(12), Noise: Some(24)},
				{Moves: "in", Count: Some(2), Speed: Speed{Share: Some(0.6)}, Points: []AirflowPressure{{Some(0), Some(18)}, {Some(0.02), Some(0)}}},
			},
		},
		Chips: []Chip{{Name: "cpu", Power: Power{Watts: Some(200)}}},
		Loops: []Loop{{Name: "main", Parts: []Part{
			{Kind: "pump", Pump: &Pump{Speed: Speed{Share: Some(0.6)}}},
			{Kind: "block", Block: &Block{Cools: "cpu"}},
			{Kind: "radiator", Name: "front", Radiator: front},
			{Kind: "radiator", Name: "top", Radiator: top},
		}}},
	}
}

// TestTowerNames: fans of the case have names of their own, made ones counted
// among themselves, and lie within the case.
func TestTowerNames(t *testing.T) {
	s := tower()
	want := map[string]string{
		"chips[0]": "cpu", "loops[0]": "main", "loops[0].parts[0]": "pump_1", "loops[0].parts[1]": "block_1",
		"loops[0].parts[2]": "front", "loops[0].parts[3]": "top", "case.fans[0]": "rear", "case.fans[1]": "fan_2",
	}
	names := s.Named().Names()
	if !reflect.DeepEqual(names, want) {
		t.Errorf("got %v, want %v", names, want)
	}
	if !reflect.DeepEqual(s, tower()) {
		t.Error("the original was named")
	}
	for path, want := range map[string]string{
		"case.fans[0].speed": "rear.speed", "case.fans[1].points[0].airflow": "fan_2.points[0].airflow", "case.fans[1]": "fan_2",
		"case.fans": "case.fans", "case.fans[2].speed": "case.fans[2].speed", "case.volume": "case.volume", "loops[0].parts[2].core.face.width": "front.core.face.width",
	} {
		if got := Canonical(names, path); got != want {
			t.Errorf("%s is canonically %s, want %s", path, got, want)
		}
	}
	s.Case.Fans[1].Name = "fan_1"
	s.Case.Fans[0].Name = ""
	if got := s.Named().Case.Fans[0].Name; got != "fan_2" {
		t.Errorf("the made name does not give way to a stated one: %s", got)
	}
	if got := new(Scenario).Named().Names(); len(got) != 0 {
		t.Errorf("without a case there are %v", got)
	}
}

// TestTowerPaths: what lies within a section of the case or of a radiator is
// read and set by its path, by name or by place.
func TestTowerPaths(t *testing.T) {
	s := tower().Named()
	for path, want := range map[string]Value{
		"rear.speed":                      SpeedValue(Speed{Rate: Some(12)}),
		"case.fans[0].speed":              SpeedValue(Speed{Rate: Some(12)}),
		"rear.moves":                      TextValue("out"),
		"fan_2.speed":                     SpeedValue(Speed{Share: Some(0.6)}),
		"fan_2.points[1].airflow":         NumberValue(0.02),
		"case.fans[1].points[1].pressure": NumberValue(0),
		"case.boards.capacity":            NumberValue(900),
		"case.chassis.conductance":        {},
		"case.vents":                      NumberValue(0.01),
		"front.core.face.width":           NumberValue(0.42),
		"front.core.louvre_angle":         NumberValue(0.47),
		"front.fans.speed":                SpeedValue(Speed{Level: Some(30)}),
		"front.fans.points[2].airflow":    NumberValue(0.026),
		"top.breathes.rest":               TextValue("case"),
		"top.breathes.share":              NumberValue(0.7),
		"top.fins_per_inch":               NumberValue(16),
		"ambient.schedule[1].temperature": NumberValue(305.15),
		"ambient.altitude":                NumberValue(1500),
		"ambient.temperature":             {},
	} {
		if got, err := s.Get(path); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
	for path, v := range map[string]Value{"rear.speed": SpeedValue(Speed{Level: Some(25)}), "case.fans[0].speed": NumberValue(9)} {
		c, err := s.With(path, v)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		want := v.Speed
		if v.Type == TypeNumber {
			want = Speed{Rate: Some(v.Number)}
		}
		if c.Case.Fans[0].Speed != want || s.Case.Fans[0].Speed != (Speed{Rate: Some(12)}) || Hash(c) == Hash(s) {
			t.Errorf("%s: %+v in the copy, %+v in the original", path, c.Case.Fans[0].Speed, s.Case.Fans[0].Speed)
		}
	}
	f, err := s.FieldAt("rear.speed")
	if err != nil || f.Path != "rear.speed" || f.Type != TypeSpeed || !f.ByLevel {
		t.Errorf("rear.speed is %+v, %v", f, err)
	}
	if f, err := s.FieldAt("rear"); err != nil || f.Type != TypeSection || f.Section.Name != "Fan" {
		t.Errorf("rear is %+v, %v", f, err)
	}
}

func TestTowerPathErrors(t *testing.T) {
	s := tower().Named()
	for path, says := range map[string]string{
		"rear.sped":             "it has no key sped; did you mean rear.speed?",
		"raer.speed":            "nothing is called raer; did you mean rear.speed?",
		"case.fans.speed":       "fans is a list: write fans[0]",
		"case.fans[2].speed":    "fans has 2 elements",
		"rear":                  "it has keys or elements of its own",
		"case.capacity":         "it has no key capacity",
		"front.core.face":       "it has keys or elements of its own",
		"top.breathes.form":     "it has no key form; did you mean top.breathes.from?",
		"ambient.schedule.time": "schedule is a list: write schedule[0]",
		"pump_1.breathes.from":  "a pump has no breathes (a radiator has)",
	} {
		_, err := s.Get(path)
		var pathErr *PathError
		if !errors.As(err, &pathErr) || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: got %v, want %q", path, err, says)
		}
	}
	if _, err := s.With("rear.name", TextValue("back")); err == nil || !strings.Contains(err.Error(), "cannot be set") {
		t.Errorf("a name is set: %v", err)
	}
}

// TestTowerAgrees: every path of All leads to its value, set or taken back
// nothing else changes, and the hash sees it.
func TestTowerAgrees(t *testing.T) {
	s, before := tower().Named(), tower().Named()
	var fields []Field
	for f, v := range s.All() {
		if got, err := s.Get(f.Path); err != nil || got != v {
			t.Errorf("%s: All says %v, Get %v, %v", f.Path, v, got, err)
		}
		if f.Key != "name" && f.Key != KindKey && f.Path != "start" {
			fields = append(fields, f)
		}
	}
	for _, path := range []string{"rear.speed", "fan_2.points[1].airflow", "front.core.face.height", "ambient.schedule[2].time", "case.boards.conductance", "top.breathes.from"} {
		if !slices.ContainsFunc(fields, func(f Field) bool { return f.Path == path }) {
			t.Errorf("All passes over %s", path)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(fields).Draw(t, "field")
		v := drawValue(t, f)
		c, err := s.With(f.Path, v)
		if err != nil {
			t.Fatalf("%s to %v: %v", f.Path, v, err)
		}
		if got, err := c.Get(f.Path); err != nil || got != v {
			t.Fatalf("%s is %v, %v after it was set to %v", f.Path, got, err, v)
		}
		if free := unhashed(f); (Hash(c) == Hash(s)) != (free || v == mustGet(s, f.Path)) {
			t.Fatalf("%s from %v to %v: the hash does not follow", f.Path, mustGet(s, f.Path), v)
		}
		back, err := c.With(f.Path, mustGet(s, f.Path))
		if err != nil || !reflect.DeepEqual(back, s) || !reflect.DeepEqual(s, before) {
			t.Fatalf("setting %s and taking it back leaves %+v, %v", f.Path, back, err)
		}
	})
}

// TestHashOfAir: what is not a single field shows as well, a level is no share
// of the same number, and what is not stated does not show.
func TestHashOfAir(t *testing.T) {
	seen := map[string]string{Hash(tower().Named()): "the original"}
	for name, change := range map[string]func(s *Scenario){
		"name of a fan":    func(s *Scenario) { s.Case.Fans[0].Name = "back" },
		"order of fans":    func(s *Scenario) { f := s.Case.Fans; f[0], f[1] = f[1], f[0] },
		"a fan less":       func(s *Scenario) { s.Case.Fans = s.Case.Fans[:1] },
		"a point less":     func(s *Scenario) { s.Ambient.Schedule = s.Ambient.Schedule[:2] },
		"level as a rate":  func(s *Scenario) { s.Loops[0].Parts[2].Radiator.Fans.Speed = Speed{Rate: Some(30)} },
		"level as a share": func(s *Scenario) { s.Loops[0].Parts[2].Radiator.Fans.Speed = Speed{Share: Some(30)} },
		"another level":    func(s *Scenario) { s.Loops[0].Parts[2].Radiator.Fans.Speed = Speed{Level: Some(31)} },
		"no case":          func(s *Scenario) { s.Case = nil },
		"short thickness": func(s *Scenario) {
			r := s.Loops[0].Parts[2].Radiator
			r.Thickness, r.Core.Thickness = r.Core.Thickness, Number{}
		},
	} {
		s := tower().Named()
		change(s)
		h := Hash(s)
		if earlier, twice := seen[h]; twice {
			t.Errorf("%s gives the hash of %s", name, earlier)
		}
		seen[h] = name
	}
	s, empty := tower().Named(), tower().Named()
	s.Case.Fans, empty.Case.Fans = nil, []Fan{}
	if Hash(s) != Hash(empty) {
		t.Error("a list without elements shows in the hash")
	}
}

// TestCloneOfTower changes what a copy points to.
func TestCloneOfTower(t *testing.T) {
	s := tower()
	c := s.Clone()
	c.Case.Fans[0].Name = "x"
	c.Case.Fans[1].Points[0].Airflow = Some(1)
	c.Ambient.Schedule[0].Time = Some(1)
	c.Loops[0].Parts[2].Radiator.Fans.Points[0].Pressure = Some(1)
	c.Loops[0].Parts[2].Radiator.Core.Face.Width = Some(1)
	if !reflect.DeepEqual(s, tower()) {
		t.Error("changing the copy changed the original")
	}
}

// TestShortFormsAgree: a key that is short for one in a section has its
// dimension and range.
func TestShortFormsAgree(t *testing.T) {
	s := tower().Named()
	for short, long := range map[string]string{"front.thickness": "front.core.thickness", "front.fins_per_inch": "front.core.fins_per_inch"} {
		a, errA := s.FieldAt(short)
		b, errB := s.FieldAt(long)
		if errA != nil || errB != nil || a.Dimension != b.Dimension || a.Min != b.Min || a.Max != b.Max {
			t.Errorf("%s %v to %v, %s %v to %v; %v, %v", short, a.Min, a.Max, long, b.Min, b.Max, errA, errB)
		}
	}
}

// TestLevels: a sound level is a third way to state the speed of fans, and of
// fans alone.
func TestLevels(t *testing.T) {
	s := tower().Named()
	level := func(x float64) Value { return SpeedValue(Speed{Level: Some(x)}) }
	if got := level(30).String(); got != "at 30 dBA" || !(Speed{Level: Some(0)}).Set() {
		t.Errorf("a level is written %q", got)
	}
	for _, c := range []struct {
		path string
		v    Value
		says string
	}{
		{"rear.speed", level(0), ""},
		{"top.fans.speed", level(120), ""},
		{"rear.speed", level(-1), "a sound level lies between 0 and 120 dBA, for example at 30 dBA"},
		{"rear.speed", level(121), "a sound level lies between 0 and 120 dBA"},
		{"rear.speed", level(math.NaN()), "a sound level lies between 0 and 120 dBA"},
		{"pump_1.speed", level(30), "only the fixed speed of fans is set by a sound level: write a speed, 1200 rpm, or a share of the rated one, 60 %"},
		{"rear.speed", SpeedValue(Speed{Level: Some(30), Rate: Some(10)}), "a speed is one of three"},
		{"rear.speed", SpeedValue(Speed{Level: Some(30), Share: Some(1)}), "a speed is one of three"},
		{"rear.speed", SpeedValue(Speed{Share: Some(1.6)}), "a share of the rated speed lies between 0 % and 150 %"},
	} {
		_, err := s.With(c.path, c.v)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s to %v: got %v, want %q", c.path, c.v, err, c.says)
		}
	}
}
