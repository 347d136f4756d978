package main

import (
	"bytes"
	"context"
	"errors"
	"regexp"
	"strings"
	"sync"
	"testing"
	clock "time"

	"soakledger/sim/sweep"
)

// TestProgressLines: where there is no terminal, a line now and then says how far it
// is.
func TestProgressLines(t *testing.T) {
	var stderr bytes.Buffer
	a := &app{stderr: &stderr}
	p := a.newProgress(8, false)
	p.started = p.started.Add(-2 * clock.Second)
	for range 3 {
		p.done(sweep.Finished)
	}
	if stderr.Len() > 0 {
		t.Errorf("too early: %q", stderr.String())
	}
	p.told = p.told.Add(-between)
	p.done(sweep.Left)
	if got := stderr.String(); !regexp.MustCompile(`^4 of 8 runs, 1 failed or left the range, 120/min, about 2s left\n$`).MatchString(got) {
		t.Errorf("told %q", got)
	}
	stderr.Reset()
	p.done(sweep.Dropped)
	if stderr.Len() > 0 || p.count() != 5 {
		t.Errorf("told %q of %d", stderr.String(), p.count())
	}
	if p.say("word"); stderr.String() != "word\n" {
		t.Errorf("said %q", stderr.String())
	}
	if !errors.Is(p.partly(), errPartly) {
		t.Error("a run that left the range makes no difference")
	}
	p.end()
}

// TestProgressOnTerminal: one line, written again and again, says how many runs are
// done and failed, the rate and the time left; it goes when all is done.
func TestProgressOnTerminal(t *testing.T) {
	var screen bytes.Buffer
	p := newProgress(&screen, 8, false, true)
	p.done(sweep.Finished)
	clock.Sleep(1100 * clock.Millisecond) // it is drawn now and then, and has a rate after a second
	p.done(sweep.Broken)
	clock.Sleep(250 * clock.Millisecond)
	p.done(sweep.Finished)
	lines := strings.Split(screen.String(), "\r")
	last := lines[len(lines)-1]
	if !regexp.MustCompile(`1 failed or left the range.*37%.*\(3/8, .*runs/(s|min)\).*\[1s:[0-9]+s\]`).MatchString(last) {
		t.Errorf("the line is %q", last)
	}
	p.say("word")
	if p.end(); !strings.Contains(screen.String(), "word\n") || strings.Contains(strings.TrimRight(screen.String(), "\r "), "\n\r") {
		t.Errorf("the screen is %q", screen.String())
	}
}

// TestProgressQuiet: nothing is told, and counting goes on from many workers.
func TestProgressQuiet(t *testing.T) {
	var stderr bytes.Buffer
	a := &app{stderr: &stderr}
	p := a.newProgress(1000, true)
	p.told = p.told.Add(-between)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 250 {
				p.done(sweep.Finished)
			}
		})
	}
	all.Wait()
	p.say("word")
	p.end()
	if stderr.Len() > 0 || p.count() != 1000 || p.partly() != nil {
		t.Errorf("told %q, counted %d", stderr.String(), p.count())
	}
}

// TestSweepSilent: without a terminal a short sweep prints its summary alone.
func TestSweepSilent(t *testing.T) {
	isolate(t)
	var stdout, stderr bytes.Buffer
	code := run(context.Background(), []string{"sweep", drawnStudy, "--no-traces", "--out", t.TempDir() + "/set"}, &stdout, &stderr)
	if code != exitDone || stderr.Len() > 0 || !strings.HasPrefix(stdout.String(), "Drawn designs of a small loop\n\n24 designs: 24 done\n") {
		t.Errorf("exit code %d, printed %q and %q", code, stdout.String(), stderr.String())
	}
}
