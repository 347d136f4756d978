package output

import (
	"errors"
	"fmt"
	"io/fs"

	"soakledger/output/parquet"
	"soakledger/sim/record"
)

// errUnlisted says that the manifest of a finished study is damaged.
var errUnlisted = errors.New("it is written anew")

// checkListed compares the parts of a finished study, as they describe
// themselves, with its manifest, up to the first that differs.
func (s *Study) checkListed() error {
	for i, t := range s.manifest.Tables {
		if i >= len(s.listed.Tables) || !t.Equal(s.listed.Tables[i].Table) || len(s.listed.Tables[i].Parts) != s.manifest.Study.Parts() {
			return fmt.Errorf("the manifest does not list the study's parts: %w", errUnlisted)
		}
	}
	for part := range s.manifest.Study.Parts() {
		files, err := s.readPart(part)
		if errors.Is(err, errDamaged) && s.hasOtherText() {
			return fmt.Errorf("the manifest has another scenario's text than the parts: %w", errUnlisted)
		}
		if err != nil {
			return err
		}
		for i, p := range files {
			listed := s.listed.Tables[i].Parts[part]
			if s.manifest.Tables[i].Name == runsName {
				p.SHA256 = listed.SHA256 // nothing else tells it
			}
			if p != listed {
				return fmt.Errorf("the manifest says other than %s: %w", p.File, errUnlisted)
			}
		}
	}
	return nil
}

// hasOtherText reports whether parts of this study have another scenario's text
// than its manifest, and takes theirs.
func (s *Study) hasOtherText() bool {
	found, err := s.findOrphans()
	if err != nil || !found.own || found.text == s.manifest.ScenarioText {
		return false
	}
	s.manifest.ScenarioText = found.text
	return true
}

// Verify reads the files of the given parts from end to end and compares them
// with the sums that were noted when they were written; a file whose sum was
// noted nowhere is read as a table. It returns the parts that are damaged: they
// are removed, told by Repairs, and missing from then on, and a finished study is
// unfinished again. Parts that are not there are passed over.
func (s *Study) Verify(parts ...int) (damaged []int, err error) {
	if err := s.checkNumbers(parts); err != nil {
		return nil, err
	}
	for _, k := range parts {
		err := s.verifyPart(k)
		if err == nil || errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if errors.Is(err, errDamaged) {
			damaged = append(damaged, k)
			err = s.condemn(k, err)
		}
		if err != nil {
			return damaged, fmt.Errorf("verifying part %d in %s: %w", k, s.dir, studyAdvice(err))
		}
	}
	return damaged, nil
}

func (s *Study) verifyPart(part int) error {
	files, err := s.readPart(part)
	if err != nil {
		return err
	}
	for i, p := range files {
		if s.listed != nil {
			p = s.listed.Tables[i].Parts[part]
		}
		if p.SHA256 != "" {
			err = s.checkSum(p)
		}
		if err == nil && s.manifest.Tables[i].Name == runsName {
			err = s.readThrough(p) // its sum may have been taken of damage
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (s *Study) checkSum(p manifestPart) error {
	sum, _, err := sumFile(s.path(p.File))
	if err == nil && sum != p.SHA256 {
		err = fmt.Errorf("%s is not as it was written (its SHA-256 differs): %w", p.File, errDamaged)
	}
	return err
}

// readThrough reads a file whose sum nobody has noted: its pages have sums of
// their own.
func (s *Study) readThrough(p manifestPart) error {
	err := parquet.Each([]string{s.path(p.File)}, nil, func(*record.Frame) error { return nil })
	if err == nil || isIOError(err) {
		return err
	}
	return fmt.Errorf("%w: %w", err, errDamaged)
}

// condemn removes a damaged part, of a study that is then unfinished.
func (s *Study) condemn(part int, damage error) error {
	s.mu.Lock()
	finished := s.complete
	s.complete = false
	s.mu.Unlock()
	if finished {
		if err := s.unfinish(func() error { return removeIfThere(s.path(manifestName)) }); err != nil {
			return err
		}
	}
	if err := s.drop(part, damage); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
