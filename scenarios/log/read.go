package log

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// magic begins and ends a Parquet file.
const magic = "PAR1"

// Read reads the log called name: Parquet if it begins as such, otherwise text.
// The text is read as a stream, so that only the columns asked for are kept.
// The error is an *Error where the content is at fault.
func Read(fsys fs.FS, name string, want Request) (l Log, err error) {
	f, err := fsys.Open(name)
	if err != nil {
		return Log{}, fmt.Errorf("opening a log: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	r := bufio.NewReaderSize(f, readAhead)
	head, err := r.Peek(len(magic))
	if err != nil && !errors.Is(err, io.EOF) {
		return Log{}, fmt.Errorf("reading a log: %w", err)
	}
	if string(head) != magic {
		return readText(name, r, want)
	}
	if at, ok := f.(io.ReaderAt); ok {
		info, err := f.Stat()
		if err != nil {
			return Log{}, fmt.Errorf("reading a log: %w", err)
		}
		return readParquet(name, at, info.Size(), want)
	}
	all, err := io.ReadAll(r)
	if err != nil {
		return Log{}, fmt.Errorf("reading %s: %w", name, err)
	}
	return readParquet(name, bytes.NewReader(all), int64(len(all)), want)
}
