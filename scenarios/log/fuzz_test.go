package log

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"soakledger/sim/spec"
)

// FuzzCSV: whatever is read is sound: times from 0, strictly rising, values
// finite, temperatures above absolute zero, rows accounted for, every departure
// told. What is not read has an error with the file's name.
func FuzzCSV(f *testing.F) {
	for name := range logs {
		text, err := os.ReadFile(folder + "/" + name)
		if err != nil {
			f.Fatal(err)
		}
		for mode := range uint8(8) {
			f.Add(string(text), mode)
		}
	}
	for _, text := range []string{
		"t [s];x [K]\n0;1\n", "t\n\"", "t [h],x\n1e9,5\n-1e9,7", "a;b\n00:00;1,5\n", "#\n//\n;;\n", "t;x\n23:59:59;1\n00:00:00;2\n",
		"t;x\n2025-01-01T00:00:00+23:59;1\n1850-01-01T00:00:00-23:59;2\n2099-12-31 24:00:00;3\n", "t [d];x\n1;1\n2;1\n-53375;3\n",
	} {
		for mode := range uint8(8) {
			f.Add(text, mode)
		}
	}
	f.Fuzz(func(t *testing.T, text string, mode uint8) {
		want := Request{
			Time: Time{Column: "#1", Form: []string{"", "s", "time of day", "mm:ss"}[mode%4]}, Sort: mode&4 != 0,
			Columns: []Column{{Heading: "#2", Dimension: spec.Temperature, Unit: "degC"}, {Heading: "#1", Dimension: spec.Factor}},
		}
		want.Columns = want.Columns[:1+mode/8%2]
		if mode&16 != 0 {
			want.Time = Time{Column: "#2", Date: "#1", DateForm: "dd/mm/yyyy"}
			want.Columns[0].Heading = "#3"
		}
		l, err := parse(text, want)
		if err != nil {
			if !strings.Contains(err.Error(), "bench.csv") {
				t.Fatalf("an error without its file: %v", err)
			}
			return
		}
		checkLog(t, l)
	})
}

// checkLog verifies what holds for every log that was read.
func checkLog(t *testing.T, l Log) {
	n := l.Counts
	if n.Rows != n.Unplaced+n.Duplicates+n.Stamps || n.Stamps < 1 {
		t.Fatalf("rows are lost: %+v", n)
	}
	told := 0
	for _, count := range []int{n.Unplaced, n.Backward, n.Midnights, n.Duplicates, n.Gaps} {
		if count > 0 {
			told++
		}
	}
	for i, r := range l.Readings {
		if err := r.Series.Check(); err != nil {
			t.Fatal(err)
		}
		if len(r.Series.Times) > n.Stamps {
			t.Fatalf("%d samples of %d stamps", len(r.Series.Times), n.Stamps)
		}
		if i == 0 && slices.Min(r.Series.Values) < 0 {
			t.Fatalf("a temperature of %v K", slices.Min(r.Series.Values))
		}
		for _, count := range []int{r.Holes, r.NotNumbers} {
			if count > 0 {
				told++
			}
		}
		if d := r.Series.Duration(); math.IsInf(d, 0) || d > 293*366*86400 {
			t.Fatalf("a log of %v s", d)
		}
	}
	if len(l.Findings) < told {
		t.Fatalf("%d departures, %d told: %q", told, len(l.Findings), l.Findings)
	}
}
