package output

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// smallStudy has three parts: the tests here write it hundreds of times.
func smallStudy() StudyManifest {
	m := testStudy
	m.Runs = 18
	return m
}

// TestStudyOnAFullDisk makes each call to the disk fail in turn: the message
// says what to do, no temporary file is left, no part that was there is lost,
// and resuming makes the same files.
func TestStudyOnAFullDisk(t *testing.T) {
	want := wholeOf(t, smallStudy())
	count := newFaultyDisk(0, nil)
	if err := studyOn(count.disk, filepath.Join(t.TempDir(), "a", "set"), smallStudy(), StudyOptions{}); err != nil {
		t.Fatal(err)
	}
	for failAt := 1; failAt <= count.calls; failAt++ {
		root := t.TempDir()
		dir := filepath.Join(root, "a", "set")
		d := newFaultyDisk(failAt, syscall.ENOSPC)
		err := studyOn(d.disk, dir, smallStudy(), StudyOptions{})
		if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "free some space, or choose a folder on another disk, and run again with --resume") || !strings.Contains(err.Error(), dir) {
			t.Errorf("call %d fails: got %v", failAt, err)
		}
		for name := range tree(t, root) {
			if strings.HasPrefix(name, "a/set/.tmp/") && name != "a/set/.tmp/begun.json" {
				t.Errorf("call %d fails: left is %s", failAt, name)
			}
		}
		if err := studyOn(quietDisk(), dir, smallStudy(), StudyOptions{Resume: true}); err != nil {
			t.Errorf("call %d fails, resumed: %v", failAt, err)
		}
		wantSame(t, dir, want)
		if t.Failed() {
			return
		}
	}
}

// crash is what a crashing disk panics with: nothing of the writer runs behind
// it, not even what would clean up.
type crash struct{}

// crashingDisk stops the program at the call whose number is failAt, before or
// after it has been carried out.
func crashingDisk(failAt int, after bool) (*int, disk) {
	calls := 0
	stop := func() {
		if calls == failAt {
			panic(crash{})
		}
	}
	system := systemDisk()
	around := func(do func() error) error {
		calls++
		if !after {
			stop()
		}
		err := do()
		if after {
			stop()
		}
		return err
	}
	return &calls, disk{
		create: func(name string) (f file, err error) {
			err = around(func() (err error) { f, err = system.create(name); return err })
			return &crashingFile{f, around}, err
		},
		mkdir:   func(name string) error { return around(func() error { return system.mkdir(name) }) },
		rename:  func(old, new string) error { return around(func() error { return system.rename(old, new) }) },
		link:    func(old, new string) error { return around(func() error { return system.link(old, new) }) },
		syncDir: func(string) error { return around(func() error { return nil }) },
	}
}

type crashingFile struct {
	file
	around func(do func() error) error
}

func (f *crashingFile) Write(b []byte) (n int, err error) {
	err = f.around(func() (err error) { n, err = f.file.Write(b[:len(b)/2]); return err })
	if err != nil {
		return n, err
	}
	m, err := f.file.Write(b[len(b)/2:])
	return n + m, err
}

func (f *crashingFile) Sync() error  { return f.around(func() error { return nil }) }
func (f *crashingFile) Close() error { return f.around(f.file.Close) }

// TestStudyCrashesAnywhere stops the program at each call to the disk in turn,
// also in the middle of a write. What is visible then is whole, and resuming
// makes the same files.
func TestStudyCrashesAnywhere(t *testing.T) {
	want := wholeOf(t, smallStudy())
	calls, d := crashingDisk(0, false)
	if err := studyOn(d, filepath.Join(t.TempDir(), "set"), smallStudy(), StudyOptions{}); err != nil {
		t.Fatal(err)
	}
	for failAt := 1; failAt <= *calls; failAt++ {
		dir := filepath.Join(t.TempDir(), "set")
		_, d := crashingDisk(failAt, failAt%2 == 0)
		crashed(t, func() error { return studyOn(d, dir, smallStudy(), StudyOptions{}) })
		checkVisible(t, dir, want)
		forgetTemporary(t, dir)
		if err := studyOn(quietDisk(), dir, smallStudy(), StudyOptions{Resume: true}); err != nil {
			t.Errorf("stopped at call %d, resumed: %v", failAt, err)
		}
		wantSame(t, dir, want)
		if t.Failed() {
			t.Fatalf("stopped at call %d of %d", failAt, *calls)
		}
	}
}

