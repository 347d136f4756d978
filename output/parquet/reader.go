package parquet

import (
	"errors"
	"fmt"
	"io"
	"os"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/record"
)

const readBufferBytes = 256 << 10

// Reader reads one file that a Writer made. It is not safe for concurrent use.
type Reader struct {
	name     string
	file     *pq.File
	closer   io.Closer
	table    record.Table
	metadata Metadata
}

// Open opens the file called name and reads its footer. A file that is
// truncated, damaged or of another make is an error that names it. The caller
// closes the reader.
func Open(name string) (*Reader, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("opening a Parquet file: %w", err)
	}
	info, err := f.Stat()
	if err != nil {
		return nil, errors.Join(fmt.Errorf("opening %s: %w", name, err), f.Close())
	}
	r, err := NewReader(name, f, info.Size())
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	r.closer = f
	return r, nil
}

// NewReader reads the footer of a file of size bytes in r. The name is used in
// errors only.
func NewReader(name string, r io.ReaderAt, size int64) (*Reader, error) {
	reader := &Reader{name: name}
	err := reader.guard("reading the footer", func() error { return reader.open(r, size) })
	if err != nil {
		return nil, err
	}
	return reader, nil
}

func (r *Reader) open(source io.ReaderAt, size int64) error {
	if err := checkFrame(source, size); err != nil {
		return err
	}
	file, err := pq.OpenFile(source, size, pq.SkipPageIndex(true), pq.SkipBloomFilters(true), pq.ReadBufferSize(readBufferBytes))
	if err != nil {
		return err
	}
	for _, f := range file.Schema().Fields() {
		c, err := columnOf(f)
		if err != nil {
			return err
		}
		r.table.Columns = append(r.table.Columns, c)
	}
	if r.metadata, err = parseMetadata(&r.table, file.Lookup); err != nil {
		return err
	}
	r.file = file
	return checkChunks(file, len(r.table.Columns), size)
}

// CheckEnd reports whether the file called name has the given size and ends as a
// complete file does. It reads a few bytes, whatever the size: for finding files
// that were cut short among many.
func CheckEnd(name string, size int64) (err error) {
	f, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("opening a Parquet file: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return fmt.Errorf("opening %s: %w", name, err)
	}
	if info.Size() != size {
		return fmt.Errorf("%s has %d bytes instead of %d", name, info.Size(), size)
	}
	if err := checkFrame(f, size); err != nil {
		return fmt.Errorf("%s is damaged: %w", name, err)
	}
	return nil
}

// guard runs fn and gives its error the file's name. The Parquet library
// panics on some damaged files: here that is an error as any other.
func (r *Reader) guard(doing string, fn func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
		if err != nil {
			err = fmt.Errorf("%s of %s: %w (the file is truncated, damaged or not of soakledger's make)", doing, r.name, err)
		}
	}()
	return fn()
}

// Table returns the description of the file's columns.
func (r *Reader) Table() record.Table { return r.table }

// Metadata returns what the file says about its origin.
func (r *Reader) Metadata() Metadata { return r.metadata }

// Note returns the text that Writer.Note left under the key.
func (r *Reader) Note(key string) (text string, ok bool) { return r.file.Lookup(noteKey + key) }

// Rows returns the number of rows of the file.
func (r *Reader) Rows() int64 { return r.file.NumRows() }

// Groups returns the number of row groups: the frames that were written.
func (r *Reader) Groups() int { return len(r.file.RowGroups()) }

// Close releases the file.
func (r *Reader) Close() error {
	if r.closer == nil {
		return nil
	}
	return r.closer.Close()
}

// ReadGroup appends the rows of row group g, from 0, to f. The frame's columns
// say what is read: they must be columns of the file with the same kind (see
// record.Table.Select). After an error f is as it was.
func (r *Reader) ReadGroup(g int, f *record.Frame) error {
	if g < 0 || g >= r.Groups() {
		return fmt.Errorf("reading %s: there is no row group %d, only %d", r.name, g, r.Groups())
	}
	columns, err := r.match(f)
	if err != nil {
		return err
	}
	before := f.Rows()
	err = r.guard(fmt.Sprintf("reading row group %d", g), func() error {
		group := r.file.RowGroups()[g]
		for i, column := range columns {
			if err := readColumn(group.ColumnChunks()[column], f, i); err != nil {
				return fmt.Errorf("column %s: %w", f.Table().Columns[i].Name, err)
			}
		}
		return checkGroup(f, before, int(group.NumRows()))
	})
	if err != nil {
		f.Truncate(before)
	}
	return err
}

// match returns for each column of f its position in the file.
func (r *Reader) match(f *record.Frame) ([]int, error) {
	columns := make([]int, len(f.Table().Columns))
	for i, c := range f.Table().Columns {
		at := r.table.Index(c.Name)
		if at < 0 {
			return nil, fmt.Errorf("reading %s: there is no column %q in table %s", r.name, c.Name, r.table.Name)
		}
		if stored := r.table.Columns[at]; stored.Kind != c.Kind || stored.Nullable != c.Nullable {
			return nil, fmt.Errorf("reading %s: column %q holds %s values (nullable: %t), not %s (nullable: %t)",
				r.name, c.Name, stored.Kind, stored.Nullable, c.Kind, c.Nullable)
		}
		columns[i] = at
	}
	return columns, nil
}

// Read returns all rows of the named columns, or of every column if none is
// named.
func (r *Reader) Read(columns ...string) (*record.Frame, error) {
	table, err := r.table.Select(columns...)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", r.name, err)
	}
	f := record.NewFrame(table)
	for g := range r.Groups() {
		if err := r.ReadGroup(g, f); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// Each calls do with one frame for each row group of the files, in order. The
// frame holds the named columns, or every column if none is named, and is used
// again for the next row group. All files must have the same table. The first
// error, of reading or of do, ends it.
func Each(names, columns []string, do func(f *record.Frame) error) error {
	var frame *record.Frame
	var table record.Table
	for _, name := range names {
		r, err := Open(name)
		if err != nil {
			return err
		}
		if frame == nil {
			selected, err := r.table.Select(columns...)
			if err != nil {
				return errors.Join(fmt.Errorf("reading %s: %w", name, err), r.Close())
			}
			frame, table = record.NewFrame(selected), r.table
		}
		if !r.table.Equal(table) {
			return errors.Join(fmt.Errorf("reading %s: its columns are not those of %s", name, names[0]), r.Close())
		}
		if err := errors.Join(r.each(frame, do), r.Close()); err != nil {
			return err
		}
	}
	return nil
}

func (r *Reader) each(frame *record.Frame, do func(f *record.Frame) error) error {
	for g := range r.Groups() {
		frame.Reset()
		if err := r.ReadGroup(g, frame); err != nil {
			return err
		}
		if err := do(frame); err != nil {
			return err
		}
	}
	return nil
}

// ReadParts returns the rows of all files, in order, in one frame: the named
// columns, or every column if none is named. It needs at least one file.
func ReadParts(names []string, columns ...string) (*record.Frame, error) {
	if len(names) == 0 {
		return nil, errors.New("reading Parquet files: no files given")
	}
	var all *record.Frame
	err := Each(names, columns, func(f *record.Frame) error {
		if all == nil {
			all = record.NewFrame(f.Table())
		}
		return all.AppendFrame(f)
	})
	if err != nil || all != nil {
		return all, err
	}
	// No row group in any file: the first file still has the columns.
	r, err := Open(names[0])
	if err != nil {
		return nil, err
	}
	empty, err := r.Read(columns...)
	return empty, errors.Join(err, r.Close())
}
