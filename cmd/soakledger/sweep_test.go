package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	clock "time"

	"soakledger/output"
	"soakledger/sim/record"
)

const (
	mixedStudy = "testdata/studies/mixed.yaml" // variants with other columns, dropped, failing and leaving designs
	drawnStudy = "testdata/studies/drawn.yaml"
)

// mustSweep sweeps a study into a new folder and returns the folder. The exit code
// says whether every run went to its end.
func mustSweep(t testing.TB, want int, study string, args ...string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "dataset")
	sweepInto(t, want, dir, study, args...)
	return dir
}

func sweepInto(t testing.TB, want int, dir, study string, args ...string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	all := append([]string{"sweep", study, "--quiet", "--out", dir}, args...)
	if code := run(context.Background(), all, &stdout, &stderr); code != want || stdout.Len()+stderr.Len() > 0 {
		t.Fatalf("soakledger %s: exit code %d, want %d, printed %q and %q", strings.Join(all, " "), code, want, stdout.String(), stderr.String())
	}
}

// opened opens a dataset and checks its sums.
func opened(t testing.TB, dir string) *output.Dataset {
	t.Helper()
	d, err := output.Open(dir)
	if err == nil {
		err = d.Verify()
	}
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// wantSameFiles compares two folders byte for byte.
func wantSameFiles(t testing.TB, what, want, got string) {
	t.Helper()
	first, err := contents(want)
	second, other := contents(got)
	if err = errors.Join(err, other); err != nil {
		t.Fatal(err)
	}
	names := slices.Sorted(maps.Keys(first))
	if others := slices.Sorted(maps.Keys(second)); !slices.Equal(names, others) {
		t.Fatalf("%s: the files are %v, want %v", what, others, names)
	}
	for _, name := range names {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s: %s differs", what, name)
		}
	}
}

// TestSweepBytes: any number of workers, five shards in any order, and a sweep that is
// interrupted again and again give the same files.
func TestSweepBytes(t *testing.T) {
	isolate(t)
	for study, code := range map[string]int{mixedStudy: exitPartly, drawnStudy: exitDone} {
		t.Run(filepath.Base(study), func(t *testing.T) {
			common := []string{"--part-runs", "3", "--traces", "every 2, columns coolant_c *_die_c front_*, within 0.05 K"}
			want := mustSweep(t, code, study, append(common, "--workers", "1")...)
			for _, workers := range []string{"2", "7"} {
				wantSameFiles(t, workers+" workers", want, mustSweep(t, code, study, append(common, "--workers", workers)...))
			}
			shards := filepath.Join(t.TempDir(), "in shards", "of five")
			for _, shard := range []string{"3/5", "0/5", "4/5", "1/5", "2/5"} {
				sweepShard(t, shards, study, append(common, "--shard", shard))
			}
			wantSameFiles(t, "five shards", want, shards)
			wantSameFiles(t, "interrupted and resumed", want, interruptedSweep(t, code, study, append(common, "--workers", "2")))
		})
	}
}

// TestSweepCodes: the code of a sweep goes by the whole dataset, that of a shard by the
// runs of the process alone, so that a scheduler may try a task again.
func TestSweepCodes(t *testing.T) {
	isolate(t)
	dir := mustSweep(t, exitPartly, mixedStudy, "--no-traces", "--part-runs", "24")
	sweepInto(t, exitPartly, dir, mixedStudy, "--no-traces", "--part-runs", "24")
	sweepInto(t, exitPartly, dir, mixedStudy, "--no-traces", "--part-runs", "24", "--resume")
	dir = filepath.Join(t.TempDir(), "shards")
	for _, shard := range []string{"0/2", "1/2"} {
		sweepInto(t, exitPartly, dir, mixedStudy, "--no-traces", "--part-runs", "24", "--shard", shard)
	}
	sweepInto(t, exitDone, dir, mixedStudy, "--no-traces", "--part-runs", "24", "--shard", "1/2")
}

