//go:build !windows

package output

import (
	"errors"
	"os"
	"syscall"
)

// syncDir makes the renames and removals inside a folder durable.
func syncDir(name string) error {
	d, err := os.Open(name)
	if err != nil {
		return err
	}
	err = d.Sync()
	// Some network and user-space file systems cannot flush a folder; they say
	// so with EINVAL or ENOTSUP and there is nothing else to do.
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		err = nil
	}
	return errors.Join(err, d.Close())
}

func isFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}

func isReadOnly(err error) bool { return errors.Is(err, syscall.EROFS) }

func isTooLarge(err error) bool { return errors.Is(err, syscall.EFBIG) }

// hasNoLinks reports whether the error of a link says that the file system has
// none: Linux answers EPERM on such ones (link(2)).
func hasNoLinks(err error) bool {
	return errors.Is(err, syscall.EPERM) || errors.Is(err, errors.ErrUnsupported)
}

// isAlive reports whether this machine has a process of that number.
func isAlive(pid int) bool { return !errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) }
