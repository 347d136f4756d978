package output

import (
	"errors"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"soakledger/sim/record"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestWriteAndRead(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "set")
	mustWrite(t, dir, Settings{}, 2)
	wantTree(t, dir, finishedTree(2)...)
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if got := d.Meta(); got.Title != testMeta.Title || got.ScenarioText != testMeta.ScenarioText || !maps.Equal(got.Notes, testMeta.Notes) {
		t.Errorf("meta %+v", got)
	}
	if d.Rows("runs") != 8 || d.Rows("traces") != 480 || d.Rows("events") != 0 {
		t.Errorf("%d runs, %d rows of traces", d.Rows("runs"), d.Rows("traces"))
	}
	runs, err := d.Read("runs")
	if err != nil || runs.Rows() != 8 || runs.Ints(0)[7] != 7 || runs.Floats(2)[7] != 40.875 {
		t.Errorf("runs: %v, %v", runs, err)
	}
	temperatures, err := d.Read("traces", "coolant_c")
	if err != nil || temperatures.Rows() != 480 || math.Abs(temperatures.Floats(0)[479]-30.6) > 0x1p-15 {
		t.Errorf("traces: %v", err)
	}
	if err := d.Verify(); err != nil {
		t.Error(err)
	}
}

// TestSameBytes: neither the folder, nor the order of the parts, nor the number
// of workers shows in the dataset.
func TestSameBytes(t *testing.T) {
	a, b := filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b")
	mustWrite(t, a, Settings{}, 8)
	w := mustCreate(t, b, Settings{})
	var group sync.WaitGroup
	for _, parts := range [][]int{{7, 1, 4}, {0, 2, 5}, {6, 3}} {
		group.Go(func() {
			for _, k := range parts {
				err := errors.Join(w.WritePart("runs", k, runsFrame(t, 4*k, 4)), w.WritePart("traces", k, tracesFrame(4*k, 2), tracesFrame(4*k+2, 2)))
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	group.Wait()
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	if !maps.Equal(tree(t, a), tree(t, b)) {
		t.Error("the datasets differ")
	}
}

func TestManifestGolden(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 1)
	got, err := os.ReadFile(filepath.Join(dir, "manifest.json"))
	if err != nil {
		t.Fatal(err)
	}
	golden := filepath.Join("testdata", "manifest.json")
	if *update {
		if err := os.WriteFile(golden, got, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("the manifest is\n%s\nwant\n%s\n(-update writes the golden file)", got, want)
	}
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	for _, secret := range []string{dir, host} {
		if len(secret) > 3 && strings.Contains(string(got), secret) {
			t.Errorf("%q is in the manifest", secret)
		}
	}
}

func TestWritePartRefuses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	w := mustCreate(t, dir, Settings{})
	writeParts(t, w, 0)
	wantError(t, w.WritePart("events", 0), "no such table", dir)
	wantError(t, w.WritePart("runs", -1), "from 0 to 99999")
	wantError(t, w.WritePart("runs", 100_000), "from 0 to 99999")
	wantError(t, w.WritePart("runs", 0, runsFrame(t, 0, 1)), "written before")
	wantError(t, w.WritePart("runs", 1, tracesFrame(0, 1)), "part 1 of table runs", "other columns")
	bad := record.NewFrame(runsTable())
	bad.AppendInts(0, []int64{1})
	wantError(t, w.WritePart("runs", 1, bad), "status has 0 values, not 1")
	// The failed part has left nothing and can be written again.
	wantTree(t, dir, ".tmp/begun.json", "runs/part-00000.parquet", "traces/part-00000.parquet")
	writeParts(t, w, 1)
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	wantError(t, w.WritePart("runs", 2, runsFrame(t, 8, 1)), "finished")
	wantError(t, w.Finish(), "finished")
	if err := w.Abort(); err != nil {
		t.Error(err)
	}
	wantTree(t, dir, finishedTree(2)...)
}

func TestPartWithoutRows(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	w := mustCreate(t, dir, Settings{})
	if err := w.WritePart("runs", 0); err != nil {
		t.Fatal(err)
	}
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	wantTree(t, dir, "manifest.json", "runs/part-00000.parquet")
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range []string{"runs", "traces"} {
		if f, err := d.Read(table); err != nil || f.Rows() != 0 || len(f.Table().Columns) != 3 {
			t.Errorf("%s: %v, %v", table, f, err)
		}
	}
}

func TestHas(t *testing.T) {
	w := mustCreate(t, filepath.Join(t.TempDir(), "set"), Settings{})
	writeParts(t, w, 1)
	if w.Has("runs", 0) || !w.Has("runs", 1) || w.Has("events", 1) {
		t.Error("Has is wrong about the parts")
	}
}

func TestAbortRemovesWhatItMade(t *testing.T) {
	root := t.TempDir()
	w := mustCreate(t, filepath.Join(root, "deep", "set"), Settings{})
	writeParts(t, w, 0, 1)
	for range 2 {
		if err := w.Abort(); err != nil {
			t.Fatal(err)
		}
	}
	wantTree(t, root)
	wantError(t, w.Finish(), "aborted")
	wantError(t, w.WritePart("runs", 0), "aborted")
}

func TestAbortLeavesAnEmptyFolderThatWasThere(t *testing.T) {
	dir := t.TempDir()
	w := mustCreate(t, dir, Settings{})
	writeParts(t, w, 0)
	put(t, dir, "notes.txt", "mine")
	if err := w.Abort(); err != nil {
		t.Fatal(err)
	}
	wantTree(t, dir, "notes.txt")
}

func TestResume(t *testing.T) {
	dir, whole := filepath.Join(t.TempDir(), "set"), filepath.Join(t.TempDir(), "whole")
	mustWrite(t, whole, Settings{}, 3)
	w := mustCreate(t, dir, Settings{})
	writeParts(t, w, 0, 2)
	if err := w.Suspend(); err != nil {
		t.Fatal(err)
	}
	if err := w.Abort(); err != nil { // after Suspend it does nothing
		t.Fatal(err)
	}
	// A part that was in work when a process died.
	put(t, dir, ".tmp/traces-00001-otherhost-1-00000000", "half")
	_, err := Open(dir)
	wantError(t, err, dir, "unfinished")

	w = mustCreate(t, dir, Settings{Resume: true, Parts: map[string]int{"runs": 3, "traces": 3}})
	if !w.Has("runs", 0) || w.Has("runs", 1) {
		t.Error("the resumed writer does not see the parts")
	}
	var missing *MissingError
	if err := w.Finish(); !errors.As(err, &missing) || missing.Table != "runs" || fmt.Sprint(missing.Parts) != "[1]" {
		t.Errorf("got %v, want part 1 of runs to be missing", err)
	}
	writeParts(t, w, 1)
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	if !maps.Equal(tree(t, dir), tree(t, whole)) {
		t.Error("the resumed dataset differs from one written at once")
	}
}

func TestAbortAfterResumeKeepsThePartsOfBefore(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	w := mustCreate(t, dir, Settings{})
	writeParts(t, w, 0)
	if err := w.Suspend(); err != nil {
		t.Fatal(err)
	}
	w = mustCreate(t, dir, Settings{Resume: true})
	writeParts(t, w, 1)
	if err := w.Abort(); err != nil {
		t.Fatal(err)
	}
	wantTree(t, dir, ".tmp/begun.json", "runs/part-00000.parquet", "traces/part-00000.parquet")
}

func TestFinishKnowsThePlan(t *testing.T) {
	w := mustCreate(t, filepath.Join(t.TempDir(), "set"), Settings{Parts: map[string]int{"traces": 9}})
	writeParts(t, w, 0)
	var missing *MissingError
	if err := w.Finish(); !errors.As(err, &missing) || missing.Table != "traces" || len(missing.Parts) != 8 {
		t.Errorf("got %v", err)
	}
	wantError(t, missing, "lacks 8 parts ([1 2 3 4 5])", "resume")
}

// TestTwoShards lets two writers share a folder, as two processes would.
func TestTwoShards(t *testing.T) {
	dir, whole := filepath.Join(t.TempDir(), "set"), filepath.Join(t.TempDir(), "whole")
	mustWrite(t, whole, Settings{}, 4)
	plan := Settings{Resume: true, Parts: map[string]int{"runs": 4, "traces": 4}}
	a, b := mustCreate(t, dir, plan), mustCreate(t, dir, plan)
	writeParts(t, a, 0, 2)
	var missing *MissingError
	if err := a.Finish(); !errors.As(err, &missing) {
		t.Fatalf("the first shard finishes with %v", err)
	}
	writeParts(t, b, 1, 3, 2) // part 2 by both: the same bytes
	if err := b.Finish(); err != nil {
		t.Fatal(err)
	}
	if err := a.Finish(); err != nil {
		t.Errorf("the first shard after the second has finished: %v", err)
	}
	if !maps.Equal(tree(t, dir), tree(t, whole)) {
		t.Error("the dataset differs from one written at once")
	}
}

func TestAbortOfOneShardKeepsTheOther(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	a, b := mustCreate(t, dir, Settings{}), mustCreate(t, dir, Settings{Resume: true})
	writeParts(t, b, 0)
	if err := a.Abort(); err != nil {
		t.Fatal(err)
	}
	wantTree(t, dir, ".tmp/begun.json", "runs/part-00000.parquet", "traces/part-00000.parquet")
	if err := b.Finish(); err != nil {
		t.Fatal(err)
	}
	wantTree(t, dir, finishedTree(1)...)
}

func TestStrangePartsAreNotTaken(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	w := mustCreate(t, dir, Settings{Resume: true})
	writeParts(t, w, 0)
	put(t, dir, "runs/part-00001.parquet", "nonsense")
	wantError(t, w.Finish(), "part-00001.parquet", "damaged")

	other := testMeta
	other.ScenarioHash = "0ther"
	aside := filepath.Join(t.TempDir(), "other")
	o, err := Create(aside, other, testTables(), Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if err := o.WritePart("runs", 1, runsFrame(t, 4, 4)); err != nil {
		t.Fatal(err)
	}
	put(t, dir, "runs/part-00001.parquet", tree(t, aside)["runs/part-00001.parquet"])
	wantError(t, w.Finish(), "part-00001.parquet belongs to another dataset")

	if err := os.Remove(filepath.Join(dir, "runs/part-00001.parquet")); err != nil {
		t.Fatal(err)
	}
	put(t, dir, "runs/notes.txt", "x")
	wantError(t, w.Finish(), "notes.txt", "does not belong there")
}
