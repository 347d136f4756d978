package output

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// Runs come out whole, from the parts that hold them alone.
func TestReadRuns(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustFinish(t, dir, testStudy)
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	f, err := d.ReadRuns("traces", []int64{36, 3, 5}, "coolant_c", "run_id")
	if err != nil {
		t.Fatal(err)
	}
	var want []int64
	var values []float64
	for _, run := range []int{3, 36} { // 5 has no trace
		trace := tracesFrame(run, 1)
		want = append(want, trace.Ints(0)...)
		values = append(values, trace.Floats(2)...)
	}
	if !slices.Equal(f.Ints(1), want) {
		t.Errorf("runs %v, want %v", f.Ints(1), want)
	}
	for i, v := range f.Floats(0) {
		if diff := v - values[i]; diff > 0x1p-15 || diff < -0x1p-15 {
			t.Fatalf("row %d: %g, want %g", i, v, values[i])
		}
	}
	if f, err := d.ReadRuns("traces", []int64{999}, "run_id"); err != nil || f.Rows() != 0 {
		t.Errorf("a run that is not there: %d rows, error %v", f.Rows(), err)
	}
	// Run 36 is in part 5 of 7 runs each: no other part is opened.
	for _, name := range d.Files("traces") {
		if filepath.Base(name) != "part-00005.parquet" {
			if err := os.Truncate(name, 0); err != nil {
				t.Fatal(err)
			}
		}
	}
	if f, err := d.ReadRuns("traces", []int64{36}); err != nil || f.Rows() != 60 {
		t.Errorf("the other parts are opened: error %v", err)
	}
}

func TestReadRunsRefuses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 2)
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.ReadRuns("traces", []int64{0}, "coolant_c")
	wantError(t, err, "traces", "without run_id")
	_, err = d.ReadRuns("traces", []int64{0}, "run_id", "colant_c")
	wantError(t, err, `no column "colant_c"`, "coolant_c")
	_, err = d.ReadRuns("curves", []int64{0})
	wantError(t, err, `no table "curves"`)
	if f, err := d.ReadRuns("runs", []int64{1}); err != nil || f.Rows() != 1 || f.Ints(0)[0] != 1 {
		t.Errorf("run 1 of a plain dataset: error %v", err)
	}
}
