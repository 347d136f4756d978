package output

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"soakledger/output/parquet"
)

// manifestStart is how every manifest and marker begins.
const manifestStart = "{\n  \"format\": \"" + manifestFormat + "\""

// parquetStart is how every Parquet file begins.
const parquetStart = "PAR1"

// orphans is what lies in a folder that has lost its manifest.
type orphans struct {
	own      bool   // parts of this study are there
	text     string // the scenario's text in them
	other    string // the first part of another dataset; empty if there is none
	stranger string // the first file among the parts that may be somebody's; empty if there is none
}

// foreignError is an ErrForeign that says more of what the folder holds.
type foreignError struct{ text string }

func (e foreignError) Error() string      { return e.text }
func (foreignError) Is(target error) bool { return target == ErrForeign }

func foreign(format string, args ...any) error { return foreignError{fmt.Sprintf(format, args...)} }

// reclaim goes on with the parts of this study in a folder whose manifest is
// damaged or gone: each carries the study's hash. The error says what is in the
// way. Files that may be somebody's are neither removed nor replaced.
func (s *Study) reclaim(o StudyOptions, why error) error {
	found, err := s.findOrphans()
	switch {
	case err != nil:
		return fmt.Errorf("%w (%w)", why, err)
	case !found.own && found.other != "":
		return foreign("its manifest is damaged or gone, and its parts, such as %s, are those of another study, or of this one with other flags, --part-runs for instance: the command that wrote them, with --resume, completes it; choose another folder", found.other)
	case !found.own:
		return why
	case !o.Resume && !o.Replace:
		return s.unlisted()
	case found.stranger != "":
		return foreign("%s is none of this study's files: move it away, and --resume completes the dataset", found.stranger)
	}
	s.manifest.ScenarioText = found.text
	if _, err := s.disk.makeFolders(s.temporary()); err != nil {
		return err
	}
	if err := s.removeSpoiled(s.marker()); err != nil {
		return err
	}
	if err := s.unfinish(func() error { return s.removeSpoiled(s.path(manifestName)) }); err != nil {
		return err
	}
	s.wasFinished = true
	s.repaired("the manifest was damaged or gone and is written anew from the parts")
	return s.prepare()
}

// unlisted says that the folder holds parts of this study without a manifest.
func (s *Study) unlisted() error {
	done, err := partsIn(s.path(runsName))
	return errors.Join(err, &StudyExistsError{Dir: s.dir, Same: true, Unlisted: true, Done: len(done), Parts: s.manifest.Study.Parts()})
}

// meet notes a stranger.
func (o *orphans) meet(name string) { o.stranger = cmp.Or(o.stranger, name) }

// findOrphans looks at what has the names of the study's parts, and at the marker.
func (s *Study) findOrphans() (orphans, error) {
	var found orphans
	if m, err := readManifest(s.marker()); err == nil && m.ScenarioHash == s.manifest.ScenarioHash {
		found.own, found.text = true, m.ScenarioText
	}
	for _, t := range s.manifest.Tables {
		folder := s.path(t.Name)
		info, err := os.Stat(folder)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err == nil && !info.IsDir() {
			found.meet(folder)
			continue
		}
		entries, err := os.ReadDir(folder)
		if err != nil {
			return found, err
		}
		for _, e := range entries {
			name := filepath.Join(folder, e.Name())
			if part := partNumber(e.Name()); part < 0 || part >= s.manifest.Study.Parts() || e.IsDir() {
				found.meet(name)
			} else if err := s.look(name, &found); err != nil {
				return found, err
			}
		}
	}
	return found, nil
}

// look finds out whose part a file is.
func (s *Study) look(name string, found *orphans) error {
	r, err := parquet.Open(name)
	if isIOError(err) || errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err != nil {
		short, err := isCutShort(name)
		if err == nil && !short {
			found.meet(name)
		}
		return err
	}
	switch m := r.Metadata(); {
	case m.ScenarioHash != s.manifest.ScenarioHash:
		found.other = cmp.Or(found.other, name)
		found.meet(name)
	case !found.own:
		found.own, found.text = true, m.Scenario
	}
	return r.Close()
}

// isCutShort reports whether a file that is no part is what is left of one:
// empty, or the beginning of a Parquet file without its end.
func isCutShort(name string) (short bool, err error) {
	f, err := os.Open(name)
	if err != nil {
		return false, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	start := make([]byte, len(parquetStart))
	n, err := io.ReadFull(f, start)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return false, err
	}
	info, err := f.Stat()
	if err != nil || !strings.HasPrefix(parquetStart, string(start[:n])) {
		return false, err
	}
	return parquet.CheckEnd(name, info.Size()) != nil, nil
}

// removeSpoiled removes a manifest or marker that is not whole any more. A whole
// one of this study stays. One of another dataset, or a file that does not begin
// as such ones do, may be somebody's and is an error.
func (s *Study) removeSpoiled(name string) error {
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	m, spoiled := parseManifest(text)
	if spoiled == nil {
		spoiled = checkHash(m)
	}
	begun := strings.HasPrefix(string(text), manifestStart) || strings.HasPrefix(manifestStart, string(text)) || len(bytes.Trim(text, "\x00")) == 0
	switch {
	case spoiled == nil && m.ScenarioHash == s.manifest.ScenarioHash:
		return nil
	case spoiled != nil && begun:
		return removeIfThere(name)
	}
	return foreign("%s is not that of this study: move it away, and --resume writes one from the parts", name)
}
