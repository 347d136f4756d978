package output

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"soakledger/sim/record"
)

// TestStudyReadsBack: what Add was given is in the dataset, once.
func TestStudyReadsBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "set")
	s := openStudy(t, dir, StudyOptions{})
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	if !s.Complete() || s.Dir() != dir {
		t.Error("the study is not complete")
	}
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Verify(); err != nil {
		t.Error(err)
	}
	recipe, ok := d.Study()
	if !ok || recipe != testStudy.Recipe {
		t.Errorf("recipe %+v", recipe)
	}
	want := map[string]*record.Frame{}
	for _, table := range studyTables() {
		want[table.Name] = record.NewFrame(table)
	}
	for run := range testStudy.Runs {
		frames, err := runFrames(run)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range frames {
			if err := want[f.Table().Name].AppendFrame(f); err != nil {
				t.Fatal(err)
			}
		}
		if dropped(run) {
			for _, f := range frames {
				want[f.Table().Name].Truncate(want[f.Table().Name].Rows() - f.Rows())
			}
		}
	}
	for name, w := range want {
		got, err := d.Read(name)
		if err != nil {
			t.Fatal(err)
		}
		if got.Rows() != w.Rows() || !slices.Equal(got.Ints(0), w.Ints(0)) {
			t.Errorf("table %s: %d rows, want %d", name, got.Rows(), w.Rows())
		}
	}
	if d.Rows("runs") != 48 {
		t.Errorf("%d runs", d.Rows("runs"))
	}
}

// TestStudySameBytes: 1, 2, 7 workers and 5 shards, in any order and resumed,
// make the same files.
func TestStudySameBytes(t *testing.T) {
	want := wholeStudy(t)
	if len(want) != 3*9+1 {
		t.Fatalf("the study has %d files", len(want))
	}
	for _, workers := range []int{1, 2, 7} {
		t.Run(fmt.Sprint(workers, " workers"), func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "set")
			s := openStudy(t, dir, StudyOptions{})
			workOn(t, s, workers, rand.Perm(9))
			if err := s.Finish(); err != nil {
				t.Fatal(err)
			}
			wantSame(t, dir, want)
		})
	}
	t.Run("5 shards", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "set")
		var shards sync.WaitGroup
		for shard := range 5 {
			shards.Go(func() {
				s, err := CreateStudy(dir, testStudy, studyTables(), StudyOptions{Resume: true})
				if err != nil {
					t.Error(err)
					return
				}
				var mine []int
				for k := shard; k < 9; k += 5 {
					mine = append(mine, k)
				}
				var missing *MissingError
				if err := writeShard(s, mine...); err != nil && !errors.As(err, &missing) {
					t.Error(err)
				}
			})
		}
		shards.Wait()
		if t.Failed() {
			return
		}
		// Each tried to finish; the last to write its parts could.
		wantSame(t, dir, want)
	})
	t.Run("interrupted", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "set")
		mustWriteParts(t, openStudy(t, dir, StudyOptions{}), 8, 3)
		second := openStudy(t, dir, StudyOptions{Resume: true})
		missing, err := second.MissingOfAll()
		if err != nil || !slices.Equal(missing, []int{0, 1, 2, 4, 5, 6, 7}) {
			t.Fatalf("missing are %v, %v", missing, err)
		}
		workOn(t, second, 2, []int{0, 7})
		if err := writeMissing(openStudy(t, dir, StudyOptions{Resume: true})); err != nil {
			t.Fatal(err)
		}
		wantSame(t, dir, want)
	})
}

// workOn writes the parts with some goroutines.
func workOn(t *testing.T, s *Study, workers int, parts []int) {
	t.Helper()
	next := make(chan int)
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for k := range next {
				if err := writePart(s, k); err != nil {
					t.Error(err)
				}
			}
		})
	}
	for _, k := range parts {
		next <- k
	}
	close(next)
	group.Wait()
}

func TestStudyOnAnExistingFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	mustWriteParts(t, s, 2, 4)
	create := func(o StudyOptions) error {
		_, err := CreateStudy(dir, testStudy, studyTables(), o)
		return err
	}
	wantError(t, create(StudyOptions{}), dir, "very study", "2 of 9 parts are done", "--resume")
	if err := writeMissing(openStudy(t, dir, StudyOptions{Resume: true})); err != nil {
		t.Fatal(err)
	}
	var exists *StudyExistsError
	if err := create(StudyOptions{}); !errors.As(err, &exists) || !exists.Complete || !exists.Same {
		t.Errorf("got %v", err)
	}
	wantError(t, create(StudyOptions{}), "it is finished, nothing to do", "--replace")
	before := tree(t, dir)
	again := openStudy(t, dir, StudyOptions{Resume: true})
	if missing, err := again.MissingOfAll(); !again.Complete() || len(missing) != 0 || err != nil || again.Finish() != nil {
		t.Errorf("the finished study lacks %v, %v", missing, err)
	}
	wantSame(t, dir, before)

	run := filepath.Join(t.TempDir(), "run")
	mustWrite(t, run, Settings{}, 1)
	for _, o := range []StudyOptions{{}, {Resume: true}} {
		_, err := CreateStudy(run, testStudy, studyTables(), o)
		wantError(t, err, "the dataset of a single run", "it is finished", "choose another folder")
	}
	put(t, filepath.Dir(run), "letters/dear.txt", "you")
	_, err := CreateStudy(filepath.Join(filepath.Dir(run), "letters"), testStudy, studyTables(), StudyOptions{Resume: true, Replace: true})
	if !errors.Is(err, ErrForeign) {
		t.Errorf("a foreign folder: %v", err)
	}
}

// TestChangedStudyIsRefused, with the values that differ and nothing else, when it
// is resumed and when it is begun.
func TestChangedStudyIsRefused(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWriteParts(t, openStudy(t, dir, StudyOptions{}), 0)
	before := tree(t, dir)
	tables := studyTables()
	changed := studyTables()
	changed[0].Columns[2].Grid = 0x1p-10
	plan := func(old, new string) func(m *StudyManifest) {
		return func(m *StudyManifest) { m.Plan = strings.Replace(m.Plan, old, new, 1) }
	}
	for name, test := range map[string]struct {
		change func(m *StudyManifest)
		tables []record.Table
		want   string
	}{
		"value":                   {plan("28 mm (0.028)", "30 mm (0.03)"), tables, "front.thickness was 28 mm and is now 30 mm"},
		"new":                     {plan("front.thickness", "cpu.power = 200 W (200)\nfront.thickness"), tables, "cpu.power is now 200 W and was not stated"},
		"gone":                    {plan("ambient.temperature = 22 degC (295.15)\n", ""), tables, "ambient.temperature was 22 degC and is no longer stated"},
		"whole":                   {plan("5eed", "feed"), tables, "the scenarios differ in the order or presence of sections"},
		"version":                 {plan("test plan 1", "test plan 2"), tables, "the version of plans was test plan 1 and is now test plan 2"},
		"solver":                  {func(m *StudyManifest) { m.Solver = "tolerance = 1 mK (0.001)\n" }, tables, "tolerance is now 1 mK and was not stated"},
		"traces":                  {func(m *StudyManifest) { m.Traces = "none" }, tables, `the choice of traces (--traces) was "every 3" and is now "none"`},
		"part size":               {func(m *StudyManifest) { m.PartRuns = 8 }, tables, "the number of runs in a part (--part-runs) was 7 and is now 8"},
		"runs":                    {func(m *StudyManifest) { m.Runs = 61 }, tables, "the number of designs was 60 and is now 61"},
		"build":                   {func(m *StudyManifest) { m.Build = "def456" }, tables, "the build was abc123 go1.26 linux/amd64 and is now def456"},
		"engine":                  {func(m *StudyManifest) { m.EngineVersion = "0.2.0" }, tables, "the engine was 0.1.0 and is now 0.2.0"},
		"schema":                  {func(m *StudyManifest) { m.SchemaVersion = 2 }, tables, "the schema version was 1 and is now 2"},
		"columns":                 {func(*StudyManifest) {}, changed, `column traces.coolant_c was float, unit "degC", grid 6.103515625e-05 (coolant at the res… and is now float, unit "degC", grid 0.0009765625 (coolant at the reserv…`},
		"columns of another plan": {plan("28 mm (0.028)", "30 mm (0.03)"), changed, "front.thickness was 28 mm and is now 30 mm"},
		"two": {func(m *StudyManifest) { m.Traces, m.EngineVersion = "none", "0.2.0" }, tables, "the engine was 0.1.0 and is now 0.2.0\n" +
			`the choice of traces (--traces) was "every 3" and is now "none"`},
	} {
		t.Run(name, func(t *testing.T) {
			m := testStudy
			test.change(&m)
			_, err := CreateStudy(dir, m, test.tables, StudyOptions{Resume: true})
			var refused *ChangedError
			if !errors.As(err, &refused) {
				t.Fatalf("got %v", err)
			}
			if refused.Difference != test.want {
				t.Errorf("what differs is\n%s\nwant\n%s", refused.Difference, test.want)
			}
			wantError(t, err, strings.ReplaceAll("\n"+test.want, "\n", "\n  "), dir+" holds another study", "another folder")
			_, err = CreateStudy(dir, m, test.tables, StudyOptions{})
			wantError(t, err, strings.ReplaceAll("\n"+test.want, "\n", "\n  "), dir+" already holds the dataset of another study: 1 of 9 parts", "another folder")
			if strings.Count(err.Error(), dir) != 1 {
				t.Errorf("the folder is named more than once: %v", err)
			}
			wantSame(t, dir, before)
		})
	}
}

