package output

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"soakledger/sim/record"
)

// StudyOptions say what CreateStudy may do with a dataset that is there. The
// zero value refuses it.
type StudyOptions struct {
	// Resume goes on with the dataset of the same study, from whichever process
	// or shard it is: complete parts are kept. Another study is a
	// *ChangedError. A folder without a dataset is begun. One that has lost its
	// manifest is gone on with if its parts carry the hash of the study.
	Resume bool
	// Replace puts away the dataset of another study, or the finished one of
	// this, at once, and begins anew; files that are not the dataset's own stay.
	// An unfinished dataset of this very study is gone on with, since its parts
	// would come out the same; so shards may all be told to replace. A dataset
	// that another process is writing is refused.
	Replace bool
}

// Study is the dataset of a study while it is written: part by part, in any
// order, by any number of goroutines, processes and machines that share the
// folder. It needs no closing. All methods may be called at once.
//
// The folder is that of any dataset. Until every part is there, .tmp/begun.json
// holds the manifest without parts and manifest.json is absent.
type Study struct {
	dir      string
	disk     disk
	manifest manifest
	pool     pool

	wasFinished bool
	listed      *manifest // with the parts, of a study that was finished; else nil

	mu       sync.Mutex
	complete bool
	written  map[int]bool // parts that this process has written
	repairs  []string
}

// StudyExistsError says that the folder already holds a dataset and neither
// Resume nor Replace was asked for.
type StudyExistsError struct {
	Dir         string
	Same        bool // it is that of this very study
	Complete    bool
	Unlisted    bool   // parts of this study are there, but no whole manifest
	Done, Parts int    // parts that are there, and all of them
	Difference  string // in lines, from the study that is there; empty for the same study and for a run
}

// Error says what is there and which flags go on.
func (e *StudyExistsError) Error() string {
	state := fmt.Sprintf("%d of %d parts are done", e.Done, e.Parts)
	if e.Complete {
		state = "it is finished"
	}
	switch {
	case e.Unlisted:
		return fmt.Sprintf("%s already holds parts of this very study, but its manifest is damaged or gone: --resume completes it from them", e.Dir)
	case e.Same && e.Complete:
		return fmt.Sprintf("%s already holds the dataset of this very study: %s, nothing to do (--replace computes it again)", e.Dir, state)
	case e.Same:
		return fmt.Sprintf("%s already holds the dataset of this very study: %s; --resume goes on with it", e.Dir, state)
	case e.Difference == "":
		return fmt.Sprintf("%s already holds the dataset of a single run: %s; choose another folder, or --replace removes it", e.Dir, state)
	}
	return fmt.Sprintf("%s already holds the dataset of another study: %s. What differs:\n%s\nChoose another folder, or --replace removes it", e.Dir, state, indented(e.Difference))
}

// ChangedError says that the study in the folder is not the one to resume.
type ChangedError struct {
	Dir        string
	Difference string // in lines: which value, what it was and what it is now
}

// Error shows the difference.
func (e *ChangedError) Error() string {
	return fmt.Sprintf("%s holds another study, which cannot be resumed as this one. What differs:\n%s\nUndo the change, choose another folder, or --replace removes what is there", e.Dir, indented(e.Difference))
}

func indented(lines string) string { return "  " + strings.ReplaceAll(lines, "\n", "\n  ") }

// StudyIn returns what decides the rows of the study in a folder, finished or
// not; false if there is none that says so.
func StudyIn(dir string) (r Recipe, finished, ok bool) {
	found, err := survey(dir)
	if err != nil || found.manifest.Study == nil {
		return Recipe{}, false, false
	}
	return *found.manifest.Study, found.complete(), true
}

// CreateStudy begins the dataset of a study in dir, which is made if it does not
// exist, or goes on with one. The tables need a run_id, and one of them is
// called runs. Of processes that begin at the same moment one does, and the
// others go on with it if it is the same study.
func CreateStudy(dir string, m StudyManifest, tables []record.Table, o StudyOptions) (*Study, error) {
	return createStudy(dir, m, tables, o, systemDisk())
}

func createStudy(dir string, m StudyManifest, tables []record.Table, o StudyOptions, d disk) (*Study, error) {
	s := &Study{dir: dir, disk: d}
	err := s.describe(m, tables)
	if err == nil {
		err = s.open(o)
	}
	if err != nil {
		return nil, creating(dir, err)
	}
	s.pool.manifest = &s.manifest
	return s, nil
}

