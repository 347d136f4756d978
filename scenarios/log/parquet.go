package log

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"

	pq "github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"
)

const (
	readBufferBytes = 256 << 10
	footerBytes     = 8 // length of the footer and the magic word at the end
	valuesAtOnce    = 1024

	// maxExpansion bounds how many times its stored size a damaged file may claim
	// for its pages, so that it cannot make the reader ask for all memory.
	maxExpansion = 1 << 16
)

// readParquet reads a log from a Parquet file of size bytes. The library panics
// on some damaged files: here that is an error as any other.
func readParquet(file string, r io.ReaderAt, size int64, want Request) (l Log, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
		var known *Error
		if err != nil && !errors.As(err, &known) {
			err = fmt.Errorf("reading %s: %w (the Parquet file is truncated or damaged)", file, err)
		}
	}()
	if err := checkFrame(r, size); err != nil {
		return Log{}, err
	}
	f, err := pq.OpenFile(r, size, pq.SkipPageIndex(true), pq.SkipBloomFilters(true), pq.ReadBufferSize(readBufferBytes))
	if err != nil {
		return Log{}, err
	}
	if err := checkChunks(f, size); err != nil {
		return Log{}, err
	}
	t, err := parquetTable(file, f, want)
	if err != nil {
		return Log{}, err
	}
	row := 0
	for _, group := range f.RowGroups() {
		if err := t.fill(group, row); err != nil {
			return Log{}, err
		}
		row += int(group.NumRows())
	}
	return t.log()
}

// checkFrame looks at the footer's length before the library allocates it. The
// magic word is the library's business.
func checkFrame(r io.ReaderAt, size int64) error {
	if size < int64(len(magic))+footerBytes {
		return fmt.Errorf("%d bytes are too few", size)
	}
	var tail [footerBytes]byte
	if _, err := r.ReadAt(tail[:], size-footerBytes); err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	if n := int64(binary.LittleEndian.Uint32(tail[:4])); n > size-footerBytes-int64(len(magic)) {
		return fmt.Errorf("a footer of %d bytes does not fit into %d bytes", n, size)
	}
	return nil
}

// checkChunks compares the sizes in the footer with the file.
func checkChunks(f *pq.File, size int64) error {
	for g, group := range f.Metadata().RowGroups {
		for i := range group.Columns {
			c := &group.Columns[i].MetaData
			if group.NumRows < 0 || c.TotalCompressedSize < 0 || c.TotalCompressedSize > size || c.TotalUncompressedSize < 0 ||
				c.TotalUncompressedSize/maxExpansion > size || c.DataPageOffset < 0 || c.DataPageOffset > size {
				return fmt.Errorf("row group %d, column %d: its place does not fit into %d bytes", g, i, size)
			}
		}
	}
	return nil
}

// leafTable is a table filled from the leaf columns of a Parquet file.
type leafTable struct {
	*table
	leaf []int // index of the leaf of each top column, -1 for what is nested
	time leaf
	kind []leaf // of t.columns
}

// leaf says how the stored values of a column are meant.
type leaf struct {
	unsigned bool
	scale    int64 // ns of one unit, of timestamps
	dated    bool  // timestamps count from 1970
}

func parquetTable(file string, f *pq.File, want Request) (*leafTable, error) {
	var hs headings
	t := &leafTable{}
	fields := f.Schema().Fields()
	for _, field := range fields {
		hs = append(hs, split(field.Name()))
		at := -1
		if field.Leaf() && !field.Repeated() {
			column, _ := f.Schema().Lookup(field.Name())
			at = column.ColumnIndex
		}
		t.leaf = append(t.leaf, at)
	}
	var err error
	if t.table, err = newTable(file, "row", want, hs); err != nil {
		return nil, &Error{File: file, Text: err.Error()}
	}
	if want.Time.Date != "" {
		return nil, &Error{File: file, Text: "a date in a column of its own is only read from text: name one column of timestamps"}
	}
	if t.time, err = leafOf(fields[t.stamper.at]); err != nil {
		return nil, t.fault(place{column: t.stamper.at}, hs[t.stamper.at], err)
	}
	for _, c := range t.columns {
		kind, err := leafOf(fields[c.at])
		if err == nil && kind.scale != 0 {
			err = errors.New("it holds times: choose a column of numbers")
		}
		if err != nil {
			return nil, t.fault(place{column: c.at}, hs[c.at], err)
		}
		t.kind = append(t.kind, kind)
	}
	if err := t.units(hs, 0); err != nil {
		return nil, err
	}
	return t, t.decideLeaf(hs)
}

// decideLeaf settles the form of stamps from the type of their column.
func (t *leafTable) decideLeaf(hs headings) error {
	s := t.stamper
	fault := func(err error) error { return t.fault(place{column: s.at}, hs[s.at], err) }
	clock := slices.Contains(clockForms, s.want.Form)
	switch {
	case t.time.scale == 0 && clock:
		return fault(fmt.Errorf("it holds numbers, which are not of the stated form %s", s.want.Form))
	case t.time.scale == 0:
		s.form = numberForm
		if err := s.settleUnit(); err != nil {
			return fault(err)
		}
	case s.want.Form != "" && (t.time.dated || s.want.Form != timeOfDay):
		return fault(fmt.Errorf("it holds times with a unit of their own, so the stated form %s has no place: leave it out", s.want.Form))
	case t.time.dated:
		s.form = datedForm
	default:
		s.form, s.clock = clockForm, s.want.Form
	}
	return nil
}

