package log

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"soakledger/sim/spec"
)

// parse reads a log from a text.
func parse(text string, want Request) (Log, error) {
	return Read(fstest.MapFS{"bench.csv": {Data: []byte(text)}}, "bench.csv", want)
}

// coolant asks for one temperature, with the time in column t.
var coolant = Request{Time: Time{Column: "t"}, Columns: []Column{{Heading: "coolant", Dimension: spec.Temperature}}}

// with returns coolant with a change.
func with(change func(r *Request)) Request {
	r := coolant
	r.Columns = slices.Clone(r.Columns)
	change(&r)
	return r
}

// refusal is a log that is refused, and the beginning of what its user is told.
type refusal struct {
	text string
	want Request
	err  string
}

// refuse checks that logs are refused with their place, what was given, what is
// allowed, an example.
func refuse(t *testing.T, cases map[string]refusal) {
	t.Helper()
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			l, err := parse(c.text, c.want)
			var fault *Error
			if !errors.As(err, &fault) || !strings.HasPrefix(err.Error(), c.err) {
				t.Errorf("read as %+v, error\n%v\nwant\n%s", l, err, c.err)
			}
		})
	}
}

// TestErrors: broken text, columns, units and numbers.
func TestErrors(t *testing.T) {
	refuse(t, map[string]refusal{
		"empty":             {"", coolant, `bench.csv: it is empty: a log begins with headings, for example Time [s];Coolant [degC]`},
		"comments alone":    {"# nothing\n\n// here\n", coolant, `bench.csv: it is empty`},
		"no data":           {"t [s];coolant [degC]\n", coolant, `bench.csv: there are no rows of data under the headings`},
		"no stamps":         {"t [s];coolant [degC]\n;21\n;22\n", coolant, `bench.csv: column 1 "t [s]": no row of 2 has a stamp`},
		"no headings":       {"0;21.5\n1;21.5\n", coolant, `bench.csv:1: there are no headings above the data: write what the columns are, for example`},
		"UTF-16":            {"\xff\xfet\x00;\x00", coolant, `bench.csv: it is written as UTF-16: save it as UTF-8`},
		"not text":          {"t;c\x00\x01", coolant, `bench.csv: it is neither text nor Parquet`},
		"open quote":        {"t [s];coolant [degC]\n0;\"21\n1;22\n", coolant, `bench.csv:3: extraneous or missing " in quoted-field: put quotes around a whole cell`},
		"stray quote":       {"t [s];coolant [degC]\n0;21\"5\n", coolant, `bench.csv:2: bare " in non-quoted-field: put quotes around`},
		"decimal commas":    {"t [s],coolant [degC]\n0,21,5\n", coolant, `bench.csv:2: 3 cells stand under 2 headings: where commas separate columns, write decimals with a point or in quotes, for example 21.5 or "21,5"`},
		"more cells":        {"t [s];coolant [degC]\n0;21;;7\n", coolant, `bench.csv:2: 4 cells stand under 2 headings: each column needs a heading`},
		"unknown column":    {"t [s];colant [degC]\n0;21\n", coolant, `bench.csv:1: there is no column "coolant"; did you mean "colant"? The file has "t [s]", "colant [degC]"`},
		"nothing like it":   {"t [s];x\n0;21\n", coolant, `bench.csv:1: there is no column "coolant": the file has "t [s]", "x"`},
		"no time":           {"clock;coolant [degC]\n0;21\n", coolant, `bench.csv:1: the time: there is no column "t": the file has`},
		"no time asked":     {"t;coolant [degC]\n0;21\n", with(func(r *Request) { r.Time.Column = "" }), `bench.csv:1: the time: a column is missing in the request: choose one of "t", "coolant [degC]"`},
		"no date":           {"t;coolant [degC]\n0;21\n", with(func(r *Request) { r.Time.Date = "day" }), `bench.csv:1: the date: there is no column "day"`},
		"twice":             {"t [s];coolant [degC];coolant [K]\n0;21\n", coolant, `bench.csv:1: 2 columns are called "coolant": write "coolant #1" (column 2) or "coolant #2" (column 3)`},
		"third of two":      {"t [s];coolant;coolant\n0;21\n", with(func(r *Request) { r.Columns[0].Heading = "coolant #3" }), `bench.csv:1: there is no column "coolant #3": 2 are called "coolant"`},
		"column 9":          {"t [s];coolant\n0;21\n", with(func(r *Request) { r.Columns[0].Heading = "#9" }), `bench.csv:1: there is no column "#9": the file has 2 columns`},
		"column 0":          {"t [s];coolant\n0;21\n", with(func(r *Request) { r.Columns[0].Heading = "#0" }), `bench.csv:1: there is no column "#0"`},
		"no columns asked":  {"t [s];coolant\n0;21\n", with(func(r *Request) { r.Columns = nil }), `bench.csv:1: no column is asked for: choose one or more of "t [s]", "coolant"`},
		"no unit":           {"t [s];coolant\n0;21\n", coolant, `bench.csv:1: column 2 "coolant": no unit is stated: write the unit into the heading, for example coolant [degC], or state it`},
		"no such unit":      {"t [s];coolant [W]\n0;21\n", coolant, `bench.csv:1: column 2 "coolant [W]": "W" is a unit of power, not of temperature: use degC, degF or K (for example 22 degC): write the unit into`},
		"garbled unit":      {"t [s];coolant [Â°C]\n0;21\n", coolant, `bench.csv:1: column 2 "coolant [Â°C]": "Â°C" is not a unit of temperature`},
		"two units":         {"t [s];coolant [K]\ns;degC\n0;21\n", coolant, `bench.csv:1: column 2 "coolant [K]": the heading says K and the row of units degC: state the unit`},
		"stated unit wrong": {"t [s];coolant [K]\n0;21\n", with(func(r *Request) { r.Columns[0].Unit = "psi" }), `bench.csv:1: column 2 "coolant [K]": the stated unit: "psi" is a unit of pressure`},
		"reciprocal":        {"t [s];coolant [K/W]\n0;21\n", with(func(r *Request) { r.Columns[0].Dimension = spec.Conductance }), `bench.csv:1: column 2 "coolant [K/W]": "K/W" is the reciprocal of what is asked for: use W/K`},
		"unit of a count":   {"t [s];coolant\n0;21\n", with(func(r *Request) { r.Columns[0] = Column{Heading: "coolant", Dimension: spec.Count, Unit: "K"} }), `bench.csv:1: column 2 "coolant": the stated unit: "K" has no place here`},
		"no values":         {"t [s];coolant [degC]\n0;\n1;\n", coolant, `bench.csv: column 2 "coolant [degC]": it has no value in 2 rows: all of its cells are empty`},
		"words for values":  {"t [s];coolant [degC]\n0;warm\n", coolant, `bench.csv: column 2 "coolant [degC]": it has no value in 1 row: its cells hold other things, for example "warm" in line 2: write numbers, for example 21.5`},
		"two marks":         {"t [s];coolant [degC]\n0;21,5\n1;21.5\n", coolant, `bench.csv:3: column 2 "coolant [degC]": "21.5" has a decimal point, but the decimal mark of this log is a comma: a log has one decimal mark, for example 21.5 throughout`},
		"mark against time": {"t [s];coolant [degC]\n0.5;21,5\n", coolant, `bench.csv:2: column 2 "coolant [degC]": "21,5" has a decimal comma, but the decimal mark of this log is a point`},
		"mark as stated":    {"t [s];coolant [degC]\n0;21,5\n", with(func(r *Request) { r.Decimal = "." }), `bench.csv:2: column 2 "coolant [degC]": "21,5" has a decimal comma`},
		"grouped digits":    {"t [s];coolant [K]\n0;1.234,5\n", coolant, `bench.csv:2: column 2 "coolant [K]": "1.234,5" has grouped digits: write numbers without separators`},
		"either mark":       {"t [s];coolant [K]\n0;1,234\n1;300\n", coolant, `bench.csv:2: column 2: "1,234" is 1.234 if the comma is a decimal mark and 1234 if it groups digits, and no number of the log tells which`},
		"unknown mark":      {"t [s];coolant [K]\n0;1\n", with(func(r *Request) { r.Decimal = "'" }), `bench.csv:1: the decimal mark "'" is not known: state "." or ","`},
	})
}

