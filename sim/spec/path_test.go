package spec

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestGet(t *testing.T) {
	s := workstation().Named()
	tests := []struct {
		path string
		want Value
	}{
		{"title", TextValue("Office workstation")},
		{"note", Value{}},
		{"ambient.temperature", NumberValue(296.15)},
		{"ambient.humidity", Value{}},
		{"coolant.volume_share", NumberValue(0.2)},
		{"cpu.power", PowerValue(Power{Watts: Some(210)})},
		{"cpu.leakage.power", NumberValue(30)},
		{"chips[0].leakage.growth", NumberValue(0.02)},
		{"chip_2.power", PowerValue(Power{Watts: Some(300)})},
		{"front.conductance", NumberValue(18)},
		{"front.part", TextValue("radiator")},
		{"front.note", TextValue("old")},
		{"front.per", Value{}},
		{"block_1.cools", TextValue("cpu")},
		{"block_1.power", PowerValue(Power{Share: Some(0.1), Of: "cpu"})},
		{"tube_2.length", NumberValue(0.3)},
		{"loops[0].parts[4].length", NumberValue(0.3)},
		{"loop_1.parts[4].length", NumberValue(0.3)},
		{"board.capacity", NumberValue(5000)},
		{"link_1.to", TextValue("ambient")},
		{"render.steps[0].power", PowerValue(Power{Watts: Some(210)})},
		{"render.steps[1].power", PowerValue(Power{Share: Some(0.8)})},
		{"render.repeat", RepeatValue(Repeat{Count: 8})},
		{"work_2.repeat", RepeatValue(Repeat{Forever: true})},
		{"work_2.on", NumberValue(1080)},
		{"start", Value{}},
		{"start.cpu.die", NumberValue(313.15)},
		{"start.board", NumberValue(297.15)},
		{"start.front.metal", Value{}},
		{"duration", NumberValue(4800)},
		{"figures.coolant_at[1]", NumberValue(318.15)},
		{"solver.tolerance", NumberValue(2e-4)},
	}
	for _, c := range tests {
		got, err := s.Get(c.path)
		if err != nil || got != c.want {
			t.Errorf("%s: got %v, %v; want %v", c.path, got, err, c.want)
		}
	}
}

func TestPathErrors(t *testing.T) {
	s := workstation().Named()
	tests := []struct{ path, says string }{
		{"", "a word is missing"},
		{".", "a word is missing"},
		{"front.", "a word is missing"},
		{"front..per", "a word is missing"},
		{"frnt.conductance", "nothing is called frnt; did you mean front.conductance?"},
		{"front.conductence", "it has no key conductence; did you mean front.conductance?"},
		{"tube_1.conductance", "a tube has no conductance (a radiator has)"},
		{"block_1.bore", "a block has no bore (a tube or a fitting has)"},
		{"chips.power", "chips is a list: write chips[0]"},
		{"chips[2].power", "chips has 2 elements, counted from 0"},
		{"chips[-1].power", `"chips[-1]" is not a position`},
		{"chips[0.power", `"chips[0" is not a position`},
		{"chips[+0].power", "is not a position"},
		{"chips[].power", "is not a position"},
		{"render.steps[2].power", "steps has 2 elements"},
		{"front.conductance[0]", "conductance is not a list"},
		{"figures.coolant_at[2]", "coolant_at has 2 elements"},
		{"duration.length", "duration has no keys of its own"},
		{"front[0]", "nothing is called front"},
		{"coolant", "it has keys or elements of its own"},
		{"front", "it has keys or elements of its own"},
		{"figures.coolant_at", "it has keys or elements of its own"},
		{strings.Repeat("x", 10000), "nothing is called"},
	}
	for _, c := range tests {
		_, err := s.Get(c.path)
		var pathErr *PathError
		if !errors.As(err, &pathErr) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: got %v, want %q", c.path, err, c.says)
		}
	}
}

