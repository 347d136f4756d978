package scenarios

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// mostErrors bounds the errors reported of one file.
const mostErrors = 50

// Error is one mistake in a file or an override.
type Error struct {
	File         string // as handed to Read
	Line, Column int    // from 1, columns in characters; 0 where there is no text
	Path         string // of the field; empty for the file as a whole
	Text         string // what was given, what is allowed, an example
}

// Error writes FILE:LINE:COLUMN: PATH: TEXT.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", e.Line, e.Column)
	}
	if e.Path != "" {
		b.WriteString(": " + e.Path)
	}
	return b.String() + ": " + e.Text
}

// Errors are all mistakes found, sorted by line. It is never empty when it is
// returned as an error.
type Errors []*Error

// Error writes one mistake a line.
func (es Errors) Error() string {
	lines := make([]string, len(es))
	for i, e := range es {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives the single errors to errors.As.
func (es Errors) Unwrap() []error {
	list := make([]error, len(es))
	for i, e := range es {
		list[i] = e
	}
	return list
}

// sorted orders by position, drops repetitions and cuts a flood short.
func (es Errors) sorted() Errors {
	slices.SortStableFunc(es, func(a, b *Error) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	es = slices.CompactFunc(es, func(a, b *Error) bool { return *a == *b })
	if len(es) > mostErrors {
		rest := len(es) - mostErrors
		last := es[mostErrors-1]
		es = append(es[:mostErrors:mostErrors], &Error{
			File: last.File, Line: last.Line, Column: last.Column,
			Text: fmt.Sprintf("%d more errors follow: mend these first", rest),
		})
	}
	return es
}