// TestTimeErrors: stamps that are none, can be read in two ways or contradict
// the request.
func TestTimeErrors(t *testing.T) {
	form := func(f string) Request { return with(func(r *Request) { r.Time.Form = f }) }
	refuse(t, map[string]refusal{
		"time without unit": {"t;coolant [degC]\n0;21\n1000;21\n2000;21\n", coolant, `bench.csv: column 1 "t": no unit is stated: as s the log is 2000 s long with a median step of 1000 s, as ms 2 s with 1 s: write the unit into the heading, for example t [s], or state it: s, min, h, ms, d, epoch s or epoch ms`},
		"time in m":         {"t [m];coolant [degC]\n0;21\n1;21\n", coolant, `bench.csv: column 1 "t [m]": "m" could be minutes or metres: as s`},
		"time in beats":     {"t [beat];coolant [degC]\n0;21\n1;21\n", coolant, `bench.csv: column 1 "t [beat]": "beat" is not a unit of time that is known: as s`},
		"two numbers":       {"t;coolant [degC]\n10:30;21\n", coolant, `bench.csv:2: column 1 "t": "10:30" is 10 min 30 s as mm:ss and 10 h 30 min as hh:mm: state which`},
		"either date":       {"t;coolant [degC]\n03/04/2025 10:30:00;21\n", coolant, `bench.csv:2: column 1 "t": "03/04/2025" is 2025-04-03 as dd/mm/yyyy and 2025-03-04 as mm/dd/yyyy: state the form of dates`},
		"date alone":        {"t;coolant [degC]\n2025-03-04;21\n", coolant, `bench.csv:2: column 1 "t": "2025-03-04" is a date without a time of day: name the column of the time of day as well`},
		"no such day":       {"t;coolant [degC]\n2025-02-29 10:00:00;21\n", coolant, `bench.csv:2: column 1 "t": "2025-02-29 10:00:00" is not a date and time between 1850 and 2099: write for example 2025-03-28 14:05:30`},
		"month 13":          {"t;coolant [degC]\n13/13/2025 10:00:00;21\n", coolant, `bench.csv:2: column 1 "t": "13/13/2025 10:00:00" is not a date and time`},
		"long ago":          {"t;coolant [degC]\n1601-01-01 10:00:00;21\n", coolant, `bench.csv:2: column 1 "t": "1601-01-01 10:00:00" is not a date and time between 1850 and 2099`},
		"short year":        {"t;coolant [degC]\n01.02.25 10:00:00;21\n", coolant, `bench.csv:2: column 1 "t": "01.02.25" is not a date: write for example 2025-03-28`},
		"no stamp":          {"t;coolant [degC]\nnoon;21\n", coolant, `bench.csv:2: column 1 "t": "noon" is not a stamp: write for example 12.5 with the unit s in the heading, 00:12:30 or`},
		"minute 60":         {"t;coolant [degC]\n00:60:00;21\n", coolant, `bench.csv:2: column 1 "t": "00:60:00" is not a time: write for example 00:12:30`},
		"backward":          {"t [s];coolant [degC]\n0;21\n2;21\n1.5;21\n", coolant, `bench.csv:4: column 1 "t [s]": the stamp 1.5 lies 500 ms before that of the row above, but stamps must not run backward: mend the log, or ask for its rows to be put in order`},
		"midnight":          {"t;coolant [degC]\n23:59:59;21\n00:00:01;21\n", coolant, `bench.csv:3: column 1 "t": the stamp 00:00:01 lies 86398 s before that of the row above, but stamps must not run backward: if the clock passed midnight, name the column of the date or state the form time of day`},
		"hour 24":           {"t;coolant [degC]\n24:00:00;21\n", form("time of day"), `bench.csv:2: column 1 "t": "24:00:00" is not a stamp: write for example 12.5`},
		"form unknown":      {"t;coolant [degC]\n1;21\n", form("ticks"), `bench.csv:1: the form "ticks" of the time is not known: state s, min, h, ms, d, epoch s, epoch ms, mm:ss, hh:mm, hh:mm:ss or time of day`},
		"epoch min":         {"t;coolant [degC]\n1;21\n", form("epoch min"), `bench.csv:1: the form "epoch min" of the time is not known`},
		"number for clock":  {"t;coolant [degC]\n1;21\n", form("mm:ss"), `bench.csv:2: column 1 "t": "1" is not of the stated form mm:ss, for example 00:12:30`},
		"clock for number":  {"t;coolant [degC]\n00:01;21\n", form("s"), `bench.csv:2: column 1 "t": "00:01" is not of the stated form s, for example 12.5`},
		"three for two":     {"t;coolant [degC]\n00:01:00;21\n", form("mm:ss"), `bench.csv:2: column 1 "t": "00:01:00" is not of the stated form mm:ss`},
		"two for three":     {"t;coolant [degC]\n00:01;21\n", form("hh:mm:ss"), `bench.csv:2: column 1 "t": "00:01" is not of the stated form hh:mm:ss`},
		"form for a date":   {"t;coolant [degC]\n2025-03-28 00:01:00;21\n", form("s"), `bench.csv:2: column 1 "t": "2025-03-28" has a date, so the stated form s has no place: leave it out`},
		"dates unknown":     {"t;coolant [degC]\n1;21\n", with(func(r *Request) { r.Time.DateForm = "d.m." }), `bench.csv:1: the form "d.m." of dates is not known: state dd/mm/yyyy or mm/dd/yyyy`},
		"units of time":     {"t [s];coolant [degC]\nms;degC\n1;21\n", coolant, `bench.csv:3: column 1 "t [s]": the heading says s and the row of units ms: state the form of the time`},
	})
}

