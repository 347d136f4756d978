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
	dir := ""
	for attempts := 0; ; attempts++ {
		dir = filepath.Join(t.TempDir(), "dataset")
		err := interruptedTwice(t, dir, append(args, dir))
		if exit, ok := errors.AsType[*exec.ExitError](err); ok && exit.Sys().(syscall.WaitStatus).Signal() == syscall.SIGINT {
			break
		}
		if attempts == 5 { // between two parts the first signal is enough
			t.Fatalf("it ended with %v", err)
		}
	}
	finished := parts(dir)
	if cmd, _, stderr := command(t, append(args, dir, "--quiet")...); cmd.Run() != nil {
		t.Fatal(stderr)
	}
	if parts(dir) != 3 || finished >= 3 {
		t.Errorf("%d parts before, %d after resuming", finished, parts(dir))
	}
}

// interruptedTwice sends a process SIGINT until it ends, and returns how it did.
func interruptedTwice(t *testing.T, dir string, args []string) error {
	t.Helper()
	cmd, _, _ := command(t, args...)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, dir)
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	for {
		select {
		case err := <-ended:
			return err
		case <-clock.After(5 * clock.Millisecond):
			_ = cmd.Process.Signal(syscall.SIGINT) // it may just have ended
		}
	}
}
