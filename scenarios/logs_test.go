package scenarios

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"soakledger/sim/spec"
)

// TestControl checks what the keys of control, limits, faults and work are read
// as, in SI, and where they stand.
func TestControl(t *testing.T) {
	doc := load(t, "testdata/good/control.yaml")
	rate := func(rpm float64) spec.Value { return spec.SpeedValue(spec.Speed{Rate: spec.Some(rpm / 60)}) }
	share := func(x float64) spec.Value { return spec.PowerValue(spec.Power{Share: spec.Some(x)}) }
	watts := func(x float64) spec.Value { return spec.PowerValue(spec.Power{Watts: spec.Some(x)}) }
	for path, want := range map[string]spec.Value{
		"rear.curve.follow":                spec.TextValue("hottest die"),
		"rear.curve.rises[0].rise":         spec.NumberValue(5),
		"rear.curve.rises[1].speed":        spec.SpeedValue(spec.Speed{Share: spec.Some(1)}),
		"driver.control.target":            spec.NumberValue(343.15),
		"driver.control.gain":              spec.NumberValue(0.04),
		"front.fans.curve.points[0].speed": rate(600),
		"front.fans.curve.points[1].speed": rate(1500),
		"front.fans.curve.slew_up":         spec.NumberValue(200. / 60),
		"front.fans.curve.on_above":        spec.NumberValue(308.15),
		"front.fans.curve.sensor.offset":   spec.NumberValue(-1),
		"cpu.throttle.at":                  spec.NumberValue(368.15),
		"cpu.throttle.to":                  share(0.6),
		"gpu.throttle.to":                  watts(150),
		"cpu.limits[1].long":               spec.NumberValue(241),
		"render.steps[0].to":               watts(250),
		"render.steps[1].to":               share(0.2),
		"evening.session.break_after":      spec.NumberValue(4),
		"evening.session.loading_power":    share(0.4),
		"desk.bursts.pause[1]":             spec.NumberValue(40),
		"desk.bursts.high[0]":              spec.NumberValue(0.6),
		"desk.bursts.apart":                spec.TextValue("levels"),
		"pulsed.ratio":                     spec.NumberValue(10),
		"steady.mean_of":                   spec.TextValue("evening"),
		"pump_stop.speed":                  spec.NumberValue(0),
		"clogged.when.above":               spec.NumberValue(318.15),
		"clogged.restriction":              spec.NumberValue(10),
		"fault_4.ambient":                  spec.NumberValue(8),
		"logged.log.merge":                 spec.NumberValue(2),
		"ambient.log.form":                 spec.TextValue("min"),
	} {
		if got, err := doc.Scenario.Get(path); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
	for path, want := range map[string]Position{
		"front.fans.curve.points[1].speed": {Line: 42, Column: 72, Text: "1500 rpm"},
		"clogged.when.above":               {Line: 86, Column: 50, Text: "45 degC"},
		"fault_4":                          {Line: 88, Column: 5},
		"desk.bursts.high[1]":              {Line: 77, Column: 20, Text: "100 %"},
	} {
		if got := doc.Positions[path]; got != want {
			t.Errorf("%s stands at %+v, want %+v", path, got, want)
		}
	}
	want := []string{
		`ambient.log: logs/room.csv: column 2 "Room [°C]": 1 empty cell, the first in line 5: the series has no samples there`,
		"ambient.log: logs/room.csv: merged: 3 samples became 2, steps of at least 45 min with the same integral",
		`logged.log: render.csv: column 2 "CPU power [W]": 1 empty cell, the first in line 2: the series has no samples there`,
		"logged.log: render.csv: merged: 5 samples became 3, steps of at least 2 s with the same integral",
	}
	if !slices.Equal(doc.ReadAs, want) {
		t.Errorf("read as %q, want %q", doc.ReadAs, want)
	}
}

// TestLogSeries checks what is read of logs: units, what lies between samples,
// merging, and the beginning.
func TestLogSeries(t *testing.T) {
	series := func(times, values []float64, hold bool) *spec.Series {
		return &spec.Series{Times: times, Values: values, Hold: hold}
	}
	minutes := []float64{0, 1800, 5400}
	for name, c := range map[string]struct {
		text string
		want *spec.Series
	}{
		"a room":          {"ambient: {log: {file: logs/room.csv, column: Room}}", series(minutes, []float64{294.65, 295.15, 297.4}, false)},
		"held":            {"ambient: {log: {file: logs/room.csv, column: Room, between: hold}}", series(minutes, []float64{294.65, 295.15, 297.4}, true)},
		"power":           {"work: {log: {file: render.csv, column: GPU}}", series([]float64{0, 1, 2, 3, 4}, []float64{15, 15.25, 15.25, 15.5, 15}, true)},
		"power in lines":  {"work: {log: {file: render.csv, column: GPU, between: line}}", series([]float64{0, 1, 2, 3, 4}, []float64{15, 15.25, 15.25, 15.5, 15}, false)},
		"another unit":    {"work: {log: {file: render.csv, column: GPU, unit: W}}", series([]float64{0, 1, 2, 3, 4}, []float64{15000, 15250, 15250, 15500, 15000}, true)},
		"an empty start":  {"work: {log: {file: render.csv, column: CPU power}}", series([]float64{0, 1, 2, 3, 4}, []float64{210.5, 210.5, 212, 208, 15}, true)},
		"merged by hand":  {"work: {log: {file: render.csv, column: GPU, merge: 2 s}}", series([]float64{0, 2, 4}, []float64{15.125, 15.375, 15}, true)},
		"merged lines":    {"work: {log: {file: render.csv, column: GPU, merge: 4 s, between: line}}", series([]float64{0, 4}, []float64{15.25, 15}, true)},
		"a dot before it": {"ambient: {log: {file: ./logs/../logs/room.csv, column: Room}}", series(minutes, []float64{294.65, 295.15, 297.4}, false)},
	} {
		doc, err := ReadFS(filesBeside, "x.yaml", []byte(c.text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, l := range doc.Scenario.Logs() {
			if !near(l.Series, c.want) {
				t.Errorf("%s: got %+v, want %+v", name, l.Series, c.want)
			}
		}
	}
}

// near compares two series to rounding of their values.
func near(a, b *spec.Series) bool {
	return a != nil && slices.Equal(a.Times, b.Times) && a.Hold == b.Hold &&
		slices.EqualFunc(a.Values, b.Values, func(x, y float64) bool { return math.Abs(x-y) < 1e-9 })
}

// TestDatesOfLogs: dates that can be read either way are settled by form.
func TestDatesOfLogs(t *testing.T) {
	files := fstest.MapFS{"d.csv": {Data: []byte("at,W [W]\n03/04/2025 12:00:00,1\n04/04/2025 12:00:00,2\n")}}
	for form, days := range map[string]float64{"dd/mm/yyyy": 1, "mm/dd/yyyy": 31} {
		doc, err := ReadFS(files, "x.yaml", []byte("work: {log: {file: d.csv, column: W, form: "+form+"}}"))
		if err != nil {
			t.Fatal(err)
		}
		if got := doc.Scenario.Work[0].Log.Series.Duration(); got != days*86400 {
			t.Errorf("%s: the log is %v s long, want %v days", form, got, days)
		}
	}
	if _, err := ReadFS(files, "x.yaml", []byte("work: {log: {file: d.csv, column: W}}")); err == nil || !strings.Contains(err.Error(), "as dd/mm/yyyy and") {
		t.Errorf("either way: %v", err)
	}
}

// TestLogsWithoutFiles: a text by itself has no logs, and says so where one is
// named.
func TestLogsWithoutFiles(t *testing.T) {
	src := []byte("work:\n  log:\n    column: CPU power\n    file: render.csv\n")
	_, err := Read("x.yaml", src)
	want := "x.yaml:4:11: work_1.log.file: a log lies beside the file of its scenario, and this one was read as a text by itself, without any files: read it from its file"
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	doc, err := Read("x.yaml", []byte("work: {on: 1 min}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := doc.WithValue("work_1.off", "1 min"); err != nil {
		t.Errorf("without logs: %v", err)
	}
	if _, err := doc.Set("ambient.log.file=room.csv", "ambient.log.column=Room"); err == nil || !strings.Contains(err.Error(), "--set: ambient.log.file: a log lies beside") {
		t.Errorf("set without files: %v", err)
	}
}

// counting counts how often each file is opened.
type counting struct {
	fs.FS
	opened map[string]int
}

func (c counting) Open(name string) (fs.File, error) {
	c.opened[name]++
	return c.FS.Open(name)
}

// TestSetLogs: a log is read again when what it states changes, and only then;
// what was found in it goes with it.
func TestSetLogs(t *testing.T) {
	files := counting{filesBeside, map[string]int{}}
	src := []byte("ambient: {log: {file: logs/room.csv, time: Elapsed, column: Hall}}\nwork: [{log: {file: render.csv, time: Time, column: GPU}}, {log: {file: render.csv, time: Time, column: GPU}}]\n")
	doc, err := ReadFS(files, "x.yaml", src)
	if err != nil {
		t.Fatal(err)
	}
	if want := map[string]int{"logs/room.csv": 1, "render.csv": 1}; !reflect.DeepEqual(files.opened, want) {
		t.Errorf("opened %v, want %v: two logs that state the same are one", files.opened, want)
	}
	same, err := doc.Set("ambient.humidity=50 %")
	if err != nil || files.opened["render.csv"] != 1 || same.Scenario.Ambient.Log.Series != doc.Scenario.Ambient.Log.Series {
		t.Errorf("another humidity: %v, opened %v", err, files.opened)
	}
	got, err := doc.Set("ambient.log.column=Room", "work_1.log.merge=2 s")
	if err != nil {
		t.Fatal(err)
	}
	s := got.Scenario
	if x := s.Ambient.Log.Series.Values[0]; x != 294.65 || s.Work[0].Log.Series.Times[1] != 2 || s.Work[1].Log.Series != doc.Scenario.Work[1].Log.Series {
		t.Errorf("read again: %+v, %+v", s.Ambient.Log.Series, s.Work[0].Log.Series)
	}
	want := []string{
		`ambient.log: logs/room.csv: column 2 "Room [°C]": 1 empty cell, the first in line 5: the series has no samples there`,
		"work_1.log: render.csv: merged: 5 samples became 3, steps of at least 2 s with the same integral",
	}
	if len(doc.ReadAs) > 0 || !slices.Equal(got.ReadAs, want) {
		t.Errorf("read as %q, then %q; want %q", doc.ReadAs, got.ReadAs, want)
	}
	back, err := got.Set("work_1.log.merge=3 s")
	if want[1] = "work_1.log: render.csv: merged: 5 samples became 2, steps of at least 3 s with the same integral"; err != nil || !slices.Equal(back.ReadAs, want) {
		t.Errorf("set again it reads as %q, %v; want %q", back.ReadAs, err, want)
	}
	for assignment, want := range map[string]string{
		"work_1.log.file=rendr.csv":     "--set: work_1.log.file: there is no log that can be read at rendr.csv beside the scenario (no such file or directory)",
		"work_1.log.file=../render.csv": `--set: work_1.log.file: "../render.csv" does not lie beside the scenario: put the log into its folder, or one below, and write for example file: logs/render.csv`,
		"work_1.log.column=CPU":         `--set: work_1.log: render.csv:1: there is no column "CPU"; did you mean "GPU"? The file has "Time", "CPU power [W]", "GPU (mW)"`,
		"work_1.log.between=lines":      `--set: work_1.log.between: "lines" is not known; did you mean line? Allowed: hold or line`,
		"work_1.on=1 min":               "--set: work_1: on and log exclude each other: keep one",
		"ambient=22 degC":               "--set: ambient.log: temperature and log state the same thing: keep one of the two",
	} {
		if got, err := doc.Set(assignment); got != nil || err == nil || err.Error() != want {
			t.Errorf("%s:\ngot  %v\nwant %s", assignment, err, want)
		}
	}
}

// TestBrokenLogIsNotRead: a log of which a key could not be read makes that one
// mistake and is left alone.
func TestBrokenLogIsNotRead(t *testing.T) {
	files := counting{filesBeside, map[string]int{}}
	_, err := ReadFS(files, "x.yaml", []byte("work: {log: {file: rendr.csv, column: GPU, merge: 5}}"))
	want := "x.yaml:1:51: work_1.log.merge: 5 has no unit: write 5 s, 5 min or 5 h"
	if err == nil || err.Error() != want || len(files.opened) > 0 {
		t.Errorf("opened %v, got %v, want %s", files.opened, err, want)
	}
}

// TestWithValueLogs: a changed text has what its logs say by then.
func TestWithValueLogs(t *testing.T) {
	doc := load(t, "testdata/good/control.yaml")
	for _, c := range []struct{ path, text, from, to string }{
		{"ambient.log.merge", "1 h", "merge: 45 min", "merge: 1 h"},
		{"ambient.log.between", "hold", "between: line", "between: hold"},
		{"logged.log.between", "line", "between: hold", "between: line"},
		{"front.fans.curve.on_above", "36 degC", "on_above: 35 degC #", "on_above: 36 degC #"},
		{"front.fans.curve.points[1].speed", "1400 rpm", "speed: 1500 rpm", "speed: 1400 rpm"},
		{"rear.curve.rises[0].speed", "40 %", "[5 K, 30 %]", "[5 K, 40 %]"},
		{"desk.bursts.burst[1]", "20 s", "burst: [2 s, 30 s]", "burst: [2 s, 20 s]"},
		{"clogged.when.above", "50 degC", "above: 45 degC", "above: 50 degC"},
		{"cpu.limits[1].short", "300 W", "{long: 241 W, time: 1 s}", "{long: 241 W, time: 1 s, short: 300 W}"},
	} {
		got, err := doc.WithValue(c.path, c.text)
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if want := strings.Replace(string(doc.Source), c.from, c.to, 1); string(got.Source) != want || want == string(doc.Source) {
			t.Errorf("%s: got\n%s", c.path, got.Source)
		}
		for path, l := range got.Scenario.Logs() {
			if l.Series == nil {
				t.Errorf("%s: %s was not read", c.path, path)
			}
		}
	}
	if got, err := doc.WithValue("logged.log.file", "missing.csv"); got != nil || err == nil || !strings.Contains(err.Error(), "control.yaml:81:32: logged.log.file: there is no log that can be read at missing.csv") {
		t.Errorf("a missing file: %v", err)
	}
}

// TestShortControl: what short forms and defaults of control and logs mean.
func TestShortControl(t *testing.T) {
	doc := load(t, "testdata/good/short_control.yaml")
	want := []string{
		"loop: is short for one entry of loops:",
		"burst: 5 s is short for a list of one",
		"high: 100 % is short for a list of one",
		"the only block cools the only chip: cools: chip_1",
		"ambient.log: logs/room.csv: time is not stated, so the first column is read as the time",
		"work_2.log: render.csv: time is not stated, so the first column is read as the time",
	}
	if !slices.Equal(doc.ReadAs, want) {
		t.Errorf("read as %q, want %q", doc.ReadAs, want)
	}
}

// TestLogsOfDisk: logs are found in the folder of the scenario, not in that of
// the program, and not outside.
func TestLogsOfDisk(t *testing.T) {
	dir := t.TempDir()
	outside := filepath.Join(dir, "outside.csv")
	inside := filepath.Join(dir, "machine", "inside.csv")
	if err := os.Mkdir(filepath.Dir(inside), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{outside, inside} {
		if err := os.WriteFile(name, []byte("t [s],P [W]\n0,1\n1,2\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	files := os.DirFS(filepath.Dir(inside))
	read := func(name string) error {
		_, err := ReadFS(files, "x.yaml", []byte("work: {log: {file: \""+filepath.ToSlash(name)+"\", column: P}}"))
		return err
	}
	if err := read("inside.csv"); err != nil {
		t.Error(err)
	}
	for _, name := range []string{"../outside.csv", outside, inside, "..", ".", "x/../../outside.csv", "outside.csv"} {
		var all Errors
		if err := read(name); !errors.As(err, &all) || all[0].Path != "work_1.log.file" || all[0].Line != 1 {
			t.Errorf("%s: %v", name, err)
		}
	}
}