// TestStamps reads the forms of stamps. The seconds are by hand.
func TestStamps(t *testing.T) {
	day := time.Date(2025, 3, 28, 14, 5, 30, 0, time.UTC)
	for name, c := range map[string]struct {
		heading string
		stamps  []string
		want    Time
		times   []float64
		start   time.Time
	}{
		"seconds":          {"t [s]", []string{"0.1", "0.3", "1e1"}, Time{}, []float64{0, 0.2, 9.9}, time.Time{}},
		"milliseconds":     {"t (ms)", []string{"500", "600", "65500"}, Time{}, []float64{0, 0.1, 65}, time.Time{}},
		"minutes":          {"t / min", []string{"1", "1.25", "3"}, Time{}, []float64{0, 15, 120}, time.Time{}},
		"hours as stated":  {"t", []string{"0", "0.5", "1"}, Time{Form: "h"}, []float64{0, 1800, 3600}, time.Time{}},
		"epoch seconds":    {"t", []string{"1743170730", "1743170730.5", "1743170733"}, Time{Form: "epoch s"}, []float64{0, 0.5, 3}, day},
		"epoch millis":     {"t [epoch ms]", []string{"1743170730000", "1743170730125"}, Time{}, []float64{0, 0.125}, day},
		"big seconds":      {"t [s]", []string{"1743170730", "1743170731"}, Time{}, []float64{0, 1}, time.Time{}},
		"mm:ss stated":     {"t", []string{"59:59", "60:00", "125:30"}, Time{Form: "mm:ss"}, []float64{0, 1, 3931}, time.Time{}},
		"mm:ss in heading": {"t (mm:ss)", []string{"00:10", "01:00"}, Time{}, []float64{0, 50}, time.Time{}},
		"mm:ss.f":          {"t", []string{"00:10.25", "01:00", "01:00,5"}, Time{}, []float64{0, 49.75, 50.25}, time.Time{}},
		"hh:mm":            {"t", []string{"23:59", "24:00", "100:00"}, Time{Form: "hh:mm"}, []float64{0, 60, 273660}, time.Time{}},
		"hh:mm:ss":         {"t", []string{"00:00:01", "0:01:00", "30:00:00.125"}, Time{}, []float64{0, 59, 107999.125}, time.Time{}},
		"over midnight":    {"t", []string{"23:59:58", "00:00:01.5", "23:00:00", "01:00:00"}, Time{Form: "time of day"}, []float64{0, 3.5, 82802, 90002}, time.Time{}},
		"hh:mm midnight":   {"t", []string{"23:59", "00:01"}, Time{Form: "time of day"}, []float64{0, 120}, time.Time{}},
		"ISO":              {"t", []string{"2025-03-28T14:05:30", "2025-03-28T14:05:30.5", "2025-03-29T00:00:00"}, Time{}, []float64{0, 0.5, 35670}, day},
		"ISO with a blank": {"t", []string{"2025-03-28 14:05:30", "2025-03-28 14:06"}, Time{}, []float64{0, 30}, day},
		"ISO with Z":       {"t", []string{"2025-03-28T14:05:30Z", "2025-03-28T14:05:31Z"}, Time{}, []float64{0, 1}, day},
		"ISO with zones":   {"t", []string{"2025-03-28T16:05:30+02:00", "2025-03-28T15:05:31+0100", "2025-03-28T06:05:32-08:00"}, Time{}, []float64{0, 1, 2}, day},
		"leap day":         {"t", []string{"2024-02-28 23:59:59", "2024-02-29 00:00:00", "2024-03-01 00:00:00"}, Time{}, []float64{0, 1, 86401}, time.Date(2024, 2, 28, 23, 59, 59, 0, time.UTC)},
		"points":           {"t", []string{"28.03.2025 14:05:30", "1.4.2025 14:05:30"}, Time{}, []float64{0, 345600}, day},
		"points, early":    {"t", []string{"03.04.2025 00:00:00", "04.04.2025 00:00:00"}, Time{}, []float64{0, 86400}, time.Date(2025, 4, 3, 0, 0, 0, 0, time.UTC)},
		"day first":        {"t", []string{"28/03/2025 14:05:30", "01/04/2025 14:05:30"}, Time{}, []float64{0, 345600}, day},
		"month first":      {"t", []string{"03/28/2025 14:05:30", "04/01/2025 14:05:30"}, Time{}, []float64{0, 345600}, day},
		"stated order":     {"t", []string{"04-03-2025 00:00:00", "05-03-2025 00:00:00"}, Time{DateForm: "mm/dd/yyyy"}, []float64{0, 2592000}, time.Date(2025, 4, 3, 0, 0, 0, 0, time.UTC)},
		"year first":       {"t", []string{"2025/03/28 14:05:30", "2025/04/01 14:05:30"}, Time{}, []float64{0, 345600}, day},
	} {
		t.Run(name, func(t *testing.T) {
			text := c.heading + ";coolant [degC]\n"
			for _, stamp := range c.stamps {
				text += stamp + ";21\n"
			}
			c.want.Column = "t"
			l, err := parse(text, with(func(r *Request) { r.Time = c.want }))
			if err != nil {
				t.Fatal(err)
			}
			if got := l.Readings[0].Series.Times; !slices.Equal(got, c.times) {
				t.Errorf("times %v, want %v", got, c.times)
			}
			if !l.Start.Equal(c.start) || l.Start.IsZero() != c.start.IsZero() {
				t.Errorf("start %v, want %v", l.Start, c.start)
			}
		})
	}
}