// TestOtherKindNeedsNoHint: the kind that has the key is the hint.
func TestOtherKindNeedsNoHint(t *testing.T) {
	_, err := workstation().Named().Get("pump_1.bore")
	if want := "pump_1.bore: a pump has no bore (a tube or a fitting has)"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// TestFieldAt checks that a field comes with all that its tags say.
func TestFieldAt(t *testing.T) {
	s := workstation().Named()
	f, err := s.FieldAt("front.conductance")
	want := Field{Path: "front.conductance", Key: "conductance", Type: TypeNumber, Dimension: Conductance, Min: 0.01, Max: 5000,
		Example: "18 W/K", Doc: "heat per kelvin between coolant and entering air, whatever the fans do"}
	f.index = 0
	if err != nil || !reflect.DeepEqual(f, want) {
		t.Errorf("got %+v, %v; want %+v", f, err, want)
	}
	for path, want := range map[string]Type{
		"coolant.fluid": TypeText, "cpu.power": TypePower, "render.repeat": TypeRepeat, "figures.coolant_at": TypeNumbers,
		"figures.coolant_at[0]": TypeNumber, "start": TypeStart, "start.cpu.die": TypeNumber, "chips": TypeSections,
		"cpu": TypeSection, "chips[0]": TypeSection, "cpu.leakage": TypeSection,
	} {
		if f, err := s.FieldAt(path); err != nil || f.Type != want || f.Path != path {
			t.Errorf("%s: type %v, path %q, %v; want %v", path, f.Type, f.Path, err, want)
		}
	}
	if f, _ := s.FieldAt("render.steps[0].power"); !f.OwnShare {
		t.Error("a step's power may be a share of the part's own")
	}
	if f, _ := s.FieldAt("cpu.power"); f.OwnShare {
		t.Error("a chip's power cannot be a share of itself")
	}
}

// TestAllAgreesWithGet: every path that All gives leads back to its value, and
// the structural path of a thing leads to the same place.
func TestAllAgreesWithGet(t *testing.T) {
	s := workstation().Named()
	names := s.Names()
	structural := map[string]string{}
	for path, name := range names {
		structural[name] = path
	}
	count := 0
	for f, v := range s.All() {
		count++
		got, err := s.Get(f.Path)
		if err != nil || got != v {
			t.Errorf("%s: All says %v, Get %v, %v", f.Path, v, got, err)
		}
		word, rest, _ := strings.Cut(f.Path, ".")
		if place, ok := structural[word]; ok && !strings.HasPrefix(f.Path, "start.") {
			long := place + "." + rest
			if Canonical(names, long) != f.Path {
				t.Errorf("%s is canonically %s, want %s", long, Canonical(names, long), f.Path)
			}
			if got, err := s.Get(long); err != nil || got != v {
				t.Errorf("%s: got %v, %v; want %v", long, got, err, v)
			}
		}
	}
	if count < 100 {
		t.Errorf("only %d fields", count)
	}
	if got := Canonical(names, "solver.tolerance"); got != "solver.tolerance" {
		t.Errorf("a path without a name became %s", got)
	}
}

// TestMissingKindReadsAsUnset: a part made by hand may lack the struct of its
// kind.
func TestMissingKindReadsAsUnset(t *testing.T) {
	s := &Scenario{Loops: []Loop{{Parts: []Part{{Kind: "tube", Name: "hose"}}}}}
	if v, err := s.Get("hose.bore"); err != nil || v.IsSet() {
		t.Errorf("got %v, %v", v, err)
	}
	c, err := s.With("hose.bore", NumberValue(0.01))
	if err != nil || c.Loops[0].Parts[0].Tube.Bore != Some(0.01) || s.Loops[0].Parts[0].Tube != nil {
		t.Errorf("set to %+v, %v; original %+v", c, err, s.Loops[0].Parts[0])
	}
}

// drawValue draws a value that the field accepts.
func drawValue(t *rapid.T, f Field) Value {
	switch f.Type {
	case TypeNumber:
		if f.Dimension == Count {
			return NumberValue(float64(rapid.IntRange(int(f.Min), int(f.Max)).Draw(t, "count")))
		}
		return NumberValue(rapid.Float64Range(f.Min, f.Max).Draw(t, "number"))
	case TypePower:
		if rapid.Bool().Draw(t, "share") {
			return PowerValue(Power{Share: Some(rapid.Float64Range(0, 2).Draw(t, "ratio")), Of: "gpu"})
		}
		return PowerValue(Power{Watts: Some(rapid.Float64Range(f.Min, f.Max).Draw(t, "watts"))})
	case TypeSpeed:
		if f.ByLevel && rapid.Bool().Draw(t, "level") {
			return SpeedValue(Speed{Level: Some(rapid.Float64Range(leastLevel, mostLevel).Draw(t, "dBA"))})
		}
		if rapid.Bool().Draw(t, "share") {
			return SpeedValue(Speed{Share: Some(rapid.Float64Range(0, maxSpeed).Draw(t, "ratio"))})
		}
		return SpeedValue(Speed{Rate: Some(rapid.Float64Range(f.Min, f.Max).Draw(t, "rate"))})
	case TypeRepeat:
		return RepeatValue(Repeat{Count: rapid.IntRange(1, 100).Draw(t, "count")})
	}
	if f.One != nil {
		return TextValue(rapid.SampledFrom(f.One).Draw(t, "word"))
	}
	return TextValue(rapid.StringN(1, 20, -1).Draw(t, "text"))
}

// TestWith: Get returns what With set, nothing else changes, and the original
// never does.
func TestWith(t *testing.T) {
	for name, s := range map[string]*Scenario{"workstation": workstation().Named(), "plant": withoutSeries(plant().Named())} {
		t.Run(name, func(t *testing.T) { withAndBack(t, s) })
	}
}

// withoutSeries drops what was read of logs, which a change of what they state
// forgets.
func withoutSeries(s *Scenario) *Scenario {
	for _, l := range s.Logs() {
		l.Series = nil
	}
	return s
}

func withAndBack(t *testing.T, s *Scenario) {
	before := s.Clone()
	var fields []Field
	for f := range s.All() {
		if f.Key != "name" && f.Key != KindKey && f.Path != "start" {
			fields = append(fields, f)
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
		if !reflect.DeepEqual(s, before) {
			t.Fatalf("setting %s changed the original", f.Path)
		}
		back, err := c.With(f.Path, mustGet(s, f.Path))
		if err != nil || !reflect.DeepEqual(back, s) {
			t.Fatalf("setting %s and taking it back leaves %+v, %v", f.Path, back, err)
		}
	})
}

func mustGet(s *Scenario, path string) Value {
	v, err := s.Get(path)
	if err != nil {
		panic(err)
	}
	return v
}

// TestCloneIsDeep changes everything a copy points to.
func TestCloneIsDeep(t *testing.T) {
	s, want := workstation(), workstation()
	c := s.Clone()
	if !reflect.DeepEqual(c, want) {
		t.Fatal("the copy differs")
	}
	c.Chips[0].Name = "x"
	c.Loops[0].Parts[1].Tube.Bore = Some(1)
	c.Loops[0].Parts[0].Name = "x"
	c.Work[0].Steps[0].For = Some(1)
	c.Start.Nodes[0].Temperature = 1
	c.Figures.CoolantAt[0] = Some(1)
	if !reflect.DeepEqual(s, want) {
		t.Error("changing the copy changed the original")
	}
}

func TestWithRefuses(t *testing.T) {
	s := workstation().Named()
	nan := NumberValue(0)
	nan.Number /= nan.Number
	tests := []struct {
		path string
		v    Value
		says string
	}{
		{"front.conductance", NumberValue(1e9), "outside the allowed range of 0.01 to 5000"},
		{"front.conductance", nan, "not a finite number"},
		{"front.conductance", TextValue("much"), "conductance is a number, not a text"},
		{"front.cells", NumberValue(2.5), "not a whole number"},
		{"coolant.fluid", TextValue("watre"), "did you mean water?"},
		{"cpu.power", PowerValue(Power{Share: Some(0.5)}), "needs the name"},
		{"render.repeat", RepeatValue(Repeat{Count: -1}), "outside 1 to"},
		{"cpu.name", TextValue("gpu"), "cannot be set"},
		{"front.part", TextValue("tube"), "cannot be set"},
		{"cpu", NumberValue(1), "keys of its own"},
		{"start", TextValue("hot"), `"hot" is not known`},
		{"start.cpu.die", NumberValue(1000), "outside"},
		{"start.cpu.die", TextValue("warm"), "is a number, not a text"},
		{"gpu.power", NumberValue(1), "nothing is called gpu"},
	}
	for _, c := range tests {
		got, err := s.With(c.path, c.v)
		if got != nil || err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s to %v: got %v, want %q", c.path, c.v, err, c.says)
		}
	}
}

