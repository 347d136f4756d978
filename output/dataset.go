package output

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"soakledger/output/parquet"
	"soakledger/sim/record"
)

// Dataset is a complete dataset, open for reading. It holds no open files.
type Dataset struct {
	dir      string
	manifest manifest
}

// DamagedError says that a dataset is not as it was written, or not finished,
// and by which command it is made whole.
type DamagedError struct {
	Dir   string
	Study bool  // it is that of a study: parts that are whole are kept
	Lost  bool  // it is the manifest that is damaged or gone
	Err   error // what is wrong
}

// Error says what is wrong and what mends it.
func (e *DamagedError) Error() string {
	switch {
	case e.Study:
		return fmt.Sprintf("%v; soakledger sweep FILE --resume --out %s completes it, FILE being the scenario it was made of, with the same flags", e.Err, e.Dir)
	case e.Lost:
		return fmt.Sprintf("%v; move the folder away and run the scenario again", e.Err)
	}
	return fmt.Sprintf("%v; soakledger run FILE --replace --out %s computes it again, FILE being the scenario it was made of", e.Err, e.Dir)
}

// Unwrap returns what is wrong.
func (e *DamagedError) Unwrap() error { return e.Err }

// Open reads the manifest of the dataset in dir and checks that every part is
// there with the size it should have; otherwise the error is a *DamagedError.
// The content is checked by Verify.
func Open(dir string) (*Dataset, error) {
	m, err := readManifest(filepath.Join(dir, manifestName))
	if err != nil {
		return nil, whyClosed(dir, err)
	}
	d := &Dataset{dir: dir, manifest: m}
	if err := d.eachPart(d.checkPresent); err != nil {
		return nil, d.damaged(fmt.Errorf("opening the dataset %s: %w", dir, err))
	}
	return d, nil
}

// damaged adds to an error of reading what mends it, unless the files could not
// be read at all.
func (d *Dataset) damaged(err error) error {
	if isIOError(err) {
		return err
	}
	return &DamagedError{Dir: d.dir, Study: d.manifest.Study != nil, Err: err}
}

// whyClosed says more about a folder without a manifest, or with a damaged one.
func whyClosed(dir string, err error) error {
	opening := func(err error) error { return fmt.Errorf("opening the dataset %s: %w", dir, err) }
	if info, there := os.Stat(dir); there == nil && !info.IsDir() {
		return opening(errors.New("it is a file, not the folder of a dataset"))
	}
	if isIOError(err) || errors.Is(err, errOtherFormat) {
		return opening(err)
	}
	if m, marked := readManifest(filepath.Join(dir, tempFolder, markerName)); marked == nil {
		return &DamagedError{Dir: dir, Study: m.Study != nil, Err: errors.New(unfinishedState(dir, m))}
	}
	study, parts := partsOfStudy(dir)
	switch {
	case !errors.Is(err, fs.ErrNotExist) && parts:
		return &DamagedError{Dir: dir, Study: study, Lost: true, Err: opening(fmt.Errorf("its manifest is damaged: %w", err))}
	case !errors.Is(err, fs.ErrNotExist):
		return opening(err)
	case parts:
		return &DamagedError{Dir: dir, Study: study, Lost: true, Err: opening(errors.New("its manifest is gone"))}
	}
	if _, there := os.Stat(dir); there == nil {
		return opening(fmt.Errorf("the folder holds no soakledger dataset (%w)", err))
	}
	parent, base := filepath.Split(filepath.Clean(dir))
	aside, globErr := filepath.Glob(filepath.Join(parent, "."+base+"-old-*"))
	if globErr == nil && len(aside) > 0 {
		return opening(fmt.Errorf("a replacement was cut short: the dataset from before is in %s; rename that folder (%w)", aside[0], err))
	}
	return opening(err)
}

// unfinishedState says how far an unfinished dataset is.
func unfinishedState(dir string, m manifest) string {
	if m.Study == nil {
		return fmt.Sprintf("%s is unfinished", dir)
	}
	done, _ := partsIn(filepath.Join(dir, runsName)) // a file that does not belong there is told when it is finished
	return fmt.Sprintf("%s is unfinished: %d of %d parts are done", dir, len(done), m.Study.Parts())
}

// partsOfStudy reports whether the folder holds parts of table runs, and whether
// the first that is whole is that of a study.
func partsOfStudy(dir string) (study, parts bool) {
	numbers, _ := partsIn(filepath.Join(dir, runsName)) // of a foreign folder there are none
	for _, part := range numbers {
		r, err := parquet.Open(filepath.Join(dir, partFile(runsName, part)))
		if err != nil {
			continue
		}
		_, noted := r.Note(partNote)
		return noted, r.Close() == nil
	}
	return false, false
}