// TestStrangeRows: once the form is known, a stamp of another form leaves its
// row out, and says so.
func TestStrangeRows(t *testing.T) {
	for form, c := range map[string]struct{ first, strange string }{
		"s":           {"5", "0:05"},
		"m":           {"00:00:05", "5"},
		"two numbers": {"00:00:05", "00:06"},
		"hour 24":     {"2025-03-28 10:00:00", "2025-03-28 24:00:00"},
		"zone":        {"2025-03-28 10:00:00", "2025-03-28 10:00:01Z"},
		"no zone":     {"2025-03-28 10:00:00Z", "2025-03-28 10:00:01"},
		"date":        {"2025-03-28 10:00:00", "28/03/2025 10:00:01"},
		"fraction":    {"2025-03-28 10:00:00", "2025-03-28 10:00.5"},
		"huge":        {"5", "1e300"},
		"far":         {"5", "4611686019"},
		"bad zone":    {"2025-03-28 10:00:00Z", "2025-03-28 10:00:01+25:00"},
		"dots":        {"00:00:05", "00:00:06."},
	} {
		l, err := parse(fmt.Sprintf("t [s];coolant [degC]\n%s;21\n%s;22\n;23\n", c.first, c.strange), coolant)
		want := []string{fmt.Sprintf("time: 2 rows left out for want of a stamp: %q in line 3, nothing in line 4", c.strange)}
		if err != nil || !slices.Equal(l.Findings, want) || l.Counts.Unplaced != 2 || l.Counts.Stamps != 1 || l.Counts.Rows != 3 {
			t.Errorf("%s: %v, %v; want %q", form, l, err, want)
		}
	}
}

