package output

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// file is what a part is written to.
type file interface {
	io.Writer
	Sync() error
	Close() error
}

// disk holds the operations that writing a dataset rests on, so that tests can
// make each of them fail.
type disk struct {
	create  func(name string) (file, error) // of a file that does not exist
	mkdir   func(name string) error         // parents exist
	rename  func(old, new string) error     // replaces a file
	link    func(old, new string) error     // to a name that is not taken
	syncDir func(name string) error         // makes renames inside it durable
}

// systemDisk is the operating system's.
func systemDisk() disk {
	return disk{
		create: func(name string) (file, error) {
			return os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		},
		mkdir:   func(name string) error { return os.Mkdir(name, 0o777) },
		rename:  os.Rename,
		link:    os.Link,
		syncDir: syncDir,
	}
}

// write creates the file called name with what fill writes to it, flushed to
// the disk. After an error there is no such file.
func (d disk) write(name string, fill func(w io.Writer) error) error {
	f, err := d.create(name)
	if err != nil {
		return err
	}
	err = fill(f)
	if err == nil {
		err = f.Sync()
	}
	// A network file system may report a full disk only when closing.
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return errors.Join(err, os.Remove(name))
	}
	return nil
}

// claim creates the file called name with the given text, whole or not at all,
// if nobody else has: then the error is fs.ErrExist. It is written beside under
// a name of its own and linked, so that it never is there half. Where the file
// system has no links, a process that dies in this moment leaves it half.
func (d disk) claim(name string, text []byte) error {
	fill := func(out io.Writer) error {
		_, err := out.Write(text)
		return err
	}
	own := filepath.Join(filepath.Dir(name), ownName(claimStem))
	if err := d.write(own, fill); err != nil {
		return err
	}
	err := d.link(own, name)
	if hasNoLinks(err) {
		err = d.write(name, fill)
	}
	return errors.Join(err, os.Remove(own))
}

// makeFolders makes dir and its missing parents and returns those it made,
// outermost first.
func (d disk) makeFolders(dir string) (made []string, err error) {
	info, err := os.Stat(dir)
	switch {
	case err == nil && info.IsDir():
		return nil, nil
	case err == nil:
		return nil, fmt.Errorf("%s is a file, not a folder", dir)
	case !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	if parent := filepath.Dir(dir); parent != dir {
		if made, err = d.makeFolders(parent); err != nil {
			return made, err
		}
	}
	if err := d.mkdir(dir); errors.Is(err, fs.ErrExist) {
		return made, nil // another process was faster
	} else if err != nil {
		return made, err
	}
	return append(made, dir), nil
}

// removeEmpty removes those of the folders that are empty, last first.
func removeEmpty(folders []string) error {
	var errs []error
	for i := len(folders) - 1; i >= 0; i-- {
		entries, err := os.ReadDir(folders[i])
		if err == nil && len(entries) == 0 {
			err = os.Remove(folders[i])
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// withAdvice adds to an error of the disk what the user can do about it.
func withAdvice(err error) error { return advised(err, "run again") }

// studyAdvice does so where what is written of a study stays.
func studyAdvice(err error) error { return advised(err, "run again with --resume") }

func advised(err error, again string) error {
	switch {
	case err == nil:
		return nil
	case isFull(err):
		return fmt.Errorf("%w: free some space, or choose a folder on another disk, and %s", err, again)
	case isTooLarge(err):
		return fmt.Errorf("%w: a limit on the size of files is in the way (ulimit -f); raise it, or make smaller parts", err)
	case errors.Is(err, fs.ErrPermission) || isReadOnly(err):
		return fmt.Errorf("%w: the folder cannot be written; choose another one or change its permissions", err)
	}
	return err
}
