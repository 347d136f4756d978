package sweep

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/record"
)

// Sink is where the runs of a study go, part by part: output.Study is one. Parts may be
// written at once, each by one goroutine.
type Sink[P Part] interface {
	// Missing returns which of the given parts are not there yet; of none given, none.
	Missing(parts ...int) ([]int, error)
	// Part begins to write a part.
	Part(part int) (P, error)
}

// Part is a part while it is written. Runs come in rising order, each of its slice once.
type Part interface {
	Slice() (from, to int)
	Add(run int, frames ...*record.Frame) error
	Skip(run int) error
	Commit() error
	Abort() error
}

// Settings say how a plan is run.
type Settings struct {
	Workers int // at once, 1 or more
	Traces  record.TraceChoice
	Parts   []int // to be written, those of a shard for instance, in any order
	// Done is called after every run, from any worker; nil for nobody.
	Done func(Outcome)
}

// Outcome is what became of one number of the plan.
type Outcome int

const (
	Finished Outcome = iota // to its end
	Left                    // out of the model's range; the row says why
	Broken                  // it could not be run to its end; the row says why
	Dropped                 // by a condition of the study
)

// Run runs the designs of the parts that a sink misses, on several workers. What a
// design gives depends on the plan and its number alone, so the parts do not depend on
// how many workers there are, nor on what was there before. A design that cannot be
// built or run, or whose ledger does not close, is a row without figures that says why.
//
// When ctx is done, every worker finishes the part in hand and takes no other; Run then
// returns ctx's error if parts are left. Parts that are there stay: running again goes
// on. Any other error is the sink's.
func Run[P Part](ctx context.Context, p *Plan, t *Tables, sink Sink[P], set Settings) error {
	var taken atomic.Int64
	stock := new(assemble.Stock)
	group, within := errgroup.WithContext(context.WithoutCancel(ctx))
	for range min(max(1, set.Workers), len(set.Parts)) {
		group.Go(func() error {
			w, err := newWorker(p, t, set, stock)
			if err != nil {
				return err
			}
			for ctx.Err() == nil && within.Err() == nil {
				i := int(taken.Add(1)) - 1
				if i >= len(set.Parts) {
					return nil
				}
				if err := writePart(within, w, sink, set.Parts[i]); err != nil {
					return err
				}
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	if ctx.Err() != nil && int(taken.Load()) < len(set.Parts) {
		return fmt.Errorf("running the study: %w", ctx.Err())
	}
	return nil
}

// writePart runs the designs of one part, unless it is there already.
func writePart[P Part](ctx context.Context, w *worker, sink Sink[P], number int) (err error) {
	missing, err := sink.Missing(number)
	if err != nil || len(missing) == 0 {
		return err
	}
	part, err := sink.Part(number)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, part.Abort())
		}
	}()
	from, to := part.Slice()
	for i := from; i < to; i++ {
		outcome, err := w.run(ctx, i, part)
		if err != nil {
			return fmt.Errorf("run %d: %w", i, err)
		}
		if w.set.Done != nil {
			w.set.Done(outcome)
		}
	}
	return part.Commit()
}

// worker runs designs one after the other, in memory of its own.
type worker struct {
	plan   *Plan
	tables *Tables
	set    Settings
	stock  *assemble.Stock // shared by all workers
	memory sim.Memory
	frames [3]*record.Frame // runs, phases, events, by the study's tables
	axes   *record.Frame    // one row of the columns that they have in runs
	rest   record.Table     // runs without these columns
	whole  *record.Frame    // a trace with all columns
	trace  *record.Frame    // what is kept of it
	filter *record.TraceFilter
	given  []*record.Frame // scratch
}

func newWorker(p *Plan, t *Tables, set Settings, stock *assemble.Stock) (*worker, error) {
	w := &worker{plan: p, tables: t, set: set, stock: stock}
	for k, table := range [3]record.Table{t.Runs, t.Phases, t.Events} {
		w.frames[k] = record.NewFrame(table)
	}
	w.axes = record.NewFrame(record.Table{Name: "axes", Columns: t.Axes})
	w.rest = record.Table{Name: t.Runs.Name, Columns: slices.Delete(slices.Clone(t.Runs.Columns), 1, 1+len(t.Axes))}
	if len(t.Traces.Columns) == 0 {
		return w, nil
	}
	var err error
	if w.filter, err = record.NewTraceFilter(set.Traces, t.Whole); err != nil {
		return nil, fmt.Errorf("sweep: choosing traces: %w", err)
	}
	w.whole, w.trace = record.NewFrame(t.Whole), record.NewFrame(w.filter.Table())
	return w, nil
}

// run runs design i and gives its rows to a part.
func (w *worker) run(ctx context.Context, i int, part Part) (Outcome, error) {
	if ctx.Err() != nil { // another worker has failed
		return Broken, context.Cause(ctx)
	}
	d, err := w.plan.Design(i)
	if err == nil && !d.Kept {
		return Dropped, part.Skip(i)
	}
	var frames []*record.Frame
	var outcome Outcome
	if err == nil {
		frames, outcome, err = w.simulate(ctx, &d)
	}
	if err != nil && ctx.Err() != nil {
		return Broken, err
	}
	if err != nil {
		outcome = Broken
		if frames, err = w.failed(&d, err); err != nil {
			return outcome, err
		}
	}
	return outcome, part.Add(i, frames...)
}

// simulate runs a design and returns its rows, valid until the next run. What goes
// wrong with one design, were it a fault of the program, is an error and no reason to
// lose the others.
func (w *worker) simulate(ctx context.Context, d *Design) (frames []*record.Frame, outcome Outcome, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("a fault of the program, please report it with the scenario: %v", fault)
		}
	}()
	traced := w.filter != nil && w.set.Traces.Has(int64(d.Run))
	s, err := sim.New(d.Scenario, sim.Settings{RunID: d.Run, NoTrace: !traced, Stock: w.stock, Memory: &w.memory})
	if err != nil {
		return nil, Broken, err
	}
	r, err := s.Run(ctx)
	if r == nil {
		return nil, Broken, err
	}
	frames, err = w.rows(d, r)
	return frames, outcomeOf(r.Status), err
}

