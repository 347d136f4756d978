package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"soakledger/sim/record"
)

// The README shows the table that its own command prints.
func TestReadmeCompare(t *testing.T) {
	blocks := readme(t, "text")
	for _, command := range readme(t, "sh") {
		rest, found := strings.CutPrefix(command, "go run ./cmd/soakledger compare ")
		if !found {
			continue
		}
		args := []string{"compare"}
		for _, m := range regexp.MustCompile(`"([^"]*)"|(\S+)`).FindAllStringSubmatch(strings.ReplaceAll(rest, "\\\n", ""), -1) {
			args = append(args, m[1]+m[2])
		}
		t.Chdir("../..")
		code, stdout, stderr := invoke(t, args...)
		if code != exitDone || stderr != "" {
			t.Fatalf("exit code %d, %s", code, stderr)
		}
		for _, block := range blocks {
			if block+"\n" == stdout {
				return
			}
		}
		t.Fatalf("no text block of the README is what its command prints:\n%s", stdout)
	}
	t.Error("the README compares nothing")
}

// TestCompareGolden compares tables of all kinds with a file to be read by people:
// ties, long names, designs that fail, levels that are not reached, cycles.
func TestCompareGolden(t *testing.T) {
	var got strings.Builder
	for _, c := range []struct {
		code int
		args []string
	}{
		{exitDone, []string{"example:small_desktop", "--with", "top.fans.speed=1200 rpm", "--with", "top.size=360 mm; top.price=95; reservoir.class=large", "--with", "coolant.fluid=propylene glycol; coolant.volume_share=30 %"}},
		{exitPartly, []string{"example:first", "--with", "front.conductance=900 W/K", "--with", "cpu.power=2000 W", "--with", "cpu.power=0 W", "--with", "figures.of=cpu.die", "--with", "front.film_conductance=50 W/K"}},
		{exitPartly, []string{"example:first", "--set", "front.conductance=900 W/K", "--with", "cpu.power=2000 W; front.conductance=18 W/K", "--with", "front.conductance=18 W/K", "--with", "front.conductance=20 W/K", "--with", "front.conductance=18 W/K; front.film_conductance=50 W/K", "--with", "front.conductance=18 W/K; cpu.power=0 W"}},
		{exitDone, []string{"example:short_boost", "--with", "cpu.limits[0].time=28 s", "--with", "ambient=30 degC"}},
		{exitDone, []string{"example:curve_on_coolant", "example:curve_on_die"}},
	} {
		code, stdout, stderr := invoke(t, append([]string{"compare"}, c.args...)...)
		if code != c.code || stderr != "" {
			t.Fatalf("%v: exit code %d, %s", c.args, code, stderr)
		}
		fmt.Fprintf(&got, "$ soakledger compare %s\n%s\n", strings.Join(c.args, " "), stdout)
		for _, line := range strings.Split(stdout, "\n") {
			table := !strings.Contains(line, ": ")
			if table && utf8.RuneCountInString(line) > tableWidth {
				t.Errorf("a line of the table is too long: %s", line)
			}
			if strings.HasSuffix(line, " ") {
				t.Errorf("a line ends in a blank: %q", line)
			}
		}
	}
	compareGolden(t, filepath.Join("testdata", "compare.txt"), got.String())
}