// TestResumedStudyKeepsItsTexts: a comment in the scenario's text, which is in
// the parts that are there, neither refuses the study nor mixes texts.
func TestResumedStudyKeepsItsTexts(t *testing.T) {
	want := wholeStudy(t)
	dir := filepath.Join(t.TempDir(), "set")
	mustWriteParts(t, openStudy(t, dir, StudyOptions{}), 0, 1)
	m := testStudy
	m.Title, m.ScenarioText = "Another title", "# a comment\n"+m.ScenarioText
	s, err := CreateStudy(dir, m, studyTables(), StudyOptions{Resume: true})
	if err != nil {
		t.Fatal(err)
	}
	if got := s.manifest; got.Title != testStudy.Title || got.ScenarioText != testStudy.ScenarioText || *got.Study != testStudy.Recipe || got.ScenarioHash == "" {
		t.Errorf("the manifest is %+v", got)
	}
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, want)
}

func TestReplacedStudy(t *testing.T) {
	want := wholeStudy(t)
	for name, old := range map[string]func(t *testing.T, dir string){
		"run":      func(t *testing.T, dir string) { mustWrite(t, dir, Settings{}, 3) },
		"finished": func(t *testing.T, dir string) { mustFinish(t, dir, testStudy) },
		"other": func(t *testing.T, dir string) {
			m := testStudy
			m.Plan = "another"
			s, err := CreateStudy(dir, m, studyTables(), StudyOptions{})
			if err != nil {
				t.Fatal(err)
			}
			mustWriteParts(t, s, 0, 8)
		},
		"unfinished": func(t *testing.T, dir string) { mustWriteParts(t, openStudy(t, dir, StudyOptions{}), 3) },
		"nothing":    func(*testing.T, string) {},
	} {
		t.Run(name, func(t *testing.T) {
			root := t.TempDir()
			dir := filepath.Join(root, "set")
			old(t, dir)
			put(t, dir, "report.html", "<p>mine")
			if name == "nothing" {
				if err := os.RemoveAll(dir); err != nil {
					t.Fatal(err)
				}
			}
			if name == "unfinished" || name == "other" {
				// A dataset in work has no report.
				if err := os.Remove(filepath.Join(dir, "report.html")); err != nil {
					t.Fatal(err)
				}
			}
			s := openStudy(t, dir, StudyOptions{Replace: true})
			missing, err := s.MissingOfAll()
			if all := 9; err != nil || name == "unfinished" && len(missing) != all-1 || name != "unfinished" && len(missing) != all {
				t.Errorf("missing are %v, %v", missing, err)
			}
			// A second shard that was told to replace joins.
			mustWriteParts(t, s, 5)
			if err := writeMissing(openStudy(t, dir, StudyOptions{Replace: true})); err != nil {
				t.Fatal(err)
			}
			if _, err := os.Stat(filepath.Join(dir, "report.html")); (err == nil) != (name == "run" || name == "finished") {
				t.Errorf("the report: %v", err)
			}
			if err := os.RemoveAll(filepath.Join(dir, "report.html")); err != nil {
				t.Fatal(err)
			}
			wantSame(t, dir, want)
			if entries, err := os.ReadDir(root); err != nil || len(entries) != 1 {
				t.Errorf("beside the dataset lies %v, %v", entries, err)
			}
		})
	}
}

// TestReplaceLeavesAWriterAlone: somebody is writing the other study.
func TestReplaceLeavesAWriterAlone(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	p, err := s.Part(0)
	if err != nil {
		t.Fatal(err)
	}
	other := testStudy
	other.Plan = "another"
	_, err = CreateStudy(dir, other, studyTables(), StudyOptions{Replace: true})
	wantError(t, err, "another process may be writing", ".tmp")
	if err := addRuns(p); err != nil {
		t.Fatal(err)
	}
	if err := p.Commit(); err != nil {
		t.Fatal(err)
	}
}

// TestPartIntoATakenFolder: the dataset was removed, or replaced by another one
// between two parts.
func TestPartIntoATakenFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	mustWriteParts(t, s, 0)
	other := testStudy
	other.Plan = "another"
	if _, err := CreateStudy(dir, other, studyTables(), StudyOptions{Replace: true}); err != nil {
		t.Fatal(err)
	}
	wantError(t, writePart(s, 1), "given to another dataset", "part 1")
	wantTree(t, dir, ".tmp/begun.json")
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	wantError(t, writePart(s, 1), "taken away")
	wantError(t, s.Finish(), "lacks 9 parts")
}

