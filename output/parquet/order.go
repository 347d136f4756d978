package parquet

import (
	"fmt"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/record"
)

// tracesTable is the table whose files claim to be sorted by run and time.
const (
	tracesTable = "traces"
	timeColumn  = "time_s"
)

// order checks what the file's sorting metadata claims; the Parquet library
// takes the claim on trust. The zero order claims nothing.
type order struct {
	sorted    bool
	run, time int // columns
	last      int64
	any       bool // last holds the run of the row before
}

func orderOf(t record.Table) order {
	run, time := t.Index(runColumn), t.Index(timeColumn)
	sorted := t.Name == tracesTable && run >= 0 && time >= 0 &&
		t.Columns[run].Kind == record.Int && !t.Columns[run].Nullable &&
		t.Columns[time].Kind == record.Float && !t.Columns[time].Nullable
	return order{sorted: sorted, run: run, time: time}
}

func (o *order) reset() { o.any = false }

func (o *order) claim() []pq.SortingColumn {
	if !o.sorted {
		return nil
	}
	return []pq.SortingColumn{pq.Ascending(runColumn), pq.Ascending(timeColumn)}
}

// check reports a frame whose runs do not rise, or that begins with the run
// that the frame before ended with, or whose time stands still or runs back
// within a run.
func (o *order) check(f *record.Frame) error {
	if !o.sorted || f.Rows() == 0 {
		return nil
	}
	runs, times := f.Ints(o.run), f.Floats(o.time)
	if o.any && runs[0] == o.last {
		return fmt.Errorf("run %d is cut in two: a frame must hold whole runs", o.last)
	}
	if o.any && runs[0] < o.last {
		return fmt.Errorf("run %d comes after run %d", runs[0], o.last)
	}
	for i := 1; i < len(runs); i++ {
		switch {
		case runs[i] < runs[i-1]:
			return fmt.Errorf("row %d: run %d comes after run %d", i, runs[i], runs[i-1])
		case runs[i] == runs[i-1] && times[i] <= times[i-1]:
			return fmt.Errorf("row %d: time %g s of run %d comes after %g s", i, times[i], runs[i], times[i-1])
		}
	}
	o.last, o.any = runs[len(runs)-1], true
	return nil
}