// outcomeOf returns what the status of a run counts as.
func outcomeOf(s sim.Status) Outcome {
	switch s {
	case sim.Done:
		return Finished
	case sim.LeftRange:
		return Left
	}
	return Broken
}

// rows brings a result into the study's tables, valid until the next run. An error is
// about the rows: a number that is none, a column for which there is no place.
func (w *worker) rows(d *Design, r *sim.Result) ([]*record.Frame, error) {
	given, err := r.Frames()
	if err != nil {
		return nil, err
	}
	all := w.given[:0]
	for k, f := range w.frames {
		f.Reset()
		if k == 0 {
			err = w.describe(f, d, given[0])
		} else {
			err = conform(f, given[k])
		}
		if err == nil {
			err = f.Check()
		}
		if err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	if r.Trace != nil {
		w.whole.Reset()
		w.trace.Reset()
		if err := conform(w.whole, r.Trace); err != nil {
			return nil, err
		}
		if err := w.filter.Append(w.trace, w.whole); err != nil {
			return nil, fmt.Errorf("choosing from the trace: %w", err)
		}
		all = append(all, w.trace)
	}
	w.given = all
	return all, nil
}

// describe writes the row of a run, with the values of its axes behind its number.
func (w *worker) describe(f *record.Frame, d *Design, src *record.Frame) error {
	axes := len(w.tables.Axes)
	if err := holds(w.rest, src); err != nil {
		return err
	}
	w.axes.Reset()
	row := w.axes.Begin()
	w.plan.Put(row, w.tables.Axes, d.Values)
	if err := row.End(); err != nil {
		return fmt.Errorf("writing the values of the axes: %w", err)
	}
	for k, c := range f.Table().Columns {
		switch i := src.Col(c.Name); {
		case k >= 1 && k <= axes:
			copyColumn(f, k, w.axes, k-1)
		case i < 0:
			f.AppendNulls(k, 1)
		default:
			copyColumn(f, k, src, i)
		}
	}
	return nil
}

// failed returns the row of a design that could not be run: what was to vary, and why.
func (w *worker) failed(d *Design, why error) ([]*record.Frame, error) {
	f := w.frames[0]
	f.Reset()
	row := f.Begin()
	for k, c := range f.Table().Columns {
		switch {
		case c.Name == runID:
			row.SetIntAt(k, int64(d.Run))
		case c.Name == "status":
			row.SetTextAt(k, string(sim.Failed))
		case c.Name == "reason":
			row.SetTextAt(k, plain(why))
		case k > len(w.tables.Axes):
			row.SetNullAt(k)
		}
	}
	w.plan.Put(row, w.tables.Axes, d.Values)
	if err := row.End(); err != nil {
		return nil, fmt.Errorf("writing why it failed (%w): %w", why, err)
	}
	return []*record.Frame{f}, nil
}

// plain writes an error in one line.
func plain(err error) string {
	return strings.Join(strings.Split(err.Error(), "\n"), "; ")
}