// creating says what was being done, where the error does not name the folder.
func creating(dir string, err error) error {
	var exists *StudyExistsError
	var changed *ChangedError
	if errors.As(err, &exists) || errors.As(err, &changed) {
		return err
	}
	return fmt.Errorf("creating the dataset of a study in %s: %w", dir, studyAdvice(err))
}

func (s *Study) describe(m StudyManifest, tables []record.Table) (err error) {
	if s.dir == "" {
		return errors.New("the folder has no name")
	}
	if err := validateTables(tables); err != nil {
		return err
	}
	if s.manifest, err = m.manifest(tables); err != nil {
		return err
	}
	return s.manifest.validate()
}

// Dir returns the dataset's folder.
func (s *Study) Dir() string { return s.dir }

// Complete reports whether every part is there and the manifest is written.
func (s *Study) Complete() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.complete
}

// WasFinished reports whether the folder held the finished dataset when it was
// opened, perhaps a damaged one. Its parts are complete, but may have been
// changed since: Verify tells.
func (s *Study) WasFinished() bool { return s.wasFinished }

// Repairs returns what was found damaged so far, one text each for the user.
// Damaged parts count as missing.
func (s *Study) Repairs() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.repairs)
}

func (s *Study) repaired(format string, args ...any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.repairs = append(s.repairs, fmt.Sprintf(format, args...))
}

func (s *Study) path(name string) string { return filepath.Join(s.dir, filepath.FromSlash(name)) }
func (s *Study) temporary() string       { return filepath.Join(s.dir, tempFolder) }
func (s *Study) marker() string          { return filepath.Join(s.dir, tempFolder, markerName) }

// attempts at what another process, beginning or finishing, may cross.
const attempts = 5

// open decides by what is in the folder how the study starts. What it finds may
// change while it looks: then it looks again.
func (s *Study) open(o StudyOptions) error {
	if resolved, err := filepath.EvalSymlinks(s.dir); err == nil {
		s.dir = resolved
	}
	for attempt := 1; ; attempt++ {
		err := s.openOnce(o)
		crossed := errors.Is(err, ErrForeign) || errors.Is(err, fs.ErrExist)
		if !crossed || attempt == attempts {
			if errors.Is(err, ErrForeign) {
				return s.reclaim(o, err)
			}
			return err
		}
		if errors.Is(err, fs.ErrExist) {
			o = StudyOptions{Resume: true} // whoever was faster has just begun
		}
		time.Sleep(10 * time.Millisecond)
	}
}

func (s *Study) openOnce(o StudyOptions) error {
	found, err := survey(s.dir)
	if err != nil {
		return err
	}
	if found.content == nothing {
		return s.begin()
	}
	same := found.manifest.Study != nil && found.manifest.ScenarioHash == s.manifest.ScenarioHash
	switch {
	case o.Replace && !(same && found.content == unfinished):
		return s.replace(found.manifest)
	case same && (o.Resume || o.Replace):
		return s.resume(found)
	}
	changes := ""
	if found.manifest.Study != nil && !same {
		if changes = difference(found.manifest, s.manifest); changes == "" {
			return fmt.Errorf("%w (%w)", ErrForeign, checkHash(found.manifest))
		}
	}
	if o.Resume && changes != "" {
		return &ChangedError{Dir: s.dir, Difference: changes}
	}
	return s.exists(found, same, changes)
}

// exists describes what is in the way.
func (s *Study) exists(found surveyed, same bool, changes string) error {
	e := &StudyExistsError{Dir: s.dir, Same: same, Complete: found.complete(), Parts: 1, Difference: changes}
	if found.manifest.Study != nil {
		e.Parts = found.manifest.Study.Parts()
	}
	done, err := partsIn(s.path(runsName))
	e.Done = len(done)
	return errors.Join(err, e)
}