// Where the first design failed, or left the range, the others are compared with the
// first that can be, and the table says so.
func TestCompareReference(t *testing.T) {
	dir := swept(t, "900 W/K, 0.02 W/K, 18 W/K, 20 W/K")
	want := compareJSON(t, "example:first", "--with", "front.conductance=20 W/K")
	if want.Reference != asStated {
		t.Errorf("the reference is %q", want.Reference)
	}
	code, stdout, stderr := invoke(t, "compare", dir, "--json")
	var got comparison
	if err := json.Unmarshal([]byte(stdout), &got); err != nil || code != exitPartly {
		t.Fatal(code, err, stderr)
	}
	if got.Reference != "run 2" || got.Designs[2].Difference != nil || !reflect.DeepEqual(got.Designs[3].Difference, want.Designs[1].Difference) {
		t.Errorf("reference %q: %+v", got.Reference, got.Designs[3].Difference)
	}
	_, stdout, _ = invoke(t, "compare", dir)
	for _, line := range []string{
		`reference: run 2, the first design that can be compared`, `design +level +peak +rise +to ref .*`, `run 0; front\.conductance=900 W/K +- .*`, `run 2; front\.conductance=18 W/K +33\.0 .* reference .*`,
		`run 3; front\.conductance=20 W/K .* cooler .*`, `run 0: could not be run: front\.conductance: 900 W/K .*`, `run 1: ended early: .*`,
	} {
		if !regexp.MustCompile(`(?m)^` + line + `$`).MatchString(stdout) {
			t.Errorf("no line is %s:\n%s", line, stdout)
		}
	}
	if strings.Contains(stdout, "first design could not") || strings.Contains(stdout, "to first") {
		t.Errorf("it speaks of the first design:\n%s", stdout)
	}
}

// Stored rows have the same reference, and keep their own figures.
func TestStoredReference(t *testing.T) {
	x := func(v float64) *float64 { return &v }
	c := &comparison{Designs: []designRow{
		{Design: "run 0", Status: "failed", Reason: "broken"}, {Design: "run 1", Status: "left_range", Reason: "too warm", PeakC: x(90)}, {Design: "run 2", Status: "done"},
		{Design: "run 3", Status: "done", RiseK: x(10), PeakC: x(30), Subject: "a"}, {Design: "run 4", Status: "done", RiseK: x(8), PeakC: x(28), Subject: "a"}, {Design: "run 5", Status: "done", PeakC: x(28), Subject: "b"},
	}}
	c.compareStored("for no reason")
	if c.Reference != "run 3" || c.Designs[3].Difference != nil || *c.Designs[4].Difference.K != -2 || c.Designs[0].Difference.K != nil {
		t.Errorf("reference %q: %+v", c.Reference, c.Designs[4].Difference)
	}
	if got := c.Designs[5].Difference.Missing; got != "its figures are of b, those of the reference of a" {
		t.Errorf("%q", got)
	}
	c = &comparison{Designs: []designRow{{Design: "run 0", Status: "failed"}, {Design: "run 1", Status: "failed"}}}
	if c.compareStored(""); c.Reference != "run 0" || c.Designs[1].Difference.K != nil {
		t.Errorf("none can be compared: %+v", c)
	}
}

// A study's designs are told apart by what differs, a change on a line with its value,
// of one that moves an axis at a time by that; what it does not state is left out.
func TestCompareStudyLabels(t *testing.T) {
	dir := studied(t, `
study:
  combine: one at a time
  vary:
    - {path: front.fans.speed, values: [700 rpm]}
    - {path: reservoir_1.volume, values: [500 mL, 150 mL]}
    - {path: front.core.tube_pitch, values: [9 mm]}
    - {path: ambient, values: [23 degC]}
`)
	_, stdout, _ := invoke(t, "compare", dir)
	_, table, _ := strings.Cut(stdout, "mm\n")
	table, _, _ = strings.Cut(table, "\n\n")
	var names []string
	for _, line := range strings.Split(table, "\n") {
		if strings.TrimRight(line, " ") != line {
			t.Errorf("a line ends in a blank: %q", line)
		}
		name := regexp.MustCompile(`^( *[^ ]+( [^ ]+)*)`).FindString(line)
		names = append(names, name)
	}
	want := []string{"run 0; as stated", "run 1; front.fans.speed=700 rpm", "run 2; reservoir_1.volume=500 mL", "run 3; as stated", "run 4; front.core.tube_pitch=9 mm", "run 5; as stated"}
	if !slices.Equal(names, want) {
		t.Errorf("got  %q\nwant %q\n%s", names, want, stdout)
	}
}

// compareJSON compares and reads the table.
func compareJSON(t *testing.T, args ...string) comparison {
	t.Helper()
	code, stdout, stderr := invoke(t, append(append([]string{"compare"}, args...), "--json")...)
	if code != exitDone || stderr != "" {
		t.Fatalf("exit code %d, %s", code, stderr)
	}
	var c comparison
	if err := json.Unmarshal([]byte(stdout), &c); err != nil {
		t.Fatal(err)
	}
	return c
}

