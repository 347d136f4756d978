package output

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"soakledger/sim/record"
)

var testMeta = Meta{
	SchemaVersion: 1, EngineVersion: "0.1.0", Title: "Two sections, <hot> room", ScenarioHash: "5eed",
	ScenarioText: "title: two sections\nambient: 24 degC\n", Notes: map[string]string{"seed": "7", "resolution": "0.06 mK"},
}

func runsTable() record.Table {
	return record.Table{Name: "runs", Columns: []record.Column{
		{Name: "run_id", Meaning: "number of the run in the plan", Kind: record.Int},
		{Name: "status", Meaning: "how the run ended", Kind: record.Text},
		{Name: "coolant_peak_c", Unit: "degC", Meaning: "highest coolant temperature", Nullable: true},
	}}
}

func tracesTable() record.Table {
	return record.Table{Name: "traces", Columns: []record.Column{
		{Name: "run_id", Meaning: "number of the run in the plan", Kind: record.Int},
		{Name: "time_s", Unit: "s", Meaning: "time from the start of the run"},
		{Name: "coolant_c", Unit: "degC", Meaning: "coolant at the reservoir's outlet", Grid: 0x1p-14},
	}}
}

func testTables() []record.Table { return []record.Table{tracesTable(), runsTable()} }

func runsFrame(t testing.TB, first, n int) *record.Frame {
	t.Helper()
	f := record.NewFrame(runsTable())
	for i := first; i < first+n; i++ {
		r := f.Begin()
		r.SetInt("run_id", int64(i))
		r.SetText("status", "ok")
		r.SetFloat("coolant_peak_c", 40+float64(i)/8)
		if err := r.End(); err != nil {
			t.Fatal(err)
		}
	}
	return f
}

func tracesFrame(first, n int) *record.Frame {
	f := record.NewFrame(tracesTable())
	for run := first; run < first+n; run++ {
		f.AppendRepeated(0, int64(run), 60)
		times, temperatures := f.ExtendFloats(1, 60), f.ExtendFloats(2, 60)
		for i := range times {
			times[i], temperatures[i] = float64(i), 24+float64(run+i)/10
		}
	}
	return f
}

func mustCreate(t testing.TB, dir string, s Settings) *Writer {
	t.Helper()
	w, err := Create(dir, testMeta, testTables(), s)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// writeParts writes part k of both tables: runs 4k to 4k+3.
func writeParts(t testing.TB, w *Writer, parts ...int) {
	t.Helper()
	for _, k := range parts {
		if err := w.WritePart("traces", k, tracesFrame(4*k, 2), tracesFrame(4*k+2, 2)); err != nil {
			t.Fatal(err)
		}
		if err := w.WritePart("runs", k, runsFrame(t, 4*k, 4)); err != nil {
			t.Fatal(err)
		}
	}
}

// mustWrite makes a finished dataset with the given number of parts.
func mustWrite(t testing.TB, dir string, s Settings, parts int) {
	t.Helper()
	w := mustCreate(t, dir, s)
	for k := range parts {
		writeParts(t, w, k)
	}
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
}

// tree returns the files and empty folders below dir, with their content.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := make(map[string]string)
	err := filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil || name == dir {
			return err
		}
		rel, err := filepath.Rel(dir, name)
		if err != nil {
			return err
		}
		if e.IsDir() {
			entries, err := os.ReadDir(name)
			if len(entries) == 0 {
				out[filepath.ToSlash(rel)+"/"] = ""
			}
			return err
		}
		content, err := os.ReadFile(name)
		out[filepath.ToSlash(rel)] = string(content)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// wantTree compares the names below dir.
func wantTree(t testing.TB, dir string, want ...string) {
	t.Helper()
	got := slices.Sorted(maps.Keys(tree(t, dir)))
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("%s holds %v, want %v", dir, got, want)
	}
}

// finishedTree is what a finished dataset of n parts consists of.
func finishedTree(n int) []string {
	names := []string{"manifest.json"}
	for k := range n {
		names = append(names, fmt.Sprintf("runs/part-%05d.parquet", k), fmt.Sprintf("traces/part-%05d.parquet", k))
	}
	return names
}

func put(t testing.TB, dir, name, content string) {
	t.Helper()
	full := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(full), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(full, []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
}

func wantError(t testing.TB, err error, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("got %v, want an error with %q", err, part)
			return
		}
	}
}
