package sweep

import (
	"context"
	"fmt"

	"soakledger/sim/assemble"
	"soakledger/sim/record"
)

// Meter runs designs of a plan and keeps nothing of them but what they took, to tell
// what a study will take. It is not safe for concurrent use.
type Meter struct {
	w     *worker
	count counter
}

// Taken is what one design took.
type Taken struct {
	Outcome Outcome
	Reason  string           // of an outcome other than Finished
	Steps   int64            // of the integrator, those that were rejected too
	Rows    map[string]int64 // by the name of the table; as many of the trace as would be kept
	Traced  int64            // rows of the trace before it is thinned
}

// NewMeter returns the meter of a plan whose traces are chosen so. Every run has one.
func (p *Plan) NewMeter(t *Tables, traces record.TraceChoice) (*Meter, error) {
	traces.Every = min(traces.Every, 1)
	w, err := newWorker(p, t, Settings{Traces: traces}, new(assemble.Stock))
	if err != nil {
		return nil, err
	}
	return &Meter{w: w, count: counter{t.Runs.Index("reason"), t.Runs.Index("steps"), t.Runs.Index("rejected_steps"), Taken{}}}, nil
}

// Run runs design i, 0 <= i < Count(). The error is ctx's.
func (m *Meter) Run(ctx context.Context, i int) (Taken, error) {
	m.count.taken = Taken{Rows: map[string]int64{}}
	outcome, err := m.w.run(ctx, i, &m.count)
	if err != nil {
		return Taken{}, fmt.Errorf("sweep: measuring design %d: %w", i, err)
	}
	m.count.taken.Outcome = outcome
	if m.count.taken.Rows["traces"] > 0 {
		m.count.taken.Traced = int64(m.w.whole.Rows())
	}
	return m.count.taken, nil
}

// counter is a part that counts the rows of a run.
type counter struct {
	reason, steps, rejected int // columns of runs
	taken                   Taken
}

func (c *counter) Slice() (from, to int) { return 0, 0 }
func (c *counter) Skip(int) error        { return nil }
func (c *counter) Commit() error         { return nil }
func (c *counter) Abort() error          { return nil }

func (c *counter) Add(_ int, frames ...*record.Frame) error {
	for k, f := range frames {
		c.taken.Rows[f.Table().Name] = int64(f.Rows())
		if k == 0 && f.Rows() > 0 {
			c.taken.Reason = f.Texts(c.reason)[0]
			c.taken.Steps = f.Ints(c.steps)[0] + f.Ints(c.rejected)[0]
		}
	}
	return nil
}

// Spread returns up to n designs that are kept, spread over the plan, rising. What it
// returns follows from the plan and n alone.
func (p *Plan) Spread(n int) []int {
	var all []int
	n = min(n, p.count)
	for k := range n {
		from, to := spreadEnd(p.count, k, n), spreadEnd(p.count, k+1, n)
		middle := from + (to-from)/2
		if i := p.keptNear(middle, from, to); i >= 0 {
			all = append(all, i)
		}
	}
	return all
}

// spreadEnd returns where slice k of n of a plan begins.
func spreadEnd(count, k, n int) int { return int(int64(count) * int64(k) / int64(n)) }

// keptNear returns the first kept design from a place on, within bounds, going on from
// their beginning; -1 if there is none among the first thousand.
func (p *Plan) keptNear(middle, from, to int) int {
	for j := range min(to-from, 1000) {
		i := from + (middle-from+j)%(to-from)
		if fails, err := p.fails(p.valuesAt(i)); err == nil && fails < 0 {
			return i
		}
	}
	return -1
}
