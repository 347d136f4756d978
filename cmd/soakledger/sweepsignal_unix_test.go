//go:build unix

package main

import (
	"errors"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	clock "time"
)

// TestSweepSignals: the first SIGINT or SIGTERM finishes the parts in hand.
func TestSweepSignals(t *testing.T) {
	isolate(t)
	args := []string{"sweep", slowStudy(t, 400), "--part-runs", "2", "--workers", "2", "--no-traces", "--resume", "--out"}
	for _, signal := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		dir := filepath.Join(t.TempDir(), "dataset")
		cmd, stdout, stderr := command(t, append(args, dir)...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		waitFor(t, dir)
		if err := cmd.Process.Signal(signal); err != nil {
			t.Fatal(err)
		}
		wantLeft(t, dir, cmd.Wait(), stdout.String(), stderr.String())
	}
}

// TestSweepSecondSignal: a second signal ends the process at once; what is there can be
// resumed.
func TestSweepSecondSignal(t *testing.T) {
	isolate(t)
	args := []string{"sweep", slowStudy(t, 1200), "--part-runs", "4", "--workers", "1", "--no-traces", "--resume", "--out"}
	dir := filepath.Join(t.TempDir(), "dataset")
	cmd, _, stderr := command(t, append(args, dir)...)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, dir)
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	signals := 0
	for err := error(nil); err == nil; signals++ {
		select {
		case err = <-ended:
			if exit, ok := errors.AsType[*exec.ExitError](err); !ok || exit.Sys().(syscall.WaitStatus).Signal() != syscall.SIGINT {
				t.Fatalf("it ended with %v: %s", err, stderr)
			}
		default:
			_ = cmd.Process.Signal(syscall.SIGINT) // it may just have ended
			clock.Sleep(clock.Millisecond)
		}
	}
	if signals < 2 {
		t.Error("it ended before a second signal")
	}
	finished := parts(dir)
	if cmd, _, stderr := command(t, append(args, dir, "--quiet")...); cmd.Run() != nil {
		t.Fatal(stderr)
	}
	if parts(dir) != 3 || finished >= 3 {
		t.Errorf("%d parts before, %d after resuming", finished, parts(dir))
	}
}
