package log

import (
	"strconv"
	"strings"
	"time"
)

// Parts of a day in nanoseconds.
const (
	second = int64(time.Second)
	minute = int64(time.Minute)
	hour   = int64(time.Hour)
	day    = 24 * hour
)

// longestClock bounds the first number of a clock's reading, so that its hours
// fit into nanoseconds.
const longestClock = 6

// parseClock reads mm:ss, hh:mm or hh:mm:ss, the seconds with or without a
// fraction behind a point or a comma. It returns what the numbers are worth if
// the last one is seconds.
func parseClock(text string) (ns int64, numbers int, fraction, ok bool) {
	whole, tail, fraction := cutFraction(text)
	fields, numbers := cutFields(whole, ':')
	if numbers < 2 || numbers > 3 || len(fields[0]) > longestClock {
		return 0, 0, false, false
	}
	total := int64(0)
	for i, f := range fields[:numbers] {
		n, err := strconv.Atoi(f)
		if !isDigits(f) || err != nil || i > 0 && (len(f) != 2 || n > 59) {
			return 0, 0, false, false
		}
		total = total*60 + int64(n)
	}
	part, ok := fractionOf(tail)
	if fraction && !ok {
		return 0, 0, false, false
	}
	return total*second + part, numbers, fraction, true
}

// cutFields divides text at each mark. It returns how many fields there are,
// of which those beyond the third are not divided.
func cutFields(text string, mark byte) (fields [4]string, n int) {
	for n < len(fields)-1 {
		i := strings.IndexByte(text, mark)
		if i < 0 {
			break
		}
		fields[n], text = text[:i], text[i+1:]
		n++
	}
	fields[n] = text
	return fields, n + 1
}

// cutFraction divides a clock's reading at the mark before its fraction.
func cutFraction(text string) (whole, tail string, found bool) {
	if i := strings.IndexAny(text, ".,"); i >= 0 {
		return text[:i], text[i+1:], true
	}
	return text, "", false
}

// fractionOf returns the nanoseconds of the digits behind a decimal mark;
// further digits are cut off.
func fractionOf(digits string) (int64, bool) {
	if !isDigits(digits) {
		return 0, false
	}
	ns, unit := int64(0), second
	for i := range len(digits) {
		unit /= 10
		ns += int64(digits[i]-'0') * unit
	}
	return ns, true
}

// cutDate divides a date and time, with a blank or a T between them.
func cutDate(text string) (date, clock string, ok bool) {
	i := strings.IndexAny(text, "T ")
	if i < 0 {
		return "", "", false
	}
	return text[:i], strings.TrimSpace(text[i+1:]), true
}

// cutZone divides a time of day and the zone behind it, Z or an offset from
// UTC: +01:00 or +0100.
func cutZone(clock string) (rest string, offset int64, zone, ok bool) {
	if rest, found := strings.CutSuffix(clock, "Z"); found {
		return rest, 0, true, true
	}
	i := strings.LastIndexAny(clock, "+-")
	if i < 0 {
		return clock, 0, false, true
	}
	digits := strings.Replace(clock[i+1:], ":", "", 1)
	if len(digits) != 4 || !isDigits(digits) {
		return "", 0, false, false
	}
	n, err := strconv.Atoi(digits)
	if err != nil || n/100 > 23 || n%100 > 59 {
		return "", 0, false, false
	}
	offset = int64(n/100)*hour + int64(n%100)*minute
	if clock[i] == '-' {
		offset = -offset
	}
	return clock[:i], offset, true, true
}

// date is a day as written, still without the meaning of its numbers.
type date struct {
	numbers   [3]int
	yearFirst bool
	points    bool // between the numbers
}

// parseDate reads three numbers with the same mark between them, one of which,
// the first or the last, is a year of four digits.
func parseDate(text string) (date, bool) {
	i := strings.IndexAny(text, "-./")
	if i < 0 {
		return date{}, false
	}
	fields, n := cutFields(text, text[i])
	if n != 3 {
		return date{}, false
	}
	d := date{yearFirst: len(fields[0]) == 4, points: text[i] == '.'}
	for k, f := range fields[:n] {
		n, err := strconv.Atoi(f)
		year := k == 0 && d.yearFirst || k == 2 && !d.yearFirst
		if !isDigits(f) || err != nil || year && len(f) != 4 || !year && len(f) > 2 {
			return date{}, false
		}
		d.numbers[k] = n
	}
	return d, true
}

// Orders of day and month in dates that do not begin with the year.
type dateOrder uint8

const (
	unknownOrder dateOrder = iota
	dayFirst
	monthFirst
)

// dateOrders are the spellings of Time.DateForm.
var dateOrders = map[string]dateOrder{"": unknownOrder, "dd/mm/yyyy": dayFirst, "mm/dd/yyyy": monthFirst}

// order returns the order that the date itself shows.
func (d date) order() dateOrder {
	switch {
	case d.points || d.numbers[0] > 12:
		return dayFirst
	case d.numbers[1] > 12:
		return monthFirst
	}
	return unknownOrder
}

// on returns the beginning of the day in nanoseconds since 1970, as if in UTC.
// It reports false for a day that does not exist or lies too far away.
func (d date) on(order dateOrder) (int64, bool) {
	y, m, dd := d.numbers[0], d.numbers[1], d.numbers[2]
	switch {
	case d.yearFirst:
	case order == monthFirst:
		y, m, dd = dd, y, m
	default:
		y, dd = dd, y
	}
	t := time.Date(y, time.Month(m), dd, 0, 0, 0, 0, time.UTC) // a day that does not exist falls into another month
	if int(t.Month()) != m || y < firstYear || y > lastYear {
		return 0, false
	}
	return t.UnixNano(), true
}

// Years of stamps: they keep every moment within farthest of 1970.
const (
	firstYear = 1850
	lastYear  = 2099
)

// farthest bounds every stamp, ns, so that the difference of any two fits into
// 64 bits: 146 years.
const farthest = int64(1) << 62
