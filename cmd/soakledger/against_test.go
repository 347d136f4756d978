package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"soakledger/output"
	"soakledger/sim/record"
)

// benchRun lays the shipped log beside its scenario.
var benchRun = []string{"--against", benchFolder + "/office_render.csv", "--map", "coolant=Sump", "--map", "cpu.die=Die hot spot", "--map", "ambient=Desk air", "--log-start", "2 min"}

// benchColumns are the same three in the log and in the trace.
var benchColumns = []string{"coolant", "cpu_die", "ambient"}

// TestAgainstGolden compares the card with a file to be read by people, of which
// the README shows a part.
func TestAgainstGolden(t *testing.T) {
	log, err := filepath.Abs(benchFolder)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	args := append([]string{"run", "example:office_render"}, benchRun...)
	args[3] = filepath.Join(log, "office_render.csv")
	code, stdout, stderr := invoke(t, args...)
	if code != exitDone || stderr != "" {
		t.Fatalf("exit code %d, %s", code, stderr)
	}
	compareGolden(t, filepath.Join(log, "office_render.csv.txt"), stdout)
}

// The README shows the block of the card that the shipped log gives.
func TestReadmeAgainst(t *testing.T) {
	golden, err := os.ReadFile(benchFolder + "/office_render.csv.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, block := range readme(t, "text") {
		if strings.HasPrefix(block, "Against ") && strings.Contains(string(golden), block) {
			return
		}
	}
	t.Error("no text block of the README is what the card says of the shipped log")
}

// benchRows reads the shipped log with nothing but the standard library: stamps in
// s of the run, and a temperature (degC) a column.
func benchRows(t *testing.T) (times []float64, columns [3][]float64) {
	t.Helper()
	text, err := os.ReadFile(benchFolder + "/office_render.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range strings.Split(strings.TrimSpace(string(text)), "\n")[2:] {
		cells := strings.Split(row, ";")
		var numbers []float64
		for _, cell := range cells {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			numbers = append(numbers, x)
		}
		at := numbers[0] - benchLead
		if n := len(times); n > 0 && times[n-1] == at { // the last of a stamp counts
			times = times[:n-1]
			for k := range columns {
				columns[k] = columns[k][:n-1]
			}
		}
		times = append(times, at)
		for k := range columns {
			columns[k] = append(columns[k], numbers[k+1])
		}
	}
	return times, columns
}

// Read back from Parquet, the residual of every row is measured minus modelled, to
// the last bit; measured values are the log's, on straight lines between its
// samples, and null in its gap and behind its end.
func TestAgainstTrace(t *testing.T) {
	trace := rowsOf(t, mustRun(t, "example:office_render", benchRun...), "traces")
	stamps, logged := benchRows(t)
	times := floats(t, trace, "time_s")
	for k, name := range benchColumns {
		measured, residual, model := trace.Col(name+"_measured_c"), trace.Col(name+"_residual_k"), trace.Col(name+"_c")
		nulls := 0
		for row, at := range times {
			if null := 3000 < at && at < 3180 || at > benchEnd; trace.IsNull(measured, row) != null || trace.IsNull(residual, row) != null {
				t.Fatalf("%s at %g s: null is %t and %t", name, at, trace.IsNull(measured, row), trace.IsNull(residual, row))
			} else if null {
				nulls++
				continue
			}
			if got, want := trace.Floats(residual)[row], trace.Floats(measured)[row]-trace.Floats(model)[row]; got != want {
				t.Fatalf("%s at %g s: residual %v, want %v", name, at, got, want)
			}
			i := 0
			for stamps[i] < at {
				i++
			}
			want := logged[k][i]
			if stamps[i] != at {
				want -= (want - logged[k][i-1]) * (stamps[i] - at) / (stamps[i] - stamps[i-1])
			}
			if got := trace.Floats(measured)[row]; math.Abs(got-want) > 0x1p-15+1e-12 {
				t.Fatalf("%s at %g s: measured %v, want %v", name, at, got, want)
			}
		}
		if nulls != 179+240 {
			t.Errorf("%s has %d nulls", name, nulls)
		}
	}
}

// The figures in the run's row are those of the recipe of the log: offsets as they
// were put in, and what the lag leaves where the coolant moves.
func TestAgainstFigures(t *testing.T) {
	d := mustRun(t, "example:office_render", benchRun...)
	runs := rowsOf(t, d, "runs")
	for k, name := range benchColumns {
		p := benchProbes[k]
		// One sample scatters by itself and by the steps of the display.
		within := 3*p.scatter + p.step/2
		for _, what := range []string{"_offset_k", "_difference_tail_k", "_difference_mean_k"} {
			if got := figure(t, runs, 0, name+what); math.Abs(got-p.offset) > within {
				t.Errorf("%s%s is %g, want %g within %g", name, what, got, p.offset, within)
			}
		}
		for what, want := range map[string]float64{"_compared_from_s": 0, "_compared_to_s": benchEnd} {
			if got := figure(t, runs, 0, name+what); got != want {
				t.Errorf("%s%s is %g, want %g", name, what, got, want)
			}
		}
	}
	// The largest of the coolant is where the load ends: it falls, and the probe is late.
	if at := figure(t, runs, 0, "coolant_difference_largest_at_s"); at < 2400 || at > 2520 {
		t.Errorf("the coolant differs most at %g s", at)
	}
	checkAgainstRows(t, d)
}

