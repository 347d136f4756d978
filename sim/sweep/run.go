package sweep

import (
	"context"
	"errors"
	"fmt"
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
	// Missing returns which of the given parts are not there yet.
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
// how many workers there are, nor on what was there before.
//
// When ctx is done, every worker finishes the part in hand and takes no other; Run then
// returns ctx's error. Parts that are there stay: running again goes on. Any other error
// is the sink's, or a ledger's that does not close: no figure of such a run can be
// trusted, and what does it would do it again.
func Run[P Part](ctx context.Context, p *Plan, t *Tables, sink Sink[P], set Settings) error {
	var next atomic.Int64
	stock := new(assemble.Stock)
	group, within := errgroup.WithContext(context.WithoutCancel(ctx))
	for range max(1, set.Workers) {
		group.Go(func() error {
			w, err := newWorker(p, t, set, stock)
			if err != nil {
				return err
			}
			for ctx.Err() == nil && within.Err() == nil {
				i := int(next.Add(1)) - 1
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
	if ctx.Err() != nil {
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
		if ctx.Err() != nil { // another worker has failed
			return context.Cause(ctx)
		}
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
	stock  *assemble.Stock
	frames [3]*record.Frame // runs, phases, events, by the study's tables
	whole  *record.Frame    // a trace with all columns
	trace  *record.Frame    // what is kept of it
	filter *record.TraceFilter
}

func newWorker(p *Plan, t *Tables, set Settings, stock *assemble.Stock) (*worker, error) {
	w := &worker{plan: p, tables: t, set: set, stock: stock}
	for k, table := range [3]record.Table{t.Runs, t.Phases, t.Events} {
		w.frames[k] = record.NewFrame(table)
	}
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
	d, err := w.plan.Design(i)
	switch {
	case err != nil:
		return Broken, w.failed(&d, err, part)
	case !d.Kept:
		return Dropped, part.Skip(i)
	}
	traced := w.filter != nil && w.set.Traces.Has(int64(i))
	s, err := sim.New(d.Scenario, sim.Settings{RunID: i, NoTrace: !traced, Stock: w.stock})
	if err != nil {
		return Broken, w.failed(&d, err, part)
	}
	r, err := s.Run(ctx)
	if r == nil {
		return Broken, err // a ledger that does not close
	}
	frames, err := w.rows(&d, r, traced)
	if err != nil {
		return Broken, err
	}
	return outcomeOf(r.Status), part.Add(i, frames...)
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

// rows brings a result into the study's tables, valid until the next run.
func (w *worker) rows(d *Design, r *sim.Result, traced bool) ([]*record.Frame, error) {
	given, err := r.Frames()
	if err != nil {
		return nil, err
	}
	var all []*record.Frame
	for k, f := range w.frames {
		f.Reset()
		src := given[k]
		if k > 0 {
			conform(f, src)
		} else if err := w.describe(f, d, src); err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	if !traced {
		return all, nil
	}
	w.whole.Reset()
	w.trace.Reset()
	conform(w.whole, r.Trace)
	if err := w.filter.Append(w.trace, w.whole); err != nil {
		return nil, fmt.Errorf("choosing from the trace: %w", err)
	}
	return append(all, w.trace), nil
}

// describe writes the row of a run with the values of its axes.
func (w *worker) describe(f *record.Frame, d *Design, src *record.Frame) error {
	values := record.NewFrame(record.Table{Name: "axes", Columns: w.tables.Axes})
	row := values.Begin()
	w.plan.Put(row, w.tables.Axes, d.Values)
	if err := row.End(); err != nil {
		return fmt.Errorf("writing the values of the axes: %w", err)
	}
	for k, c := range f.Table().Columns {
		switch from, i := src, src.Col(c.Name); {
		case k >= 1 && k <= len(w.tables.Axes):
			copyColumn(f, k, values, k-1, c.Kind)
		case i < 0:
			f.AppendNulls(k, 1)
		default:
			copyColumn(f, k, from, i, c.Kind)
		}
	}
	return nil
}

// failed writes the row of a design that could not be run.
func (w *worker) failed(d *Design, why error, part Part) error {
	src := record.NewFrame(record.Table{Name: "runs", Columns: []record.Column{
		{Name: runID, Kind: record.Int}, {Name: "status", Kind: record.Text}, {Name: "reason", Kind: record.Text},
	}})
	src.AppendInts(0, []int64{int64(d.Run)})
	src.AppendTexts(1, []string{string(sim.Failed)})
	src.AppendTexts(2, []string{plain(why)})
	f := w.frames[0]
	f.Reset()
	if err := w.describe(f, d, src); err != nil {
		return err
	}
	return part.Add(d.Run, f)
}

// plain writes an error in one line.
func plain(err error) string {
	return strings.Join(strings.Split(err.Error(), "\n"), "; ")
}
