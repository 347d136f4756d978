package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/output"
	"soakledger/scenarios"
	"soakledger/sim/record"
)

// contents returns every file below dir by its slashed path.
func contents(dir string) (map[string][]byte, error) {
	all := map[string][]byte{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		all[path], err = os.ReadFile(filepath.Join(dir, filepath.FromSlash(path)))
		return err
	})
	return all, err
}

// sameFiles compares two datasets byte for byte.
func sameFiles(a, b string) error {
	first, err := contents(a)
	if err != nil {
		return err
	}
	second, err := contents(b)
	if err != nil {
		return err
	}
	names := slices.Sorted(maps.Keys(first))
	if others := slices.Sorted(maps.Keys(second)); !slices.Equal(names, others) {
		return fmt.Errorf("the files are %v and %v", names, others)
	}
	want := []string{"events/part-00000.parquet", "manifest.json", "phases/part-00000.parquet", "runs/part-00000.parquet", "traces/part-00000.parquet"}
	if !slices.Equal(names, want) {
		return fmt.Errorf("the files are %v, want %v", names, want)
	}
	for _, name := range names {
		if !bytes.Equal(first[name], second[name]) {
			return fmt.Errorf("%s differs", name)
		}
	}
	return nil
}

// The same scenario gives the same bytes, whatever its folder is called.
func TestRunTwice(t *testing.T) {
	for _, e := range few(scenarios.Shipped()) {
		t.Run(e.Name, func(t *testing.T) {
			a := mustRun(t, "example:"+e.Name)
			dir := filepath.Join(t.TempDir(), "another name", "with folders")
			if code, _, stderr := invoke(t, "run", "example:"+e.Name, "--quiet", "--quick", "--out", dir); code != exitDone {
				t.Fatalf("exit code %d, %s", code, stderr)
			}
			if err := sameFiles(a.Dir(), dir); err != nil {
				t.Error(err)
			}
			if err := a.Verify(); err != nil {
				t.Error(err)
			}
		})
	}
}

// Property: whatever is set, two runs give the same bytes, and a run over the
// first with --replace leaves them as they are.
func TestRunTwiceWhateverIsSet(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		number := func(path, unit string, low, high float64) string {
			return fmt.Sprintf("%s=%.4g %s", path, rapid.Float64Range(low, high).Draw(r, path), unit)
		}
		word := func(path string, words ...string) string {
			return path + "=" + rapid.SampledFrom(words).Draw(r, path)
		}
		args := []string{"run", "example:two_chips", "--quiet", "--quick"}
		for _, set := range []string{
			number("duration", "s", 0.5, 40), number("ambient.temperature", "degC", 5, 35),
			number("pump.flow", "L/min", 0.2, 8), number("gpu.power", "W", 0, 500), number("top.metal_capacity", "J/K", 50, 900),
			word("record.resolution", "0 mK", "0.06 mK", "10 mK"), word("gpu.leakage.form", "linear", "exponential"),
			word("solver.tolerance", "0.2 mK", "0.02 mK"),
		} {
			args = append(args, "--set", set)
		}
		folders := []string{filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b c")}
		for _, dir := range folders {
			if code, _, stderr := invoke(t, append(args, "--out", dir)...); code != exitDone {
				r.Fatalf("exit code %d, %s", code, stderr)
			}
			defer os.RemoveAll(dir)
		}
		if err := sameFiles(folders[0], folders[1]); err != nil {
			r.Fatal(err)
		}
	})
}

// sameRows compares two tables value by value.
func sameRows(a, b *record.Frame) error {
	if !a.Table().Equal(b.Table()) || a.Rows() != b.Rows() {
		return fmt.Errorf("other columns, or %d rows and %d", a.Rows(), b.Rows())
	}
	for i, c := range a.Table().Columns {
		if !slices.Equal(a.Floats(i), b.Floats(i)) || !slices.Equal(a.Ints(i), b.Ints(i)) || !slices.Equal(a.Texts(i), b.Texts(i)) || !slices.Equal(a.Nulls(i), b.Nulls(i)) {
			return fmt.Errorf("column %s differs", c.Name)
		}
	}
	return nil
}

// A value that is set on the command line gives what a file with that value
// gives: the same hash and the same rows.
func TestSetIsAsGoodAsTheFile(t *testing.T) {
	_, text, _ := invoke(t, "examples", "office_render")
	for _, c := range []struct{ set, from, to string }{
		{"front.conductance=21 W/K", "conductance: 170 W per 10 K", "conductance: 21 W/K"},
		{"pump.flow=1.5 L/min", "flow: 3.5 L/min", "flow: 1.5 L/min"},
		{"ambient.temperature=30 degC", "temperature: 22 degC", "temperature: 30 degC"},
		{"front.metal_capacity=900 J/K", "metal_capacity: 330 J/K", "metal_capacity: 0.9 kJ/K"},
	} {
		if strings.Count(text, c.from) != 1 {
			t.Fatalf("the example does not state %q once", c.from)
		}
		file := filepath.Join(t.TempDir(), "changed.yaml")
		if err := os.WriteFile(file, []byte(strings.Replace(text, c.from, c.to, 1)), 0o644); err != nil {
			t.Fatal(err)
		}
		compareDatasets(t, c.set, mustRun(t, "example:office_render", "--set", c.set), mustRun(t, file))
	}
}

func compareDatasets(t *testing.T, what string, a, b *output.Dataset) {
	t.Helper()
	if a.Meta().ScenarioHash != b.Meta().ScenarioHash {
		t.Errorf("%s: the hashes differ", what)
	}
	for _, table := range a.Tables() {
		if err := sameRows(rowsOf(t, a, table.Name), rowsOf(t, b, table.Name)); err != nil {
			t.Errorf("%s, %s: %v", what, table.Name, err)
		}
	}
}
