package parquet

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/record"
)

// footerBytes is the length of the footer and the magic word at a file's end.
const footerBytes = 8

// maxExpansion bounds how many times its stored size a damaged file may claim
// for its pages, so that it cannot make the reader ask for all memory. Constant
// columns are the extreme of an honest file: one page of 1 MiB in about 60
// bytes.
const maxExpansion = 1 << 16

// checkFrame looks at the magic words and the footer's length before the
// library allocates what they ask for.
func checkFrame(source io.ReaderAt, size int64) error {
	const magic = "PAR1"
	if size < int64(len(magic))+footerBytes {
		return fmt.Errorf("%d bytes are too few", size)
	}
	var tail [footerBytes]byte
	if _, err := source.ReadAt(tail[:], size-footerBytes); err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	if string(tail[4:]) != magic {
		return errors.New("there is no footer at the end")
	}
	if n := int64(binary.LittleEndian.Uint32(tail[:4])); n > size-footerBytes-int64(len(magic)) {
		return fmt.Errorf("a footer of %d bytes does not fit into %d bytes", n, size)
	}
	return nil
}

// checkChunks compares the row counts and sizes in the footer with each other
// and with the file.
func checkChunks(file *pq.File, columns int, size int64) error {
	rows := int64(0)
	for g, group := range file.Metadata().RowGroups {
		if len(group.Columns) != columns || group.NumRows <= 0 {
			return fmt.Errorf("row group %d has %d columns and %d rows", g, len(group.Columns), group.NumRows)
		}
		for i := range group.Columns {
			c := &group.Columns[i].MetaData
			if c.NumValues != group.NumRows {
				return fmt.Errorf("row group %d has %d rows, its column %d %d values", g, group.NumRows, i, c.NumValues)
			}
			if c.TotalCompressedSize < 0 || c.TotalCompressedSize > size || c.TotalUncompressedSize < 0 ||
				c.TotalUncompressedSize/maxExpansion > size || c.DataPageOffset < 0 || c.DataPageOffset > size {
				return fmt.Errorf("row group %d, column %d: its place does not fit into %d bytes", g, i, size)
			}
		}
		rows += group.NumRows
	}
	if rows != file.NumRows() {
		return fmt.Errorf("the row groups have %d rows, the file %d", rows, file.NumRows())
	}
	return nil
}

// readColumn appends the values of a column chunk to column col of f.
func readColumn(chunk pq.ColumnChunk, f *record.Frame, col int) (err error) {
	pages := chunk.Pages()
	defer func() { err = errors.Join(err, pages.Close()) }()
	for {
		page, err := pages.ReadPage()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := readPage(page, f, col); err != nil {
			return err
		}
		pq.Release(page)
	}
}

func readPage(page pq.Page, f *record.Frame, col int) error {
	kind := f.Table().Columns[col].Kind
	if kind == record.Float && page.Dictionary() == nil {
		data := page.Data()
		return appendPresent(f, col, page.DefinitionLevels(), data.Double())
	}
	return readValues(page.Values(), f, col)
}

// appendPresent appends the present values of a page in blocks and nulls where
// the definition level is 0. Without levels every value is present.
func appendPresent(f *record.Frame, col int, levels []byte, values []float64) error {
	if !f.Table().Columns[col].Nullable {
		f.AppendFloats(col, values)
		return nil
	}
	for start := 0; start < len(levels); {
		end := start + 1
		for end < len(levels) && levels[end] == levels[start] {
			end++
		}
		n := end - start
		switch {
		case levels[start] == 0:
			f.AppendNulls(col, n)
		case n > len(values):
			return fmt.Errorf("the page lacks %d values", n-len(values))
		default:
			f.AppendFloats(col, values[:n])
			values = values[n:]
		}
		start = end
	}
	return nil
}

// readValues serves every kind of page, one value at a time.
func readValues(values pq.ValueReader, f *record.Frame, col int) error {
	var buffer [chunk]pq.Value
	texts := textCache{}
	for {
		n, err := values.ReadValues(buffer[:])
		for _, v := range buffer[:n] {
			if err := appendValue(f, col, v, &texts); err != nil {
				return err
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if n == 0 {
			return io.ErrNoProgress
		}
	}
}

func appendValue(f *record.Frame, col int, v pq.Value, texts *textCache) error {
	described := &f.Table().Columns[col]
	switch {
	case v.IsNull() && !described.Nullable:
		return errors.New("a value is missing")
	case v.IsNull():
		f.AppendNulls(col, 1)
	case described.Kind == record.Float:
		f.AppendFloats(col, []float64{v.Double()})
	case described.Kind == record.Int && v.Kind() == pq.Int32:
		f.AppendInts(col, []int64{int64(v.Int32())})
	case described.Kind == record.Int:
		f.AppendInts(col, []int64{v.Int64()})
	case described.Kind == record.Text:
		f.AppendTexts(col, []string{texts.text(v.ByteArray())})
	default:
		f.AppendFlags(col, []bool{v.Boolean()})
	}
	return nil
}

// textCache saves the copies of a text that is repeated row after row.
type textCache struct{ last string }

func (c *textCache) text(b []byte) string {
	if c.last != string(b) {
		c.last = string(b)
	}
	return c.last
}

// checkGroup verifies that each column of f has the rows of the group after the
// rows it had before, and that the floats among them are finite.
func checkGroup(f *record.Frame, before, rows int) error {
	if f.Rows() != before+rows {
		return fmt.Errorf("%d rows were read instead of %d", f.Rows()-before, rows)
	}
	return f.CheckFrom(before)
}
