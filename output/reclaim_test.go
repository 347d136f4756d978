package output

import (
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// ruined makes a finished study whose manifest has been changed, nil for removed.
func ruined(t *testing.T, change func(text string) string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "set")
	mustFinish(t, dir, testStudy)
	name := filepath.Join(dir, manifestName)
	if change == nil {
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	put(t, dir, manifestName, change(tree(t, dir)[manifestName]))
	return dir
}

// ruins are what may become of a manifest.
var ruins = map[string]func(text string) string{
	"gone":        nil,
	"empty":       func(string) string { return "" },
	"first bytes": func(text string) string { return text[:9] },
	"half":        func(text string) string { return text[:len(text)/2] },
	"zeros":       func(text string) string { return strings.Repeat("\x00", len(text)) },
	"its hash":    func(text string) string { return strings.Replace(text, `"scenario_hash": "`, `"scenario_hash": "0`, 1) },
	"a digit":     func(text string) string { return strings.Replace(text, `"runs": 60`, `"runs": 6x`, 1) },
}

// TestLostManifest is written anew from the parts, with the bytes it had; the
// parts stay as they are, and so do other files.
func TestLostManifest(t *testing.T) {
	want := wholeStudy(t)
	want["report.html"] = "<p>mine"
	for name, change := range ruins {
		t.Run(name, func(t *testing.T) {
			dir := ruined(t, change)
			put(t, dir, "report.html", "<p>mine")
			before := tree(t, dir)
			_, err := CreateStudy(dir, testStudy, studyTables(), StudyOptions{})
			var exists *StudyExistsError
			if !errors.As(err, &exists) || !exists.Same || exists.Complete {
				t.Errorf("got %v", err)
			}
			wantError(t, err, dir, "parts of this very study", "manifest is damaged or gone", "--resume")
			wantSame(t, dir, before)
			s := openStudy(t, dir, StudyOptions{Resume: true})
			if missing, err := s.MissingOfAll(); err != nil || len(missing) > 0 || s.Complete() || !s.WasFinished() {
				t.Errorf("missing are %v, %v", missing, err)
			}
			wantError(t, errors.New(strings.Join(s.Repairs(), "\n")), "written anew from the parts")
			if damaged, err := s.Verify(0, 1, 8); err != nil || len(damaged) > 0 {
				t.Errorf("damaged are %v, %v", damaged, err)
			}
			if err := s.Finish(); err != nil {
				t.Fatal(err)
			}
			wantSame(t, dir, want)
		})
	}
}

// TestLostManifestReplaced: parts of this very study are gone on with.
func TestLostManifestReplaced(t *testing.T) {
	dir := ruined(t, nil)
	if err := writeMissing(openStudy(t, dir, StudyOptions{Replace: true})); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, wholeStudy(t))
}

// TestLostManifestAndParts: what is not whole is computed again, also where the
// process dies at any step of it.
func TestLostManifestAndParts(t *testing.T) {
	want := wholeStudy(t)
	cut := want["traces/part-00002.parquet"]
	damage := func(dir string) {
		put(t, dir, "traces/part-00002.parquet", cut[:len(cut)/2])
		put(t, dir, "events/part-00004.parquet", "")
		put(t, dir, "runs/part-00000.parquet", want["runs/part-00000.parquet"][:100])
		if err := os.Remove(filepath.Join(dir, "runs/part-00007.parquet")); err != nil {
			t.Fatal(err)
		}
	}
	dir := ruined(t, ruins["half"])
	damage(dir)
	s := openStudy(t, dir, StudyOptions{Resume: true})
	if missing, err := s.MissingOfAll(); err != nil || !slices.Equal(missing, []int{0, 2, 4, 7}) {
		t.Errorf("missing are %v, %v", missing, err)
	}
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, want)

	for failAt := 1; ; failAt++ {
		dir := ruined(t, ruins["half"])
		damage(dir)
		calls, d := crashingDisk(failAt, failAt%2 == 0)
		if !stopped(func() error { return studyOn(d, dir, testStudy, StudyOptions{Resume: true}) }) {
			if failAt < 10 || *calls >= failAt {
				t.Errorf("not stopped at call %d of %d", failAt, *calls)
			}
			return
		}
		forgetTemporary(t, dir)
		if err := studyOn(quietDisk(), dir, testStudy, StudyOptions{Resume: true}); err != nil {
			t.Fatalf("stopped at call %d: %v", failAt, err)
		}
		wantSame(t, dir, want)
		if failAt > 12 {
			failAt += 6 // by then parts are written, which other tests stop at each call
		}
	}
}

