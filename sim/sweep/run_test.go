package sweep

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"soakledger/sim/record"
)

// kept is a sink that keeps what it is given, in parts of some runs each.
type kept struct {
	size, runs int
	there      map[int]bool                      // parts that are there before
	fails      func(what string, part int) error // what goes wrong; nil for nothing
	begun      func(part int)

	mu   sync.Mutex
	rows map[int]string // of every run, by its number
	ends map[int]string // of parts
}

func newKept(p *Plan, size int) *kept {
	return &kept{size: size, runs: p.Count(), rows: map[int]string{}, ends: map[int]string{}}
}

func (k *kept) fail(what string, part int) error {
	if k.fails == nil {
		return nil
	}
	return k.fails(what, part)
}

func (k *kept) Missing(parts ...int) ([]int, error) {
	var missing []int
	for _, part := range parts {
		if !k.there[part] {
			missing = append(missing, part)
		}
	}
	for _, part := range parts {
		if err := k.fail("missing", part); err != nil {
			return missing, err
		}
	}
	return missing, nil
}

func (k *kept) Part(part int) (*keptPart, error) {
	if k.begun != nil {
		k.begun(part)
	}
	return &keptPart{of: k, part: part, rows: map[int]string{}}, k.fail("part", part)
}

type keptPart struct {
	of   *kept
	part int
	rows map[int]string
}

func (p *keptPart) Slice() (from, to int) {
	return p.part * p.of.size, min((p.part+1)*p.of.size, p.of.runs)
}

func (p *keptPart) Add(run int, frames ...*record.Frame) error {
	var b strings.Builder
	for _, f := range frames {
		fmt.Fprintf(&b, "%s %d;", f.Table().Name, f.Rows())
		for k, c := range f.Table().Columns {
			if f.Table().Name == "runs" {
				fmt.Fprintf(&b, " %s=%s", c.Name, cellOf(f, k))
			}
		}
		if err := f.Check(); err != nil {
			return err
		}
	}
	p.rows[run] = b.String()
	return p.of.fail("add", p.part)
}

func (p *keptPart) Skip(run int) error {
	p.rows[run] = "dropped"
	return nil
}

func (p *keptPart) Commit() error { return p.end("committed") }
func (p *keptPart) Abort() error  { return p.end("aborted") }

func (p *keptPart) end(how string) error {
	p.of.mu.Lock()
	defer p.of.mu.Unlock()
	p.of.ends[p.part] += how
	if how == "committed" {
		for run, row := range p.rows {
			p.of.rows[run] += row
		}
		return p.of.fail("commit", p.part)
	}
	return nil
}

func cellOf(f *record.Frame, col int) string {
	switch {
	case f.IsNull(col, 0):
		return "null"
	case f.Table().Columns[col].Kind == record.Int:
		return fmt.Sprint(f.Ints(col)[0])
	case f.Table().Columns[col].Kind == record.Text:
		return f.Texts(col)[0]
	}
	return fmt.Sprint(f.Floats(col)[0])
}

// TestRunOfNoParts runs nothing, and of no parts no sink misses any.
func TestRunOfNoParts(t *testing.T) {
	p, tables := tabled(t, small, record.TraceChoice{})
	sink := newKept(p, 4)
	if err := Run(t.Context(), p, tables, sink, Settings{Workers: 2, Done: func(Outcome) { t.Error("a design was run") }}); err != nil || len(sink.ends) > 0 {
		t.Errorf("%v, %v", sink.ends, err)
	}
	for _, s := range []interface {
		Missing(parts ...int) ([]int, error)
	}{sink, nowhere{4}} {
		if missing, err := s.Missing(); err != nil || len(missing) > 0 {
			t.Errorf("%T misses %v, %v", s, missing, err)
		}
	}
}

// small is a study of short runs on the machine.
const small = `
keep: front.fans.speed != 800 rpm
vary:
  - {path: front, variants: all}
  - {path: front.fans.speed, values: [700 rpm, 800 rpm, 1000 rpm]}
  - {path: "render.steps[0].power", values: [200 W, 4000 W]}
`

// tabled plans such a study on a short version of the machine, with its tables.
func tabled(t testing.TB, study string, traces record.TraceChoice) (*Plan, *Tables) {
	t.Helper()
	text := strings.Replace("study:\n"+indented(study)+machine, "for: 40 min", "for: 1 min", 1)
	p, err := New(documentOf(t, text))
	if err != nil {
		t.Fatal(err)
	}
	tables, err := p.Tables(traces)
	if err != nil {
		t.Fatal(err)
	}
	return p, tables
}

