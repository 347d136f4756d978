package scenarios

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

var update = flag.Bool("update", false, "write golden files instead of comparing with them")

// filesBeside holds the logs that the test files name.
var filesBeside = os.DirFS("testdata/beside")

// golden compares text with a file, or writes it under -update.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; got\n%s\nwant\n%s", path, got, want)
	}
}

// TestBroken reads files that are wrong in one way each; what their author is
// told stands beside them.
func TestBroken(t *testing.T) {
	paths, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(paths) < 125 {
		t.Fatalf("%d broken files, %v", len(paths), err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".yaml"), func(t *testing.T) {
			src, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			doc, err := ReadFS(filesBeside, "loop.yaml", src)
			var all Errors
			if doc != nil || !errors.As(err, &all) || len(all) == 0 {
				t.Fatalf("read as %v, %v; want Errors", doc, err)
			}
			golden(t, strings.TrimSuffix(path, ".yaml")+".txt", err.Error()+"\n")
		})
	}
}

// TestGood reads files that use every key and every short form.
func TestGood(t *testing.T) {
	paths, err := filepath.Glob("testdata/good/*")
	if err != nil || len(paths) < 11 {
		t.Fatalf("%d good files, %v", len(paths), err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			doc := load(t, path)
			for f, v := range doc.Scenario.All() {
				if !v.IsSet() || f.Key == "name" || f.Key == "cools" || f.Key == "work" {
					continue
				}
				if p, ok := doc.Positions[f.Path]; !ok || p.Line < 1 || p.Column < 1 {
					t.Errorf("%s is stated as %v and has the position %+v", f.Path, v, p)
				}
			}
		})
	}
}

