package output

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"soakledger/sim/record"
)

// testStudy is a study of 60 numbers in 9 parts.
var testStudy = StudyManifest{
	Meta: Meta{SchemaVersion: 1, EngineVersion: "0.1.0", Title: "Thickness and speed", ScenarioText: "title: thickness and speed\n"},
	Recipe: Recipe{
		Plan: "test plan 1\nscenario = " + strings.Repeat("5eed", 16) + "\nambient.temperature = 22 degC (295.15)\nfront.thickness = 28 mm (0.028)\n" +
			"study.vary[0].path = \"front.fans.speed\"\nstudy.vary[0].values[0] = 700 rpm (11.666666666666666)\n",
		Traces: "every 3", Build: "abc123 go1.26 linux/amd64", Runs: 60, PartRuns: 7,
	},
}

func eventsTable() record.Table {
	return record.Table{Name: "events", Columns: []record.Column{
		{Name: "run_id", Meaning: "number of the run in the plan", Kind: record.Int},
		{Name: "event", Meaning: "what happened", Kind: record.Text},
	}}
}

// studyTables are out of the order of their names, as a caller may have them.
func studyTables() []record.Table { return []record.Table{tracesTable(), runsTable(), eventsTable()} }

// dropped reports whether the plan of the test dropped a design.
func dropped(run int) bool { return run%5 == 4 }

// runFrames makes the rows of a run, a function of its number alone: every third
// has a trace, every seventh an event.
func runFrames(run int) ([]*record.Frame, error) {
	runs := record.NewFrame(runsTable())
	r := runs.Begin()
	r.SetInt("run_id", int64(run))
	r.SetText("status", []string{"done", "left_range"}[run%2])
	if run%11 == 0 {
		r.SetNull("coolant_peak_c")
	} else {
		r.SetFloat("coolant_peak_c", 40+float64(run)/7)
	}
	if err := r.End(); err != nil {
		return nil, err
	}
	frames := []*record.Frame{runs}
	if run%3 == 0 {
		frames = append(frames, tracesFrame(run, 1))
	}
	if run%7 == 0 {
		events := record.NewFrame(eventsTable())
		events.AppendInts(0, []int64{int64(run), int64(run)})
		events.AppendTexts(1, []string{"limit", "release"})
		frames = append(frames, events)
	}
	return frames, nil
}

// addRuns gives the part all of its runs.
func addRuns(p *PartWriter) error {
	from, to := p.Slice()
	for run := from; run < to; run++ {
		if dropped(run) {
			if err := p.Skip(run); err != nil {
				return err
			}
			continue
		}
		frames, err := runFrames(run)
		if err != nil {
			return err
		}
		if err := p.Add(run, frames...); err != nil {
			return err
		}
	}
	return nil
}

// writePart writes one part of the study as a worker would.
func writePart(s *Study, part int) error {
	p, err := s.Part(part)
	if err != nil {
		return err
	}
	if err := addRuns(p); err != nil {
		return errors.Join(err, p.Abort())
	}
	return p.Commit()
}

// writeMissing writes the parts that are not there, and finishes.
func writeMissing(s *Study) error {
	missing, err := s.MissingOfAll()
	if err != nil {
		return err
	}
	return writeAndFinish(s, missing)
}

// writeShard writes those of some parts that are not there, and finishes.
func writeShard(s *Study, parts ...int) error {
	missing, err := s.Missing(parts...)
	if err != nil {
		return err
	}
	return writeAndFinish(s, missing)
}

func writeAndFinish(s *Study, parts []int) error {
	for _, k := range parts {
		if err := writePart(s, k); err != nil {
			return err
		}
	}
	return s.Finish()
}

func openStudy(t testing.TB, dir string, o StudyOptions) *Study {
	t.Helper()
	s, err := createStudy(dir, testStudy, studyTables(), o, quietDisk())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// quietDisk is the system's, but flushes nothing: what the tests here look at is
// there without, and they are many.
func quietDisk() disk {
	d := systemDisk()
	d.syncDir = func(string) error { return nil }
	create := d.create
	d.create = func(name string) (file, error) {
		f, err := create(name)
		if err != nil {
			return nil, err
		}
		return quietFile{f}, nil
	}
	return d
}

type quietFile struct{ file }

func (quietFile) Sync() error { return nil }

// mustWriteParts writes the given parts.
func mustWriteParts(t testing.TB, s *Study, parts ...int) {
	t.Helper()
	for _, k := range parts {
		if err := writePart(s, k); err != nil {
			t.Fatal(err)
		}
	}
}

// wholeStudy returns the files of the test study written by one worker.
func wholeStudy(t testing.TB) map[string]string {
	t.Helper()
	return wholeOf(t, testStudy)
}

func wholeOf(t testing.TB, m StudyManifest) map[string]string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "whole")
	mustFinish(t, dir, m)
	return tree(t, dir)
}

// mustFinish writes a whole study.
func mustFinish(t testing.TB, dir string, m StudyManifest) {
	t.Helper()
	if err := studyOn(quietDisk(), dir, m, StudyOptions{}); err != nil {
		t.Fatal(err)
	}
}

// studyOn writes what is missing, and finishes.
func studyOn(d disk, dir string, m StudyManifest, o StudyOptions) error {
	s, err := createStudy(dir, m, studyTables(), o, d)
	if err != nil {
		return err
	}
	return writeMissing(s)
}

// wantSame compares a dataset with the files it should consist of.
func wantSame(t testing.TB, dir string, want map[string]string) {
	t.Helper()
	got := tree(t, dir)
	if maps.Equal(got, want) {
		return
	}
	for name := range want {
		if _, ok := got[name]; !ok {
			t.Errorf("%s lacks %s", dir, name)
		} else if got[name] != want[name] {
			t.Errorf("%s: %s has other bytes", dir, name)
		}
	}
	for name := range got {
		if _, ok := want[name]; !ok {
			t.Errorf("%s has %s too many", dir, name)
		}
	}
}

// forgetTemporary removes what a writer of this process left in .tmp where the
// test lets it die: its process lives, so nobody else may.
func forgetTemporary(t testing.TB, dir string) {
	t.Helper()
	entries, err := os.ReadDir(filepath.Join(dir, tempFolder))
	if err != nil {
		return
	}
	for _, e := range entries {
		if strings.Contains(e.Name(), fmt.Sprintf("-%d-", os.Getpid())) {
			if err := os.Remove(filepath.Join(dir, tempFolder, e.Name())); err != nil {
				t.Fatal(err)
			}
		}
	}
}
