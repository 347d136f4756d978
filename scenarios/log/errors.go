package log

import (
	"errors"
	"fmt"
	"strings"
)

// Error is what keeps a log from being read.
type Error struct {
	File    string // as handed to Read
	Line    int    // from 1, in a Parquet file the row; 0 for the file as a whole
	Column  int    // from 1; 0 for a line as a whole
	Heading string // of the column
	Text    string // what was given, what is allowed, an example
}

// Error writes FILE:LINE: column COLUMN "HEADING": TEXT.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	if e.Column > 0 {
		b.WriteString(": " + columnName(e.Column, e.Heading))
	}
	return b.String() + ": " + e.Text
}

// columnName names a column in messages.
func columnName(number int, heading string) string {
	if heading == "" {
		return fmt.Sprintf("column %d", number)
	}
	return fmt.Sprintf("column %d %q", number, shorten(heading))
}

// errNoValue is returned for a cell that has something else than what its
// column holds. Such cells are counted, whereas every other error ends the
// reading.
var errNoValue = errors.New("not a value")

// orList joins alternatives as a sentence does: a, b or c.
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// shorten keeps messages readable when the text is not.
func shorten(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + "…"
}

// plural writes a number of things: 1 cell, 3 cells.
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
