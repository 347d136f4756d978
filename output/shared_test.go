package output

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// damage changes a byte in the file of table runs of a part.
func damage(t *testing.T, dir string, part int) {
	t.Helper()
	name := filepath.Join(dir, filepath.FromSlash(partFile("runs", part)))
	file, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	file[flipped(t, file)] ^= 1
	if err := os.WriteFile(name, file, 0o644); err != nil {
		t.Fatal(err)
	}
}

// Whoever completes a study takes no sum of another's damage: the part is written again.
func TestFinishListsNoDamage(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	first := openStudy(t, dir, StudyOptions{})
	mustWriteParts(t, first, 0, 1, 2, 3)
	damage(t, dir, 2)
	second := openStudy(t, dir, StudyOptions{Resume: true})
	mustWriteParts(t, second, 4, 5, 6, 7, 8)
	var missing *MissingError
	if err := second.Finish(); !errors.As(err, &missing) || !slices.Equal(missing.Parts, []int{2}) {
		t.Fatalf("it finishes with %v", err)
	}
	mustWriteParts(t, second, 2)
	if err := second.Finish(); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, wholeStudy(t))
}

// A sum that was taken of damage hides none.
func TestVerifyReadsThroughSums(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	s := openStudy(t, dir, StudyOptions{})
	mustWriteParts(t, s, 0, 1, 2, 3, 4, 5, 6, 7, 8)
	damage(t, dir, 2) // s has written it and does not look again
	if err := s.Finish(); err != nil {
		t.Fatal(err)
	}
	again := openStudy(t, dir, StudyOptions{Resume: true})
	if damaged, err := again.Verify(1, 2, 3); err != nil || !slices.Equal(damaged, []int{2}) {
		t.Fatalf("damaged are %v, %v", damaged, err)
	}
	mustWriteParts(t, again, 2)
	if err := again.Finish(); err != nil {
		t.Fatal(err)
	}
	wantSame(t, dir, wholeStudy(t))
}

// A process that has found a study finished sees that another has unfinished it.
func TestUnfinishedByAnother(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustFinish(t, dir, testStudy)
	late := openStudy(t, dir, StudyOptions{Resume: true})
	damage(t, dir, 5)
	other := openStudy(t, dir, StudyOptions{Resume: true})
	if damaged, err := other.Verify(5); err != nil || len(damaged) != 1 {
		t.Fatal(damaged, err)
	}
	if missing, err := late.Missing(4, 5); err != nil || !slices.Equal(missing, []int{5}) {
		t.Errorf("missing are %v, %v", missing, err)
	}
	var missing *MissingError
	if err := late.Finish(); !errors.As(err, &missing) {
		t.Errorf("it finishes with %v", err)
	}
	if late.Complete() {
		t.Error("it still calls it complete")
	}
	if err := writeMissing(other); err != nil {
		t.Fatal(err)
	}
	if err := other.Finish(); err != nil {
		t.Fatal(err)
	}
	if err := late.Finish(); err != nil {
		t.Error(err)
	}
	wantSame(t, dir, wholeStudy(t))
}