// swept writes a study of the first loop's radiator and returns its folder.
func swept(t *testing.T, conductances string) string {
	t.Helper()
	text, err := os.ReadFile("../../scenarios/first.yaml")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "first.yaml")
	text = append(text, "\nstudy: {vary: [{path: front.conductance, values: ["+conductances+"]}]}\n"...)
	if err := os.WriteFile(file, text, 0o666); err != nil {
		t.Fatal(err)
	}
	dir = filepath.Join(dir, "study")
	if code, _, stderr := invoke(t, "sweep", file, "--quiet", "--out", dir); code == exitFailed || code == exitUsage {
		t.Fatal(stderr)
	}
	return dir
}

// studied runs a study of a short bench loop and returns its folder.
func studied(t *testing.T, study string) string {
	t.Helper()
	text := `
title: Bench
ambient: 23 degC
chips: [{name: cpu, power: 180 W}]
loop:
  - {part: pump, flow: 4 L/min}
  - {part: block}
  - {part: radiator, name: front, size: 240 mm, thickness: 30 mm, fins_per_inch: 14, fans: 1200 rpm}
  - {part: reservoir, volume: 150 mL}
work: {on: 4 min, off: 2 min}
variants:
  front: [{name: slim_one, fins_per_inch: 18}, {name: deep, thickness: 64 mm}]
` + study
	dir := t.TempDir()
	file := filepath.Join(dir, "bench.yaml")
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	dir = filepath.Join(dir, "study")
	if code, _, stderr := invoke(t, "sweep", file, "--quiet", "--out", dir); code != exitDone && code != exitPartly {
		t.Fatal(stderr)
	}
	return dir
}

// The runs of a study are compared as the designs by themselves are, with their bands.
func TestCompareStudy(t *testing.T) {
	dir := swept(t, "18 W/K, 20 W/K, 18.03 W/K")
	got := compareJSON(t, dir)
	want := compareJSON(t, "example:first", "--with", "front.conductance=20 W/K", "--with", "front.conductance=18.03 W/K")
	if len(got.Notes) != len(want.Notes) || len(got.Designs) != 3 || got.Title != want.Title || got.Subject != want.Subject {
		t.Fatalf("got %+v", got)
	}
	for i := range got.Designs {
		d := &got.Designs[i]
		if d.Design != fmt.Sprintf("run %d", i) || !reflect.DeepEqual(d.Varied, []string{"varied_front_conductance_w_k " + []string{"18", "20", "18.03"}[i]}) {
			t.Errorf("row %d is called %s with %q", i, d.Design, d.Varied)
		}
		d.Design, d.Varied = want.Designs[i].Design, nil
		if !reflect.DeepEqual(*d, want.Designs[i]) {
			t.Errorf("row %d is %+v, want %+v", i, *d, want.Designs[i])
		}
	}
	single := filepath.Join(t.TempDir(), "one")
	if code, _, stderr := invoke(t, "run", "example:first", "--quick", "--quiet", "--out", single); code != exitDone {
		t.Fatal(stderr)
	}
	both := compareJSON(t, dir, single)
	if len(both.Designs) != 4 || both.Designs[2].Design != "run 2 of study" || both.Designs[3].Design != "one" || both.Designs[3].Difference.Verdict != "tie" {
		t.Errorf("a study and a run: %+v", both)
	}
}

// A design of a study that failed stays a row, and costs the others nothing.
func TestCompareFailedRun(t *testing.T) {
	dir := swept(t, "18 W/K, 900 W/K, 20 W/K")
	code, stdout, stderr := invoke(t, "compare", dir)
	if code != exitPartly || stderr != "" || !strings.Contains(stdout, "\nrun 1: could not be run: front.conductance: 900 W/K") || !regexp.MustCompile(`\nrun 2; .* cooler `).MatchString(stdout) {
		t.Errorf("exit code %d, %s\n%s", code, stderr, stdout)
	}
}