// checkAgainstRows computes means and squares of the run's row again from the
// trace, whose rows at the log's stamps hold what was compared.
func checkAgainstRows(t *testing.T, d *output.Dataset) {
	t.Helper()
	runs, trace := rowsOf(t, d, "runs"), rowsOf(t, d, "traces")
	stamps, _ := benchRows(t)
	for _, name := range benchColumns {
		r := floats(t, trace, name+"_residual_k")
		var mean, square, length, largest float64
		for i := 1; i < len(stamps); i++ {
			if stamps[i-1] < 0 || stamps[i]-stamps[i-1] > 50 {
				continue
			}
			h := stamps[i] - stamps[i-1]
			x, y := r[int(stamps[i-1])], r[int(stamps[i])]
			mean, square, length = mean+h*(x+y)/2, square+h*(x*x+y*y)/2, length+h
			largest = math.Max(largest, math.Max(math.Abs(x), math.Abs(y)))
		}
		const stored = 1e-4 // K, the trace is rounded
		for what, want := range map[string]float64{"_mean_k": mean / length, "_rms_k": math.Sqrt(square / length), "_largest_k": largest} {
			if got := figure(t, runs, 0, name+"_difference"+what); math.Abs(math.Abs(got)-math.Abs(want)) > stored {
				t.Errorf("%s%s is %g, want %g", name, what, got, want)
			}
		}
	}
}

// A run's own trace, read as a Parquet log, differs by nothing but its rounding:
// residuals are zero to the last bit.
func TestAgainstItself(t *testing.T) {
	own := mustRun(t, "example:first")
	log := own.Files("traces")[0]
	d := mustRun(t, "example:first", "--against", log, "--log-time", "time_s", "--log-form", "s", "--log-unit", "degC",
		"--map", "coolant=coolant_c", "--map", "front.coolant[2]=front_coolant_2_c", "--map", "cpu.spreader=cpu_spreader_c")
	trace, runs := rowsOf(t, d, "traces"), rowsOf(t, d, "runs")
	for _, name := range []string{"coolant", "front_coolant_2", "cpu_spreader"} {
		col := trace.Col(name + "_residual_k")
		for row := range trace.Rows() {
			if trace.IsNull(col, row) || trace.Floats(col)[row] != 0 {
				t.Fatalf("%s, row %d: residual %v", name, row, trace.Floats(col)[row])
			}
		}
		if got := figure(t, runs, 0, name+"_difference_rms_k"); got > 0x1p-15 {
			t.Errorf("%s: rms %g", name, got)
		}
	}
}

// What a dataset without a log has is in one with a log too, bit by bit, and the
// columns of the log come behind.
func TestAgainstAddsOnly(t *testing.T) {
	plain, beside := mustRun(t, "example:office_render"), mustRun(t, "example:office_render", benchRun...)
	if plain.Meta().ScenarioHash == beside.Meta().ScenarioHash {
		t.Error("with and without a log the hash is the same")
	}
	for _, table := range plain.Tables() {
		var names []string
		for _, c := range table.Columns {
			names = append(names, c.Name)
		}
		cut, err := beside.Read(table.Name, names...)
		if err != nil {
			t.Fatal(err)
		}
		if err := sameRows(rowsOf(t, plain, table.Name), cut); err != nil {
			t.Errorf("%s: %v", table.Name, err)
		}
		if more := len(rowsOf(t, beside, table.Name).Table().Columns) - len(names); more != map[string]int{"traces": 6, "runs": 39}[table.Name] {
			t.Errorf("%s has %d columns more", table.Name, more)
		}
	}
}

// Two runs beside one log give the same bytes, from wherever the log is read.
func TestAgainstTwice(t *testing.T) {
	text, err := os.ReadFile(benchFolder + "/office_render.csv")
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(t.TempDir(), "office_render.csv")
	if err := os.WriteFile(copied, text, 0o644); err != nil {
		t.Fatal(err)
	}
	a := mustRun(t, "example:office_render", benchRun...)
	b := mustRun(t, "example:office_render", append([]string{"--against", copied}, benchRun[2:]...)...)
	if err := sameFiles(a.Dir(), b.Dir()); err != nil {
		t.Error(err)
	}
}

