package log

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// form is the way in which a log writes its stamps.
type form uint8

const (
	undecided  form = iota
	numberForm      // a number of some unit
	clockForm       // mm:ss, hh:mm or hh:mm:ss
	datedForm       // a date and a time of day
)

// Meanings of Time.Form besides the units of time.
const (
	epochSeconds  = "epoch s"
	epochMillis   = "epoch ms"
	minuteSeconds = "mm:ss"
	hourMinutes   = "hh:mm"
	hourSeconds   = "hh:mm:ss"
	timeOfDay     = "time of day"
)

// clockForms lists the forms that are written with colons.
var clockForms = []string{minuteSeconds, hourMinutes, hourSeconds, timeOfDay}

// timeForms lists all of them for messages.
func timeForms() []string {
	return append(append(quantity.Units(spec.Time), epochSeconds, epochMillis), clockForms...)
}

// stamper reads the stamps of one log as nanoseconds since some beginning. The
// first stamp decides the form of all.
type stamper struct {
	want    Time
	heading heading
	at      int // its column, from 0
	dateAt  int // that of the date, or -1
	numbers *numbers

	form      form
	unit      conversion // of numbers; no scale where nobody states the unit
	epoch     bool       // stamps count from 1970
	clock     string     // one of clockForms, or empty for what three numbers say
	order     dateOrder
	zoned     bool
	days      int64 // passed by a clock that tells no date, ns
	last      int64 // what such a clock told last
	midnights int
	finding   string
}

// newStamper checks what the request says of the time.
func newStamper(want Time, hs headings, n *numbers) (*stamper, error) {
	s := &stamper{want: want, dateAt: -1, numbers: n}
	var err error
	if s.at, err = hs.find(want.Column); err != nil {
		return nil, fmt.Errorf("the time: %w", err)
	}
	s.heading = hs[s.at]
	if want.Date != "" {
		if s.dateAt, err = hs.find(want.Date); err != nil {
			return nil, fmt.Errorf("the date: %w", err)
		}
	}
	known := false
	if s.order, known = dateOrders[want.DateForm]; !known {
		return nil, fmt.Errorf("the form %q of dates is not known: state dd/mm/yyyy or mm/dd/yyyy", shorten(want.DateForm))
	}
	_, unit := s.statedUnit(want.Form)
	if want.Form != "" && !slices.Contains(clockForms, want.Form) && !unit {
		return nil, fmt.Errorf("the form %q of the time is not known: state %s", shorten(want.Form), orList(timeForms()))
	}
	return s, nil
}

// statedUnit returns the conversion from a unit of time or of epochs.
func (s *stamper) statedUnit(text string) (conversion, bool) {
	unit := strings.TrimSpace(strings.TrimPrefix(text, "epoch "))
	if unit != text && text != epochSeconds && text != epochMillis {
		return conversion{}, false
	}
	conv, err := conversionFrom(unit, spec.Time)
	return conv, err == nil && unit != ""
}

// decide settles the form from the first stamp of the log and the date beside
// it, if there is one.
func (s *stamper) decide(cell, beside string) error {
	switch {
	case s.dateAt >= 0:
		s.form = datedForm
		return s.decideDated(beside, cell)
	case strings.Contains(cell, ":"):
		if date, clock, ok := cutDate(cell); ok {
			s.form = datedForm
			return s.decideDated(date, clock)
		}
		s.form = clockForm
		return s.decideClock(cell)
	}
	s.form = numberForm
	return s.decideUnit(cell)
}

func (s *stamper) decideUnit(cell string) error {
	if _, ok := parseDate(cell); ok {
		return fmt.Errorf("%q is a date without a time of day: name the column of the time of day as well", shorten(cell))
	}
	if slices.Contains(clockForms, s.want.Form) {
		return fmt.Errorf("%q is not of the stated form %s, for example 00:12:30", shorten(cell), s.want.Form)
	}
	return s.settleUnit()
}

// settleUnit finds out what the numbers of the time count.
func (s *stamper) settleUnit() error {
	written, err := s.writtenForm()
	if err != nil {
		return err
	}
	stated := s.want.Form
	if stated == "" {
		stated = written
	}
	s.unit, _ = s.statedUnit(stated)
	s.epoch = strings.HasPrefix(stated, "epoch ")
	if conv, ok := s.statedUnit(written); ok && !conv.sameAs(s.unit) {
		s.finding = fmt.Sprintf("the log says %s, it is read in %s as stated", written, stated)
	}
	return nil
}

// writtenForm returns the unit of time or the form that the log states, "" if
// it states none.
func (s *stamper) writtenForm() (string, error) {
	var found []string
	for _, text := range []string{s.heading.row, s.heading.unit} {
		if _, ok := s.statedUnit(text); ok || slices.Contains(clockForms, text) {
			found = append(found, text)
		}
	}
	if len(found) == 0 {
		return "", nil
	}
	if len(found) == 2 && found[0] != found[1] && s.want.Form == "" {
		return "", fmt.Errorf("the heading says %s and the row of units %s: state the form of the time", found[1], found[0])
	}
	return found[0], nil
}

