package scenarios

import (
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"soakledger/sim/spec"
)

// TestStudy checks what variants and a study are read as, in SI.
func TestStudy(t *testing.T) {
	doc := load(t, "testdata/good/study.yaml")
	rpm := func(x float64) spec.Value { return spec.SpeedValue(spec.Speed{Rate: spec.Some(x / 60)}) }
	for path, want := range map[string]spec.Value{
		"variants.front[0].name":                   spec.TextValue("slim"),
		"variants.front[1].core.thickness":         spec.NumberValue(0.064),
		"variants.front[1].holds":                  spec.NumberValue(610e-6),
		"variants.front[1].fans.points[1].airflow": spec.NumberValue(95. / 3600),
		"variants.cpu[1].limits[0].long":           spec.NumberValue(125),
		"variants.coolant[1].volume_share":         spec.NumberValue(0.2),
		"variants.rear[0].speed":                   spec.SpeedValue(spec.Speed{Level: spec.Some(25)}),
		"variants.board[0].capacity":               spec.NumberValue(9000),
		"study.combine":                            spec.TextValue("grid"),
		"study.vary[0].variants[0]":                spec.TextValue("all"),
		"study.vary[1].values[1]":                  rpm(1000),
		"study.vary[4].variants[0]":                spec.TextValue("clear"),
		"study.vary[5].values[1]":                  spec.TextValue("evening"),
		"study.vary[6].from":                       spec.NumberValue(293.15),
		"study.vary[6].step":                       spec.NumberValue(5),
		"study.vary[7].to":                         spec.PowerValue(spec.Power{Watts: spec.Some(300)}),
		"study.vary[8].values[0]":                  spec.RepeatValue(spec.Repeat{Count: 1}),
		"study.vary[9].values[1]":                  spec.TextValue("idle"),
		"study.vary[10].values[0]":                 spec.NumberValue(303.15),
	} {
		if got, err := doc.Scenario.Get(path); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
	want := []spec.Comparison{
		{Text: "front.fans.speed <= 1300 rpm", Left: spec.Operand{Path: "front.fans.speed"}, Is: "<=", Right: spec.Operand{Value: rpm(1300)}},
		{Text: "front != slim", Left: spec.Operand{Path: "front"}, Is: "!=", Right: spec.Operand{Value: spec.TextValue("slim")}},
		{Text: "30 degC >= room_c", Left: spec.Operand{Value: spec.NumberValue(303.15)}, Is: ">=", Right: spec.Operand{Path: "room_c"}},
		{Text: "front.fans.rated > front.fans.speed", Left: spec.Operand{Path: "front.fans.rated"}, Is: ">", Right: spec.Operand{Path: "front.fans.speed"}},
	}
	if got := doc.Scenario.Study.Keep; !reflect.DeepEqual(got, want) {
		t.Errorf("conditions are %+v", got)
	}
	if got := doc.Scenario.Designs(); got != 2*2*2*1*2*3*3*2*2*1 {
		t.Errorf("%d designs", got)
	}
	for path, want := range map[string]Position{
		"variants.front[1].holds":      {Line: 5, Column: 88, Text: "610 mL"},
		"study.vary[1].values[1]":      {Line: 14, Column: 26, Text: "1000 rpm"},
		"study.keep[1]":                {Line: 11, Column: 40, Text: "front  !=  slim"},
		"variants.coolant[0].name":     {Line: 7, Column: 20, Text: "clear"},
		"variants.front[0].core":       {Line: 4, Column: 26},
		"variants.limited[0].capacity": {},
	} {
		if got := doc.Positions[path]; got != want {
			t.Errorf("%s stands at %+v, want %+v", path, got, want)
		}
	}
}

// TestSetStudy: overrides pick variants and change a study, and the words in the
// file do so too.
func TestSetStudy(t *testing.T) {
	doc := load(t, "testdata/good/study.yaml")
	changed, err := doc.Set("front=deep", "coolant=mixed", "study.vary[1].values[0]=800 rpm", "study.vary[6].to=35 degC", "variants.front[0].price=71")
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		"front.core.thickness": "64 mm", "front.holds": "610 mL", "coolant.fluid": "propylene glycol", "coolant.volume_share": "20 %",
		"study.vary[1].values[0]": "800 rpm", "study.vary[6].to": "35 degC", "variants.front[0].price": "71",
	} {
		f, err := changed.Scenario.FieldAt(path)
		v, _ := changed.Scenario.Get(path)
		if got := FormatValue(f, v); err != nil || got != want {
			t.Errorf("%s is %s, %v; want %s", path, got, err, want)
		}
	}
	if fluid, err := doc.Set("coolant=water"); err != nil || fluid.Scenario.Coolant.Fluid != "water" {
		t.Errorf("a short form beside variants: %v", err)
	}
	for assignment, says := range map[string]string{
		"front=wide":                        `of its variants "wide" is not known: write slim or deep; or name one of its keys`,
		"study.vary[1].values[0]=800 W":     "is a unit of power",
		"study.vary[1].values[0]=90000 rpm": "outside the allowed range",
		"study.keep[0]=front != deep":       "conditions stand in the file",
		"variants.front[0].name=thin":       "cannot be set",
		"study.vary[6].step=1 degC":         "a difference is written in K",
		"study.vary[1].path=nowhere":        "nothing is called nowhere",
	} {
		_, err := doc.Set(assignment)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q", assignment, err, says)
		}
	}
	written, err := doc.WithValue("study.vary[1].values[1]", "1100 rpm")
	if err != nil || !strings.Contains(string(written.Source), "values: [700 rpm, 1100 rpm], path") {
		t.Errorf("written: %v", err)
	}
	if written, err = doc.WithValue("variants.front[1].core.thickness", "65 mm"); err != nil || !strings.Contains(string(written.Source), "thickness: 65 mm, fins_per_inch: 10") {
		t.Errorf("written: %v", err)
	}
}

