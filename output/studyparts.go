package output

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"soakledger/output/parquet"
)

// errDamaged is what describing a part says of one that must be written again.
var errDamaged = errors.New("it is written again")

func (s *Study) checkNumber(part int) error {
	if n := s.manifest.Study.Parts(); part < 0 || part >= n {
		return fmt.Errorf("the study has no part %d: parts go from 0 to %d", part, n-1)
	}
	return nil
}

func (s *Study) checkNumbers(parts []int) error {
	for _, part := range parts {
		if err := s.checkNumber(part); err != nil {
			return err
		}
	}
	return nil
}

// Missing returns which of the given parts are not there yet, in the order
// given: of none given, none. A part is there if all of its files have the size
// and the end that were noted when they were written, and belong to this study.
// One that is damaged is removed, told by Repairs, and missing. Asking for a part
// just before it is computed saves the work if another process has been faster.
func (s *Study) Missing(parts ...int) ([]int, error) {
	if s.stillComplete() {
		return nil, s.checkNumbers(parts)
	}
	var missing []int
	for _, k := range parts {
		_, err := s.describePart(k)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			missing = append(missing, k)
		case err != nil:
			return nil, fmt.Errorf("looking for part %d in %s: %w", k, s.dir, studyAdvice(err))
		}
	}
	return missing, nil
}

// MissingOfAll returns which of all parts are not there yet, rising, as Missing
// does of some.
func (s *Study) MissingOfAll() ([]int, error) {
	all := make([]int, s.manifest.Study.Parts())
	for k := range all {
		all[k] = k
	}
	return s.Missing(all...)
}

// describePart returns the files of a part, in the order of the tables; the SHA-256
// of the file of table runs is left out. A part that is not there, or was
// damaged and is now removed, is fs.ErrNotExist.
func (s *Study) describePart(part int) ([]manifestPart, error) {
	if err := s.checkNumber(part); err != nil {
		return nil, err
	}
	files, err := s.readPart(part)
	if !errors.Is(err, errDamaged) {
		return files, err
	}
	return nil, s.drop(part, err)
}

// drop removes a damaged part, and returns that it is not there.
func (s *Study) drop(part int, damage error) error {
	if err := s.removePart(part); err != nil {
		return err
	}
	s.repaired("part %d: %v", part, damage)
	return fmt.Errorf("part %d was damaged: %w", part, fs.ErrNotExist)
}

// removePart removes the files of a part, that of table runs first: readers
// refuse a folder with a damaged file in it.
func (s *Study) removePart(part int) error {
	if err := removeIfThere(s.path(partFile(runsName, part))); err != nil {
		return err
	}
	for _, t := range s.manifest.Tables {
		if err := removeIfThere(s.path(partFile(t.Name, part))); err != nil {
			return err
		}
	}
	return nil
}

// readPart reads what the file of table runs says of the part and compares it
// with what is there.
func (s *Study) readPart(part int) ([]manifestPart, error) {
	own := manifestPart{File: partFile(runsName, part)}
	note, err := s.readRuns(&own)
	if err != nil {
		return nil, err
	}
	var others []manifestPart
	if err := json.Unmarshal([]byte(note), &others); err != nil {
		return nil, fmt.Errorf("%s has no note on its part (%w): %w", own.File, err, errDamaged)
	}
	files := make([]manifestPart, 0, len(others)+1)
	for _, t := range s.manifest.Tables {
		if t.Name == runsName {
			files = append(files, own)
			continue
		}
		name := partFile(t.Name, part)
		i := slices.IndexFunc(others, func(p manifestPart) bool { return p.File == name })
		if i < 0 {
			return nil, fmt.Errorf("%s says nothing of %s: %w", own.File, name, errDamaged)
		}
		if err := parquet.CheckEnd(s.path(name), others[i].Bytes); isIOError(err) {
			return nil, err
		} else if err != nil {
			return nil, fmt.Errorf("%w: %w", err, errDamaged)
		}
		files = append(files, others[i])
	}
	return files, nil
}

// readRuns reads the footer of the part's file of table runs.
func (s *Study) readRuns(p *manifestPart) (note string, err error) {
	name := s.path(p.File)
	info, err := os.Stat(name)
	if err != nil {
		return "", err
	}
	p.Bytes = info.Size()
	r, err := parquet.Open(name)
	if isIOError(err) || errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	if err != nil {
		return "", fmt.Errorf("%w: %w", err, errDamaged)
	}
	p.Rows = r.Rows()
	same := r.Metadata() == s.manifest.parquet() && r.Table().Equal(s.manifest.Tables[s.manifest.table(runsName)].Table)
	note, _ = r.Note(partNote)
	if err := r.Close(); err != nil {
		return "", err
	}
	if !same {
		return "", fmt.Errorf("%s belongs to another dataset: %w", name, errDamaged)
	}
	return note, nil
}

