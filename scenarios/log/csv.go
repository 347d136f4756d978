package log

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// readAhead is how many bytes of text are looked at to find the separator: the
// headings end within them.
const readAhead = 64 << 10

// Marks at the beginning of text that say how it is encoded.
var (
	markUTF8    = []byte("\xef\xbb\xbf")
	marksUTF16  = [][]byte{[]byte("\xfe\xff"), []byte("\xff\xfe")}
	commentMark = []string{"#", "//"}
)

// text reads a log of separated columns, row by row.
type text struct {
	file      string
	csv       *csv.Reader
	line      int
	latin1    bool // headings are not UTF-8
	unitsLine int  // of the row of units, 0 if there is none
}

// readText reads a log from text.
func readText(file string, r *bufio.Reader, want Request) (Log, error) {
	in, err := newText(file, r)
	if err != nil {
		return Log{}, err
	}
	hs, err := in.headings()
	if err != nil {
		return Log{}, err
	}
	headingLine := in.line
	t, err := newTable(file, "line", want, hs)
	if err != nil {
		return Log{}, &Error{File: file, Line: headingLine, Text: err.Error()}
	}
	row, err := in.row()
	if err == nil && isUnits(row) {
		in.takeUnits(hs, row)
		row, err = in.row()
	}
	if err := t.units(hs, headingLine); err != nil {
		return Log{}, err
	}
	for ; err == nil; row, err = in.row() {
		if err := in.fill(t, hs, row); err != nil {
			return Log{}, err
		}
	}
	if !errors.Is(err, io.EOF) {
		return Log{}, err
	}
	l, err := t.log()
	if err != nil {
		return Log{}, err
	}
	l.Findings = append(in.findings(), l.Findings...)
	return l, nil
}

// findings tells what was taken for something else than data.
func (in *text) findings() []string {
	var list []string
	if in.latin1 {
		list = append(list, "text: it is not UTF-8 and was read as Latin-1")
	}
	if in.unitsLine > 0 {
		list = append(list, fmt.Sprintf("text: line %d, which has no numbers, was taken for the row of units", in.unitsLine))
	}
	return list
}

// newText finds out how the text is encoded and what separates its columns.
func newText(file string, r *bufio.Reader) (*text, error) {
	if head, err := r.Peek(len(markUTF8)); err == nil && bytes.Equal(head, markUTF8) {
		if _, err := r.Discard(len(markUTF8)); err != nil {
			return nil, fmt.Errorf("reading %s: %w", file, err)
		}
	}
	head, err := r.Peek(readAhead)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("reading %s: %w", file, err)
	}
	for _, mark := range marksUTF16 {
		if bytes.HasPrefix(head, mark) {
			return nil, &Error{File: file, Text: "it is written as UTF-16: save it as UTF-8"}
		}
	}
	if bytes.IndexByte(head, 0) >= 0 {
		return nil, &Error{File: file, Text: "it is neither text nor Parquet: a log is text with separated columns and headings, for example Time [s];Coolant [degC]"}
	}
	in := &text{file: file, csv: csv.NewReader(r)}
	in.csv.Comma = separator(firstLine(head))
	in.csv.Comment = '#'
	in.csv.FieldsPerRecord = -1
	in.csv.ReuseRecord = true
	in.csv.TrimLeadingSpace = in.csv.Comma != '\t'
	return in, nil
}

// firstLine returns the first line that is neither blank nor a comment.
func firstLine(head []byte) string {
	for line := range bytes.Lines(head) {
		if text := strings.TrimSpace(string(line)); text != "" && !isComment(text) {
			return text
		}
	}
	return ""
}

func isComment(text string) bool {
	for _, mark := range commentMark {
		if strings.HasPrefix(text, mark) {
			return true
		}
	}
	return false
}

// separator returns the mark that divides the headings: the most frequent one
// outside quotes.
func separator(line string) rune {
	counts := map[rune]int{}
	quoted := false
	for _, r := range line {
		if r == '"' {
			quoted = !quoted
		}
		if !quoted {
			counts[r]++
		}
	}
	best := ';'
	for _, r := range []rune{'\t', ','} {
		if counts[r] > counts[best] {
			best = r
		}
	}
	return best
}