// TestSeparators: the same log in all separators, with and without a byte order
// mark, quotes, blanks, Windows line ends, trailing empties.
func TestSeparators(t *testing.T) {
	want, err := parse("t [s];coolant [degC]\n0;21.5\n2;22.25\n", coolant)
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"comma":        "t [s],coolant [degC]\n0,21.5\n2,22.25\n",
		"tab":          "t [s]\tcoolant [degC]\n0\t21.5\n2\t22.25\n",
		"tab, comma":   "t [s]\tcoolant [degC]\n0\t21,5\n2\t22,25\n",
		"comma, both":  "t [s],coolant [degC]\n\"0\",\"21,5\"\n\"2\",\"22,25\"\n",
		"byte order":   "\xef\xbb\xbft [s];coolant [degC]\n0;21,5\n2;22,25\n",
		"line ends":    "t [s];coolant [degC];\r\n0;21,5;\r\n2;22,25;\r\n",
		"no last end":  "t [s];coolant [degC]\n0;21,5\n2;22,25",
		"trailing":     "t [s],coolant [degC],,\n0,21.5,,,\n2,22.25\n",
		"blanks":       " t [s] , coolant [degC] \n 0 , \"21.5\"\n2,  22.25\n",
		"blank lines":  "\n\nt [s];coolant [degC]\n\n0;21.5\n;\n2;22.25\n\n",
		"signs":        "t [s];coolant [degC]\n+0;+21.5\n2e0;.2225e2\n",
		"in the name":  "t [s];\"coolant [degC]\"\n0;21.5\n2;22.25\n",
		"other column": "t [s];\"a, b, c, d, e [W]\";coolant [degC]\n0;x;21.5\n2;;22.25\n",
	} {
		got, err := parse(text, coolant)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v, %v; want %+v", name, got, err, want)
		}
	}
}