// stopped reports whether a crashing disk stops do.
func stopped(do func() error) (yes bool) {
	defer func() {
		if p := recover(); p != nil {
			if p != (crash{}) {
				panic(p)
			}
			yes = true
		}
	}()
	return do() != nil
}

// TestReclaimLeavesForeignFiles: nothing that may be somebody's is removed or
// written over, and the error names it.
func TestReclaimLeavesForeignFiles(t *testing.T) {
	want := wholeStudy(t)
	foreign := testStudy
	foreign.Plan = "another"
	aside := filepath.Join(t.TempDir(), "aside")
	mustFinish(t, aside, foreign)
	other := tree(t, aside)["traces/part-00002.parquet"]
	for name, content := range map[string]string{
		"manifest.json":              `{"name": "my web page"}`,
		"runs/notes.txt":             "mine",
		"runs/part-00009.parquet":    want["runs/part-00001.parquet"],
		"traces/part-00002.parquet":  other,
		"events/part-00003.parquet":  "a letter",
		"traces/part-00005.parquet":  "PAR1 no footer but its end \x00\x00\x00\x00PAR1",
		"events/deeper/more/notes.t": "mine",
		".tmp/begun.json":            tree(t, aside)[manifestName],
	} {
		t.Run(name, func(t *testing.T) {
			dir := ruined(t, ruins["half"])
			put(t, dir, name, content)
			before := tree(t, dir)
			_, err := CreateStudy(dir, testStudy, studyTables(), StudyOptions{Resume: true})
			wantError(t, err, filepath.Join(dir, strings.Split(name, "/more")[0]), "move it away")
			for file, text := range before {
				if got := tree(t, dir)[file]; got != text {
					t.Errorf("%s was touched", file)
				}
			}
			if err := os.RemoveAll(filepath.Join(dir, strings.Split(name, "/more")[0])); err != nil {
				t.Fatal(err)
			}
			if err := writeMissing(openStudy(t, dir, StudyOptions{Resume: true})); err != nil {
				t.Fatal(err)
			}
			wantSame(t, dir, want)
		})
	}
}

// TestOrphansOfAnotherStudy are not taken, nor touched.
func TestOrphansOfAnotherStudy(t *testing.T) {
	for _, o := range []StudyOptions{{}, {Resume: true}, {Replace: true}} {
		dir := ruined(t, ruins["half"])
		before := tree(t, dir)
		other := testStudy
		other.Plan = "another"
		_, err := CreateStudy(dir, other, studyTables(), o)
		wantError(t, err, "those of another study", "events/part-00000.parquet", "with --resume", "choose another folder")
		if !errors.Is(err, ErrForeign) {
			t.Errorf("got %v", err)
		}
		wantSame(t, dir, before)
	}
}

// TestFolderOfTheSameNames: it has no parts at all.
func TestFolderOfTheSameNames(t *testing.T) {
	for _, files := range []map[string]string{
		{"runs": "a file"}, {"runs/monday.csv": "5 km"}, {"traces/part-00000.parquet": "PAR1"}, {"manifest.json": "{"}, {".tmp/x": ""},
	} {
		dir := filepath.Join(t.TempDir(), "set")
		for name, content := range files {
			put(t, dir, name, content)
		}
		for _, o := range []StudyOptions{{}, {Resume: true}, {Replace: true}} {
			if _, err := CreateStudy(dir, testStudy, studyTables(), o); !errors.Is(err, ErrForeign) {
				t.Errorf("%v: got %v", files, err)
			}
		}
		if got := tree(t, dir); !maps.Equal(got, files) {
			t.Errorf("%v became %v", files, got)
		}
	}
}

