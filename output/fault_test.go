package output

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// faultyDisk is the system's disk but for the call whose number is failAt: it
// fails with err. Calls are counted over all operations. Nothing is flushed for
// real: hundreds of cases would take their time.
type faultyDisk struct {
	disk
	calls  int
	failAt int
	err    error
}

func newFaultyDisk(failAt int, err error) *faultyDisk {
	d := &faultyDisk{failAt: failAt, err: err}
	system := systemDisk()
	d.disk = disk{
		create: func(name string) (file, error) {
			if d.fails() {
				return nil, &fs.PathError{Op: "open", Path: name, Err: d.err}
			}
			f, err := system.create(name)
			if err != nil {
				return nil, err
			}
			return &faultyFile{file: f, disk: d}, nil
		},
		mkdir: func(name string) error {
			if d.fails() {
				return &fs.PathError{Op: "mkdir", Path: name, Err: d.err}
			}
			return system.mkdir(name)
		},
		rename: func(old, new string) error {
			if d.fails() {
				return &os.LinkError{Op: "rename", Old: old, New: new, Err: d.err}
			}
			return system.rename(old, new)
		},
		link: func(old, new string) error {
			if d.fails() {
				return &os.LinkError{Op: "link", Old: old, New: new, Err: d.err}
			}
			return system.link(old, new)
		},
		syncDir: func(name string) error {
			if d.fails() {
				return &fs.PathError{Op: "sync", Path: name, Err: d.err}
			}
			return nil
		},
	}
	return d
}

func (d *faultyDisk) fails() bool {
	d.calls++
	return d.calls == d.failAt
}

type faultyFile struct {
	file
	disk *faultyDisk
}

func (f *faultyFile) Write(b []byte) (int, error) {
	if f.disk.fails() {
		n, _ := f.file.Write(b[:len(b)/2])
		return n, f.disk.err
	}
	return f.file.Write(b)
}

func (f *faultyFile) Sync() error {
	if f.disk.fails() {
		return f.disk.err
	}
	return nil
}

func (f *faultyFile) Close() error {
	err := f.file.Close()
	if f.disk.fails() {
		return f.disk.err
	}
	return err
}

// writeOn writes a dataset of two parts and ends it, with Abort after an error.
func writeOn(t *testing.T, d disk, dir string, s Settings) error {
	w, err := create(dir, testMeta, testTables(), s, d)
	if err != nil {
		return err
	}
	for k := range 2 {
		if err = w.WritePart("traces", k, tracesFrame(4*k, 4)); err != nil {
			break
		}
		if err = w.WritePart("runs", k, runsFrame(t, 4*k, 4)); err != nil {
			break
		}
	}
	if err == nil {
		err = w.Finish()
	}
	if err != nil {
		return errors.Join(err, w.Abort())
	}
	return nil
}

// TestEveryDiskError makes each call to the disk fail in turn. A new dataset is
// then either complete or not there at all, not even its folder.
func TestEveryDiskError(t *testing.T) {
	count := newFaultyDisk(0, nil)
	if err := writeOn(t, count.disk, filepath.Join(t.TempDir(), "a", "set"), Settings{}); err != nil {
		t.Fatal(err)
	}
	if count.calls < 40 {
		t.Fatalf("only %d calls go through the disk", count.calls)
	}
	for failAt := 1; failAt <= count.calls; failAt++ {
		root := t.TempDir()
		d := newFaultyDisk(failAt, syscall.ENOSPC)
		err := writeOn(t, d.disk, filepath.Join(root, "a", "set"), Settings{})
		if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "free some space") || !strings.Contains(err.Error(), root) {
			t.Errorf("call %d fails: got %v", failAt, err)
		}
		if left := tree(t, root); len(left) != 0 {
			t.Errorf("call %d fails: left are %v", failAt, left)
		}
	}
}

