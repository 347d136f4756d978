//go:build windows

package output

import (
	"errors"
	"syscall"
)

// Codes of the Windows API (winerror.h).
const (
	errorWriteProtect   = syscall.Errno(19)
	errorHandleDiskFull = syscall.Errno(39)
	errorDiskFull       = syscall.Errno(112)
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
