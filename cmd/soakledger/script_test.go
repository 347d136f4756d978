package main

import (
	"encoding/json"
	"errors"
	"os/exec"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestScript runs the scripts of testdata/script: the program as its own
// process, seen from the outside.
func TestScript(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			name, value, config := settingsHome(e.WorkDir + "/config")
			e.Setenv("HOME", e.WorkDir+"/home")
			e.Setenv(name, value)
			e.Setenv("CONFIG", config)
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits,
			"json":  jsonHolds,
		},
	})
}

// exits runs a program that must end with a code: exits CODE PROGRAM ARGS...
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGS...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// jsonHolds reads a file (or stdout) as one JSON object and compares the value
// of a key, written as JSON: json FILE KEY VALUE
func jsonHolds(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: json FILE KEY VALUE")
	}
	var object map[string]json.RawMessage
	if err := json.Unmarshal([]byte(ts.ReadFile(args[0])), &object); err != nil {
		ts.Fatalf("%s is no JSON object: %v", args[0], err)
	}
	if got := string(object[args[1]]); got != args[2] {
		ts.Fatalf("%s has %s: %s, want %s", args[0], args[1], got, args[2])
	}
}