// numbers lists the first n.
func numbers(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// TestRun: every design is run, skipped or tells why it was not, once, whatever the
// number of workers; parts that are there are left alone.
func TestRun(t *testing.T) {
	p, tables := tabled(t, small, record.AllTraces())
	var want map[int]string
	for _, workers := range []int{0, 1, 3, 50} {
		sink := newKept(p, 5)
		var mu sync.Mutex
		by := map[Outcome]int{}
		done := func(o Outcome) {
			mu.Lock()
			defer mu.Unlock()
			by[o]++
		}
		if err := Run(context.Background(), p, tables, sink, Settings{Workers: workers, Traces: record.AllTraces(), Parts: []int{2, 0, 1}, Done: done}); err != nil {
			t.Fatal(err)
		}
		if len(sink.rows) != 12 || by[Dropped] != 4 || by[Finished]+by[Left]+by[Broken] != 8 || by[Left] == 0 || by[Finished] == 0 {
			t.Errorf("%d workers: %d runs, %v", workers, len(sink.rows), by)
		}
		if want == nil {
			want = sink.rows
		}
		for run, row := range want {
			if sink.rows[run] != row {
				t.Errorf("%d workers: run %d is %s, want %s", workers, run, sink.rows[run], row)
			}
		}
	}
	for run, row := range want {
		speed := [3]int{700, 800, 1000}[run/2%3]
		if (row == "dropped") != (speed == 800) {
			t.Errorf("run %d at %d rpm: %s", run, speed, row)
		} else if speed != 800 && (!strings.Contains(row, fmt.Sprintf("run_id=%d front=", run)) || !strings.Contains(row, fmt.Sprintf("front_fans_speed_rpm=%d ", speed)) || !strings.Contains(row, "traces ")) {
			t.Errorf("run %d: %s", run, row)
		}
	}
	sink := newKept(p, 5)
	sink.there = map[int]bool{1: true}
	if err := Run(context.Background(), p, tables, sink, Settings{Workers: 2, Traces: record.AllTraces(), Parts: []int{0, 1}}); err != nil || len(sink.rows) != 5 || sink.ends[0] != "committed" || sink.ends[1] != "" {
		t.Errorf("%v; %d runs, parts %v", err, len(sink.rows), sink.ends)
	}
}

// TestRunStops: when ctx is done, parts in hand are finished and no other is begun; if
// none is left, nothing was interrupted.
func TestRunStops(t *testing.T) {
	p, tables := tabled(t, small, record.TraceChoice{})
	for at, left := range map[int]int{0: 2, 1: 1, 2: 0} {
		ctx, cancel := context.WithCancel(context.Background())
		sink := newKept(p, 4)
		sink.begun = func(part int) {
			if part == at {
				cancel()
			}
		}
		err := Run(ctx, p, tables, sink, Settings{Workers: 1, Parts: numbers(3)})
		if (left > 0) != errors.Is(err, context.Canceled) || (left == 0) != (err == nil) {
			t.Errorf("stopped in part %d: %v", at, err)
		}
		if len(sink.ends) != at+1 || sink.ends[at] != "committed" || len(sink.rows) != 4*(at+1) {
			t.Errorf("stopped in part %d: parts %v, %d runs", at, sink.ends, len(sink.rows))
		}
		cancel()
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	sink := newKept(p, 4)
	if err := Run(ctx, p, tables, sink, Settings{Workers: 3, Parts: numbers(3)}); !errors.Is(err, context.Canceled) || len(sink.ends) > 0 {
		t.Errorf("stopped before: %v, parts %v", err, sink.ends)
	}
}

// TestRunSinkFails: an error of the sink ends the sweep; a part that was begun is given
// up, other workers stop.
func TestRunSinkFails(t *testing.T) {
	p, tables := tabled(t, small, record.TraceChoice{})
	full := errors.New("the disk is full")
	for k, what := range []string{"missing", "part", "add", "commit", "missing", "part", "add", "commit"} {
		sink := newKept(p, 1)
		workers := 1 + k/4
		sink.fails = func(step string, part int) error {
			if step == what && part == 4 {
				return full
			}
			return nil
		}
		err := Run(context.Background(), p, tables, sink, Settings{Workers: workers, Parts: numbers(12)})
		if !errors.Is(err, full) {
			t.Errorf("%s: %v", what, err)
		}
		want := map[string]string{"add": "aborted", "commit": "committedaborted"}[what]
		if sink.ends[4] != want {
			t.Errorf("%s: part 4 is %q, want %q", what, sink.ends[4], want)
		}
		// A second worker may be through with all others before the first has failed.
		if workers == 1 && len(sink.ends) > 5 {
			t.Errorf("%s: %d parts were begun, and part 4 failed", what, len(sink.ends))
		}
	}
}

// TestRunFails: a design that cannot be made, built or written is a row that says why,
// with what was to vary and nothing else.
func TestRunFails(t *testing.T) {
	p, tables := tabled(t, "vary: [{path: front.fans.speed, values: [1000 rpm, 1700 rpm]}, {path: front.fans.rated, values: [1600 rpm, 1000 rpm]}]", record.TraceChoice{})
	sink := newKept(p, 4)
	if err := Run(context.Background(), p, tables, sink, Settings{Workers: 1, Parts: []int{0}}); err != nil {
		t.Fatal(err)
	}
	row := sink.rows[3]
	if !strings.HasPrefix(row, "runs 1; run_id=3 front_fans_speed_rpm=1700 front_fans_rated_rpm=1000 status=failed reason=") || !strings.Contains(row, "150 %") {
		t.Errorf("a design that is not sound is %s", row)
	}
	if _, rest, _ := strings.Cut(row, " duration_s="); strings.Count(rest, "null") != len(tables.Runs.Columns)-5 {
		t.Errorf("there are figures: %s", rest)
	}
	w, err := newWorker(p, tables, Settings{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := w.simulate(context.Background(), &Design{}); err == nil || !strings.HasPrefix(err.Error(), "a fault of the program, please report it") {
		t.Errorf("a fault is told as %v", err)
	}
}

// TestConform: every column has its place, or it is told.
func TestConform(t *testing.T) {
	frame := func(columns ...record.Column) *record.Frame {
		return record.NewFrame(record.Table{Name: "phases", Columns: columns})
	}
	id, a, b := record.Column{Name: "run_id", Kind: record.Int}, record.Column{Name: "a", Nullable: true}, record.Column{Name: "b", Kind: record.Text}
	src := frame(id, a)
	src.AppendInts(0, []int64{3, 3, 3, 3})
	src.AppendNulls(1, 1)
	src.AppendFloats(1, []float64{1, 2})
	src.AppendNulls(1, 1)
	wide := frame(id, record.Column{Name: "b", Kind: record.Text, Nullable: true}, a)
	if err := conform(wide, src); err != nil || wide.Check() != nil {
		t.Fatal(err, wide.Check())
	}
	if !slices.Equal(wide.Nulls(2), []bool{true, false, false, true}) || !slices.Equal(wide.Floats(2), []float64{0, 1, 2, 0}) || !slices.Equal(wide.Nulls(1), []bool{true, true, true, true}) || wide.Ints(0)[3] != 3 {
		t.Errorf("nulls %v, values %v", wide.Nulls(2), wide.Floats(2))
	}
	flat, whole, coarse := a, a, a
	flat.Nullable, whole.Kind, coarse.Grid = false, record.Int, 0.5
	for want, dst := range map[string]*record.Frame{
		"has a column a, which none": frame(id), "has no column b, which all": frame(id, a, b), "column a of the design lacks a value": frame(id, flat),
		"column a of the design is of another kind": frame(id, whole), "or on another grid": frame(id, coarse),
	} {
		if err := conform(dst, src); err == nil || !strings.Contains(err.Error(), want) || dst.Rows() > 0 {
			t.Errorf("%s: %v, %d rows", want, err, dst.Rows())
		}
	}
}

// TestTablesUnion: the columns of all alternatives, in file order; those that some lack
// may be null.
func TestTablesUnion(t *testing.T) {
	_, tables := tabled(t, "vary: [{path: front.cells, values: [3, 1, 2]}]", record.AllTraces())
	var cells []string
	for _, c := range tables.Traces.Columns {
		if strings.HasPrefix(c.Name, "front_") && strings.Contains(c.Name, "coolant") {
			cells = append(cells, fmt.Sprintf("%s %v", c.Name, c.Nullable))
		}
	}
	if want := []string{"front_coolant_c true", "front_coolant_1_c true", "front_coolant_2_c true", "front_coolant_3_c true"}; !slices.Equal(cells, want) { // a lone cell has no number
		t.Errorf("cells are %q", cells)
	}
	for _, c := range tables.Runs.Columns {
		if must := c.Name == "run_id" || c.Name == "front_cells" || c.Name == "status"; c.Nullable == must {
			t.Errorf("%s may be null: %v", c.Name, c.Nullable)
		}
	}
	if tables.Runs.Columns[1].Name != "front_cells" || len(tables.All()) != 4 {
		t.Errorf("the second column is %s of %d tables", tables.Runs.Columns[1].Name, len(tables.All()))
	}
}

// TestTablesStandIns: where conditions drop every first value, others stand in; where
// they drop all, that is a problem.
func TestTablesStandIns(t *testing.T) {
	const axes = "\nvary: [{path: front.cells, values: [1, 2, 3]}, {path: front.fans.speed, values: [700 rpm, 1000 rpm]}]"
	_, tables := tabled(t, "keep: [front.cells > 1, front.fans.speed > 700 rpm]"+axes, record.AllTraces())
	if tables.Whole.Index("front_coolant_3_c") < 0 || tables.Whole.Columns[tables.Whole.Index("front_coolant_2_c")].Nullable {
		t.Error("the cells are not those of the kept designs")
	}
	p := planned(t, "keep: [front.cells > 2, front.fans.speed > 1000 rpm]"+axes)
	var problems Problems
	if _, err := p.Tables(record.TraceChoice{}); !errors.As(err, &problems) || problems[0].Path != "study.keep" {
		t.Errorf("nothing is kept: %v", err)
	}
	var wrong *ChoiceError
	if _, err := p.Tables(record.TraceChoice{Every: 1, Columns: []string{"psu_c"}}); errors.As(err, &wrong) {
		t.Errorf("nothing is kept, but told is %v", err)
	}
	p = planned(t, "vary: [{path: front.cells, values: [1]}]")
	if _, err := p.Tables(record.TraceChoice{Every: 1, Columns: []string{"psu_c"}}); !errors.As(err, &wrong) {
		t.Errorf("a column that is not there: %v", err)
	}
	p = planned(t, "vary: [{path: front.film_conductance, values: [0.5 W/K, 0.6 W/K]}]")
	if _, err := p.Tables(record.TraceChoice{}); err == nil || !strings.Contains(err.Error(), "none of the designs that were tried can be built: front.core") {
		t.Errorf("nothing can be built: %v", err)
	}
}

// TestMeter counts what designs take; Spread finds kept ones all over the plan.
func TestMeter(t *testing.T) {
	choice := record.TraceChoice{Every: 10, Thin: &record.DefaultBound}
	p, tables := tabled(t, small, choice)
	m, err := p.NewMeter(tables, choice)
	if err != nil {
		t.Fatal(err)
	}
	took, err := m.Run(context.Background(), 4)
	if err != nil || took.Outcome != Finished || took.Steps < 10 || took.Rows["runs"] != 1 || took.Rows["phases"] != 1 || took.Traced != 61 || took.Rows["traces"] < 2 || took.Rows["traces"] >= 61 {
		t.Errorf("%+v, %v", took, err)
	}
	if took, err := m.Run(context.Background(), 2); err != nil || took.Outcome != Dropped || len(took.Rows) > 0 || took.Steps > 0 || took.Traced > 0 {
		t.Errorf("%+v, %v", took, err)
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := m.Run(stopped, 4); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	for n, want := range map[int][]int{1: {6}, 3: {0, 6, 10}, 12: {0, 1, 4, 5, 6, 7, 10, 11}, 99: {0, 1, 4, 5, 6, 7, 10, 11}} {
		if got := p.Spread(n); !slices.Equal(got, want) {
			t.Errorf("%d of the plan are %v, want %v", n, got, want)
		}
	}
	large := planned(t, "vary: [{path: ambient, from: 20 degC, to: 29 degC, count: 100000000}]")
	if got := large.Spread(2); !slices.Equal(got, []int{25_000_000, 75_000_000}) {
		t.Errorf("two of many are %v", got)
	}
}
