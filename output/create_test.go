package output

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"soakledger/sim/record"
)

func TestCreateRefusesBadInput(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	tests := []struct {
		name   string
		dir    string
		change func(m *Meta)
		tables []record.Table
		want   string
	}{
		{"no folder", "", nil, testTables(), "no name"},
		{"no hash", dir, func(m *Meta) { m.ScenarioHash = "" }, testTables(), "hash is empty"},
		{"no schema version", dir, func(m *Meta) { m.SchemaVersion = 0 }, testTables(), "schema version 0"},
		{"text that is no text", dir, func(m *Meta) { m.Title = "\xff" }, testTables(), "UTF-8"},
		{"no tables", dir, nil, nil, "no tables"},
		{"table twice", dir, nil, []record.Table{runsTable(), runsTable()}, "table runs is given twice"},
		{"bad table", dir, nil, []record.Table{{Name: "runs"}}, "no columns"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			m := testMeta
			if test.change != nil {
				test.change(&m)
			}
			_, err := Create(test.dir, m, test.tables, Settings{})
			wantError(t, err, test.want)
			wantTree(t, filepath.Dir(dir))
		})
	}
}

func TestCreateReportsAnExistingDataset(t *testing.T) {
	other := testMeta
	other.ScenarioHash = "0ther"
	finish := func(w *Writer) error { return w.Finish() }
	suspend := func(w *Writer) error { return w.Suspend() }
	tests := []struct {
		name     string
		end      func(w *Writer) error
		meta     Meta
		settings Settings
		want     ExistsError
		says     string
	}{
		{"same, finished", finish, testMeta, Settings{}, ExistsError{SameHash: true, Complete: true}, "nothing to do"},
		{"same, finished, resumed", finish, testMeta, Settings{Resume: true}, ExistsError{SameHash: true, Complete: true}, "nothing to do"},
		{"same, unfinished", suspend, testMeta, Settings{}, ExistsError{SameHash: true}, "resume it"},
		{"other, finished", finish, other, Settings{}, ExistsError{Complete: true}, "another scenario"},
		{"other, unfinished, resumed", suspend, other, Settings{Resume: true}, ExistsError{}, "another scenario"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "set")
			w := mustCreate(t, dir, Settings{})
			writeParts(t, w, 0)
			if err := test.end(w); err != nil {
				t.Fatal(err)
			}
			before := tree(t, dir)
			_, err := Create(dir, test.meta, testTables(), test.settings)
			var exists *ExistsError
			if !errors.As(err, &exists) {
				t.Fatalf("got %v", err)
			}
			test.want.Dir = dir
			if *exists != test.want {
				t.Errorf("got %+v, want %+v", *exists, test.want)
			}
			wantError(t, err, dir, test.says)
			if !maps.Equal(before, tree(t, dir)) {
				t.Error("the folder was changed")
			}
		})
	}
}

func TestCreateNeverTouchesForeignFolders(t *testing.T) {
	contents := map[string]map[string]string{
		"a file":                  {"letter.txt": "dear"},
		"parts without manifest":  {"runs/part-00000.parquet": "PAR1"},
		"another manifest":        {"manifest.json": `{"name": "an app", "icons": []}`},
		"a manifest that is none": {"manifest.json": "not json"},
		"a manifest that climbs": {"manifest.json": `{"format": "soakledger dataset 1", "schema_version": 1, "scenario_hash": "5eed",
			"tables": [{"name": "../home", "columns": [{"name": "a", "kind": "float"}], "parts": []}]}`},
		"a part that climbs": {"manifest.json": `{"format": "soakledger dataset 1", "schema_version": 1, "scenario_hash": "5eed",
			"tables": [{"name": "runs", "columns": [{"name": "a", "kind": "float"}], "parts": [{"file": "../../x", "rows": 1}]}]}`},
		"a temporary folder of others": {".tmp/cache": "x"},
		"a marker that is none":        {".tmp/begun.json": "{"},
	}
	for name, files := range contents {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			for file, content := range files {
				put(t, dir, file, content)
			}
			for _, s := range []Settings{{}, {Replace: true}, {Resume: true}} {
				_, err := Create(dir, testMeta, testTables(), s)
				if !errors.Is(err, ErrForeign) {
					t.Errorf("%+v: got %v", s, err)
				}
			}
			if !maps.Equal(files, tree(t, dir)) {
				t.Errorf("the folder was changed: %v", tree(t, dir))
			}
		})
	}
}

func TestCreateInPlaceOfAFile(t *testing.T) {
	root := t.TempDir()
	put(t, root, "file", "x")
	for _, dir := range []string{filepath.Join(root, "file"), filepath.Join(root, "file", "set")} {
		_, err := Create(dir, testMeta, testTables(), Settings{})
		wantError(t, err, "creating a dataset in "+dir)
	}
	wantTree(t, root, "file")
}