// TestManyVariants: a file with as many variants as are read, all of them wrong
// in place or none, is read; of a flood of mistakes the first are told.
func TestManyVariants(t *testing.T) {
	for name, variant := range map[string]string{"sound": "core: {thickness: 28 mm}", "wrong": "core: {thickness: 28 mm}, thickness: 28 mm"} {
		var b strings.Builder
		b.WriteString("variants:\n  front:\n")
		for i := range maxItems {
			fmt.Fprintf(&b, "    - {name: v%d, %s}\n", i, variant)
		}
		b.WriteString("loop: [{part: pump, flow: 4 L/min}, {part: radiator, name: front}]\nstudy: {vary: [{path: front, variants: all}]}\n")
		doc, err := Read("many.yaml", []byte(b.String()))
		if (err == nil) != (name == "sound") || doc != nil && doc.Scenario.Designs() != maxItems {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// FuzzComparison: no condition makes the reader panic; an accepted one has a path
// on a side, and is read the same from what it is kept as.
func FuzzComparison(f *testing.F) {
	src, err := os.ReadFile("testdata/good/study.yaml")
	if err != nil {
		f.Fatal(err)
	}
	doc, err := ReadFS(filesBeside, "study.yaml", src)
	if err != nil {
		f.Fatal(err)
	}
	for _, text := range []string{
		"front.fans.speed <= 1300 rpm", "front != slim", "30 degC >= room_c", "a < b", "cpu.power < 10 % of cpu", "front = front", "start = idle",
		"study.vary[0].from < 3", "variants.front[0].price < 3", "render.repeat = forever", "front[ < 3", "cpu.work = x = y", "room = 3", ". < .",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := parseComparison(doc.Scenario, text)
		if err != nil {
			return
		}
		if c.Left.Path == "" && c.Right.Path == "" || (c.Left.Path == "") != c.Left.Value.IsSet() || (c.Right.Path == "") != c.Right.Value.IsSet() {
			t.Fatalf("%q has the sides %+v", text, c)
		}
		again, err := parseComparison(doc.Scenario, c.Text)
		if err != nil || again != c {
			t.Fatalf("%q is kept as %q, which is %+v, %v", text, c.Text, again, err)
		}
		s := doc.Scenario.Clone()
		s.Study.Keep = []spec.Comparison{c}
		spec.Check(s) // must not panic
	})
}
