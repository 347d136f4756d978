package log

import (
	"bytes"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/spec"
)

// write makes a Parquet file, with a row group for each of the lists.
func write[T any](t *testing.T, groups ...[]T) []byte {
	t.Helper()
	var b bytes.Buffer
	w := pq.NewGenericWriter[T](&b)
	for _, rows := range groups {
		if _, err := w.Write(rows); err != nil {
			t.Fatal(err)
		}
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readBytes(data []byte, want Request) (Log, error) {
	return Read(fstest.MapFS{"bench.parquet": {Data: data}}, "bench.parquet", want)
}

// mixed has a column of each kind that is read.
type mixed struct {
	At      int64    `parquet:"at,timestamp(millisecond)"`
	Coolant float64  `parquet:"coolant [degC]"`
	Heat    *float64 `parquet:"heat [W],optional"`
	Flow    float32  `parquet:"flow (L/h)"`
	Rpm     int32    `parquet:"rpm"`
	Big     uint32   `parquet:"big"`
	Count   int64    `parquet:"count,dict"`
	Note    string   `parquet:"note"`
}

func some(x float64) *float64 { return &x }

// TestParquet reads every kind of number over two row groups; the values are
// those written.
func TestParquet(t *testing.T) {
	begin := time.Date(2025, 3, 28, 14, 5, 30, 250e6, time.UTC).UnixMilli()
	data := write(t,
		[]mixed{{begin, 24.5, some(15), 240, 700, 1, 3, "a"}, {begin + 500, 25, nil, 240.5, -700, math.MaxUint32, 3, ""}},
		[]mixed{{begin + 1000, math.NaN(), some(210.5), 241, 710, 2, 4, ""}, {begin + 1500, -300, some(211), 241, 720, 2, 5, ""}, {begin + 1500, 26, some(212), 241, 720, 2, 5, ""}},
	)
	want := Request{Time: Time{Column: "at"}, Columns: []Column{
		{Heading: "coolant", Dimension: spec.Temperature},
		{Heading: "heat", Dimension: spec.PowerFlow, Hold: true},
		{Heading: "flow", Dimension: spec.VolumeFlow},
		{Heading: "rpm", Dimension: spec.RotationSpeed, Unit: "rpm"},
		{Heading: "big", Dimension: spec.Count},
		{Heading: "count", Dimension: spec.Count},
	}}
	l, err := readBytes(data, want)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range []struct{ times, values []float64 }{
		{[]float64{0, 0.5, 1.5}, []float64{297.65, 298.15, 299.15}},
		{[]float64{0, 1, 1.5}, []float64{15, 210.5, 212}},
		{[]float64{0, 0.5, 1, 1.5}, []float64{240 / 3.6e6, 240.5 / 3.6e6, 241 / 3.6e6, 241 / 3.6e6}},
		{[]float64{0, 0.5, 1, 1.5}, []float64{700. / 60, -700. / 60, 710. / 60, 12}},
		{[]float64{0, 0.5, 1, 1.5}, []float64{1, math.MaxUint32, 2, 2}},
		{[]float64{0, 0.5, 1, 1.5}, []float64{3, 3, 4, 5}},
	} {
		s := l.Readings[i].Series
		near := slices.EqualFunc(s.Values, c.values, func(x, y float64) bool { return math.Abs(x-y) <= 4e-16*math.Abs(y) })
		if !slices.Equal(s.Times, c.times) || !near || s.Hold != want.Columns[i].Hold {
			t.Errorf("%s: %v, want %v", l.Readings[i].Heading, s, c)
		}
	}
	if !l.Start.Equal(time.UnixMilli(begin)) {
		t.Errorf("start %v", l.Start)
	}
	findings := []string{
		"time: 1 row with the stamp of another one: the last value of each stamp was kept",
		`column 2 "coolant [degC]": 2 cells with no value of this quantity, "NaN" in row 3, "-300" in row 4: the series has no samples there`,
		`column 3 "heat [W]": 1 empty cell, the first in row 2: the series has no samples there`,
	}
	if !slices.Equal(l.Findings, findings) {
		t.Errorf("findings\n%s\nwant\n%s", strings.Join(l.Findings, "\n"), strings.Join(findings, "\n"))
	}
}

// TestParquetTimes: stamps as numbers and in all units of timestamps.
func TestParquetTimes(t *testing.T) {
	type stamps struct {
		S     float64 `parquet:"time [s]"`
		Ms    int64   `parquet:"ms"`
		Micro int64   `parquet:"micro,timestamp(microsecond)"`
		Nano  int64   `parquet:"nano,timestamp(nanosecond)"`
		Clock int32   `parquet:"clock,time(millisecond)"`
		X     float64 `parquet:"x"`
	}
	second := func(n int64) int64 { return 1743170730 + n }
	data := write(t, []stamps{
		{0.5, 1000, second(0) * 1e6, second(0) * 1e9, 86_399_000, 1},
		{2.5, 3000, second(2) * 1e6, second(2) * 1e9, 1_000, 2},
	})
	for choice, c := range map[string]struct {
		form  string
		start time.Time
	}{
		"time [s]": {"", time.Time{}},
		"ms":       {"epoch ms", time.Unix(1, 0)},
		"micro":    {"", time.Unix(second(0), 0)},
		"nano":     {"", time.Unix(second(0), 0)},
		"clock":    {"time of day", time.Time{}},
	} {
		l, err := readBytes(data, Request{Time: Time{Column: choice, Form: c.form}, Columns: []Column{{Heading: "x", Dimension: spec.Factor}}})
		if err != nil || !slices.Equal(l.Readings[0].Series.Times, []float64{0, 2}) || !l.Start.Equal(c.start) {
			t.Errorf("%s: %+v, %v", choice, l, err)
		}
	}
}

// TestParquetNullStamps: rows without a stamp are left out of all columns.
func TestParquetNullStamps(t *testing.T) {
	type row struct {
		T *float64 `parquet:"t [min],optional"`
		X float64  `parquet:"x"`
	}
	l, err := readBytes(write(t, []row{{nil, 1}, {some(1), 2}}, []row{{nil, 3}, {some(0), 4}}), Request{
		Time: Time{Column: "t"}, Sort: true, Columns: []Column{{Heading: "x", Dimension: spec.Factor}},
	})
	want := []string{
		"time: 2 rows left out for want of a stamp: nothing in row 1, nothing in row 3",
		"time: 1 backward stamp, the first in row 4: the rows were put in order",
	}
	if err != nil || !slices.Equal(l.Findings, want) || !slices.Equal(l.Readings[0].Series.Times, []float64{0, 60}) || !slices.Equal(l.Readings[0].Series.Values, []float64{4, 2}) {
		t.Errorf("%+v, %v", l, err)
	}
}

// TestParquetErrors: columns that hold something else are refused with what
// they hold.
func TestParquetErrors(t *testing.T) {
	type row struct {
		T     float64   `parquet:"t"`
		At    int64     `parquet:"at,timestamp(millisecond)"`
		Day   int32     `parquet:"day,date"`
		Cost  int64     `parquet:"cost,decimal(2:12)"`
		Note  string    `parquet:"note"`
		On    bool      `parquet:"on"`
		List  []float64 `parquet:"list"`
		Inner struct {
			X float64 `parquet:"x"`
		} `parquet:"inner"`
		Coolant float64 `parquet:"coolant [degC]"`
	}
	data := write(t, []row{{T: 1, At: 5, Coolant: 21}, {T: 0, At: 4, Coolant: 22}})
	get := func(heading string) Request {
		return with(func(r *Request) { r.Columns[0] = Column{Heading: heading, Dimension: spec.Factor} })
	}
	for name, c := range map[string]struct {
		want Request
		err  string
	}{
		"unknown":       {get("x"), `bench.parquet: there is no column "x": the file has "t", "at", "day"`},
		"text":          {get("note"), `bench.parquet: column 5 "note": it holds STRING: a log has columns of numbers and timestamps, for example DOUBLE`},
		"flag":          {get("on"), `bench.parquet: column 6 "on": it holds BOOLEAN`},
		"day":           {get("day"), `bench.parquet: column 3 "day": it holds DATE`},
		"decimal":       {get("cost"), `bench.parquet: column 4 "cost": it holds DECIMAL(`},
		"list":          {get("list"), `bench.parquet: column 7 "list": it is nested or repeated`},
		"nested":        {get("inner"), `bench.parquet: column 8 "inner": it is nested or repeated`},
		"times":         {get("at"), `bench.parquet: column 2 "at": it holds times: choose a column of numbers`},
		"text for time": {with(func(r *Request) { r.Time.Column = "note" }), `bench.parquet: column 5 "note": it holds STRING`},
		"date beside":   {with(func(r *Request) { r.Time.Date = "day" }), `bench.parquet: a date in a column of its own is only read from text`},
		"clock form":    {with(func(r *Request) { r.Time.Form = "mm:ss" }), `bench.parquet: column 1 "t": it holds numbers, which are not of the stated form mm:ss`},
		"form of stamp": {with(func(r *Request) { r.Time = Time{Column: "at", Form: "s"} }), `bench.parquet: column 2 "at": it holds times with a unit of their own, so the stated form s has no place`},
		"no time unit":  {with(func(r *Request) { r.Sort = true }), `bench.parquet: column 1 "t": no unit is stated: as s the log is 1 s long`},
		"no unit":       {with(func(r *Request) { r.Columns[0] = Column{Heading: "t", Dimension: spec.PowerFlow} }), `bench.parquet: column 1 "t": no unit is stated: write the unit into the heading, for example t [W]`},
		"backward date": {with(func(r *Request) { r.Time.Column = "at" }), `bench.parquet:2: column 2 "at": the stamp 1970-01-01T00:00:00.004Z lies 1 ms before`},
		"backward":      {with(func(r *Request) { r.Time.Form = "s" }), `bench.parquet:2: column 1 "t": the stamp 0 s lies 1 s before that of the row above`},
	} {
		if l, err := readBytes(data, c.want); err == nil || !strings.HasPrefix(err.Error(), c.err) {
			t.Errorf("%s: %+v, error\n%v\nwant\n%s", name, l, err, c.err)
		}
	}
}

// TestDamagedParquet: a file cut short anywhere or with a byte changed gives an
// error or a sound log, never a panic.
func TestDamagedParquet(t *testing.T) {
	begin := int64(1743170730000)
	var rows []mixed
	for i := range 200 {
		rows = append(rows, mixed{begin + int64(i), 20 + float64(i)/16, some(float64(i)), 1, 1, 1, int64(i % 3), ""})
	}
	data := write(t, rows[:100], rows[100:])
	want := Request{Time: Time{Column: "at"}, Sort: true, Columns: []Column{
		{Heading: "coolant", Dimension: spec.Temperature}, {Heading: "heat", Dimension: spec.PowerFlow}, {Heading: "count", Dimension: spec.Count},
	}}
	for n := 4; n < len(data); n += 13 {
		if _, err := readBytes(data[:n], want); err == nil || !strings.HasPrefix(err.Error(), "reading bench.parquet: ") {
			t.Fatalf("%d of %d bytes: %v", n, len(data), err)
		}
	}
	huge := slices.Clone(data)
	copy(huge[len(huge)-8:], "\xf0\xff\xff\xff")
	if _, err := readBytes(huge, want); err == nil || !strings.HasPrefix(err.Error(), "reading bench.parquet: a footer of 4294967280 bytes does not fit into ") {
		t.Errorf("a footer of 4 GB: %v", err)
	}
	failed := 0
	for i := 4; i < len(data); i += 11 {
		broken := slices.Clone(data)
		broken[i] ^= 0x55
		l, err := readBytes(broken, want)
		if err != nil {
			failed++
			continue
		}
		for _, r := range l.Readings {
			if err := r.Series.Check(); err != nil {
				t.Fatalf("byte %d: %v", i, err)
			}
		}
	}
	if failed == 0 {
		t.Error("no damage was noticed")
	}
}

// TestParquetAgreesWithText: the same log in both forms gives the same series.
func TestParquetAgreesWithText(t *testing.T) {
	l, err := Read(os.DirFS(folder), "units_row.csv", logs["units_row.csv"])
	if err != nil {
		t.Fatal(err)
	}
	type row struct {
		Elapsed float64 `parquet:"elapsed [s]"`
		Inlet   float64 `parquet:"inlet [°F]"`
		Outlet  float64 `parquet:"outlet [degC]"`
		Flow    float64 `parquet:"flow [L/h]"`
		Duty    float64 `parquet:"duty [%]"`
	}
	data := write(t, []row{{0, 77, 26.5, 228, 35}, {0.5, 77.9, 26.75, 229, 35}, {1, 78.8, 27, 227.5, 36}, {1.5, 80.6, 27.25, 228.5, 36}})
	p, err := readBytes(data, logs["units_row.csv"])
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range l.Readings {
		if r.Series.Digest() != p.Readings[i].Series.Digest() {
			t.Errorf("%s: %v, in Parquet %v", r.Heading, r.Series, p.Readings[i].Series)
		}
	}
}