func TestCreateInAFolderThatAKilledWriterLeft(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, ".tmp"), 0o777); err != nil {
		t.Fatal(err)
	}
	mustWrite(t, dir, Settings{}, 1)
	wantTree(t, dir, finishedTree(1)...)
}

func TestResumeNeedsTheSameTables(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	if err := mustCreate(t, dir, Settings{}).Suspend(); err != nil {
		t.Fatal(err)
	}
	changed := testTables()
	changed[1].Columns[2].Unit = "K"
	for _, tables := range [][]record.Table{{runsTable()}, changed} {
		_, err := Create(dir, testMeta, tables, Settings{Resume: true})
		wantError(t, err, "other tables or columns")
	}
}

func TestReplace(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "set")
	mustWrite(t, dir, Settings{}, 3)
	put(t, dir, "report.html", "<p>old")
	put(t, dir, "figures/a.svg", "<svg>")
	w := mustCreate(t, dir, Settings{Replace: true})
	writeParts(t, w, 0)
	if d, err := Open(dir); err != nil || d.Rows("runs") != 12 {
		t.Errorf("the old dataset while the new one is written: %v", err)
	}
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	if w.Dir() != dir {
		t.Errorf("the dataset is in %s", w.Dir())
	}
	wantTree(t, dir, append(finishedTree(1), "report.html", "figures/a.svg")...)
	if entries, err := os.ReadDir(root); err != nil || len(entries) != 1 {
		t.Errorf("beside the dataset lies %v, %v", entries, err)
	}
	if d, err := Open(dir); err != nil || d.Rows("runs") != 4 || d.Verify() != nil {
		t.Errorf("the new dataset: %v", err)
	}
	if err := w.Abort(); err != nil {
		t.Error(err)
	}
	wantTree(t, dir, append(finishedTree(1), "report.html", "figures/a.svg")...)
}

func TestReplaceOfAnUnfinishedDataset(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "set")
	w := mustCreate(t, dir, Settings{})
	writeParts(t, w, 0, 5)
	if err := w.Suspend(); err != nil {
		t.Fatal(err)
	}
	mustWrite(t, dir, Settings{Replace: true}, 1)
	wantTree(t, dir, finishedTree(1)...)
}

func TestReplaceWithNothingThere(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{Replace: true, Resume: true}, 1)
	wantTree(t, dir, finishedTree(1)...)
}

func TestFailedReplacementKeepsTheOld(t *testing.T) {
	for name, end := range map[string]func(w *Writer) error{
		"aborted":   func(w *Writer) error { return w.Abort() },
		"suspended": func(w *Writer) error { return w.Suspend() },
	} {
		t.Run(name, func(t *testing.T) {
			root := t.TempDir()
			dir := filepath.Join(root, "set")
			mustWrite(t, dir, Settings{}, 2)
			before := tree(t, root)
			w := mustCreate(t, dir, Settings{Replace: true})
			writeParts(t, w, 0)
			if err := end(w); err != nil {
				t.Fatal(err)
			}
			if !maps.Equal(before, tree(t, root)) {
				t.Errorf("the folder now holds %v", tree(t, root))
			}
		})
	}
}

func TestReplaceKeepsStrangeFilesAmongParts(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 1)
	put(t, dir, "traces/mine.csv", "1,2")
	_, err := Create(dir, testMeta, testTables(), Settings{Replace: true})
	wantError(t, err, "traces/mine.csv", "move them away")

	// It may also appear while the new dataset is written.
	if err := os.Remove(filepath.Join(dir, "traces/mine.csv")); err != nil {
		t.Fatal(err)
	}
	w := mustCreate(t, dir, Settings{Replace: true})
	writeParts(t, w, 0)
	put(t, dir, "traces/mine.csv", "1,2")
	err = w.Finish()
	wantError(t, err, "the new dataset is complete", "mine.csv")
	if err := w.Abort(); err != nil {
		t.Error(err)
	}
	wantTree(t, dir, finishedTree(1)...)
	kept := 0
	for name := range tree(t, filepath.Dir(dir)) {
		if strings.HasSuffix(name, "traces/mine.csv") {
			kept++
		}
	}
	if kept != 1 {
		t.Error("the file is lost")
	}
}

func TestReplaceThroughALink(t *testing.T) {
	root := t.TempDir()
	dir, link := filepath.Join(root, "set"), filepath.Join(root, "latest")
	mustWrite(t, dir, Settings{}, 2)
	if err := os.Symlink(dir, link); err != nil {
		t.Logf("no symbolic links here: %v", err)
		return
	}
	mustWrite(t, link, Settings{Replace: true}, 1)
	wantTree(t, dir, finishedTree(1)...)
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v", err)
	}
}

func TestReplaceOfTheCurrentFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 2)
	t.Chdir(dir)
	mustWrite(t, ".", Settings{Replace: true}, 1)
	wantTree(t, dir, finishedTree(1)...)
}