// begin takes an empty or missing folder by creating begun.json. The error is
// fs.ErrExist if another process has it. After an error behind that step the
// folder can be resumed as it is.
func (s *Study) begin() error {
	text, err := s.manifest.encode()
	if err != nil {
		return err
	}
	made, err := s.disk.makeFolders(s.temporary())
	if err == nil {
		err = s.disk.claim(s.marker(), text)
	}
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	if err != nil {
		return errors.Join(err, removeEmpty(made))
	}
	for _, folder := range append(made, s.marker()) {
		if err := s.disk.syncDir(filepath.Dir(folder)); err != nil {
			return err
		}
	}
	return nil
}

// resume goes on with the same study. Its texts for people stay, since they are
// in the parts that are there.
func (s *Study) resume(found surveyed) error {
	s.manifest.Meta = found.manifest.clone()
	if found.complete() {
		return s.reopen(found.manifest)
	}
	return s.prepare()
}

// prepare makes an unfinished folder ready to be written.
func (s *Study) prepare() error {
	if err := removeStale(s.temporary()); err != nil {
		return err
	}
	// A folder that cannot be written shall be found out now, not when the
	// first part has been computed.
	probe := filepath.Join(s.temporary(), ownName("probe"))
	err := s.disk.write(probe, func(io.Writer) error { return nil })
	if errors.Is(err, fs.ErrNotExist) { // it has just been finished
		return fmt.Errorf("%w (%w)", ErrForeign, err)
	}
	if err != nil {
		return err
	}
	return removeIfThere(probe)
}

// reopen makes sure that the parts of a finished study are there, by their sizes
// and ends, and are those that its manifest lists. If not, the study is
// unfinished again.
func (s *Study) reopen(listed manifest) error {
	s.wasFinished, s.listed = true, &listed
	damage := s.checkListed()
	switch {
	case damage == nil:
		if !s.finishedByOther() {
			return fmt.Errorf("%w (another process has just found damage)", ErrForeign) // look again
		}
		s.complete = true
		return s.clear()
	case errors.Is(damage, errUnlisted):
		s.listed = nil // what it says of sums is worth nothing
	case !errors.Is(damage, errDamaged) && !errors.Is(damage, fs.ErrNotExist):
		return damage
	}
	if errors.Is(damage, errDamaged) { // which part, and how, is told when it is looked for
		s.repaired("the finished dataset is damaged and is completed again")
	} else {
		s.repaired("the finished dataset is damaged and is completed again: %v", damage)
	}
	return s.unfinish(func() error { return removeIfThere(s.path(manifestName)) })
}

// unfinish makes a finished study one in work: the marker first, so that the
// folder has an owner at every moment.
func (s *Study) unfinish(removeManifest func() error) error {
	if _, err := s.disk.makeFolders(s.temporary()); err != nil {
		return err
	}
	text, err := s.manifest.encode()
	if err != nil {
		return err
	}
	if err := s.disk.claim(s.marker(), text); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	if err := removeManifest(); err != nil {
		return err
	}
	return s.disk.syncDir(s.dir)
}

// replace puts the old dataset away and begins in its place. The folder is
// renamed as a whole first, so that of several processes only one does it.
func (s *Study) replace(old manifest) error {
	if err := checkReplaceable(s.dir, old); err != nil {
		return err
	}
	_, living, err := leftovers(s.temporary())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if len(living) > 0 {
		return fmt.Errorf("another process may be writing this dataset (%s, less than a day old): wait for it or remove that file", living[0])
	}
	absolute, err := filepath.Abs(s.dir) // "." has no name to put a folder beside
	if err != nil {
		return err
	}
	s.dir = absolute
	parent, base := filepath.Split(absolute)
	aside := filepath.Join(parent, ownName("."+base+"-old"))
	if err := s.disk.rename(s.dir, aside); errors.Is(err, fs.ErrNotExist) {
		return fs.ErrExist // another process was faster
	} else if err != nil {
		return fmt.Errorf("moving the old dataset aside: %w", err)
	}
	begun := s.begin()
	if begun != nil && !errors.Is(begun, fs.ErrExist) {
		if undo := s.disk.rename(aside, s.dir); undo != nil {
			return errors.Join(begun, fmt.Errorf("the old dataset is now in %s: %w", aside, undo))
		}
		return begun
	}
	if err := errors.Join(carryOver(aside, s.dir, old), removeDataset(aside, old)); err != nil {
		return fmt.Errorf("the old dataset could not be removed and is in %s: %w", aside, err)
	}
	return begun
}