func TestStudyRefusesBadInput(t *testing.T) {
	noRuns := []record.Table{tracesTable()}
	noID := studyTables()
	noID[2].Columns = noID[2].Columns[1:]
	for want, test := range map[string]struct {
		change func(m *StudyManifest)
		tables []record.Table
	}{
		"leave it empty":              {func(m *StudyManifest) { m.ScenarioHash = "5eed" }, studyTables()},
		"study of 0 runs":             {func(m *StudyManifest) { m.Runs = 0 }, studyTables()},
		"parts of 0 runs":             {func(m *StudyManifest) { m.PartRuns = 0 }, studyTables()},
		"32 bits":                     {func(m *StudyManifest) { m.Runs, m.PartRuns = 1<<31, 1<<30 }, studyTables()},
		"want at most 100000":         {func(m *StudyManifest) { m.Runs, m.PartRuns = 200_001, 2 }, studyTables()},
		"not valid UTF-8":             {func(m *StudyManifest) { m.Plan = "\xff" }, studyTables()},
		"has a table runs":            {func(*StudyManifest) {}, noRuns},
		"events has no int column":    {func(*StudyManifest) {}, noID},
		"schema version 0":            {func(m *StudyManifest) { m.SchemaVersion = 0 }, studyTables()},
		"table traces is given twice": {func(*StudyManifest) {}, append(noRuns, studyTables()...)},
	} {
		root := t.TempDir()
		m := testStudy
		test.change(&m)
		_, err := CreateStudy(filepath.Join(root, "set"), m, test.tables, StudyOptions{})
		wantError(t, err, want, root)
		wantTree(t, root)
	}
	if _, err := CreateStudy("", testStudy, studyTables(), StudyOptions{}); err == nil {
		t.Error("a folder without a name is taken")
	}
}

func TestSlices(t *testing.T) {
	for _, test := range []struct{ runs, size, parts, lastFrom, lastTo int }{
		{60, 7, 9, 56, 60}, {56, 7, 8, 49, 56}, {1, 7, 1, 0, 1}, {7, 1, 7, 6, 7},
	} {
		r := Recipe{Runs: test.runs, PartRuns: test.size}
		from, to := r.Slice(r.Parts() - 1)
		if r.Parts() != test.parts || from != test.lastFrom || to != test.lastTo {
			t.Errorf("%+v: %d parts, the last from %d to %d", test, r.Parts(), from, to)
		}
	}
}

func TestStudyHoldsNothingOfTheMachine(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustFinish(t, dir, testStudy)
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range tree(t, dir) {
		for _, secret := range []string{dir, host} {
			if len(secret) > 3 && strings.Contains(content, secret) {
				t.Errorf("%q is in %s", secret, name)
			}
		}
	}
}

// TestForeignFileAmongParts: readers would take it for a part.
func TestForeignFileAmongParts(t *testing.T) {
	for _, name := range []string{"traces/notes.txt", "events/part-00009.parquet"} {
		dir := filepath.Join(t.TempDir(), "set")
		s := openStudy(t, dir, StudyOptions{})
		mustWriteParts(t, s, 0, 1, 2, 3, 4, 5, 6, 7, 8)
		put(t, dir, name, "mine")
		wantError(t, s.Finish(), "does not belong there", filepath.Base(name))
		if _, err := os.Stat(filepath.Join(dir, manifestName)); !errors.Is(err, fs.ErrNotExist) {
			t.Error("the manifest is there")
		}
	}
}

// TestMemoryDoesNotGrow: what a study keeps is the same after 10 parts and after
// 200 more.
func TestMemoryDoesNotGrow(t *testing.T) {
	m := testStudy
	m.Runs, m.PartRuns = 210*7, 7
	s, err := createStudy(filepath.Join(t.TempDir(), "set"), m, studyTables(), StudyOptions{}, quietDisk())
	if err != nil {
		t.Fatal(err)
	}
	kept := func(from, to int) uint64 {
		for k := from; k < to; k++ {
			mustWriteParts(t, s, k)
		}
		runtime.GC()
		runtime.GC() // the second empties the pools of the libraries
		var stats runtime.MemStats
		runtime.ReadMemStats(&stats)
		return stats.HeapAlloc
	}
	before := kept(0, 10)
	after := kept(10, 210)
	if after > before+200*256 {
		t.Errorf("%d bytes are kept after 10 parts, %d after 210", before, after)
	}
	for name, idle := range s.pool.idle {
		if len(idle) != 1 {
			t.Errorf("%d encoders of table %s for one part at a time", len(idle), name)
		}
	}
}
