package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	clock "time"

	"github.com/schollz/progressbar/v3"
	tty "golang.org/x/term"

	"soakledger/sim/sweep"
)

// progress tells how far a sweep is: on a terminal a line that moves, elsewhere a line
// now and then.
type progress struct {
	mu      sync.Mutex
	w       io.Writer
	bar     *progressbar.ProgressBar // nil elsewhere
	quiet   bool
	total   int
	by      [sweep.Dropped + 1]int // by outcome
	started clock.Time
	told    clock.Time
}

// between is the time between lines where there is no terminal.
const between = 10 * clock.Second

func (a *app) newProgress(total int, quiet bool) *progress {
	f, ok := a.stderr.(*os.File)
	return newProgress(a.stderr, total, quiet, ok && tty.IsTerminal(int(f.Fd())))
}

func newProgress(w io.Writer, total int, quiet, terminal bool) *progress {
	now := clock.Now()
	p := &progress{w: w, quiet: quiet, total: total, started: now, told: now}
	if terminal && !quiet && total > 0 {
		p.bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(w), progressbar.OptionShowCount(), progressbar.OptionShowIts(), progressbar.OptionSetItsString("runs"),
			progressbar.OptionSetPredictTime(true), progressbar.OptionThrottle(200*clock.Millisecond), progressbar.OptionClearOnFinish(), progressbar.OptionFullWidth(), progressbar.OptionSetDescription(p.trouble()))
	}
	return p
}

// done counts a run.
func (p *progress) done(o sweep.Outcome) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.by[o]++
	switch {
	case p.quiet:
	case p.bar != nil:
		_ = p.bar.Add(1)                          // a terminal that is gone is no reason to stop
		if o == sweep.Broken || o == sweep.Left { // else it would be drawn for every run
			p.bar.Describe(p.trouble())
		}
	case clock.Since(p.told) >= between:
		p.told = clock.Now()
		fmt.Fprintln(p.w, p.line())
	}
}

// say writes a line between those of the progress.
func (p *progress) say(text string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.quiet {
		return
	}
	if p.bar != nil {
		_ = p.bar.Clear()
	}
	fmt.Fprintln(p.w, text)
}

// trouble says how many runs did not end as planned.
func (p *progress) trouble() string {
	if bad := p.by[sweep.Broken] + p.by[sweep.Left]; bad > 0 {
		return fmt.Sprintf("%d failed or left the range", bad)
	}
	return "none failed"
}

// pace writes a number of runs a second.
func pace(rate float64) string {
	if rate < 3 {
		return fmt.Sprintf("%.0f/min", 60*rate)
	}
	return fmt.Sprintf("%.0f/s", rate)
}

// line says how far it is.
func (p *progress) line() string {
	n := p.counted()
	rate := float64(n) / clock.Since(p.started).Seconds()
	left := clock.Duration(float64(p.total-n)/rate*float64(clock.Second)) + clock.Second/2
	return fmt.Sprintf("%d of %d runs, %s, %s, about %s left", n, p.total, p.trouble(), pace(rate), left.Truncate(clock.Second))
}

// counted returns how many numbers are done.
func (p *progress) counted() int {
	n := 0
	for _, k := range p.by {
		n += k
	}
	return n
}

// count returns the same to others.
func (p *progress) count() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.counted()
}

// end takes the moving line away.
func (p *progress) end() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}

// partly returns errPartly if a run did not end as planned.
func (p *progress) partly() error {
	if p.by[sweep.Broken]+p.by[sweep.Left] > 0 {
		return errPartly
	}
	return nil
}
