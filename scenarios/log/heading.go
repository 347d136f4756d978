package log

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"soakledger/sim/spec"
)

// mostListed bounds the columns that a message lists.
const mostListed = 20

// heading is what stands above a column.
type heading struct {
	text string // as in the file, without blanks around it
	name string // without the unit
	unit string // in brackets at its end or behind a slash
	row  string // unit in the row of units, where there is one
}

// split divides a heading: "Inlet [degC]", "Inlet (degC)" and "Inlet / degC"
// are the quantity and its unit.
func split(text string) heading {
	h := heading{text: text, name: text}
	open := opening(text)
	switch slash := strings.IndexByte(text, '/'); {
	case open >= 0:
		h.name, h.unit = strings.TrimSpace(text[:open]), strings.TrimSpace(text[open+1:len(text)-1])
	case slash > 0:
		h.name, h.unit = strings.TrimSpace(text[:slash]), strings.TrimSpace(text[slash+1:])
	}
	return h
}

// opening returns where the bracket opens that closes at the end of text, or
// -1: a unit may have brackets of its own, as J/(kg K) has.
func opening(text string) int {
	depth := 0
	for i := len(text) - 1; i >= 0; i-- {
		switch text[i] {
		case ')', ']':
			depth++
		case '(', '[':
			depth--
		}
		if depth == 0 {
			if i == len(text)-1 {
				return -1
			}
			return i
		}
	}
	return -1
}

// cellUnit returns the unit in a cell of the row of units.
func cellUnit(cell string) string {
	if opening(cell) == 0 {
		cell = strings.TrimSpace(cell[1 : len(cell)-1])
	}
	if cell == "-" {
		return ""
	}
	return cell
}

// headings are those of a file, from left to right.
type headings []heading

// find returns the index of the column that a choice means (see Request).
func (hs headings) find(choice string) (int, error) {
	choice = strings.TrimSpace(choice)
	if choice == "" {
		return 0, fmt.Errorf("a column is missing in the request: choose one of %s", hs.list())
	}
	if found := hs.called(choice); len(found) > 0 {
		return hs.single(choice, found)
	}
	base, number, ok := cutNumber(choice)
	if !ok {
		return 0, hs.unknown(choice)
	}
	found := hs.called(base)
	if base == "" {
		found = hs.all()
	}
	switch {
	case len(found) == 0:
		return 0, hs.unknown(base)
	case number > len(found) && base == "":
		return 0, fmt.Errorf("there is no column %q: the file has %s", choice, plural(len(hs), "column"))
	case number > len(found):
		return 0, fmt.Errorf("there is no column %q: %d are called %q", choice, len(found), shorten(base))
	}
	return found[number-1], nil
}

func (hs headings) all() []int {
	list := make([]int, len(hs))
	for i := range list {
		list[i] = i
	}
	return list
}

// called returns the columns that have the heading, in the strictest sense in
// which any has it.
func (hs headings) called(choice string) []int {
	if choice == "" {
		return nil
	}
	for _, same := range []func(h heading) bool{
		func(h heading) bool { return h.text == choice },
		func(h heading) bool { return h.name == choice },
		func(h heading) bool { return strings.EqualFold(h.text, choice) || strings.EqualFold(h.name, choice) },
	} {
		var found []int
		for i, h := range hs {
			if same(h) {
				found = append(found, i)
			}
		}
		if found != nil {
			return found
		}
	}
	return nil
}

func (hs headings) single(choice string, found []int) (int, error) {
	if len(found) == 1 {
		return found[0], nil
	}
	var choices []string
	for k, i := range found[:min(len(found), mostListed)] {
		choices = append(choices, fmt.Sprintf("%q (column %d)", fmt.Sprintf("%s #%d", choice, k+1), i+1))
	}
	return 0, fmt.Errorf("%d columns are called %q: write %s", len(found), shorten(choice), orList(choices))
}

func (hs headings) unknown(choice string) error {
	var names []string
	for _, h := range hs {
		names = append(names, h.text, h.name)
	}
	if near := spec.Nearest(choice, names); near != "" {
		return fmt.Errorf("there is no column %q; did you mean %q? The file has %s", shorten(choice), near, hs.list())
	}
	return fmt.Errorf("there is no column %q: the file has %s", shorten(choice), hs.list())
}

// list names the columns for messages.
func (hs headings) list() string {
	var names []string
	for i, h := range hs[:min(len(hs), mostListed)] {
		name := strconv.Quote(shorten(h.text))
		if h.text == "" {
			name = fmt.Sprintf("\"#%d\"", i+1)
		}
		names = append(names, name)
	}
	if rest := len(hs) - len(names); rest > 0 {
		names = append(names, fmt.Sprintf("%d more", rest))
	}
	return strings.Join(names, ", ")
}

// cutNumber divides "Temp #2" into "Temp" and 2.
func cutNumber(choice string) (base string, number int, ok bool) {
	i := strings.LastIndexByte(choice, '#')
	if i < 0 || !isDigits(choice[i+1:]) {
		return "", 0, false
	}
	number, err := strconv.Atoi(choice[i+1:])
	return strings.TrimSpace(choice[:i]), number, err == nil && number > 0
}

// isDigits reports whether text consists of one or more decimal digits.
func isDigits(text string) bool {
	return text != "" && !slices.ContainsFunc([]byte(text), func(c byte) bool { return c < '0' || c > '9' })
}