// TestTabsKeepEmptyCells: blanks are trimmed, but tabs are no blanks where they
// separate.
func TestTabsKeepEmptyCells(t *testing.T) {
	l, err := parse("t [s]\tnote\tcoolant [degC]\n0\t\t21.5\n2\tx\t22.25\n", coolant)
	if err != nil || !slices.Equal(l.Readings[0].Series.Times, []float64{0, 2}) {
		t.Errorf("%+v, %v", l, err)
	}
}

// TestPlacesAreBounded: findings stay short, counts do not.
func TestPlacesAreBounded(t *testing.T) {
	text := "t [s];coolant [degC]\n0;21\n"
	for i := range 20 {
		text += fmt.Sprintf("%d;n/a\n", i+1)
	}
	l, err := parse(text, coolant)
	want := `column 2 "coolant [degC]": 20 cells with no value of this quantity, "n/a" in line 3, "n/a" in line 4, "n/a" in line 5, …: the series has no samples there`
	if err != nil || !slices.Equal(l.Findings, []string{want}) || l.Readings[0].NotNumbers != 20 {
		t.Errorf("%v, %v; want %s", l, err, want)
	}
}

// TestNotANumber: words that the number parser of Go knows are no values.
func TestNotANumber(t *testing.T) {
	for _, cell := range []string{"NaN", "inf", "-Infinity", "0x10", "1_000", "1e999", "1 000", "1'000", "--", "5 °C", "1.2.3", "e", "-.-", "21,5,3"} {
		l, err := parse("t [s];coolant [degC]\n0;\""+cell+"\"\n1;20,5\n", coolant)
		if err != nil || l.Readings[0].NotNumbers != 1 || !slices.Equal(l.Readings[0].Series.Values, []float64{293.65}) {
			t.Errorf("%q: %+v, %v", cell, l, err)
		}
	}
}