// crashed runs do, which must stop.
func crashed(t *testing.T, do func() error) {
	t.Helper()
	defer func() {
		if p := recover(); p != (crash{}) {
			panic(p)
		}
	}()
	t.Fatalf("it ended with %v instead of being stopped", do())
}

// checkVisible makes sure that whatever has the name of a part is that part.
func checkVisible(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return
	}
	for name, content := range tree(t, dir) {
		if strings.HasSuffix(name, ".parquet") && content != want[name] {
			t.Errorf("%s is visible and not whole", name)
		}
	}
}

// TestOrderOnTheDisk: a file is flushed before it gets its name, the names of a
// part's other files are flushed before that of its runs is given.
func TestOrderOnTheDisk(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	var log []string
	d := s.disk
	short := func(name string) string {
		rel, err := filepath.Rel(dir, name)
		if err != nil {
			t.Fatal(err)
		}
		stem, _, _ := parseOwnName(filepath.Base(rel))
		if stem != "" {
			return stem
		}
		return filepath.ToSlash(rel)
	}
	s.disk.create = func(name string) (file, error) {
		f, err := d.create(name)
		return &loggedFile{f, short(name), &log}, err
	}
	s.disk.rename = func(old, new string) error {
		log = append(log, "rename "+short(old)+" "+short(new))
		return d.rename(old, new)
	}
	s.disk.syncDir = func(name string) error {
		log = append(log, "sync "+short(name))
		return d.syncDir(name)
	}
	mustWriteParts(t, s, 3)
	want := []string{
		"sync events-00003", "close events-00003", "sync traces-00003", "close traces-00003", "sync runs-00003", "close runs-00003",
		"sync .", "rename events-00003 events/part-00003.parquet", "sync events",
		"sync .", "rename traces-00003 traces/part-00003.parquet", "sync traces",
		"sync .", "rename runs-00003 runs/part-00003.parquet", "sync runs",
	}
	if !slices.Equal(log, want) {
		t.Errorf("the order is\n%s\nwant\n%s", strings.Join(log, "\n"), strings.Join(want, "\n"))
	}
}

type loggedFile struct {
	file
	name string
	log  *[]string
}

func (f *loggedFile) Sync() error {
	*f.log = append(*f.log, "sync "+f.name)
	return f.file.Sync()
}

func (f *loggedFile) Close() error {
	*f.log = append(*f.log, "close "+f.name)
	return f.file.Close()
}

// TestSecondStudyAtTheSameMoment: both have seen an empty folder. The slower one
// goes on with the same study and refuses another.
func TestSecondStudyAtTheSameMoment(t *testing.T) {
	for _, same := range []bool{true, false} {
		dir := filepath.Join(t.TempDir(), "set")
		d := systemDisk()
		link := d.link
		d.link = func(old, new string) error {
			if _, err := os.Stat(new); errors.Is(err, fs.ErrNotExist) {
				m := testStudy
				if !same {
					m.Solver = "another"
				}
				if _, err := CreateStudy(dir, m, studyTables(), StudyOptions{}); err != nil {
					t.Error(err)
				}
			}
			return link(old, new)
		}
		err := studyOn(d, dir, testStudy, StudyOptions{})
		if same {
			if err != nil {
				t.Error(err)
			}
			wantSame(t, dir, wholeStudy(t))
			continue
		}
		var changed *ChangedError
		if !errors.As(err, &changed) {
			t.Errorf("got %v", err)
		}
		wantTree(t, dir, ".tmp/begun.json")
	}
}