// isIOError reports whether a file could not be read, which says nothing about
// whether it is whole. A file that is not there says it.
func isIOError(err error) bool {
	var failed *fs.PathError
	return errors.As(err, &failed) && !errors.Is(err, fs.ErrNotExist)
}

// Finish completes the dataset if every part of every shard is there; else the
// error is a *MissingError, and whoever writes the last part finishes. All may
// try: the manifest has the same bytes whoever writes it. Nothing is left of
// temporary files but those that other living processes may be writing.
func (s *Study) Finish() error {
	if s.stillComplete() {
		return nil
	}
	if err := s.finish(); err != nil {
		return fmt.Errorf("finishing the dataset in %s: %w", s.dir, studyAdvice(err))
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.complete = true
	return nil
}

func (s *Study) finish() error {
	whole, err := s.describeAll()
	if err != nil {
		return err
	}
	if err := s.stillHolds(); err != nil {
		return err
	}
	text, err := whole.encode()
	if err != nil {
		return err
	}
	temporary := filepath.Join(s.temporary(), ownName("manifest"))
	err = s.disk.write(temporary, func(out io.Writer) error {
		_, err := out.Write(text)
		return err
	})
	if err == nil {
		if err = s.disk.rename(temporary, s.path(manifestName)); err != nil {
			err = errors.Join(err, removeIfThere(temporary))
		}
	}
	if err != nil && !s.finishedByOther() {
		return err
	}
	if err := s.disk.syncDir(s.dir); err != nil {
		return err
	}
	return s.clear()
}

// finishedByOther reports whether another process has written the manifest, and
// perhaps removed the temporary folder.
func (s *Study) finishedByOther() bool {
	m, err := readManifest(s.path(manifestName))
	return err == nil && m.ScenarioHash == s.manifest.ScenarioHash
}

// stillComplete is Complete, unless another process has found damage meanwhile and
// unfinished the study.
func (s *Study) stillComplete() bool {
	if !s.Complete() {
		return false
	}
	listed := s.finishedByOther()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.complete = listed
	return listed
}

// wrote notes that this process has written a part, whose files need no second look.
func (s *Study) wrote(part int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.written == nil {
		s.written = map[int]bool{}
	}
	s.written[part] = true
}

func (s *Study) hasWritten(part int) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.written[part]
}

// describeSound is describePart for a part that is about to be listed. No sum of its file
// of table runs is noted yet: if another process has written it, it is read to its end,
// since a sum of damage would make it good for ever.
func (s *Study) describeSound(part int) ([]manifestPart, error) {
	files, err := s.describePart(part)
	if err != nil || s.hasWritten(part) {
		return files, err
	}
	for _, p := range files {
		if p.SHA256 != "" {
			continue
		}
		err := s.readThrough(p)
		if errors.Is(err, errDamaged) {
			return nil, s.drop(part, err)
		}
		if err != nil {
			return nil, err
		}
	}
	return files, nil
}

// describeAll returns the manifest with all parts.
func (s *Study) describeAll() (manifest, error) {
	whole := s.manifest
	whole.Tables = slices.Clone(whole.Tables)
	var missing []int
	for part := range s.manifest.Study.Parts() {
		files, err := s.describeSound(part)
		if errors.Is(err, fs.ErrNotExist) {
			missing = append(missing, part)
			continue
		}
		if err != nil {
			return whole, err
		}
		for i, p := range files {
			t := &whole.Tables[i]
			if t.Name == runsName && missing == nil {
				if p.SHA256, _, err = sumFile(s.path(p.File)); err != nil {
					return whole, err
				}
			}
			t.Parts = append(t.Parts, p)
		}
	}
	if missing != nil {
		return whole, &MissingError{Dir: s.dir, Table: runsName, Parts: missing}
	}
	return whole, s.checkStrangers()
}

// checkStrangers refuses files among the parts that are none of this study:
// readers would take them for parts, or refuse the folder.
func (s *Study) checkStrangers() error {
	for _, t := range s.manifest.Tables {
		numbers, err := partsIn(filepath.Join(s.dir, t.Name))
		if err != nil {
			return err
		}
		if n := len(numbers); n > s.manifest.Study.Parts() {
			return fmt.Errorf("there is a file among the parts that does not belong there: %s", s.path(partFile(t.Name, numbers[n-1])))
		}
	}
	return nil
}

// clear removes what a finished dataset needs no more. Files of processes that
// may live stay, and the folder with them, until those finish in turn.
func (s *Study) clear() error {
	if err := removeIfThere(s.marker()); err != nil {
		return err
	}
	if err := removeStale(s.temporary()); err != nil {
		return err
	}
	err := removeEmpty([]string{s.temporary()})
	if entries, reading := os.ReadDir(s.temporary()); reading == nil && len(entries) > 0 {
		return nil // another process has just put something there
	}
	return err
}