// TestWithSpecialForms: numbers for powers, one number for a list, rules and
// nodes of the start replace each other.
func TestWithSpecialForms(t *testing.T) {
	s := workstation().Named()
	set := func(path string, v Value) *Scenario {
		t.Helper()
		c, err := s.With(path, v)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		return c
	}
	if c := set("cpu.power", NumberValue(99)); c.Chips[0].Power != (Power{Watts: Some(99)}) {
		t.Errorf("power is %+v", c.Chips[0].Power)
	}
	if c := set("figures.coolant_at", NumberValue(310)); !reflect.DeepEqual(c.Figures.CoolantAt, []Number{Some(310)}) {
		t.Errorf("coolant_at is %v", c.Figures.CoolantAt)
	}
	if c := set("start", TextValue("level")); c.Start.Rule != "level" || c.Start.Nodes != nil {
		t.Errorf("start is %+v", c.Start)
	}
	s = set("start", TextValue("level"))
	if c := set("start.cpu.die", NumberValue(300)); c.Start.Rule != "" || len(c.Start.Nodes) != 1 {
		t.Errorf("start is %+v", c.Start)
	}
	s = workstation().Named()
	if c := set("start.cpu.die", Value{}); len(c.Start.Nodes) != 1 || c.Start.Nodes[0].Node != "board" {
		t.Errorf("start is %+v", c.Start)
	}
	if c := set("front.conductance", Value{}); c.Loops[0].Parts[3].Radiator.Conductance.Set {
		t.Error("conductance is still stated")
	}
}

