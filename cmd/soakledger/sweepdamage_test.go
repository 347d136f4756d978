package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// flip changes a bit inside the first page of a file, whose size stays.
func flip(t *testing.T, name string) {
	t.Helper()
	content, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	content[60] ^= 4
	if err := os.WriteFile(name, content, 0o644); err != nil {
		t.Fatal(err)
	}
}

// wantTold runs the program and wants a code and texts on the standard error, in order.
func wantTold(t *testing.T, code int, args []string, texts ...string) {
	t.Helper()
	got, _, stderr := invoke(t, args...)
	rest := stderr
	for _, text := range texts {
		_, after, found := strings.Cut(rest, text)
		if !found {
			t.Errorf("%v printed %q, not %q", args, stderr, text)
		}
		rest = after
	}
	if got != code {
		t.Errorf("%v: exit code %d, want %d: %s", args, got, code, stderr)
	}
}

// TestSweepMendsDamageInside: damage that leaves the size of a file is met by whoever
// reads it, who is told what mends it; --resume finds and mends it, in the parts of its
// shard. Without --resume nothing is read that need not be.
func TestSweepMendsDamageInside(t *testing.T) {
	isolate(t)
	want := mustSweep(t, exitDone, drawnStudy, "--part-runs", "6")
	for _, table := range []string{"runs", "phases", "traces"} {
		t.Run(table, func(t *testing.T) {
			dir := mustSweep(t, exitDone, drawnStudy, "--part-runs", "6")
			file := filepath.Join(table, "part-00002.parquet")
			flip(t, filepath.Join(dir, file))
			damaged, err := os.ReadFile(filepath.Join(dir, file))
			if err != nil {
				t.Fatal(err)
			}
			sweep := []string{"sweep", drawnStudy, "--out", dir}
			wantTold(t, exitUsage, []string{"export", dir, "--table", table, "--out", filepath.Join(t.TempDir(), "x.csv")}, "part-00002.parquet", "soakledger sweep FILE --resume --out "+dir)
			shown := exitDone
			if table == "runs" { // whose figures every summary shows
				shown = exitUsage
			}
			wantTold(t, shown, append(sweep, "--shard", "0/2"), "2 of 2 parts are there already")
			wantTold(t, shown, append(sweep, "--shard", "1/2", "--resume"), dir+" is finished; 2 parts verified, and as written")
			if now, err := os.ReadFile(filepath.Join(dir, file)); err != nil || !bytes.Equal(now, damaged) {
				t.Fatalf("the part was touched (%v)", err)
			}
			if shown == exitDone {
				wantTold(t, exitDone, sweep, dir+" already holds this very study")
			} else {
				wantTold(t, exitUsage, sweep, "but it is damaged: ", "part-00002.parquet", "the same command with --resume computes again what is")
			}
			wantTold(t, exitDone, append(sweep, "--resume"), "part 2: "+filepath.ToSlash(file)+" is not as it was written (its SHA-256 differs): it is written again", "3 of 4 parts are there already")
			wantSameFiles(t, "mended", want, dir)
		})
	}
}

// TestSweepShardMends: a shard mends what it finds in its own parts.
func TestSweepShardMends(t *testing.T) {
	isolate(t)
	want := mustSweep(t, exitDone, drawnStudy, "--part-runs", "6")
	dir := mustSweep(t, exitDone, drawnStudy, "--part-runs", "6")
	flip(t, filepath.Join(dir, "traces", "part-00002.parquet"))
	flip(t, filepath.Join(dir, "traces", "part-00003.parquet"))
	wantTold(t, exitDone, []string{"sweep", drawnStudy, "--out", dir, "--shard", "0/2", "--resume"}, "part 2: ", "1 of 2 parts are there already")
	wantTold(t, exitDone, []string{"sweep", drawnStudy, "--out", dir, "--shard", "1/2", "--resume"}, "part 3: ", "1 of 2 parts are there already")
	wantSameFiles(t, "mended", want, dir)
}

// TestSweepVerifyingInterrupted leaves the dataset as it is.
func TestSweepVerifyingInterrupted(t *testing.T) {
	isolate(t)
	dir := mustSweep(t, exitDone, drawnStudy, "--part-runs", "6")
	before := mustSweep(t, exitDone, drawnStudy, "--part-runs", "6")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var stdout, stderr bytes.Buffer
	if code := run(ctx, []string{"sweep", drawnStudy, "--out", dir, "--resume"}, &stdout, &stderr); code != exitInterrupted || stderr.String() != "interrupted\n" {
		t.Errorf("exit code %d, printed %q", code, stderr.String())
	}
	wantSameFiles(t, "interrupted", before, dir)
}