// TestDecimalStated: a stated mark answers what the log leaves open.
func TestDecimalStated(t *testing.T) {
	l, err := parse("t [s];coolant [K]\n0;1,234\n1;300\n", with(func(r *Request) { r.Decimal = "," }))
	if err != nil || !slices.Equal(l.Readings[0].Series.Values, []float64{1.234, 300}) {
		t.Errorf("%+v, %v", l, err)
	}
	// Other numbers of the log answer it as well.
	for _, cell := range []string{"0,123", "1,5", "1234,567", "1,2345", ",123"} {
		l, err := parse("t [s];coolant [K]\n0;1,234\n1;"+cell+"\n", coolant)
		if err != nil || l.Readings[0].Series.Values[0] != 1.234 {
			t.Errorf("%s: %+v, %v", cell, l, err)
		}
	}
}

// TestSuspicion: steps that look like those of the other unit are told, usual
// ones are not, and nothing is changed.
func TestSuspicion(t *testing.T) {
	for _, c := range []struct {
		unit      string
		step      int
		rows      int
		suspected bool
	}{
		{"ms", 1, 3600, true},    // 1 s
		{"ms", 5, 720, true},     // 5 s, an hour
		{"ms", 2, 40000, true},   // 2 s, a day
		{"ms", 60, 90, true},     // a minute, 1.5 h
		{"ms", 4, 20000, false},  // 250 Hz, 80 s
		{"ms", 20, 4000, false},  // 50 Hz, 80 s
		{"ms", 1000, 20, false},  // 1 s, if short
		{"s", 1000, 20, true},    // 1 s
		{"s", 250, 20, true},     // 4 Hz
		{"s", 60, 20, false},     // a minute
		{"s", 1, 20, false},      // 1 s
		{"min", 500, 20, false},  // slow, but neither unit
		{"epoch ms", 1, 9, true}, // an epoch in s
	} {
		var text strings.Builder
		fmt.Fprintf(&text, "t [%s];coolant [degC]\n", c.unit)
		for i := range c.rows {
			fmt.Fprintf(&text, "%d;21\n", i*c.step)
		}
		l, err := parse(text.String(), coolant)
		if err != nil || (len(l.Findings) > 0) != c.suspected || l.Counts.Gaps > 0 {
			t.Errorf("%s, steps of %d: %q, %v; suspicion %t", c.unit, c.step, l.Findings, err, c.suspected)
		}
	}
}

// TestStatedFormIsTold: stating another unit than the log is a finding, the
// same in other words is none.
func TestStatedFormIsTold(t *testing.T) {
	for form, want := range map[string][]string{
		"s":  {"time: the log says ms, it is read in s as stated"},
		"ms": nil,
	} {
		l, err := parse("t [ms];coolant [degC]\n0;21\n2;21\n100;21\n", with(func(r *Request) { r.Time.Form = form }))
		if err != nil || form == "s" && !slices.Equal(l.Findings, want) || form == "ms" && strings.Contains(strings.Join(l.Findings, ""), "as stated") {
			t.Errorf("%s: %q, %v", form, l.Findings, err)
		}
	}
}

