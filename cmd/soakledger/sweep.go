package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	clock "time"

	"github.com/spf13/cobra"

	"soakledger/output"
	"soakledger/scenarios"
	"soakledger/sim/sweep"
)

// sweepFlags are the settings of the sweep command.
type sweepFlags struct {
	set                    []string
	out, shard, traces     string
	workers, partRuns      int
	resume, replace, quiet bool
	noTraces               bool
}

// thinned is the traces that a study keeps unless something else is asked for.
const thinned = "thinned"

// sweepCommand runs the study of a scenario.
func (a *app) sweepCommand() *cobra.Command {
	var f sweepFlags
	cmd := &cobra.Command{
		Use:   "sweep FILE",
		Short: "Run every design of the study in a scenario",
		Long: "sweep runs every design of the study in a scenario file, several at once, and\nwrites one dataset: a row a run, its phases, its events and, unless left out, its trace.\n" +
			"The dataset has the same bytes with any number of workers and shards. Ctrl-C finishes\nthe parts in hand, a second one ends at once; --resume goes on from there.",
		Example: "  soakledger sweep example:thickness_and_speed\n  soakledger sweep my.yaml --workers 8 --no-traces\n  soakledger sweep my.yaml --out shared/study --shard 2/16",
		Args:    oneArg("scenario file", "my.yaml"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.sweep(cmd.Context(), args[0], f) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&f.set, "set", nil, "change one value of the scenario: PATH=VALUE, repeatable")
	flags.StringVar(&f.out, "out", "", "dataset folder (default NAME-HASH)")
	flags.IntVar(&f.workers, "workers", runtime.GOMAXPROCS(0), "how many runs at once")
	flags.StringVar(&f.shard, "shard", "", "write the parts of one shard only: I/N, I from 0 (default: what a Slurm array task or a Kubernetes indexed job says, else all)")
	flags.BoolVar(&f.resume, "resume", false, "go on with a dataset, finished or not: verify the files that are there and compute again what is damaged")
	flags.BoolVar(&f.replace, "replace", false, "replace a dataset that is already there")
	flags.StringVar(&f.traces, "traces", thinned, "which traces to keep: none, all, thinned, or in words, e.g. \"every 10, columns coolant_c *_die_c, interval 5 s, within 0.05 K\"")
	flags.BoolVar(&f.noTraces, "no-traces", false, "keep no traces, the same as --traces none")
	flags.IntVar(&f.partRuns, "part-runs", 0, "runs in a part (default: those of the study in the folder, else as many as take some seconds); what a process was writing when it died is computed again")
	flags.BoolVar(&f.quiet, "quiet", false, "print nothing but errors")
	return cmd
}

// sweep is the whole path: file, plan, runs, dataset, summary.
func (a *app) sweep(ctx context.Context, file string, f sweepFlags) error {
	doc, err := load(file, f.set)
	if err != nil {
		return err
	}
	st, err := newSweep(ctx, doc, file, f)
	if err != nil {
		return err
	}
	a.tell(f, st.shard.why)
	for _, text := range overruled(doc, f.set) {
		a.tell(f, text)
	}
	if err := st.elsewhere(f); err != nil {
		return err
	}
	study, err := output.CreateStudy(st.dir, st.manifest(doc, f), st.tables.All(), output.StudyOptions{Resume: f.resume || st.shard.count > 1, Replace: f.replace})
	if there := (*output.StudyExistsError)(nil); errors.As(err, &there) && there.Same && there.Complete {
		return a.sweptBefore(st.dir, f)
	}
	if err != nil {
		return cannotSweep(st.dir, err)
	}
	told := 0
	tellRepairs := func() {
		all := study.Repairs()
		for _, repair := range all[told:] {
			fmt.Fprintln(a.stderr, repair)
		}
		told = len(all)
	}
	defer tellRepairs()
	if err := a.verify(ctx, st, study, f); err != nil {
		return err
	}
	tellRepairs()
	return a.runStudy(ctx, st, study, f)
}

// sweptBefore shows a finished dataset of the same study.
func (a *app) sweptBefore(dir string, f sweepFlags) error {
	s, err := summaryOf(dir)
	if damaged := (*output.DamagedError)(nil); errors.As(err, &damaged) {
		return usage("%s holds this very study, but it is damaged: %w; the same command with --resume computes again what is", dir, damaged.Err)
	}
	if err != nil {
		return err
	}
	a.tell(f, fmt.Sprintf("%s already holds this very study; shown from there (--replace computes it again)", dir))
	return a.summarised(s, f.quiet)
}

// verify reads what is there of the parts of this process from end to end, if it was told
// to resume, or where they have been finished before and there is damage. What is damaged
// is missing then.
func (a *app) verify(ctx context.Context, st *studySweep, study *output.Study, f sweepFlags) error {
	if len(st.parts) == 0 || !f.resume && (!study.WasFinished() || study.Complete()) {
		return nil
	}
	told := clock.Now()
	for i, k := range st.parts {
		if ctx.Err() != nil {
			return fmt.Errorf("verifying the dataset: %w", ctx.Err())
		}
		if clock.Since(told) >= between {
			a.tell(f, fmt.Sprintf("%d of %d parts verified", i, len(st.parts)))
			told = clock.Now()
		}
		if _, err := study.Verify(k); err != nil {
			return err
		}
	}
	if study.Complete() {
		a.tell(f, fmt.Sprintf("%s is finished; %s verified, and as written", st.dir, several(len(st.parts), "part")))
	}
	return nil
}

// runStudy runs what is missing of the parts of this process and finishes the dataset
// if no others are left.
func (a *app) runStudy(ctx context.Context, st *studySweep, study *output.Study, f sweepFlags) error {
	missing, err := study.Missing(st.parts...)
	if err != nil {
		return err
	}
	switch there := len(st.parts) - len(missing); {
	case len(st.parts) == 0:
		a.tell(f, fmt.Sprintf("no part falls to shard %d/%d: the study has %s", st.shard.index, st.shard.count, several(st.all, "part")))
	case there > 0 && !(study.Complete() && f.resume): // then it was told
		a.tell(f, fmt.Sprintf("%d of %d parts are there already", there, len(st.parts)))
	}
	p := a.newProgress(st.runsIn(missing), f.quiet)
	defer context.AfterFunc(ctx, func() { p.say("finishing the parts in hand; a second Ctrl-C ends at once") })()
	err = sweep.Run(ctx, st.plan, st.tables, study, sweep.Settings{Workers: f.workers, Traces: st.traces, Parts: missing, Done: p.done})
	p.end()
	if err != nil && ctx.Err() != nil {
		a.tell(f, fmt.Sprintf("stopped after %d runs; what is finished is in %s, and the same command with --resume goes on", p.count(), st.dir))
	}
	if err != nil {
		return err
	}
	err = study.Finish()
	if left := (*output.MissingError)(nil); errors.As(err, &left) {
		if !f.quiet {
			fmt.Fprintf(a.stdout, "%s of this shard written; %s of other shards are still to come, and whichever is last completes %s\n", several(len(missing), "part"), several(len(left.Parts), "part"), st.dir)
		}
		return p.partly()
	}
	if err != nil {
		return err
	}
	err = a.swept(st.dir, f.quiet)
	if st.shard.count > 1 && (err == nil || errors.Is(err, errPartly)) {
		return p.partly() // of its own runs: a task that is tried again has none left
	}
	return err
}

// swept ends a sweep whose dataset is complete: with its summary, and errPartly if not
// every run went to its end.
func (a *app) swept(dir string, quiet bool) error {
	s, err := summaryOf(dir)
	if err != nil {
		return err
	}
	return a.summarised(s, quiet)
}

// summarised prints a summary and returns errPartly if not every run went to its end.
func (a *app) summarised(s *summary, quiet bool) error {
	if !quiet {
		s.write(a.stdout)
	}
	return s.ended()
}

// overruled tells of values that are set although the study gives every design its own.
func overruled(doc *scenarios.Document, set []string) (texts []string) {
	s := doc.Scenario
	if s.Study.Combine == "one at a time" {
		return nil // the others are moved from there
	}
	for _, one := range set {
		path, _, _ := strings.Cut(one, "=")
		f, err := s.Varied(strings.TrimSpace(path))
		if err != nil {
			continue
		}
		for i := range s.Study.Vary {
			if varied, err := s.Varied(s.Study.Vary[i].Path); err == nil && varied.Path == f.Path {
				texts = append(texts, fmt.Sprintf("--set %s changes no design: the study varies %s", one, f.Path))
			}
		}
	}
	return texts
}

// tell writes a line for whoever sits in front of it.
func (a *app) tell(f sweepFlags, text string) {
	if !f.quiet && text != "" {
		fmt.Fprintln(a.stderr, text)
	}
}

// several writes how many there are of something.
func several(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// elsewhere refuses to resume in a folder that is not there while there is one of
// another study of the same file, unfinished: the file has probably been changed.
func (st *studySweep) elsewhere(f sweepFlags) error {
	if !f.resume || f.out != "" {
		return nil
	}
	if _, err := os.Stat(st.dir); err == nil {
		return nil
	}
	const hash = "[0-9a-f][0-9a-f][0-9a-f][0-9a-f][0-9a-f][0-9a-f][0-9a-f][0-9a-f]"
	others, err := filepath.Glob(st.name + "-" + hash + "/.tmp/begun.json")
	if err != nil || len(others) == 0 {
		return nil // there is nothing to resume, so it is begun
	}
	dir := filepath.Dir(filepath.Dir(others[0]))
	return usage("there is no %s to resume, but an unfinished %s of another study of that name: --resume --out %s says what has changed; without --resume the study is begun anew", st.dir, dir, dir)
}

// planned turns the problems of a study into errors with their place in the file.
func planned(doc *scenarios.Document, err error) error {
	var problems sweep.Problems
	if !errors.As(err, &problems) {
		return placed(doc, err)
	}
	var all scenarios.Errors
	for _, p := range problems {
		all = append(all, doc.ErrorAt(p.Path, p.Text))
	}
	return usageError{all}
}

// cannotSweep tells what the caller can mend.
func cannotSweep(dir string, err error) error {
	var exists *output.StudyExistsError
	var changed *output.ChangedError
	switch {
	case errors.As(err, &exists), errors.As(err, &changed), errors.Is(err, output.ErrForeign):
		return usageError{err}
	}
	return cannotWrite(dir, err)
}