// row returns the next row that is no comment. Its cells are only good until
// the next call.
func (in *text) row() ([]string, error) {
	for {
		row, err := in.csv.Read()
		var fault *csv.ParseError
		switch {
		case errors.As(err, &fault):
			return nil, &Error{File: in.file, Line: fault.Line, Text: fmt.Sprintf("%v: put quotes around a whole cell or around none of it, for example \"21,5\"", fault.Err)}
		case errors.Is(err, io.EOF):
			return nil, err
		case err != nil:
			return nil, fmt.Errorf("reading %s: %w", in.file, err)
		}
		in.line, _ = in.csv.FieldPos(0)
		if !isComment(row[0]) && !isBlank(row) {
			return row, nil
		}
	}
}

func isBlank(row []string) bool {
	for _, cell := range row {
		if strings.TrimSpace(cell) != "" {
			return false
		}
	}
	return true
}

// headings reads the first row.
func (in *text) headings() (headings, error) {
	row, err := in.row()
	if errors.Is(err, io.EOF) {
		return nil, &Error{File: in.file, Text: "it is empty: a log begins with headings, for example Time [s];Coolant [degC]"}
	}
	if err != nil {
		return nil, err
	}
	var hs headings
	values, filled := 0, 0
	for i, cell := range row {
		cell = in.decode(cell)
		for len(hs) < i && cell != "" {
			hs = append(hs, heading{}) // empty ones, but not at the end
		}
		if cell == "" {
			continue
		}
		hs = append(hs, split(cell))
		filled++
		if looksLikeValue(cell) {
			values++
		}
	}
	if values == filled {
		return nil, &Error{File: in.file, Line: in.line, Text: "there are no headings above the data: write what the columns are, for example Time [s];Coolant [degC]; a line that begins with # is a comment"}
	}
	return hs, nil
}

// decode returns a cell without blanks around it, read as Latin-1 where it is
// not UTF-8.
func (in *text) decode(cell string) string {
	cell = strings.TrimSpace(cell)
	if utf8.ValidString(cell) {
		return cell
	}
	in.latin1 = true
	runes := make([]rune, len(cell))
	for i := range len(cell) {
		runes[i] = rune(cell[i]) // the first 256 code points are those of Latin-1
	}
	return string(runes)
}

// looksLikeValue reports whether a cell is a number or a time rather than a
// heading or a unit.
func looksLikeValue(cell string) bool {
	return strings.ContainsAny(cell, "0123456789") && strings.Trim(cell, "0123456789+-.,:/eETZ ") == ""
}

// isUnits reports whether a row below the headings has units instead of data:
// no cell of it is a value.
func isUnits(row []string) bool {
	for _, cell := range row {
		if looksLikeValue(strings.TrimSpace(cell)) {
			return false
		}
	}
	return true
}

func (in *text) takeUnits(hs headings, row []string) {
	in.unitsLine = in.line
	for i := range min(len(hs), len(row)) {
		hs[i].row = cellUnit(in.decode(row[i]))
	}
}

// fill adds a row to the table.
func (in *text) fill(t *table, hs headings, row []string) error {
	for i := len(hs); i < len(row); i++ {
		if strings.TrimSpace(row[i]) != "" {
			return &Error{File: in.file, Line: in.line, Text: fmt.Sprintf("%d cells stand under %s%s", len(row), plural(len(hs), "heading"), in.commaHint())}
		}
	}
	beside := ""
	if t.stamper.dateAt >= 0 {
		beside = cellAt(row, t.stamper.dateAt)
	}
	placed, err := t.stamp(cellAt(row, t.stamper.at), beside, in.line)
	if err != nil || !placed {
		return err
	}
	for _, c := range t.columns {
		if err := t.cell(c, cellAt(row, c.at), in.line); err != nil {
			return err
		}
	}
	return nil
}

func (in *text) commaHint() string {
	if in.csv.Comma == ',' {
		return ": where commas separate columns, write decimals with a point or in quotes, for example 21.5 or \"21,5\""
	}
	return ": each column needs a heading, for example Coolant [degC]"
}

// cellAt returns a cell without blanks around it; rows may end early.
func cellAt(row []string, i int) string {
	if i >= len(row) {
		return ""
	}
	return strings.TrimSpace(row[i])
}