// FuzzPath: no path makes the accessors panic, and an accepted one can be set
// to what it is.
func FuzzPath(f *testing.F) {
	s := workstation().Named()
	for field := range s.All() {
		f.Add(field.Path)
	}
	for _, path := range []string{"", "[", "chips[99999999999999999999]", "start.", "start", "a.b[0]", "front.\x00", "loops[0].parts[0]"} {
		f.Add(path)
	}
	r, w, p := rig().Named(), tower().Named(), plant().Named()
	for _, more := range []*Scenario{r, w, p} {
		for field := range more.All() {
			f.Add(field.Path)
		}
	}
	f.Fuzz(func(t *testing.T, path string) {
		fuzzPath(t, s, path)
		fuzzPath(t, r, path)
		fuzzPath(t, w, path)
		fuzzPath(t, p, path)
	})
}

func fuzzPath(t *testing.T, s *Scenario, path string) {
	v, err := s.Get(path)
	if err != nil {
		return
	}
	if _, err := s.FieldAt(path); err != nil {
		t.Fatalf("%q has a value and no field: %v", path, err)
	}
	c, err := s.With(path, v)
	if err != nil {
		if strings.Contains(err.Error(), "cannot be set") {
			return
		}
		t.Fatalf("%q cannot be set to its own value: %v", path, err)
	}
	if v.IsSet() && !reflect.DeepEqual(c, s) {
		t.Fatalf("setting %q to its own value changed the scenario", path)
	}
}
