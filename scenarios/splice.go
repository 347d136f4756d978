package scenarios

import (
	"bytes"
	"fmt"
	"slices"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// splice replaces src[start:end] and leaves src itself alone.
func splice(src []byte, start, end int, text string) []byte {
	return slices.Concat(src[:start], []byte(text), src[end:])
}

// extent returns where a scalar begins and ends in the source. Values that
// span lines, or whose text does not show as it is, have no simple extent.
func extent(src []byte, node *yaml.Node) (start, end int, err error) {
	inPieces := fmt.Errorf("the value in line %d is not written in one piece: change it there by hand", node.Line)
	if node.Kind != yaml.ScalarNode {
		return 0, 0, inPieces
	}
	start = offset(src, node.Line, node.Column)
	switch {
	case start >= len(src):
		return 0, 0, inPieces
	case node.Style&yaml.DoubleQuotedStyle != 0 && src[start] == '"':
		end = closing(src, start, '"', '\\')
	case node.Style&yaml.SingleQuotedStyle != 0 && src[start] == '\'':
		end = closing(src, start, '\'', '\'')
	case bytes.HasPrefix(src[start:], []byte(node.Value)):
		end = start + len(node.Value)
	}
	if end <= start || bytes.ContainsAny(src[start:end], "\r\n") {
		return 0, 0, inPieces
	}
	return start, end, nil
}

// closing returns the offset behind the quote that ends the text beginning at
// start. The escape protects the next character; in single quotes it is the
// quote itself, doubled.
func closing(src []byte, start int, quote, escape byte) int {
	for i := start + 1; i < len(src); i++ {
		switch {
		case src[i] == escape && i+1 < len(src) && (escape != quote || src[i+1] == quote):
			i++
		case src[i] == quote:
			return i + 1
		}
	}
	return -1
}

// offset turns a line and a column in characters, both from 1, into a byte
// offset.
func offset(src []byte, line, column int) int {
	at := 0
	for ; line > 1; line-- {
		next := bytes.IndexByte(src[at:], '\n')
		if next < 0 {
			return len(src)
		}
		at += next + 1
	}
	for ; column > 1 && at < len(src); column-- {
		_, size := utf8.DecodeRune(src[at:])
		at += size
	}
	return at
}

// lineEnd returns the offset of the end of the line that holds the offset.
func lineEnd(src []byte, at int) int {
	if i := bytes.IndexAny(src[at:], "\r\n"); i >= 0 {
		return at + i
	}
	return len(src)
}

// newline returns the line break of the source.
func newline(src []byte) string {
	if bytes.Contains(src, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}
