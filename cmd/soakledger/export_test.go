package main

import (
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"soakledger/sim/record"
)

// TestExport: what is exported, read as csv, is what is in the dataset: to the last bit,
// nulls empty.
func TestExport(t *testing.T) {
	dir := mustSweep(t, exitPartly, mixedStudy, "--traces", "every 4, within 0.5 K", "--part-runs", "7")
	d := opened(t, dir)
	for _, table := range d.Tables() {
		code, stdout, stderr := invoke(t, "export", dir, "--table", table.Name)
		if code != exitDone || stderr != "" {
			t.Fatalf("exit code %d, %s", code, stderr)
		}
		if n := strings.Count(stdout, "\n"); n != strings.Count(stdout, "\r\n") || !strings.HasSuffix(stdout, "\r\n") {
			t.Errorf("%s: not every line ends in CR LF", table.Name)
		}
		rows, err := csv.NewReader(strings.NewReader(stdout)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		f := rowsOf(t, d, table.Name)
		if len(rows) != 1+f.Rows() {
			t.Fatalf("%s: %d lines of %d rows", table.Name, len(rows), f.Rows())
		}
		for k, c := range table.Columns {
			if rows[0][k] != c.Name {
				t.Fatalf("%s: column %d is %s, want %s", table.Name, k, rows[0][k], c.Name)
			}
			for row := range f.Rows() {
				wantField(t, f, k, row, rows[1+row][k])
			}
		}
		if _, again, _ := invoke(t, "export", dir, "--table", table.Name); again != stdout {
			t.Errorf("%s: exported twice it differs", table.Name)
		}
	}
}

// wantField compares a field with a value.
func wantField(t *testing.T, f *record.Frame, col, row int, got string) {
	t.Helper()
	c := f.Table().Columns[col]
	same := false
	switch {
	case f.IsNull(col, row):
		same = got == ""
	case c.Kind == record.Float:
		v, err := strconv.ParseFloat(got, 64)
		same = err == nil && math.Float64bits(v) == math.Float64bits(f.Floats(col)[row])
	case c.Kind == record.Int:
		v, err := strconv.ParseInt(got, 10, 64)
		same = err == nil && v == f.Ints(col)[row]
	case c.Kind == record.Text:
		same = got == f.Texts(col)[row]
	}
	if !same {
		t.Fatalf("%s, row %d: %s is exported as %q", f.Table().Name, row, c.Name, got)
	}
}

// TestExportColumns picks columns by name and pattern, in the order asked for.
func TestExportColumns(t *testing.T) {
	dir := mustRun(t, "example:first").Dir()
	for columns, want := range map[string]string{
		"rise_k,run_id":                "rise_k,run_id",
		"to_within_0_5_k_s,to_within*": "to_within_0_5_k_s,to_within_1_k_s,to_within_0_1_k_s",
		"run_id,run_*":                 "run_id",
	} {
		_, stdout, stderr := invoke(t, "export", dir, "--columns", columns)
		if head, _, _ := strings.Cut(stdout, "\r\n"); head != want {
			t.Errorf("%s gives %s (%s)", columns, head, stderr)
		}
	}
	for _, args := range [][]string{{"--columns", "rise"}, {"--columns", "ri[se"}, {"--table", "curves"}} {
		code, stdout, stderr := invoke(t, slices.Concat([]string{"export", dir}, args)...)
		if code != exitUsage || stdout != "" || !strings.Contains(stderr, args[1]) {
			t.Errorf("%v: exit code %d, printed %q and %q", args, code, stdout, stderr)
		}
	}
}
