package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"soakledger/output"
	"soakledger/sim/record"
)

var update = flag.Bool("update", false, "write golden files instead of comparing with them")

// TestMain lets the scripts of testdata/script call the program by its name.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"soakledger": main})
}

// settingsHome returns the environment variable that decides where the user's
// configuration lies, and the configuration folder inside home.
func settingsHome(home string) (name, value, config string) {
	switch runtime.GOOS {
	case "windows":
		return "AppData", home, home
	case "darwin":
		return "HOME", home, filepath.Join(home, "Library", "Application Support")
	}
	return "XDG_CONFIG_HOME", home, home
}

// isolate keeps the settings of whoever runs the tests out of them.
func isolate(t testing.TB) {
	t.Helper()
	name, value, _ := settingsHome(t.TempDir())
	t.Setenv(name, value)
	for _, pair := range os.Environ() {
		if name, _, _ := strings.Cut(pair, "="); strings.HasPrefix(name, "SOAKLEDGER_") {
			t.Setenv(name, "")
		}
	}
}

// invoke calls the program inside this process and returns its exit code and
// what it wrote.
func invoke(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	isolate(t)
	var out, err bytes.Buffer
	code = run(context.Background(), args, &out, &err)
	return code, out.String(), err.String()
}

// mustRun runs a scenario into a new folder and opens the dataset there.
func mustRun(t *testing.T, scenario string, args ...string) *output.Dataset {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "dataset")
	all := append([]string{"run", scenario, "--quiet", "--quick", "--out", dir}, args...)
	if code, stdout, stderr := invoke(t, all...); code != exitDone || stdout+stderr != "" {
		t.Fatalf("soakledger %s: exit code %d, printed %q and %q", strings.Join(all, " "), code, stdout, stderr)
	}
	d, err := output.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// rowsOf returns all rows of a table.
func rowsOf(t *testing.T, d *output.Dataset, table string) *record.Frame {
	t.Helper()
	f, err := d.Read(table)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// floats returns a column of numbers.
func floats(t *testing.T, f *record.Frame, column string) []float64 {
	t.Helper()
	i := f.Col(column)
	if i < 0 {
		t.Fatalf("there is no column %s", column)
	}
	return f.Floats(i)
}

// figure returns one number of a row, which must not be null.
func figure(t *testing.T, f *record.Frame, row int, column string) float64 {
	t.Helper()
	values := floats(t, f, column)
	if f.IsNull(f.Col(column), row) {
		t.Fatalf("%s is null", column)
	}
	return values[row]
}