func (s *stamper) decideClock(cell string) error {
	_, fields, fraction, ok := parseClock(cell)
	if !ok {
		return fmt.Errorf("%q is not a time: write for example 00:12:30", shorten(cell))
	}
	written, err := s.writtenForm()
	if err != nil {
		return err
	}
	s.clock = s.want.Form
	if s.clock == "" && slices.Contains(clockForms, written) {
		s.clock = written
	}
	switch {
	case s.clock != "" && !slices.Contains(clockForms, s.clock):
		return fmt.Errorf("%q is not of the stated form %s, for example 12.5", shorten(cell), s.clock)
	case s.clock == "" && fields == 2 && fraction:
		s.clock = minuteSeconds
	case s.clock == "" && fields == 2:
		first, last, _ := strings.Cut(cell, ":")
		return fmt.Errorf("%q is %s min %s s as mm:ss and %s h %s min as hh:mm: state which", cell, first, last, first, last)
	case s.clock == hourMinutes && fraction, s.clock == minuteSeconds && fields == 3, s.clock == hourSeconds && fields == 2, s.clock == hourMinutes && fields == 3:
		return fmt.Errorf("%q is not of the stated form %s", shorten(cell), s.clock)
	}
	return nil
}

func (s *stamper) decideDated(written, clock string) error {
	if s.want.Form != "" {
		return fmt.Errorf("%q has a date, so the stated form %s has no place: leave it out", shorten(written), s.want.Form)
	}
	d, ok := parseDate(written)
	if !ok {
		return fmt.Errorf("%q is not a date: write for example 2025-03-28", shorten(written))
	}
	if s.order == unknownOrder && !d.yearFirst {
		s.order = d.order()
		if s.order == unknownOrder {
			return fmt.Errorf("%q is %s as dd/mm/yyyy and %s as mm/dd/yyyy: state the form of dates", written, d.iso(dayFirst), d.iso(monthFirst))
		}
	}
	_, _, s.zoned, _ = cutZone(clock)
	if _, ok := s.dated(written, clock); !ok {
		return fmt.Errorf("%q is not a date and time between %d and %d: write for example 2025-03-28 14:05:30", shorten(written+" "+clock), firstYear, lastYear)
	}
	return nil
}

// iso writes the date as one that cannot be misread.
func (d date) iso(order dateOrder) string {
	ns, ok := d.on(order)
	if !ok {
		return "no date"
	}
	return time.Unix(0, ns).UTC().Format(time.DateOnly)
}

// read returns the stamp in a cell, with the date beside it where that stands
// alone. It returns errNoValue for a cell that is not of the log's form.
func (s *stamper) read(cell, beside string, at place) (int64, error) {
	ok := false
	var ns int64
	switch s.form {
	case numberForm:
		x, err := s.numbers.parse(cell, at)
		if err != nil {
			return 0, err
		}
		return s.fromNumber(x)
	case clockForm:
		ns, ok = s.told(cell)
	case datedForm:
		date, clock := beside, cell
		if s.dateAt < 0 {
			date, clock, _ = cutDate(cell)
		}
		ns, ok = s.dated(date, clock)
	}
	if !ok {
		return 0, errNoValue
	}
	return ns, nil
}

// fromNumber converts a number of the log's unit. Without a unit it counts
// seconds, until checkUnit asks for one. The whole part is converted exactly: the
// nanoseconds of an epoch have more digits than a float64.
func (s *stamper) fromNumber(x float64) (int64, error) {
	unit := float64(second)
	if s.unit.scale != 0 {
		unit = math.Round(s.unit.scale * float64(second))
	}
	if !(math.Abs(x*unit) < float64(farthest)) {
		return 0, errNoValue
	}
	whole, part := math.Modf(x)
	return int64(whole)*int64(unit) + int64(math.Round(part*unit)), nil
}

// told reads a clock without a date.
func (s *stamper) told(cell string) (int64, bool) {
	ns, fields, fraction, ok := parseClock(cell)
	switch {
	case !ok || fraction && s.clock == hourMinutes:
		return 0, false
	case s.clock == hourMinutes:
		ns *= 60
	case s.clock == timeOfDay && fields == 2 && !fraction:
		ns *= 60
	}
	if two := s.clock == minuteSeconds || s.clock == hourMinutes; two != (fields == 2) && s.clock != timeOfDay {
		return 0, false
	}
	if s.clock != timeOfDay {
		return ns, true
	}
	return s.passing(ns)
}

// passing adds the days that a clock without a date has passed: it runs back by
// more than half a day only at midnight.
func (s *stamper) passing(ns int64) (int64, bool) {
	if ns >= day {
		return 0, false
	}
	if s.last-ns > day/2 {
		s.days += day
		s.midnights++
	}
	s.last = ns
	return s.days + ns, s.days < farthest
}

// dated reads a date and a time of day, with a zone if the first stamp had one.
func (s *stamper) dated(written, clock string) (int64, bool) {
	d, ok := parseDate(written)
	if !ok || s.order == unknownOrder && !d.yearFirst {
		return 0, false
	}
	begin, ok := d.on(s.order)
	if !ok {
		return 0, false
	}
	clock, offset, zoned, ok := cutZone(clock)
	if !ok || zoned != s.zoned {
		return 0, false
	}
	ns, fields, fraction, ok := parseClock(clock)
	if fields == 2 && !fraction {
		ns *= 60 // a time of day of two numbers is hh:mm
	}
	if !ok || ns >= day || fields == 2 && fraction {
		return 0, false
	}
	return begin + ns - offset, true
}

// start returns the moment of a stamp; zero where the log tells no date.
func (s *stamper) start(ns int64) time.Time {
	if s.form == datedForm || s.epoch {
		return time.Unix(0, ns).UTC()
	}
	return time.Time{}
}
