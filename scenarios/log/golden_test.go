package log

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

var update = flag.Bool("update", false, "write golden files instead of comparing with them")

// logs holds what is asked of each of the invented logs.
var logs = map[string]Request{
	"evening.csv": {Time: Time{Column: "Clock"}, Columns: []Column{
		{Heading: "Coolant out #1", Dimension: spec.Temperature},
		{Heading: "Heat in", Dimension: spec.PowerFlow, Hold: true},
		{Heading: "Coolant out [°C] #2", Dimension: spec.Temperature},
		{Heading: "fan row", Dimension: spec.RotationSpeed},
	}},
	"units_row.csv": {Time: Time{Column: "elapsed"}, Columns: []Column{
		{Heading: "inlet", Dimension: spec.Temperature},
		{Heading: "outlet", Dimension: spec.Temperature},
		{Heading: "flow", Dimension: spec.VolumeFlow},
		{Heading: "#5", Dimension: spec.Ratio},
	}},
	"latin1.tsv": {Time: Time{Column: "Zeit"}, Columns: []Column{
		{Heading: "Vorlauf (°C)", Dimension: spec.Temperature},
		{Heading: "Geräusch", Dimension: spec.SoundLevel},
	}},
	"two_columns.csv": {Time: Time{Column: "Time of day", Date: "Day"}, Columns: []Column{
		{Heading: "Die, hottest", Dimension: spec.Temperature},
		{Heading: "Board draw", Dimension: spec.PowerFlow, Unit: "mW"},
	}},
	"mislabelled.csv": {Time: Time{Column: "Tick"}, Columns: []Column{{Heading: "Reservoir", Dimension: spec.Temperature}}},
	"night.csv": {Time: Time{Column: "at", Form: "time of day"}, Columns: []Column{
		{Heading: "Sump degC", Dimension: spec.Temperature, Unit: "degC"},
	}},
	"shuffled.csv": {Time: Time{Column: "stamp"}, Sort: true, Columns: []Column{{Heading: "plate", Dimension: spec.Temperature}}},
}

const folder = "../../testdata/logs"

// TestGolden reads invented logs that have the troubles of real ones; what is
// read and what their user is told stands beside them.
func TestGolden(t *testing.T) {
	files, err := filepath.Glob(folder + "/*.[ct]sv")
	if err != nil || len(files) != len(logs) {
		t.Fatalf("%d logs for %d requests, %v", len(files), len(logs), err)
	}
	for name, want := range logs {
		t.Run(name, func(t *testing.T) {
			l, err := Read(os.DirFS(folder), name, want)
			if err != nil {
				t.Fatal(err)
			}
			compare(t, filepath.Join(folder, name+".txt"), describe(l, want))
		})
	}
}

// describe writes all that was read as text.
func describe(l Log, want Request) string {
	var b strings.Builder
	if l.Start.IsZero() {
		fmt.Fprintln(&b, "start unknown")
	} else {
		fmt.Fprintln(&b, "start", l.Start.Format(time.RFC3339Nano))
	}
	fmt.Fprintf(&b, "%+v\n", l.Counts)
	for i, r := range l.Readings {
		dim := want.Columns[i].Dimension
		fmt.Fprintf(&b, "%s, read in %q, %d holes, %d not numbers, hold %t\n", r.Heading, r.Unit, r.Holes, r.NotNumbers, r.Series.Hold)
		for k, at := range r.Series.Times {
			fmt.Fprintf(&b, "  %v s: %s\n", at, quantity.Format(r.Series.Values[k], dim))
		}
	}
	for _, f := range l.Findings {
		fmt.Fprintln(&b, f)
	}
	return b.String()
}

// compare compares text with a golden file, or writes it under -update.
func compare(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; got\n%s\nwant\n%s", path, got, want)
	}
}

// TestGoldenByHand repeats figures of the golden files that were worked out by
// hand, so that -update cannot make a wrong reading right.
func TestGoldenByHand(t *testing.T) {
	for _, c := range []struct {
		file          string
		column        int
		times, values []float64 // s, SI
	}{
		{"evening.csv", 0, []float64{0, 5, 10, 15, 20, 65, 70}, []float64{297.65, 297.65, 298.275, 299.15, 299.65, 302.4, 302.525}},
		{"evening.csv", 1, []float64{0, 5, 10, 15, 20, 65, 70, 75}, []float64{15, 210.5, 210.25, 209.75, 210, 211, 210, 210.125}},
		{"units_row.csv", 0, []float64{0, 0.5, 1, 1.5}, []float64{298.15, 298.65, 299.15, 300.15}},
		{"units_row.csv", 3, []float64{0, 0.5, 1, 1.5}, []float64{0.35, 0.35, 0.36, 0.36}},
		{"latin1.tsv", 0, []float64{0, 2.5, 3599.9, 3660}, []float64{304.4, 304.65, 305.15, 305.4}},
		{"two_columns.csv", 1, []float64{0, 1, 2, 3.5}, []float64{0.30525, 0.3065, 0.304, 0.305}},
		{"mislabelled.csv", 0, []float64{0, 0.001, 0.002, 0.003, 0.004, 0.005}, []float64{297.15, 297.2, 297.3, 297.4, 297.45, 297.5}},
		{"night.csv", 0, []float64{0, 5, 10, 15}, []float64{297.65, 297.4, 297.15, 296.9}},
		{"shuffled.csv", 0, []float64{0, 1, 2, 3, 4}, []float64{314.65, 314.775, 315.025, 315.15, 315.4}},
	} {
		l, err := Read(os.DirFS(folder), c.file, logs[c.file])
		if err != nil {
			t.Fatal(err)
		}
		s := l.Readings[c.column].Series
		if !slices.Equal(s.Times, c.times) {
			t.Errorf("%s, column %d: times %v, want %v", c.file, c.column, s.Times, c.times)
		}
		if !nearAll(s.Values, c.values) {
			t.Errorf("%s, column %d: values %v, want %v", c.file, c.column, s.Values, c.values)
		}
	}
}

// nearAll reports whether values agree to rounding.
func nearAll(got, want []float64) bool {
	return slices.EqualFunc(got, want, func(x, y float64) bool { return x-y <= 1e-15*y && y-x <= 1e-15*y })
}