// sweepShard writes one shard, of which nobody knows before whether a run of it fails.
func sweepShard(t *testing.T, dir, study string, args []string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code := run(context.Background(), append([]string{"sweep", study, "--quiet", "--out", dir}, args...), &stdout, &stderr)
	if code != exitDone && code != exitPartly || stdout.Len()+stderr.Len() > 0 {
		t.Fatalf("exit code %d, printed %q and %q", code, stdout.String(), stderr.String())
	}
}

// interruptedSweep interrupts a sweep whenever another part is there, and resumes it.
func interruptedSweep(t *testing.T, want int, study string, args []string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "dataset")
	interruptions := 0
	for {
		ctx, cancel := context.WithCancel(context.Background())
		before := parts(dir)
		go func() {
			for ctx.Err() == nil && parts(dir) <= before {
				clock.Sleep(100 * clock.Microsecond)
			}
			cancel()
		}()
		var stdout, stderr bytes.Buffer
		code := run(ctx, append([]string{"sweep", study, "--out", dir, "--resume"}, args...), &stdout, &stderr)
		cancel()
		if code != exitInterrupted {
			if code != want || interruptions == 0 { // how often depends on how busy the machine is
				t.Fatalf("exit code %d after %d interruptions: %s", code, interruptions, stderr.String())
			}
			return dir
		}
		interruptions++
		if !strings.Contains(stderr.String(), "--resume goes on\ninterrupted\n") || stdout.Len() > 0 {
			t.Fatalf("printed %q and %q", stdout.String(), stderr.String())
		}
		if _, err := output.Open(dir); err == nil || parts(dir) <= before {
			t.Fatalf("an interrupted sweep has %d parts of %d before, and is complete: %v", parts(dir), before, err)
		}
	}
}

// parts counts the parts of a study that are there.
func parts(dir string) int {
	names, _ := filepath.Glob(filepath.Join(dir, "runs", "part-*.parquet")) // the pattern is valid
	return len(names)
}

// TestSweepNames: nothing of the machine, the folder or the day is in the bytes.
func TestSweepNames(t *testing.T) {
	isolate(t)
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	dir := mustSweep(t, exitDone, drawnStudy, "--no-traces")
	all, err := contents(dir)
	if err != nil {
		t.Fatal(err)
	}
	year := clock.Now().Format("2006-01")
	for name, text := range all {
		for _, word := range []string{host, dir, filepath.Base(filepath.Dir(dir)), year, fmt.Sprint(os.Getpid())} {
			if len(word) > 3 && bytes.Contains(text, []byte(word)) {
				t.Errorf("%s holds %q", name, word)
			}
		}
	}
	if len(all) != 4 {
		t.Errorf("the files are %v", slices.Sorted(maps.Keys(all)))
	}
}

// TestSweepOutcomes: what becomes of every design is told by its row.
func TestSweepOutcomes(t *testing.T) {
	isolate(t)
	d := opened(t, mustSweep(t, exitPartly, mixedStudy, "--traces", "all"))
	runs := rowsOf(t, d, "runs")
	if recipe, _ := d.Study(); recipe.Runs != 48 || runs.Rows() != 24 {
		t.Fatalf("%d rows of %d designs", runs.Rows(), recipe.Runs)
	}
	fronts, statuses, reasons := runs.Texts(runs.Col("front")), runs.Texts(runs.Col("status")), runs.Texts(runs.Col("reason"))
	speeds, powers := floats(t, runs, "front_fans_speed_rpm"), floats(t, runs, "cpu_power_w")
	traced := map[int64]bool{}
	traces := rowsOf(t, d, "traces")
	for _, id := range traces.Ints(0) {
		traced[id] = true
	}
	for row, id := range runs.Ints(0) {
		if speeds[row] == 700 || fronts[row] == "deep" {
			t.Errorf("run %d should have been dropped", id)
		}
		want, why := "done", ""
		switch {
		case fronts[row] == "choked":
			want, why = "failed", "front.core: core: 2 W/K without fans is more than film (0.5 W/K)"
		case powers[row] == 4000:
			want, why = "left_range", "cpu.die went above 135.0 degC"
		}
		if statuses[row] != want || !strings.HasPrefix(reasons[row], why) {
			t.Errorf("run %d is %s, %s; want %s, %s", id, statuses[row], reasons[row], want, why)
		}
		if failed := want == "failed"; traced[id] == failed || runs.IsNull(runs.Col("rise_k"), row) != failed || runs.IsNull(runs.Col("duration_s"), row) != failed {
			t.Errorf("run %d, %s: trace %v, figures %v", id, want, traced[id], !failed)
		}
	}
	checkUnion(t, runs, traces)
}

