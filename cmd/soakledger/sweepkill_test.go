package main

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	clock "time"

	"soakledger/output"
)

// command prepares the program as a process of its own.
func command(t testing.TB, args ...string) (cmd *exec.Cmd, stdout, stderr *bytes.Buffer) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	stdout, stderr = new(bytes.Buffer), new(bytes.Buffer)
	return &exec.Cmd{Path: self, Args: append([]string{"soakledger"}, args...), // by its name TestMain knows what to be
		Stdout: stdout, Stderr: stderr, Env: os.Environ()}, stdout, stderr
}

// TestSweepKilled kills the program at random moments of a sweep. What is there then is
// whole, and the dataset in the end is the same as an undisturbed one.
func TestSweepKilled(t *testing.T) {
	isolate(t)
	args := []string{drawnStudy, "--part-runs", "1", "--workers", "2"}
	begun := clock.Now()
	want := filepath.Join(t.TempDir(), "want")
	if cmd, _, stderr := command(t, append([]string{"sweep", "--quiet", "--out", want}, args...)...); cmd.Run() != nil {
		t.Fatal(stderr)
	}
	undisturbed := clock.Since(begun)
	dir := filepath.Join(t.TempDir(), "dataset")
	kills, unfinished := 0, 0
	for kills < 4 {
		cmd, _, stderr := command(t, append([]string{"sweep", "--quiet", "--resume", "--out", dir}, args...)...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		clock.Sleep(clock.Duration((0.2 + 0.7*rand.Float64()) * float64(undisturbed)))
		_ = cmd.Process.Kill() // it may have ended by itself: Wait tells
		var exit *exec.ExitError
		switch err := cmd.Wait(); {
		case err == nil:
			wantSameFiles(t, "not killed in time", want, dir)
			dir = filepath.Join(t.TempDir(), "dataset")
		case errors.As(err, &exit) && exit.ExitCode() == -1:
			kills++
			if _, err := output.Open(dir); err != nil {
				unfinished++
			}
		default:
			t.Fatalf("%v: %s", err, stderr)
		}
	}
	if unfinished == 0 {
		t.Error("no kill came before the end")
	}
	if cmd, _, stderr := command(t, append([]string{"sweep", "--quiet", "--resume", "--out", dir}, args...)...); cmd.Run() != nil {
		t.Fatal(stderr)
	}
	wantSameFiles(t, "killed", want, dir)
}

// slowStudy is one whose parts take long enough to be interrupted: so many changes of
// load in each of twelve runs, a tenth under -short, which the race detector slows down.
func slowStudy(t *testing.T, changes int) string {
	t.Helper()
	if testing.Short() {
		changes /= 10
	}
	file := filepath.Join(t.TempDir(), "slow.yaml")
	text := `title: slow
ambient: 23 degC
chips: [{name: cpu, power: 200 W}]
loop:
  - {part: pump, flow: 4 L/min}
  - {part: block}
  - {part: radiator, name: front, conductance: 20 W/K}
  - {part: reservoir, volume: 150 mL}
work: {on: 4 s, off: 3 s, repeat: CHANGES}
study: {vary: [{path: ambient, from: 10 degC, to: 21 degC, count: 12}]}
`
	if err := os.WriteFile(file, []byte(strings.Replace(text, "CHANGES", strconv.Itoa(changes), 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// waitFor waits until a part of the study is there. The bound is there for a study that
// never writes one, not to measure anything.
func waitFor(t *testing.T, dir string) {
	t.Helper()
	for begun := clock.Now(); parts(dir) == 0; clock.Sleep(clock.Millisecond) {
		if clock.Since(begun) > 15*clock.Minute {
			t.Fatal("no part in a quarter of an hour")
		}
	}
}

// wantLeft checks what an interrupted process has said and left.
func wantLeft(t *testing.T, dir string, err error, stdout, stderr string) {
	t.Helper()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != exitInterrupted || stdout != "" {
		t.Fatalf("it ended with %v, printed %q and %q", err, stdout, stderr)
	}
	for _, want := range []string{"finishing the parts in hand; a second Ctrl-C ends at once\n", "; what is finished is in " + dir + ", and the same command with --resume goes on\n", "interrupted\n"} {
		if !strings.Contains(stderr, want) {
			t.Errorf("printed %q, not %q", stderr, want)
		}
	}
	entries, err := os.ReadDir(filepath.Join(dir, ".tmp"))
	if err != nil || len(entries) != 1 || entries[0].Name() != "begun.json" {
		t.Errorf("left in .tmp are %v (%v)", entries, err)
	}
}