func load(t *testing.T, path string) *Document {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := ReadFS(filesBeside, filepath.Base(path), src)
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// TestFull checks what the long forms are read as, in SI.
func TestFull(t *testing.T) {
	doc := load(t, "testdata/good/full.yaml")
	for path, want := range map[string]spec.Value{
		"title":                  spec.TextValue("Office workstation"),
		"note":                   spec.TextValue("measured in May\nby nobody\n"),
		"ambient.temperature":    spec.NumberValue(296.15),
		"coolant.fluid":          spec.TextValue("propylene glycol"),
		"cpu.leakage.growth":     spec.NumberValue(0.02),
		"gpu.power":              spec.PowerValue(spec.Power{Watts: spec.Some(300)}),
		"driver.flow":            spec.NumberValue(0.004 / 60),
		"tube_1.bore":            spec.NumberValue(0.009525),
		"block_2.power":          spec.PowerValue(spec.Power{Share: spec.Some(0.12), Of: "gpu"}),
		"front.conductance":      spec.NumberValue(18),
		"front.cells":            spec.NumberValue(4),
		"link_2.conductance":     spec.NumberValue(0.5),
		"render.steps[1].for":    spec.NumberValue(5400),
		"render.steps[1].power":  spec.PowerValue(spec.Power{Share: spec.Some(0.8)}),
		"render.repeat":          spec.RepeatValue(spec.Repeat{Count: 8}),
		"evening.repeat":         spec.RepeatValue(spec.Repeat{Forever: true}),
		"start.bucket":           spec.NumberValue(295),
		"duration":               spec.NumberValue(9600),
		"figures.coolant_at[1]":  spec.NumberValue(318.15),
		"record.resolution":      spec.NumberValue(0.001),
		"front.note":             spec.TextValue("second hand"),
		"front.test_flow":        spec.NumberValue(0.003785411784 / 60),
		"to_room.to":             spec.TextValue("ambient"),
		"solver.tolerance":       spec.NumberValue(0.0002),
		"block_1.plate_capacity": spec.NumberValue(80),
	} {
		if got, err := doc.Scenario.Get(path); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
	if len(doc.ReadAs) != 0 {
		t.Errorf("long forms are reported as short ones: %q", doc.ReadAs)
	}
}

// TestParts checks what the keys of parts are read as, in SI.
func TestParts(t *testing.T) {
	doc := load(t, "testdata/good/parts.yaml")
	for path, want := range map[string]spec.Value{
		"cpu.class":                   spec.TextValue("workstation"),
		"room.conductance":            spec.NumberValue(40),
		"case.work":                   spec.TextValue("shift"),
		"driver.curve[0].head":        spec.NumberValue(35303.94),
		"driver.curve[1].flow":        spec.NumberValue(0.5 / 3600),
		"driver.curve[1].head":        spec.NumberValue(24000),
		"driver.curve[2].head":        spec.NumberValue(0),
		"driver.rated":                spec.NumberValue(80),
		"driver.speed":                spec.SpeedValue(spec.Speed{Share: spec.Some(0.6)}),
		"driver.price":                spec.NumberValue(89.9),
		"spare.speed":                 spec.SpeedValue(spec.Speed{Rate: spec.Some(50)}),
		"spare.free_flow":             spec.NumberValue(0.9 / 3600),
		"tube_1.material":             spec.TextValue("soft pvc"),
		"tube_1.bends":                spec.NumberValue(2),
		"fitting_1.loss":              spec.NumberValue(1.5),
		"quick.drop[0].flow":          spec.NumberValue(0.002 / 60),
		"cpu_block.plate_mass":        spec.NumberValue(0.18),
		"cpu_block.drop[1].drop":      spec.NumberValue(12000),
		"upper.bore":                  spec.NumberValue(0.008),
		"gpu_block.full":              spec.NumberValue(0.835),
		"front.size":                  spec.NumberValue(0.28),
		"front.points[0].speed":       spec.NumberValue(12.5),
		"front.points[0].conductance": spec.NumberValue(13),
		"front.fans.airflow":          spec.NumberValue(95. / 3600),
		"front.drop[0].drop":          spec.NumberValue(2500),
		"rear.price":                  spec.NumberValue(0),
		"start.room":                  spec.NumberValue(292.15),
		"loops[0].parts[5].parallel[0].parts[1].parallel[1].parts[0].length": spec.NumberValue(0.12),
	} {
		if got, err := doc.Scenario.Get(path); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
	if len(doc.ReadAs) != 0 {
		t.Errorf("long forms are reported as short ones: %q", doc.ReadAs)
	}
	for path, want := range map[string]Position{
		"driver.curve[1].head": {Line: 15, Column: 43, Text: "24 kPa"},
		"driver.curve[2].head": {Line: 15, Column: 74, Text: "0 m"},
		"lower.bore":           {Line: 28, Column: 52, Text: "8 mm"},
		"front.drop[0].drop":   {Line: 44, Column: 15, Text: "2.5 kPa"},
	} {
		if got := doc.Positions[path]; got != want {
			t.Errorf("%s stands at %+v, want %+v", path, got, want)
		}
	}
}

// TestShortParts: the short forms of parts mean what the long ones say, and
// each is reported.
func TestShortParts(t *testing.T) {
	doc := load(t, "testdata/good/short_parts.yaml")
	want := []string{
		"loop: is short for one entry of loops:",
		"drop: [4 L/min, 12 kPa] is short for drop: [[4 L/min, 12 kPa]]",
		"fans: 1050 rpm is short for fans: {speed: 1050 rpm}",
		"points: [1050 rpm, 18 W/K] is short for points: [[1050 rpm, 18 W/K]]",
		"the only block cools the only chip: cools: chip_1",
	}
	if !slices.Equal(doc.ReadAs, want) {
		t.Errorf("read as %q, want %q", doc.ReadAs, want)
	}
	other, err := Read("long.yaml", []byte(`
case: {}
room: {capacity: 0.3 MJ/K}
chips: [{name: chip_1, power: 160 W}]
loops:
  - name: loop_1
    parts:
      - {part: pump, name: pump_1}
      - parallel:
          - - {part: block, name: block_1, cools: chip_1, drop: [{drop: 0.12 bar, flow: 240 L/h}]}
          - [{part: tube, name: tube_1}, {part: fitting, name: fitting_1}]
      - {part: radiator, name: radiator_1, size: 24 cm, fans: {speed: 1050 rpm}, points: [{speed: 1050 rpm, conductance: 180 W per 10 K}]}
`))
	if err != nil {
		t.Fatal(err)
	}
	if spec.Hash(doc.Scenario) != spec.Hash(other.Scenario) {
		t.Error("the long spelling has another hash")
	}
	if doc.Scenario.Case == nil || first(t).Scenario.Case != nil {
		t.Error("an empty case is not stated, or one that is not there is")
	}
}

// TestShortForms checks that each short form is expanded and reported.
func TestShortForms(t *testing.T) {
	doc := load(t, "testdata/good/short.yaml")
	want := []string{
		"ambient: 24 degC is short for ambient: {temperature: 24 degC}",
		"coolant: water is short for coolant: {fluid: water}",
		"loop: is short for one entry of loops:",
		"work: {...} is short for a list of one pattern",
		"coolant_at: 45 degC is short for a list of one",
		"the only block cools the only chip: cools: chip_1",
		"one pattern for all: chip_1.work: work_1",
	}
	if !slices.Equal(doc.ReadAs, want) {
		t.Errorf("read as %q, want %q", doc.ReadAs, want)
	}
	long := `
ambient: {temperature: 24 degC}
coolant: {fluid: water}
chips: [{name: chip_1, power: 0.16 kW, work: work_1}]
loops:
  - name: loop_1
    parts:
      - {name: pump_1, part: pump, flow: 240 L/h}
      - {name: block_1, part: block, cools: chip_1}
      - {name: radiator_1, part: radiator, conductance: 55 mK/W}
      - {name: reservoir_1, part: reservoir, volume: 0.18 L}
work: [{name: work_1, off: 1200 s, on: 2400 s}]
figures: {coolant_at: [318.15 K]}
start: level
title: not part of the hash
`
	other, err := Read("long.yaml", []byte(long))
	if err != nil {
		t.Fatal(err)
	}
	if spec.Hash(doc.Scenario) != spec.Hash(other.Scenario) {
		t.Error("the long spelling has another hash")
	}
	if p := doc.Positions["radiator_1.conductance"]; p != (Position{Line: 9, Column: 18, Text: "0.055 K/W"}) {
		t.Errorf("position %+v", p)
	}
	if p := doc.Positions["ambient.temperature"]; p != (Position{Line: 2, Column: 10, Text: "24 degC"}) {
		t.Errorf("position of a short form %+v", p)
	}
}

// TestShortFormsStayOut: short forms that would guess are not applied.
func TestShortFormsStayOut(t *testing.T) {
	doc, err := Read("x.yaml", []byte(`
chips: [{power: 10 W}, {power: 20 W}]
loop: [{part: block}]
work: [{on: 1 min}]
`))
	if err != nil {
		t.Fatal(err)
	}
	s := doc.Scenario
	if s.Loops[0].Parts[0].Block.Cools != "" || s.Chips[0].Work != "" {
		t.Errorf("two chips share a block, or a pattern in a list is followed: %+v", s)
	}
	doc, err = Read("x.yaml", []byte("chips: [{name: a, power: 10 W}]\nloop: [{part: block}, {part: block}]\nwork: {on: 1 min}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if s := doc.Scenario; s.Loops[0].Parts[0].Block.Cools != "" || s.Loops[0].Parts[1].Block.Cools != "" || s.Chips[0].Work != "work_1" {
		t.Errorf("one of two blocks is chosen, or a single pattern is not followed: %+v", s)
	}
}

// TestHashOfText: comments, order of keys and spelling of units do not show,
// values do.
func TestHashOfText(t *testing.T) {
	hash := func(text string) string {
		t.Helper()
		doc, err := Read("x.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return spec.Hash(doc.Scenario)
	}
	a := hash("loop: [{part: tube, bore: 10 mm, length: 0.2 m}]\nduration: 90 min\n")
	for _, same := range []string{
		"# a comment\nduration: 1.5 h # another\nloop:\n- length: 200 mm\n  part: tube\n  bore: 1 cm\n",
		`{"loops": [[{"part": "tube", "length": "20 cm", "bore": "0.01 m"}]], "duration": "1 h 30 min"}`,
		"note: hello\ntitle: x\nloop: [{part: tube, bore: 10 mm, length: 0.2 m, note: y}]\nduration: 5400 s\n",
	} {
		if hash(same) != a {
			t.Errorf("another hash for\n%s", same)
		}
	}
	if hash("loop: [{part: tube, bore: 10 mm, length: 0.21 m}]\nduration: 90 min\n") == a {
		t.Error("another length has the same hash")
	}
}

// TestAliases: an alias stands for what it names, and a merge key fills in
// what is not stated.
func TestAliases(t *testing.T) {
	doc := load(t, "testdata/good/two_loops.yaml")
	parts := doc.Scenario.Loops[1].Parts
	if parts[1].Radiator.Conductance != spec.Some(10) || parts[1].Radiator.Cells != spec.Some(2) || parts[2].Radiator.Conductance != spec.Some(10) {
		t.Errorf("got %+v and %+v", parts[1].Radiator, parts[2].Radiator)
	}
	if parts[1].Name != "radiator_2" {
		t.Errorf("name %s", parts[1].Name)
	}
}

// TestLimits: hostile files are refused quickly and with a reason.
func TestLimits(t *testing.T) {
	bomb := "a: &a0 {x: 1}\n"
	for i := range 12 {
		bomb += fmt.Sprintf("k%d: &a%d [%s*a%d]\n", i, i+1, strings.Repeat(fmt.Sprintf("*a%d, ", i), 9), i)
	}
	merges := "figures: &m0 {tail: 1 s}\n"
	for i := range 9 {
		merges += fmt.Sprintf("x%d: &m%d {<<: [%s*m%d]}\n", i, i+1, strings.Repeat(fmt.Sprintf("*m%d, ", i), 9), i)
	}
	ladder := "figures: &m0 {tail: 1 s}\n"
	for i := range 30 {
		ladder += fmt.Sprintf("x%d: &m%d {<<: *m%d}\n", i, i+1, i)
	}
	for name, c := range map[string]struct{ src, says string }{
		"ladder":         {ladder + "solver: *m30\n", "nested more than 24 deep"},
		"large":          {strings.Repeat("# comment\n", maxBytes/10+1), "a scenario has at most"},
		"not text":       {"title: \xff\n", "not UTF-8"},
		"nul":            {"title: \x00\n", "not YAML"},
		"deep":           {strings.Repeat("[", 20000), "not YAML"},
		"list bomb":      {bomb + "chips: *a12\n", "an element of chips is a section"},
		"start bomb":     {bomb + "start: {x: *a12}\n", "one value"},
		"merge bomb":     {merges + "solver: *m9\n", "unfolds into more than"},
		"many chips":     {"chips: [" + strings.Repeat("{},", maxItems+1) + "]\n", "at most 2000"},
		"deep branches":  {"loop: " + strings.Repeat("[{part: pump}, {parallel: [[{part: tube}], ", 40) + "[{part: tube}]" + strings.Repeat("]}]", 40) + "\n", "nested more than 24 deep"},
		"branch bomb":    {"loop: &l [{parallel: &y [[{part: tube}], *l]}]\n", "nested more than 24 deep"},
		"many points":    {"loop: [{part: pump, curve: [" + strings.Repeat("[1 L/h, 1 m],", maxItems+1) + "]}]\n", "at most 2000"},
		"many errors":    {"chips: [" + strings.Repeat("{power: 1},", 200) + "]\n", "more errors follow"},
		"long key":       {strings.Repeat("k", 100000) + ": 1\n", "there is no such key"},
		"long value":     {"duration: " + strings.Repeat("9", 100000) + " s\n", "too long a number"},
		"long reference": {"chips: [{power: 1 W, work: " + strings.Repeat("w", 100000) + "}]\n", "nothing is called"},
	} {
		doc, err := Read("x.yaml", []byte(c.src))
		if doc != nil || err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %.200v, want %q", name, err, c.says)
		}
		if err != nil && len(err.Error()) > 20000 {
			t.Errorf("%s: a message of %d bytes", name, len(err.Error()))
		}
	}
}

// FuzzRead: no bytes make the reader panic; what it accepts is sound, has a
// position for everything and can be written back.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{"testdata/good/*", "testdata/broken/*.yaml", "*.yaml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, path := range paths {
			src, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(src)
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		doc, err := ReadFS(filesBeside, "fuzz.yaml", src)
		if err != nil {
			var all Errors
			if !errors.As(err, &all) || len(all) == 0 || all[0].Text == "" {
				t.Fatalf("error without words: %v", err)
			}
			return
		}
		if problems := spec.Check(doc.Scenario); problems != nil {
			t.Fatalf("accepted with a problem: %v", problems[0])
		}
		again, err := ReadFS(filesBeside, "fuzz.yaml", src)
		if err != nil || spec.Hash(again.Scenario) != spec.Hash(doc.Scenario) {
			t.Fatalf("read twice it differs: %v", err)
		}
		if changed, err := doc.WithValue("solver.tolerance", "0.125 mK"); err == nil {
			if changed.Scenario.Solver.Tolerance != spec.Some(0.000125) {
				t.Fatalf("written as %v", changed.Scenario.Solver.Tolerance)
			}
		}
		rewriteLast(t, doc)
	})
}

// rewriteLast writes the last number of a document as it is: in a point, a
// branch or elsewhere. It may be refused; nothing else may change.
func rewriteLast(t *testing.T, doc *Document) {
	var last spec.Field
	var value float64
	for f, v := range doc.Scenario.All() {
		if v.Type == spec.TypeNumber {
			last, value = f, v.Number
		}
	}
	if last.Key == "" {
		return
	}
	same, err := doc.WithValue(last.Path, quantity.Exact(value, last.Dimension))
	if err == nil && spec.Hash(same.Scenario) != spec.Hash(doc.Scenario) {
		t.Fatalf("%s written as it is gives another scenario:\n%s", last.Path, same.Source)
	}
}