// TestFileSystemWithoutLinks: the marker is then created in place.
func TestFileSystemWithoutLinks(t *testing.T) {
	for _, code := range []error{syscall.EPERM, syscall.ENOSYS, syscall.EOPNOTSUPP} {
		d := systemDisk()
		d.link = func(old, new string) error { return &os.LinkError{Op: "link", Old: old, New: new, Err: code} }
		dir := filepath.Join(t.TempDir(), "set")
		s, err := createStudy(dir, testStudy, studyTables(), StudyOptions{}, d)
		if err != nil {
			t.Fatal(err)
		}
		if err := writeShard(s, 0, 1); !isMissing(err) {
			t.Errorf("%v: got %v", code, err)
		}
		wantError(t, studyOn(d, dir, testStudy, StudyOptions{}), "2 of 9 parts are done")
		if err := studyOn(d, dir, testStudy, StudyOptions{Resume: true}); err != nil {
			t.Error(err)
		}
		wantSame(t, dir, wholeStudy(t))
	}
}

func isMissing(err error) bool {
	var missing *MissingError
	return errors.As(err, &missing)
}

// TestFinishedMeanwhile: another process finishes, and removes the temporary
// folder, while a part is in work.
func TestFinishedMeanwhile(t *testing.T) {
	want := wholeStudy(t)
	dir := filepath.Join(t.TempDir(), "set")
	slow := openStudy(t, dir, StudyOptions{})
	p, err := slow.Part(4)
	if err != nil {
		t.Fatal(err)
	}
	if err := addRuns(p); err != nil {
		t.Fatal(err)
	}
	if err := studyOn(quietDisk(), dir, testStudy, StudyOptions{Resume: true}); err != nil {
		t.Fatal(err)
	}
	if err := p.Commit(); err != nil { // its equal is there
		t.Fatal(err)
	}
	mustWriteParts(t, slow, 5)
	if err := slow.Finish(); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, want)
}

// TestStaleFilesAreRemoved, those that may be in work are not.
func TestStaleFilesAreRemoved(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	openStudy(t, dir, StudyOptions{})
	dead := deadProcess(t)
	keep := []string{
		fmt.Sprintf(".tmp/traces-00001-%s-%d-0000000a", hostName(), os.Getpid()),
		fmt.Sprintf(".tmp/traces-00001-elsewhere-%d-0000000b", dead),
		".tmp/notes",
	}
	gone := []string{
		fmt.Sprintf(".tmp/traces-00001-%s-%d-0000000c", hostName(), dead),
		".tmp/runs-00001-elsewhere-1-0000000d",
		fmt.Sprintf(".tmp/begun-%s-%d-0000000e", hostName(), dead),
	}
	for _, name := range append(keep, gone...) {
		put(t, dir, name, "half")
	}
	yesterday := time.Now().Add(-25 * time.Hour)
	if err := os.Chtimes(filepath.Join(dir, gone[1]), yesterday, yesterday); err != nil {
		t.Fatal(err)
	}
	s := openStudy(t, dir, StudyOptions{Resume: true})
	wantTree(t, dir, append(keep, ".tmp/begun.json")...)
	put(t, dir, gone[0], "half") // of a process that dies later
	if err := writeMissing(s); err != nil {
		t.Fatal(err)
	}
	got := tree(t, dir)
	if _, ok := got[gone[0]]; ok {
		t.Errorf("%s is in the finished dataset", gone[0])
	}
	for _, name := range keep {
		if got[name] != "half" {
			t.Errorf("%s is gone", name)
		}
	}
}

func TestParseOwnName(t *testing.T) {
	stem, host, pid := parseOwnName(ownName("traces-00017"))
	if stem != "traces-00017" || host != hostName() || pid != os.Getpid() {
		t.Errorf("%s, %s, %d", stem, host, pid)
	}
	for _, name := range []string{"", "begun.json", "a-b-c", "a-b-1-c", "a-b-x-0000000a", "a-b--1-0000000a", "a-b-0-0000000a", "a-b-1-0a"} {
		if stem, _, _ := parseOwnName(name); stem != "" {
			t.Errorf("%q is taken for an own name", name)
		}
	}
}