// TestLostManifestWithAnotherText: the parts' text is kept, so that they stay.
func TestLostManifestWithAnotherText(t *testing.T) {
	want := wholeStudy(t)
	m := testStudy
	m.ScenarioText = "# a comment\n" + m.ScenarioText
	for name, dir := range map[string]string{
		"gone":      ruined(t, nil),
		"its text":  ruined(t, func(text string) string { return strings.Replace(text, "title: thick", "title: thin!", 1) }),
		"its sizes": ruined(t, func(text string) string { return strings.Replace(text, `"bytes": `, `"bytes": 1`, 1) }),
		"its sums":  ruined(t, func(text string) string { return strings.Replace(text, `"sha256": "`, `"sha256": "0`, 1) }),
		"its parts": ruined(t, func(text string) string { return strings.Replace(text, `"rows": `, `"rows": 1`, 3) }),
	} {
		s, err := CreateStudy(dir, m, studyTables(), StudyOptions{Resume: true})
		if err != nil {
			t.Fatal(err)
		}
		if missing, err := s.MissingOfAll(); err != nil || len(missing) > 0 || s.Complete() {
			t.Errorf("%s: missing are %v, %v", name, missing, err)
		}
		wantError(t, errors.New(strings.Join(s.Repairs(), "\n")), "manifest", "written anew")
		if damaged, err := s.Verify(0, 4, 8); err != nil || len(damaged) > 0 {
			t.Errorf("%s: damaged are %v, %v", name, damaged, err)
		}
		if err := s.Finish(); err != nil {
			t.Fatal(err)
		}
		wantSame(t, dir, want)
	}
}

// TestVerify: damage inside a file of unchanged size is found and mended, in
// finished studies and in those without a manifest.
func TestVerify(t *testing.T) {
	want := wholeStudy(t)
	for name, change := range map[string]func(text string) string{"finished": func(text string) string { return text }, "lost": nil} {
		for _, file := range []string{"runs/part-00003.parquet", "traces/part-00003.parquet", "events/part-00003.parquet"} {
			dir := ruined(t, change)
			bytes := []byte(want[file])
			bytes[flipped(t, bytes)] ^= 1
			put(t, dir, file, string(bytes))
			s := openStudy(t, dir, StudyOptions{Resume: true})
			if s.Complete() != (name == "finished") {
				t.Errorf("%s, %s: the quick look has found it", name, file)
			}
			damaged, err := s.Verify(0, 1, 2, 3, 4, 5, 6, 7, 8)
			if err != nil || !slices.Equal(damaged, []int{3}) || s.Complete() {
				t.Errorf("%s, %s: damaged are %v, %v", name, file, damaged, err)
			}
			wantError(t, errors.New(strings.Join(s.Repairs(), "\n")), "part 3: ", "written again")
			if missing, err := s.MissingOfAll(); err != nil || !slices.Equal(missing, []int{3}) {
				t.Errorf("%s, %s: missing are %v, %v", name, file, missing, err)
			}
			if _, err := os.Stat(filepath.Join(dir, manifestName)); !errors.Is(err, fs.ErrNotExist) {
				t.Error("a manifest lists the part that is gone")
			}
			if err := writeMissing(s); err != nil {
				t.Fatal(err)
			}
			wantSame(t, dir, want)
		}
	}
	s := openStudy(t, filepath.Join(t.TempDir(), "set"), StudyOptions{})
	if damaged, err := s.Verify(0, 8); err != nil || len(damaged) > 0 || s.WasFinished() {
		t.Errorf("of a study that has just begun %v, %v are damaged", damaged, err)
	}
	_, err := s.Verify(9)
	wantError(t, err, "parts go from 0 to 8")
}