// Dir returns the dataset's folder.
func (d *Dataset) Dir() string { return d.dir }

// Meta returns what the dataset is.
func (d *Dataset) Meta() Meta { return d.manifest.clone() }

// Study returns what decides the rows of a study; false for a single run.
func (d *Dataset) Study() (Recipe, bool) {
	if d.manifest.Study == nil {
		return Recipe{}, false
	}
	return *d.manifest.Study, true
}

// Tables returns the tables, sorted by name.
func (d *Dataset) Tables() []record.Table {
	tables := make([]record.Table, len(d.manifest.Tables))
	for i, t := range d.manifest.Tables {
		tables[i] = record.Table{Name: t.Name, Columns: slices.Clone(t.Columns)}
	}
	return tables
}

// Rows returns the number of rows of a table; 0 if there is no such table.
func (d *Dataset) Rows(table string) int64 {
	rows := int64(0)
	if i := d.manifest.table(table); i >= 0 {
		for _, p := range d.manifest.Tables[i].Parts {
			rows += p.Rows
		}
	}
	return rows
}

// Files returns the names of a table's parts, in order.
func (d *Dataset) Files(table string) []string {
	i := d.manifest.table(table)
	if i < 0 {
		return nil
	}
	files := make([]string, len(d.manifest.Tables[i].Parts))
	for k, p := range d.manifest.Tables[i].Parts {
		files[k] = d.path(p)
	}
	return files
}

// Read returns the rows of a table in one frame: the named columns, or every
// column if none is named.
func (d *Dataset) Read(table string, columns ...string) (*record.Frame, error) {
	selected, err := d.selected(table, columns)
	if err != nil {
		return nil, err
	}
	all := record.NewFrame(selected)
	err = d.Each(table, columns, all.AppendFrame)
	if err != nil {
		return nil, err
	}
	return all, nil
}

// Each calls do with the rows of a table, row group by row group: for tables
// that do not fit the memory. See parquet.Each.
func (d *Dataset) Each(table string, columns []string, do func(f *record.Frame) error) error {
	if _, err := d.selected(table, columns); err != nil {
		return err
	}
	return d.read(d.Files(table), columns, do)
}

// read reads files of the dataset, of which one may be found damaged.
func (d *Dataset) read(files, columns []string, do func(f *record.Frame) error) error {
	var own error
	err := parquet.Each(files, columns, func(f *record.Frame) error {
		own = do(f)
		return own
	})
	if err == nil || own != nil {
		return err
	}
	return d.damaged(err)
}

func (d *Dataset) selected(table string, columns []string) (record.Table, error) {
	i := d.manifest.table(table)
	if i < 0 {
		return record.Table{}, fmt.Errorf("reading the dataset %s: it has no table %q", d.dir, table)
	}
	selected, err := d.manifest.Tables[i].Select(columns...)
	if err != nil {
		return record.Table{}, fmt.Errorf("reading the dataset %s: %w", d.dir, err)
	}
	return selected, nil
}

// Verify reads every part and compares its content with the manifest's SHA-256.
// The error names every part that differs.
func (d *Dataset) Verify() error {
	err := d.eachPart(func(p manifestPart) error {
		sum, _, err := sumFile(d.path(p))
		if err == nil && sum != p.SHA256 {
			err = fmt.Errorf("%s is not as it was written: its SHA-256 is %s, not %s", p.File, sum, p.SHA256)
		}
		return err
	})
	if err != nil {
		return fmt.Errorf("verifying the dataset %s: %w", d.dir, err)
	}
	return nil
}

// eachPart calls check for every part of every table and joins the errors.
func (d *Dataset) eachPart(check func(p manifestPart) error) error {
	var errs []error
	for _, t := range d.manifest.Tables {
		for _, p := range t.Parts {
			errs = append(errs, check(p))
		}
	}
	return errors.Join(errs...)
}

func (d *Dataset) checkPresent(p manifestPart) error {
	info, err := os.Stat(d.path(p))
	switch {
	case err != nil:
		return fmt.Errorf("a part is missing: %w", err)
	case info.Size() != p.Bytes:
		return fmt.Errorf("part %s has %d bytes, not %d: it is damaged or from another run", p.File, info.Size(), p.Bytes)
	}
	return nil
}

func (d *Dataset) path(p manifestPart) string {
	return filepath.Join(d.dir, filepath.FromSlash(p.File))
}

// sumFile returns the SHA-256, in hexadecimal, and the length of a file.
func sumFile(name string) (sum string, size int64, err error) {
	f, err := os.Open(name)
	if err != nil {
		return "", 0, err
	}
	h := sha256.New()
	size, err = io.Copy(h, f)
	if err = errors.Join(err, f.Close()); err != nil {
		return "", 0, err
	}
	return hex.EncodeToString(h.Sum(nil)), size, nil
}