// The hash covers whatever changes a row or the card.
func TestAgainstHash(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	const text = "t [s];a [degC];b [degC]\n0;22;22\n60;24;24\n120;26;26\n"
	log := write("log.csv", text)
	base := againstFlags{log: log, maps: []string{"coolant=a"}}
	seen := map[string]string{}
	for name, f := range map[string]againstFlags{
		"as it is":        base,
		"another column":  {log: log, maps: []string{"coolant=b"}},
		"another node":    {log: log, maps: []string{"ambient=a"}},
		"one more":        {log: log, maps: []string{"coolant=a", "ambient=b"}},
		"another order":   {log: log, maps: []string{"ambient=b", "coolant=a"}},
		"another start":   {log: log, maps: base.maps, start: "1 s"},
		"another name":    {log: write("copy.csv", text), maps: base.maps},
		"another value":   {log: write("sub.csv", strings.Replace(text, "60;24", "60;25", 1)), maps: base.maps},
		"another unit":    {log: log, maps: base.maps, unit: "K"},
		"another form":    {log: log, maps: base.maps, form: "min"},
		"stated time":     {log: log, maps: base.maps, time: "t"},
		"another comment": {log: write("more.csv", text+"180;;\n"), maps: base.maps},
	} {
		a, err := f.read()
		if err != nil {
			t.Fatal(err)
		}
		if other, twice := seen[a.hash()]; twice {
			t.Errorf("%s has the hash of %s", name, other)
		}
		seen[a.hash()] = name
	}
	if again, err := base.read(); err != nil || seen[again.hash()] != "as it is" {
		t.Errorf("the same log again has another hash (%v)", err)
	}
}

// A sensor of constant error, in a log written from the trace itself: the figures
// are that error and the card says so.
func TestAgainstConstantError(t *testing.T) {
	own := rowsOf(t, mustRun(t, "example:first"), "traces")
	var b strings.Builder
	b.WriteString("Clock (min);Sump (K)\n")
	for row := 0; row < own.Rows(); row += 15 {
		fmt.Fprintf(&b, "%g;%.6f\n", own.Floats(own.Col("time_s"))[row]/60, own.Floats(own.Col("coolant_c"))[row]+zeroCelsius+0.75)
	}
	log := filepath.Join(t.TempDir(), "constant.csv")
	if err := os.WriteFile(log, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	d := mustRun(t, "example:first", "--against", log, "--map", "coolant=Sump")
	runs := rowsOf(t, d, "runs")
	for what, want := range map[string]float64{
		"_offset_k": 0.75, "_difference_mean_k": 0.75, "_difference_rms_k": 0.75, "_difference_largest_k": 0.75, "_difference_tail_k": 0.75,
		"_less_offset_mean_k": 0, "_less_offset_rms_k": 0, "_less_offset_largest_k": 0, "_less_offset_tail_k": 0,
	} {
		if got := figure(t, runs, 0, "coolant"+what); math.Abs(got-want) > 1e-4 {
			t.Errorf("coolant%s is %g, want %g", what, got, want)
		}
	}
	_, stdout, _ := invoke(t, "show", d.Dir())
	if !strings.Contains(stdout, "tail 0.00 K; the offset at the start alone explains most of it\n") {
		t.Errorf("the card says\n%s", stdout)
	}
}

// A run that leaves the model's range is compared up to there, with exit code 3.
func TestAgainstEarlyEnd(t *testing.T) {
	log := filepath.Join(t.TempDir(), "hot.csv")
	if err := os.WriteFile(log, []byte("t [min];Sump [degC]\n0;22\n10;60\n20;80\n600;90\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "data")
	args := []string{"run", "example:first", "--quick", "--set", "cpu.power=3 kW", "--out", dir, "--against", log, "--map", "coolant=Sump"}
	if code, stdout, stderr := invoke(t, args...); code != exitPartly || !strings.Contains(stdout, "\nAgainst hot.csv: ") {
		t.Errorf("exit code %d, printed %s and %s", code, stdout, stderr)
	}
	code, _, stderr := invoke(t, append(args, "--replace", "--log-start", "-5 h")...)
	if code != exitUsage || !strings.Contains(stderr, "the run ended early: ") {
		t.Errorf("exit code %d, printed %s", code, stderr)
	}
}

// Columns of the comparison are described as others are.
func TestAgainstMetadata(t *testing.T) {
	d := mustRun(t, "example:office_render", benchRun...)
	for _, table := range d.Tables() {
		for _, c := range table.Columns {
			if !strings.Contains(c.Name, "_measured_") && !strings.Contains(c.Name, "_residual_k") && !strings.Contains(c.Name, "_offset_") {
				continue
			}
			if c.Kind != record.Float || c.Meaning == "" || !map[string]bool{"degC": true, "K": true, "s": true}[c.Unit] {
				t.Errorf("%s: %+v", table.Name, c)
			}
		}
	}
	note := d.Meta().Notes["against"]
	for _, want := range []string{"log office_render.csv\n", "start 2 min\n", "cpu.die = Die hot spot [degC], sha256 of its series "} {
		if !strings.Contains(note, want) {
			t.Errorf("the manifest says %q, without %q", note, want)
		}
	}
}
