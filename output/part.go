package output

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"soakledger/output/parquet"
	"soakledger/sim/record"
)

// groupValues bounds the values of a row group, and with it the memory of a
// part in work: 24 MiB of numbers and as much while they are encoded. Tables of
// up to 25 columns reach parquet.RowGroupRows.
const groupValues = 3 << 20

// groupRows returns the most rows of a row group of several runs.
func groupRows(t record.Table) int {
	return min(parquet.RowGroupRows, groupValues/len(t.Columns))
}

// partNote is left in the file of table runs about the part's other files, which
// are complete when it is written. With it, a part is checked and described
// without reading its traces.
const partNote = "part"

// PartWriter writes one part of a study: the rows of a slice of runs, one file a
// table. Rows go to temporary files row group by row group; Commit gives the
// files their names. Many parts may be written at once, each by one goroutine;
// the bytes of a part depend on its rows alone.
type PartWriter struct {
	study    *Study
	part     int
	next, to int // run numbers: the next one, and the end of the slice
	tables   []*tableWriter
	ended    string
}

// tableWriter writes the file of one table.
type tableWriter struct {
	encoder
	table  record.Table
	id     int // column of run_id
	most   int // rows of a row group
	file   file
	sum    *summer
	temp   string
	result manifestPart
	given  bool // the run in hand has rows
}

// Part begins to write a part. End it with Commit or Abort.
func (s *Study) Part(part int) (*PartWriter, error) {
	p, err := s.newPart(part)
	if err != nil {
		return nil, fmt.Errorf("writing part %d in %s: %w", part, s.dir, studyAdvice(err))
	}
	return p, nil
}

func (s *Study) newPart(part int) (*PartWriter, error) {
	if err := s.checkNumber(part); err != nil {
		return nil, err
	}
	p := &PartWriter{study: s, part: part}
	p.next, p.to = s.manifest.Study.Slice(part)
	for _, t := range s.manifest.Tables {
		w, err := s.newTable(t.Table, part)
		if err != nil {
			return nil, errors.Join(err, p.discard())
		}
		p.tables = append(p.tables, w)
	}
	return p, nil
}

func (s *Study) newTable(t record.Table, part int) (w *tableWriter, err error) {
	w = &tableWriter{table: t, id: t.Index(runID), most: groupRows(t), sum: &summer{hash: sha256.New()}}
	w.result.File = partFile(t.Name, part)
	w.temp = filepath.Join(s.temporary(), ownName(fmt.Sprintf("%s-%05d", t.Name, part)))
	if w.file, err = s.createTemporary(w.temp); err != nil {
		return nil, err
	}
	if w.encoder, err = s.pool.take(t.Name, io.MultiWriter(w.file, w.sum)); err != nil {
		return nil, errors.Join(err, w.discard())
	}
	return w, nil
}

// createTemporary creates a file in the temporary folder, which another process
// that finishes removes when it is empty.
func (s *Study) createTemporary(name string) (f file, err error) {
	for range attempts {
		if _, err := s.disk.makeFolders(s.temporary()); err != nil {
			return nil, err
		}
		if f, err = s.disk.create(name); !errors.Is(err, os.ErrNotExist) {
			return f, err
		}
	}
	return nil, err
}

// Slice returns the run numbers of the part that are still to be added or
// skipped: from <= run_id < to.
func (p *PartWriter) Slice() (from, to int) { return p.next, p.to }

// Add appends the rows of one run: a frame for each table in which it has rows,
// and one of a single row for table runs. Runs come in rising order; each number
// of the slice is added or skipped. The frames are copied. After an error about
// the rows the part is as before.
func (p *PartWriter) Add(run int, frames ...*record.Frame) error {
	if err := p.add(run, frames); err != nil {
		return fmt.Errorf("writing run %d to part %d in %s: %w", run, p.part, p.study.dir, studyAdvice(err))
	}
	return nil
}

func (p *PartWriter) add(run int, frames []*record.Frame) error {
	if err := p.turn(run); err != nil {
		return err
	}
	for _, w := range p.tables {
		w.given = false
	}
	for _, f := range frames {
		if err := p.checkFrame(run, f); err != nil {
			return err
		}
	}
	if !p.tables[p.index(runsName)].given {
		return fmt.Errorf("it has no row for table %s", runsName)
	}
	for _, f := range frames {
		if err := p.tables[p.index(f.Table().Name)].append(f); err != nil {
			p.ended = "unusable after an error"
			return errors.Join(err, p.discard())
		}
	}
	p.next++
	return nil
}

// Skip notes that a run has no rows: a design that the plan dropped.
func (p *PartWriter) Skip(run int) error {
	if err := p.turn(run); err != nil {
		return fmt.Errorf("skipping run %d in part %d in %s: %w", run, p.part, p.study.dir, err)
	}
	p.next++
	return nil
}

// turn checks that it is the run's turn.
func (p *PartWriter) turn(run int) error {
	switch {
	case p.ended != "":
		return fmt.Errorf("the part is %s", p.ended)
	case run != p.next && p.next == p.to:
		return errors.New("the part has all of its runs")
	case run != p.next:
		return fmt.Errorf("run %d is next", p.next)
	case p.next == p.to:
		return fmt.Errorf("the part ends before run %d", p.to)
	}
	return nil
}

