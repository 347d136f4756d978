package assemble

import (
	"fmt"
	"slices"
	"strings"
)

// Problem is a reason why a scenario cannot be assembled, with the path of the
// field that has to change.
type Problem struct {
	Path string
	Text string
}

// Problems is one or more of them, as an error.
type Problems []Problem

// Error lists all problems, one a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.Path + ": " + one.Text
	}
	return strings.Join(lines, "\n")
}

// add appends a problem, unless it is there already: what several parts refer
// to is looked at more than once.
func (p *Problems) add(path, format string, args ...any) {
	one := Problem{Path: path, Text: fmt.Sprintf(format, args...)}
	if !slices.Contains(*p, one) {
		*p = append(*p, one)
	}
}

// err returns the problems as an error, or nil if there is none.
func (p Problems) err() error {
	if len(p) == 0 {
		return nil
	}
	return p
}
