package log

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

// mostPlaces bounds the places that a finding lists.
const mostPlaces = 3

// table collects the rows of one log, column by column.
type table struct {
	file    string
	rows    string // what its rows are called in messages: line or row
	sort    bool
	stamper *stamper
	numbers *numbers
	columns []*column
	stamps  []int64 // ns, of the rows that have one
	first   int64   // the earliest of them
	counts  Counts

	unplaced []string // places of the first rows without a stamp
	backward place    // the first stamp that runs backward
}

// column collects the cells of one column of the request.
type column struct {
	want    Column
	at      int // in the file, from 0
	heading heading
	conv    conversion
	finding string // of its unit
	values  []float64
	holes   int
	hole    place // the first
	strange int
	places  []string // of the first cells that are no values
}

// newTable prepares the columns that are wanted of a file. Its error does not
// name the file.
func newTable(file, rows string, want Request, hs headings) (*table, error) {
	t := &table{file: file, rows: rows, sort: want.Sort}
	var err error
	if t.numbers, err = newNumbers(want.Decimal); err != nil {
		return nil, err
	}
	if t.stamper, err = newStamper(want.Time, hs, t.numbers); err != nil {
		return nil, err
	}
	for _, w := range want.Columns {
		c := &column{want: w}
		if c.at, err = hs.find(w.Heading); err != nil {
			return nil, err
		}
		t.columns = append(t.columns, c)
	}
	if len(t.columns) == 0 {
		return nil, fmt.Errorf("no column is asked for: choose one or more of %s", hs.list())
	}
	return t, nil
}

// units settles the units of all columns, once everything is known that stands
// above the data.
func (t *table) units(hs headings, line int) error {
	t.stamper.heading = hs[t.stamper.at]
	for _, c := range t.columns {
		c.heading = hs[c.at]
		var err error
		if c.conv, c.finding, err = conversionOf(c.want, c.heading); err != nil {
			return t.fault(place{line, c.at}, c.heading, err)
		}
	}
	return nil
}

// fault gives an error its place.
func (t *table) fault(at place, h heading, err error) error {
	return &Error{File: t.file, Line: at.line, Column: at.column + 1, Heading: h.text, Text: err.Error()}
}

// shown writes a cell with its place for a finding.
func (t *table) shown(cell string, line int) string {
	if cell == "" {
		return fmt.Sprintf("nothing in %s %d", t.rows, line)
	}
	return fmt.Sprintf("%q in %s %d", shorten(cell), t.rows, line)
}

// stamp adds a row with its stamp as written and the date beside it. It reports
// false for a row that has no stamp and is left out.
func (t *table) stamp(cell, beside string, line int) (bool, error) {
	s := t.stamper
	at := place{line, s.at}
	if cell == "" {
		return false, t.unstamped(cell, at)
	}
	if s.form == undecided {
		if err := s.decide(cell, beside); err != nil {
			return false, t.fault(at, s.heading, err)
		}
	}
	ns, err := s.read(cell, beside, at)
	switch {
	case errors.Is(err, errNoValue):
		return false, t.unstamped(cell, at)
	case err != nil:
		return false, t.fault(at, s.heading, err)
	}
	return true, t.push(ns, at, cell)
}

// unstamped counts a row without a stamp. If that is the first of all, nothing
// is known of the form of stamps, and a log without them is no log.
func (t *table) unstamped(cell string, at place) error {
	if cell != "" && len(t.stamps) == 0 {
		return t.fault(at, t.stamper.heading, fmt.Errorf("%q is not a stamp: write for example 12.5 with the unit s in the heading, 00:12:30 or 2025-03-28 14:05:30", shorten(cell)))
	}
	t.counts.Rows++
	t.counts.Unplaced++
	if len(t.unplaced) < mostPlaces {
		t.unplaced = append(t.unplaced, t.shown(cell, at.line))
	}
	return nil
}