// TestEveryDiskErrorOfAReplacement: the folder holds the old or the new dataset
// whole, and nothing lies beside it.
func TestEveryDiskErrorOfAReplacement(t *testing.T) {
	whole := t.TempDir()
	if err := writeOn(t, systemDisk(), filepath.Join(whole, "set"), Settings{}); err != nil {
		t.Fatal(err)
	}
	count := newFaultyDisk(0, nil)
	root := t.TempDir()
	mustWrite(t, filepath.Join(root, "set"), Settings{}, 1)
	if err := writeOn(t, count.disk, filepath.Join(root, "set"), Settings{Replace: true}); err != nil {
		t.Fatal(err)
	}
	if !maps.Equal(tree(t, whole), tree(t, root)) {
		t.Fatal("the replacement differs from a new dataset")
	}
	for failAt := 1; failAt < count.calls; failAt++ {
		root := t.TempDir()
		mustWrite(t, filepath.Join(root, "set"), Settings{}, 1)
		old := tree(t, root)
		d := newFaultyDisk(failAt, syscall.EIO)
		if err := writeOn(t, d.disk, filepath.Join(root, "set"), Settings{Replace: true}); !errors.Is(err, syscall.EIO) {
			t.Errorf("call %d fails: got %v", failAt, err)
		}
		if !maps.Equal(tree(t, root), old) {
			t.Errorf("call %d fails: the folder holds %v", failAt, maps.Keys(tree(t, root)))
		}
	}
	// The last call flushes the parent folder after the swap: the new dataset is
	// in place and the old one is kept aside.
	root = t.TempDir()
	mustWrite(t, filepath.Join(root, "set"), Settings{}, 1)
	d := newFaultyDisk(count.calls, syscall.EIO)
	err := writeOn(t, d.disk, filepath.Join(root, "set"), Settings{Replace: true})
	wantError(t, err, "the new dataset is complete", ".set-old-")
	wantTree(t, filepath.Join(root, "set"), finishedTree(2)...)
}

// TestFailedSwapCanBeTriedAgain: the error of a rename does not end the writer.
func TestFailedSwapCanBeTriedAgain(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 2)
	d := newFaultyDisk(0, syscall.EACCES)
	w, err := create(dir, testMeta, testTables(), Settings{Replace: true}, d.disk)
	if err != nil {
		t.Fatal(err)
	}
	writeParts(t, w, 0)
	renames := 0
	rename := w.disk.rename
	w.disk.rename = func(old, new string) error {
		if renames++; renames == 3 { // manifest, old aside, new in place
			return syscall.EACCES
		}
		return rename(old, new)
	}
	wantError(t, w.Finish(), "putting the new dataset in its place", "permission")
	wantTree(t, dir, finishedTree(2)...)
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	wantTree(t, dir, finishedTree(1)...)
}

// TestLostSwapIsFound: when even undoing fails, the error and Open say where
// the old dataset is.
func TestLostSwapIsFound(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 1)
	w := mustCreate(t, dir, Settings{Replace: true})
	renames := 0
	w.disk.rename = func(old, new string) error {
		if renames++; renames >= 3 {
			return syscall.EIO
		}
		return os.Rename(old, new)
	}
	wantError(t, w.Finish(), "the old dataset is now in", ".set-old-")
	_, err := Open(dir)
	wantError(t, err, "a replacement was cut short", ".set-old-")
}

func TestPartIsNotVisibleBeforeItIsWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	w := mustCreate(t, dir, Settings{})
	writeParts(t, w, 0)
	good := w.disk
	d := newFaultyDisk(2, syscall.ENOSPC) // the first write to the file
	w.disk = d.disk
	wantError(t, w.WritePart("traces", 1, tracesFrame(4, 2)), "part 1 of table traces", dir, "no space left", "free some space")
	wantTree(t, dir, ".tmp/begun.json", "runs/part-00000.parquet", "traces/part-00000.parquet")
	w.disk = good
	writeParts(t, w, 1)
	if err := w.Finish(); err != nil {
		t.Fatal(err)
	}
	if set, err := Open(dir); err != nil || set.Verify() != nil {
		t.Errorf("after the full disk: %v", err)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	for _, code := range []error{syscall.EROFS, syscall.EACCES, syscall.EPERM} {
		root := t.TempDir()
		d := newFaultyDisk(1, code)
		_, err := create(filepath.Join(root, "set"), testMeta, testTables(), Settings{}, d.disk)
		wantError(t, err, "creating a dataset in "+root, "cannot be written", "choose another one")
		wantTree(t, root)
	}
}

// TestSecondWriterAtTheSameMoment: both have seen an empty folder.
func TestSecondWriterAtTheSameMoment(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	d := systemDisk()
	mkdir := d.mkdir
	d.mkdir = func(name string) error {
		if filepath.Base(name) == tempFolder {
			mustCreate(t, dir, Settings{}) // the other one is faster
		}
		return mkdir(name)
	}
	_, err := create(dir, testMeta, testTables(), Settings{}, d)
	wantError(t, err, "another writer has just begun", dir)
	wantTree(t, dir, ".tmp/begun.json")
}

func TestOwnNamesDiffer(t *testing.T) {
	seen := make(map[string]bool)
	for range 100 {
		seen[ownName("x")] = true
	}
	if len(seen) != 100 {
		t.Errorf("%d different names of 100", len(seen))
	}
	if name := ownName("x"); !strings.HasPrefix(name, "x-") || !strings.Contains(name, fmt.Sprint(os.Getpid())) || strings.ContainsAny(name, "/\\: ") {
		t.Errorf("name %q", name)
	}
}
