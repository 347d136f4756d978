package log

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// numbers reads the numbers of one log and learns from them how it writes
// decimals: a log has one decimal mark.
type numbers struct {
	mark   byte // '.' or ','; 0 until a number shows it
	sure   bool // a comma is a decimal mark for certain, and groups no digits
	doubt  place
	sample string // the number at doubt
}

// place is where something stands in a file.
type place struct {
	line   int
	column int // from 0
}

// newNumbers takes the mark that a request states, if it does.
func newNumbers(decimal string) (*numbers, error) {
	switch decimal {
	case "":
		return &numbers{}, nil
	case ".", ",":
		return &numbers{mark: decimal[0], sure: true}, nil
	}
	return nil, fmt.Errorf("the decimal mark %q is not known: state \".\" or \",\", or nothing for what the log shows", shorten(decimal))
}

// parse reads a cell. It returns errNoValue for what is no finite number; any
// other error says that numbers of the log contradict each other.
func (n *numbers) parse(cell string, at place) (float64, error) {
	mark, index, err := decimalMark(cell)
	if err != nil {
		return 0, err
	}
	plain := cell
	if mark == ',' {
		plain = cell[:index] + "." + cell[index+1:]
	}
	x, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, errNoValue
	}
	if mark != 0 {
		err = n.learn(mark, cell, index, at)
	}
	return x, err
}

// decimalMark returns the mark in a number and where it is. It refuses
// everything that is not made of digits, signs, exponents and one mark.
func decimalMark(cell string) (mark byte, index int, err error) {
	if cell == "" {
		return 0, 0, errNoValue
	}
	marks, both := 0, false
	for i := range len(cell) {
		switch c := cell[i]; {
		case c >= '0' && c <= '9', c == '+', c == '-', c == 'e', c == 'E':
		case c == '.' || c == ',':
			both = both || mark != 0 && mark != c
			mark, index = c, i
			marks++
		default:
			return 0, 0, errNoValue
		}
	}
	if both {
		return 0, 0, fmt.Errorf("%q has grouped digits: write numbers without separators between thousands, for example 1234.5", shorten(cell))
	}
	if marks > 1 {
		return 0, 0, errNoValue
	}
	return mark, index, nil
}

// learn compares the mark of a cell with that of the cells before.
func (n *numbers) learn(mark byte, cell string, index int, at place) error {
	if n.mark != 0 && n.mark != mark {
		return fmt.Errorf("%q has a decimal %s, but the decimal mark of this log is a %s: a log has one decimal mark, for example 21.5 throughout",
			shorten(cell), markName(mark), markName(n.mark))
	}
	if n.mark == 0 && mark == ',' {
		n.doubt, n.sample = at, cell
	}
	n.mark = mark
	n.sure = n.sure || mark == '.' || !groupsDigits(cell, index)
	return nil
}

func markName(mark byte) string {
	if mark == ',' {
		return "comma"
	}
	return "point"
}

// groupsDigits reports whether the comma in a number may as well separate the
// thousands: 1 to 3 digits before it, not beginning with 0, and 3 after it.
func groupsDigits(cell string, comma int) bool {
	whole := strings.TrimLeft(cell[:comma], "+-")
	return len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' && len(cell)-comma-1 == 3 && isDigits(cell[comma+1:])
}

// check returns an error if commas were read that could be either mark to the
// very end.
func (n *numbers) check() error {
	if n.mark != ',' || n.sure {
		return nil
	}
	point := strings.Replace(n.sample, ",", ".", 1)
	joined := strings.Replace(n.sample, ",", "", 1)
	return fmt.Errorf("%q is %s if the comma is a decimal mark and %s if it groups digits, and no number of the log tells which: state the decimal mark, \",\" for the first; write numbers without groups for the second",
		shorten(n.sample), point, joined)
}
