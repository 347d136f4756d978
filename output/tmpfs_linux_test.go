package output

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestFullFileSystem fills a real file system of a few pages, where mounting is
// allowed. Elsewhere TestStudyOnAFullDisk and TestFileSizeLimit stand for it.
func TestFullFileSystem(t *testing.T) {
	want := wholeStudy(t)
	small := t.TempDir()
	if err := syscall.Mount("tmpfs", small, "tmpfs", 0, "size=96k"); err != nil {
		t.Logf("mounting is not allowed here: %v", err)
		return
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(small, 0); err != nil {
			t.Error(err)
		}
	})
	dir := filepath.Join(small, "set")
	err := studyOn(systemDisk(), dir, testStudy, StudyOptions{})
	if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "free some space") {
		t.Fatalf("got %v", err)
	}
	checkVisible(t, dir, want)
	done := 0
	for name := range tree(t, dir) {
		if strings.HasPrefix(name, "runs/") {
			done++
		}
		if strings.HasPrefix(name, ".tmp/") && name != ".tmp/begun.json" {
			t.Errorf("left is %s", name)
		}
	}
	if done < 1 || done > 8 {
		t.Errorf("%d parts fit", done)
	}
	if err := syscall.Mount("tmpfs", small, "tmpfs", syscall.MS_REMOUNT, "size=4m"); err != nil {
		t.Fatal(err)
	}
	if err := studyOn(systemDisk(), dir, testStudy, StudyOptions{Resume: true}); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, want)
	if err := os.RemoveAll(dir); err != nil {
		t.Error(err)
	}
}