// checkUnion: columns that some variants lack are null there, and only there.
func checkUnion(t *testing.T, runs, traces *record.Frame) {
	t.Helper()
	fronts := map[int64]string{}
	for row, id := range runs.Ints(0) {
		front := runs.Texts(runs.Col("front"))[row]
		fronts[id] = front
		if done := runs.Texts(runs.Col("status"))[row] == "done"; done && runs.IsNull(runs.Col("price"), row) != (front == "coarse") {
			t.Errorf("run %d, %s: the price is null or not", id, front)
		}
	}
	third := traces.Col("front_coolant_3_c")
	if third < 0 || traces.Col("front_coolant_2_c") < 0 {
		t.Fatal("the columns of cells are not all there")
	}
	for row, id := range traces.Ints(0) {
		if traces.IsNull(third, row) != (fronts[id] == "coarse") || traces.IsNull(traces.Col("front_coolant_2_c"), row) {
			t.Fatalf("row %d of run %d, %s: the third cell is null: %v", row, id, fronts[id], traces.IsNull(third, row))
		}
	}
}

// TestSweepIsSeparateFiles: the rows of every run of a sweep are those of a run of a
// file that states its values, apart from its number and the columns of what varies.
func TestSweepIsSeparateFiles(t *testing.T) {
	text, err := os.ReadFile(drawnStudy)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		vary string
		from string   // what the file states
		to   []string // and states instead, a design each
	}{
		"thickness": {"{path: front.thickness, values: [20 mm, 41.3 mm, 2 in]}", "thickness: 30 mm", []string{"thickness: 20 mm", "thickness: 41.3 mm", "thickness: 2 in"}},
		"cells":     {"{path: front.cells, values: [3, 1]}", "cells: 1", []string{"cells: 3", "cells: 1"}},
	} {
		t.Run(name, func(t *testing.T) {
			isolate(t)
			base, _, _ := strings.Cut(string(text), "study:")
			dir := t.TempDir()
			study := filepath.Join(dir, "study.yaml")
			if err := os.WriteFile(study, []byte(base+"study: {vary: ["+c.vary+"]}\n"), 0o644); err != nil {
				t.Fatal(err)
			}
			swept := opened(t, mustSweep(t, exitDone, study, "--traces", "all"))
			bare := opened(t, mustSweep(t, exitDone, study, "--no-traces", "--part-runs", "1"))
			for i, stated := range c.to {
				if strings.Count(base, c.from) != 1 {
					t.Fatalf("the file does not state %q once", c.from)
				}
				file := filepath.Join(dir, fmt.Sprintf("file%d.yaml", i))
				if err := os.WriteFile(file, []byte(strings.Replace(base, c.from, stated, 1)), 0o644); err != nil {
					t.Fatal(err)
				}
				single := mustRun(t, file)
				for _, table := range single.Tables() {
					wantRun(t, i, rowsOf(t, swept, table.Name), rowsOf(t, single, table.Name))
					if table.Name != "traces" {
						wantRun(t, i, rowsOf(t, bare, table.Name), rowsOf(t, single, table.Name))
					}
				}
			}
		})
	}
}