// push adds a row with its stamp, which is in ns and, in text, as written.
func (t *table) push(ns int64, at place, cell string) error {
	t.counts.Rows++
	if n := len(t.stamps); n == 0 {
		t.first = ns
	} else if ns < t.stamps[n-1] {
		if !t.sort {
			return t.fault(at, t.stamper.heading, t.backwardError(cell, ns, t.stamps[n-1]))
		}
		if t.counts.Backward == 0 {
			t.backward = at
		}
		t.counts.Backward++
	}
	t.first = min(t.first, ns)
	t.stamps = append(t.stamps, ns)
	return nil
}

func (t *table) backwardError(cell string, ns, above int64) error {
	hint := "mend the log, or ask for its rows to be put in order"
	if t.stamper.form == clockForm && above-ns > day/2 && t.stamper.clock != timeOfDay {
		hint = "if the clock passed midnight, name the column of the date or state the form " + timeOfDay
	}
	switch {
	case cell != "":
	case t.stamper.form == datedForm:
		cell = time.Unix(0, ns).UTC().Format(time.RFC3339Nano)
	default:
		cell = span(ns)
	}
	return fmt.Errorf("the stamp %s lies %s before that of the row above, but stamps must not run backward: %s", shorten(cell), span(above-ns), hint)
}

// cell adds the value of a column to the row that was stamped last, from text.
func (t *table) cell(c *column, text string, line int) error {
	if text == "" {
		c.missing(place{line, c.at})
		return nil
	}
	x, err := t.numbers.parse(text, place{line, c.at})
	if err == nil {
		x, err = c.si(x)
	}
	switch {
	case errors.Is(err, errNoValue):
		c.noValue(t.shown(text, line))
	case err != nil:
		return t.fault(place{line, c.at}, c.heading, err)
	default:
		c.values = append(c.values, x)
	}
	return nil
}

// si converts a number of the column, and refuses what no such quantity can be.
func (c *column) si(x float64) (float64, error) {
	x = c.conv.si(x)
	if math.IsNaN(x) || math.IsInf(x, 0) || x < lowest(c.want.Dimension) {
		return 0, errNoValue
	}
	return x, nil
}

// missing adds a cell without a value.
func (c *column) missing(at place) {
	if c.holes == 0 {
		c.hole = at
	}
	c.holes++
	c.values = append(c.values, math.NaN())
}

// noValue adds a cell that has something else than a value.
func (c *column) noValue(shown string) {
	if len(c.places) < mostPlaces {
		c.places = append(c.places, shown)
	}
	c.strange++
	c.values = append(c.values, math.NaN())
}

// order puts the rows in the order of their stamps. Rows with the same stamp
// stay in the order of the file.
func (t *table) order() {
	if t.counts.Backward == 0 {
		return
	}
	rows := make([]int, len(t.stamps))
	for i := range rows {
		rows[i] = i
	}
	slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(t.stamps[a], t.stamps[b]) })
	t.stamps = permuted(t.stamps, rows)
	for _, c := range t.columns {
		c.values = permuted(c.values, rows)
	}
}

func permuted[T any](list []T, rows []int) []T {
	moved := make([]T, len(list))
	for i, row := range rows {
		moved[i] = list[row]
	}
	return moved
}

// times returns the seconds from the first stamp to each, rising. Rows with the
// same stamp become one: in each column the last value of theirs counts.
func (t *table) times() []float64 {
	times := make([]float64, 0, len(t.stamps))
	for row, ns := range t.stamps {
		at, n := float64(ns-t.first)/float64(second), len(times)
		if n > 0 && at == times[n-1] {
			t.counts.Duplicates++
			n--
		} else {
			times = append(times, at)
			for _, c := range t.columns {
				c.values[n] = c.values[row]
			}
			continue
		}
		for _, c := range t.columns {
			if x := c.values[row]; !math.IsNaN(x) {
				c.values[n] = x
			}
		}
	}
	for _, c := range t.columns {
		c.values = c.values[:len(times)]
	}
	t.counts.Stamps = len(times)
	return times
}
