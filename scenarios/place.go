package scenarios

import "strings"

// ErrorAt returns an error about the field at path with the place in the text
// where it stands, or where the nearest thing around it does.
func (doc *Document) ErrorAt(path, text string) *Error {
	e := &Error{File: doc.Name, Path: path, Text: text}
	for around := path; around != ""; around = outer(around) {
		if p, ok := doc.Positions[around]; ok {
			e.Line, e.Column = p.Line, p.Column
			return e
		}
	}
	return e
}

// outer returns the path without its last word or index, or nothing.
func outer(path string) string {
	return path[:max(strings.LastIndexAny(path, ".["), 0)]
}