// wantRun compares the rows of one run of a sweep with those of a run of its own. A
// column that only other designs have is null.
func wantRun(t *testing.T, run int, swept, single *record.Frame) {
	t.Helper()
	ids := swept.Ints(0)
	first := slices.Index(ids, int64(run))
	n := 0
	for _, id := range ids {
		if id == int64(run) {
			n++
		}
	}
	name := single.Table().Name
	if n != single.Rows() {
		t.Fatalf("run %d has %d rows in %s, alone %d", run, n, name, single.Rows())
	}
	found := 0
	for k, c := range swept.Table().Columns {
		i := single.Col(c.Name)
		if i >= 0 {
			found++
		}
		for row := 0; row < n && k > 0; row++ {
			axis := strings.HasPrefix(c.Meaning, "varied: ")
			if i < 0 && !axis && !swept.IsNull(k, first+row) {
				t.Fatalf("run %d, %s, row %d: %s has a value which it has not alone", run, name, row, c.Name)
			}
			if i >= 0 && field(swept, k, first+row) != field(single, i, row) {
				t.Fatalf("run %d, %s, row %d: %s is %s, alone %s", run, name, row, c.Name, field(swept, k, first+row), field(single, i, row))
			}
		}
	}
	if found != len(single.Table().Columns) {
		t.Errorf("run %d, %s: %d of %d columns are in the sweep", run, name, found, len(single.Table().Columns))
	}
}

// TestSweepChanged: a study that differs from the one in the folder is refused, with
// what differs; nothing is touched.
func TestSweepChanged(t *testing.T) {
	isolate(t)
	common := []string{"--part-runs", "4"}
	dir := mustSweep(t, exitDone, drawnStudy, common...)
	before, err := contents(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--resume", "--set", "study.seed=6"}, "What differs:\n  study.seed was 5 and is now 6\nUndo"},
		{[]string{"--resume", "--set", "ambient=24 degC"}, "What differs:\n  ambient.temperature was 23 degC and is now 24 degC\nUndo"},
		{[]string{"--resume", "--set", "solver.tolerance=1 mK"}, "What differs:\n  solver.tolerance is now 0.001 K and was not stated\nUndo"},
		{[]string{"--resume", "--traces", "all"}, "What differs:\n  the choice of traces (--traces) was \"every 1, within 0.02 K, share 0.001\" and is now \"every 1\"\nUndo"},
		{[]string{"--resume", "--part-runs", "5"}, "in parts of 4 runs, and --part-runs asks for 5: leave it out, or give --part-runs 4, to go on"},
		{[]string{"--part-runs", "5"}, "in parts of 4 runs, and --part-runs asks for 5"},
		{[]string{"--shard", "0/2", "--set", "study.runs=25"}, "study.runs was 24 and is now 25\n  the number of designs was 24 and is now 25\nUndo"},
		{[]string{"--set", "study.seed=6"}, "already holds the dataset of another study: it is finished. What differs:\n  study.seed was 5 and is now 6\nChoose another folder, or --replace removes it"},
	} {
		args := slices.Concat([]string{"sweep", drawnStudy, "--out", dir}, common, c.args)
		code, stdout, stderr := invoke(t, args...)
		if code != exitUsage || stdout != "" || !strings.Contains(stderr, c.want) {
			t.Errorf("%q: exit code %d, printed %q and %q; want %q", c.args, code, stdout, stderr, c.want)
		}
	}
	after, err := contents(dir)
	if err != nil || !maps.EqualFunc(before, after, bytes.Equal) {
		t.Errorf("the dataset was touched (%v)", err)
	}
}

