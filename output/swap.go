package output

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// swap puts the complete new dataset in the place of the old one. The old one
// is first moved aside, so that at every moment one of the two is whole: if the
// second step fails, the first is undone. After the second step the writer is
// finished, whatever comes of clearing up.
func (w *Writer) swap() error {
	parent, base := filepath.Split(w.dir)
	aside := filepath.Join(parent, ownName("."+base+"-old"))
	if err := w.disk.rename(w.dir, aside); err != nil {
		return fmt.Errorf("moving the old dataset aside: %w", err)
	}
	if err := w.disk.rename(w.root, w.dir); err != nil {
		err = fmt.Errorf("putting the new dataset in its place: %w", err)
		if undo := w.disk.rename(aside, w.dir); undo != nil {
			return errors.Join(err, fmt.Errorf("the old dataset is now in %s: %w", aside, undo))
		}
		return err
	}
	w.root, w.ended = w.dir, "finished"
	err := errors.Join(os.RemoveAll(filepath.Join(w.root, tempFolder)), carryOver(aside, w.dir, *w.replaced), w.disk.syncDir(filepath.Dir(w.dir)))
	if err == nil {
		err = removeDataset(aside, *w.replaced)
	}
	if err != nil {
		return fmt.Errorf("the new dataset is complete, but the old one could not be removed and is in %s: %w", aside, err)
	}
	return nil
}

// isOwn reports whether an entry of a dataset folder belongs to the dataset.
func isOwn(m manifest, name string) bool {
	return name == manifestName || name == tempFolder || m.table(name) >= 0
}

// carryOver moves the entries of the old folder that are not part of its
// dataset, such as reports, into the new one.
func carryOver(from, to string, old manifest) error {
	entries, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if isOwn(old, e.Name()) {
			continue
		}
		target := filepath.Join(to, e.Name())
		if _, err := os.Lstat(target); err == nil {
			return fmt.Errorf("%s is in the way of an older file of that name", target)
		}
		if err := os.Rename(filepath.Join(from, e.Name()), target); err != nil {
			return err
		}
	}
	return nil
}

// removeDataset removes a dataset's own files and then its folder, which fails
// if anything else has been put there.
func removeDataset(dir string, m manifest) error {
	for _, t := range m.Tables {
		numbers, err := partsIn(filepath.Join(dir, t.Name))
		if err != nil {
			return err
		}
		for _, part := range numbers {
			if err := os.Remove(filepath.Join(dir, filepath.FromSlash(partFile(t.Name, part)))); err != nil {
				return err
			}
		}
		if err := removeIfThere(filepath.Join(dir, t.Name)); err != nil {
			return err
		}
	}
	if err := os.RemoveAll(filepath.Join(dir, tempFolder)); err != nil {
		return err
	}
	if err := removeIfThere(filepath.Join(dir, manifestName)); err != nil {
		return err
	}
	return os.Remove(dir)
}