// flipped returns a place inside the pages of a file.
func flipped(t *testing.T, file []byte) int {
	t.Helper()
	if len(file) < 200 {
		t.Fatalf("a file of %d bytes", len(file))
	}
	return 60
}

// TestVerifyAndResumeMendAll: one part is cut short, which is found at once, and
// another is damaged inside.
func TestVerifyAndResumeMendAll(t *testing.T) {
	want := wholeStudy(t)
	dir := ruined(t, func(text string) string { return text })
	put(t, dir, "traces/part-00001.parquet", "PAR1")
	inside := []byte(want["runs/part-00006.parquet"])
	inside[flipped(t, inside)] ^= 1
	put(t, dir, "runs/part-00006.parquet", string(inside))
	s := openStudy(t, dir, StudyOptions{Resume: true})
	if s.Complete() || !s.WasFinished() {
		t.Error("the study passes for a whole one")
	}
	if damaged, err := s.Verify(1, 6); err != nil || !slices.Equal(damaged, []int{1, 6}) {
		t.Errorf("damaged are %v, %v", damaged, err)
	}
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, want)
}

// TestMissingOfNone: of no parts none is missing.
func TestMissingOfNone(t *testing.T) {
	s := openStudy(t, filepath.Join(t.TempDir(), "set"), StudyOptions{})
	if missing, err := s.Missing(); err != nil || len(missing) > 0 {
		t.Errorf("missing are %v, %v", missing, err)
	}
	if missing, err := s.MissingOfAll(); err != nil || len(missing) != 9 {
		t.Errorf("missing of all are %v, %v", missing, err)
	}
}

// TestStudyIn tells what is there.
func TestStudyIn(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	if _, _, ok := StudyIn(dir); ok {
		t.Error("there is a study in no folder")
	}
	s := openStudy(t, dir, StudyOptions{})
	if r, finished, ok := StudyIn(dir); r != testStudy.Recipe || finished || !ok {
		t.Errorf("%+v, %v, %v", r, finished, ok)
	}
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	if r, finished, ok := StudyIn(dir); r != testStudy.Recipe || !finished || !ok {
		t.Errorf("%+v, %v, %v", r, finished, ok)
	}
	run := filepath.Join(t.TempDir(), "run")
	mustWrite(t, run, Settings{}, 1)
	if _, _, ok := StudyIn(run); ok {
		t.Error("a run is taken for a study")
	}
}

// TestDamagedStudyNamesTheMending: whoever opens it is told what makes it whole.
func TestDamagedStudyNamesTheMending(t *testing.T) {
	const mends = "soakledger sweep FILE --resume --out "
	for name, change := range ruins {
		if name == "its hash" { // a reader does not mind
			continue
		}
		dir := ruined(t, change)
		_, err := Open(dir)
		wantError(t, err, "manifest is ", mends+dir)
	}
	short := ruined(t, func(text string) string { return text })
	put(t, short, "traces/part-00001.parquet", "PAR1")
	_, err := Open(short)
	wantError(t, err, "traces/part-00001.parquet has 4 bytes", mends+short)

	inside := ruined(t, func(text string) string { return text })
	file := []byte(tree(t, inside)["runs/part-00001.parquet"])
	file[flipped(t, file)] ^= 1
	put(t, inside, "runs/part-00001.parquet", string(file))
	d, err := Open(inside)
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.Read("runs")
	wantError(t, err, mends+inside)
	_, err = d.ReadRuns("runs", []int64{8}, "run_id")
	wantError(t, err, mends+inside)

	begun := filepath.Join(t.TempDir(), "set")
	mustWriteParts(t, openStudy(t, begun, StudyOptions{}), 4)
	_, err = Open(begun)
	wantError(t, err, begun+" is unfinished: 1 of 9 parts are done; "+mends+begun)
}
