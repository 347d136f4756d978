package parquet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"

	pq "github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"

	"soakledger/sim/record"
)

// RowGroupRows is the number of rows a frame should have at most: large enough
// for the encoding to pay, small enough for readers to skip and to share out.
const RowGroupRows = 122_880

const pageBytes = 1 << 20

// errClosed is what a writer answers after Close.
var errClosed = errors.New("the writer is closed")

// Writer writes one file of one table. After the first error every further
// call returns that error: the file is then useless. A Writer is not safe for
// concurrent use.
type Writer struct {
	table  record.Table
	order  order
	config *pq.WriterConfig
	file   *pq.GenericWriter[any]
	buffer *pq.Buffer
	encode encoder
	rows   int64
	err    error
}

// NewWriter returns a writer of a file of table t to w. It writes nothing
// before the first frame or Close. An invalid table is an error.
func NewWriter(w io.Writer, t record.Table, m Metadata) (*Writer, error) {
	if err := t.Validate(); err != nil {
		return nil, fmt.Errorf("preparing a Parquet file: %w", err)
	}
	pairs, err := keyValues(t, m)
	if err != nil {
		return nil, err
	}
	t.Columns = slices.Clone(t.Columns)
	writer := &Writer{table: t, order: orderOf(t), buffer: pq.NewBuffer(schemaOf(t))}
	writer.config, err = pq.NewWriterConfig(
		writer.buffer.Schema(),
		pq.Compression(&zstd.Codec{Level: zstd.SpeedFastest}),
		pq.PageBufferSize(pageBytes),
		pq.SortingWriterConfig(pq.SortingColumns(writer.order.claim()...)),
		&pq.WriterConfig{CreatedBy: "soakledger version " + m.EngineVersion + " (build )", KeyValueMetadata: pairs},
	)
	if err != nil {
		return nil, fmt.Errorf("preparing a Parquet file of table %s: %w", t.Name, err)
	}
	writer.Reset(w)
	return writer, nil
}

// Reset makes the writer, closed or failed, ready to write another file of the
// same table and metadata to out. The memory of the columns is kept. (The
// library's own Reset is not used: after it, version 0.32 writes footers
// without column names.)
func (w *Writer) Reset(out io.Writer) {
	w.file = pq.NewGenericWriter[any](out, w.config)
	w.buffer.Reset()
	w.order.reset()
	w.rows, w.err = 0, nil
}

// Rows returns the number of rows written so far.
func (w *Writer) Rows() int64 { return w.rows }

// WriteFrame writes the frame as one row group and leaves it as it is. Frames
// hold whole runs: one that continues the run of the frame before is refused,
// as are columns of unequal length, NaN and infinities, and rows of a trace out
// of order. A frame without rows writes nothing.
func (w *Writer) WriteFrame(f *record.Frame) error {
	if w.err != nil {
		return w.err
	}
	if err := w.writeFrame(f); err != nil {
		w.err = fmt.Errorf("writing %d rows of table %s: %w", f.Rows(), w.table.Name, err)
	}
	return w.err
}

func (w *Writer) writeFrame(f *record.Frame) error {
	if !f.Table().Equal(w.table) {
		return fmt.Errorf("the rows have other columns than the file (table %s)", f.Table().Name)
	}
	if err := f.Check(); err != nil {
		return err
	}
	if err := w.order.check(f); err != nil {
		return err
	}
	if f.Rows() == 0 {
		return nil
	}
	w.buffer.Reset()
	for i, column := range w.buffer.ColumnBuffers() {
		if err := w.encode.column(column, f, i); err != nil {
			return fmt.Errorf("column %s: %w", w.table.Columns[i].Name, err)
		}
	}
	n, err := w.file.WriteRowGroup(w.buffer)
	if err != nil {
		return err
	}
	if n != int64(f.Rows()) {
		return fmt.Errorf("%d rows were written instead of %d", n, f.Rows())
	}
	w.rows += n
	return nil
}

// Note adds a text of the caller to the file's metadata, under a key of its own
// (see Reader.Note). It is gone after Reset. The same key again replaces the
// text.
func (w *Writer) Note(key, text string) { w.file.SetKeyValueMetadata(noteKey+key, text) }

// Close completes the file; without it the file cannot be read. Disk errors may
// show up only here. Closing twice is an error.
func (w *Writer) Close() error {
	if w.err != nil {
		return w.err
	}
	w.err = errClosed
	if err := w.file.Close(); err != nil {
		w.err = fmt.Errorf("completing the file of table %s: %w", w.table.Name, err)
		return w.err
	}
	return nil
}

// Encode returns the bytes of a file that holds the frames, one row group each.
// It needs at least one frame; all must be of the same table.
func Encode(m Metadata, frames ...*record.Frame) ([]byte, error) {
	if len(frames) == 0 {
		return nil, errors.New("encoding a Parquet file: no frames given")
	}
	var out bytes.Buffer
	w, err := NewWriter(&out, frames[0].Table(), m)
	if err != nil {
		return nil, err
	}
	for _, f := range frames {
		if err := w.WriteFrame(f); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
