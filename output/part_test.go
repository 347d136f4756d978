package output

import (
	"errors"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"soakledger/output/parquet"
	"soakledger/sim/record"
)

func TestPartRefusesWhatDoesNotFit(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	p, err := s.Part(1) // runs 7 to 13
	if err != nil {
		t.Fatal(err)
	}
	run := func(i int) *record.Frame { return runsFrame(t, i, 1) }
	short := record.NewFrame(runsTable())
	short.AppendInts(0, []int64{7})
	endless := tracesFrame(7, 1)
	endless.Floats(2)[3] = math.Inf(1)
	other := record.Table{Name: "events", Columns: runsTable().Columns}
	unknown := record.Table{Name: "curves", Columns: runsTable().Columns}
	for want, frames := range map[string][]*record.Frame{
		"no row for table runs":                {tracesFrame(7, 1)},
		"2 rows for table runs instead of one": {runsFrame(t, 7, 2)},
		"two frames for table runs":            {run(7), run(7)},
		"row 0 of table runs is of run 8":      {run(8)},
		"row 60 of table traces is of run 8":   {run(7), tracesFrame(7, 2)},
		"no table curves":                      {run(7), record.NewFrame(unknown)},
		"table events have other columns":      {run(7), record.NewFrame(other)},
		"status has 0 values":                  {short},
		"column coolant_c, row 3: +Inf":        {run(7), endless},
		"0 rows for table runs instead of one": {record.NewFrame(runsTable())},
	} {
		wantError(t, p.Add(7, frames...), want, "run 7", "part 1", dir)
	}
	wantError(t, p.Add(8, run(8)), "run 7 is next")
	wantError(t, p.Skip(8), "run 7 is next")
	wantError(t, p.Commit(), "runs 7 to 13 were neither added nor skipped")
	for i := 7; i < 14; i++ {
		if err := p.Add(i, run(i), tracesFrame(i, 1)); err != nil {
			t.Fatal(err)
		}
	}
	wantError(t, p.Add(14, run(14)), "ends before run 14")
	wantError(t, p.Add(13, run(13)), "all of its runs")
	if err := p.Commit(); err != nil {
		t.Fatal(err)
	}
	wantError(t, p.Commit(), "completed")
	wantError(t, p.Skip(14), "completed")
	if err := p.Abort(); err != nil {
		t.Error(err)
	}
	for _, part := range []int{-1, 9} {
		_, err := s.Part(part)
		wantError(t, err, "parts go from 0 to 8")
		_, err = s.Missing(part)
		wantError(t, err, "parts go from 0 to 8")
	}
	d := partRows(t, dir, "traces", 1)
	if d.Rows() != 7*60 || d.Ints(0)[0] != 7 || d.Ints(0)[419] != 13 {
		t.Errorf("the part has %d rows of traces", d.Rows())
	}
}

// partRows reads one file of an unfinished study.
func partRows(t *testing.T, dir, table string, part int) *record.Frame {
	t.Helper()
	f, err := parquet.ReadParts([]string{filepath.Join(dir, partFile(table, part))})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestAbortedPartLeavesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	for range 2 {
		p, err := s.Part(0)
		if err != nil {
			t.Fatal(err)
		}
		if err := addRuns(p); err != nil {
			t.Fatal(err)
		}
		for range 2 {
			if err := p.Abort(); err != nil {
				t.Fatal(err)
			}
		}
		wantTree(t, dir, ".tmp/begun.json")
		wantError(t, p.Commit(), "aborted")
	}
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, wholeStudy(t))
}

