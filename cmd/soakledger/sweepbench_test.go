package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"soakledger/output"
)

// sustainedFile writes a study of as many two-hour designs as the benchmark has iterations.
func sustainedFile(b *testing.B) string {
	b.Helper()
	text, err := os.ReadFile("../../testdata/studies/sustained.yaml")
	if err != nil {
		b.Fatal(err)
	}
	const runs = "runs: 100000"
	if !bytes.Contains(text, []byte(runs)) {
		b.Fatalf("the study has no %s", runs)
	}
	file := filepath.Join(b.TempDir(), "sustained.yaml")
	if err := os.WriteFile(file, bytes.Replace(text, []byte(runs), fmt.Appendf(nil, "runs: %d", b.N), 1), 0o644); err != nil {
		b.Fatal(err)
	}
	return file
}

// BenchmarkSweepProgram sweeps two-hour designs, one an iteration, without traces through
// to the finished dataset: by the program with one and with two workers, and by two
// processes with one worker each, of which each writes half of one dataset. It reports the
// most memory that a process held.
func BenchmarkSweepProgram(b *testing.B) {
	isolate(b)
	for _, c := range []struct {
		name string
		each [][]string // flags of every process
	}{
		{"1worker", [][]string{{"--workers", "1"}}},
		{"2workers", [][]string{{"--workers", "2"}}},
		{"2processes", [][]string{{"--workers", "1", "--shard", "0/2"}, {"--workers", "1", "--shard", "1/2"}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			file, dir := sustainedFile(b), filepath.Join(b.TempDir(), "dataset")
			var all []*exec.Cmd
			for _, flags := range c.each {
				cmd, _, _ := command(b, append([]string{"sweep", file, "--out", dir, "--no-traces", "--quiet"}, flags...)...)
				all = append(all, cmd)
			}
			b.ResetTimer()
			for _, cmd := range all {
				if err := cmd.Start(); err != nil {
					b.Fatal(err)
				}
			}
			most := 0.0
			for _, cmd := range all {
				if err := cmd.Wait(); err != nil {
					b.Fatalf("%v: %s", err, cmd.Stderr)
				}
				most = max(most, residentMB(cmd.ProcessState))
			}
			b.StopTimer()
			if d, err := output.Open(dir); err != nil || d.Rows("runs") != int64(b.N) {
				b.Fatalf("%d designs: %v", b.N, err)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "runs/s")
			b.ReportMetric(most, "MB/process")
		})
	}
}

// BenchmarkSweepInProcess does the same with one worker within the test, for profiles; and
// with thinned traces.
func BenchmarkSweepInProcess(b *testing.B) {
	isolate(b)
	for _, traces := range []string{"none", thinned} {
		b.Run(traces, func(b *testing.B) {
			file, dir := sustainedFile(b), filepath.Join(b.TempDir(), "dataset")
			var stderr bytes.Buffer
			b.ResetTimer()
			args := []string{"sweep", file, "--out", dir, "--traces", traces, "--workers", "1", "--quiet"}
			if code := run(context.Background(), args, &stderr, &stderr); code != exitDone {
				b.Fatalf("exit code %d: %s", code, &stderr)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "runs/s")
		})
	}
}
