//go:build windows

package output

import (
	"errors"
	"os"
	"syscall"
)

// Codes of the Windows API (winerror.h).
const (
	errorInvalidFunction  = syscall.Errno(1)
	errorInvalidParameter = syscall.Errno(87)
	errorWriteProtect     = syscall.Errno(19)
	errorHandleDiskFull   = syscall.Errno(39)
	errorDiskFull         = syscall.Errno(112)
	errorFileTooLarge     = syscall.Errno(223)
)

// syncDir does nothing: Windows has no way to flush a folder, and a rename is
// in the file system's journal.
func syncDir(string) error { return nil }

func isFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, errorDiskFull) || errors.Is(err, errorHandleDiskFull)
}

func isReadOnly(err error) bool {
	return errors.Is(err, syscall.EROFS) || errors.Is(err, errorWriteProtect)
}

func isTooLarge(err error) bool { return errors.Is(err, errorFileTooLarge) }

// hasNoLinks reports whether the error of a link says that the file system has
// none.
func hasNoLinks(err error) bool {
	return errors.Is(err, errorInvalidFunction) || errors.Is(err, errors.ErrUnsupported)
}

// isAlive reports whether this machine has a process of that number. Only the
// answer that there is no such number says no; others may hide the process.
func isAlive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return !errors.Is(err, errorInvalidParameter)
	}
	return p.Release() == nil
}