// TestDuplicates: of each stamp the last value counts, in each column by itself.
func TestDuplicates(t *testing.T) {
	want := with(func(r *Request) {
		r.Columns = append(r.Columns, Column{Heading: "x", Dimension: spec.Factor})
	})
	l, err := parse("t [s];coolant [K];x\n0;300;1\n1;301;2\n1;302;\n1;;4\n2;303;5\n2;304;6\n", want)
	if err != nil || l.Counts.Duplicates != 3 || l.Counts.Stamps != 3 {
		t.Fatalf("%+v, %v", l, err)
	}
	if a, b := l.Readings[0].Series.Values, l.Readings[1].Series.Values; !slices.Equal(a, []float64{300, 302, 304}) || !slices.Equal(b, []float64{1, 4, 6}) {
		t.Errorf("%v, %v", a, b)
	}
}

// TestSameSecond: stamps too near to each other, far from the start, to differ
// in seconds are duplicates.
func TestSameSecond(t *testing.T) {
	l, err := parse("t;coolant [K]\n2000-01-01 00:00:00;300\n2025-01-01 00:00:00.000000001;301\n2025-01-01 00:00:00.000000002;302\n", coolant)
	if err != nil || l.Counts.Duplicates != 1 || l.Readings[0].Series.Check() != nil {
		t.Errorf("%+v, %v", l, err)
	}
}

// TestShared: columns without holes share the times, others have their own.
func TestShared(t *testing.T) {
	want := with(func(r *Request) {
		r.Columns = append(r.Columns, Column{Heading: "x", Dimension: spec.Factor}, Column{Heading: "y", Dimension: spec.Factor, Hold: true})
	})
	l, err := parse("t [s];coolant [K];x;y\n0;300;;1\n1;301;2;1\n", want)
	if err != nil {
		t.Fatal(err)
	}
	a, x, y := l.Readings[0].Series, l.Readings[1].Series, l.Readings[2].Series
	if &a.Times[0] != &y.Times[0] || !slices.Equal(x.Times, []float64{1}) || !y.Hold || a.Hold {
		t.Errorf("%v, %v, %v", a, x, y)
	}
}

// slowFile gives its text in small pieces and cannot be read at an offset.
type slowFile struct {
	fs.File
	text io.Reader
}

func (f slowFile) Read(p []byte) (int, error) { return f.text.Read(p[:min(len(p), 3)]) }

type slowFS struct{ fstest.MapFS }

func (s slowFS) Open(name string) (fs.File, error) {
	f, err := s.MapFS.Open(name)
	if err != nil {
		return nil, err
	}
	return slowFile{f, f}, nil
}

// TestSlowFile: neither small reads nor a file without offsets matter.
func TestSlowFile(t *testing.T) {
	fsys := fstest.MapFS{"a.csv": {Data: []byte("t [s];coolant [degC]\n0;21.5\n")}}
	want, err := Read(fsys, "a.csv", coolant)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Read(slowFS{fsys}, "a.csv", coolant)
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	if _, err := Read(fsys, "b.csv", coolant); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing file gives %v", err)
	}
}

// A column with cells on every second row only has steps of its own, and so gaps
// of its own.
func TestStepOfColumn(t *testing.T) {
	fsys := fstest.MapFS{"bench.csv": {Data: []byte("t [s];a [K];b [K];c [K]\n0;1;1;\n1;1;;1\n2;1;1;\n3;1;;\n4;1;1;\n")}}
	l, err := Read(fsys, "bench.csv", Request{Time: Time{Column: "t"}, Columns: []Column{
		{Heading: "a", Dimension: spec.Temperature}, {Heading: "b", Dimension: spec.Temperature}, {Heading: "c", Dimension: spec.Temperature}}})
	if err != nil {
		t.Fatal(err)
	}
	for i, step := range []float64{1, 2, 0} {
		if r := l.Readings[i]; r.Step != step || r.Gap() != 5*step {
			t.Errorf("column %s: step %g s, gap %g s, want a step of %g s", r.Heading, r.Step, r.Gap(), step)
		}
	}
}
