package output

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"soakledger/sim/record"
)

// Writer writes one dataset. WritePart and Has may be called from several
// goroutines at once; Finish, Suspend and Abort wait for them.
type Writer struct {
	dir  string // where the dataset will be
	root string // where it is written: dir, or a new folder beside it
	disk disk

	replaced  *manifest      // of the dataset in dir that Finish replaces
	planned   map[string]int // parts a table must have
	ownMarker bool
	ended     string // what ended the writer

	writing sync.RWMutex // held for reading while a part is written
	mu      sync.Mutex   // guards what follows
	folders []string     // made by this writer, outermost first
	written map[string]manifestPart

	pool     pool
	manifest manifest
}

// Dir returns the dataset's folder.
func (w *Writer) Dir() string { return w.dir }

// Has reports whether the part is there already, written by this or, after
// Resume, by another writer.
func (w *Writer) Has(table string, part int) bool {
	w.writing.RLock()
	defer w.writing.RUnlock()
	_, err := os.Stat(filepath.Join(w.root, filepath.FromSlash(partFile(table, part))))
	return err == nil
}

// WritePart writes the frames as one part of the table, each frame a row group
// (see parquet.Writer.WriteFrame), and returns when it is on the disk under its
// name. After an error there is no such part; it may be written again. Without
// frames the part has the columns and no rows.
func (w *Writer) WritePart(table string, part int, frames ...*record.Frame) error {
	w.writing.RLock()
	defer w.writing.RUnlock()
	if err := w.writePart(table, part, frames); err != nil {
		return fmt.Errorf("writing part %d of table %s in %s: %w", part, table, w.dir, withAdvice(err))
	}
	return nil
}

func (w *Writer) writePart(table string, part int, frames []*record.Frame) error {
	if err := w.reserve(table, part); err != nil {
		return err
	}
	written, err := w.encodePart(table, part, frames)
	w.mu.Lock()
	defer w.mu.Unlock()
	if err != nil {
		delete(w.written, partFile(table, part))
		return err
	}
	w.written[written.File] = written
	return nil
}

// reserve notes that the part is being written and makes the table's folder.
func (w *Writer) reserve(table string, part int) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	name := partFile(table, part)
	switch {
	case w.ended != "":
		return fmt.Errorf("the writer is %s", w.ended)
	case w.manifest.table(table) < 0:
		return errors.New("the dataset has no such table")
	case part < 0 || part > maxPart:
		return fmt.Errorf("part numbers go from 0 to %d", maxPart)
	}
	if _, ok := w.written[name]; ok {
		return errors.New("the part was written before")
	}
	made, err := w.disk.makeFolders(filepath.Join(w.root, table))
	w.folders = append(w.folders, made...)
	if err != nil {
		return err
	}
	if made != nil {
		if err := w.disk.syncDir(w.root); err != nil {
			return err
		}
	}
	if w.written == nil {
		w.written = make(map[string]manifestPart)
	}
	w.written[name] = manifestPart{File: name}
	return nil
}

// encodePart writes the part to a temporary file and gives it its name.
func (w *Writer) encodePart(table string, part int, frames []*record.Frame) (manifestPart, error) {
	out := manifestPart{File: partFile(table, part)}
	temporary := filepath.Join(w.root, tempFolder, ownName(fmt.Sprintf("%s-%05d", table, part)))
	sum := &summer{hash: sha256.New()}
	err := w.disk.write(temporary, func(f io.Writer) (err error) {
		out.Rows, err = w.encode(table, io.MultiWriter(f, sum), frames)
		return err
	})
	if err != nil {
		return out, err
	}
	out.Bytes, out.SHA256 = sum.bytes, hex.EncodeToString(sum.hash.Sum(nil))
	final := filepath.Join(w.root, filepath.FromSlash(out.File))
	if err := w.disk.rename(temporary, final); err != nil {
		return out, errors.Join(err, os.Remove(temporary))
	}
	if err := w.disk.syncDir(filepath.Dir(final)); err != nil {
		return out, errors.Join(err, os.Remove(final))
	}
	return out, nil
}

// encode writes the Parquet file with a writer that may have served before.
func (w *Writer) encode(table string, out io.Writer, frames []*record.Frame) (rows int64, err error) {
	e, err := w.pool.take(table, out)
	if err != nil {
		return 0, err
	}
	for _, f := range frames {
		if err := e.writer.WriteFrame(f); err != nil {
			return 0, err
		}
	}
	if err := e.writer.Close(); err != nil {
		return 0, err
	}
	rows = e.writer.Rows()
	w.pool.give(table, e)
	return rows, nil
}

// summer counts and hashes what is written.
type summer struct {
	hash  hash.Hash
	bytes int64
}

func (s *summer) Write(b []byte) (int, error) {
	s.bytes += int64(len(b))
	return s.hash.Write(b)
}

// Suspend ends the writer and keeps the complete parts for a later Resume. A
// replacement is not kept: it is as if aborted, and the old dataset stays.
func (w *Writer) Suspend() error {
	if w.replaced != nil {
		return w.Abort()
	}
	w.writing.Lock()
	defer w.writing.Unlock()
	if w.ended == "" {
		w.ended = "suspended"
	}
	return nil
}

// Abort ends the writer and removes what it made: its parts, and the folders it
// made if they are empty then. Parts that it found stay. After Finish or
// Suspend it does nothing, so it may be deferred.
func (w *Writer) Abort() error {
	w.writing.Lock()
	defer w.writing.Unlock()
	if w.ended != "" {
		return nil
	}
	w.ended = "aborted"
	if err := w.remove(); err != nil {
		return fmt.Errorf("removing the aborted dataset in %s: %w", w.root, withAdvice(err))
	}
	return nil
}

func (w *Writer) remove() error {
	if w.replaced != nil {
		return os.RemoveAll(w.root) // made by this writer alone, under its own name
	}
	var errs []error
	for name := range w.written {
		errs = append(errs, removeIfThere(filepath.Join(w.root, filepath.FromSlash(name))))
	}
	tables := make([]string, len(w.manifest.Tables))
	for i, t := range w.manifest.Tables {
		tables[i] = filepath.Join(w.root, t.Name)
	}
	errs = append(errs, removeEmpty(tables))
	if w.ownMarker && !w.usedByOther(tables) {
		errs = append(errs, removeIfThere(filepath.Join(w.root, tempFolder, markerName)))
	}
	return errors.Join(errors.Join(errs...), removeEmpty(w.folders))
}

// usedByOther reports whether writers that resumed the folder have left parts,
// or parts in work, in it: they still need the marker.
func (w *Writer) usedByOther(tables []string) bool {
	for _, folder := range tables {
		if _, err := os.Stat(folder); err == nil {
			return true
		}
	}
	entries, err := os.ReadDir(filepath.Join(w.root, tempFolder))
	return err == nil && len(entries) > 1
}

func removeIfThere(name string) error {
	if err := os.Remove(name); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
