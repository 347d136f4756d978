package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"soakledger/scenarios"
)

// timeLine is the line of check that depends on the machine.
var timeLine = regexp.MustCompile("(?m)^time   about .*$")

// TestGolden compares what check, run and, of a study, sweep print of every shipped
// scenario with files to be read by people. -update writes them.
func TestGolden(t *testing.T) {
	golden, err := filepath.Abs(filepath.Join("..", "..", "testdata", "golden"))
	if err != nil {
		t.Fatal(err)
	}
	shipped := map[string]bool{}
	for _, e := range scenarios.Shipped() {
		shipped[e.Name+".txt"] = true
		if !slices.Contains(few(scenarios.Shipped()), e) {
			continue
		}
		t.Run(e.Name, func(t *testing.T) {
			t.Chdir(t.TempDir()) // the card ends with the name of the dataset's folder
			var got strings.Builder
			for _, command := range commandsOf(t, e.Name) {
				code, stdout, stderr := invoke(t, strings.Fields(command)...)
				stdout = timeLine.ReplaceAllString(stdout, "time   depends on the machine")
				if code != exitDone || stderr != "" {
					t.Fatalf("soakledger %s: exit code %d, %s", command, code, stderr)
				}
				fmt.Fprintf(&got, "$ soakledger %s\n%s\n", command, stdout)
			}
			compareGolden(t, filepath.Join(golden, e.Name+".txt"), got.String())
		})
	}
	entries, err := os.ReadDir(golden)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !shipped[e.Name()] {
			t.Errorf("%s belongs to no shipped scenario", e.Name())
		}
	}
}

// few is every seventh of the shipped scenarios under -short, else all.
func few(all []scenarios.Example) []scenarios.Example {
	if !testing.Short() {
		return all
	}
	var some []scenarios.Example
	for i := 0; i < len(all); i += 7 {
		some = append(some, all[i])
	}
	return some
}

// commandsOf lists what is done with a shipped scenario.
func commandsOf(t *testing.T, name string) []string {
	t.Helper()
	doc, err := scenarios.Load(name)
	if err != nil {
		t.Fatal(err)
	}
	commands := []string{"check example:" + name, "run example:" + name}
	if len(doc.Scenario.Study.Vary) > 0 { // the hash of a study goes by the compiler too
		commands = append(commands, "sweep example:"+name+" --out swept")
	}
	return commands
}

func compareGolden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Split(string(text), "\n")
	for i, line := range strings.Split(got, "\n") {
		if i >= len(want) || line != want[i] {
			t.Fatalf("%s, line %d: printed\n%s\nwant\n%s\n(-update writes what is printed)", path, i+1, line, strings.Join(want[min(i, len(want)):min(i+1, len(want))], ""))
		}
	}
	if strings.Count(got, "\n") != len(want)-1 {
		t.Fatalf("%s has more lines than are printed", path)
	}
}

// A run that is interrupted leaves no folder and says so with its exit code.
func TestInterrupted(t *testing.T) {
	isolate(t)
	dir := filepath.Join(t.TempDir(), "dataset")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var stdout, stderr strings.Builder
	code := run(ctx, []string{"run", "example:office_render", "--out", dir}, &stdout, &stderr)
	if code != 130 || stdout.String() != "" || stderr.String() != "interrupted\n" {
		t.Errorf("exit code %d, printed %q and %q", code, stdout.String(), stderr.String())
	}
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("the folder is there (%v)", err)
	}
}