// checkFrame makes sure that a frame fits: nothing may be doubled or lost.
func (p *PartWriter) checkFrame(run int, f *record.Frame) error {
	at := p.index(f.Table().Name)
	if at < 0 {
		return fmt.Errorf("the dataset has no table %s", f.Table().Name)
	}
	w := p.tables[at]
	if !f.Table().Equal(w.table) {
		return fmt.Errorf("the rows of table %s have other columns than the dataset", w.table.Name)
	}
	if w.given {
		return fmt.Errorf("there are two frames for table %s", w.table.Name)
	}
	w.given = true
	if err := f.Check(); err != nil {
		return err
	}
	if w.table.Name == runsName && f.Rows() != 1 {
		return fmt.Errorf("it has %d rows for table %s instead of one", f.Rows(), runsName)
	}
	for row, id := range f.Ints(w.id) {
		if id != int64(run) {
			return fmt.Errorf("row %d of table %s is of run %d", row, w.table.Name, id)
		}
	}
	return nil
}

func (p *PartWriter) index(table string) int {
	return slices.IndexFunc(p.tables, func(w *tableWriter) bool { return w.table.Name == table })
}

// append adds the rows of a run to the row group in work. It is written before
// it would become too large, so that row groups hold whole runs.
func (w *tableWriter) append(f *record.Frame) error {
	if rows := w.frame.Rows(); rows > 0 && rows+f.Rows() > w.most {
		if err := w.flush(); err != nil {
			return err
		}
	}
	return w.frame.AppendFrame(f)
}

func (w *tableWriter) flush() error {
	err := w.writer.WriteFrame(w.frame)
	w.frame.Reset()
	return err
}

// close completes the temporary file on the disk.
func (w *tableWriter) close() error {
	err := w.flush()
	if err == nil {
		err = w.writer.Close()
	}
	if err == nil {
		err = w.file.Sync()
	}
	closing := w.file.Close()
	w.file = nil
	w.result.Rows, w.result.Bytes, w.result.SHA256 = w.writer.Rows(), w.sum.bytes, hex.EncodeToString(w.sum.hash.Sum(nil))
	if err == nil {
		err = closing
	}
	return err
}

// discard removes the temporary file.
func (w *tableWriter) discard() error {
	if w.file != nil {
		// What is written here is thrown away, and so is an error of it.
		_ = w.file.Close()
		w.file = nil
	}
	return removeIfThere(w.temp)
}

func (p *PartWriter) discard() error {
	var errs []error
	for _, w := range p.tables {
		errs = append(errs, w.discard())
	}
	return errors.Join(errs...)
}

// Commit completes the part and returns when all of its files are on the disk
// under their names. Every run of the slice must have been added or skipped. The
// file of table runs comes last: the part is there when that is. After an error
// the part is not there, or, if only the last flush of the folder failed, whole;
// it may be written anew. A part that another process has written meanwhile is
// replaced by its equal.
func (p *PartWriter) Commit() error {
	if p.ended == "" && p.next < p.to {
		return fmt.Errorf("completing part %d in %s: runs %d to %d were neither added nor skipped", p.part, p.study.dir, p.next, p.to-1)
	}
	if p.ended != "" {
		return fmt.Errorf("completing part %d in %s: the part is %s", p.part, p.study.dir, p.ended)
	}
	p.ended = "completed"
	if err := p.commit(); err != nil {
		p.ended = "unusable after an error"
		return fmt.Errorf("completing part %d in %s: %w", p.part, p.study.dir, studyAdvice(errors.Join(err, p.discard())))
	}
	for _, w := range p.tables {
		p.study.pool.give(w.table.Name, w.encoder)
	}
	return nil
}

func (p *PartWriter) commit() error {
	last := p.index(runsName)
	var others []manifestPart
	for i, w := range p.tables {
		if i == last {
			continue
		}
		if err := w.close(); err != nil {
			return err
		}
		others = append(others, w.result)
	}
	note, err := json.Marshal(others)
	if err != nil {
		return err
	}
	p.tables[last].writer.Note(partNote, string(note))
	if err := p.tables[last].close(); err != nil {
		return err
	}
	if err := p.study.stillHolds(); err != nil {
		return err
	}
	for i, w := range p.tables {
		if i != last {
			if err := p.study.place(w); err != nil {
				return err
			}
		}
	}
	if err := p.study.place(p.tables[last]); err != nil {
		return err
	}
	p.study.wrote(p.part)
	return nil
}

// place gives a complete file its name, for good.
func (s *Study) place(w *tableWriter) error {
	made, err := s.disk.makeFolders(filepath.Join(s.dir, w.table.Name))
	if err != nil {
		return err
	}
	if made != nil {
		if err := s.disk.syncDir(s.dir); err != nil {
			return err
		}
	}
	final := s.path(w.result.File)
	if err := s.disk.rename(w.temp, final); err != nil {
		return err
	}
	return s.disk.syncDir(filepath.Dir(final))
}

// Abort gives the part up and removes its temporary files. After Commit it does
// nothing, so it may be deferred.
func (p *PartWriter) Abort() error {
	if p.ended != "" {
		return nil
	}
	p.ended = "aborted"
	if err := p.discard(); err != nil {
		return fmt.Errorf("giving up part %d in %s: %w", p.part, p.study.dir, studyAdvice(err))
	}
	for _, w := range p.tables {
		p.study.pool.give(w.table.Name, w.encoder)
	}
	return nil
}

// stillHolds makes sure that the folder still is this study's: somebody may have
// removed or replaced it since it was opened.
func (s *Study) stillHolds() error {
	m, err := readManifest(s.marker())
	if errors.Is(err, os.ErrNotExist) {
		m, err = readManifest(s.path(manifestName)) // another process has finished
	}
	switch {
	case errors.Is(err, os.ErrNotExist):
		return fmt.Errorf("the dataset has been taken away: %w", err)
	case err != nil:
		return err
	case m.ScenarioHash != s.manifest.ScenarioHash:
		return errors.New("the folder has been given to another dataset")
	}
	return nil
}
