package output

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"soakledger/sim/record"
)

// ErrForeign says that a folder holds something other than a dataset. It is
// never written to or replaced.
var ErrForeign = errors.New("the folder is not empty and holds no soakledger dataset; choose another folder")

// ExistsError says that the folder already holds a dataset.
type ExistsError struct {
	Dir      string
	SameHash bool // it comes from the same scenario, engine and settings
	Complete bool // it is finished
}

// Error says what is there and what can be done.
func (e *ExistsError) Error() string {
	switch {
	case e.SameHash && e.Complete:
		return fmt.Sprintf("%s already holds the finished dataset of this very scenario: nothing to do (replace it to compute it again)", e.Dir)
	case e.SameHash:
		return fmt.Sprintf("%s holds an unfinished dataset of this scenario: resume it, replace it or choose another folder", e.Dir)
	}
	return fmt.Sprintf("%s holds a dataset of another scenario, engine or setting: replace it or choose another folder", e.Dir)
}

// Settings say what Create may do with a dataset that is there. The zero value
// refuses it.
type Settings struct {
	// Replace puts the new dataset in place of the old one when it is finished;
	// until then, and if it fails, the old one stays as it is. Files that are
	// not part of the old dataset move into the new folder.
	Replace bool
	// Resume continues an unfinished dataset of the same hash and tables: parts
	// that are there are kept. Several writers, in several processes, may
	// resume the same folder.
	Resume bool
	// Parts is the number of parts that each table must have before Finish
	// completes the dataset. A table without an entry may have any number.
	Parts map[string]int
}

// Create begins a dataset of the given tables in dir, which is made if it does
// not exist. A dataset that is there already is an *ExistsError unless the
// settings allow for it; a folder with other content is ErrForeign. End the
// writer with Finish, Suspend or Abort.
func Create(dir string, m Meta, tables []record.Table, s Settings) (*Writer, error) {
	return create(dir, m, tables, s, systemDisk())
}

func create(dir string, m Meta, tables []record.Table, s Settings, d disk) (*Writer, error) {
	err := errors.Join(m.validate(), validateTables(tables))
	if dir == "" {
		err = errors.New("the folder has no name")
	}
	if err != nil {
		return nil, fmt.Errorf("creating a dataset in %s: %w", dir, err)
	}
	w := &Writer{dir: dir, root: dir, disk: d, manifest: newManifest(m, tables), planned: s.Parts}
	w.pool.manifest = &w.manifest
	if err := w.begin(s); err != nil {
		return nil, fmt.Errorf("creating a dataset in %s: %w", dir, withAdvice(err))
	}
	return w, nil
}

// begin decides by what is in the folder how the writer starts.
func (w *Writer) begin(s Settings) error {
	if resolved, err := filepath.EvalSymlinks(w.dir); err == nil {
		w.dir, w.root = resolved, resolved // a swap must not replace the link itself
	}
	found, err := survey(w.dir)
	if err != nil {
		return err
	}
	if found.content == nothing {
		return w.beginFresh()
	}
	same := found.manifest.ScenarioHash == w.manifest.ScenarioHash
	switch {
	case s.Resume && same && found.content == unfinished:
		return w.beginResumed(found.manifest)
	case s.Replace:
		return w.beginReplacement(found.manifest)
	}
	return &ExistsError{Dir: w.dir, SameHash: same, Complete: found.complete()}
}

// beginFresh takes an empty or missing folder. Whoever creates the marker has
// the folder: a second writer at the same moment fails here.
func (w *Writer) beginFresh() error {
	made, err := w.disk.makeFolders(filepath.Join(w.root, tempFolder))
	if err != nil {
		return errors.Join(err, removeEmpty(made))
	}
	w.folders = made
	text, err := w.manifest.encode()
	if err != nil {
		return errors.Join(err, removeEmpty(made))
	}
	err = w.disk.claim(filepath.Join(w.root, tempFolder, markerName), text)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("another writer has just begun in this folder: %w", err)
	}
	if err != nil {
		return errors.Join(err, removeEmpty(made))
	}
	w.ownMarker = true
	for _, folder := range append([]string{filepath.Join(w.root, tempFolder)}, made...) {
		if err := w.disk.syncDir(filepath.Dir(folder)); err != nil {
			return errors.Join(err, w.Abort())
		}
	}
	return nil
}

func (w *Writer) beginResumed(found manifest) error {
	if !slices.EqualFunc(found.Tables, w.manifest.Tables, func(a, b manifestTable) bool { return a.Equal(b.Table) }) {
		return errors.New("the unfinished dataset has other tables or columns: replace it or choose another folder")
	}
	return nil
}

// beginReplacement writes into a new folder beside the old one.
func (w *Writer) beginReplacement(old manifest) error {
	if err := checkReplaceable(w.dir, old); err != nil {
		return err
	}
	absolute, err := filepath.Abs(w.dir) // "." has no name to put a new folder beside
	if err != nil {
		return err
	}
	w.dir = absolute
	parent, base := filepath.Split(absolute)
	w.root = filepath.Join(parent, ownName("."+base+"-new"))
	w.replaced = &old
	return w.beginFresh()
}

// content is what a folder holds.
type content int

const (
	nothing content = iota
	unfinished
	finished
)

type surveyed struct {
	content  content
	manifest manifest
}

func (s surveyed) complete() bool { return s.content == finished }

// survey looks at what is in dir and changes nothing. A folder with content
// that is no dataset is ErrForeign.
func survey(dir string) (surveyed, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return surveyed{content: nothing}, nil
	}
	if err != nil {
		return surveyed{}, err
	}
	m, err := readManifest(filepath.Join(dir, manifestName))
	if err == nil {
		return surveyed{content: finished, manifest: m}, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return surveyed{}, fmt.Errorf("%w (%w)", ErrForeign, err)
	}
	m, err = readManifest(filepath.Join(dir, tempFolder, markerName))
	switch {
	case err == nil:
		return surveyed{content: unfinished, manifest: m}, nil
	case !errors.Is(err, fs.ErrNotExist):
		return surveyed{}, fmt.Errorf("%w (%w)", ErrForeign, err)
	case onlyBegun(dir, entries):
		return surveyed{content: nothing}, nil
	}
	return surveyed{}, ErrForeign
}

// onlyBegun reports whether the folder holds a temporary folder and nothing
// else, and that nothing but markers in work: what a writer leaves that was
// killed at its first steps, and what another one has that is at them.
func onlyBegun(dir string, entries []os.DirEntry) bool {
	if len(entries) != 1 || entries[0].Name() != tempFolder {
		return false
	}
	inside, err := os.ReadDir(filepath.Join(dir, tempFolder))
	for _, e := range inside {
		if stem, _, _ := parseOwnName(e.Name()); stem != claimStem {
			return false
		}
	}
	return err == nil
}

// checkReplaceable refuses a dataset with files among its parts that are not
// parts: removing the old parts would remove them, too.
func checkReplaceable(dir string, old manifest) error {
	var strange []string
	for _, t := range old.Tables {
		entries, err := os.ReadDir(filepath.Join(dir, t.Name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		for _, e := range entries {
			if partNumber(e.Name()) < 0 || e.IsDir() {
				strange = append(strange, t.Name+"/"+e.Name())
			}
		}
	}
	if strange != nil {
		return fmt.Errorf("the dataset there holds files that are not its own (%s): move them away first", strings.Join(strange, ", "))
	}
	return nil
}