// TestSweepTraces: every form of the choice keeps what it says.
func TestSweepTraces(t *testing.T) {
	isolate(t)
	whole := opened(t, mustSweep(t, exitDone, drawnStudy, "--traces", "all"))
	all := rowsOf(t, whole, "traces")
	for _, c := range []struct {
		choice        string
		kelvin, share float64 // 0 where all rows are kept
		every         int64
		columns       string
	}{
		{"thinned", 0.02, 0.001, 1, ""},
		{"within 0.2 K", 0.2, 0.001, 1, ""},
		{"every 5", 0, 0, 5, ""},
		{"every 7, columns coolant_c *_die_c, within 0.05 K, share 0.01", 0.05, 0.01, 7, "run_id time_s coolant_c cpu_die_c"},
		{"columns flow_l_min", 0, 0, 1, "run_id time_s flow_l_min"},
	} {
		kept := rowsOf(t, opened(t, mustSweep(t, exitDone, drawnStudy, "--traces", c.choice)), "traces")
		if c.columns != "" {
			var names []string
			for _, column := range kept.Table().Columns {
				names = append(names, column.Name)
			}
			if got := strings.Join(names, " "); got != c.columns {
				t.Errorf("%s keeps %s", c.choice, got)
			}
		}
		checkTraces(t, c.choice, all, kept, c.kelvin, c.share, c.every)
	}
	for _, args := range [][]string{{"--traces", "none"}, {"--no-traces"}} {
		d := opened(t, mustSweep(t, exitDone, drawnStudy, args...))
		if len(d.Tables()) != 3 || d.Rows("runs") != 24 {
			t.Errorf("%v: %d tables", args, len(d.Tables()))
		}
	}
	spaced := rowsOf(t, opened(t, mustSweep(t, exitDone, drawnStudy, "--traces", "interval 9 s")), "traces")
	if at := floats(t, spaced, "time_s"); at[0] != 0 || at[1] != 9 || at[2] != 18 {
		t.Errorf("an interval of 9 s gives rows at %v", at[:3])
	}
	for choice, want := range map[string]string{
		"some": `"some" is none of: none, all`, "columns psu_c": `no column of table traces is like "psu_c"`, "within 0.0001 K": "want a bound of more than twice that",
	} {
		code, _, stderr := invoke(t, "sweep", drawnStudy, "--traces", choice, "--out", filepath.Join(t.TempDir(), "none"))
		if code != exitUsage || !strings.HasPrefix(stderr, "--traces: ") || !strings.Contains(stderr, want) {
			t.Errorf("%s: exit code %d, %s", choice, code, stderr)
		}
	}
}

// checkTraces compares kept traces with whole ones: which runs have one, and how far
// straight lines between kept rows are from those that are left out.
func checkTraces(t *testing.T, what string, all, kept *record.Frame, kelvin, share float64, every int64) {
	t.Helper()
	rows := map[int64][]int{}
	for row, id := range kept.Ints(0) {
		rows[id] = append(rows[id], row)
	}
	wholeOf := map[int64][]int{}
	for row, id := range all.Ints(0) {
		wholeOf[id] = append(wholeOf[id], row)
	}
	left := 0
	for id, whole := range wholeOf {
		own := rows[id]
		if (len(own) > 0) != (id%every == 0) {
			t.Fatalf("%s: run %d has %d rows", what, id, len(own))
		}
		if len(own) == 0 {
			continue
		}
		left += len(whole) - len(own)
		if kelvin == 0 && len(whole) != len(own) {
			t.Fatalf("%s: run %d has %d of %d rows", what, id, len(own), len(whole))
		}
		for k, c := range kept.Table().Columns {
			if k >= 2 {
				checkColumn(t, fmt.Sprintf("%s, run %d", what, id), all, kept, whole, own, c, kelvin, share)
			}
		}
	}
	if kelvin > 0 && left == 0 {
		t.Errorf("%s: no row is left out", what)
	}
}

// checkColumn compares one column of one run.
func checkColumn(t *testing.T, what string, all, kept *record.Frame, whole, own []int, c record.Column, kelvin, share float64) {
	t.Helper()
	from, to := all.Col(c.Name), kept.Col(c.Name)
	low, high := 0.0, 0.0
	for k, row := range whole {
		v := all.Floats(from)[row]
		if k == 0 {
			low, high = v, v
		}
		low, high = min(low, v), max(high, v)
	}
	bound := kelvin
	if c.Unit != "degC" && c.Unit != "K" {
		bound = max(share*(high-low), 1e-6*max(-low, high)) + c.Grid
	}
	if kelvin == 0 {
		bound = 0
	}
	at, times, values := 0, floats(t, kept, "time_s"), kept.Floats(to)
	for _, row := range whole {
		s := floats(t, all, "time_s")[row]
		for at+2 < len(own) && times[own[at+1]] < s {
			at++
		}
		a, b := own[at], own[at+1]
		if all.IsNull(from, row) {
			continue
		}
		v := values[a] + (s-times[a])/(times[b]-times[a])*(values[b]-values[a])
		if s == times[b] {
			v = values[b]
		}
		if d := v - all.Floats(from)[row]; d > bound || -d > bound {
			t.Fatalf("%s: %s at %g s is off by %g, allowed %g", what, c.Name, s, d, bound)
		}
	}
}
