package output

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Environment of a test binary that is started as a process which writes the
// study: folder, shard as i/n, and a folder's wish.
const (
	helperDir   = "SOAKLEDGER_TEST_STUDY"
	helperShard = "SOAKLEDGER_TEST_SHARD"
	helperLimit = "SOAKLEDGER_TEST_FILE_BYTES"
	helperUser  = "SOAKLEDGER_TEST_USER"
)

// TestMain lets the test binary be such a process.
func TestMain(m *testing.M) {
	if dir := os.Getenv(helperDir); dir != "" {
		if err := helper(dir); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// helper writes what is missing of the study, or of one shard of it.
func helper(dir string) error {
	if err := restrict(os.Getenv(helperLimit), os.Getenv(helperUser)); err != nil {
		return err
	}
	s, err := CreateStudy(dir, testStudy, studyTables(), StudyOptions{Resume: true})
	if err != nil {
		return err
	}
	first, step := 0, 1
	if shard := os.Getenv(helperShard); shard != "" {
		if _, err := fmt.Sscanf(shard, "%d/%d", &first, &step); err != nil {
			return err
		}
	}
	for k := first; k < testStudy.Parts(); k += step {
		missing, err := s.Missing(k)
		if err != nil {
			return err
		}
		if len(missing) > 0 {
			if err := writePart(s, k); err != nil {
				return err
			}
		}
	}
	if err := s.Finish(); !isMissing(err) {
		return err
	}
	return nil
}

// helperProcess prepares a process that writes the study.
func helperProcess(t testing.TB, dir string, env ...string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(append(os.Environ(), helperDir+"="+dir), env...)
	stderr := new(bytes.Buffer)
	cmd.Stderr = stderr
	return cmd, stderr
}

// deadProcess returns the number of a process that has ended.
func deadProcess(t *testing.T) int {
	t.Helper()
	cmd, stderr := helperProcess(t, filepath.Join(t.TempDir(), "set"))
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %s", err, stderr)
	}
	return cmd.Process.Pid
}

// TestKilledTwentyTimes kills the process that writes the study at 20 random
// moments. What is visible then is whole; the dataset in the end is the same.
func TestKilledTwentyTimes(t *testing.T) {
	want := wholeStudy(t)
	dir := filepath.Join(t.TempDir(), "set")
	begun := time.Now()
	deadProcess(t)
	undisturbed := time.Since(begun)
	killed := 0
	for killed < 20 {
		cmd, stderr := helperProcess(t, dir)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(rand.Float64() * float64(undisturbed) / 2))
		// It may have ended by itself: Wait tells.
		_ = cmd.Process.Kill()
		var exit *exec.ExitError
		switch err := cmd.Wait(); {
		case err == nil: // all is written: once more
			wantSame(t, dir, want)
			dir = filepath.Join(t.TempDir(), "set")
		case errors.As(err, &exit) && exit.ExitCode() == -1:
			killed++
			checkVisible(t, dir, want)
		default:
			t.Fatalf("%v: %s", err, stderr)
		}
	}
	if cmd, stderr := helperProcess(t, dir); cmd.Run() != nil {
		t.Fatal(stderr)
	}
	wantSame(t, dir, want)
}

// TestProcessesShareAFolder: two that write everything, and five shards.
func TestProcessesShareAFolder(t *testing.T) {
	want := wholeStudy(t)
	for name, shards := range map[string][]string{
		"two processes": {"0/1", "0/1"},
		"five shards":   {"0/5", "1/5", "2/5", "3/5", "4/5"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "set")
			var running []*exec.Cmd
			var said []*bytes.Buffer
			for _, shard := range shards {
				cmd, stderr := helperProcess(t, dir, helperShard+"="+shard)
				if err := cmd.Start(); err != nil {
					t.Fatal(err)
				}
				running, said = append(running, cmd), append(said, stderr)
			}
			for i, cmd := range running {
				if err := cmd.Wait(); err != nil {
					t.Errorf("%v: %s", err, said[i])
				}
			}
			wantSame(t, dir, want)
		})
	}
}

// TestFileSizeLimit: the disk of a process ends before a trace's part does.
func TestFileSizeLimit(t *testing.T) {
	if !canRestrict {
		return // the tests of injected errors cover this system
	}
	dir := filepath.Join(t.TempDir(), "set")
	want := wholeStudy(t)
	openStudy(t, dir, StudyOptions{}) // its marker is larger than a part
	limit := len(want["traces/part-00000.parquet"]) - 1
	cmd, stderr := helperProcess(t, dir, helperLimit+"="+strconv.Itoa(limit))
	if err := cmd.Run(); err == nil || !strings.Contains(stderr.String(), "limit on the size of files") || !strings.Contains(stderr.String(), "part 0 in "+dir) {
		t.Errorf("got %v: %s", err, stderr)
	}
	checkVisible(t, dir, want)
	for name := range tree(t, dir) {
		if strings.HasPrefix(name, "traces/") || strings.HasPrefix(name, ".tmp/traces") {
			t.Errorf("left is %s", name)
		}
	}
	if cmd, stderr := helperProcess(t, dir); cmd.Run() != nil {
		t.Fatal(stderr)
	}
	wantSame(t, dir, want)
}

// TestReadOnlyStudy is found out before anything is computed, by a process that
// is not root.
func TestReadOnlyStudy(t *testing.T) {
	if !canRestrict {
		return // TestStudyOnAFullDisk and TestReadOnlyFolder cover the messages
	}
	root := t.TempDir()
	if err := os.Chmod(filepath.Dir(root), 0o755); err != nil { // made for this user alone
		t.Fatal(err)
	}
	dir := filepath.Join(root, "set")
	mustWriteParts(t, openStudy(t, dir, StudyOptions{}), 0, 1)
	for _, target := range []string{dir, filepath.Join(root, "new")} {
		protect(t, root)
		before := tree(t, root)
		cmd, stderr := helperProcess(t, target, helperUser+"=65534")
		if err := cmd.Run(); err == nil || !strings.Contains(stderr.String(), "cannot be written; choose another one") || !strings.Contains(stderr.String(), target) {
			t.Errorf("got %v: %s", err, stderr)
		}
		wantSame(t, root, before)
	}
}

// protect takes the permission to write from every folder below dir, until the
// test ends.
func protect(t *testing.T, dir string) {
	t.Helper()
	folders := []string{dir, filepath.Join(dir, "set"), filepath.Join(dir, "set", tempFolder)}
	for _, folder := range folders {
		if err := os.Chmod(folder, 0o555); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() {
		for _, folder := range folders {
			if err := os.Chmod(folder, 0o777); err != nil {
				t.Error(err)
			}
		}
	})
}