// Of more designs than are computed again the stored figures are compared: those that
// computing them again gives, without bands.
func TestCompareManyRuns(t *testing.T) {
	values := []string{"18 W/K", "20 W/K", "18.03 W/K"}
	for k := range mostAgain {
		values = append(values, fmt.Sprintf("%d W/K", 30+k))
	}
	got := compareJSON(t, swept(t, strings.Join(values, ", ")))
	want := compareJSON(t, "example:first", "--with", "front.conductance=20 W/K", "--with", "front.conductance=18.03 W/K")
	if len(got.Designs) != len(values) || got.Subject == "" || len(got.Notes) != 1 || !strings.HasPrefix(got.Notes[0], fmt.Sprintf("no bands: %d designs are compared by their stored figures", len(values))) {
		t.Fatalf("%d designs of %s, %q", len(got.Designs), got.Subject, got.Notes)
	}
	for i, w := range want.Designs {
		d := got.Designs[i]
		if d.Status != "done" || d.Kind != "continuous" || d.Phase != w.Phase {
			t.Errorf("row %d is %+v", i, d)
		}
		figures, wanted := storedFigures(&d), storedFigures(&w)
		for name, x := range figures {
			if y := wanted[name]; (*x == nil) != (*y == nil) || *x != nil && math.Abs(**x-**y) > 1e-4 {
				t.Errorf("run %d: %s is stored otherwise", i, name)
			}
		}
		if x := d.Difference; i > 0 && (x.BelowK != nil || x.Of != "level" || math.Abs(*x.K-*w.Difference.K) > 1e-4) {
			t.Errorf("run %d: the difference is %+v", i, x)
		}
	}
	if a, b := got.Designs[1].Difference.Verdict, got.Designs[2].Difference.Verdict; a != "unknown" || b != "tie" {
		t.Errorf("1.2 K apart without a band: %s; 0.02 K apart: %s", a, b)
	}
}

// Of several radiators the deepest counts, of figures that are null the reason, and
// what a run that ended early heads for does not.
func TestStoredRow(t *testing.T) {
	column := func(name string, kind record.Kind) record.Column {
		return record.Column{Name: name, Kind: kind, Nullable: true, Meaning: name}
	}
	f := record.NewFrame(record.Table{Name: runsTable, Columns: []record.Column{
		column("status", record.Text), column("reason", record.Text), column("missing", record.Text),
		column("a_stack_mm", record.Float), column("b_stack_mm", record.Float), column("c_stack_mm", record.Float),
		column("level_c", record.Float), column("to_within_0_5_k_s", record.Float), column("coolant_volume_ml", record.Float),
	}})
	for range 2 {
		f.AppendTexts(2, []string{"t99_s: not reached in this phase; to_within_0_5_k_s: not reached; level_c: nonsense"})
		f.AppendFloats(3, []float64{53})
		f.AppendFloats(4, []float64{83})
		f.AppendNulls(5, 1)
		f.AppendFloats(6, []float64{33})
		f.AppendNulls(7, 1)
		f.AppendFloats(8, []float64{0})
	}
	f.AppendTexts(0, []string{"done", "left_range"})
	f.AppendNulls(1, 1)
	f.AppendTexts(1, []string{"too warm"})
	if err := f.Check(); err != nil {
		t.Fatal(err)
	}
	d := storedRow(f, 0)
	if *d.StackMM != 83 || *d.LevelC != 33 || d.SoakedS != nil || d.VolumeML != nil || d.Missing["to_within_0_5_k_s"] != "not reached" || d.Missing["level_c"] != "" {
		t.Errorf("%+v", d)
	}
	if d = storedRow(f, 1); d.LevelC != nil || d.Missing["level_c"] != "too warm" || d.Reason != "too warm" {
		t.Errorf("ended early: %+v", d)
	}
}

