package output

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"soakledger/output/parquet"
)

// MissingError says that the dataset cannot be completed yet: other writers, or
// a resumed one, have parts to write.
type MissingError struct {
	Dir   string
	Table string
	Parts []int // numbers of the missing parts, rising
}

// Error names the first missing parts.
func (e *MissingError) Error() string {
	shown := e.Parts[:min(len(e.Parts), 5)]
	return fmt.Sprintf("table %s in %s lacks %d parts (%v): resume to compute them", e.Table, e.Dir, len(e.Parts), shown)
}

// Finish completes the dataset: it writes the manifest and, for a replacement,
// puts the new folder in the place of the old one. Missing parts are a
// *MissingError; the writer can then go on, or be ended with Suspend or Abort,
// as after any other error.
func (w *Writer) Finish() error {
	w.writing.Lock()
	defer w.writing.Unlock()
	if w.ended != "" {
		return fmt.Errorf("finishing the dataset in %s: the writer is %s", w.dir, w.ended)
	}
	if err := w.finish(); err != nil {
		return fmt.Errorf("finishing the dataset in %s: %w", w.dir, withAdvice(err))
	}
	return nil
}

func (w *Writer) finish() error {
	for i := range w.manifest.Tables {
		if err := w.listParts(&w.manifest.Tables[i]); err != nil {
			return err
		}
	}
	if err := w.writeManifest(); err != nil && !w.finishedByOther() {
		return err
	}
	if w.replaced != nil {
		return w.swap()
	}
	w.ended = "finished"
	// With it goes what writers that died may have left.
	return os.RemoveAll(filepath.Join(w.root, tempFolder))
}

// finishedByOther reports whether another writer that resumed the same folder
// has completed it. Nobody else knows the folder of a replacement.
func (w *Writer) finishedByOther() bool {
	if w.replaced != nil {
		return false
	}
	m, err := readManifest(filepath.Join(w.root, manifestName))
	return err == nil && m.ScenarioHash == w.manifest.ScenarioHash
}

// listParts fills in the table's parts, which must have no gap.
func (w *Writer) listParts(t *manifestTable) error {
	numbers, err := partsIn(filepath.Join(w.root, t.Name))
	if err != nil {
		return err
	}
	want := w.planned[t.Name]
	if len(numbers) > 0 {
		want = max(want, numbers[len(numbers)-1]+1)
	}
	var missing []int
	t.Parts = make([]manifestPart, 0, want)
	for part := range want {
		if _, ok := slices.BinarySearch(numbers, part); !ok {
			missing = append(missing, part)
			continue
		}
		p, err := w.describePart(t, part)
		if err != nil {
			return err
		}
		t.Parts = append(t.Parts, p)
	}
	if missing != nil {
		return &MissingError{Dir: w.dir, Table: t.Name, Parts: missing}
	}
	return nil
}

// describePart knows the parts of this writer and reads those of others.
func (w *Writer) describePart(t *manifestTable, part int) (manifestPart, error) {
	if p, ok := w.written[partFile(t.Name, part)]; ok {
		return p, nil
	}
	p := manifestPart{File: partFile(t.Name, part)}
	name := filepath.Join(w.root, filepath.FromSlash(p.File))
	r, err := parquet.Open(name)
	if err != nil {
		return p, err
	}
	p.Rows = r.Rows()
	same := r.Metadata() == w.manifest.parquet() && r.Table().Equal(t.Table)
	if err := r.Close(); err != nil {
		return p, err
	}
	if !same {
		return p, fmt.Errorf("%s belongs to another dataset: remove it and resume", name)
	}
	p.SHA256, p.Bytes, err = sumFile(name)
	return p, err
}

// partsIn returns the numbers of the parts in a table's folder, rising. A
// folder that is not there has none; a file that is no part is an error, since
// other programs refuse the folder because of it.
func partsIn(folder string) ([]int, error) {
	entries, err := os.ReadDir(folder)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	numbers := make([]int, 0, len(entries))
	for _, e := range entries {
		part := partNumber(e.Name())
		if part < 0 {
			return nil, fmt.Errorf("there is a file among the parts that does not belong there: %s", filepath.Join(folder, e.Name()))
		}
		numbers = append(numbers, part)
	}
	slices.Sort(numbers)
	return numbers, nil
}

// writeManifest gives the manifest its name as the last step.
func (w *Writer) writeManifest() error {
	text, err := w.manifest.encode()
	if err != nil {
		return err
	}
	temporary := filepath.Join(w.root, tempFolder, ownName("manifest"))
	err = w.disk.write(temporary, func(out io.Writer) error {
		_, err := out.Write(text)
		return err
	})
	if err != nil {
		return err
	}
	final := filepath.Join(w.root, manifestName)
	if err := w.disk.rename(temporary, final); err != nil {
		return errors.Join(err, os.Remove(temporary))
	}
	if err := w.disk.syncDir(w.root); err != nil {
		return errors.Join(err, os.Remove(final))
	}
	return nil
}