// TestPartOfDroppedDesigns has no rows, but is there.
func TestPartOfDroppedDesigns(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	for part := range 9 {
		p, err := s.Part(part)
		if err != nil {
			t.Fatal(err)
		}
		from, to := p.Slice()
		for run := from; run < to; run++ {
			if err := p.Skip(run); err != nil {
				t.Fatal(err)
			}
		}
		if err := p.Commit(); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Finish(); err != nil {
		t.Fatal(err)
	}
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if f, err := d.Read("runs"); err != nil || f.Rows() != 0 || len(d.Files("traces")) != 9 {
		t.Errorf("%v, %v", f, err)
	}
}

// TestRowGroupsHoldWholeRuns: three runs of 50,000 rows are two row groups, and
// one run that is larger than a row group is a group of its own.
func TestRowGroupsHoldWholeRuns(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	p, err := s.Part(0)
	if err != nil {
		t.Fatal(err)
	}
	rows := []int{50_000, 50_000, 50_000, 130_000, 1, 122_879, 1}
	for run, n := range rows {
		f := record.NewFrame(tracesTable())
		f.AppendRepeated(0, int64(run), n)
		times, temperatures := f.ExtendFloats(1, n), f.ExtendFloats(2, n)
		for i := range times {
			times[i], temperatures[i] = float64(i), 24
		}
		if err := p.Add(run, runsFrame(t, run, 1), f); err != nil {
			t.Fatal(err)
		}
	}
	if err := p.Commit(); err != nil {
		t.Fatal(err)
	}
	var groups []int
	err = parquet.Each([]string{filepath.Join(dir, "traces/part-00000.parquet")}, nil, func(f *record.Frame) error {
		groups = append(groups, f.Rows())
		return nil
	})
	if want := []int{100_000, 50_000, 130_000, 122_880, 1}; err != nil || !slices.Equal(groups, want) {
		t.Errorf("row groups of %v, %v, want %v", groups, err, want)
	}
}

func TestGroupRowsBoundMemory(t *testing.T) {
	wide := record.Table{Columns: make([]record.Column, 300)}
	if n := groupRows(wide); n*300 > groupValues || n < 10_000 {
		t.Errorf("%d rows of 300 columns", n)
	}
	if n := groupRows(tracesTable()); n != parquet.RowGroupRows {
		t.Errorf("%d rows of 3 columns", n)
	}
}

// TestDamagedPartIsWrittenAgain: a file is cut short, empty, gone, of another
// study, or without its end.
func TestDamagedPartIsWrittenAgain(t *testing.T) {
	want := wholeStudy(t)
	foreign := testStudy
	foreign.Plan = "another"
	aside := filepath.Join(t.TempDir(), "aside")
	mustFinish(t, aside, foreign)
	strange := tree(t, aside)["runs/part-00002.parquet"]
	traces, runs := want["traces/part-00002.parquet"], want["runs/part-00002.parquet"]
	for name, test := range map[string]struct{ file, content, says string }{
		"short trace":          {"traces/part-00002.parquet", traces[:len(traces)-7], "bytes instead of"},
		"trace without end":    {"traces/part-00002.parquet", traces[:len(traces)-8] + strings.Repeat("\x00", 8), "no footer"},
		"no trace":             {"traces/part-00002.parquet", "", "bytes instead of"},
		"short runs":           {"runs/part-00002.parquet", runs[:len(runs)/2], "truncated"},
		"empty runs":           {"runs/part-00002.parquet", "", "truncated"},
		"runs of another":      {"runs/part-00002.parquet", strange, "belongs to another dataset"},
		"runs of another part": {"runs/part-00002.parquet", want["runs/part-00003.parquet"], "says nothing of"},
		"trace of another":     {"traces/part-00002.parquet", want["traces/part-00001.parquet"], "bytes instead of"},
	} {
		for _, complete := range []bool{false, true} {
			dir := filepath.Join(t.TempDir(), "set")
			s := openStudy(t, dir, StudyOptions{})
			mustWriteParts(t, s, 0, 2, 5)
			if complete {
				if err := writeMissing(s); err != nil {
					t.Fatal(err)
				}
			}
			put(t, dir, test.file, test.content)
			s = openStudy(t, dir, StudyOptions{Resume: true})
			missing, err := s.Missing(0, 2, 5)
			if err != nil || !slices.Equal(missing, []int{2}) || s.Complete() {
				t.Errorf("%s: missing are %v, %v", name, missing, err)
			}
			for file := range tree(t, dir) {
				if strings.HasSuffix(file, "part-00002.parquet") {
					t.Errorf("%s: %s is still there", name, file)
				}
			}
			wantError(t, errors.New(strings.Join(s.Repairs(), "\n")), "part 2: ", test.says)
			if err := writeMissing(s); err != nil {
				t.Fatal(err)
			}
			wantSame(t, dir, want)
		}
	}
}

// TestFinishSeesDamage without being asked by Missing.
func TestFinishSeesDamage(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	mustWriteParts(t, s, 0, 1, 2, 3, 4, 5, 7, 8)
	put(t, dir, "events/part-00004.parquet", "PAR1")
	var missing *MissingError
	if err := s.Finish(); !errors.As(err, &missing) || !slices.Equal(missing.Parts, []int{4, 6}) {
		t.Errorf("got %v", err)
	}
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, wholeStudy(t))
}

// BenchmarkPart writes parts of 34 runs of an hour at 1 Hz, with 18 columns on a
// grid of 1 mK, through to the disk.
func BenchmarkPart(b *testing.B) {
	const runs = 34
	var traces [runs]*record.Frame
	for run := range traces {
		traces[run] = hourTrace(run)
	}
	table := traces[0].Table()
	m := testStudy
	m.Runs, m.PartRuns = runs*50_000, runs
	s, err := CreateStudy(filepath.Join(b.TempDir(), "set"), m, []record.Table{table, runsTable()}, StudyOptions{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	part, bytes := 0, int64(0)
	for b.Loop() {
		p, err := s.Part(part)
		if err != nil {
			b.Fatal(err)
		}
		for run := runs * part; run < runs*(part+1); run++ {
			trace := traces[run%runs]
			for i := range trace.Ints(0) {
				trace.Ints(0)[i] = int64(run)
			}
			if err := p.Add(run, runsFrame(b, run, 1), trace); err != nil {
				b.Fatal(err)
			}
		}
		if err := p.Commit(); err != nil {
			b.Fatal(err)
		}
		bytes += p.tables[p.index("traces")].result.Bytes
		part++
	}
	rows := float64(part * runs * 3600)
	b.ReportMetric(rows/b.Elapsed().Seconds()/1e6, "Mrow/s")
	b.ReportMetric(float64(bytes)/rows, "B/row")
}

// BenchmarkMissing looks for the 9 parts of a study that has them.
func BenchmarkMissing(b *testing.B) {
	s := openStudy(b, filepath.Join(b.TempDir(), "set"), StudyOptions{})
	for k := range 9 {
		if err := writePart(s, k); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		if missing, err := s.MissingOfAll(); err != nil || len(missing) > 0 {
			b.Fatal(missing, err)
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(9*b.N)*1e6, "us/part")
}