// leafOf says how a column's values are meant, or that they are no numbers.
func leafOf(f pq.Field) (leaf, error) {
	allowed := "a log has columns of numbers and timestamps, for example DOUBLE"
	if !f.Leaf() || f.Repeated() {
		return leaf{}, fmt.Errorf("it is nested or repeated: %s", allowed)
	}
	switch f.Type().Kind() {
	case pq.Int32, pq.Int64, pq.Float, pq.Double:
	default:
		return leaf{}, fmt.Errorf("it holds %s: %s", f.Type(), allowed)
	}
	logical := f.Type().LogicalType()
	if logical == nil || logical.Value == nil {
		return leaf{}, nil
	}
	return logicalLeaf(logical, f, allowed)
}

func logicalLeaf(logical *format.LogicalType, f pq.Field, allowed string) (leaf, error) {
	switch kind := logical.Value.(type) {
	case *format.IntType:
		return leaf{unsigned: !kind.IsSigned}, nil
	case *format.TimestampType:
		if kind.Unit.Value != nil {
			return leaf{scale: int64(kind.Unit.Value.Duration()), dated: true}, nil
		}
	case *format.TimeType:
		if kind.Unit.Value != nil {
			return leaf{scale: int64(kind.Unit.Value.Duration())}, nil
		}
	}
	return leaf{}, fmt.Errorf("it holds %s: %s", f.Type(), allowed)
}

// number returns a value that is a number. Whole numbers beyond 2^53 are
// rounded.
func (l leaf) number(v pq.Value) float64 {
	switch v.Kind() {
	case pq.Double:
		return v.Double()
	case pq.Float:
		return float64(v.Float())
	case pq.Int32:
		if l.unsigned {
			return float64(v.Uint32())
		}
		return float64(v.Int32())
	}
	if l.unsigned {
		return float64(v.Uint64())
	}
	return float64(v.Int64())
}

// stampOf returns a value of the time column in ns, or false for what is too far
// away.
func (t *leafTable) stampOf(v pq.Value) (int64, bool) {
	if t.time.scale == 0 {
		ns, err := t.stamper.fromNumber(t.time.number(v))
		return ns, err == nil
	}
	count := v.Int64()
	if v.Kind() == pq.Int32 {
		count = int64(v.Int32())
	}
	if most := farthest / t.time.scale; count <= -most || count >= most {
		return 0, false
	}
	ns := count * t.time.scale
	if t.stamper.clock == timeOfDay {
		return t.stamper.passing(ns)
	}
	return ns, true
}

// fill adds the rows of a row group, behind so many rows before it.
func (t *leafTable) fill(group pq.RowGroup, before int) error {
	rows := int(group.NumRows())
	var placed []bool // grows as values come: a damaged file may claim any number of rows
	err := t.each(group, t.stamper.at, rows, func(row int, v pq.Value) error {
		at := place{before + row + 1, t.stamper.at}
		ns, ok := int64(0), false
		if !v.IsNull() {
			ns, ok = t.stampOf(v)
		}
		placed = append(placed, ok)
		if !ok {
			return t.unstamped("", at)
		}
		return t.push(ns, at, "")
	})
	if err != nil {
		return err
	}
	for i, c := range t.columns {
		err := t.each(group, c.at, rows, func(row int, v pq.Value) error {
			if placed[row] {
				t.value(c, t.kind[i], v, before+row+1)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// value adds a stored value to a column.
func (t *leafTable) value(c *column, kind leaf, v pq.Value, row int) {
	if v.IsNull() {
		c.missing(place{row, c.at})
		return
	}
	x, err := c.si(kind.number(v))
	if err != nil {
		c.noValue(t.shown(fmt.Sprint(kind.number(v)), row))
		return
	}
	c.values = append(c.values, x)
}

// each calls do with the values of a column in a row group, in order.
func (t *leafTable) each(group pq.RowGroup, column, rows int, do func(row int, v pq.Value) error) (err error) {
	pages := group.ColumnChunks()[t.leaf[column]].Pages()
	defer func() { err = errors.Join(err, pages.Close()) }()
	row := 0
	for {
		page, err := pages.ReadPage()
		if errors.Is(err, io.EOF) && row == rows {
			return nil
		}
		if errors.Is(err, io.EOF) {
			return fmt.Errorf("column %d has %d values in a row group of %d rows", column+1, row, rows)
		}
		if err != nil {
			return err
		}
		if row, err = eachOf(page.Values(), row, rows, do); err != nil {
			return err
		}
		pq.Release(page)
	}
}

// eachOf serves one page, whose first value belongs to the given row.
func eachOf(values pq.ValueReader, row, rows int, do func(row int, v pq.Value) error) (int, error) {
	var buffer [valuesAtOnce]pq.Value
	for {
		n, err := values.ReadValues(buffer[:])
		if row+n > rows {
			return row, fmt.Errorf("a page has more values than its row group rows, %d", rows)
		}
		for _, v := range buffer[:n] {
			if err := do(row, v); err != nil {
				return row, err
			}
			row++
		}
		switch {
		case errors.Is(err, io.EOF):
			return row, nil
		case err != nil:
			return row, err
		case n == 0:
			return row, io.ErrNoProgress
		}
	}
}