// A dataset that comes out otherwise now is compared by what is stored.
func TestCompareChanged(t *testing.T) {
	dir := t.TempDir()
	var dirs []string
	for _, g := range []string{"18 W/K", "20 W/K"} {
		one := filepath.Join(dir, g[:2])
		dirs = append(dirs, one)
		if code, _, stderr := invoke(t, "run", "example:first", "--quick", "--quiet", "--out", one, "--set", "front.conductance="+g); code != exitDone {
			t.Fatal(stderr)
		}
	}
	if c := compareJSON(t, dirs...); c.Designs[1].Difference.BelowK == nil || len(c.Notes) != 0 {
		t.Fatalf("as they are: %+v", c)
	}
	alter(t, dirs[1], "front.conductance=20 W/K", "front.conductance=21 W/K")
	c := compareJSON(t, dirs...)
	d := c.Designs[1]
	if d.Difference.BelowK != nil || math.Abs(*d.LevelC-31.8577) > 1e-3 || d.Difference.Verdict != "unknown" {
		t.Errorf("changed: %+v", d)
	}
	if want := "no bands: 20 comes out otherwise now than it is stored"; len(c.Notes) != 1 || !strings.HasPrefix(c.Notes[0], want) {
		t.Errorf("the notes are %q", c.Notes)
	}
}

// alter changes a text in the manifest of a dataset.
func alter(t *testing.T, dir, old, new string) {
	t.Helper()
	manifest := filepath.Join(dir, "manifest.json")
	text, err := os.ReadFile(manifest)
	if err != nil {
		t.Fatal(err)
	}
	other := bytes.Replace(text, []byte(old), []byte(new), 1)
	if bytes.Equal(text, other) {
		t.Fatalf("the manifest does not hold %s", old)
	}
	if err := os.WriteFile(manifest, other, 0o666); err != nil {
		t.Fatal(err)
	}
}

// A study whose scenario leads to another plan than it was run by is compared by what
// is stored, even where both plans lead to much the same.
func TestCompareOtherPlan(t *testing.T) {
	dir := swept(t, "18 W/K, 20 W/K")
	alter(t, dir, "[18 W/K, 20 W/K]", "[18 W/K, 20.0001 W/K]")
	c := compareJSON(t, dir)
	if want := "no bands: what is in " + dir + " cannot be read again: it has another plan now"; len(c.Notes) != 1 || c.Notes[0] != want {
		t.Errorf("the notes are %q", c.Notes)
	}
}

// A name in pieces is the whole name, in lines that are short enough.
func TestPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(leastName, 60).Draw(t, "width")
		name := rapid.StringMatching(`[a-z._]{1,40}=[a-zµ0-9 ]{1,20}[a-z](; [a-z.]{1,30}=[0-9 ]{0,12}[a-z]){0,3}`).Draw(t, "name")
		lines := pieces(name, width)
		for _, line := range lines {
			if strings.TrimRight(line, " ") != line {
				t.Errorf("%q ends in a blank", line)
			}
			if utf8.RuneCountInString(line) > width {
				t.Errorf("%q is longer than %d", line, width)
			}
		}
		squeeze := strings.NewReplacer(" ", "")
		if squeeze.Replace(strings.Join(lines, "")) != squeeze.Replace(name) {
			t.Errorf("%q becomes %q", name, lines)
		}
	})
	got := strings.Join(pieces("front.core.thickness=60 mm; front.core.fins_per_inch=10", 18), "|")
	if want := "front.core.|    thickness=|    60 mm;|  front.core.|    fins_per_inch=|    10"; got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	for _, test := range []struct {
		name  string
		width int
		want  string
	}{
		{"coolant.volume_share=30 %", 24, "coolant.|    volume_share=30 %"},
		{"a=1; coolant.volume_share=30 %", 24, "a=1;|  coolant.|    volume_share=30 %"},
		{"front.core.tube_pitch=9 mm", 24, "front.core.|    tube_pitch=9 mm"},
		{"coolant.fluid=propylene glycol", 24, "coolant.fluid=|    propylene glycol"},
		{"one_name of_words and_more 700", 20, "one_name of_words|    and_more 700"},
	} {
		if got := strings.Join(pieces(test.name, test.width), "|"); got != test.want {
			t.Errorf("%s in %d: %q, want %q", test.name, test.width, got, test.want)
		}
	}
}
